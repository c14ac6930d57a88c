//! Bodies that are too large, or never end.

use std::io::Write;
use std::time::{Duration, Instant};

use crate::bench::Bench;
use crate::client::{connect, read};

#[test]
fn what_is_announced_too_large_is_not_read() {
    let bench = Bench::open();
    let question = bench.question("a photo comes");
    for (path, bytes) in [
        ("/settings".to_owned(), (64 << 10) + 1),
        ("/log-in".to_owned(), 70_000),
        (format!("/questions/{question}/draft"), 65_537),
        ("/bikes/new".to_owned(), (1 << 20) + 1),
        ("/api/v1/bikes".to_owned(), (1 << 20) + 1),
        (format!("/questions/{question}/photos"), (13 << 20) + 1),
        (format!("/photos/{question}/remove"), 70_000),
    ] {
        let reply = bench.ask("POST", &path).own().header("Content-Length", &bytes.to_string()).send();
        assert_eq!(reply.status, 413, "{path}");
    }
    let most =
        |bytes: &str| bench.ask("POST", "/settings").own().header("Content-Length", bytes).send().status;
    assert_eq!(most("9223372036854775807"), 413);
    for nonsense in ["18446744073709551615", "99999999999999999999999", "-1", "0x10"] {
        assert!((400..500).contains(&most(nonsense)), "{nonsense}");
    }
}

#[test]
fn what_is_not_announced_is_read_up_to_the_limit() {
    let bench = Bench::open();
    let mut stream = connect(bench.address);
    let head = bench
        .ask("POST", "/settings")
        .own()
        .header("Content-Type", "application/x-www-form-urlencoded")
        .header("Transfer-Encoding", "chunked")
        .head();
    stream.write_all(head.as_bytes()).expect("the headers go out");
    let chunk = format!("2000\r\n{}\r\n", "a".repeat(0x2000));
    let sent = (0..1000).take_while(|_| stream.write_all(chunk.as_bytes()).is_ok()).count();
    assert!(sent < 1000, "the bench took 8 MB of a form");
    if let Some(reply) = read(stream) {
        assert_eq!(reply.status, 413);
    }
    assert_eq!(bench.get("/settings").status, 200, "and goes on");
}

#[test]
fn two_lengths_are_no_request() {
    let bench = Bench::open();
    let smuggled = "0\r\n\r\nGET /settings HTTP/1.1\r\nHost: x\r\n\r\n";
    let both = bench
        .ask("POST", "/settings")
        .own()
        .header("Content-Length", &smuggled.len().to_string())
        .header("Transfer-Encoding", "chunked")
        .body("application/x-www-form-urlencoded", smuggled)
        .send();
    // Read as chunks, which end at once; the connection ends with it, and what follows is never taken for a request.
    assert!((400..500).contains(&both.status), "{}", both.status);
    let twice = bench
        .ask("POST", "/settings")
        .own()
        .header("Content-Length", "5")
        .header("Content-Length", "6")
        .send();
    assert_eq!(twice.status, 400);
}

#[test]
fn a_body_that_trickles_in_is_given_up() {
    let bench = Bench::impatient();
    let mut stream = connect(bench.address);
    let head = bench
        .ask("POST", "/settings")
        .own()
        .header("Content-Length", "1000")
        .header("Content-Type", "application/x-www-form-urlencoded")
        .head();
    stream.write_all(head.as_bytes()).expect("the headers go out");
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(10) && stream.write_all(b"a").is_ok() {
        std::thread::sleep(Duration::from_millis(50));
        let mut waiting = [0; 1];
        stream.set_nonblocking(true).expect("a look without waiting");
        let answered = stream.peek(&mut waiting).is_ok();
        stream.set_nonblocking(false).expect("waiting again");
        if answered {
            break;
        }
    }
    assert!(start.elapsed() < Duration::from_secs(8), "the bench waited for {:?}", start.elapsed());
    if let Some(reply) = read(stream) {
        assert_eq!(reply.status, 408);
    }
}
