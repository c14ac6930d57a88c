//! The words around the drawing: answer and limits at the side, general notes below.

use super::COLUMN;
use super::blocks::{Block, Row, Words, hanging, paragraph, sourced, space};
use super::tables;
use crate::drawing::scene::Tint;
use crate::lettering::Type;
use crate::sheet::{Note, Sheet, Tone};
use crate::tone;

/// Width of the numbers before notes.
const INDENT: f64 = 26.0;

/// Space before a heading.
const BEFORE: f64 = 14.0;

/// Answer, revisions, limits; the cautions too where the notes have no place beside the table.
pub fn beside(sheet: &Sheet, words: Words, with_cautions: bool) -> Vec<Block> {
    let mut blocks = vec![answer(sheet, words)];
    if with_cautions {
        blocks.extend(cautions(sheet, words));
    }
    blocks.extend(tables::revisions(&sheet.revisions, words, COLUMN));
    let mut limits = Vec::new();
    for verdict in &sheet.verdicts {
        let name = format!("{}: {}", verdict.label, tone::words(verdict.tone).to_lowercase());
        limits.extend(paragraph(&name, words.strong, tint(verdict.tone), COLUMN));
        if let Some(last) = limits.last_mut() {
            last.with_next = true;
            last.height -= 4.0;
        }
        let sentence = sourced(&verdict.sentence, verdict.source);
        limits.extend(paragraph(&sentence, words.body, Tint::Ink, COLUMN));
    }
    section(&mut blocks, words, "Limits", Tint::Ink, limits);
    let mut takes = Vec::new();
    for item in &sheet.takes {
        takes.extend(hanging("–", item, words.body, Tint::Ink, COLUMN, INDENT));
    }
    section(&mut blocks, words, "It takes", Tint::Ink, takes);
    blocks
}

fn answer(sheet: &Sheet, words: Words) -> Block {
    let size = words.body.size;
    let large = Type::semibold(size + 10);
    let mut rows = paragraph(&sheet.answer.headline, large, tint(sheet.answer.tone), COLUMN);
    if let Some(last) = rows.last_mut() {
        last.with_next = true;
    }
    let said = sheet.answer.sentences.join(" ");
    rows.extend(paragraph(&said, Type::regular(size + 2), Tint::Ink, COLUMN));
    rows.push(space(BEFORE));
    Block { head: Vec::new(), rows }
}

/// Words tell the outcome; the tint only agrees.
fn tint(tone: Tone) -> Tint {
    match tone {
        Tone::Fits | Tone::NoLimit | Tone::RideWithCheck | Tone::Cosmetic => Tint::Ink,
        Tone::DoesNotFit | Tone::CannotSay | Tone::DoNotRide | Tone::Inspect => Tint::Caution,
        Tone::MeasureFirst => Tint::Change,
    }
}

/// Cautions, what to check, how sure, what to ask, assumptions, sources; numbered through.
pub fn general(sheet: &Sheet, in_full: &[String], words: Words, with_cautions: bool) -> Vec<Block> {
    let mut next = numbers(sheet.cautions.len());
    let mut blocks = if with_cautions { cautions(sheet, words) } else { Vec::new() };
    let plain = |text: &String| text.clone();

    let checks = numbered(sheet.check_first.iter().map(plain), &mut next, words.body, Tint::Ink);
    section(&mut blocks, words, "Check first", Tint::Ink, checks);
    let sure = numbered(sheet.how_sure.iter().map(plain), &mut next, words.body, Tint::Ink);
    section(&mut blocks, words, "How sure", Tint::Ink, sure);
    let asks =
        sheet.missing.iter().map(|row| format!("{} {} Needed for: {}", row.ask, row.how, row.needed_for));
    let asks = numbered(asks, &mut next, words.body, Tint::Ink);
    section(&mut blocks, words, "Ask the rider", Tint::Ink, asks);
    let assumed = numbered(sheet.assumptions.iter().map(noted), &mut next, words.body, Tint::Ink);
    section(&mut blocks, words, "Assumed", Tint::Ink, assumed);
    let full = numbered(in_full.iter().map(plain), &mut next, words.body, Tint::Ink);
    section(&mut blocks, words, "Title block in full", Tint::Ink, full);
    let mut sources = Vec::new();
    for (index, source) in sheet.sources.iter().enumerate() {
        let mark = format!("[{}]", index + 1);
        sources.extend(hanging(&mark, source, words.small, Tint::Ink, COLUMN, INDENT + 6.0));
    }
    section(&mut blocks, words, "Sources", Tint::Ink, sources);
    blocks
}

/// The cautions, whole, before every other note.
fn cautions(sheet: &Sheet, words: Words) -> Vec<Block> {
    let mut next = numbers(0);
    let mut blocks = Vec::new();
    let rows = numbered(sheet.cautions.iter().map(noted), &mut next, words.strong, Tint::Caution);
    section(&mut blocks, words, "Caution", Tint::Caution, rows);
    blocks
}

fn noted(note: &Note) -> String {
    sourced(&note.text, note.source)
}

/// Counts on from `last`.
fn numbers(last: usize) -> impl FnMut() -> String {
    let mut number = last;
    move || {
        number += 1;
        number.to_string()
    }
}

fn numbered(
    texts: impl Iterator<Item = String>,
    next: &mut impl FnMut() -> String,
    face: Type,
    tint: Tint,
) -> Vec<Row> {
    texts.flat_map(|text| hanging(&next(), &text, face, tint, COLUMN, INDENT)).collect()
}

/// Adds a block under a heading, unless it is empty. Where it runs on, the heading is repeated.
fn section(blocks: &mut Vec<Block>, words: Words, name: &str, tint: Tint, mut rows: Vec<Row>) {
    if rows.is_empty() {
        return;
    }
    if let Some(last) = rows.last_mut() {
        last.height += BEFORE;
    }
    blocks.push(Block { head: vec![words.heading(name, tint, COLUMN)], rows });
}
