//! The table of revisions and the table of what moves.

use kurbo::Point;

use super::baseline;
use super::blocks::{Block, Row, Words, hanging, paragraph, space};
use crate::drawing::flags;
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::drawing::style::Style;
use crate::figure::{NO_SHARE, before_after, figure, plus_minus, ride_cell};
use crate::lettering::Type;
use crate::ride::Ride;
use crate::sheet::{KnockOnRow, RevisionRow, Sheet};
use crate::tie::tied;

/// A table and the width that it asks for.
pub struct Table {
    /// The table, and what follows it.
    pub blocks: Vec<Block>,
    /// Natural width.
    pub width: f64,
}

/// Space between columns.
const APART: f64 = 12.0;

/// Widest a column of figures gets before its words wrap.
const WIDEST: f64 = 110.0;

/// Least width of the column of names.
const NAME: f64 = 150.0;

/// One cell: its words, how they are set, and which edge they stand on.
struct Cell {
    words: String,
    face: Type,
    tint: Tint,
    anchor: Anchor,
}

impl Cell {
    fn new(words: &str, face: Type, tint: Tint, anchor: Anchor) -> Self {
        Self { words: tied(words), face, tint, anchor }
    }
}

/// Most lines of a row; what is longer goes on in a further row.
const MOST_LINES: usize = 30;

/// A row of cells, each wrapped into its column `(left, width)`, with a rule below.
fn row(cells: &[Cell], columns: &[(f64, f64)], rule: Ink) -> Vec<Row> {
    let wrapped: Vec<Vec<String>> =
        cells.iter().zip(columns).map(|(cell, column)| cell.face.wrap(&cell.words, column.1)).collect();
    let longest = wrapped.iter().map(Vec::len).max().unwrap_or(0).max(1);
    let parts = longest.div_ceil(MOST_LINES);
    let mut rows = Vec::new();
    for part in 0..parts {
        let mut scene = Scene::default();
        let mut height: f64 = 0.0;
        for ((cell, &(left, width)), lines) in cells.iter().zip(columns).zip(&wrapped) {
            for (index, line) in lines.iter().skip(part * MOST_LINES).take(MOST_LINES).enumerate() {
                let x = if cell.anchor == Anchor::End { left + width } else { left };
                let at = baseline(x, cell.face, index);
                scene.text(Text::level(at, cell.anchor, cell.face, cell.tint, line));
                height = height.max((index + 1) as f64 * cell.face.line_height());
            }
        }
        if part + 1 == parts {
            let end = columns.last().map_or(0.0, |(left, width)| left + width);
            scene.line(rule, Point::new(0.0, height + 3.0), Point::new(end, height + 3.0));
            height += 8.0;
        }
        rows.push(Row { scene, height, with_next: false });
    }
    rows
}

/// Lettered revisions with their flags.
pub fn revisions(rows: &[RevisionRow], words: Words, width: f64) -> Option<Block> {
    if rows.is_empty() {
        return None;
    }
    let style = Style { flag: f64::from(words.body.size) * 0.78, ..Style::PAPER };
    let change = |row: &RevisionRow| tied(&before_after(row));
    let widest = rows.iter().map(|row| words.body.width(&change(row))).fold(0.0, f64::max);
    let last = widest.clamp(90.0, width * 0.5);
    let columns = [(0.0, 40.0), (44.0, width - 44.0 - last - APART), (width - last, last)];
    let head = |text, anchor| Cell::new(text, words.small, Tint::Quiet, anchor);
    let heads =
        [head("Rev.", Anchor::Start), head("Change", Anchor::Start), head("before → after", Anchor::End)];
    let body = rows.iter().flat_map(|revision| {
        let cells = [
            Cell::new("", words.body, Tint::Ink, Anchor::Start),
            Cell::new(&revision.label, words.body, Tint::Ink, Anchor::Start),
            Cell::new(&change(revision), words.body, Tint::Ink, Anchor::End),
        ];
        let mut rows = row(&cells, &columns, Ink::Rule);
        let middle = Point::new(style.flag + 1.0, words.body.line_height() * 0.46);
        flags::draw_one(&mut rows[0].scene, middle, revision.letter, &style);
        rows
    });
    let mut rows: Vec<Row> = body.collect();
    rows.push(space(12.0));
    Some(Block { head: row(&heads, &columns, Ink::Frame), rows })
}

/// What moves, and the names of what does not.
pub fn knock_ons(sheet: &Sheet, words: Words, most: f64) -> Table {
    let mut blocks = Vec::new();
    let least = most - super::GUTTER - super::COLUMN;
    let mut width = least;
    if sheet.knock_ons.is_empty() {
        let said = paragraph(crate::figure::nothing_moves(sheet), words.body, Tint::Ink, least);
        blocks.push(Block { head: vec![words.heading("What moves", Tint::Ink, least)], rows: said });
    } else {
        let (block, asked) = moved(sheet, words, most);
        width = asked.max(least);
        blocks.push(block);
    }
    if !sheet.unmoved.is_empty() {
        let names = format!("Did not move: {}.", sheet.unmoved.join(", "));
        let mut rows = vec![space(6.0)];
        rows.extend(paragraph(&names, words.small, Tint::Quiet, least));
        blocks.push(Block { head: Vec::new(), rows });
    }
    Table { blocks, width }
}

