//! Bikes: their list, and each bike's record as a form, as text and through time.
//!
//! - `list`: all bikes; `standing`: what a record says of itself and how the bike looks;
//! - `form`: a record as a form, and back; `edit`: saving it; `linkage`: what the form only shows; `text`: the record as
//!   text; `new`: a further bike;
//! - `conflict`: what to do when somebody else saved meanwhile; `difference`: two texts line by line;
//! - `history`: earlier versions; `import`: a pasted table, parted into records.

mod conflict;
mod difference;
mod edit;
mod form;
mod group;
mod history;
mod import;
mod linkage;
mod list;
mod new;
mod standing;
mod text;
mod upload;

use axum::Router;
use axum::routing::{get, post};
use knockon_desk::{BikeId, BikeVersion};
use maud::{Markup, html};

use super::time::ago;
use crate::app::App;
use crate::errors::Fault;

/// Where bikes are listed, edited and added.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/bikes", get(list::list))
        .route("/bikes/new", get(new::page).post(new::keep))
        .route("/bikes/import", get(import::page).post(import::preview))
        .route(
            "/bikes/import/keep",
            post(import::keep).get(async || axum::response::Redirect::to("/bikes/import")),
        )
        .route("/bikes/{id}", get(edit::page).post(edit::save))
        .route("/bikes/{id}/text", get(text::page).post(text::save))
        .route("/bikes/{id}/history", get(history::page))
        .route("/bikes/{id}/restore", post(history::restore))
}

/// The bike that an address names.
fn bike_id(text: &str) -> Option<BikeId> {
    text.parse().ok()
}

/// There is no such bike.
fn no_bike() -> Fault {
    Fault::not_found("bike")
}

/// Name and size; a record that was saved under older rules and can no longer be read has none.
fn title(bike: &BikeVersion) -> String {
    bike.record().map_or_else(|_| format!("Bike {}", bike.bike), |record| record.title())
}

/// The ways to look at a bike.
#[derive(Clone, Copy, PartialEq, Eq)]
enum View {
    Form,
    Text,
    History,
}

/// Title, who changed it last, and the ways to look at it.
fn heading(bike: &BikeVersion, here: View) -> Markup {
    let views =
        [(View::Form, "Form", ""), (View::Text, "As text", "/text"), (View::History, "History", "/history")];
    html! {
        h1 { (title(bike)) }
        p.quiet {
            "Version " (bike.number) ", saved by " (bike.stamp.who) " " (ago(bike.stamp.at))
            (history::said_why(bike))
        }
        nav.tabs aria-label="This bike" {
            ul {
                @for (view, name, end) in views {
                    li { a href={ "/bikes/" (bike.bike) (end) } aria-current=[(view == here).then_some("page")] { (name) } }
                }
                li { a href={ "/fits?bike=" (bike.bike) } { "Does it fit?" } }
                li { a href={ "/workings?bike=" (bike.bike) } { "Workings" } }
            }
        }
    }
}
