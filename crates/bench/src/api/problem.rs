//! Errors as the description tells them. [`crate::errors`] writes them; a test holds every error to this.

use serde::Serialize;
use utoipa::ToSchema;

/// What went wrong: problem details after RFC 9457.
#[derive(ToSchema, Serialize)]
pub(super) struct Problem {
    /// What kind of problem it is: an address under `/problems` that explains it.
    #[serde(rename = "type")]
    #[schema(example = "/problems#conflict")]
    kind: String,
    /// What is wrong, in a few words.
    title: String,
    /// Status of the response.
    #[schema(minimum = 400, maximum = 599)]
    status: u16,
    /// What is wrong here, in a sentence.
    detail: String,
    /// Path of the request.
    instance: String,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    help: Option<String>,
    /// Faults in a text that was sent, with their places.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    problems: Vec<Place>,
}

/// One fault in a text that was sent: a bike record, the lines of changes, or the JSON itself.
#[derive(ToSchema, Serialize)]
#[schema(as = ProblemPlace)]
pub(super) struct Place {
    /// What is wrong.
    message: String,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    help: Option<String>,
    /// Line, from 1.
    line: usize,
    /// Column in characters, from 1.
    column: usize,
    /// The piece of the text that is meant; empty where something is missing.
    text: String,
    /// True where the text is used all the same.
    warning: bool,
}
