//! Getting in without an account, and doing more than one's account may.

use jiff::{Timestamp, ToSpan};
use knockon_desk::Role;

use crate::bench::{Bench, PASSWORD, stamp};
use crate::client::Reply;

const PAGES: [&str; 12] = [
    "/",
    "/questions",
    "/questions/1",
    "/questions/new",
    "/bikes",
    "/bikes/1",
    "/sheets",
    "/settings",
    "/photos/1",
    "/questions/1/sheet",
    "/questions/1/sheet.html",
    "/problems",
];

const WRITES: [&str; 12] = [
    "/questions/new",
    "/questions/1/draft",
    "/questions/1/undo",
    "/questions/1/edit",
    "/questions/1/photos",
    "/questions/1/publish",
    "/photos/1/remove",
    "/bikes/new",
    "/bikes/1/restore",
    "/settings",
    "/settings/accounts",
    "/settings/accounts/remove",
];

/// True for an answer that shows nothing: to the log-in, or not without it.
fn shut(reply: &Reply) -> bool {
    let led =
        reply.status == 303 && reply.header("location").is_some_and(|to| to.starts_with("/log-in?back="));
    (led || reply.status == 401) && !reply.text().contains("a secret question")
}

#[test]
fn without_a_session_nothing_is_read_or_written() {
    let bench = Bench::with_accounts();
    bench.question("a secret question");
    for path in PAGES {
        assert!(shut(&bench.get(path)), "{path}");
        assert!(shut(&bench.ask("HEAD", path).send()), "HEAD {path}");
    }
    for path in ["/api/v1/questions", "/api/v1/bikes", "/api/v1/openapi.json"] {
        let reply = bench.get(path);
        assert_eq!(reply.status, 401, "{path}");
        assert_eq!(reply.header("content-type"), Some("application/problem+json"), "{path}");
    }
    for path in WRITES {
        assert_eq!(bench.ask("POST", path).own().form(&[("asked", "x")]).send().status, 401, "{path}");
    }
    assert_eq!(bench.questions(), 1);
    for path in ["/log-in", "/assets/bench.css", "/assets/bench.js"] {
        assert_eq!(bench.get(path).status, 200, "{path}");
    }
}

#[test]
fn a_made_up_session_is_none() {
    let bench = Bench::with_accounts();
    let real = bench.log_in("Kim");
    let token = real.strip_prefix("knockon=").expect("our cookie");
    let mut other = token.to_owned();
    other.replace_range(0..1, if token.starts_with('0') { "1" } else { "0" });
    for cookie in [
        String::new(),
        "knockon=".to_owned(),
        format!("knockon={other}"),
        format!("knockon={}", &token[..token.len() - 1]),
        format!("knockon={token}0"),
        format!("knockon={}", token.to_uppercase()),
        format!("knockon={}", "a".repeat(20_000)),
        "knockon=' OR 1=1 --".to_owned(),
        format!("__Host-knockon={token}"),
        format!("session={token}"),
    ] {
        let reply = bench.ask("GET", "/settings").session(&cookie).send();
        // The one in capitals is the real one where it has no letters.
        let same = cookie == real;
        assert!(same || shut(&reply), "{cookie}: {}", reply.status);
    }
    assert_eq!(bench.ask("GET", "/settings").session(&real).send().status, 200);
}

#[test]
fn a_session_that_has_ended_is_none() {
    let bench = Bench::with_accounts();
    let ago = |hours: i64| Timestamp::now().checked_sub(hours.hours()).expect("a time");
    let begun = |hours| {
        let token = bench
            .desk
            .log_in("Kim", PASSWORD, ago(hours))
            .expect("the desk answers")
            .expect("right password");
        format!("knockon={token}")
    };
    let (idle, fresh) = (begun(13), begun(1));
    assert!(shut(&bench.ask("GET", "/settings").session(&idle).send()));
    assert_eq!(bench.ask("GET", "/settings").session(&fresh).send().status, 200);
    let out = bench.ask("POST", "/log-out").own().session(&fresh).send();
    assert_eq!(out.status, 303);
    assert!(out.header("set-cookie").is_some_and(|cookie| cookie.contains("Max-Age=0")));
    assert!(
        shut(&bench.ask("GET", "/settings").session(&fresh).send()),
        "the cookie alone does not bring it back"
    );
}

#[test]
fn a_new_password_and_a_removed_account_end_the_sessions() {
    let bench = Bench::with_accounts();
    let lee = bench.log_in("Lee");
    bench.desk.set_password("Lee", "another four words").expect("a new password");
    assert!(shut(&bench.ask("GET", "/questions").session(&lee).send()));
    let kim = bench.log_in("Kim");
    bench.desk.add_account("Max", PASSWORD, Role::Answer, &stamp()).expect("an account");
    bench.desk.remove_account("Kim").expect("removed");
    assert!(shut(&bench.ask("GET", "/questions").session(&kim).send()));
}

