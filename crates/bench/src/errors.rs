//! The one kind of fault that a request can meet, and its two faces.
//!
//! A handler returns a [`Fault`]; it knows neither its path nor who asks. [`render`] knows both and writes it as a page
//! for people or, under `/api/`, as the problem details of RFC 9457.

use axum::Json;
use axum::body::to_bytes;
use axum::extract::Request;
use axum::http::header::{CONTENT_TYPE, RETRY_AFTER};
use axum::http::{HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use knockon_desk::DeskError;
use knockon_trade::problem::Problem;
use knockon_trade::words::upper_first;
use serde::Serialize;

use crate::pages::error;
use crate::visitor::Visitor;

/// Longest text of a framework's own refusal that is carried over into a fault, bytes.
const LONGEST_REFUSAL: usize = 4096;

/// What went wrong, in words for whoever asked.
#[derive(Clone, Debug)]
pub struct Fault {
    /// Status of the response.
    pub status: StatusCode,
    /// What kind of fault it is, for a program: a row of [`KINDS`].
    pub kind: &'static str,
    /// What is wrong, in a few words.
    pub title: String,
    /// What is wrong here, in a sentence.
    pub detail: String,
    /// How to mend it.
    pub help: Option<String>,
    /// Faults in a text that was sent, with their places.
    pub problems: Vec<PlacedProblem>,
    /// Seconds after which another attempt makes sense.
    pub retry_after: Option<u16>,
}

/// One fault in a text that was sent.
#[derive(Clone, Debug, Serialize)]
pub struct PlacedProblem {
    /// What is wrong.
    pub message: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The piece of the text that is meant; empty where something is missing.
    pub text: String,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
    /// True where the text is used all the same.
    pub warning: bool,
}

/// Every kind of fault with what it means, as `/problems` explains it.
pub const KINDS: &[(&str, &str)] = &[
    ("not-found", "Nothing is kept under this address."),
    ("not-allowed", "The address exists but does not take this kind of request."),
    ("conflict", "Somebody saved a newer version since this one was opened."),
    ("not-usable", "The text or value that was sent cannot be used; `problems` names line and column."),
    ("too-large", "More was sent than this address takes."),
    ("too-slow", "The request did not finish in the time that it is given."),
    ("too-often", "Too many attempts; the header Retry-After says when the next one is heard."),
    ("log-in", "An account is needed."),
    ("refused", "The account may not do this, or the request came from another site."),
    ("wrong-host", "The request names a host that this program does not answer for."),
    ("unreadable", "The request itself could not be read."),
    ("broken", "The program failed; its log says more."),
];

impl Fault {
    /// A fault without help or places.
    pub fn new(
        status: StatusCode,
        kind: &'static str,
        title: impl Into<String>,
        detail: impl Into<String>,
    ) -> Self {
        Self {
            status,
            kind,
            title: title.into(),
            detail: detail.into(),
            help: None,
            problems: Vec::new(),
            retry_after: None,
        }
    }

    /// Says how to mend it.
    #[must_use]
    pub fn with_help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Says when to try again.
    #[must_use]
    pub fn after(mut self, seconds: u64) -> Self {
        self.retry_after = Some(u16::try_from(seconds).unwrap_or(u16::MAX));
        self
    }

    /// Nothing under this address.
    pub fn not_found(what: &str) -> Self {
        Self::new(StatusCode::NOT_FOUND, "not-found", "Not here", format!("There is no {what} here."))
            .with_help("Look for it with the search field, or go to the list of questions or bikes.")
    }

    /// Something that was sent cannot be used.
    pub fn not_usable(detail: impl Into<String>, help: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, "not-usable", "This cannot be used", detail)
            .with_help(help)
    }

    /// The visitor, or the place that the request came from, may not do this.
    pub fn refused(detail: impl Into<String>, help: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, "refused", "Refused", detail).with_help(help)
    }

    /// Something failed inside. What exactly goes to the log and not to the visitor, who could not mend it and might
    /// learn what is none of their business.
    pub fn broken(what: &str) -> Self {
        log(what);
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "broken",
            "Something failed",
            "Something inside the program failed. What was saved before is kept.",
        )
        .with_help("Try once more. If it fails again, the program's log names the cause.")
    }

    /// Problem details after RFC 9457 for a request to `instance`.
    pub fn problem_details(&self, instance: &str) -> ProblemDetails<'_> {
        ProblemDetails {
            kind: format!("/problems#{}", self.kind),
            title: &self.title,
            status: self.status.as_u16(),
            detail: &self.detail,
            instance: instance.to_owned(),
            help: self.help.as_deref(),
            problems: &self.problems,
        }
    }
}

/// RFC 9457, with `help` and `problems` as extension members.
#[derive(Debug, Serialize)]
pub struct ProblemDetails<'a> {
    #[serde(rename = "type")]
    kind: String,
    title: &'a str,
    status: u16,
    detail: &'a str,
    instance: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<&'a str>,
    #[serde(skip_serializing_if = "<[PlacedProblem]>::is_empty")]
    problems: &'a [PlacedProblem],
}

