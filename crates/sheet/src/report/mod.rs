//! Plain terminal reports beside the sheet: a record as it stands, an audit, the change language, a quantity explained, whether
//! parts go on a bike, what a part can be by a few readings, where to begin from a body, the protocols of inspection, cleaners and surfaces.

mod audit;
pub mod body;
pub mod care;
mod changes;
pub mod depth;
mod explain;
pub mod fits;
pub mod gauge;
pub mod protocols;
pub mod shelf;
mod show;

pub use audit::audit;
pub use changes::changes;
pub use explain::{explain, explainable};
pub use show::show;

use crate::text::lines::{Ink, Lines, columns};

/// Columns between two cells of a table.
const GAP: usize = 2;

/// A table with a heading row: first column left, the others right. Rows too wide for the page fold: the first cell on a
/// line of its own, the rest indented below it.
pub(crate) fn table(page: &mut Lines, heading: &[&str], rows: &[Vec<String>]) {
    let widths: Vec<usize> = (0..heading.len())
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| columns(cell));
            cells.chain([columns(heading[column])]).max().unwrap_or(0)
        })
        .collect();
    let total: usize = widths.iter().sum::<usize>() + GAP * (widths.len() - 1);
    let head: Vec<String> = heading.iter().map(ToString::to_string).collect();
    if total <= page.width {
        page.line(&[(Ink::Quiet, &aligned(&head, &widths))]);
        for row in rows {
            page.line(&[(Ink::Plain, &aligned(row, &widths))]);
        }
        return;
    }
    for row in rows {
        page.paragraph(Ink::Plain, "", &row[0]);
        let rest: Vec<String> = row
            .iter()
            .zip(heading)
            .skip(1)
            .filter(|(cell, _)| !cell.is_empty())
            .map(|(cell, head)| format!("{head} {cell}"))
            .collect();
        page.paragraph(Ink::Quiet, "  ", &rest.join(" · "));
    }
}

fn aligned(row: &[String], widths: &[usize]) -> String {
    let mut line = String::new();
    for (column, (cell, width)) in row.iter().zip(widths).enumerate() {
        let space = " ".repeat(width - columns(cell));
        if column == 0 {
            line.push_str(cell);
            line.push_str(&space);
        } else {
            line.push_str(&" ".repeat(GAP));
            line.push_str(&space);
            line.push_str(cell);
        }
    }
    line
}

/// A figure with its unit: a space before letters, none before a degree sign.
fn with_unit(figure: &str, unit: &str) -> String {
    match unit {
        "" | "°" => format!("{figure}{unit}"),
        _ => format!("{figure} {unit}"),
    }
}

/// A number with a fixed count of decimals and a real minus sign.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text.chars().all(|c| matches!(c, '0' | '.' | '-'));
    if zero { text.replace('-', "") } else { text.replace('-', "−") }
}
