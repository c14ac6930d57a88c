//! All bikes of the workshop.

use axum::extract::{Query, State};
use knockon_desk::BikeRow;
use maud::{Markup, html};
use serde::Deserialize;

use super::standing::Agreement;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{self, Room};
use crate::pages::listing::{self, ROWS, counted};
use crate::pages::time::ago;
use crate::visitor::Visitor;

/// The list as its address asks for it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Shown {
    words: String,
    page: String,
    /// How many bikes were stored just before.
    kept: String,
}

/// A page of the list.
pub async fn list(
    State(app): State<App>,
    visitor: Visitor,
    Query(shown): Query<Shown>,
) -> Result<Markup, Fault> {
    let words = shown.words.trim().to_owned();
    let page = listing::number(shown.page.parse().ok());
    let searched = words.clone();
    let (rows, more) = app
        .desk(move |desk| {
            // One more than is shown tells whether there is a next page.
            let mut rows = desk.bikes(&searched, listing::offset(Some(page)), ROWS + 1)?;
            let more = rows.len() > ROWS as usize;
            rows.truncate(ROWS as usize);
            let tolerances = desk.settings()?.tolerances;
            let with_state = |row: BikeRow| {
                let agreement = Agreement::of(&desk.bike(row.id)?, &tolerances);
                Ok((row, agreement))
            };
            Ok((rows.into_iter().map(with_state).collect::<Result<Vec<_>, knockon_desk::DeskError>>()?, more))
        })
        .await?;
    let kept = shown.kept.parse::<u32>().unwrap_or(0);
    let body = html! {
        div.head {
            h1 { "Bikes" }
            @if visitor.may_write() {
                p.ways {
                    a.button.primary href="/bikes/new" { "New bike" } " "
                    a.button href="/bikes/import" { "Read a geometry table" }
                }
            }
        }
        @if kept > 0 { p.notice role="status" { (counted(kept, "bike is", "bikes are")) " kept." } }
        (listing::finder("Bikes", "/bikes", &words))
        @if rows.is_empty() { (nothing(&words, page, &visitor)) }
        @else { ul.rows.bikes aria-label="Bikes" { @for (bike, agreement) in &rows { (row(bike, agreement)) } } }
        (listing::pager(page, more, |page| {
            let number = page.to_string();
            listing::address("/bikes", &[("words", &words), ("page", if page > 1 { &number } else { "" })])
        }))
    };
    Ok(layout::page(&visitor, Room::Bikes, "Bikes", body))
}

fn row(bike: &BikeRow, agreement: &Agreement) -> Markup {
    html! {
        li.row {
            div.what {
                p.words { a href={ "/bikes/" (bike.id) } { (bike.title) } }
                p.quiet { (bike.kind.as_deref().unwrap_or("kind not told")) }
            }
            p.audit-state { (agreement.short()) }
            p.asked {
                @if bike.questions == 0 { span.quiet { "No question" } }
                @else { a href={ "/questions?bike=" (bike.id) } { (counted(bike.questions, "question", "questions")) } }
            }
            p.age { "Changed " (ago(bike.stamp.at)) " by " (bike.stamp.who) }
        }
    }
}

fn nothing(words: &str, page: u32, visitor: &Visitor) -> Markup {
    html! {
        div.nothing {
            @if page > 1 {
                p { "The list ends before this page. " a href="/bikes" { "Go to its first page" } "." }
            } @else if !words.is_empty() {
                p { "No bike is like that." }
                p { "Try fewer or shorter words, or " a href="/bikes" { "look through all bikes" } "." }
            } @else {
                p { "No bike is known yet." }
                @if visitor.may_write() {
                    p {
                        a href="/bikes/import" { "Paste its maker’s geometry table" } " or "
                        a href="/bikes/new" { "fill in a form" } "."
                    }
                }
            }
        }
    }
}
