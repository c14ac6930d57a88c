//! Inspections and the table of cleaners, by plain forms.

use axum::http::header::LOCATION;
use knockon_trade::inspection::protocols;
use knockon_trade::tables;

use crate::bench::{Bench, stamp};

/// Where a reply leads to.
fn leads(reply: &crate::bench::Reply) -> String {
    reply.is(303);
    reply.headers[LOCATION].to_str().expect("an address").to_owned()
}

#[tokio::test]
async fn every_protocol_has_a_page_with_its_cautions_and_sources() {
    let bench = Bench::empty();
    let list = bench.get("/inspect").await;
    for protocol in protocols() {
        list.is(200).says(&protocol.title);
        let page = bench.get(&format!("/inspect/{}", protocol.id)).await;
        page.is(200);
        for caution in protocol.all_cautions() {
            page.says(&caution.text);
        }
        for step in &protocol.steps {
            page.says(&step.ask);
        }
        page.says("Source: ");
        bench.get(&format!("/inspect/{}/form", protocol.id)).await.is(200).says("Signatures");
    }
    bench.get("/inspect/no-such").await.is(404);
    bench.get("/inspect/no-such/form").await.is(404);
    bench.get("/inspections/9").await.is(404);
}

#[tokio::test]
async fn a_run_without_a_question_makes_one_and_is_kept_answer_by_answer() {
    let bench = Bench::empty();
    let begun =
        bench.post("/inspections", &[("protocol", "rotor"), ("part", "front"), ("rider", "Ada")]).await;
    assert_eq!(leads(&begun), "/inspections/1#ask");
    let question = bench.desk.inspection(knockon_desk::InspectionId(1)).unwrap().question;
    let kept = bench.desk.question(question).unwrap();
    assert_eq!((kept.rider.as_str(), kept.asked.contains("front")), ("Ada", true));
    bench.get("/inspections/1").await.is(200).says("Is the rotor cracked");
    let run = [("crack", "none"), ("bolts", "tight"), ("heat", "none"), ("match", "match"), ("mark", "none")];
    for (step, answer) in run {
        bench.post("/inspections/1/answer", &[("step", step), ("answer", answer)]).await.is(303);
    }
    let wrong = bench
        .post(
            "/inspections/1/answer",
            &[("step", "thickness"), ("answer", "typed"), ("typed", "<b>thick"), ("note", "three places")],
        )
        .await;
    let back = leads(&wrong);
    bench
        .get(back.split('#').next().unwrap())
        .await
        .is(200)
        .says("is no number")
        .says("three places")
        .says_not("<b>thick");
    // An address puts no words of its own on the page.
    let forged = bench.get("/inspections/1?at=thickness&typed=1.6&wrong=All+clear").await;
    forged.is(200).says_not("All clear").says_not("is no number");
    bench
        .post("/inspections/1/answer", &[("step", "thickness"), ("answer", "typed"), ("typed", "1.42")])
        .await
        .is(303);
    let page = bench.get("/inspections/1").await;
    page.is(200).says("Do not ride").says("Signed by");
    bench.post("/inspections/1/answer", &[("step", "nonsense"), ("answer", "x")]).await.is(404);
    bench.post("/inspections/1/answer", &[("step", "crack"), ("answer", "perhaps")]).await.is(422);
    for ending in ["md", "txt", "json"] {
        bench.get(&format!("/inspections/1/sheet.{ending}")).await.is(200);
    }
    bench.get("/inspections/1/sheet.exe").await.is(404);
    bench.get("/inspections/1/sheet").await.is(200).says("Looked at by").says("Not checked");
    bench.post("/inspections/1/sign", &[("name", "Sam")]).await.is(303);
    bench.get("/inspections/1").await.says("signed by Sam").says_not("Sign and close");
    bench
        .post("/inspections/1/answer", &[("step", "crack"), ("answer", "crack")])
        .await
        .is(422)
        .says("has signed");
    bench.post("/inspections/1/remove", &[]).await.is(422);
    bench.post("/inspections/1/open", &[]).await.is(303);
    assert!(leads(&bench.post("/inspections/1/remove", &[]).await).starts_with("/questions/"));
    bench.get("/inspections/1").await.is(404);
}

