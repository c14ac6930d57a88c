//! Published sheets: their list, and the public pages.
//!
//! - `list`: all of them, for the workshop; `public`: one of them, for everybody who knows its address.

mod list;
mod public;

use axum::Router;
use axum::routing::get;

use crate::app::App;

/// Where sheets are listed and read.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/sheets", get(list::list))
        .route("/s/{code}", get(public::newest))
        .route("/s/{code}/{revision}", get(public::numbered))
}
