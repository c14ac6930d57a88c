//! "Does it fit?": a bike, a few parts or a whole list of them, and what it takes.
//!
//! Bike and parts are in the address, so a link leads back to the same answer. Nothing is kept.

use axum::Router;
use axum::extract::{Form, Query, State};
use axum::routing::get;
use knockon_desk::{BikeId, Desk, DeskError};
use knockon_sheet::compose::takes::{nothing_mends, thing};
use knockon_sheet::html::judged;
use knockon_sheet::report::fits::{headline, judged as all_judged, sources, stands};
use knockon_sheet::report::shelf;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::problem::Problem;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::Record;
use knockon_trade::shelf::{Offers, Ranked, Shelf, offers};
use knockon_trade::verdict::Verdict;
use knockon_trade::words::upper_first;
use maud::{Markup, html};
use serde::Deserialize;

use super::layout::{self, Room};
use super::listing::address;
use super::questions::choice::Bikes;
use super::questions::sentence;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

/// Its routes.
pub fn routes() -> Router<App> {
    Router::new().route("/fits", get(show).post(list))
}

/// What the forms send.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    bike: String,
    /// Changes, one a line.
    parts: String,
    /// A table of parts.
    list: String,
}

impl Asked {
    fn bike(&self) -> Option<BikeId> {
        self.bike.parse().ok()
    }

    fn lines(&self) -> Vec<&str> {
        self.parts.lines().map(str::trim).filter(|line| !line.is_empty()).collect()
    }
}

/// The bikes to choose from, and the record of the chosen one with the workshop's own tolerances.
pub(super) fn chosen(desk: &Desk, bike: Option<BikeId>) -> Result<(Bikes, Option<Record>), DeskError> {
    let bikes = Bikes::load(desk, bike)?;
    let tolerances = desk.settings()?.tolerances;
    let record = bike.map(|bike| desk.bike(bike)?.record()).transpose()?;
    Ok((bikes, record.map(|record| record.with_tolerances(&tolerances))))
}

