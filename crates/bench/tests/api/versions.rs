//! Two people at one thing: nobody writes over what they have not seen.

use serde_json::{Value, json};

use crate::bench::Bench;
use crate::document::is_problem;

const RECORD: &str = "name = \"Willow\"\n[chart]\nstack = 612\nreach = 430\n";

#[tokio::test]
async fn a_bike_that_somebody_else_saved_is_not_written_over() {
    let bench = Bench::empty();
    let bike = bench.post("/api/v1/bikes", &json!({ "record": RECORD })).await.with(201);
    let path = format!("/api/v1/bikes/{}", bike["id"]);
    let theirs = RECORD.replace("430", "440");
    bench.put(&path, &json!({ "record": theirs, "version": 1 })).await.with(200);
    let ours = json!({ "record": RECORD.replace("430", "450"), "version": 1 });
    is_problem(&bench.put(&path, &ours).await, 409, "conflict", &path);
    assert_eq!(bench.get(&path).await.with(200)["record"], theirs.as_str());
    let again = json!({ "record": ours["record"], "version": 2 });
    assert_eq!(bench.put(&path, &again).await.with(200)["version"], 3);
    // The same text saves nothing.
    let same = json!({ "record": ours["record"], "version": 3 });
    assert_eq!(bench.put(&path, &same).await.with(200)["version"], 3);
}

#[tokio::test]
async fn a_question_that_somebody_else_saved_is_not_written_over() {
    let bench = Bench::empty();
    let question = bench.post("/api/v1/questions", &json!({ "asked": "Too long?" })).await.with(201);
    let path = format!("/api/v1/questions/{}", question["id"]);
    let edit = |notes: &str, version: &Value| json!({ "asked": "Too long?", "rider": "", "bike": null, "notes": notes, "state": "waiting", "version": version });
    let theirs = bench.put(&path, &edit("theirs", &question["version"])).await.with(200);
    is_problem(&bench.put(&path, &edit("ours", &question["version"])).await, 409, "conflict", &path);
    let now = bench.get(&path).await.with(200);
    assert_eq!((&now["notes"], &now["version"]), (&json!("theirs"), &theirs["version"]));
    bench.put(&path, &edit("ours", &now["version"])).await.with(200);
}

#[tokio::test]
async fn an_older_version_comes_back_as_the_newest() {
    let bench = Bench::empty();
    let bike = bench.post("/api/v1/bikes", &json!({ "record": RECORD })).await.with(201);
    let path = format!("/api/v1/bikes/{}", bike["id"]);
    bench.put(&path, &json!({ "record": RECORD.replace("430", "440"), "version": 1 })).await.with(200);
    let restore = format!("{path}/restore");
    is_problem(&bench.post(&restore, &json!({ "version": 9 })).await, 404, "not-found", &restore);
    let restored = bench.post(&restore, &json!({ "version": 1 })).await.with(200);
    assert_eq!((&restored["version"], &restored["record"]), (&json!(3), &json!(RECORD)));
}
