//! Published sheets: the list, and the public pages.

use knockon_desk::{Format, Publication, QuestionId, Role, Way};

use crate::bench::{Bench, stamp};

/// A workshop with a published sheet.
fn published() -> (Bench, QuestionId, Publication) {
    let bench = Bench::empty();
    let larch = knockon_trade::demo::bikes().iter().find(|(stem, _)| *stem == "larch-150").expect("a bike").1;
    let bike = bench.bike(larch);
    let question = bench.ask_about(
        "Longer fork & <b>higher</b> bar?",
        Some(bike),
        "fork axle-to-crown 576\nbar rise 40",
    );
    let publication = bench.desk.publish(question, Way::First, &stamp()).expect("a sheet");
    (bench, question, publication)
}

/// The same with a second revision.
fn replaced() -> (Bench, Publication) {
    let (bench, question, first) = published();
    bench.desk.save_draft(question, "bar rise 35", None, &stamp()).expect("a draft");
    bench.desk.publish(question, Way::First, &stamp()).expect("a revision");
    (bench, first)
}

#[tokio::test]
async fn the_list_shows_address_headline_and_revision() {
    let empty = Bench::empty();
    empty.get("/sheets").await.is(200).says("Nothing is published yet.");
    let (bench, question, sheet) = published();
    let page = bench.get("/sheets").await;
    page.is(200).says(&format!("href=\"/s/{}\"", sheet.code)).says("Revision 1").says("Larch 150, size M");
    page.says("Longer fork &amp; &lt;b&gt;higher&lt;/b&gt; bar?").says(&format!("/questions/{question}"));
    page.says(&format!("data-copy-address=\"/s/{}\"", sheet.code)).says("by Ida");
    bench.get("/sheets?words=higher").await.says(&sheet.code);
    bench.get("/sheets?words=zzyzx").await.says("No sheet is like that.");
}

#[tokio::test]
async fn the_newest_revision_is_exactly_what_was_stored() {
    let (bench, _, sheet) = published();
    let stored = bench.desk.published_file(&sheet.code, 1, Format::Html).expect("the page");
    let page = bench.get(&format!("/s/{}", sheet.code)).await;
    assert_eq!(page.is(200).body, stored);
    assert_eq!(bench.get(&format!("/s/{}/1", sheet.code)).await.body, stored);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    let policy = page.header("content-security-policy");
    assert!(policy.contains("style-src 'unsafe-inline'") && !policy.contains("script-src"), "{policy}");
    assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'self'"), "{policy}");
    assert_eq!((page.header("x-robots-tag"), page.header("content-disposition")), ("noindex", ""));
}

#[tokio::test]
async fn every_format_is_a_file_with_a_safe_name_and_every_caution() {
    let (bench, question, sheet) = published();
    let answered = bench.desk.answer_of(question, "fork axle-to-crown 576\nbar rise 40").expect("an answer");
    assert!(!answered.sheet.cautions.is_empty(), "a longer fork is cautioned about");
    for format in Format::ALL {
        let reply = bench.get(&format!("/s/{}/1.{}", sheet.code, format.extension())).await;
        assert_eq!(reply.is(200).body, bench.desk.published_file(&sheet.code, 1, format).expect("a file"));
        assert_eq!(reply.header("content-type"), format.media_type());
        let name =
            format!("attachment; filename=\"longer-fork-b-higher-b-bar-revision-1.{}\"", format.extension());
        assert_eq!(reply.header("content-disposition"), name);
        if format == Format::Text {
            let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
            for caution in &answered.sheet.cautions {
                assert!(flat(&reply.body).contains(&flat(&caution.text)), "{}", caution.text);
            }
        }
    }
}

#[tokio::test]
async fn an_old_revision_stays_and_says_that_it_was_replaced() {
    let (bench, sheet) = replaced();
    let address = format!("/s/{}", sheet.code);
    let old = bench.get(&format!("{address}/1")).await;
    old.is(200)
        .says("This is revision 1. It was replaced by revision 2.")
        .says(&format!("href=\"{address}\""));
    let stored = bench.desk.published_file(&sheet.code, 1, Format::Html).expect("the page");
    let body = stored.split_once("<body>").expect("a body").1;
    assert!(old.body.ends_with(body), "below the notice it is what was stored");
    assert!(old.header("link").contains("successor-version"));
    for extension in ["md", "txt"] {
        let reply = bench.get(&format!("{address}/1.{extension}")).await;
        assert!(reply.place("replaced by revision 2") < 60, "{}", reply.body);
    }
    bench.get(&address).await.is(200).says_not("It was replaced by");
    bench.get("/sheets").await.says("Revision 2").says(&format!("href=\"{address}/1\""));
}

#[tokio::test]
async fn a_browser_that_has_it_does_not_get_it_again() {
    let (bench, _, sheet) = published();
    let path = format!("/s/{}/1", sheet.code);
    let first = bench.get(&path).await;
    assert_eq!(first.header("cache-control"), "no-cache");
    let again = bench.get_with(&path, "if-none-match", first.header("etag")).await;
    assert!(again.is(304).body.is_empty());
    let (bench, sheet) = replaced();
    let replaced =
        bench.get_with(&format!("/s/{}/1", sheet.code), "if-none-match", first.header("etag")).await;
    replaced.is(200);
}

#[tokio::test]
async fn what_is_not_there_is_nowhere() {
    let (bench, _, sheet) = published();
    let code = &sheet.code;
    for path in [
        "/s/aaaaaaaa".to_owned(),
        "/s/..%2F..%2Fetc".to_owned(),
        format!("/s/{code}/2"),
        format!("/s/{code}/0"),
        format!("/s/{code}/1.exe"),
        format!("/s/{code}/1.svg.exe"),
        format!("/s/{code}/-1"),
        format!("/s/{code}/99999999999"),
        format!("/s/{}", "a".repeat(400)),
    ] {
        bench.get(&path).await.is(404).says("There is no published sheet here.");
    }
}

#[tokio::test]
async fn a_sheet_is_read_without_an_account_and_nothing_else() {
    let (bench, question, sheet) = published();
    bench.desk.add_account("Ada", "a long password", Role::Answer, &stamp()).expect("an account");
    bench.get(&format!("/s/{}", sheet.code)).await.is(200);
    bench.get(&format!("/s/{}/1.svg", sheet.code)).await.is(200);
    for path in
        ["/questions", "/questions/new", "/questions/new/alike?asked=x", "/bikes", "/bikes/1", "/sheets"]
    {
        assert!(bench.get(path).await.leads_to().starts_with("/log-in?back="), "{path}");
    }
    assert!(bench.get(&format!("/questions/{question}")).await.leads_to().starts_with("/log-in"));
    bench.post("/bikes/1/restore", &[("number", "1")]).await.is(401);
    bench.post("/questions/new", &[("asked", "x")]).await.is(401);
}
