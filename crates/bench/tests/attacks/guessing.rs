//! Guessing names and passwords.

use std::time::{Duration, Instant};

use crate::bench::{Bench, PASSWORD};
use crate::client::Reply;

fn attempt(bench: &Bench, name: &str, password: &str) -> Reply {
    bench.ask("POST", "/log-in").own().form(&[("name", name), ("password", password)]).send()
}

#[test]
fn after_a_few_wrong_passwords_even_the_right_one_has_to_wait() {
    let bench = Bench::with_accounts();
    for _ in 0..5 {
        assert_eq!(attempt(&bench, "Kim", "wrong password").status, 422);
    }
    for name in ["Kim", " kim ", "KIM"] {
        let reply = attempt(&bench, name, PASSWORD);
        assert_eq!(reply.status, 429, "{name}");
        let wait: u64 = reply.header("retry-after").expect("a time to wait").parse().expect("seconds");
        assert!((1..=61).contains(&wait), "{wait}");
        assert!(reply.header("set-cookie").is_none());
    }
    assert_eq!(attempt(&bench, "Lee", PASSWORD).status, 303, "others are not locked out");
}

#[test]
fn one_address_cannot_try_name_after_name() {
    let bench = Bench::with_accounts();
    let statuses: Vec<u16> =
        (0..22).map(|number| attempt(&bench, &format!("name {number}"), "wrong password").status).collect();
    assert_eq!(statuses.iter().filter(|status| **status == 422).count(), 20, "{statuses:?}");
    assert_eq!(statuses.last(), Some(&429));
}

#[test]
fn a_claimed_address_does_not_help() {
    let bench = Bench::with_accounts();
    let statuses: Vec<u16> = (0..6)
        .map(|number| {
            bench
                .ask("POST", "/log-in")
                .own()
                .header("X-Forwarded-For", &format!("192.0.2.{number}"))
                .header("Forwarded", &format!("for=192.0.2.{number}"))
                .form(&[("name", "Kim"), ("password", "wrong password")])
                .send()
                .status
        })
        .collect();
    assert_eq!(statuses.last(), Some(&429), "{statuses:?}");
}

#[test]
fn guesses_at_the_same_moment_are_counted_too() {
    let bench = Bench::with_accounts();
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let tries: Vec<_> =
            (0..12).map(|_| scope.spawn(|| attempt(&bench, "Kim", "wrong password").status)).collect();
        tries.into_iter().map(|one| one.join().expect("an answer")).collect()
    });
    assert_eq!(statuses.iter().filter(|status| **status == 422).count(), 5, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|status| **status == 429).count(), 7, "{statuses:?}");
}

#[test]
fn an_unknown_name_and_a_wrong_password_look_the_same() {
    let bench = Bench::with_accounts();
    let (known, unknown) =
        (attempt(&bench, "Kim", "wrong password"), attempt(&bench, "Nobody", "wrong password"));
    assert_eq!(known.status, unknown.status);
    assert_eq!(known.text().replace("Kim", "Nobody"), unknown.text());
    let names = |reply: &Reply| reply.headers.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&known), names(&unknown));
}

/// Coarse on purpose: without a password check an unknown name would take a hundredth of the time.
#[test]
fn an_unknown_name_costs_a_password_check_too() {
    let bench = Bench::with_accounts();
    let quickest = |name: &str| {
        let times = (0..4).map(|_| {
            let start = Instant::now();
            attempt(&bench, name, "wrong password");
            start.elapsed()
        });
        times.min().unwrap_or(Duration::ZERO)
    };
    let (known, unknown) = (quickest("Kim"), quickest("Nobody"));
    assert!(unknown * 4 > known, "known {known:?}, unknown {unknown:?}");
}
