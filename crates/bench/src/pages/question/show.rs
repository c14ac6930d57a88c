//! The whole working page.

use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use knockon_desk::{BikeRow, Desk, DeskError, Inspection, PhotoRow, Publication, QuestionId, QuestionRow};
use knockon_trade::urgent;
use maud::{Markup, html};

use super::draft::Fields;
use super::edit::{self, Edited};
use super::live::{self, Drawn};
use super::state::Side;
use super::working::Working;
use super::{changes, depth, inspections, missing, photos, travel};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::pages::time::ago;
use crate::visitor::Visitor;

/// Answered questions that are shown beside this one.
const ALIKE: u32 = 3;

/// Bikes that the list of a form offers.
const BIKES: u32 = 300;

/// What a page shows beside the two ways.
pub struct Around {
    /// Bikes to choose from.
    pub bikes: Vec<BikeRow>,
    /// Photos of this question.
    pub photos: Vec<PhotoRow>,
    /// Inspections of this question.
    pub inspections: Vec<Inspection>,
    /// Answered questions like this one, each with its lines.
    pub alike: Vec<(QuestionRow, String)>,
    /// The newest published sheet of this question.
    pub published: Option<Publication>,
}

impl Around {
    /// Reads it.
    pub fn read(desk: &Desk, id: QuestionId) -> Result<Self, DeskError> {
        let alike = desk.alike(id, ALIKE)?;
        let alike = alike
            .into_iter()
            .map(|row| {
                let changes = desk.question(row.id)?.draft.changes;
                Ok((row, changes))
            })
            .collect::<Result<_, DeskError>>()?;
        Ok(Self {
            bikes: desk.bikes("", 0, BIKES)?,
            photos: desk.photos(id)?,
            inspections: desk.inspections(id)?,
            alike,
            published: desk.publication_of(id)?,
        })
    }
}

/// What is said above the page after something did not go as it was meant.
pub enum Notice {
    /// Nothing.
    None,
    /// A line of the changes stands in the way of publishing.
    BadLine,
    /// Somebody else saved a newer version; these words were not saved.
    Newer(Box<Edited>),
}

/// The page for the state that the address asks for.
pub async fn show(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<QuestionId>,
    RawQuery(query): RawQuery,
) -> Result<Markup, Fault> {
    let fields = Fields::of_query(&query.unwrap_or_default());
    app.desk(move |desk| whole(desk, &visitor, id, &fields, &Notice::None)).await?
}

/// The page again, with what stood in the way.
pub async fn again(
    app: &App,
    visitor: Visitor,
    id: QuestionId,
    fields: Fields,
    status: StatusCode,
    notice: Notice,
) -> Result<Response, Fault> {
    let page = app.desk(move |desk| whole(desk, &visitor, id, &fields, &notice)).await??;
    Ok((status, page).into_response())
}

fn whole(
    desk: &Desk,
    visitor: &Visitor,
    id: QuestionId,
    fields: &Fields,
    notice: &Notice,
) -> Result<Result<Markup, Fault>, DeskError> {
    let working = match Working::read(desk, id, |saved| fields.ways(saved))? {
        Ok(working) => working,
        Err(refused) => return Ok(Err(refused)),
    };
    let around = Around::read(desk, id)?;
    let body = body(&working, &around, visitor, notice);
    Ok(Ok(page(visitor, Room::Questions, &title(&working), body)))
}

/// The rider's words, or the number where there are none.
fn title(working: &Working) -> String {
    let asked = working.question.asked.trim();
    if asked.is_empty() { format!("Question {}", working.question.id) } else { asked.to_owned() }
}

