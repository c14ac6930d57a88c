//! What came in: the list of questions, and ways to add to it.
//!
//! - `filter`: what of the list is shown, and the controls for it; `row`: one question of a list;
//! - `new`: a question by form; `pile`: several pasted messages at once, parted by `split`;
//! - `alike`: answered questions that resemble a text; `choice`: choosing a bike.
//!
//! The working page of one question is a module of its own.

mod alike;
pub mod choice;
mod filter;
mod new;
mod pile;
pub mod row;
mod split;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Redirect;
use axum::routing::{get, post};
use knockon_desk::{Counts, QuestionPage};
use maud::{Markup, html};

pub use self::filter::sentence;
pub use self::new::said;

use self::choice::Bikes;
use self::filter::Shown;
use super::layout::{self, Room};
use super::listing;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

/// Where questions are listed and added.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/questions", get(list))
        .route("/questions/new", get(new::form).post(new::keep))
        .route("/questions/new/alike", get(alike::fragment))
        .route("/questions/new/pile", post(pile::preview).get(async || Redirect::to("/questions/new#pile")))
        .route("/questions/new/pile/keep", post(pile::keep).get(async || Redirect::to("/questions/new#pile")))
}

async fn list(State(app): State<App>, visitor: Visitor, Query(shown): Query<Shown>) -> Result<Markup, Fault> {
    let filter = shown.filter();
    let (page, counts, bikes) = app
        .desk(move |desk| {
            let bikes = Bikes::load(desk, filter.bike)?;
            Ok((desk.questions(&filter)?, desk.counts()?, bikes))
        })
        .await?;
    let body = html! {
        div.head {
            h1 { "Questions" }
            @if visitor.may_write() { a.button.primary href="/questions/new" { "New question" } }
        }
        (shown.just_kept())
        (filter::tabs(&shown, &counts))
        (filter::controls(&shown, &bikes))
        (rows(&page, &shown, &counts, &visitor))
        (listing::pager(shown.page(), page.more, |page| shown.at_page(page)))
    };
    Ok(layout::page(&visitor, Room::Questions, &shown.title(), body))
}

fn rows(page: &QuestionPage, shown: &Shown, counts: &Counts, visitor: &Visitor) -> Markup {
    if page.rows.is_empty() {
        return nothing(shown, counts, visitor);
    }
    html! {
        ul.rows.questions aria-label="Questions" { @for row in &page.rows { (row::row(row)) } }
    }
}

/// An empty list says what to do next.
fn nothing(shown: &Shown, counts: &Counts, visitor: &Visitor) -> Markup {
    let any = counts.new + counts.waiting + counts.answered + counts.set_aside > 0;
    html! {
        div.nothing {
            @if !any {
                p { "Nothing has come in yet." }
                @if visitor.may_write() {
                    p {
                        a href="/questions/new" { "Write down a question" } " or "
                        a href="/questions/new#pile" { "paste a pile of messages" } "."
                    }
                }
            } @else if shown.page() > 1 {
                p { "The list ends before this page. " a href=(shown.at_page(1)) { "Go to its first page" } "." }
            } @else if shown.is_narrowed() {
                p { "No question is like that." }
                p {
                    "Try fewer or shorter words, or "
                    a href=(shown.widened()) { "look through all of them" } "."
                }
            } @else {
                p { (shown.nothing_in_tab()) " " a href="/questions" { "See all questions" } "." }
            }
        }
    }
}
