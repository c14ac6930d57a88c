//! The parts of the page that follow the changes, for the page itself and for the script that swaps them in.

use axum::extract::{Path, RawQuery, State};
use knockon_desk::QuestionId;
use knockon_sheet::drawing::Page;
use knockon_sheet::html::Parts;
use knockon_sheet::sheet::Sheet;
use maud::{Markup, html};

use super::draft::Fields;
use super::state::Side;
use super::working::{Outcome, Way, Working};
use super::{changes, compare, depth, missing, travel};
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

/// Sizes of the drawing that a page gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawn {
    /// Both; the style shows the one that fits the window.
    Both,
    /// The one that the script asked for.
    One(Page),
}

/// The parts for the state that a form is in. Nothing is saved.
pub async fn live(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<QuestionId>,
    RawQuery(query): RawQuery,
) -> Result<Markup, Fault> {
    let fields = Fields::of_query(&query.unwrap_or_default());
    let page = if fields.get("width") == Some("phone") { Page::Phone } else { Page::Desk };
    app.desk(move |desk| {
        let working = Working::read(desk, id, |saved| fields.ways(saved))?;
        Ok(working.map(|working| parts(&working, Drawn::One(page), &visitor.workshop.name)))
    })
    .await?
}

/// Every part that the script swaps, each under its id.
fn parts(working: &Working, drawn: Drawn, workshop: &str) -> Markup {
    let (first, instead) = working.ways.texts();
    html! {
        div id="drawing" { (drawing(working, drawn)) }
        div id="verdict" { (verdict(working)) }
        div id="cautions" { (cautions(working)) }
        div id="bar" { (bar(working)) }
        div id="moves" { (moves(working)) }
        div id="ride" { (travel::ride(working, drawn)) }
        div id="depth" { (depth::parts(working)) }
        div id="sure" { (sure(working)) }
        div id="notes-of-sheet" { (notes(working)) }
        div id="missing" { (missing::section(working, workshop)) }
        div id="link" { (link(working)) }
        @for (side, way) in working.all() {
            div id={ (side.prefix()) "rows" } { (changes::rows(side, &way.lines)) }
        }
        // The lines as they are now, for the fields that hold them; after the mark, what a screen reader is told.
        textarea id="do" { "\n" (first) }
        @if let Some(instead) = instead { textarea id="or" { "\n" (instead) } }
        p id="spoken" { (spoken(working)) }
    }
}

/// The drawing, or two of them, or why there is none.
pub fn drawing(working: &Working, drawn: Drawn) -> Markup {
    html! {
        @match &working.instead {
            None => (one_drawing(Side::First, &working.first, drawn)),
            Some(instead) => {
                div.side-by-side {
                    @for (side, way) in [(Side::First, &working.first), (Side::Instead, instead)] {
                        div.one-way {
                            h2 { (side.name()) }
                            // Half a window is about as wide as a phone.
                            (one_drawing(side, way, Drawn::One(Page::Phone)))
                        }
                    }
                }
            }
        }
    }
}

fn one_drawing(side: Side, way: &Way, drawn: Drawn) -> Markup {
    let sheet = match &way.outcome {
        Outcome::Sheet(sheet) => sheet,
        Outcome::NoBike => return html! { p.no-drawing { "Without a bike there is nothing to draw." } },
        Outcome::Cannot { .. } => return html! { p.no-drawing { "This cannot be drawn." } },
    };
    let parts = of(side, sheet);
    html! {
        @if sheet.picture.is_none() {
            p.no-drawing { "Too little is known of the bike to draw it." }
        } @else {
            @match drawn {
                Drawn::Both => (parts.elevations()),
                Drawn::One(page) => figure.elevation { (parts.elevation(page)) },
            }
        }
    }
}

/// The pieces of a way's sheet with ids of their own.
pub fn of(side: Side, sheet: &Sheet) -> Parts<'_> {
    Parts::of(sheet).with_ids(side.prefix())
}

