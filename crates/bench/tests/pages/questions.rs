//! The list of questions, and a new question by form.

use knockon_desk::State;

use crate::bench::{Bench, stamp};

#[tokio::test]
async fn an_empty_list_says_what_to_do() {
    let bench = Bench::empty();
    bench.get("/questions").await.is(200).says("Nothing has come in yet.").says("href=\"/questions/new\"");
    bench.ask("Higher bar?");
    bench
        .get("/questions?words=zzyzx")
        .await
        .says("No question is like that.")
        .says("look through all of them");
    bench.get("/questions?state=answered").await.says("No question is answered yet.");
    bench.get("/questions?page=7").await.says("Go to its first page");
}

#[tokio::test]
async fn what_presses_comes_first_with_its_word_and_a_shape() {
    let bench = Bench::empty();
    bench.ask("There is a crack in my fork.");
    bench.ask("Which stem length?");
    let page = bench.get("/questions").await;
    assert!(page.place("There is a crack") < page.place("Which stem length"), "the older one presses");
    let mark = page
        .body
        .split("class=\"marks\"")
        .nth(1)
        .and_then(|rest| rest.split("</ul>").next())
        .expect("a mark");
    assert!(mark.contains("<svg") && mark.contains("</svg>crack</li>"), "{mark}");
    page.says("<span class=\"unseen\">Question </span>1").says("data-ago");
}

#[tokio::test]
async fn tabs_count_and_narrow() {
    let bench = Bench::empty();
    let bike = bench.bike("name = \"Invented\"");
    let waiting = bench.ask_about("Longer fork?", Some(bike), "");
    bench.ask("A crack?");
    bench.desk.set_state(waiting, State::Waiting, &stamp()).expect("a state");
    let page = bench.get("/questions?state=waiting").await;
    page.says("Longer fork?")
        .says_not("A crack?")
        .says("Waiting for the rider <span class=\"total\">1</span>");
    bench.get("/questions?urgent=yes").await.says("A crack?").says_not("Longer fork?");
    bench.get(&format!("/questions?bike={bike}")).await.says("Longer fork?").says_not("A crack?");
}

#[tokio::test]
async fn what_a_search_found_is_marked() {
    let bench = Bench::empty();
    bench.ask("Is a longer fork <b>allowed</b>?");
    let page = bench.get("/questions?words=fork").await;
    page.says("<mark>fork</mark>").says_not("<b>allowed").says("&lt;b&gt;allowed");
    page.says("value=\"fork\"");
    // Whatever is typed is words, not a query.
    for words in ["%22", "AND+NOT", "fork*)(", "%27%3B--", "%00"] {
        bench.get(&format!("/questions?words={words}")).await.is(200);
    }
}

#[tokio::test]
async fn there_are_fifty_to_a_page() {
    let bench = Bench::empty();
    for number in 1..=51 {
        bench.ask(&format!("Question number {number}, please"));
    }
    let first = bench.get("/questions?words=please").await;
    assert_eq!(first.body.matches("<li class=\"row\">").count(), 50);
    first.says("href=\"/questions?words=please&amp;page=2\"").says_not("← Newer");
    let second = bench.get("/questions?words=please&page=2").await;
    assert_eq!(second.body.matches("<li class=\"row\">").count(), 1);
    second.says("← Newer").says_not("Older →").says("href=\"/questions/1\"");
}

#[tokio::test]
async fn a_new_question_is_kept_and_opened() {
    let bench = Bench::empty();
    let bike = bench.bike("name = \"Invented\"").to_string();
    let fields = [
        ("asked", "My hands\r\nare too low."),
        ("rider", " Mara "),
        ("bike", &bike),
        ("changes", "bar rise 40"),
        ("step", "keep"),
    ];
    let reply = bench.post("/questions/new", &fields).await;
    assert_eq!(reply.leads_to(), "/questions/1");
    let kept = bench.desk.question("1".parse().expect("an id")).expect("the question");
    assert_eq!((kept.asked.as_str(), kept.rider.as_str()), ("My hands\nare too low.", "Mara"));
    assert_eq!(
        (kept.bike.map(|id| id.to_string()), kept.draft.changes.as_str()),
        (Some(bike), "bar rise 40")
    );
}

#[tokio::test]
async fn a_fault_keeps_what_was_typed() {
    let bench = Bench::empty();
    let bike = bench.bike("name = \"Invented\"").to_string();
    let page = bench
        .post("/questions/new", &[("asked", ""), ("rider", "M & <i>"), ("bike", &bike), ("step", "keep")])
        .await;
    page.is(422).says("Write down what the rider asks").says("value=\"M &amp; &lt;i&gt;\"");
    page.says(&format!("<option value=\"{bike}\" selected>")).says("aria-invalid=\"true\"");
    let long = "word ".repeat(14_000);
    let page = bench
        .post(
            "/questions/new",
            &[("asked", "What about this?"), ("changes", &long[..12_000]), ("bike", "999")],
        )
        .await;
    page.is(422).says("What about this?</textarea>");
    assert_eq!(bench.desk.counts().expect("counts").new, 0);
}

#[tokio::test]
async fn a_look_first_keeps_nothing_and_shows_safety_words_and_faults() {
    let bench = Bench::empty();
    let fields = [("asked", "My fork has a crack"), ("changes", "stem lenght 40"), ("step", "look")];
    let page = bench.post("/questions/new", &fields).await;
    page.is(200)
        .says("<strong>crack</strong>")
        .says("Nothing is kept yet.")
        .says("stem lenght 40</textarea>");
    page.says("id=\"changes-faults\"");
    assert_eq!(bench.desk.counts().expect("counts").new, 0);
}

#[tokio::test]
async fn an_answered_question_that_is_alike_is_shown_while_typing() {
    let bench = Bench::empty();
    let answered = bench.ask("Does a longer fork with 20 mm more travel fit my hardtail?");
    bench.desk.set_state(answered, State::Answered, &stamp()).expect("a state");
    bench.ask("How do I true a wheel?");
    let fragment = bench.get("/questions/new/alike?asked=longer+fork+travel+on+a+hardtail").await;
    fragment
        .is(200)
        .says(&format!("href=\"/questions/{answered}\""))
        .says_not("true a wheel")
        .says_not("<html");
    let page = bench
        .post("/questions/new", &[("asked", "A longer fork for my hardtail, more travel"), ("step", "look")])
        .await;
    page.says("Answered before");
}

#[tokio::test]
async fn nothing_that_somebody_typed_becomes_markup() {
    let bench = Bench::empty();
    let evil = "<script>alert(1)</script>\"'><img src=x onerror=1>";
    bench.bike(&format!("name = '''{evil}'''"));
    bench.ask(&format!("{evil} crack"));
    for path in [
        "/questions".to_owned(),
        format!("/questions?words={}", "%3Cscript%3E"),
        "/questions/new/alike?asked=%3Cscript%3Ecrack".to_owned(),
        "/bikes".to_owned(),
        "/bikes/1".to_owned(),
        "/bikes/1/text".to_owned(),
        "/bikes/1/history".to_owned(),
        "/bikes?words=%22%3E%3Cscript%3E".to_owned(),
        "/sheets?words=%22%3E%3Cscript%3E".to_owned(),
    ] {
        bench.get(&path).await.is(200).says_not("<script>").says_not("<img src=x");
    }
    let page = bench.post("/questions/new", &[("asked", ""), ("rider", evil), ("changes", "")]).await;
    page.is(422).says_not("<script>");
    bench
        .post("/questions/new/pile", &[("pasted", evil)])
        .await
        .is(200)
        .says_not("<script>")
        .says_not("<img src=x");
}
