//! Holding on to the bench so that nobody else gets in.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use crate::bench::Bench;
use crate::client::connect;

#[test]
fn headers_that_trickle_in_are_given_up() {
    let bench = Bench::impatient();
    let mut stream = connect(bench.address);
    stream.write_all(b"GET /settings HTTP/1.1\r\nHost: localhost\r\n").expect("a beginning");
    let start = Instant::now();
    let mut rest = Vec::new();
    stream.read_to_end(&mut rest).expect("the bench closes");
    assert!(start.elapsed() < Duration::from_secs(8), "the bench waited for {:?}", start.elapsed());
    assert!(!String::from_utf8_lossy(&rest).contains(" 200 "));
}

#[test]
fn idle_connections_make_room_for_others() {
    let bench = Bench::impatient();
    let idle: Vec<_> = (0..24).map(|_| connect(bench.address)).collect();
    let start = Instant::now();
    assert_eq!(bench.get("/settings").status, 200);
    assert!(start.elapsed() < Duration::from_secs(15), "it took {:?}", start.elapsed());
    drop(idle);
}

#[test]
fn endless_headers_are_refused() {
    let bench = Bench::open();
    let reply = bench.ask("GET", "/settings").header("X-Long", &"a".repeat(100_000)).send();
    assert_eq!(reply.status, 431);
    let many =
        (0..300).fold(bench.ask("GET", "/settings"), |ask, number| ask.header(&format!("X-{number}"), "a"));
    assert_eq!(many.send().status, 431);
    let long = bench.get(&format!("/questions?words={}", "a".repeat(100_000)));
    assert!(matches!(long.status, 414 | 431), "{}", long.status);
}

#[test]
fn nonsense_ends_its_own_connection_only() {
    let bench = Bench::open();
    for nonsense in [
        &b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc"[..],
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\r\n\r\n\r\n\r\n",
        b"GET /\x00 HTTP/1.1\r\nHost: x\r\n\r\n",
    ] {
        let mut stream = connect(bench.address);
        stream.write_all(nonsense).expect("it goes out");
        stream.shutdown(std::net::Shutdown::Write).expect("the end");
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        assert!(!String::from_utf8_lossy(&answer).contains(" 200 "));
    }
    assert_eq!(bench.get("/settings").status, 200);
}
