//! Gears, chain, brakes and wheels on sheets after those of the answer: words, drawings and tables that run down columns.

use kurbo::Point;

use super::blocks::{Block, Row, Words, hanging, paragraph, sourced, space};
use super::flow::Flow;
use super::{COLUMN, baseline};
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::drawing::workings;
use crate::figure::NO_SHARE;
use crate::part::{Part, Table};
use crate::tie::tied;

/// Space between two columns of a table.
const GAP: f64 = 12.0;

/// Adds the parts on sheets of their own.
pub fn add(flow: &mut Flow, parts: &[Part], words: Words) {
    if parts.is_empty() {
        return;
    }
    let blocks = parts.iter().flat_map(|part| blocks(part, words)).collect();
    flow.run(blocks, &mut Vec::new());
}

fn blocks(part: &Part, words: Words) -> Vec<Block> {
    let mut said: Vec<Row> =
        part.sentences.iter().flat_map(|text| paragraph(text, words.body, Tint::Ink, COLUMN)).collect();
    said.push(space(8.0));
    let mut all = vec![Block { head: vec![words.heading(&part.title, Tint::Ink, COLUMN)], rows: said }];
    all.extend(part.figures.iter().map(|figure| {
        let (scene, size) = workings::compose(&figure.drawn);
        let times = COLUMN / size.width;
        let mut rows = paragraph(&figure.title, words.strong, Tint::Ink, COLUMN);
        for row in &mut rows {
            row.with_next = true;
        }
        rows.push(Row { scene: scene.scaled(times), height: size.height * times + 4.0, with_next: true });
        rows.extend(paragraph(&figure.caption, words.small, Tint::Quiet, COLUMN));
        rows.push(space(10.0));
        Block { head: Vec::new(), rows }
    }));
    all.extend(part.tables.iter().map(|listed| table(listed, words)));
    let mut notes: Vec<Row> = part
        .notes
        .iter()
        .flat_map(|note| {
            hanging(NO_SHARE, &sourced(&note.text, note.source), words.small, Tint::Quiet, COLUMN, 14.0)
        })
        .collect();
    notes.push(space(16.0));
    all.push(Block { head: Vec::new(), rows: notes });
    all
}

fn table(listed: &Table, words: Words) -> Block {
    let face = words.small;
    let widths: Vec<f64> = (0..listed.head.len())
        .map(|column| {
            let cells = listed.rows.iter().map(|row| face.width(&tied(&row[column])));
            let head = words.small.width(&tied(&listed.head[column]));
            cells.fold(head, f64::max)
        })
        .collect();
    let whole = widths.iter().sum::<f64>() + GAP * (widths.len().saturating_sub(1)) as f64;
    let title = paragraph(&listed.title, words.strong, Tint::Ink, COLUMN);
    let mut rows = if whole <= COLUMN { aligned(listed, words, &widths) } else { folded(listed, words) };
    rows.push(space(10.0));
    Block { head: title, rows }
}

fn aligned(listed: &Table, words: Words, widths: &[f64]) -> Vec<Row> {
    let line = |cells: &[String], tint: Tint, ruled: bool| {
        let mut scene = Scene::default();
        let mut x = 0.0;
        for (at, (cell, width)) in cells.iter().zip(widths).enumerate() {
            let (place, anchor) = if at == 0 { (x, Anchor::Start) } else { (x + width, Anchor::End) };
            scene.text(Text::level(baseline(place, words.small, 0), anchor, words.small, tint, tied(cell)));
            x += width + GAP;
        }
        let height = words.small.line_height() + 2.0;
        if ruled {
            scene.line(Ink::Rule, Point::new(0.0, height), Point::new(x - GAP, height));
        }
        Row { scene, height: height + 2.0, with_next: ruled }
    };
    let head = line(&listed.head, Tint::Quiet, true);
    std::iter::once(head).chain(listed.rows.iter().map(|row| line(row, Tint::Ink, false))).collect()
}

/// For tables wider than a column: each row as a line of its own.
fn folded(listed: &Table, words: Words) -> Vec<Row> {
    let told = |row: &Vec<String>| {
        let cells = row.iter().zip(&listed.head).skip(1).map(|(cell, head)| format!("{head}: {cell}"));
        cells.collect::<Vec<_>>().join(" · ")
    };
    let rows = listed.rows.iter().flat_map(|row| {
        let mut lines = paragraph(&row[0], words.body, Tint::Ink, COLUMN);
        if let Some(last) = lines.last_mut() {
            last.with_next = true;
        }
        lines.extend(hanging("", &told(row), words.small, Tint::Quiet, COLUMN, 14.0));
        lines
    });
    rows.collect()
}
