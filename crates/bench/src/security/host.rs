//! Against DNS rebinding: a page under a name whose address is suddenly this machine's is same-origin to the browser, so
//! that its scripts could read and write everything here. What it cannot change is the `Host` header, which carries the
//! name: only our own names are answered for.

use axum::extract::{Request, State};
use axum::http::header::HOST;
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::app::App;
use crate::errors::Fault;

/// Turns away requests for hosts that this bench is not.
pub async fn check(State(app): State<App>, request: Request, next: Next) -> Response {
    match host(request.headers(), request.uri()) {
        Some(host) if app.site().answers_for(host) => next.run(request).await,
        _ => wrong_host().into_response(),
    }
}

/// The host that a request names: one header and, where the address names a host too, the same one.
pub fn host<'a>(headers: &'a HeaderMap, uri: &'a Uri) -> Option<&'a str> {
    let mut named = headers.get_all(HOST).iter();
    let header = named.next()?.to_str().ok()?;
    let agrees = uri.authority().is_none_or(|authority| authority.as_str() == header);
    (named.next().is_none() && agrees).then_some(header)
}

fn wrong_host() -> Fault {
    Fault::new(
        StatusCode::MISDIRECTED_REQUEST,
        "wrong-host",
        "Not this host",
        "The request names a host that this program does not answer for.",
    )
    .with_help(
        "Use the address that the program printed when it started. If it shall be reached under a further name, \
         start it with that name: knockon open --reached-as NAME.",
    )
}

#[cfg(test)]
mod tests {
    use axum::http::HeaderValue;

    use super::*;

    #[test]
    fn two_hosts_or_none_are_no_host() {
        let mut headers = HeaderMap::new();
        let plain = Uri::from_static("/questions");
        assert_eq!(host(&headers, &plain), None);
        headers.append(HOST, HeaderValue::from_static("localhost:1"));
        assert_eq!(host(&headers, &plain), Some("localhost:1"));
        assert_eq!(host(&headers, &Uri::from_static("http://rebind.example/questions")), None);
        assert_eq!(host(&headers, &Uri::from_static("http://localhost:1/")), Some("localhost:1"));
        headers.append(HOST, HeaderValue::from_static("rebind.example"));
        assert_eq!(host(&headers, &plain), None);
    }
}
