//! Bikes: list, form, text, conflict, history.

use crate::bench::{Bench, stamp};

const INVENTED: &str = "# As ridden.\nname = \"Invented\"\nsize = \"M\"\nkind = \"hardtail\"\n\n[stem]\nlength = 50 # marked\nangle = 6\n";

/// The demo's first whole chart.
fn larch() -> &'static str {
    knockon_trade::demo::bikes().iter().find(|(stem, _)| *stem == "larch-150").expect("a bike").1
}

#[tokio::test]
async fn the_list_says_what_a_chart_says_of_itself() {
    let bench = Bench::empty();
    bench.get("/bikes").await.is(200).says("No bike is known yet.").says("href=\"/bikes/import\"");
    let whole = bench.bike(larch());
    bench.bike(INVENTED);
    bench.bike(&larch().replace("Larch 150", "Slipped").replace("front_centre = 785", "front_centre = 825"));
    bench.ask_about("Higher bar?", Some(whole), "");
    let page = bench.get("/bikes").await;
    page.says("agrees with itself").says("too little told to check").says("disagrees: front centre by");
    page.says("Larch 150, size M").says("hardtail").says("1 question").says("by Ida");
    bench.get("/bikes?words=slipped").await.says("Slipped, size M").says_not("Larch");
    bench.get("/bikes?words=zzyzx").await.says("No bike is like that.");
}

#[tokio::test]
async fn a_bikes_page_is_a_form_with_drawing_audit_and_questions() {
    let bench = Bench::empty();
    let bike = bench.bike(larch());
    bench.ask_about("Higher bar?", Some(bike), "");
    let page = bench.get(&format!("/bikes/{bike}")).await;
    page.is(200).says("<svg").says("The chart agrees with itself within").says("Higher bar?");
    assert_eq!(page.value_of("stem.length"), "50");
    assert_eq!(page.value_of("chart.wheelbase"), "1222");
    assert_eq!(page.value_of("chart.wheelbase.with"), "tape");
    assert_eq!(page.value_of("chart.wheelbase.tolerance"), "3");
    page.says("usual 400 to 700 mm").says_not(" style=");
    for path in ["/bikes/77", "/bikes/x", "/bikes/77/text", "/bikes/77/history"] {
        bench.get(path).await.is(404);
    }
}

#[tokio::test]
async fn saving_the_form_keeps_comments_and_says_who_and_why() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    let path = format!("/bikes/{bike}");
    let fields = [
        ("version", "1"),
        ("why", "measured at the stand"),
        ("stem.length", "40"),
        ("stem.length.known", "published"),
        ("stem.length.with", "tape"),
    ];
    let reply = bench.post(&path, &fields).await;
    assert_eq!(reply.leads_to(), format!("{path}?saved=2"));
    let saved = bench.desk.bike(bike).expect("the bike");
    assert!(
        saved.text.contains("# As ridden.")
            && saved.text.contains("# marked")
            && saved.text.contains("angle = 6")
    );
    assert!(
        saved.text.contains("length = { value = 40, known = \"measured\", with = \"tape\" }"),
        "{}",
        saved.text
    );
    assert_eq!((saved.number, saved.why.as_str()), (2, "measured at the stand"));
    bench.get(reply.leads_to()).await.says("Saved: this is version 2.");
}

#[tokio::test]
async fn faults_stand_at_their_fields_and_nothing_typed_is_lost() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    let fields = [
        ("version", "1"),
        ("why", "a try"),
        ("stem.length", "4000"),
        ("bar.rise", "<steep>"),
        ("bar.width", "760"),
    ];
    let page = bench.post(&format!("/bikes/{bike}"), &fields).await;
    page.is(422)
        .says("href=\"#f-stem-length\"")
        .says("Stem length cannot be 4000")
        .says("id=\"f-stem-length-wrong\"");
    page.says("href=\"#f-bar-rise\"").says("value=\"&lt;steep&gt;\"");
    let typed = ["stem.length", "bar.width", "why", "stem.angle"].map(|name| page.value_of(name));
    assert_eq!(typed, ["4000", "760", "a try", "6"], "and what was not sent is as it was");
    assert_eq!(bench.desk.bike(bike).expect("the bike").number, 1);
}

