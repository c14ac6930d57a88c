//! The numbered column of general notes: cautions first, sources last.

use super::clean;
use crate::sheet::{Note, Sheet};
use maud::{Markup, html as markup};

/// One running numbering through cautions, certainty and assumptions; sources have their own in brackets.
pub(super) fn general_notes(sheet: &Sheet) -> Markup {
    let cautions = sheet.cautions.len();
    let sure = sheet.how_sure.len();
    let empty = cautions + sure + sheet.assumptions.len() + sheet.sources.len() == 0;
    markup! {
        @if !empty {
            section.notes {
                h2 { "General notes" }
                @if cautions > 0 {
                    h3.caution #cautions { "Caution" }
                    (numbered("cautions", 1, sheet.cautions.iter().map(|note| noted(sheet, note))))
                }
                @if sure > 0 {
                    h3 { "How sure" }
                    (numbered("sure", cautions + 1, sheet.how_sure.iter().map(|text| markup! { (clean(text)) })))
                }
                @if !sheet.assumptions.is_empty() {
                    h3 { "Assumed" }
                    (numbered("assumed", cautions + sure + 1, sheet.assumptions.iter().map(|note| noted(sheet, note))))
                }
                @if !sheet.sources.is_empty() {
                    h3 { "Sources" }
                    ol.sources { @for (index, source) in sheet.sources.iter().enumerate() {
                        li id={ "source-" (index + 1) } { (clean(source)) }
                    } }
                }
            }
        }
    }
}

fn numbered(class: &str, first: usize, items: impl Iterator<Item = Markup>) -> Markup {
    markup! { ol class=(class) start=(first) { @for item in items { li { (item) } } } }
}

fn noted(sheet: &Sheet, note: &Note) -> Markup {
    markup! { (clean(&note.text)) (reference(sheet, note.source)) }
}

/// "[3]", leading to the source where the sheet has it; nothing for a number of zero.
pub(super) fn reference(sheet: &Sheet, source: usize) -> Markup {
    markup! {
        @if source > 0 && source <= sheet.sources.len() {
            "\u{a0}" a.source href={ "#source-" (source) } { "[" (source) "]" }
        } @else if source > 0 {
            "\u{a0}[" (source) "]"
        }
    }
}
