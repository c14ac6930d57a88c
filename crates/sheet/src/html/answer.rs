//! The short answer, the limits behind it, and what to check first.

use super::{Parts, clean, marks, notes};
use crate::compose::tone_of;
use crate::sheet::{Answer, Sheet, Tone, VerdictRow};
use crate::tone;
use knockon_engine::requirement::Outcome;
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
        @if !parts.sheet.takes.is_empty() {
            section.takes {
                h2 { "It takes" }
                ol { @for item in &parts.sheet.takes { li { (clean(item)) } } }
            }
        }
    }
}

fn limit(parts: Parts, row: &VerdictRow) -> Markup {
    item(row.tone, &row.label, &markup! { (clean(&row.sentence)) (notes::reference(parts, row.source)) })
}

/// A verdict by itself, as an item of a list of class `verdicts`.
pub fn judged(outcome: Outcome, label: &str, sentence: &str) -> Markup {
    item(tone_of(outcome), label, &markup! { (clean(sentence)) })
}

fn item(tone: Tone, label: &str, sentence: &Markup) -> Markup {
    markup! {
        li class=(tone::class(tone)) {
            (marks::mark(tone))
            p {
                strong { (clean(label)) }
                " "
                span.tone { (tone::words(tone)) }
            }
            p { (sentence) }
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