#[test]
fn who_may_read_may_not_write() {
    let bench = Bench::with_accounts();
    bench.question("a secret question");
    let lee = bench.log_in("Lee");
    let page = bench.ask("GET", "/settings").session(&lee).send();
    assert_eq!(page.status, 200);
    assert!(!page.text().contains("Save settings") && !page.text().contains("Add account"));
    for path in WRITES {
        let reply =
            bench.ask("POST", path).own().session(&lee).form(&[("asked", "x"), ("sure", "yes")]).send();
        assert_eq!(reply.status, 403, "{path}");
    }
    for path in ["/api/v1/questions", "/api/v1/bikes", "/api/v1/settings"] {
        for method in ["POST", "PUT", "PATCH", "DELETE"] {
            let reply = bench.ask(method, path).session(&lee).body("application/json", "{}").send();
            assert_eq!(reply.status, 403, "{method} {path}");
        }
    }
    // A list of parts is sent like a form and kept nowhere.
    assert_eq!(
        bench.ask("POST", "/fits").own().session(&lee).form(&[("list", "part,seat post")]).send().status,
        200
    );
    assert_eq!(bench.questions(), 1);
    assert_eq!(bench.ask("POST", "/log-out").own().session(&lee).send().status, 303, "but may leave");
}

#[test]
fn two_cookies_of_the_same_name_give_no_more_than_one() {
    let bench = Bench::with_accounts();
    let lee = bench.log_in("Lee");
    let kim = format!("{lee}; knockon=ffff");
    let reply = bench.ask("POST", "/settings").own().session(&kim).form(&[("workshop", "x")]).send();
    assert!(matches!(reply.status, 401 | 403), "{}", reply.status);
}

#[test]
fn the_last_account_that_may_answer_cannot_be_removed() {
    let bench = Bench::with_accounts();
    let kim = bench.log_in("Kim");
    let reply = bench
        .ask("POST", "/settings/accounts/remove")
        .own()
        .session(&kim)
        .form(&[("name", "Kim"), ("sure", "yes")])
        .send();
    assert_eq!(reply.status, 422, "{}", reply.text());
    assert_eq!(bench.desk.accounts().expect("accounts").len(), 2);
}

#[test]
fn a_bench_that_others_reach_does_not_start_without_accounts() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = knockon_desk::Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let start = |reached_as: Option<&str>| {
        let (desk, reached_as) = (desk.clone(), reached_as.map(str::to_owned));
        runtime.block_on(async {
            let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a free port");
            let options =
                knockon_bench::Options { listen: listener.local_addr().expect("an address"), reached_as };
            // What is not refused would run for ever: it is stopped at once.
            knockon_bench::serve(desk, listener, options, async {}).await
        })
    };
    // A proxy lets others in; that a wider address does too is tested without listening there.
    let words = start(Some("https://bench.example")).expect_err("a refusal").to_string();
    assert!(words.contains("knockon account add NAME"), "{words}");
    assert!(start(None).is_ok());
    desk.add_account("Kim", PASSWORD, Role::Answer, &stamp()).expect("an account");
    assert!(start(Some("https://bench.example")).is_ok());
}

#[test]
fn the_cookie_cannot_be_read_by_scripts_nor_sent_from_elsewhere() {
    let cookie = |bench: &Bench, host: &str| {
        let form = [("name", "Kim"), ("password", PASSWORD)];
        let reply = bench.ask("POST", "/log-in").host(Some(host)).own().form(&form).send();
        reply.header("set-cookie").expect("a cookie").to_owned()
    };
    let plain = Bench::with_accounts();
    let given = cookie(&plain, &plain.address.to_string());
    for part in ["knockon=", "; HttpOnly", "; SameSite=Lax", "; Path=/", "; Max-Age="] {
        assert!(given.contains(part), "{given}");
    }
    assert!(!given.contains("Domain"), "{given}");
    let safe = cookie(&Bench::behind_https(), "bench.example");
    assert!(safe.starts_with("__Host-knockon=") && safe.contains("; Secure"), "{safe}");
}

#[test]
fn a_session_from_before_logging_in_is_not_used_afterwards() {
    let bench = Bench::with_accounts();
    let before = bench.log_in("Lee");
    let form = [("name", "Kim"), ("password", PASSWORD)];
    let reply = bench.ask("POST", "/log-in").own().session(&before).form(&form).send();
    let after = reply.header("set-cookie").expect("a cookie").split(';').next().expect("a value").to_owned();
    assert_ne!(before, after);
    assert!(shut(&bench.ask("GET", "/questions").session(&before).send()));
    assert_eq!(bench.ask("GET", "/settings").session(&after).send().status, 200);
}