#[tokio::test]
async fn a_question_that_speaks_of_danger_suggests_protocols_and_shows_what_came_out() {
    let bench = Bench::empty();
    let question = bench.ask("Crashed, now there is a crack in the carbon frame, top tube");
    let page = bench.get(&format!("/questions/{question}")).await;
    page.is(200).says("What was asked suggests").says("Carbon frame: a mark or a knock");
    let id = question.to_string();
    bench.post("/inspections", &[("protocol", "carbon-frame"), ("question", &id)]).await.is(303);
    for (step, answer) in [("clean", "all"), ("happened", "knock"), ("line", "jagged")] {
        bench.post("/inspections/1/answer", &[("step", step), ("answer", answer)]).await.is(303);
    }
    let page = bench.get(&format!("/questions/{question}")).await;
    page.is(200).says("Do not ride this frame").says("/inspections/1");
    let sheet = bench.get(&format!("/questions/{question}/sheet.html")).await;
    sheet.is(200).says("What was found").says("Jagged, branched, or in two directions");
}

/// Nothing that is typed becomes markup, on any page that shows it.
#[tokio::test]
async fn what_is_typed_is_words() {
    let bench = Bench::empty();
    let nasty = "\"><script>alert(1)</script>";
    bench
        .post("/inspections", &[("protocol", "carbon-frame"), ("part", nasty), ("rider", nasty)])
        .await
        .is(303);
    let fields = [("step", "happened"), ("answer", "knock"), ("note", nasty)];
    bench.post("/inspections/1/answer", &fields).await.is(303);
    for (step, answer) in [("clean", "all"), ("line", "jagged")] {
        bench.post("/inspections/1/answer", &[("step", step), ("answer", answer)]).await.is(303);
    }
    bench.post("/inspections/1/sign", &[("name", nasty)]).await.is(303);
    let question = bench.desk.inspection(knockon_desk::InspectionId(1)).unwrap().question;
    for path in [
        "/inspect".to_owned(),
        "/inspections/1".to_owned(),
        "/inspections/1/sheet".to_owned(),
        format!("/questions/{question}"),
        format!("/questions/{question}/sheet.html"),
        "/inspect/carbon-frame?question=%3Cscript%3E".to_owned(),
        "/cleaning?agent=%3Cscript%3E&surface=%22%3E&routine=x".to_owned(),
    ] {
        bench.get(&path).await.is(200).says_not("<script>alert");
    }
}

#[tokio::test]
async fn marks_that_cannot_be_read_come_back_with_their_line() {
    let bench = Bench::empty();
    let question = bench.ask("A crack?");
    let pixel: &[u8] = &[
        0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 0, 0, 1, 0,
        0, 0, 1, 8, 0, 0, 0, 0, 0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0, 10, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9c,
        0x63, 0x60, 0, 0, 0, 2, 0, 1, 0x48, 0xaf, 0xa4, 0x71, 0, 0, 0, 0, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42,
        0x60, 0x82,
    ];
    let inspection = bench.desk.begin_inspection(question, "carbon-frame", "", &stamp()).unwrap();
    let path = format!("/inspections/{inspection}/photos");
    bench.upload(&path, &[("photo", pixel), ("caption", b"a <b>point</b>")]).await.is(303);
    bench.get(&format!("/inspections/{inspection}")).await.says("a &lt;b&gt;point&lt;/b&gt;");
    let fields = [("marks", "circle 10 10 5 here\r\nblob 1"), ("caption", "kept")];
    bench
        .post("/photos/1/marks", &fields)
        .await
        .is(422)
        .says("no mark")
        .says("circle 10 10 5 here")
        .says("kept");
    let fields = [("marks", "circle 10 10 5 <i>here"), ("caption", "kept")];
    bench.post("/photos/1/marks", &fields).await.is(303);
    bench.get("/photos/1/marks").await.is(200).says("circle: &lt;i&gt;here").says_not("<i>here");
    bench.get("/photos/7/marks").await.is(404);
    bench.upload(&path, &[("photo", b"<svg onload=alert(1)>")]).await.is(422);
}

#[tokio::test]
async fn the_table_of_cleaners_says_everything_of_a_pair() {
    let bench = Bench::empty();
    let all = bench.get("/cleaning").await;
    all.is(200);
    for row in tables::agents() {
        all.says(&row.name);
        let page = bench.get(&format!("/cleaning?agent={}", row.id)).await;
        page.is(200).says(&row.is);
    }
    for row in tables::care() {
        let page = bench.get(&format!("/cleaning?agent={}&surface={}", row.agent, row.surfaces[0])).await;
        page.is(200).says(&row.effect).says(&row.action).says(&row.source);
        for caution in row.cautions() {
            page.says(&caution.text);
        }
    }
    for routine in tables::routines() {
        let page = bench.get(&format!("/cleaning?routine={}", routine.id)).await;
        for step in &routine.steps {
            page.says(&step.action);
        }
        for caution in routine.cautions() {
            page.says(&caution.text);
        }
    }
}
