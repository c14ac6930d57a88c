//! The short answer, the limits behind it, and what to check first.

use super::{Parts, clean, marks, notes};
use crate::sheet::{Answer, Sheet, VerdictRow};
use crate::tone;
use maud::{Markup, html as markup};

/// The short answer; with a pointer to the cautions where they stand further down.
pub(super) fn answer(parts: Parts, points_to_cautions: bool) -> Markup {
    let Answer { tone, headline, sentences } = &parts.sheet.answer;
    let cautions = if points_to_cautions { parts.sheet.cautions.len() } else { 0 };
    markup! {
        section class={ "answer " (tone::class(*tone)) } {
            h2 {
                span.tone { (marks::mark(*tone)) (tone::words(*tone)) }
                span.headline { (clean(headline)) }
            }
            p { (clean(&sentences.join(" "))) }
            @if cautions > 0 {
                p.to-cautions {
                    a href={ "#" (parts.ids) "cautions" } {
                        @if cautions == 1 { "Read the caution in note 1" }
                        @else { "Read the cautions in notes 1 to " (cautions) }
                    }
                }
            }
        }
    }
}

/// Mark and headline on one line.
pub(super) fn headline(sheet: &Sheet) -> Markup {
    let Answer { tone, headline, .. } = &sheet.answer;
    markup! { (marks::mark(*tone)) " " span.tone { (tone::words(*tone)) } " " span.headline { (clean(headline)) } }
}

pub(super) fn limits(parts: Parts) -> Markup {
    markup! {
        @if !parts.sheet.verdicts.is_empty() {
            section.verdicts {
                h2 { "Limits" }
                ul { @for row in &parts.sheet.verdicts { (limit(parts, row)) } }
            }
        }
    }
}

fn limit(parts: Parts, row: &VerdictRow) -> Markup {
    markup! {
        li class=(tone::class(row.tone)) {
            (marks::mark(row.tone))
            p {
                strong { (clean(&row.label)) }
                " "
                span.tone { (tone::words(row.tone)) }
            }
            p { (clean(&row.sentence)) (notes::reference(parts, row.source)) }
        }
    }
}

pub(super) fn check_first(sheet: &Sheet) -> Markup {
    markup! {
        @if !sheet.check_first.is_empty() {
            section.check-first {
                h2 { "Check first" }
                ol { @for item in &sheet.check_first { li { (clean(item)) } } }
            }
        }
    }
}
