//! A new question by form.

use axum::extract::{Form, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{BikeId, NewQuestion, QuestionRow};
use knockon_trade::question::read_changes;
use maud::{Markup, html};
use serde::Deserialize;

use super::alike;
use super::choice::Bikes;
use super::filter::sentence;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::{Line, Wrongs};
use crate::pages::layout::{self, Room};
use crate::visitor::{Visitor, Writer};

/// Longest line about the rider, characters.
const LONGEST_RIDER: u16 = 200;

/// What was typed into the form.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Typed {
    asked: String,
    rider: String,
    bike: String,
    changes: String,
    /// "look" for a look at what was answered before, with nothing stored.
    step: String,
}

impl Typed {
    fn bike(&self) -> Option<BikeId> {
        self.bike.parse().ok()
    }

    fn question(&self) -> NewQuestion {
        NewQuestion {
            asked: self.asked.trim().replace("\r\n", "\n"),
            rider: self.rider.trim().to_owned(),
            bike: self.bike(),
            changes: self.changes.trim().replace("\r\n", "\n"),
        }
    }

    /// What is wrong before the desk is asked.
    fn wrongs(&self) -> Wrongs {
        let question = self.question();
        let mut wrongs = Wrongs::default();
        if question.asked.is_empty() && question.changes.is_empty() {
            wrongs.add("asked", "Write down what the rider asks, or at least one change.");
        }
        if !self.bike.is_empty() && question.bike.is_none() {
            wrongs.add("bike", "This is no bike. Choose one from the list.");
        }
        wrongs
    }
}

/// What a look at the typed question found.
struct Found {
    words: Vec<String>,
    alike: Vec<QuestionRow>,
    faults: Vec<String>,
}

/// The form, empty or with what the address says, and below it the one for a pile.
pub async fn form(
    State(app): State<App>,
    visitor: Writer,
    Query(typed): Query<Typed>,
) -> Result<Markup, Fault> {
    let chosen = typed.bike();
    let bikes = app.desk(move |desk| Bikes::load(desk, chosen)).await?;
    Ok(page(&visitor.0, &typed, &bikes, &Wrongs::default(), None, &Pile::default()))
}

/// Stores the question and goes to its page; or has a look first.
pub async fn keep(
    State(app): State<App>,
    writer: Writer,
    Form(typed): Form<Typed>,
) -> Result<Response, Fault> {
    let wrongs = typed.wrongs();
    if !wrongs.is_empty() {
        return again(&app, &writer.0, &typed, wrongs).await;
    }
    if typed.step == "look" {
        return look(&app, &writer.0, &typed).await;
    }
    let (question, stamp) = (typed.question(), writer.0.stamp());
    match app.try_desk(move |desk| desk.ask(&question, &stamp)).await? {
        Ok(id) => Ok(Redirect::to(&format!("/questions/{id}")).into_response()),
        Err(error) => {
            let fault = Fault::from(error);
            if fault.status.is_server_error() {
                return Err(fault);
            }
            again(&app, &writer.0, &typed, Wrongs::one("asked", said(&fault))).await
        }
    }
}

/// What a fault says, with its help, for the head of a form.
pub fn said(fault: &Fault) -> String {
    match &fault.help {
        Some(help) => format!("{} {}", sentence(&fault.detail), sentence(help)),
        None => sentence(&fault.detail),
    }
}

/// The form once more with everything that was typed, and what is wrong with it.
async fn again(app: &App, visitor: &Visitor, typed: &Typed, wrongs: Wrongs) -> Result<Response, Fault> {
    let chosen = typed.bike();
    let bikes = app.desk(move |desk| Bikes::load(desk, chosen)).await?;
    let page = page(visitor, typed, &bikes, &wrongs, None, &Pile::default());
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The form once more with the safety words, the answered questions and the faults of the changes.
async fn look(app: &App, visitor: &Visitor, typed: &Typed) -> Result<Response, Fault> {
    let (chosen, asked) = (typed.bike(), typed.asked.clone());
    let (bikes, alike, words) = app
        .desk(move |desk| {
            let alike =
                if asked.trim().is_empty() { Vec::new() } else { desk.alike_text(&asked, alike::MOST)? };
            Ok((Bikes::load(desk, chosen)?, alike, alike::words_in(&asked)))
        })
        .await?;
    let found = Found { words, alike, faults: faults(&typed.changes) };
    Ok(page(visitor, typed, &bikes, &Wrongs::default(), Some(&found), &Pile::default()).into_response())
}

/// What is wrong with the changes as they are typed. They may be stored all the same: the working page helps on.
fn faults(changes: &str) -> Vec<String> {
    let lines: Vec<&str> = changes.lines().collect();
    let Err(problems) = read_changes(&lines) else { return Vec::new() };
    let said = |message: &str, help: Option<&str>| match help {
        Some(help) => format!("{} {}", sentence(message), sentence(help)),
        None => sentence(message),
    };
    problems.iter().map(|problem| said(&problem.message, problem.help.as_deref())).collect()
}

/// What was pasted as a pile, and what is wrong with it.
#[derive(Clone, Debug, Default)]
pub struct Pile<'a> {
    /// The text.
    pub text: &'a str,
    /// Why it cannot be used as it is.
    pub wrongs: Wrongs,
}

