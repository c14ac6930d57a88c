//! Settings, accounts and logging in, as a person without JavaScript uses them.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use knockon_bench::{Options, router};
use knockon_desk::{Desk, LengthUnit, Role, Settings, Stamp};
use tempfile::TempDir;
use tower::ServiceExt;

const PASSWORD: &str = "four unrelated words";

/// A bench that is asked without a network.
struct Bench {
    desk: Desk,
    router: Router,
    _folder: TempDir,
}

/// An answer.
struct Answer {
    status: StatusCode,
    to: String,
    cookie: String,
    kind: String,
    text: String,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let options = Options { listen: "127.0.0.1:8021".parse().expect("an address"), reached_as: None };
        let router = router(desk.clone(), &options);
        Self { desk, router, _folder: folder }
    }

    fn get(&self, path: &str, cookie: &str) -> Answer {
        self.send("GET", path, cookie, String::new())
    }

    fn post(&self, path: &str, cookie: &str, form: &[(&str, &str)]) -> Answer {
        let fields: Vec<String> =
            form.iter().map(|(name, value)| format!("{name}={}", value.replace(' ', "+"))).collect();
        self.send("POST", path, cookie, fields.join("&"))
    }

    fn send(&self, method: &str, path: &str, cookie: &str, body: String) -> Answer {
        self.send_with(method, path, cookie, body, &[])
    }

    fn send_with(
        &self,
        method: &str,
        path: &str,
        cookie: &str,
        body: String,
        headers: &[(&str, &str)],
    ) -> Answer {
        let mut request = Request::builder();
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request
            .method(method)
            .uri(path)
            .header(header::HOST, "localhost:8021")
            .header("sec-fetch-site", "same-origin")
            .header(header::COOKIE, cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .expect("a request");
        let runtime = tokio::runtime::Runtime::new().expect("a runtime");
        runtime.block_on(async {
            let response = self.router.clone().oneshot(request).await.expect("an answer");
            let named = |name| {
                response.headers().get(name).and_then(|value| value.to_str().ok()).unwrap_or("").to_owned()
            };
            let (status, to, kind) =
                (response.status(), named(header::LOCATION), named(header::CONTENT_TYPE));
            let cookie = named(header::SET_COOKIE).split(';').next().unwrap_or_default().to_owned();
            let bytes = to_bytes(response.into_body(), 1 << 20).await.expect("a body");
            Answer { status, to, cookie, kind, text: String::from_utf8_lossy(&bytes).into_owned() }
        })
    }
}

fn stamp() -> Stamp {
    Stamp::now("the test")
}

#[test]
fn what_is_saved_holds_and_the_page_says_so() {
    let bench = Bench::new();
    let form = [
        ("workshop", "Millrace"),
        ("drawn_by", "Kim"),
        ("length", "inch"),
        ("language", "fr"),
        ("tol-tape", "1,5"),
    ];
    let saved = bench.post("/settings", "", &form);
    assert_eq!((saved.status, saved.to.as_str()), (StatusCode::SEE_OTHER, "/settings?done=saved"));
    let settings = bench.desk.settings().expect("settings");
    assert_eq!((settings.workshop.as_str(), settings.length), ("Millrace", LengthUnit::Inch));
    assert_eq!(settings.tolerances.get("tape"), Some(&1.5));
    let page = bench.get(&saved.to, "").text;
    assert!(page.contains("role=\"status\"") && page.contains("Saved."));
    assert!(
        page.contains("value=\"Millrace\"")
            && page.contains("id=\"tol-tape\" name=\"tol-tape\" value=\"1.5\"")
    );
    assert!(page.contains("<footer class=\"foot\"><p>Millrace"));
}

#[test]
fn what_is_wrong_is_said_at_its_field_and_the_typing_is_kept() {
    let bench = Bench::new();
    let before = bench.desk.settings().expect("settings");
    let form =
        [("workshop", "Kept"), ("length", "mm"), ("language", "en"), ("tol-tape", "two"), ("tol-ruler", "0")];
    let answer = bench.post("/settings", "", &form);
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("href=\"#tol-tape\"") && answer.text.contains("id=\"tol-tape-wrong\""));
    assert!(answer.text.contains("value=\"two\"") && answer.text.contains("value=\"Kept\""));
    assert_eq!(answer.text.matches("aria-invalid=\"true\"").count(), 2);
    assert_eq!(bench.desk.settings().expect("settings"), before);
}

#[test]
fn every_control_has_a_label_and_every_tool_a_source() {
    let page = Bench::new().get("/settings", "").text;
    for tool in knockon_trade::fact::tool_settings() {
        let field = format!("tol-{}", tool.name.replace(' ', "-"));
        assert!(
            page.contains(&format!("for=\"{field}\"")) && page.contains(&format!("id=\"{field}\"")),
            "{field}"
        );
        assert!(page.contains(&format!("placeholder=\"{}\"", tool.value)), "{field}");
    }
    let ids = page.split(" for=\"").skip(1).filter_map(|rest| rest.split('"').next());
    for id in ids {
        assert_eq!(page.matches(&format!(" id=\"{id}\"")).count(), 1, "{id}");
    }
}