fn body(working: &Working, around: &Around, visitor: &Visitor, notice: &Notice) -> Markup {
    let id = working.question.id;
    let may_write = visitor.may_write();
    html! {
        div.question data-live={ "/questions/" (id) "/live" } data-page={ "/questions/" (id) }
            data-save=[may_write.then(|| format!("/questions/{id}/draft"))] {
            progress.js-only id="slow" hidden aria-label="Waiting for the answer" {}
            div.work.sheet-part {
                div.first {
                    (urgent_words(&working.question.urgent))
                    (said(notice, working))
                    (head(working, around))
                }
                div.bar id="bar" { (live::bar(working)) }
                div.drawing id="drawing" { (live::drawing(working, Drawn::Both)) }
                div.side {
                    div.side-scroll {
                        section aria-label="Verdict" { div id="verdict" { (live::verdict(working)) } }
                        section.caution-box aria-labelledby="cautions-head" {
                            h2 id="cautions-head" { "Caution" }
                            div id="cautions" { (live::cautions(working)) }
                        }
                        @if looked_at(working, around) { (inspections_of(working, around, may_write)) }
                        (changes_form(working, may_write))
                        @if working.question.bike.is_none() { (edit::bike_chooser(working, around, may_write)) }
                        section aria-labelledby="missing-head" {
                            h2 id="missing-head" { "Still to ask the rider" }
                            div id="missing" { (missing::section(working, &visitor.workshop.name)) }
                        }
                        section.how-sure aria-labelledby="sure-head" {
                            h2 id="sure-head" { "How sure, and what to measure next" }
                            div id="sure" { (live::sure(working)) }
                        }
                    }
                    (actions(working, may_write))
                }
                div.below {
                    div id="moves" { (live::moves(working)) }
                    (travel::section(working))
                    (depth::section(working))
                    (alike(id, &around.alike, may_write))
                    div.about-and-photos {
                        (edit::about(working, around, may_write, notice))
                        (photos::section(id, &around.photos, may_write))
                        @if !looked_at(working, around) { (inspections_of(working, around, may_write)) }
                    }
                    div.notes-columns id="notes-of-sheet" { (live::notes(working)) }
                }
            }
            p.unseen id="spoken" role="status" {}
        }
    }
}

/// Whether inspections belong beside the verdict: something was inspected, or what was asked speaks of danger.
fn looked_at(working: &Working, around: &Around) -> bool {
    !around.inspections.is_empty() || !working.question.urgent.is_empty()
}

fn inspections_of(working: &Working, around: &Around, may_write: bool) -> Markup {
    let question = &working.question;
    inspections::section(question.id, &question.asked, &around.inspections, may_write)
}

/// Words of the question that speak of danger: first on the page, each with its reason.
fn urgent_words(words: &[String]) -> Markup {
    html! {
        @if !words.is_empty() {
            div.notice.caution.urgent role="note" {
                p { strong { "Look at this first: the question speaks of " (list(words)) "." } }
                @for word in words {
                    @if let Some(why) = urgent::why(word) { p { (why) } }
                }
            }
        }
    }
}