#[tokio::test]
async fn what_is_unusual_is_told_and_kept() {
    let bench = Bench::empty();
    let bike = bench.bike(&INVENTED.replace("length = 50", "length = 190"));
    bench.get(&format!("/bikes/{bike}")).await.says("id=\"f-stem-length-warned\"").says("unusual");
    bench.get(&format!("/bikes/{bike}/text")).await.says("Worth a second look").says("Line 7, column 10");
}

#[tokio::test]
async fn faults_of_a_text_have_line_column_and_help() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    let path = format!("/bikes/{bike}/text");
    let text = "name = \"X\"\r\n\r\n[stem]\r\nlenght = 50 # <mine>\r\n";
    let page = bench.post(&path, &[("version", "1"), ("text", text), ("why", "spelling")]).await;
    page.is(422).says("Line 4, column 1").says("length").says("lenght = 50 # &lt;mine&gt;");
    assert_eq!(page.value_of("why"), "spelling");
    let reply = bench
        .post(&path, &[("version", "1"), ("text", &text.replace("lenght", "length")), ("why", "spelling")])
        .await;
    assert_eq!(reply.leads_to(), format!("/bikes/{bike}?saved=2"));
    let saved = bench.desk.bike(bike).expect("the bike");
    assert_eq!(saved.text, "name = \"X\"\n\n[stem]\nlength = 50 # <mine>\n");
}

#[tokio::test]
async fn who_comes_second_sees_both_and_loses_nothing() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    let theirs = INVENTED.replace("angle = 6", "angle = 17").replace("length = 50", "length = 60");
    bench.desk.save_bike(bike, &theirs, "new stem", 1, &stamp()).expect("the first one saves");
    let page = bench
        .post(&format!("/bikes/{bike}"), &[("version", "1"), ("stem.length", "40"), ("bar.rise", "30")])
        .await;
    page.is(409).says("Ida saved version 2").says("new stem").says("(changed by both)");
    page.says("<td>50</td><td>60</td><td>40</td>").says("<td>not told</td><td>not told</td><td>30</td>");
    assert_eq!(bench.desk.bike(bike).expect("the bike").text, theirs, "nothing was saved unseen");
    // The text to go on with has both: their angle, my length and rise.
    let text =
        page.body.split("name=\"text\"").nth(1).and_then(|rest| rest.split('>').nth(1)).expect("a text");
    let text = text.trim_end_matches("</textarea").trim_start_matches('\n').replace("&quot;", "\"");
    assert!(
        text.contains("length = 40") && text.contains("angle = 17") && text.contains("rise = 30"),
        "{text}"
    );
    let version = page.value_of("version").to_owned();
    let reply = bench.post(&format!("/bikes/{bike}/text"), &[("version", &version), ("text", &text)]).await;
    assert_eq!(reply.leads_to(), format!("/bikes/{bike}?saved=3"));
}

#[tokio::test]
async fn a_text_that_comes_second_stays_as_it_was_typed() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    bench
        .desk
        .save_bike(bike, &INVENTED.replace("angle = 6", "angle = 7"), "theirs", 1, &stamp())
        .expect("the first one saves");
    let mine = format!("# My own remark.\n{INVENTED}");
    let page = bench
        .post(&format!("/bikes/{bike}/text"), &[("version", "1"), ("text", &mine), ("why", "a remark")])
        .await;
    page.is(409).says("# My own remark.").says("theirs");
    assert_eq!((page.value_of("version"), page.value_of("why")), ("2", "a remark"));
}

