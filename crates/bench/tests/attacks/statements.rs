//! Text that means something to the database, if it gets there as anything but text.

use crate::bench::Bench;
use crate::client::coded;

const TEXTS: [&str; 12] = [
    "'; DROP TABLE question; --",
    "' OR '1'='1",
    "\" OR \"\"=\"",
    "a\u{0}b",
    "%' UNION SELECT password FROM account --",
    "NEAR(\"a\" \"b\", 5",
    "asked: *",
    "stem* AND (bar OR",
    "^\"",
    "\\'; --",
    "{asked rider} : x",
    "-",
];

#[test]
fn searching_for_statements_finds_nothing_and_breaks_nothing() {
    let bench = Bench::open();
    bench.question("a longer stem");
    for text in TEXTS {
        for path in ["/questions?words=", "/bikes?words=", "/sheets?words="] {
            let reply = bench.get(&format!("{path}{}", coded(text)));
            assert!(matches!(reply.status, 200 | 400), "{path}{text}: {}", reply.status);
            assert!(!reply.text().contains("argon2"), "{path}{text}");
        }
        for path in ["/questions?state=", "/questions?bike=", "/questions?page=", "/s/", "/photos/"] {
            let status = bench.get(&format!("{path}{}", coded(text))).status;
            assert!(status < 500, "{path}{text}: {status}");
        }
    }
    assert_eq!(bench.questions(), 1);
}

#[test]
fn what_is_typed_is_kept_as_it_was_typed() {
    let bench = Bench::open();
    for text in TEXTS {
        let id = bench.question(text);
        assert_eq!(bench.desk.question(id).expect("kept").asked, text);
    }
    let name = "'; DELETE FROM setting; --";
    let form = [("workshop", name), ("drawn_by", "\" OR 1=1"), ("length", "mm"), ("language", "en")];
    assert_eq!(bench.ask("POST", "/settings").own().form(&form).send().status, 303);
    assert_eq!(bench.desk.settings().expect("settings").workshop, name);
}

#[test]
fn a_name_that_is_a_statement_logs_nobody_in() {
    let bench = Bench::with_accounts();
    for name in ["' OR 1=1 --", "Kim' --", "Kim\u{0}", "%"] {
        let reply =
            bench.ask("POST", "/log-in").own().form(&[("name", name), ("password", "' OR '1'='1")]).send();
        assert_eq!(reply.status, 422, "{name}");
    }
}