fn list(words: &[String]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("“{word}”")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

fn said(notice: &Notice, working: &Working) -> Markup {
    html! {
        @match notice {
            Notice::None => {}
            Notice::BadLine => div.fault-summary tabindex="-1" {
                h2 { "Not published: a line cannot be read" }
                p { "Mend or remove it, then publish. A sheet says exactly what it answers." }
            },
            Notice::Newer(_) => div.fault-summary tabindex="-1" {
                h2 { "Not saved: somebody saved a newer version" }
                p { "Your words are in the fields under " a href="#about" { "About this question" } ". Saving again puts them in the place of what is kept now:" }
                dl {
                    dt { "State" } dd { (working.question.state.word()) }
                    dt { "Rider" } dd { (or_none(&working.question.rider)) }
                    dt { "Bike" } dd { (working.bike.as_deref().unwrap_or("none")) }
                    dt { "Asked" } dd { (working.question.asked) }
                    dt { "Notes" } dd { (or_none(&working.question.notes)) }
                }
            },
        }
    }
}

fn or_none(text: &str) -> &str {
    if text.trim().is_empty() { "none" } else { text }
}

fn head(working: &Working, around: &Around) -> Markup {
    let question = &working.question;
    html! {
        header.question-head {
            h1 { (title(working)) }
            p.quiet {
                @match (&working.bike, question.bike) {
                    (Some(bike), Some(id)) => { a href={ "/bikes/" (id) } { (bike) } }
                    _ => "no bike yet",
                }
                @if let Some(sheet) = working.first.sheet() { " · frame data " (sheet.title.frame_data) }
                " · question " (question.id) ", came in " (ago(question.came))
                " · " (question.state.word())
                @if let Some(published) = &around.published {
                    " · " a href={ "/s/" (published.code) } { "published, revision " (published.revisions) }
                }
            }
        }
    }
}

/// The lines of both ways in one form. Without a script its buttons send it; a visitor who may not write sends it as a
/// query, which changes nothing but the page.
fn changes_form(working: &Working, may_write: bool) -> Markup {
    let id = working.question.id;
    let (first, instead) = working.ways.texts();
    let action = if may_write { format!("/questions/{id}/draft") } else { format!("/questions/{id}") };
    html! {
        form.work-form id="work" method=(if may_write { "post" } else { "get" }) action=(action) novalidate autocomplete="off" {
            // Enter in a field presses the first button of a form: it must be this one.
            button.unseen tabindex="-1" aria-hidden="true" { "Redraw" }
            @if !working.is_saved && may_write {
                p.from-link.no-js { "This state comes from a link and is not the saved draft." }
            }
            (way_fields(Side::First, working, &first))
            @if let Some(instead) = &instead { (way_fields(Side::Instead, working, instead)) }
            datalist id="sayable" { @for line in changes::sayable() { option value=(line) {} } }
            div.actions.no-js { button { "Redraw" } }
        }
    }
}

fn way_fields(side: Side, working: &Working, text: &str) -> Markup {
    let prefix = side.prefix();
    let lines = working.all().find(|(other, _)| *other == side).map_or(&[][..], |(_, way)| &way.lines);
    let compares = working.instead.is_some();
    html! {
        fieldset {
            legend { h2 { @if compares { (side.name()) } @else { "Changes" } } }
            div id={ (prefix) "rows" } { (changes::rows(side, lines)) }
            div.say {
                label.unseen for={ (prefix) "add" } { "Say a change" }
                input id={ (prefix) "add" } name={ (prefix) "add" } list="sayable" spellcheck="false" enterkeyhint="done"
                    placeholder="say a change: stem length 40";
                button data-add=(prefix) { "Add" }
            }
            details.as-lines {
                summary { "As lines" }
                label.unseen for=(side.field()) { "Changes, one a line" }
                // A browser drops the first line break of a text area.
                textarea.lines id=(side.field()) name=(side.field()) spellcheck="false" rows="4" { "\n" (text) }
            }
            @if side == Side::Instead {
                div.actions {
                    button name="instead" value="take" { "Do this instead" }
                    button name="instead" value="close" { "Close the second way" }
                }
            }
        }
    }
}

fn actions(working: &Working, may_write: bool) -> Markup {
    let question = &working.question;
    let id = question.id;
    html! {
        div.bench-actions {
            div.actions {
                @if may_write {
                    button.primary form="work" formaction={ "/questions/" (id) "/publish" } { "Publish sheet" }
                }
                button form="work" formmethod="get" formaction={ "/questions/" (id) "/sheet" } { "Preview" }
                @if working.instead.is_none() { button form="work" name="instead" value="open" { "Or instead …" } }
            }
            div.quiet-actions {
                @if may_write {
                    button.plain id="undo" form="work" formaction={ "/questions/" (id) "/undo" } disabled[!question.can_undo]
                        title="Undo (Ctrl+Z)" { "Undo" }
                    button.plain id="redo" form="work" formaction={ "/questions/" (id) "/redo" } disabled[!question.can_redo]
                        title="Redo (Ctrl+Shift+Z)" { "Redo" }
                }
                span id="link" { (live::link(working)) }
                @if may_write { span.saving id="saving" role="status" {} }
            }
        }
    }
}

fn alike(id: QuestionId, rows: &[(QuestionRow, String)], may_write: bool) -> Markup {
    html! {
        @if !rows.is_empty() {
            section.alike aria-labelledby="alike-head" {
                h2 id="alike-head" { "Answered before, and much like it" }
                ul.bare {
                    @for (row, changes) in rows {
                        li {
                            p {
                                a href={ "/questions/" (row.id) } { @if row.asked.is_empty() { "Question " (row.id) } @else { (row.asked) } }
                                @if let Some((_, bike)) = &row.bike { " " span.quiet { (bike) } }
                            }
                            @if let Some(answer) = &row.answer { p.quiet { (answer) } }
                            @if may_write && !changes.trim().is_empty() {
                                form method="post" action={ "/questions/" (id) "/draft" } {
                                    input type="hidden" name="do" value=(changes);
                                    button { "Use these changes" }
                                    " " span.quiet.small { (changes.replace('\n', "; ")) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
