//! The tables. Their roles are spelled out because the narrow page lays rows out as wrapping lines, and
//! some browsers forget that a table so laid out is one.

use super::clean;
use crate::figure::{NO_SHARE, before_after, figure, nothing_moves, plus_minus};
use crate::sheet::{KnockOnRow, MissingRow, RevisionRow, Sheet};
use maud::{Markup, html as markup};

/// "1234.5 → 1234.5 mm" is the longest thing that must not be broken.
const LONGEST_FIGURE: usize = 18;

pub(super) fn revisions(rows: &[RevisionRow]) -> Markup {
    markup! {
        @if !rows.is_empty() {
            table.revisions {
                caption { h2 { "Revisions" } }
                thead { tr { th scope="col" { "Rev." } th scope="col" { "Change" } th scope="col" { "before → after" } } }
                tbody { @for row in rows {
                    tr {
                        th scope="row" { (flag(row.letter)) }
                        td { (clean(&row.label)) }
                        (cell("values", &before_after(row)))
                    }
                } }
            }
        }
    }
}

/// The letter in its six-sided flag, as it stands on the drawing.
pub fn flag(letter: char) -> Markup {
    markup! {
        span.flag {
            svg viewBox="0 0 24 21" aria-hidden="true" { path d="M6.25.25h11.5l6 10.25l-6 10.25h-11.5l-6-10.25z" {} }
            span { (letter) }
        }
    }
}

/// What moved. With a single revision its share is the difference itself and gets no column.
pub(super) fn knock_ons(sheet: &Sheet) -> Markup {
    let revisions = if sheet.revisions.len() > 1 { sheet.revisions.as_slice() } else { &[] };
    let heads = ["before", "after", "diff.", "±"];
    if sheet.is_of_inspection_alone() {
        return markup! {};
    }
    markup! {
        section.knock-ons {
            @if sheet.knock_ons.is_empty() {
                h2 { "What moves" }
                p { (nothing_moves(sheet)) }
            } @else {
                h2 { "What moves" }
                table role="table" aria-label="What moves" {
                    thead role="rowgroup" { tr role="row" {
                        th.label role="columnheader" scope="col" { "Knock-on" }
                        @for head in heads { th role="columnheader" scope="col" { (head) } }
                        @for revision in revisions { th.share role="columnheader" scope="col" { (revision.letter) } }
                        th.noticed role="columnheader" scope="col" { "noticed?" }
                    } }
                    tbody role="rowgroup" { @for row in &sheet.knock_ons { (knock_on(row, revisions)) } }
                }
            }
            @if !sheet.unmoved.is_empty() {
                p.unmoved { "Did not move: " (clean(&sheet.unmoved.join(", "))) "." }
            }
        }
    }
}

fn knock_on(row: &KnockOnRow, revisions: &[RevisionRow]) -> Markup {
    let of_row = |value: &str| figure(value, &row.unit);
    markup! {
        tr role="row" {
            th.label role="rowheader" scope="row" { (clean(&row.label)) }
            (cell("before", &of_row(&row.before)))
            (cell("after", &of_row(&row.after)))
            (cell("difference", &of_row(&row.difference)))
            (cell("tolerance", &plus_minus(row)))
            @for (index, revision) in revisions.iter().enumerate() {
                (share(row.shares.get(index).map_or(NO_SHARE, String::as_str), row, revision))
            }
            (cell("noticed", &row.noticed))
        }
    }
}

/// A cell that stays on one line, unless its value is longer than any figure is.
fn cell(class: &str, value: &str) -> Markup {
    let long = value.chars().count() > LONGEST_FIGURE;
    markup! { td role="cell" class={ (class) @if long { " long" } } { (clean(value)) } }
}

/// A share; on a narrow page the letter of its column is set before it.
fn share(value: &str, row: &KnockOnRow, revision: &RevisionRow) -> Markup {
    let class = if value == NO_SHARE { "share none" } else { "share" };
    markup! { td role="cell" class=(class) data-letter=(revision.letter) { (clean(&figure(value, &row.unit))) } }
}

pub(super) fn missing(rows: &[MissingRow]) -> Markup {
    markup! {
        @if !rows.is_empty() {
            section.missing {
                h2 { "Ask the rider" }
                ul { @for row in rows {
                    li {
                        p { strong { (clean(&row.ask)) } }
                        p { (clean(&row.how)) " " span.quiet { "Needed for: " (clean(&row.needed_for)) } }
                    }
                } }
            }
        }
    }
}
