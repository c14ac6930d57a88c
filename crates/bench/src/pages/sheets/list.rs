//! All published sheets.

use axum::extract::{Query, State};
use knockon_desk::{Format, Publication};
use maud::{Markup, html};
use serde::Deserialize;

use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{self, Room};
use crate::pages::listing::{self, ROWS, beginning};
use crate::pages::time::ago;
use crate::visitor::Visitor;

/// The list as its address asks for it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Shown {
    words: String,
    page: String,
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
    // One more than is shown tells whether there is a next page.
    let mut rows =
        app.desk(move |desk| desk.publications(&searched, listing::offset(Some(page)), ROWS + 1)).await?;
    let more = rows.len() > ROWS as usize;
    rows.truncate(ROWS as usize);
    let body = html! {
        h1 { "Published sheets" }
        p.quiet.about-sheets { "Whoever knows a sheet’s address can read it without an account. A published sheet is never changed: a new revision gets the next number." }
        (listing::finder("Sheets", "/sheets", &words))
        @if rows.is_empty() { (nothing(&words, page)) }
        @else { ul.rows.sheets aria-label="Published sheets" { @for sheet in &rows { (row(sheet)) } } }
        (listing::pager(page, more, |page| {
            let number = page.to_string();
            listing::address("/sheets", &[("words", &words), ("page", if page > 1 { &number } else { "" })])
        }))
    };
    Ok(layout::page(&visitor, Room::Sheets, "Published sheets", body))
}

fn row(sheet: &Publication) -> Markup {
    let address = format!("/s/{}", sheet.code);
    let said = format!("address of {}", beginning(&sheet.title, 60));
    html! {
        li.row {
            div.what {
                p.words { a href=(address) { (beginning(&sheet.title, 160)) } }
                p.headline { (sheet.headline) }
                p.quiet {
                    (sheet.bike) " · " a href={ "/questions/" (sheet.question) } { "question " (sheet.question) }
                }
            }
            p.address {
                code { (address) } " "
                button.js-only type="button" data-copy-address=(address) { "Copy" span.unseen { " the " (said) } }
                span.copied role="status" {}
            }
            div.revision {
                p { "Revision " (sheet.revision) }
                @if sheet.revision > 1 {
                    p.small {
                        "before: "
                        @for earlier in (1..sheet.revision).rev().take(5) { a href={ (address) "/" (earlier) } { (earlier) } " " }
                    }
                }
            }
            p.downloads {
                span.unseen { "Download as " }
                @for format in Format::ALL {
                    a href={ (address) "/" (sheet.revision) "." (format.extension()) } download { (name(format)) } " "
                }
            }
            p.age { (ago(sheet.stamp.at)) " by " (sheet.stamp.who) }
        }
    }
}

/// What a format is called.
fn name(format: Format) -> &'static str {
    match format {
        Format::Html => "page",
        Format::Svg => "drawing",
        Format::Markdown => "Markdown",
        Format::Text => "text",
        Format::Json => "JSON",
    }
}

fn nothing(words: &str, page: u32) -> Markup {
    html! {
        div.nothing {
            @if page > 1 {
                p { "The list ends before this page. " a href="/sheets" { "Go to its first page" } "." }
            } @else if !words.is_empty() {
                p { "No sheet is like that." }
                p { "Try fewer or shorter words, or " a href="/sheets" { "look through all sheets" } "." }
            } @else {
                p { "Nothing is published yet." }
                p { "Open a " a href="/questions" { "question" } ", work on its answer, and publish its sheet." }
            }
        }
    }
}
