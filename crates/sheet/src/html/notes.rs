//! The numbered column of general notes: cautions first, sources last.

use super::{Parts, clean};
use crate::sheet::Note;
use maud::{Markup, html as markup};

/// One running numbering through cautions, certainty and assumptions; sources have their own in brackets.
pub(super) fn general_notes(parts: Parts) -> Markup {
    let sheet = parts.sheet;
    let notes = sheet.cautions.len() + sheet.how_sure.len() + sheet.assumptions.len() + sheet.sources.len();
    markup! {
        @if notes > 0 {
            section.notes {
                h2 { "General notes" }
                @if !sheet.cautions.is_empty() {
                    h3.caution id={ (parts.ids) "cautions" } { "Caution" }
                    (cautions(parts))
                }
                @if !sheet.how_sure.is_empty() {
                    h3 { "How sure" }
                    (how_sure(parts))
                }
                (assumed_and_sources(parts))
            }
        }
    }
}

pub(super) fn cautions(parts: Parts) -> Markup {
    let notes = &parts.sheet.cautions;
    markup! {
        @if !notes.is_empty() {
            (numbered("cautions", 1, notes.iter().map(|note| noted(parts, note))))
        }
    }
}

pub(super) fn how_sure(parts: Parts) -> Markup {
    let sheet = parts.sheet;
    markup! {
        @if !sheet.how_sure.is_empty() {
            (numbered("sure", sheet.cautions.len() + 1, sheet.how_sure.iter().map(|text| markup! { (clean(text)) })))
        }
    }
}

pub(super) fn assumed_and_sources(parts: Parts) -> Markup {
    let sheet = parts.sheet;
    let before = sheet.cautions.len() + sheet.how_sure.len();
    markup! {
        @if !sheet.assumptions.is_empty() {
            h3 { "Assumed" }
            (numbered("assumed", before + 1, sheet.assumptions.iter().map(|note| noted(parts, note))))
        }
        @if !sheet.sources.is_empty() {
            h3 { "Sources" }
            ol.sources { @for (index, source) in sheet.sources.iter().enumerate() {
                li id={ (parts.ids) "source-" (index + 1) } { (clean(source)) }
            } }
        }
    }
}

fn numbered(class: &str, first: usize, items: impl Iterator<Item = Markup>) -> Markup {
    markup! { ol class=(class) start=(first) { @for item in items { li { (item) } } } }
}

fn noted(parts: Parts, note: &Note) -> Markup {
    markup! { (clean(&note.text)) (reference(parts, note.source)) }
}

/// "[3]", leading to the source where the sheet has it; nothing for a number of zero.
pub(super) fn reference(parts: Parts, source: usize) -> Markup {
    markup! {
        @if source > 0 && source <= parts.sheet.sources.len() {
            "\u{a0}" a.source href={ "#" (parts.ids) "source-" (source) } { "[" (source) "]" }
        } @else if source > 0 {
            "\u{a0}[" (source) "]"
        }
    }
}
