//! A page under a name whose address suddenly is this machine's.

use crate::bench::Bench;

#[test]
fn a_foreign_name_is_not_answered_for() {
    let bench = Bench::open();
    let port = bench.address.port();
    for host in [
        format!("rebind.example:{port}"),
        "rebind.example".to_owned(),
        format!("localhost.rebind.example:{port}"),
        format!("127.0.0.1.rebind.example:{port}"),
        "localhost".to_owned(),
        format!("localhost:{}", port ^ 1),
        format!("192.0.2.4:{port}"),
        String::new(),
    ] {
        for path in
            ["/questions", "/settings", "/log-in", "/s/abcd2345", "/assets/bench.css", "/api/v1/bikes"]
        {
            let reply = bench.ask("GET", path).host(Some(&host)).send();
            assert_eq!(reply.status, 421, "{host} {path}");
        }
        let reply =
            bench.ask("POST", "/questions/new").host(Some(&host)).own().form(&[("asked", "x")]).send();
        assert_eq!(reply.status, 421, "{host}");
    }
    assert_eq!(bench.questions(), 0);
}

#[test]
fn its_own_names_are() {
    let bench = Bench::open();
    let port = bench.address.port();
    for host in [format!("localhost:{port}"), format!("127.0.0.1:{port}"), format!("[::1]:{port}")] {
        assert_eq!(bench.ask("GET", "/settings").host(Some(&host)).send().status, 200, "{host}");
    }
}

#[test]
fn neither_no_host_nor_two_nor_one_in_the_address_line_gets_by() {
    let bench = Bench::open();
    let own = bench.address.to_string();
    let status = |reply: crate::client::Reply| reply.status;
    assert!(matches!(status(bench.ask("GET", "/settings").host(None).send()), 400 | 421));
    assert!(matches!(
        status(bench.ask("GET", "/settings").header("Host", "rebind.example").send()),
        400 | 421
    ));
    let there = bench.ask("GET", "http://rebind.example/settings").send();
    assert!(matches!(there.status, 400 | 421), "{}", there.status);
    let here = bench.ask("GET", &format!("http://{own}/settings")).host(Some("rebind.example")).send();
    assert!(matches!(here.status, 400 | 421), "{}", here.status);
    let forwarded =
        bench.ask("GET", "/settings").host(Some("rebind.example")).header("X-Forwarded-Host", &own).send();
    assert_eq!(forwarded.status, 421);
}

#[test]
fn behind_a_proxy_its_name_is_answered_for() {
    let bench = Bench::behind_https();
    let host = |name: &str| bench.ask("GET", "/log-in").host(Some(name)).send().status;
    assert_eq!(host("bench.example"), 200);
    assert_eq!(host("other.example"), 421);
}
