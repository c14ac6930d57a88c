//! Being sent elsewhere, and headers that somebody else writes.

use crate::bench::{Bench, PASSWORD};
use crate::client::coded;

#[test]
fn logging_in_never_leads_to_another_site() {
    let bench = Bench::with_accounts();
    for back in [
        "https://evil.example/",
        "//evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "/\t/evil.example",
        "javascript:alert(1)",
        "data:text/html,x",
        "evil.example",
        "/\n/evil.example",
        " //evil.example",
        "///evil.example",
        "http:evil.example",
        "/%09/evil.example/\r\nX: y",
    ] {
        let form = [("name", "Kim"), ("password", PASSWORD), ("back", back)];
        let reply = bench.ask("POST", "/log-in").own().form(&form).send();
        assert_eq!(reply.status, 303, "{back}");
        assert_eq!(reply.header("location"), Some("/questions"), "{back}");
        let page = bench.get(&format!("/log-in?back={}", coded(back))).text();
        assert!(!page.contains("evil.example") && !page.contains("javascript:"), "{back}");
    }
}

#[test]
fn it_leads_back_to_where_one_was() {
    let bench = Bench::with_accounts();
    let led = bench.get("/questions/4?do=stem%20length%2040");
    let to = led.header("location").expect("a place").to_owned();
    let page = bench.get(&to).text();
    assert!(page.contains("value=\"/questions/4?do=stem%20length%2040\""), "{to}");
    let form = [("name", "Kim"), ("password", PASSWORD), ("back", "/questions/4?do=stem%20length%2040")];
    let reply = bench.ask("POST", "/log-in").own().form(&form).send();
    assert_eq!(reply.header("location"), Some("/questions/4?do=stem%20length%2040"));
}

#[test]
fn nothing_that_is_sent_starts_a_header_of_its_own() {
    let bench = Bench::with_accounts();
    let split = "/questions\r\nSet-Cookie: knockon=planted\r\nX-Planted: yes";
    let replies = [
        bench.get(&format!("/{}", coded(split))),
        bench.get(&format!("/questions?words={}", coded(split))),
        bench.get(&format!("/log-in?back={}", coded(split))),
        bench.get(&format!("/settings?done={}", coded(split))),
        bench.get(&format!("/s/{}", coded(split))),
        bench
            .ask("POST", "/log-in")
            .own()
            .form(&[("name", "Kim"), ("password", PASSWORD), ("back", split)])
            .send(),
    ];
    for reply in replies {
        assert!(reply.header("x-planted").is_none());
        assert!(reply.header("set-cookie").is_none_or(|cookie| !cookie.contains("planted")));
    }
}
