//! Every protocol under its heading, and what was inspected last.

use axum::extract::State;
use knockon_desk::{Desk, DeskError, Inspection};
use knockon_sheet::inspection::tone_of;
use knockon_trade::inspection::{Protocol, protocols};
use maud::{Markup, html};

use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::pages::time::ago;
use crate::visitor::Visitor;

/// How many of the last ones are listed.
const NEWEST: u32 = 8;

/// The page.
pub async fn show(State(app): State<App>, visitor: Visitor) -> Result<Markup, Fault> {
    let newest = app.desk(newest).await?;
    let body = html! {
        div.inspect-list {
            h1 { "Inspect" }
            p.quiet { "Questions to look, feel and measure by, one at a time. No protocol clears a part: it sorts what was seen, and somebody qualified judges." }
            p { a.button href="/cleaning" { "Cleaners and surfaces" } }
            @if !newest.is_empty() {
                section aria-labelledby="newest-head" {
                    h2 id="newest-head" { "Last touched" }
                    ul.bare.inspected { @for (inspection, asked) in &newest { (row(inspection, asked)) } }
                }
            }
            div.areas {
                @for (area, all) in areas() {
                    section {
                        h2 { (area) }
                        ul.bare { @for protocol in all { li { a href={ "/inspect/" (protocol.id) } { (protocol.title) } } } }
                    }
                }
            }
        }
    };
    Ok(page(&visitor, Room::Inspect, "Inspect", body))
}

/// Protocols under their headings, in the order of the table.
fn areas() -> Vec<(&'static str, Vec<&'static Protocol>)> {
    let mut areas: Vec<(&str, Vec<&Protocol>)> = Vec::new();
    for protocol in protocols() {
        match areas.last_mut() {
            Some((area, all)) if *area == protocol.area => all.push(protocol),
            _ => areas.push((&protocol.area, vec![protocol])),
        }
    }
    areas
}

fn newest(desk: &Desk) -> Result<Vec<(Inspection, String)>, DeskError> {
    let all = desk.newest_inspections(NEWEST)?;
    all.into_iter()
        .map(|it| Ok((desk.question(it.question)?.asked, it)))
        .map(|it| it.map(|(asked, it)| (it, asked)))
        .collect()
}

/// One inspection in a list: its protocol, how it stands, what was asked.
pub fn row(inspection: &Inspection, asked: &str) -> Markup {
    let title = inspection.known().map_or(inspection.protocol.as_str(), |protocol| &protocol.title);
    html! {
        li {
            a href={ "/inspections/" (inspection.id) } { (title) @if !inspection.part.is_empty() { ": " (inspection.part) } }
            " " (standing(inspection))
            " " span.quiet.small { (ago(inspection.stamp.at)) @if !asked.is_empty() { " · " (asked) } }
        }
    }
}

/// How an inspection stands, in words.
pub fn standing(inspection: &Inspection) -> Markup {
    let judgement = inspection.inspected().map(|inspected| inspected.judgement());
    html! {
        @match judgement {
            None => span.grade { "protocol not known to this program" },
            Some(judgement) if !judgement.is_finished() => span.grade { "not finished" },
            Some(judgement) => {
                span class={ "grade " (knockon_sheet::inspection::class(tone_of(judgement.grade))) } { (judgement.grade.words()) }
                @if inspection.signed.is_none() { span.quiet { ", not signed" } }
            }
        }
    }
}
