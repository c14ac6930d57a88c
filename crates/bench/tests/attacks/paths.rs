//! Addresses that try to name something else than what is there.

use crate::bench::Bench;

#[test]
fn no_address_leads_to_a_file() {
    let bench = Bench::open();
    for base in ["/assets/", "/photos/", "/s/", "/questions/", "/bikes/", "/api/v1/", "/"] {
        for step in [
            "../Cargo.toml",
            "..%2fworkshop.db",
            "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
            "..%5c..%5cworkshop.db",
            "....//etc/passwd",
            "/etc/passwd",
            "%2fetc%2fpasswd",
            "workshop.db",
            "bench.css%00.png",
            "%00",
            "..%c0%afetc/passwd",
            "%ff%fe",
        ] {
            let reply = bench.get(&format!("{base}{step}"));
            assert!((400..500).contains(&reply.status), "{base}{step}: {}", reply.status);
            assert!(!reply.text().contains("root:") && !reply.text().contains("[package]"), "{base}{step}");
            assert!(!reply.body.windows(15).any(|bytes| bytes == b"SQLite format 3"), "{base}{step}");
        }
    }
}

#[test]
fn numbers_and_codes_that_are_none_are_not_found_and_never_a_fault_of_ours() {
    let bench = Bench::open();
    for path in [
        "/photos/0",
        "/photos/-1",
        "/photos/99999999999999999999",
        "/photos/1e3",
        "/s/'",
        "/s/%25",
        "/s/abcd2345/0",
        "/s/abcd2345/4294967296",
        "/s/abcd2345/1.exe",
        "/questions/-1",
        "/questions/9223372036854775808",
        "/bikes/0",
        "/bikes/1;drop",
        "/s/abcd2345/1.html.html",
    ] {
        let reply = bench.get(path);
        assert!(matches!(reply.status, 400 | 404), "{path}: {}", reply.status);
    }
}

#[test]
fn the_gate_reads_addresses_as_the_router_does() {
    let bench = Bench::with_accounts();
    for path in [
        "//questions",
        "/./questions",
        "/questions/",
        "/QUESTIONS",
        "/%71uestions",
        "/s/../questions",
        "/assets/../settings",
        "/assets/%2e%2e/settings",
        "/log-in/../settings",
        "/s/%2e%2e/settings",
        "/log-in/",
        "/s//settings",
    ] {
        let reply = bench.get(path);
        assert!(matches!(reply.status, 303 | 400 | 401 | 404), "{path}: {}", reply.status);
        assert!(
            !reply.text().contains("Save settings") && !reply.text().contains("/questions/new"),
            "{path}"
        );
    }
}

#[test]
fn a_method_in_disguise_is_the_method_it_is() {
    let bench = Bench::open();
    for name in ["X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override", "_method"] {
        let reply = bench.ask("GET", "/settings?_method=POST").header(name, "POST").send();
        assert_eq!(reply.status, 200, "{name}");
        let reply = bench.ask("POST", "/settings?_method=GET").header(name, "GET").send();
        assert_eq!(reply.status, 403, "{name}");
    }
    assert_eq!(bench.ask("DELETE", "/settings").own().send().status, 405);
    assert_eq!(bench.ask("GET", "/log-out").send().status, 405);
    for method in ["TRACE", "CONNECT", "GETT", "get"] {
        let status = bench.ask(method, "/settings").own().send().status;
        assert!((400..500).contains(&status), "{method}: {status}");
    }
    let allow = bench.ask("DELETE", "/settings").own().send();
    assert!(allow.header("allow").is_some_and(|allow| allow.contains("GET") && allow.contains("POST")));
}
