//! A run: one question at a time, large enough for a thumb; then what came of it, to sign.

use axum::extract::{Form, Path, Query, State};
use axum::response::Redirect;
use knockon_desk::{Inspection, InspectionId, PhotoRow, condition};
use knockon_sheet::inspection::{NO_EYES, compose, html_section, message};
use knockon_sheet::text::Style;
use knockon_trade::inspection::protocol::{CANNOT_TELL, Kind};
use knockon_trade::inspection::{Given, Inspected, Judgement, Step, given};
use knockon_trade::words::upper_first;
use maud::{Markup, html};
use serde::Deserialize;

use super::photos;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::visitor::{Visitor, Writer};

/// What the address may say: the step to answer anew.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    at: String,
    /// A reading that was typed there and could not be read.
    typed: String,
    /// What was written down beside it.
    note: String,
}

/// What a page shows.
struct Shown {
    inspection: Inspection,
    inspected: Inspected,
    judgement: Judgement,
    photos: Vec<PhotoRow>,
    asked: String,
    has_bike: bool,
}

/// The page.
pub async fn show(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<InspectionId>,
    Query(at): Query<Asked>,
) -> Result<Markup, Fault> {
    let (inspection, photos, question) = app
        .desk(move |desk| {
            let inspection = desk.inspection(id)?;
            let mut photos = desk.photos(inspection.question)?;
            photos.retain(|photo| photo.inspection == Some(id));
            let question = desk.question(inspection.question)?;
            Ok((inspection, photos, question))
        })
        .await?;
    let Some(inspected) = inspection.inspected() else {
        return Err(Fault::not_usable(
            "This program does not have the protocol of this inspection.",
            "Open the workshop with the program that it was begun with, or a newer one.",
        ));
    };
    let judgement = inspected.judgement();
    let title = judgement.protocol.title.clone();
    let shown = Shown {
        inspection,
        inspected,
        judgement,
        photos,
        asked: question.asked,
        has_bike: question.bike.is_some(),
    };
    let may_write = visitor.may_write() && shown.inspection.signed.is_none();
    let again = shown.judgement.found.iter().find(|found| found.step.id == at.at).map(|found| found.step);
    let step = again.or(shown.judgement.next).filter(|_| may_write);
    let body = html! {
        div.run {
            header.run-head {
                h1 { (title) }
                p.quiet {
                    "Inspection " (id) " for " a href={ "/questions/" (shown.inspection.question) } { "question " (shown.inspection.question) }
                    @if !shown.asked.is_empty() { ": " (shown.asked) }
                }
                (about_part(&shown, may_write))
            }
            @if shown.inspection.edition != shown.judgement.protocol.edition {
                p.notice { "It was begun by edition " (shown.inspection.edition) " of this protocol and is judged by edition " (shown.judgement.protocol.edition) "." }
            }
            @if let Some(step) = step {
                (asked_now(&shown, step, &at))
                (so_far(&shown, may_write))
                @if step.kind != Kind::Photo { (pictures(&shown, may_write)) }
            } @else {
                (outcome(&shown, visitor.may_write()))
            }
        }
    };
    Ok(page(&visitor, Room::Inspect, &title, body))
}

fn about_part(shown: &Shown, may_write: bool) -> Markup {
    let id = shown.inspection.id;
    html! {
        @if may_write {
            details.part-form {
                summary { @if shown.inspection.part.is_empty() { "Say which part it is" } @else { (shown.inspection.part) } }
                form method="post" action={ "/inspections/" (id) "/part" } {
                    label.unseen for="part" { "Which part, and where on it" }
                    input id="part" name="part" maxlength="200" autocomplete="off" value=(shown.inspection.part);
                    button { "Keep" }
                }
            }
        } @else if !shown.inspection.part.is_empty() {
            p { (shown.inspection.part) }
        }
    }
}

/// The question that is asked now. The answers stand at the foot, where a thumb reaches them.
fn asked_now(shown: &Shown, step: &'static Step, at: &Asked) -> Markup {
    let id = shown.inspection.id;
    let before = shown.judgement.found.iter().find(|found| found.step.id == step.id);
    let number = shown.judgement.found.iter().take_while(|found| found.step.id != step.id).count() + 1;
    let previous = shown.judgement.found.iter().take_while(|found| found.step.id != step.id).last();
    html! {
        section.ask id="ask" aria-labelledby="ask-head" {
            p.quiet.small { "Question " (number) }
            h2 id="ask-head" { (step.ask) }
            @if let Some(first) = shown.judgement.protocol.before.first().filter(|_| number == 1) {
                div.notice { p { strong { "Before you look" } } p { (first) }
                    @for what in shown.judgement.protocol.before.iter().skip(1) { p { (what) } } }
            }
            @for look in step.looks() { p.look { strong { (look.say) ":" } " " (look.how) } }
            @if !step.how.is_empty() { p.look { (step.how) } }
            @if step.kind == Kind::Photo { (photos::taking(id, &shown.photos)) }
            form.answers method="post" action={ "/inspections/" (id) "/answer" } {
                input type="hidden" name="step" value=(step.id);
                @if let Some(write) = &step.write {
                    div.field {
                        label for="note" { (write) }
                        textarea id="note" name="note" rows="2" maxlength="1000" {
                            "\n" @if at.at == step.id && !at.note.is_empty() { (at.note) } @else { (before.map_or("", |found| found.note.as_str())) }
                        }
                    }
                }
                @if step.kind == Kind::Number { (reading(step, before.map(|found| &found.given), at)) }
                @else { (buttons(step, before.map(|found| &found.given), !shown.photos.is_empty())) }
            }
            @if let Some(previous) = previous {
                p { a.button.plain href={ "/inspections/" (id) "?at=" (previous.step.id) "#ask" } { "Back" } }
            }
        }
    }
}

