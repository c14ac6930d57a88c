//! Every way to get a request wrong is told as problem details.

use axum::body::Body;
use axum::http::header::{ALLOW, CONTENT_LENGTH, CONTENT_TYPE};
use axum::http::{Method, Request};
use serde_json::{Value, json};

use crate::bench::Bench;
use crate::document::is_problem;

const QUESTIONS: &str = "/api/v1/questions";
const ANSWERS: &str = "/api/v1/answers";
const BIKES: &str = "/api/v1/bikes";

/// Line and column of the first problem of a text.
#[track_caller]
fn place(problem: &Value) -> (u64, u64) {
    let first = &problem["problems"][0];
    (first["line"].as_u64().expect("a line"), first["column"].as_u64().expect("a column"))
}

#[tokio::test]
async fn what_is_no_json() {
    let bench = Bench::empty();
    for body in ["", "{", "asked", "{\"asked\": \"x\"} and more", "\u{feff}{}"] {
        let reply = bench.raw(Method::POST, QUESTIONS, "application/json", body).await;
        let problem = is_problem(&reply, 400, "unreadable", QUESTIONS);
        assert!(place(&problem).0 >= 1, "{body}");
    }
    let reply = bench.raw(Method::POST, QUESTIONS, "application/json", vec![b'"', 0xff, b'"']).await;
    is_problem(&reply, 400, "unreadable", QUESTIONS);
    let deep = "[".repeat(100_000);
    let reply = bench.raw(Method::POST, QUESTIONS, "application/json", deep).await;
    assert!([400, 422].contains(&reply.status.as_u16()), "{}", reply.status);
}

#[tokio::test]
async fn json_that_says_something_else() {
    let bench = Bench::empty();
    for (body, says) in [
        ("{\n \"asked\": \"x\",\n \"colour\": \"red\"}", "unknown field `colour`"),
        ("{}", "missing field `asked`"),
        ("{\"asked\": 5}", "invalid type"),
        ("{\"asked\": \"x\", \"bike\": \"one\"}", "invalid type"),
        ("[]", "invalid"),
        ("null", "invalid type"),
        ("{\"asked\": \"x\", \"asked\": \"y\"}", "duplicate field"),
    ] {
        let reply = bench.raw(Method::POST, QUESTIONS, "application/json", body).await;
        let problem = is_problem(&reply, 422, "not-usable", QUESTIONS);
        assert!(problem["problems"][0]["message"].as_str().unwrap().contains(says), "{body}: {problem}");
    }
    let reply = bench
        .raw(Method::POST, QUESTIONS, "application/json", "{\n \"asked\": \"x\",\n \"colour\": 1}")
        .await;
    assert_eq!(place(&reply.value()).0, 3);
    assert_eq!(bench.get("/api/v1/counts").await.with(200)["new"], 0, "nothing was kept");
}

#[tokio::test]
async fn another_kind_of_body() {
    let bench = Bench::empty();
    for kind in ["text/plain", "application/x-www-form-urlencoded", "application/jsonp", "application/xml"] {
        // A browser's own page may send any kind; a program that sends another kind is refused earlier.
        let request =
            Request::post(QUESTIONS).header(CONTENT_TYPE, kind).header("sec-fetch-site", "same-origin");
        let reply = bench.send(request.body(Body::from("{\"asked\": \"x\"}")).unwrap()).await;
        is_problem(&reply, 415, "unreadable", QUESTIONS);
        let reply = bench.raw(Method::POST, QUESTIONS, kind, "{\"asked\": \"x\"}").await;
        is_problem(&reply, 403, "refused", QUESTIONS);
    }
    let reply =
        bench.raw(Method::POST, QUESTIONS, "Application/JSON; charset=utf-8", "{\"asked\": \"x\"}").await;
    assert_eq!(reply.status, 201);
}

#[tokio::test]
async fn a_request_of_another_site() {
    let bench = Bench::empty();
    let request = Request::post(QUESTIONS)
        .header(CONTENT_TYPE, "application/json")
        .header("origin", "https://elsewhere.example");
    let reply = bench.send(request.body(Body::from("{\"asked\": \"x\"}")).unwrap()).await;
    is_problem(&reply, 403, "refused", QUESTIONS);
    let request = Request::get(QUESTIONS).header("host", "rebound.example:7474");
    let reply = bench.send(request.body(Body::empty()).unwrap()).await;
    assert!(reply.status.is_client_error() && reply.kind() == "application/problem+json", "{}", reply.status);
}

