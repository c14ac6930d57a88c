//! Gears, chain, brakes and wheels of a bike in depth, with whatever changes are tried on it.
//!
//! Everything is in the address, so a link leads back to the same answer. Nothing is kept.

use axum::Router;
use axum::extract::{Query, State};
use axum::routing::get;
use knockon_desk::BikeId;
use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::html::Parts;
use knockon_trade::findings::answer_in_depth;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::Record;
use knockon_trade::words::upper_first;
use knockon_trade::workings::Told;
use knockon_trade::workings::braking::Way;
use maud::{Markup, html};
use serde::Deserialize;

use super::fits::{chosen, faults, wrong};
use super::layout::{self, Room};
use super::listing::address;
use super::questions::choice::Bikes;
use super::questions::sentence;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

/// Its routes.
pub fn routes() -> Router<App> {
    Router::new().route("/workings", get(show))
}

/// What the form sends, each as it was typed.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    bike: String,
    /// One a line.
    changes: String,
    gradient: String,
    length: String,
    speed: String,
    front_share: String,
    air: String,
}

impl Asked {
    fn bike(&self) -> Option<BikeId> {
        self.bike.parse().ok()
    }

    fn lines(&self) -> Vec<&str> {
        self.changes.lines().map(str::trim).filter(|line| !line.is_empty()).collect()
    }

    /// The way down; an empty field is as usual.
    fn way(&self) -> Result<Way, String> {
        let mut way = Way::usual();
        let fields: [(&str, &str, &mut f64); 5] = [
            ("gradient", &self.gradient, &mut way.gradient),
            ("length", &self.length, &mut way.length),
            ("speed", &self.speed, &mut way.speed),
            ("front brake’s share", &self.front_share, &mut way.front_share),
            ("air", &self.air, &mut way.air),
        ];
        for (name, typed, place) in fields {
            let typed = typed.trim().replace(',', ".").replace('−', "-");
            if !typed.is_empty() {
                *place = typed.parse().map_err(|_| format!("`{typed}` is not a number for the {name}"))?;
            }
        }
        way.fault().map_or(Ok(way), Err)
    }
}

/// A field of the way down.
struct Field {
    name: &'static str,
    label: &'static str,
    unit: &'static str,
}

const WAY: [Field; 5] = [
    Field { name: "gradient", label: "Gradient", unit: "%" },
    Field { name: "length", label: "Length", unit: "km" },
    Field { name: "speed", label: "Speed", unit: "km/h" },
    Field { name: "front_share", label: "In front", unit: "%" },
    Field { name: "air", label: "Air", unit: "°C" },
];

async fn show(State(app): State<App>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Markup, Fault> {
    let may_write = visitor.may_write();
    let body = app
        .desk(move |desk| {
            let (bikes, record) = chosen(desk, asked.bike())?;
            let result = match record {
                Some(record) => result(record, &asked, may_write),
                None if asked.lines().is_empty() => html! {},
                None => wrong("Which bike?", "Choose one above."),
            };
            Ok(page(&asked, &bikes, &result))
        })
        .await?;
    Ok(layout::page(&visitor, Room::Workings, "Workings", body))
}

fn result(record: Record, asked: &Asked, may_write: bool) -> Markup {
    let way = match asked.way() {
        Ok(way) => way,
        Err(fault) => return wrong("That is no way down.", &format!("{}.", upper_first(&fault))),
    };
    let changes = match read_changes(&asked.lines()) {
        Ok(read) => read.changes,
        Err(problems) => return faults(&problems),
    };
    let question = Question { asked: String::new(), record, changes, inspections: Vec::new() };
    let findings = match answer_in_depth(question, Told::All, &way) {
        Ok(findings) => findings,
        Err(error) => return wrong(&sentence(&error.to_string()), &sentence(&error.help())),
    };
    let sheet = compose(&findings, &Heading::default());
    let parts = Parts::of(&sheet);
    html! {
        div.sheet-part.worked {
            @if sheet.parts.is_empty() {
                p { "The record says too little of gears, chain, brakes and wheels: write the teeth of rings and cogs, the rotors, the tyres." }
            } @else {
                section.worked-cautions aria-labelledby="worked-cautions" {
                    h2 id="worked-cautions" { "Caution" }
                    (parts.cautions())
                }
                (parts.in_depth())
                (parts.assumed_and_sources())
            }
        }
        @if may_write && !asked.lines().is_empty() {
            p { a href=(address("/questions/new", &[("bike", &asked.bike), ("changes", &asked.lines().join("\n"))])) { "Keep it as a question" } }
        }
    }
}

fn page(asked: &Asked, bikes: &Bikes, result: &Markup) -> Markup {
    let typed = [&asked.gradient, &asked.length, &asked.speed, &asked.front_share, &asked.air];
    let usual = Way::usual();
    let usual = [usual.gradient, usual.length, usual.speed, usual.front_share, usual.air];
    html! {
        h1 { "Workings" }
        p.quiet { "Every gear, the chain, the brakes on a way down, tyres and spokes of one bike, as it is or with changes tried on it." }
        form.workings-form method="get" action="/workings" {
            div.field {
                label for="bike" { "Bike" }
                (bikes.select("bike", "bike", asked.bike(), "Choose a bike"))
            }
            div.field {
                label for="changes" { "Changes, one a line" }
                textarea id="changes" name="changes" rows="3" maxlength="4000" spellcheck="false" autocomplete="off"
                    placeholder="rings 28-44\ncassette 11-34\nfront rotor 180" { (asked.changes) }
                p.quiet.small { "Leave it empty for the bike as it stands." }
            }
            fieldset.way {
                legend { "Way down for the brakes" }
                @for ((field, typed), usual) in WAY.iter().zip(typed).zip(usual) {
                    div.field {
                        label for=(field.name) { (field.label) ", " (field.unit) }
                        input id=(field.name) name=(field.name) value=(typed) placeholder=(usual) inputmode="decimal"
                            maxlength="12" autocomplete="off";
                    }
                }
            }
            button.primary { "Work it out" }
        }
        div aria-live="polite" { (result) }
    }
}
