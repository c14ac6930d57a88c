//! How a request to the API is read. What cannot be read is told with its place.

use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::error::Category;
use utoipa::IntoParams;

use crate::errors::{Fault, PlacedProblem, too_large};

/// Most rows of one page of a list.
pub(super) const MOST_ROWS: u32 = 200;

/// Rows of a page where nobody says how many.
pub(super) const USUAL_ROWS: u32 = 50;

/// A JSON body, in both directions.
pub(super) struct Json<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Json<T> {
    type Rejection = Fault;

    async fn from_request(request: Request, state: &S) -> Result<Self, Fault> {
        if !says_json(request.headers()) {
            return Err(Fault::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "unreadable",
                "Not JSON",
                "This address takes JSON only.",
            )
            .with_help("Send the header Content-Type: application/json, and JSON as the body."));
        }
        let body = Bytes::from_request(request, state).await.map_err(|refused| {
            if refused.status() == StatusCode::PAYLOAD_TOO_LARGE {
                too_large()
            } else {
                unreadable("The body broke off.", "Send the request again.")
            }
        })?;
        serde_json::from_slice(&body).map(Json).map_err(|error| not_read(&error))
    }
}

impl<T: Serialize> IntoResponse for Json<T> {
    fn into_response(self) -> Response {
        axum::Json(self.0).into_response()
    }
}

/// True where the body announces itself as JSON.
fn says_json(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    kind.split(';').next().is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json"))
}

/// A text that is no JSON is unreadable; JSON that says something else than was asked for is not usable.
fn not_read(error: &serde_json::Error) -> Fault {
    let message = error.to_string();
    // The place stands in the problem, not in the words.
    let message = message.split(" at line ").next().unwrap_or_default().to_owned();
    let mut fault = match error.classify() {
        Category::Data => Fault::not_usable(
            format!("The JSON does not say what this address takes: {message}."),
            "The description under /api/v1/openapi.json tells every field.",
        ),
        _ => unreadable(
            &format!("The body is not JSON: {message}."),
            "Check the body with any program that reads JSON.",
        ),
    };
    fault.problems = vec![PlacedProblem {
        message,
        line: error.line(),
        column: error.column().max(1),
        text: String::new(),
        help: None,
        warning: false,
    }];
    fault
}

fn unreadable(detail: &str, help: &str) -> Fault {
    Fault::new(StatusCode::BAD_REQUEST, "unreadable", "The request could not be read", detail).with_help(help)
}

/// The query of an address.
pub(super) struct Query<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Query<T> {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        let query = axum::extract::Query::<T>::try_from_uri(&parts.uri).map_err(|refused| {
            unreadable(
                &format!("The query cannot be read: {}.", inner(&refused)),
                "The description under /api/v1/openapi.json tells what may stand there.",
            )
        })?;
        Ok(Query(query.0))
    }
}

/// What was wrong, without the framework's opening words.
fn inner(error: &dyn std::error::Error) -> String {
    let mut error = error;
    while let Some(cause) = error.source() {
        error = cause;
    }
    error.to_string()
}

/// What stands in the path. Something else than a number or code is an address that there is not.
pub(super) struct At<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for At<T> {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Fault> {
        let path = axum::extract::Path::<T>::from_request_parts(parts, state).await;
        path.map(|path| At(path.0)).map_err(|_| Fault::not_found("such thing in the API"))
    }
}

/// Which bikes or sheets to list.
#[derive(IntoParams, Deserialize)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub(super) struct Listed {
    /// Words to search for.
    pub(super) words: Option<String>,
    /// How many to skip.
    pub(super) offset: Option<u32>,
    /// How many to list: 50 unless it is said.
    #[param(minimum = 1, maximum = 200)]
    pub(super) limit: Option<u32>,
}

/// The rows to skip and the rows to show, within bounds.
#[allow(clippy::result_large_err)] // a fault is rare, and is sent whole
pub(super) fn page(offset: Option<u32>, limit: Option<u32>) -> Result<(u32, u32), Fault> {
    let limit = limit.unwrap_or(USUAL_ROWS);
    if (1..=MOST_ROWS).contains(&limit) {
        return Ok((offset.unwrap_or(0), limit));
    }
    Err(Fault::not_usable(
        format!("`limit` is {limit}; a page has 1 to {MOST_ROWS} rows."),
        "Ask for less, and for the next page with `offset`.",
    ))
}

/// Turns one row too many into "there are more".
pub(super) fn cut<T>(mut rows: Vec<T>, limit: u32) -> (Vec<T>, bool) {
    let more = rows.len() > limit as usize;
    rows.truncate(limit as usize);
    (rows, more)
}