/// The verdicts, always in full.
pub fn verdict(working: &Working) -> Markup {
    html! {
        @for (side, way) in working.all() {
            @if working.instead.is_some() { h2.whose { (side.name()) } }
            @match &way.outcome {
                Outcome::Sheet(sheet) => (of(side, sheet).verdict()),
                Outcome::NoBike => section.answer.cannot-say {
                    h2 { span.headline { "Which bike?" } }
                    p { "Choose one below, or add it. The changes are kept." }
                },
                Outcome::Cannot { why, help } => section.answer.cannot-say {
                    h2 { span.headline { "This cannot be computed." } }
                    p { (why) "." } p { (help) "." }
                },
            }
            @match way.bad_lines() {
                0 => {}
                1 => p.left-out { "One line cannot be read and is left out of this answer." },
                many => p.left-out { (many) " lines cannot be read and are left out of this answer." },
            }
        }
    }
}

/// The cautions, always in full.
pub fn cautions(working: &Working) -> Markup {
    let sheets: Vec<(Side, &Sheet)> = working.sheets().collect();
    html! {
        @match sheets.as_slice() {
            [] => {}
            [(side, sheet)] => (of(*side, sheet).cautions()),
            [(_, first), (_, instead), ..] => (compare::cautions(first, instead)),
        }
    }
}

/// The verdict in one line, which a phone keeps at its top.
pub fn bar(working: &Working) -> Markup {
    let cautions: usize = working.sheets().map(|(_, sheet)| sheet.cautions.len()).max().unwrap_or(0);
    html! {
        @for (side, way) in working.all() {
            a href="#verdict" class={ "bar-line " (way.sheet().map_or("cannot-say", |sheet| of(side, sheet).tone_class())) } {
                @match way.sheet() {
                    Some(sheet) => (of(side, sheet).headline()),
                    None => span.headline { "No answer yet" },
                }
            }
        }
        @if cautions > 0 { a.bar-cautions href="#cautions" { (cautions) @if cautions == 1 { " caution" } @else { " cautions" } } }
    }
}

/// The table of what moves, and the limits.
pub fn moves(working: &Working) -> Markup {
    let sheets: Vec<(Side, &Sheet)> = working.sheets().collect();
    html! {
        @match sheets.as_slice() {
            [] => {}
            [(side, sheet)] => {
                div class=(folding(sheet)) { (of(*side, sheet).knock_ons()) }
                (limits(*side, sheet))
            }
            [(_, first), (_, instead), ..] => {
                (compare::table(first, instead))
                div.side-by-side {
                    @for (side, sheet) in &sheets { div.one-way { h2 { (side.name()) } (limits(*side, sheet)) } }
                }
            }
        }
    }
}

fn limits(side: Side, sheet: &Sheet) -> Markup {
    html! { div.limits-and-revisions { (of(side, sheet).limits()) (of(side, sheet).revisions()) } }
}

/// With many revisions the shares of the table have no room beside the figures.
fn folding(sheet: &Sheet) -> &'static str {
    match sheet.revisions.len() {
        0..=4 => "few",
        5..=11 => "many",
        _ => "too-many",
    }
}

/// What to check or measure next, and how sure the answer is.
pub fn sure(working: &Working) -> Markup {
    html! {
        @for (side, sheet) in working.sheets() {
            @if working.instead.is_some() { h3.whose { (side.name()) } }
            @if !sheet.check_first.is_empty() { (of(side, sheet).check_first()) }
            (of(side, sheet).how_sure())
        }
    }
}

/// Assumptions and sources.
pub fn notes(working: &Working) -> Markup {
    html! {
        @for (side, sheet) in working.sheets() {
            section.notes {
                h2 { "Assumptions and sources" @if working.instead.is_some() { ", " (side.name().to_lowercase()) } }
                (of(side, sheet).assumed_and_sources())
            }
        }
    }
}

/// The address of this state.
pub fn link(working: &Working) -> Markup {
    let address = format!("/questions/{}?{}", working.question.id, working.ways.query());
    html! {
        a href=(address) { "Link to this state" }
        " "
        button.js-only.plain type="button" data-copy-address=(address) { "Copy the link" }
        " " span.copied role="status" {}
    }
}

/// What a screen reader is told once the changes rest.
pub fn spoken(working: &Working) -> String {
    let said: Vec<String> = working
        .all()
        .map(|(side, way)| {
            let answer =
                way.sheet().map_or_else(|| "No answer yet.".to_owned(), |sheet| of(side, sheet).spoken());
            if working.instead.is_some() { format!("{}: {answer}", side.name()) } else { answer }
        })
        .collect();
    said.join(" ")
}
