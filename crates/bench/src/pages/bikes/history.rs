//! A bike's versions: who saved them, when, why, and what changed; and the way back.

use axum::extract::{Form, Path, Query, State};
use axum::response::Response;
use knockon_desk::BikeVersion;
use maud::{Markup, html};
use serde::Deserialize;

use super::edit::saved;
use super::{View, bike_id, difference, heading, no_bike, title};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{self, Room};
use crate::pages::listing::{self, ROWS};
use crate::pages::time::ago;
use crate::visitor::{Visitor, Writer};

/// Which page of the history an address asks for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Which {
    page: String,
}

/// Which version to go back to.
#[derive(Debug, Deserialize)]
pub struct Back {
    number: u32,
}

/// The versions, newest first, each with what it changed.
pub async fn page(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(which): Query<Which>,
) -> Result<Markup, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let versions = app.desk(move |desk| desk.bike_history(id)).await?;
    let newest = versions.first().ok_or_else(|| Fault::not_found("bike"))?;
    let page = listing::number(which.page.parse().ok());
    let start = listing::offset(Some(page)) as usize;
    let end = start + ROWS as usize;
    let shown = versions.iter().enumerate().skip(start).take(ROWS as usize);
    let body = html! {
        header { (heading(newest, View::History)) }
        ol.history.bare {
            @for (nth, version) in shown { (item(version, versions.get(nth + 1), nth == 0, &visitor)) }
        }
        (listing::pager(page, versions.len() > end, |page| format!("/bikes/{id}/history?page={page}")))
    };
    Ok(layout::page(&visitor, Room::Bikes, &format!("History of {}", title(newest)), body))
}

/// Makes an earlier version the newest one; the ones between stay.
pub async fn restore(
    State(app): State<App>,
    writer: Writer,
    Path(id): Path<String>,
    Form(back): Form<Back>,
) -> Result<Response, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let stamp = writer.0.stamp();
    let number = app.desk(move |desk| desk.restore_bike(id, back.number, &stamp)).await?;
    Ok(saved(id, number))
}

fn item(version: &BikeVersion, before: Option<&BikeVersion>, newest: bool, visitor: &Visitor) -> Markup {
    html! {
        li.version {
            h2 { "Version " (version.number) @if newest { ", the newest" } }
            p { strong { (version.stamp.who) } " " (ago(version.stamp.at)) (said_why(version)) }
            @match before {
                Some(before) => {
                    details open[newest] {
                        summary { "What changed from version " (before.number) }
                        (difference::lines(&before.text, &version.text))
                    }
                }
                None => { p.quiet { "The first version." } }
            }
            @if !newest {
                div.actions {
                    a.button href={ "/bikes/" (version.bike) "/text?version=" (version.number) } { "Read version " (version.number) }
                    @if visitor.may_write() { (restore_button(version)) }
                }
            }
        }
    }
}

/// Why a version was saved, behind a colon; nothing when nobody said.
pub fn said_why(version: &BikeVersion) -> String {
    match version.why.trim() {
        "" => String::new(),
        why => format!(": {why}"),
    }
}

/// The way back to a version.
pub fn restore_button(version: &BikeVersion) -> Markup {
    html! {
        form method="post" action={ "/bikes/" (version.bike) "/restore" } {
            input type="hidden" name="number" value=(version.number);
            button { "Restore version " (version.number) }
        }
    }
}