#[test]
fn the_first_account_closes_the_bench_and_opens_it_for_its_owner() {
    let bench = Bench::new();
    let new = |role| [("new-name", "Kim"), ("new-password", PASSWORD), ("new-role", role)];
    let reader = bench.post("/settings/accounts", "", &new("read"));
    assert_eq!(reader.status, StatusCode::UNPROCESSABLE_ENTITY, "nobody could add another");
    assert_eq!(bench.post("/settings/accounts", "", &new("answer")).status, StatusCode::SEE_OTHER);
    let shut = bench.get("/settings", "");
    assert_eq!(shut.to, "/log-in?back=/settings");
    let wrong =
        bench.post("/log-in", "", &[("name", "Kim"), ("password", "something else"), ("back", "/settings")]);
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.text.contains("value=\"Kim\"") && !wrong.text.contains("something else"));
    let right = bench.post("/log-in", "", &[("name", "Kim"), ("password", PASSWORD), ("back", "/settings")]);
    assert_eq!((right.status, right.to.as_str()), (StatusCode::SEE_OTHER, "/settings"));
    let page = bench.get("/settings", &right.cookie).text;
    assert!(page.contains("Log out") && page.contains("Change Kim"));
    let out = bench.post("/log-out", &right.cookie, &[]);
    assert_eq!(out.to, "/log-in");
    assert_eq!(bench.get("/settings", &right.cookie).to, "/log-in?back=/settings");
}

#[test]
fn a_weak_password_and_a_taken_name_are_said_at_their_field() {
    let bench = Bench::new();
    let weak = bench.post(
        "/settings/accounts",
        "",
        &[("new-name", "Lee"), ("new-password", "short"), ("new-role", "answer")],
    );
    assert_eq!(weak.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(weak.text.contains("id=\"new-password-wrong\"") && weak.text.contains("value=\"Lee\""));
    assert!(!weak.text.contains("value=\"short\""));
    bench.desk.add_account("Kim", PASSWORD, Role::Answer, &stamp()).expect("an account");
    let kim = bench.post("/log-in", "", &[("name", "Kim"), ("password", PASSWORD)]).cookie;
    let taken = bench.post(
        "/settings/accounts",
        &kim,
        &[("new-name", "Kim"), ("new-password", PASSWORD), ("new-role", "read")],
    );
    assert_eq!(taken.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(taken.text.contains("id=\"new-name-wrong\""));
}

#[test]
fn an_account_is_removed_only_when_one_is_sure() {
    let bench = Bench::new();
    for (name, role) in [("Kim", Role::Answer), ("Lee", Role::Read)] {
        bench.desk.add_account(name, PASSWORD, role, &stamp()).expect("an account");
    }
    let kim = bench.post("/log-in", "", &[("name", "Kim"), ("password", PASSWORD)]).cookie;
    let remove =
        |sure| bench.post("/settings/accounts/remove", &kim, &[("name", "Lee"), ("sure", sure)]).status;
    assert_eq!(remove(""), StatusCode::UNPROCESSABLE_ENTITY);
    // Nobody else may answer, however the name is spelt.
    for name in ["Kim", "KIM", "kim "] {
        let last = bench.post("/settings/accounts/remove", &kim, &[("name", name), ("sure", "yes")]);
        assert_eq!(last.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
    }
    assert_eq!(remove("yes"), StatusCode::SEE_OTHER);
    assert_eq!(bench.desk.accounts().expect("accounts").len(), 1);
    let password =
        bench.post("/settings/accounts/password", &kim, &[("name", "Kim"), ("password", "new four words")]);
    assert_eq!(password.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.get("/settings", &kim).to, "/log-in?back=/settings", "the old session has ended");
}

/// Without accounts the bench is whoever sits at this machine; what a proxy passes on comes from anywhere.
#[test]
fn what_a_proxy_passes_on_is_not_let_in_without_an_account() {
    let bench = Bench::new();
    assert_eq!(bench.get("/settings", "").status, StatusCode::OK);
    let relayed =
        bench.send_with("GET", "/settings", "", String::new(), &[("x-forwarded-for", "203.0.113.5")]);
    assert_eq!(relayed.to, "/log-in?back=/settings");
}

#[test]
fn the_demo_says_that_it_is_invented() {
    let bench = Bench::new();
    let settings = Settings { workshop: knockon_trade::demo::WORKSHOP.to_owned(), ..Settings::default() };
    bench.desk.save_settings(&settings, &stamp()).expect("settings");
    assert!(bench.get("/settings", "").text.contains("invented demo"));
    bench.desk.save_settings(&Settings::default(), &stamp()).expect("settings");
    assert!(!bench.get("/settings", "").text.contains("invented demo"));
}

#[test]
fn the_room_one_is_in_is_marked() {
    let page = Bench::new().get("/settings", "").text;
    assert_eq!(page.matches("aria-current").count(), 1);
    assert!(page.contains("<a href=\"/settings\" aria-current=\"page\">"));
    assert!(page.contains("<a class=\"skip\" href=\"#main\">"));
}

#[test]
fn a_fault_is_a_page_for_people_and_details_for_programs() {
    let bench = Bench::new();
    let page = bench.get("/nowhere", "");
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    assert!(page.kind.starts_with("text/html") && page.text.contains("<h1>Not here</h1>"));
    let details = bench.get("/api/v1/nowhere", "");
    assert_eq!((details.status, details.kind.as_str()), (StatusCode::NOT_FOUND, "application/problem+json"));
    let json: serde_json::Value = serde_json::from_str(&details.text).expect("JSON");
    assert_eq!(json["status"], 404);
    assert_eq!(json["type"], "/problems#not-found");
    assert_eq!(json["instance"], "/api/v1/nowhere");
    assert!(json["title"].is_string() && json["detail"].is_string());
    let wrong_way = bench.post("/", "", &[]);
    assert_eq!(wrong_way.status, StatusCode::METHOD_NOT_ALLOWED);
    assert!(wrong_way.text.contains("<h1>Not in this way</h1>"));
    let kinds = bench.get("/problems", "").text;
    assert!(kinds.contains("id=\"not-found\""));
}
