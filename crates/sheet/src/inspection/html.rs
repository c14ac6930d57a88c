//! A page on its own to print and sign, and the inspection as a part of an answer's page.

use knockon_trade::inspection::protocol::{Answer, Kind};
use knockon_trade::inspection::{Protocol, Step, given};
use knockon_trade::units::shown;
use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

use super::{Heading, Inspection, NO_EYES, SIGNATURES, figure, heading};
use crate::html::{clean, mark, style_of_sheets};
use crate::lettering::font_face_css;
use crate::tone;

/// Look of what an answer's page does not have.
pub(crate) const STYLE: &str = include_str!("inspection.css");

/// Look of the page on its own.
const PAGE: &str = include_str!("page.css");

/// The whole page, ready for screen, phone and paper.
pub fn html(inspection: &Inspection, about: &Heading) -> String {
    let known = [&about.bike, &about.workshop, &about.drawn].into_iter().filter(|field| !field.is_empty());
    let known: Vec<&str> = known.map(String::as_str).collect();
    let body = markup! {
        header.head { h1 { (clean(&inspection.title)) } p { (clean(&known.join(" · "))) } }
        (parts(inspection))
        section.notes {
            h2 { "General notes" }
            h3.caution { "Caution" }
            (cautions(inspection))
        }
        (signatures())
        section.notes { h2 { "Sources" } ol.sources { @for source in &inspection.sources { li { (clean(source)) } } } }
    };
    page(&format!("{} – {}", inspection.title, inspection.headline), &body)
}

/// The inspection as a part of a page; its cautions stand with the others of the page.
pub fn section(inspection: &Inspection) -> Markup {
    markup! { section.inspection { h2 { (clean(&inspection.title)) } (parts(inspection)) } }
}

fn parts(inspection: &Inspection) -> Markup {
    let tone = inspection.tone();
    markup! {
        p.quiet { (clean(&inspection.about())) }
        div class={ "outcome answer " (tone::class(tone)) } {
            p.grade { span.tone { (mark(tone)) (tone::words(tone)) } span.headline { (clean(&inspection.headline)) } }
            @if let Some(open) = inspection.open() { p { strong { (open) } } }
            @if !inspection.because.is_empty() { ul.because { @for why in &inspection.because { li { (clean(why)) } } } }
        }
        div.told-and-found {
            div {
                h3 { (heading::ACTIONS) }
                ol { @for action in &inspection.actions { li { (clean(action)) } } }
                h3 { (heading::RIDER) }
                p { (clean(&inspection.rider)) }
                @if let Some(interval) = &inspection.interval { h3 { (heading::INTERVAL) } p { (clean(interval)) "." } }
                h3 { (heading::QUALIFIED) }
                p { (clean(&inspection.qualified)) }
            }
            div {
                h3 { (heading::FOUND) }
                (found(inspection))
                @if !inspection.unchecked.is_empty() {
                    h3 { (heading::UNCHECKED) }
                    ul.boxes { @for ask in &inspection.unchecked { li { (clean(ask)) } } }
                }
                h3 { (heading::NOT_SEEN) }
                ul { @for what in &inspection.not_seen { li { (clean(what)) } } }
            }
        }
        @if !inspection.photos.is_empty() {
            h3 { (heading::PHOTOS) }
            div.pictures { @for photo in &inspection.photos { (figure(photo)) } }
            p.quiet { (NO_EYES) }
        }
    }
}

fn found(inspection: &Inspection) -> Markup {
    markup! {
        @if inspection.found.is_empty() { p { "Nothing yet." } }
        dl.what-found {
            @for row in &inspection.found {
                div class=[row.is_graded.then(|| tone::class(super::tone_of(row.grade)))] {
                    dt { (clean(&row.ask)) }
                    dd {
                        @if row.is_graded { (mark(super::tone_of(row.grade))) }
                        (clean(&row.answer))
                        @if !row.note.is_empty() { span.note { (clean(&row.note)) } }
                    }
                }
            }
        }
    }
}

fn cautions(inspection: &Inspection) -> Markup {
    markup! {
        ol.cautions { @for note in &inspection.cautions {
            li { (clean(&note.text)) @if note.source > 0 { "\u{a0}[" (note.source) "]" } }
        } }
    }
}

fn signatures() -> Markup {
    markup! {
        section.signatures {
            h2 { (heading::SIGNATURES) }
            @for line in SIGNATURES { p { (line) } }
        }
    }
}

/// A form to fill in by hand: every question with its answers, how to look, and the lines to sign on.
pub fn blank(protocol: &Protocol, about: &Heading) -> String {
    let known = [&about.workshop, &about.drawn].into_iter().filter(|field| !field.is_empty());
    let known: Vec<&str> = known.map(String::as_str).collect();
    let body = markup! {
        header.head { h1 { (clean(&protocol.title)) } p { (clean(&known.join(" · "))) } }
        section.signatures.short { @for line in ["Bike and part", "Rider", "Date"] { p { (line) } } }
        p { (clean(&protocol.about)) }
        @if !protocol.before.is_empty() {
            h3 { "Before you look" }
            ul { @for what in &protocol.before { li { (clean(what)) } } }
        }
        section.blank {
            h2 { "Look, and tick the worst that is true" }
            ol { @for step in &protocol.steps { li {
                p { strong { (clean(&step.ask)) } }
                @for look in step.looks() { p.quiet { (clean(&look.say)) ": " (clean(&look.how)) } }
                @if !step.how.is_empty() { p.quiet { (clean(&step.how)) } }
                ul.boxes {
                    @for answer in &step.answers { li { (clean(&answer.say)) (clean(&limit(step, answer))) (on(protocol, answer)) } }
                    @match step.kind { Kind::Photo => li { "Taken" }, _ => li { "Cannot tell" } }
                }
                @if step.kind == Kind::Number { p.write { "Reading, " (given::unit(step)) ", and its ±" } }
                @if let Some(write) = &step.write { p.write { (clean(write)) } }
            } } }
        }
        section.notes {
            h2 { "General notes" }
            h3.caution { "Caution" }
            ol.cautions { @for caution in protocol.all_cautions() { li { (clean(&caution.text)) } } }
        }
        h3 { (heading::NOT_SEEN) }
        ul { @for what in &protocol.not_seen { li { (clean(what)) } } }
        h3 { (heading::QUALIFIED) }
        p { (clean(&protocol.qualified)) }
        (signatures())
    };
    page(&protocol.title, &body)
}

/// Up to which reading an answer holds: " (down to 1.6 mm)".
fn limit(step: &Step, answer: &Answer) -> String {
    let Some(until) = answer.until else { return String::new() };
    let way = if step.smaller_is_worse { "down to" } else { "up to" };
    let from = if step.against.is_some() { " from the figure before" } else { "" };
    format!(" ({way} {}{from})", shown(until, given::unit(step)))
}

/// Where an answer leads when that is not the next question: on paper nobody else says so.
fn on(protocol: &Protocol, answer: &Answer) -> Markup {
    let place = answer.next.as_deref().map(|id| protocol.steps.iter().position(|step| step.id == id));
    markup! {
        @match place {
            None => {}
            Some(Some(at)) => { " → question " (at + 1) }
            Some(None) => { " → the end" }
        }
    }
}

fn page(title: &str, body: &Markup) -> String {
    let markup = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (clean(title)) }
                style { (PreEscaped(font_face_css())) (PreEscaped(style_of_sheets())) (PreEscaped(STYLE)) (PreEscaped(PAGE)) }
            }
            body { main.sheet.paper-form { (body) } }
        }
    };
    markup.into_string()
}
