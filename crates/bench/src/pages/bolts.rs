//! Bolts: the usual torques of a bicycle's joints, and what a torque does to a bolt.
//!
//! Everything is in the address, so a link leads back to the same answer. Nothing is kept.

use axum::Router;
use axum::extract::Query;
use axum::routing::get;
use knockon_sheet::compose::workings::{CAUTIONS, torque};
use knockon_sheet::part::{Part, Table};
use knockon_trade::tables;
use knockon_trade::words::upper_first;
use knockon_trade::workings::torque::{Asked, BoltWork, joints};
use maud::{Markup, html};
use serde::Deserialize;

use super::layout::{self, Room};
use crate::app::App;
use crate::visitor::Visitor;

/// Its routes.
pub fn routes() -> Router<App> {
    Router::new().route("/bolts", get(show))
}

/// What the forms send, each as it was typed.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Fields {
    joint: String,
    thread: String,
    class: String,
    state: String,
    torque: String,
    makers: String,
    depth: String,
}

/// A number as people type it; `None` for an empty field.
fn number(typed: &str, name: &str) -> Result<Option<f64>, String> {
    let typed = typed.trim().replace(',', ".");
    if typed.is_empty() {
        return Ok(None);
    }
    typed.parse().map(Some).map_err(|_| format!("`{typed}` is not a number for the {name}"))
}

impl Fields {
    fn bolt(&self) -> Result<Option<BoltWork>, String> {
        if self.thread.is_empty() {
            return Ok(None);
        }
        let or =
            |typed: &str, usual: &str| if typed.is_empty() { usual.to_owned() } else { typed.to_owned() };
        let asked = Asked {
            thread: self.thread.clone(),
            class: or(&self.class, CLASS),
            friction: or(&self.state, STATE),
            torque: number(&self.torque, "torque")?,
            makers: number(&self.makers, "maker’s torque")?,
            depth: number(&self.depth, "depth")?,
        };
        asked.work().map(Some)
    }
}

/// What most bolts of a bicycle are, and are like. Common practice, no source.
const CLASS: &str = "8.8";
const STATE: &str = "greased";

async fn show(visitor: Visitor, Query(fields): Query<Fields>) -> Markup {
    let found = joints(&fields.joint);
    let bolt = fields.bolt();
    let body = html! {
        h1 { "Bolts" }
        p.quiet { "The figure on the part or on its maker’s sheet always wins. These are for recognising one that cannot be right, and for a bolt that has none." }
        (cautions())
        section aria-labelledby="joints" {
            h2 id="joints" { "Usual torques" }
            form.joint-form method="get" action="/bolts" {
                label for="joint" { "Joint" }
                input id="joint" name="joint" value=(fields.joint) maxlength="60" placeholder="faceplate, pedals, rotor" autocomplete="off";
                button.primary { "Find" }
            }
            @match &found {
                Ok(rows) => (part(&torque(rows, None).0, &torque(rows, None).1)),
                Err(why) => p.notice.caution role="alert" { (upper_first(why)) "." },
            }
        }
        section aria-labelledby="bolt" {
            h2 id="bolt" { "One bolt" }
            (bolt_form(&fields))
            @match &bolt {
                Ok(None) => {}
                Ok(Some(work)) => {
                    @let (told, sources) = torque(&[], Some(work));
                    div aria-live="polite" { (part(&told, &sources)) }
                }
                Err(why) => p.notice.caution role="alert" { (upper_first(why)) "." },
            }
        }
    };
    layout::page(&visitor, Room::Bolts, "Bolts", body)
}

fn cautions() -> Markup {
    html! {
        section.caution-box aria-labelledby="bolt-cautions" {
            h2 id="bolt-cautions" { "Caution" }
            ol { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}

fn bolt_form(fields: &Fields) -> Markup {
    let text = |name: &str, label: &str, value: &str, hint: &str| {
        html! {
            div.field {
                label for={ "bolt-" (name) } { (label) }
                input id={ "bolt-" (name) } name=(name) value=(value) placeholder=(hint) inputmode="decimal" maxlength="12" autocomplete="off";
            }
        }
    };
    let choice = |name: &str, label: &str, now: &str, names: Vec<&str>| {
        html! {
            div.field {
                label for={ "bolt-" (name) } { (label) }
                select id={ "bolt-" (name) } name=(name) {
                    @for one in names { option value=(one) selected[one == now] { (one) } }
                }
            }
        }
    };
    let or = |typed: &str, usual: &str| if typed.is_empty() { usual.to_owned() } else { typed.to_owned() };
    html! {
        form.bolt-form method="get" action="/bolts" {
            (choice("thread", "Thread", &or(&fields.thread, "M5"), tables::threads().iter().map(|row| row.name.as_str()).collect()))
            (choice("class", "Class", &or(&fields.class, CLASS), tables::bolt_classes().iter().map(|row| row.name.as_str()).collect()))
            (choice("state", "State", &or(&fields.state, STATE), tables::frictions().iter().map(|row| row.name.as_str()).collect()))
            (text("torque", "Torque, N·m", &fields.torque, "5"))
            (text("makers", "Maker’s torque, N·m", &fields.makers, ""))
            (text("depth", "Depth in its thread, mm", &fields.depth, ""))
            button.primary { "Work it out" }
        }
    }
}

fn part(part: &Part, sources: &[String]) -> Markup {
    html! {
        @for sentence in &part.sentences { p { (sentence) } }
        @for listed in &part.tables { (table(listed)) }
        @if !part.notes.is_empty() {
            details.bolt-notes open[part.notes.len() < 8] {
                summary { "What to mind, and where it is from" }
                ul {
                    @for note in &part.notes {
                        li {
                            (note.text) " "
                            @if let Some(source) = note.source.checked_sub(1).and_then(|at| sources.get(at)) { span.quiet { "(" (source) ")" } }
                        }
                    }
                }
            }
        }
    }
}

fn table(listed: &Table) -> Markup {
    html! {
        div.scrolls tabindex="0" role="group" aria-label=(listed.title) {
            table.standards {
                thead { tr { @for (at, head) in listed.head.iter().enumerate() {
                    th.number[at > 0] scope="col" { @if head.is_empty() { span.unseen { "What" } } @else { (head) } }
                } } }
                tbody { @for row in &listed.rows { tr {
                    @for (at, cell) in row.iter().enumerate() {
                        @if at == 0 { th scope="row" { (cell) } } @else { td.number { (cell) } }
                    }
                } } }
            }
        }
    }
}
