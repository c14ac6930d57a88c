//! Two ways beside each other: one table with both differences, one list with the cautions of both.

use knockon_sheet::html::{Parts, figure, flag};
use knockon_sheet::sheet::{KnockOnRow, Note, Sheet};
use maud::{Markup, html};

use super::state::Side;

/// What moves either way, in one table.
pub fn table(first: &Sheet, instead: &Sheet) -> Markup {
    let rows = merged(first, instead);
    html! {
        section.knock-ons.two tabindex="0" aria-label="What moves, either way" {
            @if rows.is_empty() {
                h2 { "What moves" }
                p { "Nothing moves either way." }
            } @else {
                table {
                    caption { h2 { "What moves" } }
                    thead {
                        tr {
                            th.label rowspan="2" scope="col" { "Knock-on" }
                            th rowspan="2" scope="col" { "before" }
                            th.way colspan="3" scope="colgroup" { (Side::First.name()) " " (letters(first)) }
                            th.way colspan="3" scope="colgroup" { (Side::Instead.name()) " " (letters(instead)) }
                        }
                        tr { @for _ in 0..2 { th.way scope="col" { "diff." } th scope="col" { "±" } th scope="col" { "noticed?" } } }
                    }
                    tbody {
                        @for row in &rows {
                            tr {
                                th.label scope="row" { (row.label) }
                                td { (figure(row.before, row.unit)) }
                                (cells(row.first)) (cells(row.instead))
                            }
                        }
                    }
                }
            }
        }
    }
}

fn letters(sheet: &Sheet) -> Markup {
    html! { @for revision in &sheet.revisions { (flag(revision.letter)) } }
}

/// A way in which a quantity does not move at all has no figures in that row.
fn cells(row: Option<&KnockOnRow>) -> Markup {
    html! {
        @match row {
            Some(row) => {
                td.way.difference { (figure(&row.difference, &row.unit)) }
                td { @if !row.plus_minus.is_empty() { "±" (figure(&row.plus_minus, &row.unit)) } }
                td.noticed { (row.noticed) }
            }
            None => { td.way.quiet { "–" } td {} td {} }
        }
    }
}

/// One quantity, either way.
struct Both<'a> {
    label: &'a str,
    unit: &'a str,
    before: &'a str,
    first: Option<&'a KnockOnRow>,
    instead: Option<&'a KnockOnRow>,
}

/// The rows of both: those of the first way in its order, then what only the second moves.
fn merged<'a>(first: &'a Sheet, instead: &'a Sheet) -> Vec<Both<'a>> {
    let of = |sheet: &'a Sheet, label: &str| sheet.knock_ons.iter().find(|row| row.label == label);
    let only_instead = instead.knock_ons.iter().filter(|row| of(first, &row.label).is_none());
    first
        .knock_ons
        .iter()
        .chain(only_instead)
        .map(|row| Both {
            label: &row.label,
            unit: &row.unit,
            before: &row.before,
            first: of(first, &row.label),
            instead: of(instead, &row.label),
        })
        .collect()
}

/// The cautions of both ways, each in full; one that both have stands once.
pub fn cautions(first: &Sheet, instead: &Sheet) -> Markup {
    let of_both = |note: &Note, other: &Sheet| other.cautions.iter().any(|known| known.text == note.text);
    let only_instead = instead.cautions.iter().filter(|note| !of_both(note, first));
    html! {
        ol.cautions {
            @for note in &first.cautions {
                li {
                    @if !of_both(note, instead) { span.whose { (Side::First.name()) ": " } }
                    (note.text) (Parts::of(first).source(note.source))
                }
            }
            @for note in only_instead {
                li {
                    span.whose { (Side::Instead.name()) ": " }
                    (note.text) (Parts::of(instead).with_ids(Side::Instead.prefix()).source(note.source))
                }
            }
        }
    }
}
