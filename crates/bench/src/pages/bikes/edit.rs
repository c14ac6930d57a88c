//! A bike's page: its drawing, and its record as a form.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{BikeId, BikeVersion, DeskError, Filter, QuestionPage};
use knockon_trade::record::edit::entries;
use knockon_trade::words::upper_first;
use maud::{Markup, html};
use serde::Deserialize;

use super::form::{self, Typed, WHOLE};
use super::{View, bike_id, conflict, group, heading, linkage, no_bike, standing, title};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::Wrongs;
use crate::pages::layout::{self, Room};
use crate::pages::listing::beginning;
use crate::pages::questions::said;
use crate::pages::time::ago;
use crate::visitor::{Visitor, Writer};

/// Questions that a bike's page shows.
const QUESTIONS: u32 = 6;

/// What the address says beside the bike.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct After {
    /// The version that was saved just before.
    pub saved: String,
}

/// What a bike's page shows.
struct Shown {
    bike: BikeVersion,
    questions: QuestionPage,
    tolerances: BTreeMap<String, f64>,
}

impl Shown {
    fn load(desk: &knockon_desk::Desk, id: BikeId) -> Result<Self, DeskError> {
        let filter = Filter { bike: Some(id), limit: QUESTIONS, ..Filter::default() };
        let tolerances = desk.settings()?.tolerances;
        Ok(Self { bike: desk.bike(id)?, questions: desk.questions(&filter)?, tolerances })
    }
}

/// The bike's page.
pub async fn page(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(after): Query<After>,
) -> Result<Markup, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let shown = app.desk(move |desk| Shown::load(desk, id)).await?;
    let typed = entries(&shown.bike.text).map(|entries| Typed::of(&entries)).unwrap_or_default();
    let saved = after.saved.parse().ok().filter(|saved| *saved == shown.bike.number);
    Ok(view(&visitor, &shown, &typed, &Wrongs::default(), saved))
}

/// Saves the form as a new version.
pub async fn save(
    State(app): State<App>,
    writer: Writer,
    Path(id): Path<String>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let typed = Typed::sent(fields);
    let known = typed.version().ok_or_else(no_version)?;
    let base = app.desk(move |desk| desk.bike_version(id, known)).await?;
    let typed = typed.over(&base.text);
    let text = match form::write(&base.text, &typed) {
        Ok(text) => text,
        Err(wrongs) => return again(&app, &writer.0, id, &typed, &wrongs).await,
    };
    let (mine, why, stamp) = (text.clone(), typed.why(), writer.0.stamp());
    match app.try_desk(move |desk| desk.save_bike(id, &mine, &why, known, &stamp)).await? {
        Ok(number) => Ok(saved(id, number)),
        Err(DeskError::Conflict { .. }) => {
            let mine = conflict::Mine { text: &text, base: &base, why: typed.get("why"), by_form: true };
            conflict::page(&app, &writer.0, &mine).await
        }
        Err(DeskError::Record(problems)) => {
            again(&app, &writer.0, id, &typed, &form::placed(&text, &problems)).await
        }
        Err(error) => refused(&app, &writer.0, id, &typed, error).await,
    }
}

/// A form without its version cannot be saved safely: somebody else's work might be lost.
pub fn no_version() -> Fault {
    Fault::not_usable(
        "The form does not say which version it changes.",
        "Reload the bike's page and edit it there.",
    )
}

/// To the bike's page, which says that it was saved.
pub fn saved(id: BikeId, number: u32) -> Response {
    Redirect::to(&format!("/bikes/{id}?saved={number}")).into_response()
}

async fn refused(
    app: &App,
    visitor: &Visitor,
    id: BikeId,
    typed: &Typed,
    error: DeskError,
) -> Result<Response, Fault> {
    let fault = Fault::from(error);
    if fault.status.is_server_error() || fault.status == StatusCode::NOT_FOUND {
        return Err(fault);
    }
    again(app, visitor, id, typed, &Wrongs::one(WHOLE, said(&fault))).await
}

/// The page once more with everything that was typed.
async fn again(
    app: &App,
    visitor: &Visitor,
    id: BikeId,
    typed: &Typed,
    wrongs: &Wrongs,
) -> Result<Response, Fault> {
    let shown = app.desk(move |desk| Shown::load(desk, id)).await?;
    let page = view(visitor, &shown, typed, wrongs, None);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

fn view(visitor: &Visitor, shown: &Shown, typed: &Typed, wrongs: &Wrongs, saved: Option<u32>) -> Markup {
    let Shown { bike, questions, tolerances } = shown;
    let version = typed.version().unwrap_or(bike.number);
    // Warnings are about the record as it is stored; beside faults they would only distract.
    let warnings = if wrongs.is_empty() { form::warnings(&bike.text) } else { Wrongs::default() };
    let body = html! {
        div.bike-page {
            header { (heading(bike, View::Form)) }
            @if let Some(number) = saved { p.notice.saved role="status" { "Saved: this is version " (number) "." } }
            div.mend { (wrongs.summary()) }
            section.stand aria-label="As it stands" {
                (standing::shown(bike, tolerances))
                (about(bike.bike, questions))
            }
            form.record id=(WHOLE) method="post" action={ "/bikes/" (bike.bike) } data-guard {
                fieldset disabled[!visitor.may_write()] {
                    legend.unseen { "The record" }
                    (wrongs.below(WHOLE))
                    input type="hidden" name="version" value=(version);
                    (group::groups(typed, wrongs, &warnings))
                    (linkage::told(bike))
                    @if visitor.may_write() { (save_bar(typed.get("why"), "Save as a new version")) }
                }
            }
        }
    };
    layout::page(visitor, Room::Bikes, &title(bike), body)
}

/// Why it is saved, and the button; always in sight.
pub fn save_bar(why: &str, button: &str) -> Markup {
    bar("What changed, in a few words", why, button)
}

/// The same for a bike that is not there yet.
pub fn first_bar(why: &str) -> Markup {
    bar("Where this is from, in a few words", why, "Keep this bike")
}

fn bar(label: &str, why: &str, button: &str) -> Markup {
    html! {
        div.save-bar {
            div.field {
                label for="why" { (label) }
                input id="why" name="why" value=(why) maxlength="200" autocomplete="off";
            }
            button.primary { (button) }
        }
    }
}

/// The newest questions about a bike.
fn about(bike: BikeId, questions: &QuestionPage) -> Markup {
    html! {
        section.about aria-labelledby="about" {
            h2 id="about" { "Questions about this bike" }
            @if questions.rows.is_empty() { p.quiet { "None so far." } }
            @else {
                ul.bare {
                    @for row in &questions.rows {
                        li {
                            a href={ "/questions/" (row.id) } { (row.id) ": " (beginning(&row.asked, 90)) }
                            span.quiet { " " (upper_first(row.state.word())) ", came in " (ago(row.came)) }
                        }
                    }
                }
                @if questions.more { p { a href={ "/questions?bike=" (bike) } { "All questions about it" } } }
            }
        }
    }
}
