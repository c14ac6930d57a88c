//! The knock-on table in terminal columns, folded step by step when the page is narrow.

use super::lines::{Ink, Lines, columns, wrapped};
use crate::figure::{NO_SHARE, figure, plus_minus};
use crate::printable::printable;
use crate::sheet::{KnockOnRow, Sheet};

/// Columns between two figures.
const GUTTER: usize = 2;
/// A label column narrower than this is harder to read than a label on a line of its own.
const NARROWEST_LABEL: usize = 12;

/// One row, ready to be aligned.
struct Row {
    label: String,
    /// before, after, difference, tolerance, then the shares, then "noticed".
    figures: Vec<(Ink, String)>,
    /// Shares in one line: "A +10 · B −14"; empty when the row has none.
    shares: String,
}

/// Writes the first `rows` rows of what moved.
pub(super) fn knock_ons(page: &mut Lines, sheet: &Sheet, rows: usize) {
    let letters: Vec<char> = sheet.revisions.iter().map(|revision| revision.letter).collect();
    // With one revision the difference is its share; a column that repeats it would be noise.
    let with_shares = letters.len() > 1;
    let shown = &sheet.knock_ons[..rows.min(sheet.knock_ons.len())];
    let spread: Vec<Row> = shown.iter().map(|row| aligned(row, &letters, with_shares)).collect();
    if fits(page, &heading(&letters, with_shares), &spread) {
        table(page, &heading(&letters, with_shares), &spread, false);
        return;
    }
    let folded: Vec<Row> = shown.iter().map(|row| aligned(row, &letters, false)).collect();
    let heading = heading(&letters, false);
    if room_for_labels(page, &heading, &folded) >= NARROWEST_LABEL {
        table(page, &heading, &folded, with_shares);
    } else {
        page.paragraph(Ink::Strong, "", &heading.label);
        for row in shown {
            stacked(page, row, with_shares.then(|| shares_line(row, &letters)));
        }
    }
}

fn heading(letters: &[char], with_shares: bool) -> Row {
    let quiet = |text: &str| (Ink::Quiet, text.to_owned());
    let mut figures = vec![quiet("before"), quiet("after"), quiet("diff."), quiet("±")];
    if with_shares {
        figures.extend(letters.iter().map(|letter| quiet(&letter.to_string())));
    }
    figures.push(quiet("noticed?"));
    Row { label: "What moves".into(), figures, shares: String::new() }
}

fn aligned(row: &KnockOnRow, letters: &[char], with_shares: bool) -> Row {
    let cell = |ink: Ink, text: String| (ink, printable(&text.replace('\u{a0}', " ")).into_owned());
    let of_row = |value: &str| figure(value, &row.unit);
    let mut figures = vec![
        cell(Ink::Plain, of_row(&row.before)),
        cell(Ink::Plain, of_row(&row.after)),
        cell(Ink::Change, of_row(&row.difference)),
        cell(Ink::Plain, plus_minus(row)),
    ];
    if with_shares {
        let share = |index: usize| row.shares.get(index).map_or(NO_SHARE, String::as_str);
        figures.extend((0..letters.len()).map(|index| cell(Ink::Plain, of_row(share(index)))));
    }
    figures.push(cell(Ink::Plain, row.noticed.clone()));
    Row { label: row.label.clone(), figures, shares: shares_line(row, letters) }
}

/// The shares of a row in words; revisions that have none are left out.
pub(super) fn shares_line(row: &KnockOnRow, letters: &[char]) -> String {
    let shares: Vec<String> = letters
        .iter()
        .zip(&row.shares)
        .filter(|(_, share)| *share != NO_SHARE)
        .map(|(letter, share)| format!("{letter}\u{a0}{}", figure(share, &row.unit)))
        .collect();
    shares.join(", ")
}

/// Width of each figure column, the widest cell deciding.
fn widths(heading: &Row, rows: &[Row]) -> Vec<usize> {
    let all = || std::iter::once(heading).chain(rows);
    (0..heading.figures.len())
        .map(|column| all().map(|row| columns(&row.figures[column].1)).max().unwrap_or(0))
        .collect()
}

fn room_for_labels(page: &Lines, heading: &Row, rows: &[Row]) -> usize {
    let figures: usize = widths(heading, rows).iter().map(|width| width + GUTTER).sum();
    page.width.saturating_sub(figures)
}

/// True when every label has room on one line beside all figures.
fn fits(page: &Lines, heading: &Row, rows: &[Row]) -> bool {
    longest_label(heading, rows) <= room_for_labels(page, heading, rows)
}

fn longest_label(heading: &Row, rows: &[Row]) -> usize {
    let labels = std::iter::once(heading).chain(rows).map(|row| columns(&printable(&row.label)));
    labels.max().unwrap_or(0)
}

fn table(page: &mut Lines, heading: &Row, rows: &[Row], fold_shares: bool) {
    let widths = widths(heading, rows);
    let label_width = longest_label(heading, rows).min(room_for_labels(page, heading, rows));
    for (index, row) in std::iter::once(heading).chain(rows).enumerate() {
        let label_ink = if index == 0 { Ink::Strong } else { Ink::Plain };
        for (line, label) in wrapped(&row.label, label_width).iter().enumerate() {
            let label = padded(label, label_width);
            let mut pieces = vec![(label_ink, label)];
            if line == 0 {
                let cells = row.figures.iter().zip(&widths);
                pieces.extend(cells.map(|((ink, text), width)| (*ink, set_right(text, width + GUTTER))));
            }
            let pieces: Vec<(Ink, &str)> = pieces.iter().map(|(ink, text)| (*ink, text.as_str())).collect();
            page.line(&pieces);
        }
        if fold_shares && !row.shares.is_empty() {
            page.paragraph(Ink::Quiet, "  ", &row.shares);
        }
    }
}

/// For pages too narrow for columns: the label, and below it the figures as a sentence.
fn stacked(page: &mut Lines, row: &KnockOnRow, shares: Option<String>) {
    page.paragraph(Ink::Plain, "", &row.label);
    let of_row = |value: &str| figure(value, &row.unit);
    let change = format!("{} {}", of_row(&row.difference), plus_minus(row));
    let (before, after) = (of_row(&row.before), of_row(&row.after));
    let told = format!("{before} → {after}, {}, noticed: {}", change.trim_end(), row.noticed);
    page.paragraph(Ink::Plain, "  ", &told);
    if let Some(shares) = shares.filter(|shares| !shares.is_empty()) {
        page.paragraph(Ink::Quiet, "  ", &shares);
    }
}

fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}

fn set_right(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(columns(text))))
}
