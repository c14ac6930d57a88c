//! Against endless bodies: each address takes as much as it can use, and reading stops there.

use axum::body::Body;
use axum::extract::Request;
use axum::http::header::CONTENT_LENGTH;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http_body_util::Limited;

use crate::errors::too_large;

/// A form, bytes.
pub const FORM: usize = 64 << 10;

/// A text: a record, a pasted table, pasted questions, a request to the API.
pub const TEXT: usize = 1 << 20;

/// A photo with its caption.
pub const PHOTO: usize = 13 << 20;

/// Turns away what announces too much, and stops reading where it was not announced.
pub async fn check(request: Request, next: Next) -> Response {
    let most = limit(request.uri().path());
    let announced =
        request.headers().get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|bytes| bytes > most as u64) {
        return too_large().into_response();
    }
    next.run(request.map(|body| Body::new(Limited::new(body, most)))).await
}

/// How much the address takes, bytes.
fn limit(path: &str) -> usize {
    if takes_photos(path) {
        PHOTO
    } else if ["/api/", "/bikes/", "/questions/new", "/fits", "/backwards"]
        .iter()
        .any(|texts| path.starts_with(texts))
        || (path.starts_with("/questions/") && path.ends_with("/edit"))
    {
        TEXT
    } else {
        FORM
    }
}

/// True for the addresses that a photo is sent to.
pub fn takes_photos(path: &str) -> bool {
    let path = path.strip_prefix("/api/v1").unwrap_or(path);
    let of = path.strip_prefix("/questions/").or_else(|| path.strip_prefix("/inspections/"));
    of.and_then(|rest| rest.strip_suffix("/photos")).is_some_and(|id| !id.contains('/'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_photos_may_be_large() {
        assert_eq!(limit("/questions/4/photos"), PHOTO);
        assert_eq!(limit("/api/v1/questions/4/photos"), PHOTO);
        assert_eq!(limit("/inspections/4/photos"), PHOTO);
        assert_eq!(limit("/inspections/4/answer"), FORM);
        assert_eq!(limit("/questions/4/draft"), FORM);
        assert_eq!(limit("/questions/4/x/photos"), FORM);
        assert_eq!(limit("/log-in"), FORM);
        assert_eq!(limit("/questions/new/pile"), TEXT);
        assert_eq!(limit("/questions/4/edit"), TEXT);
        assert_eq!(limit("/bikes/3/text"), TEXT);
        assert_eq!(limit("/api/v1/bikes"), TEXT);
        assert_eq!(limit("/backwards/live"), TEXT);
    }
}
