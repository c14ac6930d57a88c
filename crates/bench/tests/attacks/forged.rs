//! Another site that makes the browser send a request here, with the session's cookie.

use crate::bench::Bench;
use crate::client::{Ask, Reply};

/// What a page of another site can make a browser send, and how the browser marks it.
const MARKS: [&[(&str, &str)]; 6] = [
    &[("Sec-Fetch-Site", "cross-site"), ("Origin", "https://evil.example")],
    &[("Sec-Fetch-Site", "same-site"), ("Origin", "http://other.localhost")],
    &[("Sec-Fetch-Site", "cross-site")],
    &[("Origin", "https://evil.example")],
    &[("Origin", "null")],
    &[],
];

/// Bodies that a form or a plain fetch sends without asking us first.
const BODIES: [(&str, &str); 3] = [
    ("application/x-www-form-urlencoded", "asked=forged&workshop=forged&length=mm&language=en"),
    ("text/plain", "{\"asked\":\"forged\"}"),
    (
        "multipart/form-data; boundary=edge",
        "--edge\r\nContent-Disposition: form-data; name=\"asked\"\r\n\r\nforged\r\n--edge--\r\n",
    ),
];

fn marked(ask: Ask, marks: &[(&str, &str)]) -> Ask {
    marks.iter().fold(ask, |ask, (name, value)| ask.header(name, value))
}

fn refused(bench: &Bench, session: Option<&str>) {
    for path in [
        "/questions/new",
        "/settings",
        "/settings/accounts",
        "/api/v1/questions",
        "/log-in",
        "/log-out",
        "/bikes/new",
    ] {
        for (media_type, body) in BODIES {
            for marks in MARKS {
                let mut ask = marked(bench.ask("POST", path), marks).body(media_type, body);
                if let Some(session) = session {
                    ask = ask.session(session);
                }
                let reply = ask.send();
                assert_eq!(reply.status, 403, "{path} {media_type} {marks:?}");
            }
        }
    }
    assert_eq!(bench.questions(), 0);
    assert!(bench.desk.settings().expect("settings").workshop.is_empty());
}

#[test]
fn a_form_of_another_site_changes_nothing() {
    refused(&Bench::open(), None);
}

#[test]
fn nor_does_it_with_a_session() {
    let bench = Bench::with_accounts();
    let session = bench.log_in("Kim");
    refused(&bench, Some(&session));
    assert_eq!(
        bench.ask("GET", "/settings").session(&session).send().status,
        200,
        "and nobody was logged out"
    );
}

#[test]
fn json_of_another_site_is_refused_and_never_agreed_to() {
    let bench = Bench::open();
    let there = marked(bench.ask("POST", "/api/v1/questions"), MARKS[3])
        .body("application/json", "{\"asked\":\"forged\"}");
    assert_eq!(there.send().status, 403);
    let asks_first = marked(bench.ask("OPTIONS", "/api/v1/questions"), MARKS[3])
        .header("Access-Control-Request-Method", "POST")
        .header("Access-Control-Request-Headers", "content-type")
        .send();
    assert!(!allows(&asks_first), "{:?}", asks_first.headers);
    let reads = marked(bench.ask("GET", "/settings"), MARKS[0]).send();
    assert!(!allows(&reads), "{:?}", reads.headers);
    assert_eq!(bench.questions(), 0);
}

#[test]
fn each_method_that_could_change_something_is_guarded() {
    let bench = Bench::open();
    for method in ["POST", "PUT", "PATCH", "DELETE", "TRACE", "PURGE"] {
        let reply = marked(bench.ask(method, "/settings"), MARKS[0]).body("application/json", "{}").send();
        assert_eq!(reply.status, 403, "{method}");
    }
}

#[test]
fn ones_own_pages_and_programs_get_through() {
    let bench = Bench::open();
    let form = [("workshop", "Millrace"), ("length", "mm"), ("language", "en")];
    let saved = |ask: Ask| ask.form(&form).send().status;
    assert_eq!(saved(bench.ask("POST", "/settings").own()), 303);
    let origin = format!("http://{}", bench.address);
    assert_eq!(saved(bench.ask("POST", "/settings").header("Origin", &origin)), 303);
    // A program's JSON is let through to the page, which then does not want it.
    let json = bench.ask("POST", "/settings").body("application/json", "{}").send();
    assert_eq!(json.status, 415);
}

fn allows(reply: &Reply) -> bool {
    reply.headers.iter().any(|(name, _)| name.starts_with("access-control-allow"))
}