async fn show(State(app): State<App>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Markup, Fault> {
    let may_write = visitor.may_write();
    let body = app
        .desk(move |desk| {
            let (bikes, record) = chosen(desk, asked.bike())?;
            let result = match record {
                Some(record) => html! {
                    (parts(record, &asked.lines()))
                    @if may_write && !asked.lines().is_empty() {
                        p { a href=(as_question(&asked)) { "Keep it as a question" } }
                    }
                },
                None if asked.lines().is_empty() => html! {},
                None => no_bike(),
            };
            let demo = desk.settings()?.workshop == demo::WORKSHOP;
            Ok(page(&asked, &bikes, &result, if demo { demo::stock() } else { "" }))
        })
        .await?;
    Ok(layout::page(&visitor, Room::Fits, "Does it fit?", body))
}

/// A whole list of parts. It is sent, not asked for by an address, because it can be long.
async fn list(State(app): State<App>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Markup, Fault> {
    let body = app
        .desk(move |desk| {
            let (bikes, record) = chosen(desk, asked.bike())?;
            let result = record.map_or_else(no_bike, |record| ranked(&record, &asked.list));
            Ok(page(&asked, &bikes, &result, &asked.list))
        })
        .await?;
    Ok(layout::page(&visitor, Room::Fits, "Does it fit?", body))
}

/// The address of a new question about the same bike and parts.
fn as_question(asked: &Asked) -> String {
    address("/questions/new", &[("bike", &asked.bike), ("changes", &asked.lines().join("\n"))])
}

fn no_bike() -> Markup {
    wrong("Which bike?", "Choose one above; a bike of which little is known will do.")
}

/// The answer about a few parts, or what is wrong with how they were told.
fn parts(record: Record, lines: &[&str]) -> Markup {
    match read_changes(lines) {
        Ok(read) => match answer(Question {
            asked: String::new(),
            record,
            changes: read.changes,
            inspections: Vec::new(),
        }) {
            Ok(findings) => told(&findings, &read.warnings),
            Err(error) => wrong(&sentence(&error.to_string()), &sentence(&error.help())),
        },
        Err(problems) => faults(&problems),
    }
}

fn page(asked: &Asked, bikes: &Bikes, result: &Markup, list: &str) -> Markup {
    html! {
        h1 { "Does it fit?" }
        p.quiet { "What joins is judged, and every limit of which something is known; what does not go together comes with what it takes." }
        form.fits-form method="get" action="/fits" {
            div.field {
                label for="bike" { "Bike" }
                (bikes.select("bike", "bike", asked.bike(), "Choose a bike"))
            }
            div.field {
                label for="parts" { "Parts, one a line" }
                textarea id="parts" name="parts" rows="4" maxlength="4000" spellcheck="false" autocomplete="off"
                    placeholder="fork axle 15 × 110\nfront hub 15 × 100\nseat post 27.2" { (asked.parts) }
                p.quiet.small { "As in the list of changes: a part and what it is made to. Leave it empty for the bike as it stands." }
            }
            button.primary { "Tell whether it fits" }
        }
        (result)
        details.whole-list open[!asked.list.is_empty()] {
            summary { "Hold a whole list of parts against the bike" }
            form method="post" action="/fits" {
                input type="hidden" name="bike" value=(asked.bike);
                div.field {
                    label for="list" { "Table, as a spreadsheet copies it" }
                    textarea id="list" name="list" rows="8" spellcheck="false" wrap="off" { (list) }
                    p.quiet.small {
                        "The first line names the columns: first the part, then phrases of changes such as “seat post” or “fork axle”. "
                        "Columns that say nothing of a bike are passed over."
                    }
                }
                button disabled[asked.bike().is_none()] { "Hold the list against the bike" }
                @if asked.bike().is_none() { " " span.quiet { "Choose a bike first." } }
            }
        }
    }
}

/// What is wrong with what was asked.
pub(super) fn wrong(what: &str, help: &str) -> Markup {
    html! { div.fault-summary role="alert" tabindex="-1" { h2 { (what) } p { (help) } } }
}

/// What is wrong with changes or parts as they were told.
pub(super) fn faults(problems: &[Problem]) -> Markup {
    html! { div.fault-summary role="alert" tabindex="-1" { h2 { "Please mend this" } (problem_list(problems)) } }
}

fn problem_list(problems: &[Problem]) -> Markup {
    html! {
        ul {
            @for problem in problems {
                li {
                    code { (problem.line().trim()) } ": " (sentence(&problem.message))
                    @if let Some(help) = &problem.help { " " (sentence(help)) }
                }
            }
        }
    }
}

/// The answer about a few parts.
fn told(findings: &Findings, warnings: &[Problem]) -> Markup {
    let all = all_judged(findings);
    let (quiet, loud): (Vec<&Verdict>, Vec<&Verdict>) =
        all.iter().copied().partition(|it| stands(findings, it));
    html! {
        @if !warnings.is_empty() {
            div.notice { p { strong { "Worth a second look" } } (problem_list(warnings)) }
        }
        section.fitted.sheet-part aria-labelledby="fitted" aria-live="polite" {
            h2 id="fitted" { (headline(findings)) }
            p.quiet { (findings.question.record.title()) }
            @if !findings.shopping.items.is_empty() {
                h3 { "It takes" }
                ol.takes { @for item in &findings.shopping.items { li { (thing(item)) } } }
            }
            @if let Some(sentence) = nothing_mends(findings) { p { (sentence) } }
            @if !loud.is_empty() {
                ul.verdicts {
                    @for verdict in loud { (judged(verdict.outcome, verdict.label, &verdict.sentence)) }
                }
            }
            @if !quiet.is_empty() {
                details.quiet-verdicts open[all.len() == quiet.len()] {
                    summary { (quiet.len()) " more fit, and nothing here changes them" }
                    ul.verdicts {
                        @for verdict in quiet { (judged(verdict.outcome, verdict.label, &verdict.sentence)) }
                    }
                }
            }
            @if !findings.missing.is_empty() {
                h3 { "Ask" }
                ul.asks { @for missing in &findings.missing { li { (missing.ask) " " span.quiet { (missing.how) } } } }
            }
            h3.caution { "Caution" }
            ol.cautions { @for (caution, _) in &findings.cautions { li { (caution.text) } } }
            p.quiet.small { "Sources: " (sources(findings).join("; ")) "." }
        }
    }
}

/// The answer about a list.
fn ranked(record: &Record, text: &str) -> Markup {
    let read = match offers("list", text) {
        Ok(read) => read,
        Err(problem) => return faults(&[problem]),
    };
    let mut shelf = match Shelf::new(record) {
        Ok(shelf) => shelf,
        Err(error) => return wrong(&sentence(&error.to_string()), &sentence(&error.help())),
    };
    let ranked = shelf.rank(&read.offers);
    html! {
        @if !read.problems.is_empty() {
            div.notice { p { strong { "Not everything could be read" } } (problem_list(&read.problems)) }
        }
        section.fitted.sheet-part aria-labelledby="fitted" aria-live="polite" {
            h2 id="fitted" { (record.title()) ": " (counts(&ranked)) }
            @for (group, name) in shelf::GROUPS.iter().enumerate() { (of_group(&read, &ranked, group, name)) }
            h3.caution { "Caution" }
            ol.cautions { @for caution in read.cautions() { li { (caution.text) } } }
            p.quiet.small { (shelf::NOTE) }
        }
    }
}

/// How many parts come out how.
fn counts(ranked: &[Ranked]) -> String {
    let words = [
        ("fits", "fit"),
        ("fits with something in between", "fit with something in between"),
        ("to measure first", "to measure first"),
        ("cannot be said", "cannot be said"),
        ("does not fit", "do not fit"),
    ];
    let count = |group: usize| ranked.iter().filter(|it| it.group() == group).count();
    let told = words.iter().enumerate().map(|(group, words)| (count(group), words));
    let told: Vec<String> = told
        .filter(|(count, _)| *count > 0)
        .map(|(count, (one, many))| format!("{count} {}", if count == 1 { one } else { many }))
        .collect();
    if told.is_empty() { "no part in the list".to_owned() } else { told.join(", ") }
}

fn of_group(read: &Offers, ranked: &[Ranked], group: usize, name: &str) -> Markup {
    let of_group: Vec<&Ranked> = ranked.iter().filter(|it| it.group() == group).collect();
    html! {
        @if !of_group.is_empty() {
            details.group open[group < 3] {
                summary { (name) " (" (of_group.len()) ")" }
                ul.verdicts {
                    @for it in of_group.iter().take(MOST) {
                        (judged(it.outcome, &upper_first(&read.offers[it.offer].name), &shelf::why(it)))
                    }
                }
                @if of_group.len() > MOST {
                    p.quiet { "and " (of_group.len() - MOST) " more" }
                }
            }
        }
    }
}

/// At most so many parts of a group are shown.
const MOST: usize = 500;
