//! What every response tells the browser not to do.

use crate::bench::Bench;
use crate::client::Reply;

fn guarded(reply: &Reply, what: &str) {
    let policy = reply.header("content-security-policy").unwrap_or_else(|| panic!("{what} has no policy"));
    for part in ["default-src 'none'", "base-uri 'none'", "frame-ancestors"] {
        assert!(policy.contains(part), "{what}: {policy}");
    }
    assert!(!policy.contains("script-src 'unsafe"), "{what}: {policy}");
    assert_eq!(reply.header("x-content-type-options"), Some("nosniff"), "{what}");
    assert_eq!(reply.header("referrer-policy"), Some("same-origin"), "{what}");
    assert_eq!(reply.header("cross-origin-resource-policy"), Some("same-origin"), "{what}");
    assert_eq!(reply.header("cross-origin-opener-policy"), Some("same-origin"), "{what}");
    assert!(reply.header("permissions-policy").is_some(), "{what}");
    assert!(reply.header("cache-control").is_some(), "{what}");
    assert!(reply.header("server").is_none(), "{what}");
}

#[test]
fn every_response_is_guarded() {
    let bench = Bench::open();
    for path in [
        "/",
        "/questions",
        "/questions/new",
        "/bikes",
        "/sheets",
        "/settings",
        "/log-in",
        "/nowhere",
        "/questions/99",
        "/assets/bench.css",
        "/assets/bench.js",
        "/assets/knockon-condensed-400.woff2",
        "/assets/none",
        "/s/none2345",
        "/api/v1/questions",
        "/api/v1/nowhere",
        "/problems",
        "/questions/x",
    ] {
        guarded(&bench.get(path), path);
    }
    guarded(&bench.ask("DELETE", "/settings").own().send(), "a wrong method");
    guarded(&bench.ask("POST", "/settings").send(), "a refusal");
    guarded(&bench.ask("GET", "/settings").host(Some("rebind.example")).send(), "a wrong host");
    guarded(&bench.ask("POST", "/settings").own().header("Content-Length", "99999999").send(), "too large");
}

#[test]
fn pages_are_not_kept_and_carry_no_inline_script_or_style() {
    let bench = Bench::open();
    for path in ["/questions", "/questions/new", "/bikes", "/bikes/new", "/sheets", "/settings", "/nowhere"] {
        let reply = bench.get(path);
        assert_eq!(reply.header("cache-control"), Some("no-store"), "{path}");
        let text = reply.text();
        assert!(!text.contains("<style") && !text.contains(" style="), "{path}");
        assert_eq!(text.matches("<script").count(), text.matches("<script src=\"/assets/").count(), "{path}");
        assert!(!text.contains(" onclick=") && !text.contains("javascript:"), "{path}");
    }
}

#[test]
fn with_accounts_the_refusals_are_guarded_too() {
    let bench = Bench::with_accounts();
    for path in ["/questions", "/api/v1/questions", "/log-in"] {
        guarded(&bench.get(path), path);
    }
}

#[test]
fn files_with_their_digest_are_kept_for_ever_and_others_asked_for_again() {
    let bench = Bench::open();
    let page = bench.get("/settings").text();
    let start = page.find("/assets/bench.css?v=").expect("a style");
    let address = page[start..].split('"').next().expect("an address");
    let kept = bench.get(address);
    assert_eq!(kept.header("cache-control"), Some("public, max-age=31536000, immutable"));
    let tag = kept.header("etag").expect("a tag").to_owned();
    assert_eq!(bench.ask("GET", address).header("If-None-Match", &tag).send().status, 304);
    assert_eq!(bench.get("/assets/bench.css?v=0").header("cache-control"), Some("no-cache"));
    let style = kept.text();
    let font = style.find("/assets/knockon-condensed-400.woff2?v=").expect("a typeface");
    let font = bench.get(style[font..].split('"').next().expect("an address"));
    assert_eq!((font.status, font.header("content-type")), (200, Some("font/woff2")));
}