fn buttons(step: &Step, given: Option<&Given>, has_photos: bool) -> Markup {
    let pressed = |at: usize| given.map(|given| if *given == Given::Choice(at) { "true" } else { "false" });
    html! {
        div.thumb {
            @if step.kind == Kind::Photo {
                button.primary name="answer" value="taken" disabled[!has_photos] { "Go on with the photos" }
                button name="answer" value="none" { "Go on without a photo" }
            } @else {
                @for (index, answer) in step.answers.iter().enumerate() {
                    button name="answer" value=(answer.id) aria-pressed=[pressed(index)] { (answer.say) }
                }
                button.cannot name="answer" value=(CANNOT_TELL)
                    aria-pressed=[given.map(|given| if *given == Given::CannotTell { "true" } else { "false" })] { "Cannot tell" }
            }
        }
    }
}

fn reading(step: &Step, before: Option<&Given>, at: &Asked) -> Markup {
    let unit = given::unit(step);
    let written = match before {
        Some(given @ Given::Number { .. }) => given.written(step),
        _ => String::new(),
    };
    let typed = Some(&at.typed).filter(|typed| at.at == step.id && !typed.is_empty());
    // What is wrong is found out anew: no address puts words of its own on the page.
    let wrong = typed.and_then(|typed| Given::read(step, typed).err());
    let shown = if wrong.is_some() { at.typed.clone() } else { written };
    html! {
        div.field {
            label for="reading" { "Reading, " (unit) }
            @if let Some(tolerance) = step.tolerance {
                span.hint id="reading-hint" { "Good to ± " (tolerance) " " (unit) " unless you write another, such as 1.62 ± 0.02." }
            }
            input id="reading" name="typed" inputmode="decimal" autocomplete="off" maxlength="40" value=(shown)
                aria-describedby="reading-hint" aria-invalid=[wrong.as_ref().map(|_| "true")];
            @if let Some(fault) = &wrong { span.wrong { (upper_first(&fault.why)) ": " (fault.help) "." } }
        }
        div.thumb {
            button.primary name="answer" value="typed" { "Keep the reading" }
            button.cannot name="answer" value=(CANNOT_TELL) { "Cannot tell" }
        }
    }
}

/// The photos that were taken for it.
fn pictures(shown: &Shown, open: bool) -> Markup {
    html! {
        @if !shown.photos.is_empty() {
            section aria-labelledby="photos-head" {
                h2 id="photos-head" { "Photos" }
                (photos::figures(&shown.photos, open))
                p.quiet.small { (NO_EYES) }
            }
        }
    }
}

/// What was found so far, each to be answered anew.
fn so_far(shown: &Shown, may_write: bool) -> Markup {
    html! {
        @if !shown.judgement.found.is_empty() {
            section aria-labelledby="found-head" {
                h2 id="found-head" { "Found so far" }
                (found(shown, may_write))
            }
        }
        (super::cautions(shown.judgement.cautions.iter().map(|caution| caution.text.as_str())))
    }
}

fn found(shown: &Shown, may_write: bool) -> Markup {
    let id = shown.inspection.id;
    html! {
        ol.bare.found-so-far {
            @for found in &shown.judgement.found {
                li {
                    p.quiet.small { (found.step.ask) }
                    p {
                        (found.given.words(found.step))
                        @if !found.note.is_empty() { " " span.quiet { (found.note) } }
                        @if may_write {
                            " " a href={ "/inspections/" (id) "?at=" (found.step.id) "#ask" } aria-label={ "Change: " (found.step.ask) } { "Change" }
                        }
                    }
                }
            }
        }
    }
}

