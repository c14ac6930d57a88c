//! The same digits as everywhere: what the API answers is what the one function answers, written by the one writer.

use knockon_trade::demo;
use knockon_trade::findings::answer;
use knockon_trade::question::read_question;
use serde_json::json;

use crate::bench::Bench;

/// Bytes, not only values: a figure on a page can be copied from here.
#[tokio::test]
async fn a_record_that_is_sent_is_answered_byte_for_byte() {
    let bench = Bench::empty();
    for (stem, text) in demo::questions() {
        let asked = read_question(stem, text).expect("a question of the demo");
        let record = demo::bikes().iter().find(|(name, _)| *name == asked.bike).expect("its bike").1;
        let expected = knockon_sheet::json::json(&answer(demo::question(stem)).expect("an answer"));
        let sent = json!({ "record": record, "changes": asked.changes, "asked": asked.asked });
        let reply = bench.post("/api/v1/answers", &sent).await;
        assert_eq!((reply.status.as_u16(), reply.text()), (200, expected.as_str()), "{stem}");

        let bike = bench.post("/api/v1/bikes", &json!({ "record": record })).await.with(201);
        let sent = json!({ "bike": bike["id"], "changes": asked.changes, "asked": asked.asked });
        let reply = bench.post("/api/v1/answers", &sent).await;
        assert_eq!(reply.text(), expected, "{stem}, of a bike that is kept");

        let new = json!({ "asked": asked.asked, "bike": bike["id"], "changes": asked.changes.join("\n") });
        let question = bench.post("/api/v1/questions", &new).await.with(201);
        let path = format!("/api/v1/questions/{}/answer", question["id"]);
        assert_eq!(bench.get(&path).await.text(), expected, "{stem}, as a question that is kept");
    }
}

#[tokio::test]
async fn what_is_published_is_what_was_answered() {
    let bench = Bench::demo();
    let listed = bench.get("/api/v1/questions?state=new&limit=200").await.with(200);
    let rows = listed["questions"].as_array().expect("rows");
    let row = rows.iter().find(|row| !row["bike"].is_null()).expect("a new question about a bike");
    let path = format!("/api/v1/questions/{}", row["id"]);
    let answered = bench.get(&format!("{path}/answer")).await;
    let sheet = bench.post(&format!("{path}/publish"), &json!({})).await.with(201);
    let file = format!("/api/v1/sheets/{}/1/json", sheet["code"].as_str().expect("a code"));
    assert_eq!(bench.get(&file).await.text(), answered.text());
}

/// A workshop that knows its tape better than most gets the same answer about its bike with and without a question.
#[tokio::test]
async fn the_workshops_tools_count_for_its_own_bikes() {
    let bench = Bench::empty();
    let record = "name = \"Willow\"\n[chart]\nhead_angle = 65\nstack = { value = 612, known = \"measured\", with = \"tape\" }\n";
    let bike = bench.post("/api/v1/bikes", &json!({ "record": record })).await.with(201);
    let changes = ["spacers below by -10"];
    let sent = json!({ "bike": bike["id"], "changes": changes });
    let usual = bench.post("/api/v1/answers", &sent).await;
    let mut settings = bench.get("/api/v1/settings").await.with(200);
    settings["tolerances"] = json!({ "tape": 0.5 });
    bench.put("/api/v1/settings", &settings).await.with(200);
    let better = bench.post("/api/v1/answers", &sent).await;
    assert_ne!(usual.text(), better.text());
    let by_text = bench.post("/api/v1/answers", &json!({ "record": record, "changes": changes })).await;
    assert_eq!(by_text.text(), usual.text(), "a record that is sent is answered as the command line does");
    let new = json!({ "asked": "Lower?", "bike": bike["id"], "changes": changes[0] });
    let question = bench.post("/api/v1/questions", &new).await.with(201);
    let stored = bench.get(&format!("/api/v1/questions/{}/answer", question["id"])).await.value();
    assert_eq!(stored["knock_ons"], better.value()["knock_ons"]);
}