#[tokio::test]
async fn too_much() {
    let bench = Bench::empty();
    let large = json!({ "asked": "x".repeat(2 << 20) }).to_string();
    // Sent without being announced; and announced without being sent.
    let reply = bench.raw(Method::POST, QUESTIONS, "application/json", large).await;
    is_problem(&reply, 413, "too-large", QUESTIONS);
    let request = Request::post(QUESTIONS)
        .header(CONTENT_TYPE, "application/json")
        .header(CONTENT_LENGTH, "99999999999");
    is_problem(&bench.send(request.body(Body::empty()).unwrap()).await, 413, "too-large", QUESTIONS);
}

#[tokio::test]
async fn an_address_or_method_that_there_is_not() {
    let bench = Bench::demo();
    for path in [
        "/api/",
        "/api/v1",
        "/api/v1/",
        "/api/v2/questions",
        "/api/v1/question",
        "/api/v1/questions/one",
        "/api/v1/questions/1/",
        "/api/v1/questions/99999",
        "/api/v1/questions/-1",
        "/api/v1/bikes/99999/history",
        "/api/v1/bikes/1/versions/99",
        "/api/v1/bikes/1/versions/x",
        "/api/v1/photos/77",
        "/api/v1/sheets/nosheet1",
        "/api/v1/sheets/nosheet1/1",
        "/api/v1/sheets/nosheet1/1/html",
        "/api/v1/quantities/trial",
        "/api/v1/questions/99999999999999999999",
        "/api/v1/questions/%00",
        "/api/v1/sheets/..%2f..%2fetc/1/html",
    ] {
        let problem = is_problem(&bench.get(path).await, 404, "not-found", path);
        assert!(problem["help"].is_string(), "{path}");
    }
    let near = bench.get("/api/v1/quantities/trial").await.value();
    assert!(near["help"].as_str().unwrap().contains("trail"), "{near}");
    let sheets = bench.get("/api/v1/sheets").await.with(200);
    let code = sheets["sheets"][0]["code"].as_str().expect("the demo has published sheets");
    let path = format!("/api/v1/sheets/{code}/1/pdf");
    is_problem(&bench.get(&path).await, 404, "not-found", &path);

    for (method, path) in
        [(Method::DELETE, QUESTIONS), (Method::PATCH, "/api/v1/bikes/1"), (Method::GET, ANSWERS)]
    {
        let reply = bench.json(method.clone(), path, None).await;
        is_problem(&reply, 405, "not-allowed", path);
        assert!(reply.headers.contains_key(ALLOW), "{method} {path}");
    }
}

#[tokio::test]
async fn a_query_that_cannot_be_read() {
    let bench = Bench::empty();
    for query in [
        "limit=many",
        "state=lost",
        "urgent=perhaps",
        "bike=one",
        "colour=red",
        "offset=-1",
        "limit=1&limit=2",
    ] {
        let path = format!("{QUESTIONS}?{query}");
        let problem = is_problem(&bench.get(&path).await, 400, "unreadable", &path);
        assert!(problem["detail"].as_str().unwrap().len() > 30, "{problem}");
    }
    for path in [QUESTIONS, BIKES, "/api/v1/sheets"] {
        for limit in ["0", "201", "4294967295"] {
            let path = format!("{path}?limit={limit}");
            is_problem(&bench.get(&path).await, 422, "not-usable", &path);
        }
        bench.get(&format!("{path}?limit=200&offset=4294967295")).await.with(200);
    }
}

/// Whatever is searched for, it is words.
#[tokio::test]
async fn any_words_can_be_searched_for() {
    let bench = Bench::demo();
    for words in [
        "%22",
        "%27",
        "a%20OR%20b",
        "NEAR(",
        "*",
        "-",
        "%5E",
        "%28%29",
        "%00",
        "%EF%BF%BF",
        "%2a%2a%22%22",
        "fork%20AND",
    ] {
        for path in [QUESTIONS, BIKES, "/api/v1/sheets"] {
            bench.get(&format!("{path}?words={words}")).await.with(200);
        }
    }
}

