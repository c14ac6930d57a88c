//! Plain text: the whole sheet, and the message to the rider.

use super::{Heading, Inspection, NO_EYES, SIGNATURES, heading};
use crate::text::lines::{Ink, Lines};
use crate::text::{Style, list};
use crate::tone;

/// The whole sheet, wrapped to `width` columns (at least 20).
pub fn text(inspection: &Inspection, about: &Heading, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    let known = [&about.bike, &about.workshop, &about.drawn].into_iter().filter(|field| !field.is_empty());
    let known: Vec<&str> = known.map(String::as_str).collect();
    page.paragraph(Ink::Quiet, "", &known.join(" · "));
    section(&mut page, inspection);
    cautions(&mut page, inspection);
    page.heading(heading::SIGNATURES);
    for line in SIGNATURES {
        page.paragraph(Ink::Plain, "", line);
        page.gap();
        page.line(&[(Ink::Quiet, &"_".repeat(page.width.min(48)))]);
    }
    page.heading("Sources");
    for (index, source) in inspection.sources.iter().enumerate() {
        page.led(Ink::Quiet, &format!("[{}] ", index + 1), Ink::Plain, source);
    }
    page.finish()
}

/// What the rider is told: the outcome, why, when to look again, and every caution.
pub fn message(inspection: &Inspection, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    outcome(&mut page, inspection);
    page.paragraph(Ink::Plain, "", &inspection.rider);
    if let Some(interval) = &inspection.interval {
        page.paragraph(Ink::Plain, "", &format!("{}: {interval}.", heading::INTERVAL));
    }
    cautions(&mut page, inspection);
    page.finish()
}

/// The inspection as a part of a page; its cautions stand with the others of the page.
pub(crate) fn section(page: &mut Lines, inspection: &Inspection) {
    page.gap();
    page.paragraph(Ink::Strong, "", &inspection.title);
    page.paragraph(Ink::Quiet, "", &inspection.about());
    page.gap();
    outcome(page, inspection);
    list(page, heading::BECAUSE, &inspection.because);
    list(page, heading::ACTIONS, &inspection.actions);
    page.heading(heading::RIDER);
    page.paragraph(Ink::Plain, "", &inspection.rider);
    if let Some(interval) = &inspection.interval {
        page.heading(heading::INTERVAL);
        page.paragraph(Ink::Plain, "", &format!("{interval}."));
    }
    page.heading(heading::FOUND);
    for row in &inspection.found {
        page.paragraph(Ink::Quiet, "", &row.ask);
        page.led(Ink::Plain, "   ", Ink::Plain, &row.answer);
        if !row.note.is_empty() {
            page.led(Ink::Quiet, "   ", Ink::Quiet, &row.note);
        }
    }
    if inspection.found.is_empty() {
        page.paragraph(Ink::Plain, "", "Nothing yet.");
    }
    bullets(page, heading::UNCHECKED, &inspection.unchecked);
    bullets(page, heading::NOT_SEEN, &inspection.not_seen);
    page.heading(heading::QUALIFIED);
    page.paragraph(Ink::Plain, "", &inspection.qualified);
    if !inspection.photos.is_empty() {
        page.heading(heading::PHOTOS);
        for photo in &inspection.photos {
            page.led(
                Ink::Quiet,
                "·  ",
                Ink::Plain,
                if photo.caption.is_empty() { "Photo" } else { &photo.caption },
            );
            for mark in &photo.marks {
                page.led(Ink::Quiet, "   ", Ink::Plain, &mark.to_string());
            }
        }
        page.paragraph(Ink::Quiet, "", NO_EYES);
    }
}

fn outcome(page: &mut Lines, inspection: &Inspection) {
    let tone = inspection.tone();
    let ink = tone::ink(tone);
    let said = inspection.graded();
    page.led(ink, &format!("{} ", tone::mark(tone)), ink, &said);
    if let Some(open) = inspection.open() {
        page.paragraph(Ink::Strong, "", open);
    }
}

fn bullets(page: &mut Lines, heading: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    page.heading(heading);
    for item in items {
        page.led(Ink::Quiet, "·  ", Ink::Plain, item);
    }
}

fn cautions(page: &mut Lines, inspection: &Inspection) {
    page.gap();
    page.paragraph(Ink::Caution, "", "CAUTION");
    for note in &inspection.cautions {
        page.led(Ink::Caution, "!  ", Ink::Plain, &note.text);
    }
}