/// What came of it.
fn outcome(shown: &Shown, may_write: bool) -> Markup {
    let id = shown.inspection.id;
    let part = compose(&shown.inspected, &shown.judgement);
    let open = may_write && shown.inspection.signed.is_none();
    let reply = message(&part, 200, Style::Plain);
    html! {
        div.sheet-part.came-out { (html_section(&part)) }
        (pictures(shown, open))
        (super::cautions(shown.judgement.cautions.iter().map(|caution| caution.text.as_str())))
        @if open {
            section aria-labelledby="change-head" { h2 id="change-head" { "Change an answer" } (found(shown, true)) }
            form.fields.sign method="post" action={ "/inspections/" (id) "/sign" } {
                div.field {
                    label for="name" { "Signed by" }
                    span.hint id="name-hint" { "Whoever looked at it, with the part in hand where that was asked. The answers then stand." }
                    input id="name" name="name" maxlength="200" autocomplete="name" required aria-describedby="name-hint";
                }
                div { button.primary disabled[!shown.judgement.is_finished()] { "Sign and close" } }
            }
        }
        @if let Some((key, word)) = condition(&shown.inspected).filter(|_| may_write && shown.has_bike) {
            form method="post" action={ "/inspections/" (id) "/record" } {
                p.quiet.small { "Then no answer about this bike takes the part for sound, whatever the figures say." }
                button { "Write “" (word) "” into the bike’s record, " code { (key) } }
            }
        }
        div.actions {
            a.button href={ "/inspections/" (id) "/sheet" } { "Sheet to print" }
            a href={ "/inspections/" (id) "/sheet.md" } { "Markdown" }
            a href={ "/inspections/" (id) "/sheet.txt" } { "Text" }
            a href={ "/inspections/" (id) "/sheet.json" } { "JSON" }
            a href={ "/questions/" (shown.inspection.question) } { "Back to the question" }
        }
        section aria-labelledby="reply-head" {
            h2 id="reply-head" { "Message to the rider" }
            label.unseen for="reply" { "Message to the rider, ready to copy" }
            textarea.reply id="reply" readonly rows="9" { "\n" (reply) }
        }
        @if may_write {
            div.actions {
                @if shown.inspection.signed.is_some() {
                    form method="post" action={ "/inspections/" (id) "/open" } { button { "Open it again" } }
                } @else {
                    details {
                        summary { "Remove this inspection" }
                        form method="post" action={ "/inspections/" (id) "/remove" } {
                            p { "Its answers go for good; its photos stay with the question." }
                            button.danger { "Remove it" }
                        }
                    }
                }
            }
        }
    }
}

/// An answer as a form sends it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Answered {
    step: String,
    answer: String,
    typed: String,
    note: String,
}

/// Keeps an answer. A reading that cannot be read comes back with what is wrong.
pub async fn answer(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
    Form(form): Form<Answered>,
) -> Result<Redirect, Fault> {
    let typed = form.answer == "typed";
    let text = if typed { form.typed.clone() } else { form.answer.clone() };
    if typed {
        let inspection = app.desk(move |desk| desk.inspection(id)).await?;
        let step = inspection.known().and_then(|protocol| protocol.step(&form.step));
        if step.is_some_and(|step| Given::read(step, &text).is_err()) {
            let back = crate::pages::listing::address(
                &format!("/inspections/{id}"),
                &[("at", form.step.as_str()), ("typed", &form.typed), ("note", &form.note)],
            );
            return Ok(Redirect::to(&format!("{back}#ask")));
        }
    }
    let open = app
        .desk(move |desk| {
            desk.observe(id, &form.step, &text, &form.note, &visitor.stamp())?;
            Ok(desk.inspection(id)?.inspected().is_some_and(|it| !it.judgement().is_finished()))
        })
        .await?;
    Ok(Redirect::to(&next(id, open)))
}

/// Where the page goes on: at the next question, or at its head with what came out.
fn next(id: InspectionId, open: bool) -> String {
    format!("/inspections/{id}{}", if open { "#ask" } else { "" })
}

/// What the form about the part sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Part {
    part: String,
}

/// Says which part it is.
pub async fn part(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
    Form(form): Form<Part>,
) -> Result<Redirect, Fault> {
    app.desk(move |desk| desk.describe_inspection(id, &form.part, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/inspections/{id}")))
}

/// Who signs.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Name {
    name: String,
}

/// Closes the run with a name.
pub async fn sign(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
    Form(form): Form<Name>,
) -> Result<Redirect, Fault> {
    app.desk(move |desk| desk.sign_inspection(id, &form.name, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/inspections/{id}")))
}

/// Writes what came out into the bike's record.
pub async fn record(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
) -> Result<Redirect, Fault> {
    let bike = app.desk(move |desk| desk.note_condition(id, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/bikes/{bike}")))
}

/// Opens a signed run again.
pub async fn open(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
) -> Result<Redirect, Fault> {
    app.desk(move |desk| desk.open_inspection(id, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/inspections/{id}")))
}

/// Removes a run that nobody signed.
pub async fn remove(
    State(app): State<App>,
    Writer(_): Writer,
    Path(id): Path<InspectionId>,
) -> Result<Redirect, Fault> {
    let question = app.desk(move |desk| desk.remove_inspection(id)).await?;
    Ok(Redirect::to(&format!("/questions/{question}#inspections")))
}
