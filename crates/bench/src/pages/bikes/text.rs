//! A bike's record as text.

use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use knockon_desk::{BikeVersion, DeskError};
use knockon_trade::problem::Problem;
use knockon_trade::record::parse;
use maud::{Markup, html};
use serde::Deserialize;

use super::edit::{no_version, save_bar, saved};
use super::{View, bike_id, conflict, heading, no_bike, title};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{self, Room};
use crate::pages::listing::filled;
use crate::pages::questions::{said, sentence};
use crate::pages::time::ago;
use crate::visitor::{Visitor, Writer};

/// Which version an address asks for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Which {
    version: String,
}

/// A record's text as it was sent.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    /// The text.
    pub text: String,
    /// What changed.
    pub why: String,
    /// The version that was edited; nothing for a new bike.
    pub version: String,
}

impl Sent {
    /// The text with the line ends that records have.
    pub fn record(&self) -> String {
        self.text.replace("\r\n", "\n")
    }
}

/// The newest version to be edited, or an earlier one to be read.
pub async fn page(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(which): Query<Which>,
) -> Result<Markup, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let wanted: Option<u32> = which.version.parse().ok();
    let (newest, earlier) = app
        .desk(move |desk| {
            let newest = desk.bike(id)?;
            let earlier = wanted.filter(|number| *number != newest.number);
            Ok((newest, earlier.map(|number| desk.bike_version(id, number)).transpose()?))
        })
        .await?;
    if let Some(earlier) = earlier {
        return Ok(read_only(&visitor, &newest, &earlier));
    }
    let problems = parse("record", &newest.text).map_or_else(|problems| problems, |parsed| parsed.warnings);
    let sent = Sent { text: newest.text.clone(), version: newest.number.to_string(), ..Sent::default() };
    Ok(view(&visitor, &newest, &sent, &faults(&newest.text, &problems)))
}

/// Saves the text as a new version.
pub async fn save(
    State(app): State<App>,
    writer: Writer,
    Path(id): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, Fault> {
    let id = bike_id(&id).ok_or_else(no_bike)?;
    let known: u32 = sent.version.parse().map_err(|_| no_version())?;
    let text = sent.record();
    let (mine, why, stamp) = (text.clone(), why(&sent.why), writer.0.stamp());
    match app.try_desk(move |desk| desk.save_bike(id, &mine, &why, known, &stamp)).await? {
        Ok(number) => Ok(saved(id, number)),
        Err(DeskError::Conflict { .. }) => {
            let base = app.desk(move |desk| desk.bike_version(id, known)).await?;
            let mine = conflict::Mine { text: &text, base: &base, why: &sent.why, by_form: false };
            conflict::page(&app, &writer.0, &mine).await
        }
        Err(error) => {
            let wrong = refusal(&text, error).map_err(|fault| *fault)?;
            let newest = app.desk(move |desk| desk.bike(id)).await?;
            let page = view(&writer.0, &newest, &sent, &wrong);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// What somebody wrote about the change, or a word that stands for it.
pub fn why(typed: &str) -> String {
    filled(Some(typed)).unwrap_or("edited as text").to_owned()
}

/// What the desk has against a text, for the page; a fault of the program goes on as such.
pub fn refusal(text: &str, error: DeskError) -> Result<Markup, Box<Fault>> {
    if let DeskError::Record(problems) = &error {
        return Ok(faults(text, problems));
    }
    let fault = Fault::from(error);
    if fault.status.is_server_error() || fault.status == StatusCode::NOT_FOUND {
        return Err(Box::new(fault));
    }
    Ok(html! {
        div.fault-summary role="alert" tabindex="-1" { h2 { "Please mend this" } p { (said(&fault)) } }
    })
}

/// Each fault with its line, the line itself, and how to mend it. Warnings are told apart.
pub fn faults(text: &str, problems: &[Problem]) -> Markup {
    let lines: Vec<&str> = text.lines().collect();
    let wrong = problems.iter().any(|problem| !problem.warning);
    html! {
        @if wrong {
            div.fault-summary role="alert" tabindex="-1" {
                h2 { "Please mend this" }
                (list(&lines, problems))
            }
        } @else if !problems.is_empty() {
            div.notice { p { strong { "Worth a second look" } } (list(&lines, problems)) }
        }
    }
}

fn list(lines: &[&str], problems: &[Problem]) -> Markup {
    html! {
        ol.text-faults {
            @for problem in problems {
                @let (line, column) = problem.line_column();
                li {
                    a href="#text" data-line=(line) data-column=(column) { "Line " (line) ", column " (column) }
                    ": " (sentence(&problem.message))
                    @if let Some(help) = &problem.help { " " (sentence(help)) }
                    @if let Some(found) = lines.get(line - 1).filter(|found| !found.trim().is_empty()) {
                        pre { code { (found) } }
                    }
                }
            }
        }
    }
}

fn view(visitor: &Visitor, bike: &BikeVersion, sent: &Sent, faults: &Markup) -> Markup {
    let body = html! {
        header { (heading(bike, View::Text)) }
        (faults)
        @if visitor.may_write() {
            form.record-text method="post" action={ "/bikes/" (bike.bike) "/text" } data-guard {
                input type="hidden" name="version" value=(sent.version);
                (editor(&sent.text))
                (save_bar(&sent.why, "Save as a new version"))
            }
        } @else {
            pre.record-text { (sent.text) }
        }
    };
    layout::page(visitor, Room::Bikes, &title(bike), body)
}

/// The text itself.
pub fn editor(text: &str) -> Markup {
    let rows = (text.lines().count() + 2).clamp(12, 40);
    html! {
        div.field {
            label for="text" { "The record" }
            span.hint id="text-hint" {
                "Headings in brackets, below them " code { "name = value" } ". What follows a " code { "#" } " is a remark and stays."
            }
            textarea.lines id="text" name="text" rows=(rows) spellcheck="false" autocomplete="off" autocapitalize="off"
                aria-describedby="text-hint" { "\n" (text) }
        }
    }
}

fn read_only(visitor: &Visitor, newest: &BikeVersion, earlier: &BikeVersion) -> Markup {
    let body = html! {
        header { (heading(newest, View::Text)) }
        div.notice {
            p {
                strong { "Version " (earlier.number) } " of " (newest.number) ", saved by " (earlier.stamp.who) " "
                (ago(earlier.stamp.at)) (super::history::said_why(earlier)) ". "
                a href={ "/bikes/" (newest.bike) "/text" } { "See the newest one" } "."
            }
            @if visitor.may_write() { (super::history::restore_button(earlier)) }
        }
        pre.record-text { (earlier.text) }
    };
    layout::page(visitor, Room::Bikes, &format!("{}, version {}", title(newest), earlier.number), body)
}
