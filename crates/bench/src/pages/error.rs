//! The page of a fault, and the list of all kinds of faults.

use axum::Router;
use axum::routing::get;
use maud::{Markup, html};

use super::layout::{self, Room};
use crate::app::App;
use crate::errors::{Fault, KINDS};
use crate::visitor::Visitor;

/// Where the kinds of faults are explained: the `type` of problem details leads there.
pub fn routes() -> Router<App> {
    Router::new().route("/problems", get(kinds))
}

/// What is wrong, where, and how to mend it.
pub fn page(visitor: Option<&Visitor>, path: &str, fault: &Fault) -> Markup {
    let body = html! {
        article.fault {
            h1 { (fault.title) }
            p.detail { (fault.detail) }
            @if let Some(help) = &fault.help { p { (help) } }
            @if !fault.problems.is_empty() {
                ol.problems {
                    @for problem in &fault.problems {
                        li {
                            span.place { "Line " (problem.line) ", column " (problem.column) ": " }
                            (problem.message)
                            @if let Some(help) = &problem.help { " " span.quiet { (help) } }
                        }
                    }
                }
            }
            p.quiet { "Status " (fault.status.as_u16()) " at " code { (path) } }
        }
    };
    match visitor {
        Some(visitor) => layout::page(visitor, room(path), &fault.title, body),
        None => layout::public_page(&fault.title, body),
    }
}

fn room(path: &str) -> Room {
    match path.split('/').nth(1) {
        Some("questions" | "photos") => Room::Questions,
        Some("bikes") => Room::Bikes,
        Some("sheets") => Room::Sheets,
        Some("fits") => Room::Fits,
        Some("inspect" | "inspections" | "cleaning") => Room::Inspect,
        Some("gauge") => Room::Gauge,
        Some("workings") => Room::Workings,
        Some("bolts") => Room::Bolts,
        Some("settings") => Room::Settings,
        _ => Room::None,
    }
}

async fn kinds(visitor: Visitor) -> Markup {
    let body = html! {
        h1 { "Kinds of faults" }
        p { "A fault that the API reports has one of these types." }
        dl.kinds {
            @for (kind, meaning) in KINDS {
                dt id=(kind) { code { (kind) } }
                dd { (meaning) }
            }
        }
    };
    layout::page(&visitor, Room::None, "Kinds of faults", body)
}
