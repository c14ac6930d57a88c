//! About the question: its words, its rider, its bike, its state and notes.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{BikeId, DeskError, QuestionEdit, QuestionId, State as QuestionState};
use maud::{Markup, html};
use serde::Deserialize;

use super::draft::Fields;
use super::show::{Around, Notice, again};
use super::working::Working;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Writer;

/// The form as it was sent.
#[derive(Clone, Debug, Deserialize)]
pub struct Edited {
    #[serde(default)]
    asked: String,
    #[serde(default)]
    rider: String,
    /// Number of the bike; empty for none.
    #[serde(default)]
    bike: String,
    #[serde(default)]
    notes: String,
    /// Key of the state.
    state: String,
    /// The version that was edited.
    version: u32,
}

impl Edited {
    fn of(working: &Working) -> Self {
        let question = &working.question;
        Self {
            asked: question.asked.clone(),
            rider: question.rider.clone(),
            bike: question.bike.map(|id| id.to_string()).unwrap_or_default(),
            notes: question.notes.clone(),
            state: question.state.key().to_owned(),
            version: question.version,
        }
    }

    fn read(&self) -> Result<QuestionEdit, Fault> {
        let state = QuestionState::ALL.into_iter().find(|state| state.key() == self.state);
        let state = state.ok_or_else(|| {
            Fault::not_usable("This is no state of a question.", "Choose one of those in the list.")
        })?;
        let bike = match self.bike.trim() {
            "" => None,
            number => Some(number.parse::<BikeId>().map_err(|_| {
                Fault::not_usable("This is no bike of the list.", "Choose one of those in the list.")
            })?),
        };
        Ok(QuestionEdit {
            asked: self.asked.trim().to_owned(),
            rider: self.rider.trim().to_owned(),
            bike,
            // Browsers send line breaks as two characters.
            notes: self.notes.replace("\r\n", "\n"),
            state,
        })
    }
}

/// Saves the form. Where somebody saved a newer version meanwhile, the page comes back with the words that were sent.
pub async fn save(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<QuestionId>,
    Form(form): Form<Edited>,
) -> Result<Response, Fault> {
    let (edit, stamp, after) = (form.read()?, visitor.stamp(), form.version);
    match app.try_desk(move |desk| desk.edit_question(id, &edit, after, &stamp)).await? {
        Ok(_) => Ok(Redirect::to(&format!("/questions/{id}")).into_response()),
        Err(DeskError::Conflict { .. }) => {
            let notice = Notice::Newer(Box::new(form));
            again(&app, visitor, id, Fields::default(), StatusCode::CONFLICT, notice).await
        }
        Err(error) => Err(error.into()),
    }
}

/// The form with everything about the question.
pub fn about(working: &Working, around: &Around, may_write: bool, notice: &Notice) -> Markup {
    let id = working.question.id;
    let saved = Edited::of(working);
    let shown = match notice {
        Notice::Newer(edited) => edited,
        _ => &saved,
    };
    html! {
        section id="about" aria-labelledby="about-head" {
            h2 id="about-head" { "About this question" }
            form method="post" action={ "/questions/" (id) "/edit" } data-guard {
                fieldset.fields disabled[!may_write] {
                    legend.unseen { "About this question" }
                    div.row {
                        div.field {
                            label for="state" { "State" }
                            select id="state" name="state" {
                                @for state in QuestionState::ALL {
                                    option value=(state.key()) selected[state.key() == shown.state] { (state.word()) }
                                }
                            }
                        }
                        div.field {
                            label for="rider" { "Rider" }
                            input id="rider" name="rider" value=(shown.rider) maxlength="200" autocomplete="off";
                        }
                    }
                    div.field { label for="bike" { "Bike" } (bike_list("bike", &shown.bike, working, around)) }
                    div.field {
                        label for="asked" { "Asked" }
                        textarea id="asked" name="asked" rows="3" maxlength="20000" { "\n" (shown.asked) }
                    }
                    div.field {
                        label for="notes" { "Notes, for the workshop only" }
                        textarea id="notes" name="notes" rows="4" maxlength="20000" { "\n" (shown.notes) }
                    }
                    input type="hidden" name="version" value=(working.question.version);
                    @if may_write { div { button { "Save" } } }
                }
            }
        }
    }
}

/// For a question without a bike: choose one, or add it.
pub fn bike_chooser(working: &Working, around: &Around, may_write: bool) -> Markup {
    let id = working.question.id;
    let kept = Edited::of(working);
    html! {
        section.no-bike aria-labelledby="no-bike-head" {
            h2 id="no-bike-head" { "This question has no bike" }
            @if may_write {
                @if !around.bikes.is_empty() {
                    form method="post" action={ "/questions/" (id) "/edit" } {
                        @for (name, value) in [("asked", &kept.asked), ("rider", &kept.rider), ("notes", &kept.notes), ("state", &kept.state)] {
                            input type="hidden" name=(name) value=(value);
                        }
                        input type="hidden" name="version" value=(kept.version);
                        div.field { label for="choose-bike" { "Choose its bike" } (bike_list("choose-bike", "", working, around)) }
                        div.actions { button.primary { "Use this bike" } a.button href={ "/bikes/new?question=" (id) } { "Add a bike" } }
                    }
                } @else {
                    p { a.button href={ "/bikes/new?question=" (id) } { "Add a bike" } }
                }
            } @else { p { "Nobody has chosen one yet." } }
        }
    }
}

fn bike_list(id: &str, chosen: &str, working: &Working, around: &Around) -> Markup {
    let is = |row: &knockon_desk::BikeRow| row.id.to_string() == chosen;
    let listed = chosen.is_empty() || around.bikes.iter().any(is);
    html! {
        select id=(id) name="bike" {
            option value="" selected[chosen.is_empty()] { "none" }
            @if !listed { option value=(chosen) selected { (working.bike.as_deref().unwrap_or("the chosen one")) } }
            @for row in &around.bikes { option value=(row.id) selected[is(row)] { (row.title) } }
        }
    }
}
