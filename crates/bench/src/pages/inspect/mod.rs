//! Inspections by protocol, made for a phone in one hand, and the table of cleaners.
//!
//! In reading order: `list` has every protocol and what was inspected last; `protocol` shows one and begins a run; `run` asks its
//! questions one at a time and shows what came of them; `photos` adds photos to a run, `marks` draws on them; `sheet` is the page to
//! print and sign; `cleaning` is the table of cleaners and surfaces.
//!
//! Every answer is kept as soon as it is given: a phone that goes dark loses nothing.

mod cleaning;
mod list;
mod marks;
mod photos;
mod protocol;
mod run;
mod sheet;

pub use list::row;

use axum::Router;
use axum::routing::{get, post};
use maud::{Markup, html};

use crate::app::App;

/// Their routes.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/inspect", get(list::show))
        .route("/inspect/{protocol}", get(protocol::show))
        .route("/inspect/{protocol}/form", get(protocol::form))
        .route("/inspections", post(protocol::begin))
        .route("/inspections/{id}", get(run::show))
        .route("/inspections/{id}/answer", post(run::answer))
        .route("/inspections/{id}/part", post(run::part))
        .route("/inspections/{id}/sign", post(run::sign))
        .route("/inspections/{id}/record", post(run::record))
        .route("/inspections/{id}/open", post(run::open))
        .route("/inspections/{id}/remove", post(run::remove))
        .route("/inspections/{id}/photos", post(photos::add))
        .route("/inspections/{id}/sheet", get(sheet::show))
        .route("/inspections/{id}/sheet.{ending}", get(sheet::download))
        .route("/photos/{id}/marks", get(marks::show).post(marks::save))
        .route("/cleaning", get(cleaning::show))
}

/// A caution list of its own, whole.
fn cautions<'a>(texts: impl Iterator<Item = &'a str>) -> Markup {
    html! {
        section.caution-box aria-labelledby="cautions-head" {
            h2 id="cautions-head" { "Caution" }
            ol.cautions { @for text in texts { li { (text) } } }
        }
    }
}