#[tokio::test]
async fn history_shows_who_when_why_and_what_and_leads_back() {
    let bench = Bench::empty();
    let bike = bench.bike(INVENTED);
    bench
        .desk
        .save_bike(bike, &INVENTED.replace("length = 50", "length = 60"), "new stem", 1, &stamp())
        .expect("saved");
    let page = bench.get(&format!("/bikes/{bike}/history")).await;
    page.is(200)
        .says("Version 2, the newest")
        .says("<strong>Ida</strong>")
        .says("new stem")
        .says("The first version.");
    page.says("<del><span class=\"sign\">−</span>length = 50 # marked</del>");
    page.says("<ins><span class=\"sign\">+</span>length = 60 # marked</ins>");
    page.says("Restore version 1").says_not("Restore version 2");
    bench
        .get(&format!("/bikes/{bike}/text?version=1"))
        .await
        .says("length = 50 # marked")
        .says_not("<textarea");
    let reply = bench.post(&format!("/bikes/{bike}/restore"), &[("number", "1")]).await;
    assert_eq!(reply.leads_to(), format!("/bikes/{bike}?saved=3"));
    let now = bench.desk.bike(bike).expect("the bike");
    assert_eq!((now.number, now.text.as_str()), (3, INVENTED));
    bench.post(&format!("/bikes/{bike}/restore"), &[("number", "9")]).await.is(404);
}

#[tokio::test]
async fn a_new_bike_by_form_or_as_text() {
    let bench = Bench::empty();
    let by_form = bench.post("/bikes/new", &[("name", "By form"), ("stem.length", "50"), ("why", "")]).await;
    assert_eq!(by_form.leads_to(), "/bikes/1");
    let text = bench.desk.bike("1".parse().expect("an id")).expect("the bike").text;
    assert_eq!(text, "name = \"By form\"\n\n[stem]\nlength = 50\n");
    let by_text = bench.post("/bikes/new?as=text", &[("text", "name = \"By text\"\r\n"), ("why", "")]).await;
    assert_eq!(by_text.leads_to(), "/bikes/2");
    bench.get("/bikes/new?as=text").await.is(200).says("name=\"text\"");
    let nothing = bench.post("/bikes/new", &[("name", ""), ("why", "none")]).await;
    nothing.is(422).says("what the bike is called");
    let wrong = bench.post("/bikes/new", &[("name", "Wrong"), ("stem.length", "4000")]).await;
    wrong.is(422).says("Stem length cannot be 4000");
    assert_eq!(wrong.value_of("name"), "Wrong");
    let wrong = bench.post("/bikes/new?as=text", &[("text", "nmae = \"X\"")]).await;
    wrong.is(422).says("Line 1, column 1").says("nmae = &quot;X&quot;</textarea>");
}

#[tokio::test]
async fn every_bike_of_the_demo_survives_its_own_form() {
    let bench = Bench::empty();
    for (stem, text) in knockon_trade::demo::bikes() {
        let bike = bench.bike(text);
        let page = bench.get(&format!("/bikes/{bike}")).await;
        page.is(200);
        let entries = knockon_trade::record::edit::entries(text).expect("a record");
        let numbers = entries.keys().filter(|key| knockon_trade::tables::property(key).is_some());
        let fields: Vec<(String, String)> =
            numbers
                .flat_map(|key| ["", ".with", ".tolerance"].map(|part| format!("{key}{part}")))
                .map(|name| (name.clone(), page.value_of(&name).to_owned()))
                .chain(entries.iter().filter_map(|(key, entry)| {
                    Some((format!("{key}.known"), entry.known?.word().to_owned()))
                }))
                .chain([("version".to_owned(), "1".to_owned())])
                .collect();
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let reply = bench.post(&format!("/bikes/{bike}"), &fields).await;
        assert_eq!(
            reply.leads_to(),
            format!("/bikes/{bike}?saved=1"),
            "{stem}: nothing changed, so nothing is saved"
        );
    }
}
