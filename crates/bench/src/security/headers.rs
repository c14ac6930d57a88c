//! What browsers may do with our responses. Every response carries these, errors too; a handler that sets one of them
//! itself knows why.

use axum::extract::Request;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::Response;

/// Nothing but our own files: no inline script or style, no plug-in, no frame, no form that leads elsewhere. An injected
/// piece of markup can then neither run nor send anything away.
pub const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; \
                          connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// For a sheet that stands alone with its style and type inside: no script at all, no connection, framed only by us.
pub const SHEET_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; \
                                form-action 'none'; base-uri 'none'; frame-ancestors 'self'";

/// The rest, in the order: types are what we say and are not guessed; no other site learns which page a link was on; no
/// window of another site holds on to ours; no other site embeds our pictures; no device is asked for.
const ALWAYS: [(HeaderName, &str); 5] = [
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=(), bluetooth=()",
    ),
];

/// Sets what a handler has not set.
pub async fn set(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    if !headers.contains_key(CONTENT_SECURITY_POLICY) {
        headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
        // The same as frame-ancestors, for browsers that do not know it.
        headers.insert(X_FRAME_OPTIONS, HeaderValue::from_static("DENY"));
    }
    for (name, value) in ALWAYS {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    // What a page shows is the workshop's business: nothing is left behind in a cache, of a proxy or of a shared browser.
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
