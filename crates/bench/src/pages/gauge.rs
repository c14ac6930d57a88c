//! "What do I have?": a few readings off a part, the standards that they can be of, and what to measure next.
//!
//! Everything is in the address, so a link leads back to the same readings. Nothing is kept.

use axum::Router;
use axum::extract::Query;
use axum::routing::get;
use knockon_sheet::report::gauge::{figure, likely, off_by};
use knockon_trade::interface::Measure;
use knockon_trade::interface::gauge::{Apart, Gauged, Match, gauge};
use knockon_trade::interface::taken::{Taken, example, taken};
use knockon_trade::tables;
use knockon_trade::words::upper_first;
use maud::{Markup, html};

use super::layout::{self, Room};
use crate::app::App;
use crate::visitor::Visitor;

/// Rows of the form; more readings than this tell nothing new of one part.
const ROWS: usize = 4;

/// Its routes.
pub fn routes() -> Router<App> {
    Router::new().route("/gauge", get(show))
}

/// One row of the form.
struct Row {
    measure: Option<&'static Measure>,
    /// As it was typed.
    value: String,
    reading: Result<Taken, String>,
}

async fn show(visitor: Visitor, Query(fields): Query<Vec<(String, String)>>) -> Markup {
    let rows = rows(&fields);
    let readings: Vec<Taken> = rows.iter().filter_map(|row| row.reading.as_ref().ok().cloned()).collect();
    let faulty = rows.iter().any(|row| row.reading.is_err());
    let gauged = (!readings.is_empty() && !faulty).then(|| gauge(&readings));
    let next = gauged.as_ref().and_then(|gauged| gauged.next.as_ref()).map(|next| next.measure);
    let body = html! {
        h1 { "What do I have?" }
        p.quiet { "One or two readings with a calliper tell which standard a part is made to." }
        (form(&rows, next))
        @if let Some(gauged) = &gauged { (result(&readings, gauged)) }
        (measures())
    };
    layout::page(&visitor, Room::Gauge, "What do I have?", body)
}

fn rows(fields: &[(String, String)]) -> Vec<Row> {
    let of = |name: &str| -> Vec<&str> {
        fields.iter().filter(|(known, _)| known == name).map(|(_, value)| value.trim()).collect()
    };
    let (measures, values) = (of("measure"), of("value"));
    let pairs = measures.iter().zip(values).filter(|(_, value)| !value.is_empty());
    pairs
        .take(ROWS)
        .map(|(id, value)| {
            let measure = tables::measures().iter().find(|measure| measure.id == *id);
            let reading = match measure {
                Some(measure) => read(measure, value),
                None => Err("Choose what was measured.".to_owned()),
            };
            Row { measure, value: value.to_owned(), reading }
        })
        .collect()
}

fn read(measure: &Measure, value: &str) -> Result<Taken, String> {
    taken(&format!("{} {value}", measure.say[0])).map_err(|problem| {
        let help = problem.help.unwrap_or_default();
        format!("{}: {help}.", upper_first(&problem.message))
    })
}

/// The rows that were filled in, and empty ones below, the first of them for what should be measured next.
fn form(rows: &[Row], next: Option<&'static Measure>) -> Markup {
    let empty = (rows.len()..ROWS).map(|at| (at, if at == rows.len() { next } else { None }));
    html! {
        form.readings method="get" action="/gauge" {
            @for (at, row) in rows.iter().enumerate() {
                (reading(at, row.measure, &row.value, row.reading.as_ref().err()))
            }
            @for (at, measure) in empty { (reading(at, measure, "", None)) }
            button.primary { "Tell the standard" }
        }
    }
}

fn reading(at: usize, measure: Option<&'static Measure>, value: &str, fault: Option<&String>) -> Markup {
    let (chosen, typed, wrong) = (format!("m{at}"), format!("v{at}"), format!("w{at}"));
    html! {
        div.reading {
            label.unseen for=(chosen) { "What was measured, reading " (at + 1) }
            select id=(chosen) name="measure" {
                option value="" selected[measure.is_none()] { "what was measured" }
                @for row in tables::measures() {
                    option value=(row.id) selected[measure.is_some_and(|known| known.id == row.id)] { (row.label) }
                }
            }
            label.unseen for=(typed) { "How much, reading " (at + 1) }
            input id=(typed) name="value" value=(value) maxlength="40" autocomplete="off" inputmode="decimal"
                placeholder=(measure.map_or_else(|| "27.2".to_owned(), example))
                aria-invalid=[fault.map(|_| "true")] aria-describedby=[fault.map(|_| &wrong)];
            span.unit { @if measure.is_none_or(|measure| !measure.is_counted()) { "mm" } @else { "pieces" } }
            @if let Some(fault) = fault { p.fault id=(wrong) { (fault) } }
        }
    }
}

fn result(readings: &[Taken], gauged: &Gauged) -> Markup {
    html! {
        section.gauged aria-labelledby="gauged" aria-live="polite" {
            @match gauged.matches.as_slice() {
                [] if gauged.nearest.is_empty() => {
                    h2 id="gauged" { "No part has all of that" }
                    p { "Gauge one part at a time." }
                }
                [] => {
                    h2 id="gauged" { "No standard has these figures" }
                    p { "Measure again, on clean metal. The nearest are:" }
                    (table(readings, &gauged.nearest))
                }
                [only] => {
                    h2 id="gauged" { (only.interface.label) ": " (only.standard.name) }
                    (table(readings, &gauged.matches))
                }
                several => {
                    h2 id="gauged" { (several.len()) " standards have these figures" }
                    (table(readings, several))
                }
            }
            @if let Some(Apart { measure, finds }) = &gauged.next {
                h3 { "Measure next: " (measure.label.to_lowercase()) }
                p { (measure.how) }
                dl.finds {
                    @for (nominal, names) in finds { div { dt { (figure(*nominal)) } dd { (names.join(", or ")) } } }
                }
            }
            p.quiet.small { "A standard’s name says what to look for, not that a part fits or is sound; its maker’s word goes before it." }
        }
    }
}

fn table(readings: &[Taken], matches: &[Match]) -> Markup {
    html! {
        div.scrolls tabindex="0" role="group" aria-label="Standards" {
            table.standards {
                thead { tr {
                    th scope="col" { "Standard" } th scope="col" { "Joins" } th.number scope="col" { "likely" }
                    @for taken in readings { th.number scope="col" { (taken.measure.label) " off by" } }
                    th scope="col" { "Source" }
                } }
                tbody {
                    @for it in matches {
                        tr {
                            th scope="row" { (it.interface.label) ": " (it.standard.name) }
                            td { (it.interface.joins) }
                            td.number { (likely(it.share)) }
                            @for off in &it.off { td.number { (off_by(*off)) } }
                            td.small.quiet { (it.standard.source) }
                        }
                    }
                }
            }
        }
    }
}

fn measures() -> Markup {
    html! {
        details.measures {
            summary { "What can be measured, and how" }
            dl {
                @for measure in tables::measures() {
                    div { dt { (measure.label) } dd { (measure.how) } }
                }
            }
        }
    }
}
