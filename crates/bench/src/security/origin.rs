//! Against forged requests: another site can make a browser send a form here, with the session's cookie. The browser says
//! where a request comes from, in headers that a page cannot change (Fetch Metadata, and before it `Origin`).
//!
//! A program that is no browser sends neither header and must send JSON, which no form of another site can send without
//! the browser's asking us first, and we never agree.

use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, ORIGIN};
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::host::host;
use super::site::Site;
use crate::app::App;
use crate::errors::Fault;

/// Turns away requests that change something and come from another site.
pub async fn check(State(app): State<App>, request: Request, next: Next) -> Response {
    let host = host(request.headers(), request.uri()).unwrap_or_default();
    if is_safe(request.method()) || is_own(app.site(), request.headers(), host) {
        next.run(request).await
    } else {
        foreign().into_response()
    }
}

/// True for methods that change nothing here.
pub fn is_safe(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// True for a request that one of our own pages, the person at the browser, or a program made.
fn is_own(site: &Site, headers: &HeaderMap, host: &str) -> bool {
    let text = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or_default());
    if let Some(from) = text("sec-fetch-site") {
        return from == "same-origin" || from == "none";
    }
    if let Some(origin) = text(ORIGIN.as_str()) {
        return site.is_own_origin(origin, host);
    }
    text(CONTENT_TYPE.as_str())
        .and_then(|kind| kind.split(';').next())
        .is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json"))
}

fn foreign() -> Fault {
    Fault::refused(
        "This request came from another site, or does not say where it came from.",
        "Open the page here and use its own buttons. A program that sends requests sends them as application/json.",
    )
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderName, HeaderValue};

    use super::*;

    fn own(pairs: &[(&'static str, &'static str)]) -> bool {
        let site = Site::new("127.0.0.1:8021".parse().expect("an address"), None);
        let headers = pairs
            .iter()
            .map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_static(value)))
            .collect();
        is_own(&site, &headers, "localhost:8021")
    }

    #[test]
    fn the_browsers_own_word_counts_first() {
        assert!(own(&[("sec-fetch-site", "same-origin")]));
        assert!(own(&[("sec-fetch-site", "none")]));
        assert!(!own(&[("sec-fetch-site", "same-site")]));
        assert!(!own(&[("sec-fetch-site", "cross-site"), ("origin", "http://localhost:8021")]));
        assert!(!own(&[("sec-fetch-site", "cross-site"), ("content-type", "application/json")]));
    }

    #[test]
    fn then_the_origin_then_the_kind_of_body() {
        assert!(own(&[("origin", "http://localhost:8021"), ("content-type", "text/plain")]));
        assert!(!own(&[("origin", "http://evil.example"), ("content-type", "application/json")]));
        assert!(!own(&[("origin", "null")]));
        assert!(own(&[("content-type", "application/json; charset=utf-8")]));
        assert!(!own(&[("content-type", "text/plain; application/json")]));
        assert!(!own(&[]));
    }
}