fn moved(sheet: &Sheet, words: Words, most: f64) -> (Block, f64) {
    // With a single revision its share is the difference itself.
    let shared = if sheet.revisions.len() > 1 { sheet.revisions.as_slice() } else { &[] };
    let mut heads: Vec<String> = ["Knock-on", "before", "after", "diff.", "±"].map(str::to_owned).to_vec();
    heads.extend(shared.iter().map(|revision| revision.letter.to_string()));
    heads.push("noticed?".to_owned());
    let table: Vec<Vec<String>> = sheet.knock_ons.iter().map(|row| texts(row, shared.len())).collect();
    let natural = |column: usize, face: Type| {
        let widest = table.iter().map(|row| face.width(&tied(&row[column]))).fold(0.0, f64::max);
        widest.max(words.small.width(&heads[column])).ceil()
    };
    let mut widths: Vec<f64> =
        (0..heads.len()).map(|column| natural(column, words.strong).min(WIDEST)).collect();
    let figures: f64 = widths[1..].iter().map(|width| width + APART).sum();
    let least = most - super::GUTTER - super::COLUMN;
    // Beside the notes when names may wrap there, else as wide as it likes.
    let total = if NAME + figures <= least {
        least
    } else {
        (natural(0, words.body).clamp(NAME, 260.0) + figures).clamp(least, most)
    };
    let in_columns = NAME + figures <= most;
    if !in_columns {
        // Too many revisions for a column each: their shares go on a line of their own.
        widths.drain(5..5 + shared.len());
        heads.drain(5..5 + shared.len());
    }
    let figures: f64 = widths[1..].iter().map(|width| width + APART).sum();
    widths[0] = total - figures;
    let mut left = 0.0;
    let columns: Vec<(f64, f64)> = widths
        .iter()
        .map(|width| {
            let column = (left, *width);
            left += width + APART;
            column
        })
        .collect();
    let side = |column: usize| if column == 0 { Anchor::Start } else { Anchor::End };
    let head: Vec<Cell> = heads
        .iter()
        .enumerate()
        .map(|(column, text)| Cell::new(text, words.small, Tint::Quiet, side(column)))
        .collect();
    let mut rows = Vec::new();
    for (texts, knock_on) in table.into_iter().zip(&sheet.knock_ons) {
        let mut kept = texts;
        if !in_columns {
            kept.drain(5..5 + shared.len());
        }
        let cells: Vec<Cell> = kept
            .iter()
            .enumerate()
            .map(|(column, text)| match column {
                3 => Cell::new(text, words.strong, Tint::Change, Anchor::End),
                _ => Cell::new(text, words.body, Tint::Ink, side(column)),
            })
            .collect();
        rows.extend(row(&cells, &columns, Ink::Rule));
        if !in_columns {
            let last = rows.len() - 1;
            rows[last].with_next = true;
            let shares = shares_line(knock_on, sheet);
            rows.extend(hanging("", &shares, words.small, Tint::Quiet, total, 14.0));
        }
    }
    (Block { head: row(&head, &columns, Ink::Frame), rows }, total)
}

/// Figures at full extension, at sag and at full travel, on a table of this width.
pub fn through_the_travel(ride: &Ride, words: Words, width: f64) -> Vec<Block> {
    if ride.rows.is_empty() {
        return Vec::new();
    }
    let figures = (width - 2.0 * NAME) / 3.0 - APART;
    let columns: Vec<(f64, f64)> = (0..4)
        .map(|column| match column {
            0 => (0.0, 2.0 * NAME),
            column => (2.0 * NAME + APART + f64::from(column - 1) * (figures + APART), figures),
        })
        .collect();
    let cells = |name: &str, figures: [&str; 3], face: Type, tint: Tint| {
        let figures = figures.map(|figure| Cell::new(figure, face, tint, Anchor::End));
        [Cell::new(name, face, tint, Anchor::Start)].into_iter().chain(figures).collect::<Vec<_>>()
    };
    let heads = ["full extension", "sag", "full travel"];
    let head = cells("Through the travel", heads, words.small, Tint::Quiet);
    let mut rows: Vec<Row> = ride
        .rows
        .iter()
        .flat_map(|line| {
            let told = line.cells.each_ref().map(|cell| ride_cell(cell, &line.unit));
            let told = told.each_ref().map(|text| if text.is_empty() { "–" } else { text.as_str() });
            row(&cells(&line.label, told, words.body, Tint::Ink), &columns, Ink::Rule)
        })
        .collect();
    rows.extend(paragraph(&ride.note, words.small, Tint::Quiet, width));
    rows.push(space(12.0));
    vec![Block { head: row(&head, &columns, Ink::Frame), rows }]
}

/// The cells of a row in words.
fn texts(row: &KnockOnRow, shares: usize) -> Vec<String> {
    let of_row = |value: &str| figure(value, &row.unit);
    let mut texts = vec![
        row.label.clone(),
        of_row(&row.before),
        of_row(&row.after),
        of_row(&row.difference),
        plus_minus(row),
    ];
    texts.extend((0..shares).map(|index| of_row(row.shares.get(index).map_or(NO_SHARE, String::as_str))));
    texts.push(row.noticed.clone());
    texts
}

/// "A +10 · B −14", leaving out revisions without a share.
fn shares_line(row: &KnockOnRow, sheet: &Sheet) -> String {
    let shares = sheet.revisions.iter().zip(&row.shares).filter(|(_, share)| *share != NO_SHARE);
    let shares: Vec<String> = shares
        .map(|(revision, share)| format!("{}\u{a0}{}", revision.letter, figure(share, &row.unit)))
        .collect();
    shares.join(", ")
}
