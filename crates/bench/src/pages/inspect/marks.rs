//! Drawing on a photo: circles and measures, as lines that anybody can type; the script draws them with a finger.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{DeskError, PhotoId, PhotoRow, QuestionId};
use knockon_sheet::inspection::figure;
use knockon_trade::problem::Problem;
use maud::{Markup, html};
use serde::Deserialize;

use super::photos::picture;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::pages::questions::sentence;
use crate::visitor::{Visitor, Writer};

/// The page.
pub async fn show(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<PhotoId>,
) -> Result<Markup, Fault> {
    let (question, row) = app.desk(move |desk| desk.photo_row(id)).await?;
    let marks = row.marks.clone();
    Ok(body(&visitor, question, &row, &marks, &[]))
}

/// Where a photo belongs: its inspection, or its question.
fn back(question: QuestionId, row: &PhotoRow) -> String {
    row.inspection.map_or_else(|| format!("/questions/{question}#photos"), |id| format!("/inspections/{id}"))
}

fn body(
    visitor: &Visitor,
    question: QuestionId,
    row: &PhotoRow,
    marks: &str,
    problems: &[Problem],
) -> Markup {
    let id = row.id;
    let body = html! {
        div.mark-photo {
            h1 { "Draw on the photo" }
            p.quiet { "Circle what you mean, lay a measure along it, and say what it is. Whoever sees the sheet then looks where you looked. The photo itself stays as it is." }
            @if !problems.is_empty() {
                div.fault-summary role="alert" tabindex="-1" {
                    h2 { "Please mend this" }
                    ul {
                        @for problem in problems {
                            li {
                                a href="#marks" { code { (problem.line().trim()) } } ": " (sentence(&problem.message))
                                @if let Some(help) = &problem.help { " " (sentence(help)) }
                            }
                        }
                    }
                }
            }
            div.actions.js-only role="group" aria-label="What to draw" {
                button type="button" id="draw-circle" aria-pressed="true" { "Circle" }
                button type="button" id="draw-measure" aria-pressed="false" { "Measure" }
                button type="button" id="draw-undo" { "Take the last one back" }
            }
            div.sheet-part.drawing-board id="board" { (figure(&picture(row))) }
            form.fields method="post" action={ "/photos/" (id) "/marks" } {
                div.field.js-only {
                    label for="mark-words" { "What the last mark shows" }
                    input id="mark-words" maxlength="80" autocomplete="off" placeholder="start of the line, or 12 mm";
                }
                div.field {
                    label for="marks" { "Marks, one a line" }
                    span.hint id="marks-hint" { "circle 40 55 6 start of the line · measure 20 30 60 32 35 mm. Numbers are hundredths of width and height." }
                    textarea.lines id="marks" name="marks" rows="4" spellcheck="false" aria-describedby="marks-hint" { "\n" (marks) }
                }
                div.field {
                    label for="caption" { "What the photo shows" }
                    input id="caption" name="caption" maxlength="300" autocomplete="off" value=(row.caption);
                }
                div.actions { button.primary { "Keep" } a.button href=(back(question, row)) { "Back" } }
            }
        }
    };
    page(visitor, Room::Inspect, "Draw on the photo", body)
}

/// What the form sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Drawn {
    marks: String,
    caption: String,
}

/// Keeps the marks; what cannot be read comes back with its place.
pub async fn save(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<PhotoId>,
    Form(form): Form<Drawn>,
) -> Result<Response, Fault> {
    let marks = form.marks.replace('\r', "");
    let (question, mut row, problems) = app
        .desk(move |desk| {
            let (question, row) = desk.photo_row(id)?;
            match desk.mark_photo(id, &marks, &form.caption) {
                Err(DeskError::Marks(problems)) => {
                    Ok((question, PhotoRow { caption: form.caption, marks, ..row }, problems))
                }
                done => done.map(|()| (question, row, Vec::new())),
            }
        })
        .await?;
    if problems.is_empty() {
        return Ok(Redirect::to(&back(question, &row)).into_response());
    }
    let typed = std::mem::take(&mut row.marks);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, body(&visitor, question, &row, &typed, &problems)).into_response())
}