#[tokio::test]
async fn faults_of_a_record_have_their_places() {
    let bench = Bench::empty();
    let faulty = "name = \"Willow\"\n[chart]\nstak = 612\nreach = \"4 kg\"\n";
    for (path, sent) in [
        (BIKES, json!({ "record": faulty })),
        (ANSWERS, json!({ "record": faulty, "changes": ["stem length 40"] })),
    ] {
        let problem = is_problem(&bench.post(path, &sent).await, 422, "not-usable", path);
        let lines: Vec<u64> =
            problem["problems"].as_array().unwrap().iter().filter_map(|one| one["line"].as_u64()).collect();
        assert_eq!(lines, [3, 4], "{problem}");
        assert!(problem["problems"][0]["help"].as_str().unwrap().contains("stack"), "{problem}");
    }
    assert_eq!(bench.get(BIKES).await.with(200)["bikes"], json!([]), "nothing was kept");
    let path = "/api/v1/bikes/table";
    is_problem(&bench.post(path, &json!({ "table": "Dear workshop" })).await, 422, "not-usable", path);
}

#[tokio::test]
async fn faults_of_changes_have_their_places() {
    let bench = Bench::demo();
    let sent = json!({ "bike": 1, "changes": ["stem length 40", "bar rize 30"] });
    let problem = is_problem(&bench.post(ANSWERS, &sent).await, 422, "not-usable", ANSWERS);
    assert!(problem["problems"][0]["help"].as_str().unwrap().contains("bar rise"), "{problem}");
    assert_eq!((place(&problem), &problem["problems"][0]["text"]), ((1, 1), &json!("bar rize")));
    let many: Vec<String> = (0..17).map(|_| "saddle height by 1".to_owned()).collect();
    is_problem(
        &bench.post(ANSWERS, &json!({ "bike": 1, "changes": many })).await,
        422,
        "not-usable",
        ANSWERS,
    );
}

#[tokio::test]
async fn an_answer_is_about_one_bike() {
    let bench = Bench::demo();
    for sent in [json!({ "changes": [] }), json!({ "bike": 1, "record": "name = \"x\"", "changes": [] })] {
        is_problem(&bench.post(ANSWERS, &sent).await, 422, "not-usable", ANSWERS);
    }
    let sent = json!({ "bike": 99999, "changes": ["stem length 40"] });
    is_problem(&bench.post(ANSWERS, &sent).await, 404, "not-found", ANSWERS);
}

#[tokio::test]
async fn a_draft_may_be_faulty_but_not_published() {
    let bench = Bench::demo();
    let new = json!({ "asked": "Bar?", "bike": 1, "changes": "" });
    let question = bench.post(QUESTIONS, &new).await.with(201);
    let path = format!("{QUESTIONS}/{}", question["id"]);
    let saved = bench.put(&format!("{path}/draft"), &json!({ "changes": "bar rise 4" })).await.with(200);
    assert_eq!(saved["draft"]["changes"], "bar rise 4");
    let saved = bench.put(&format!("{path}/draft"), &json!({ "changes": "bar ri" })).await.with(200);
    assert_eq!(saved["draft"]["changes"], "bar ri", "nothing that was typed is lost");
    let publish = format!("{path}/publish");
    is_problem(&bench.post(&publish, &json!({})).await, 422, "not-usable", &publish);
    let answer = format!("{path}/answer?way=instead");
    is_problem(&bench.get(&answer).await, 422, "not-usable", &answer);
}

#[tokio::test]
async fn what_is_no_picture() {
    let bench = Bench::demo();
    let path = format!("{QUESTIONS}/1/photos");
    for picture in [
        "not base64!",
        "",
        "PHN2ZyB4bWxucz0iaHR0cDovL3d3dy53My5vcmcvMjAwMC9zdmciLz4=",
        "R0lGODlhAQABAAAAACw=",
    ] {
        is_problem(&bench.post(&path, &json!({ "picture": picture })).await, 422, "not-usable", &path);
    }
    assert_eq!(bench.get(&path).await.with(200)["photos"], json!([]));
}