impl From<DeskError> for Fault {
    fn from(error: DeskError) -> Self {
        let detail = sentence(&error.to_string());
        let help = sentence(&error.help());
        let fault = match error {
            DeskError::NotFound { .. } => Self::new(StatusCode::NOT_FOUND, "not-found", "Not here", detail),
            DeskError::Conflict { .. } => {
                Self::new(StatusCode::CONFLICT, "conflict", "Somebody saved a newer version", detail)
            }
            DeskError::Record(problems)
            | DeskError::Changes(problems)
            | DeskError::Marks(problems)
            | DeskError::Folder(problems) => {
                return Self { problems: placed(&problems), ..Self::not_usable(detail, help) };
            }
            DeskError::Answer(_) | DeskError::Refused { .. } => return Self::not_usable(detail, help),
            _ => return Self::broken(&detail),
        };
        fault.with_help(help)
    }
}

/// A remark of the desk, which has neither capital nor full stop, as a sentence.
fn sentence(remark: &str) -> String {
    let stop = if remark.is_empty() || remark.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{stop}", upper_first(remark))
}

/// More problems than this help nobody, and finding their lines takes time.
const MOST_PLACED: usize = 50;

/// Problems of a text with lines and columns instead of bytes; of very many the first ones.
pub fn placed(problems: &[Problem]) -> Vec<PlacedProblem> {
    problems
        .iter()
        .take(MOST_PLACED)
        .map(|problem| {
            let (line, column) = problem.line_column();
            PlacedProblem {
                message: problem.message.clone(),
                line,
                column,
                text: problem.offending().to_owned(),
                help: problem.help.clone(),
                warning: problem.warning,
            }
        })
        .collect()
}

/// Only the bare words: [`render`] dresses them.
impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let mut response = (self.status, format!("{}\n{}\n", self.title, self.detail)).into_response();
        if let Some(seconds) = self.retry_after {
            response.headers_mut().insert(RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(self);
        response
    }
}

/// Writes each fault as a page or as problem details, and the framework's own refusals like our own.
pub async fn render(request: Request, next: Next) -> Response {
    let path = request.uri().path().to_owned();
    let mut response = next.run(request).await;
    let fault = match response.extensions_mut().remove::<Fault>() {
        Some(fault) => fault,
        None if is_bare_refusal(&response) => {
            let (parts, body) = response.into_parts();
            let text = to_bytes(body, LONGEST_REFUSAL).await.unwrap_or_default();
            let text = String::from_utf8_lossy(&text);
            // A number in the path that is none: there is nothing at that address.
            let nowhere = parts.status == StatusCode::BAD_REQUEST && text.starts_with("Invalid URL");
            let fault = if nowhere {
                from_refusal(StatusCode::NOT_FOUND, "")
            } else {
                from_refusal(parts.status, &text)
            };
            response = Response::from_parts(parts, axum::body::Body::empty());
            fault
        }
        None => return response,
    };
    let visitor = response.extensions_mut().remove::<Visitor>();
    let dressed = if path.starts_with("/api/") {
        let mut json = Json(fault.problem_details(&path)).into_response();
        json.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static("application/problem+json"));
        json
    } else {
        error::page(visitor.as_ref(), &path, &fault).into_response()
    };
    // Headers that came with the fault (Allow, Retry-After) stay; those that describe its bare words do not.
    let (mut parts, _) = response.into_parts();
    parts.headers.remove(axum::http::header::CONTENT_LENGTH);
    parts.headers.extend(dressed.headers().clone());
    Response::from_parts(parts, dressed.into_body())
}

/// True for an error that no handler of ours wrote: the framework's answer to an unreadable path, query, form or method.
fn is_bare_refusal(response: &Response) -> bool {
    let status = response.status();
    let kind = response.headers().get(CONTENT_TYPE).and_then(|value| value.to_str().ok());
    (status.is_client_error() || status.is_server_error())
        && kind.is_none_or(|kind| kind.starts_with("text/plain"))
}

/// A fault for the framework's refusal `text`.
fn from_refusal(status: StatusCode, text: &str) -> Fault {
    match status {
        StatusCode::NOT_FOUND => Fault::not_found("page"),
        StatusCode::METHOD_NOT_ALLOWED => method_not_allowed(),
        StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        status if status.is_server_error() => Fault::broken(text),
        status => Fault::new(status, "unreadable", "The request could not be read", text)
            .with_help("Go back, reload the page and send the form again."),
    }
}

/// The address does not take this method.
pub fn method_not_allowed() -> Fault {
    Fault::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "not-allowed",
        "Not in this way",
        "This address exists, but does not take this kind of request.",
    )
    .with_help("Go to the page and use its own links and buttons.")
}

/// More was sent than the address takes.
pub fn too_large() -> Fault {
    Fault::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "too-large",
        "Too much at once",
        "More was sent than this address takes.",
    )
    .with_help("Shorten the text, or make the picture smaller, and send it again.")
}

/// One line to the log, which is the standard error stream.
fn log(what: &str) {
    eprintln!("knockon: {}", what.escape_debug());
}
