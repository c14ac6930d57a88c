//! The title block at the bottom right (fields after ISO 7200), and its strip on further sheets.

use kurbo::{Point, Rect, Size};

use super::{COLUMN, Part, scale_name};
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::lettering::{ASCENT, Type};
use crate::sheet::TitleBlock;
use crate::tie::tied;

/// Width, up to the frame.
const WIDTH: f64 = COLUMN + 26.0;

/// Free space inside a field.
const PAD: f64 = 9.0;

/// Most lines of a field; what is longer is told in full in the notes.
const MOST_LINES: usize = 3;

/// One field before it has a place.
struct Field<'a> {
    label: &'a str,
    value: String,
    face: Type,
    share: f64,
}

/// The whole block. `ratio` is the drawing's reduction, when there is a drawing.
pub fn lay_out(title: &TitleBlock, ratio: Option<f64>) -> Part {
    let body = Type::regular(15);
    let field = |label, value: &str, share| Field { label, value: tied(value), face: body, share };
    let said = |value: &str| if value.trim().is_empty() { "–".to_owned() } else { value.to_owned() };
    let scale = ratio.map_or_else(|| "–".to_owned(), scale_name);
    let question = Field { face: question_type(&title.question), ..field("Question", &title.question, 1.0) };
    let rows = [
        vec![question],
        vec![field("Bike", &said(&title.bike), 0.55), field("Workshop", &said(&title.workshop), 0.45)],
        vec![
            field("Drawn", &said(&title.drawn), 0.4),
            field("Scale", &scale, 0.25),
            field("Sheet", &said(&title.sheet), 0.35),
        ],
        vec![
            field("Units", &format!("{} · side view", title.units), 0.4),
            field("Frame data", &said(&title.frame_data), 0.45),
            field("Rev.", &said(&title.revision), 0.15),
        ],
    ];
    let mut scene = Scene::default();
    let mut in_full = Vec::new();
    let mut y = 0.0;
    for row in rows {
        let height = row.iter().map(|field| height(field, &mut in_full)).fold(0.0, f64::max);
        let mut x = 0.0;
        for field in &row {
            let width = field.share * WIDTH;
            draw(&mut scene, field, Rect::new(x, y, x + width, y + height));
            x += width;
        }
        y += height;
    }
    scene.rect(Ink::Frame, Rect::new(0.0, 0.0, WIDTH, y));
    Part { scene, size: Size::new(WIDTH, y), in_full }
}

/// A long question is set smaller.
fn question_type(question: &str) -> Type {
    let fits = |size: &u8| Type::semibold(*size).wrap(&tied(question), WIDTH - 2.0 * PAD).len() <= 2;
    Type::semibold([22, 20, 18, 16].into_iter().find(fits).unwrap_or(15))
}

/// The lines of a field, the last one cut with "…" where there are too many.
fn lines(field: &Field) -> (Vec<String>, bool) {
    let width = field.share * WIDTH - 2.0 * PAD;
    let mut lines = field.face.wrap(&field.value, width);
    let cut = lines.len() > MOST_LINES;
    if cut {
        lines.truncate(MOST_LINES);
        if let Some(last) = lines.last_mut() {
            while field.face.width(&format!("{last}…")) > width {
                last.pop();
            }
            last.push('…');
        }
    }
    (lines, cut)
}

fn height(field: &Field, in_full: &mut Vec<String>) -> f64 {
    let (lines, cut) = lines(field);
    if cut {
        in_full.push(format!("{}: {}", field.label, field.value));
    }
    label_type().line_height() + lines.len().max(1) as f64 * field.face.line_height() + PAD * 1.1
}

fn label_type() -> Type {
    Type::regular(11)
}

fn draw(scene: &mut Scene, field: &Field, rect: Rect) {
    scene.rect(Ink::Dimension, rect);
    let face = label_type();
    let x = rect.x0 + PAD;
    let mut y = rect.y0 + PAD * 0.5;
    let at = |y: f64, face: Type| Point::new(x, y + ASCENT * f64::from(face.size));
    scene.text(Text::level(at(y, face), Anchor::Start, face, Tint::Quiet, field.label));
    y += face.line_height();
    for line in lines(field).0 {
        scene.text(Text::level(at(y, field.face), Anchor::Start, field.face, Tint::Ink, line));
        y += field.face.line_height();
    }
}

/// What says on a further sheet which drawing it belongs to.
pub fn strip(title: &TitleBlock, page: usize, pages: usize) -> Part {
    let body = Type::regular(14);
    let field = |label, value: String, share| Field { label, value: tied(&value), face: body, share };
    let page_name = format!("{} of {pages}", page + 1);
    let row = [field("Question", one_line(&title.question, body), 0.78), field("Page", page_name, 0.22)];
    let mut scene = Scene::default();
    let height = row.iter().map(|field| height(field, &mut Vec::new())).fold(0.0, f64::max);
    let mut x = 0.0;
    for field in &row {
        let width = field.share * WIDTH;
        draw(&mut scene, field, Rect::new(x, 0.0, x + width, height));
        x += width;
    }
    scene.rect(Ink::Frame, Rect::new(0.0, 0.0, WIDTH, height));
    Part { scene, size: Size::new(WIDTH, height), in_full: Vec::new() }
}

/// As much of a text as fits on the strip's one line; the first sheet has it in full.
fn one_line(text: &str, face: Type) -> String {
    let width = 0.78 * WIDTH - 2.0 * PAD;
    let lines = face.wrap(&tied(text), width - face.width(" …"));
    let more = lines.len() > 1;
    let first = lines.into_iter().next().unwrap_or_default();
    if more { format!("{first}\u{a0}…") } else { first }
}
