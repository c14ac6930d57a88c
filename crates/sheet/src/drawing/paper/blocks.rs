//! Words as rows of known height, before they have a place.

use super::baseline;
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::lettering::Type;
use crate::tie::tied;
use kurbo::Point;

/// A row that is never split.
#[derive(Clone)]
pub struct Row {
    /// What is drawn, from the row's left top corner.
    pub scene: Scene,
    /// Distance to the next row's top.
    pub height: f64,
    /// True for a heading: it stays with what follows.
    pub with_next: bool,
}

/// Rows that belong together, under a head that is repeated where they run on in another column.
#[derive(Clone, Default)]
pub struct Block {
    /// Heading and head of the table.
    pub head: Vec<Row>,
    /// What may be parted between rows.
    pub rows: Vec<Row>,
}

/// Type sizes that go together.
#[derive(Clone, Copy)]
pub struct Words {
    /// Running words.
    pub body: Type,
    /// Their emphasis.
    pub strong: Type,
    /// Headings and heads of tables.
    pub small: Type,
}

impl Words {
    /// All from the size of running words.
    pub fn new(size: u8) -> Self {
        Self { body: Type::regular(size), strong: Type::semibold(size), small: Type::regular(size - 1) }
    }

    /// A heading with a rule below it.
    pub fn heading(self, words: &str, tint: Tint, width: f64) -> Row {
        let face = Type::semibold(self.body.size);
        let mut scene = Scene::default();
        scene.text(Text::level(baseline(0.0, face, 0), Anchor::Start, face, tint, words));
        let y = face.line_height() + 2.0;
        scene.line(Ink::Frame, Point::new(0.0, y), Point::new(width, y));
        Row { scene, height: y + 6.0, with_next: true }
    }
}

/// A paragraph after a hanging mark such as `3` or `[2]`, one row a line.
pub fn hanging(mark: &str, text: &str, face: Type, tint: Tint, width: f64, indent: f64) -> Vec<Row> {
    let lines = face.wrap(&tied(text), width - indent);
    let last = lines.len().saturating_sub(1);
    lines
        .into_iter()
        .enumerate()
        .map(|(index, line)| {
            let mut scene = Scene::default();
            if index == 0 {
                let at = baseline(0.0, face, 0);
                scene.text(Text::level(at, Anchor::Start, face, tint, mark));
            }
            scene.text(Text::level(baseline(indent, face, 0), Anchor::Start, face, tint, line));
            let after = if index == last { 4.0 } else { 0.0 };
            // Short paragraphs are not parted; of long ones no single line stays behind.
            let with_next = index < last && (last < 5 || index == 0 || index + 1 == last);
            Row { scene, height: face.line_height() + after, with_next }
        })
        .collect()
}

/// A paragraph without mark.
pub fn paragraph(text: &str, face: Type, tint: Tint, width: f64) -> Vec<Row> {
    hanging("", text, face, tint, width, 0.0)
}

/// Empty space.
pub fn space(height: f64) -> Row {
    Row { scene: Scene::default(), height, with_next: false }
}

/// `text [3]`; nothing is added for a source of number zero.
pub fn sourced(text: &str, source: usize) -> String {
    if source == 0 { text.to_owned() } else { format!("{text}\u{a0}[{source}]") }
}
