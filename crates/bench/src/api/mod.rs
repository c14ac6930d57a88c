//! The JSON API under `/api/v1`: the same functions as the pages, for programs.
//!
//! - `openapi`: the description, generated from the handlers and types, so that it cannot differ from them;
//! - `extract`: how bodies, queries and numbers in paths are read, and refused;
//! - `problem`: errors as they are described; `answer`: the answer of the one JSON writer, described by its own schema;
//! - the rest: one noun a file. Each handler reads, calls the desk, converts by hand, and answers.

use axum::Router;
use utoipa_axum::router::OpenApiRouter;

use crate::app::App;

mod answer;
mod answers;
mod bikes;
mod changes;
mod draft;
mod extract;
mod health;
mod inspections;
mod openapi;
mod options;
mod photos;
mod problem;
mod quantities;
mod questions;
mod settings;
mod sheets;
mod tables;
mod time;

pub use openapi::{description, openapi};

/// Every address of the API.
pub fn routes() -> Router<App> {
    let (router, _) = described().split_for_parts();
    Router::new().nest(openapi::PREFIX, router)
}

/// Handlers and their description in one.
fn described() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .merge(questions::routes())
        .merge(draft::routes())
        .merge(answers::routes())
        .merge(options::routes())
        .merge(photos::routes())
        .merge(inspections::routes())
        .merge(bikes::routes())
        .merge(tables::routes())
        .merge(sheets::routes())
        .merge(settings::routes())
        .merge(changes::routes())
        .merge(quantities::routes())
        .merge(health::routes())
        .merge(openapi::routes())
}