/// The page with both forms after a fault in the pile.
pub async fn pile_again(app: &App, visitor: &Visitor, pile: &Pile<'_>) -> Result<Response, Fault> {
    let bikes = app.desk(|desk| Bikes::load(desk, None)).await?;
    let page = page(visitor, &Typed::default(), &bikes, &Wrongs::default(), None, pile);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

fn page(
    visitor: &Visitor,
    typed: &Typed,
    bikes: &Bikes,
    wrongs: &Wrongs,
    found: Option<&Found>,
    pile: &Pile<'_>,
) -> Markup {
    let body = html! {
        h1 { "New question" }
        (wrongs.summary())
        (pile.wrongs.summary())
        div.new-question {
            (one(typed, bikes, wrongs, found))
            (many(pile))
        }
    };
    layout::page(visitor, Room::Questions, "New question", body)
}

fn one(typed: &Typed, bikes: &Bikes, wrongs: &Wrongs, found: Option<&Found>) -> Markup {
    let rider = Line {
        name: "rider",
        label: "Rider",
        kind: "text",
        fill: "off",
        hint: "A name, or how to reach them. May stay empty.",
        longest: LONGEST_RIDER,
    };
    html! {
        form.fields method="post" action="/questions/new" {
            h2 { "One question" }
            div.field {
                label for="asked" { "The rider’s words" }
                textarea id="asked" name="asked" rows="7" autocomplete="off" aria-describedby="asked-hint asked-wrong"
                    aria-invalid=[wrongs.of("asked").map(|_| "true")] data-alike="/questions/new/alike" { "\n" (typed.asked) }
                span.hint id="asked-hint" { "As they wrote or said it; the whole message may be pasted." }
                (wrongs.below("asked"))
            }
            div.beside aria-live="polite" data-alike-here {
                @if let Some(found) = found { (look_first(found)) }
            }
            div.row {
                (rider.show(&typed.rider, wrongs))
                div.field {
                    label for="bike" { "Bike" }
                    span.hint id="bike-hint" { a href="/bikes/new" { "A new bike" } " can also be added later." }
                    (bikes.select("bike", "bike", typed.bike(), "Not known yet"))
                    (wrongs.below("bike"))
                }
            }
            div.field {
                label for="changes" { "Changes, if the question names some" }
                textarea.lines id="changes" name="changes" rows="3" autocomplete="off" spellcheck="false"
                    aria-describedby="changes-hint changes-faults" { "\n" (typed.changes) }
                span.hint id="changes-hint" {
                    "One a line, as you would say it: " code { "stem length 40" } ", " code { "spacers below by -10" } ", "
                    code { "front tyre 61-622" } "."
                }
                @if let Some(found) = found && !found.faults.is_empty() {
                    ul.faults.bare id="changes-faults" { @for fault in &found.faults { li.wrong { (fault) } } }
                }
            }
            div.actions {
                button.primary name="step" value="keep" { "Keep and open" }
                button.no-js name="step" value="look" { "Look for answered ones first" }
            }
        }
    }
}

/// What a look found, or that it found nothing.
fn look_first(found: &Found) -> Markup {
    html! {
        div role="status" {
            (alike::safety(&found.words))
            (alike::found(&found.alike))
            @if found.words.is_empty() && found.alike.is_empty() {
                p.quiet { "No safety word, and no answered question is like it. Nothing is kept yet." }
            } @else {
                p.quiet { "Nothing is kept yet." }
            }
        }
    }
}

fn many(pile: &Pile<'_>) -> Markup {
    html! {
        form.fields id="pile" method="post" action="/questions/new/pile" {
            h2 { "A pile of messages" }
            div.field {
                label for="pasted" { "Messages, pasted one below the other" }
                textarea id="pasted" name="pasted" rows="12" autocomplete="off" aria-describedby="pasted-hint pasted-wrong"
                    aria-invalid=[pile.wrongs.of("pasted").map(|_| "true")] { "\n" (pile.text) }
                span.hint id="pasted-hint" {
                    "An empty line parts two messages. Where messages have paragraphs, put a line of " code { "---" }
                    " between them. Each becomes a question; you see how they were parted before anything is kept."
                }
                (pile.wrongs.below("pasted"))
            }
            div.actions { button { "Part the pile" } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_needs_words_or_changes() {
        let asked = |asked: &str, changes: &str| Typed {
            asked: asked.into(),
            changes: changes.into(),
            ..Typed::default()
        };
        assert!(asked(" \n", "").wrongs().of("asked").is_some());
        assert!(asked("Longer stem?", "").wrongs().is_empty());
        assert!(asked("", "stem length 60").wrongs().is_empty());
    }

    #[test]
    fn faults_of_changes_say_how_to_mend_them() {
        assert!(faults("stem length 40\n\n# a remark").is_empty());
        let said = faults("stem lenght 40");
        assert_eq!(said.len(), 1);
        assert!(said[0].contains("length"), "{said:?}");
    }
}
