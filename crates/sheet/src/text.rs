//! Terminal text for a technician: the whole sheet, or the short form for the default run.
//!
//! Whatever the width, no caution is dropped, shortened or cut: a narrow page only gets longer.

pub(crate) mod lines;
pub(crate) mod parts;
mod suspension;
mod table;

pub use lines::Style;

use crate::figure::{before_after, nothing_moves};
use crate::sheet::{Note, Sheet, VerdictRow};
use crate::{inspection, tone};
use lines::{Ink, Lines, columns};

/// Rows of the knock-on table in the short form.
const SHORT_ROWS: usize = 6;

/// Everything the sheet says, wrapped to `width` columns (at least 20).
pub fn text(sheet: &Sheet, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    title(&mut page, sheet);
    answer(&mut page, sheet);
    revisions(&mut page, sheet);
    knock_ons(&mut page, sheet, usize::MAX);
    suspension::part(&mut page, sheet);
    for part in &sheet.parts {
        parts::part(&mut page, part);
    }
    verdicts(&mut page, sheet);
    for inspection in &sheet.inspections {
        inspection::text_section(&mut page, inspection);
    }
    list(&mut page, "It takes", &sheet.takes);
    list(&mut page, "Check first", &sheet.check_first);
    list(&mut page, "How sure", &sheet.how_sure);
    missing(&mut page, sheet);
    cautions(&mut page, sheet);
    notes(&mut page, "Assumed", &sheet.assumptions);
    sources(&mut page, sheet);
    page.finish()
}

/// Headline, sentences, what moves most, and every caution.
pub fn short(sheet: &Sheet, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    answer(&mut page, sheet);
    if sheet.revisions.len() > 1 {
        // The shares in the table are headed by letters; here is what they stand for.
        revisions(&mut page, sheet);
    }
    knock_ons(&mut page, sheet, SHORT_ROWS);
    cautions(&mut page, sheet);
    page.finish()
}

fn title(page: &mut Lines, sheet: &Sheet) {
    let title = &sheet.title;
    page.paragraph(Ink::Strong, "", &title.question);
    let sheet_number = if title.sheet.is_empty() { String::new() } else { format!("sheet {}", title.sheet) };
    let fields = [&title.bike, &title.workshop, &title.drawn, &sheet_number];
    let known: Vec<&str> = fields.into_iter().map(String::as_str).filter(|field| !field.is_empty()).collect();
    page.paragraph(Ink::Quiet, "", &known.join(" · "));
    page.paragraph(
        Ink::Quiet,
        "",
        &format!("frame data {} · rev. {} · {} · ± is 95 %", title.frame_data, title.revision, title.units),
    );
}

fn answer(page: &mut Lines, sheet: &Sheet) {
    page.gap();
    let answer = &sheet.answer;
    let lead = format!("{} ", tone::mark(answer.tone));
    let headline = format!("{}: {}", tone::words(answer.tone), answer.headline);
    page.paragraph(tone::ink(answer.tone), &lead, &headline);
    page.paragraph(Ink::Plain, "", &answer.sentences.join(" "));
}

fn revisions(page: &mut Lines, sheet: &Sheet) {
    if sheet.revisions.is_empty() {
        return;
    }
    page.heading("Revisions");
    let widest = sheet.revisions.iter().map(|row| columns(&row.label)).max().unwrap_or(0);
    for row in &sheet.revisions {
        let lead = format!("{}  ", row.letter);
        // Values stand in a column of their own where a label leaves room for them.
        let gap = " ".repeat(widest - columns(&row.label) + 2);
        let in_columns = format!("{}{gap}{}", row.label, before_after(row).replace(' ', "\u{a0}"));
        let one_line = columns(&lead) + columns(&in_columns) <= page.width;
        let text = if one_line { in_columns } else { format!("{}: {}", row.label, before_after(row)) };
        page.led(Ink::Change, &lead, Ink::Plain, &text);
    }
}

fn knock_ons(page: &mut Lines, sheet: &Sheet, rows: usize) {
    if sheet.is_of_inspection_alone() {
        return;
    }
    page.gap();
    if sheet.knock_ons.is_empty() {
        page.paragraph(Ink::Plain, "", nothing_moves(sheet));
    } else {
        table::knock_ons(page, sheet, rows);
    }
    let left = sheet.knock_ons.len().saturating_sub(rows);
    if left > 0 {
        page.paragraph(Ink::Quiet, "", &format!("{left} more moved; the whole sheet lists them."));
    } else if rows == usize::MAX && !sheet.unmoved.is_empty() {
        page.paragraph(Ink::Quiet, "", &format!("Did not move: {}.", sheet.unmoved.join(", ")));
    }
}

fn verdicts(page: &mut Lines, sheet: &Sheet) {
    if sheet.verdicts.is_empty() {
        return;
    }
    page.heading("Limits");
    for row in &sheet.verdicts {
        verdict(page, row);
    }
}

fn verdict(page: &mut Lines, row: &VerdictRow) {
    let lead = format!("{}  ", tone::mark(row.tone));
    let name = format!("{}: {}", row.label, tone::words(row.tone));
    page.paragraph(tone::ink(row.tone), &lead, &name);
    page.paragraph(Ink::Plain, "   ", &with_source(&row.sentence, row.source));
}

/// A numbered list under its heading; nothing when it is empty.
pub(crate) fn list(page: &mut Lines, heading: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    page.heading(heading);
    for (index, item) in items.iter().enumerate() {
        page.led(Ink::Quiet, &format!("{:<3}", index + 1), Ink::Plain, item);
    }
}

fn missing(page: &mut Lines, sheet: &Sheet) {
    if sheet.missing.is_empty() {
        return;
    }
    page.heading("Ask the rider");
    for row in &sheet.missing {
        page.led(Ink::Quiet, "?  ", Ink::Plain, &row.ask);
        page.paragraph(Ink::Plain, "   ", &format!("How: {}", row.how));
        page.paragraph(Ink::Quiet, "   ", &format!("Needed for: {}", row.needed_for));
    }
}

fn cautions(page: &mut Lines, sheet: &Sheet) {
    if sheet.cautions.is_empty() {
        return;
    }
    page.gap();
    page.paragraph(Ink::Caution, "", "CAUTION");
    for note in &sheet.cautions {
        page.led(Ink::Caution, "!  ", Ink::Plain, &with_source(&note.text, note.source));
    }
}

fn notes(page: &mut Lines, heading: &str, notes: &[Note]) {
    let texts: Vec<String> = notes.iter().map(|note| with_source(&note.text, note.source)).collect();
    list(page, heading, &texts);
}

fn sources(page: &mut Lines, sheet: &Sheet) {
    if sheet.sources.is_empty() {
        return;
    }
    page.heading("Sources");
    for (index, source) in sheet.sources.iter().enumerate() {
        page.led(Ink::Quiet, &format!("[{}] ", index + 1), Ink::Plain, source);
    }
}

fn with_source(text: &str, source: usize) -> String {
    if source == 0 { text.to_owned() } else { format!("{text} [{source}]") }
}

#[cfg(test)]
mod tests;
