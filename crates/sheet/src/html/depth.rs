//! The parts that work one thing out in depth: words, drawings, tables, notes.

use super::{Parts, clean, notes};
use crate::drawing::workings::figure_svg;
use crate::part::{Figure, Part, Table};
use maud::{Markup, PreEscaped, html as markup};

pub(super) fn all(parts: Parts) -> Markup {
    markup! {
        @if !parts.sheet.parts.is_empty() {
            div.in-depth { @for part in &parts.sheet.parts { (one(parts, part)) } }
        }
    }
}

/// One part; `ids` of the sheet keep its ids apart from those of others on the page.
fn one(parts: Parts, part: &Part) -> Markup {
    markup! {
        section.depth data-part=(part.id) {
            h2 { (clean(&part.title)) }
            div.depth-said { @for sentence in &part.sentences { p { (clean(sentence)) } } }
            div.depth-shown {
                @if !part.figures.is_empty() {
                    div.depth-figures { @for figure in &part.figures { (drawn(parts, figure)) } }
                }
                @for listed in &part.tables { (table(listed)) }
            }
            ul.depth-notes {
                @for note in &part.notes { li { (clean(&note.text)) (notes::reference(parts, note.source)) } }
            }
        }
    }
}

fn drawn(parts: Parts, figure: &Figure) -> Markup {
    let id = format!("{}{}", parts.ids, figure.id.replace('_', "-"));
    markup! {
        figure class=(figure.id.replace('_', "-")) {
            figcaption.name { (clean(&figure.title)) }
            (PreEscaped(figure_svg(figure, &id)))
            p.caption { (clean(&figure.caption)) }
        }
    }
}

/// Wide tables scroll by themselves, so that the page does not.
fn table(listed: &Table) -> Markup {
    markup! {
        div.depth-table tabindex="0" role="region" aria-label=(clean(&listed.title)) {
            table {
                caption { (clean(&listed.title)) }
                thead { tr { @for head in &listed.head { th scope="col" { (clean(head)) } } } }
                tbody { @for row in &listed.rows { tr {
                    @for (at, cell) in row.iter().enumerate() {
                        @if at == 0 { th scope="row" { (clean(cell)) } } @else { td { (clean(cell)) } }
                    }
                } } }
            }
        }
    }
}
