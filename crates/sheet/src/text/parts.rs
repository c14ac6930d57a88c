//! The parts that work one thing out in depth, as sentences and tables.

use super::lines::{Ink, Lines};
use super::with_source;
use crate::part::Part;
use crate::report::table;

pub(crate) fn part(page: &mut Lines, part: &Part) {
    page.heading(&part.title);
    for sentence in &part.sentences {
        page.paragraph(Ink::Plain, "", sentence);
    }
    for listed in &part.tables {
        page.gap();
        page.paragraph(Ink::Strong, "", &listed.title);
        let head: Vec<&str> = listed.head.iter().map(String::as_str).collect();
        table(page, &head, &listed.rows);
    }
    page.gap();
    for note in &part.notes {
        page.led(Ink::Quiet, "–  ", Ink::Quiet, &with_source(&note.text, note.source));
    }
}
