//! The HTML pages, each a file or folder with its own `routes()`.
//!
//! [`layout`] is the frame of all of them, [`form`] has pieces of forms, [`listing`] of lists, [`time`] writes ages, [`error`] is the page of a
//! fault.

pub mod backwards;
pub mod bikes;
pub mod bolts;
pub mod error;
pub mod fits;
pub mod form;
pub mod gauge;
pub mod inspect;
pub mod layout;
pub mod listing;
pub mod log_in;
pub mod question;
pub mod questions;
pub mod settings;
pub mod sheets;
pub mod time;
pub mod workings;

use axum::Router;
use axum::response::Redirect;
use axum::routing::get;

use crate::app::App;

/// Every page's routes.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/", get(async || Redirect::to("/questions")))
        .merge(error::routes())
        .merge(log_in::routes())
        .merge(questions::routes())
        .merge(question::routes())
        .merge(bikes::routes())
        .merge(sheets::routes())
        .merge(fits::routes())
        .merge(backwards::routes())
        .merge(gauge::routes())
        .merge(workings::routes())
        .merge(bolts::routes())
        .merge(inspect::routes())
        .merge(settings::routes())
}
