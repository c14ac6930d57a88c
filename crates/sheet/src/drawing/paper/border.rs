//! Edge, frame, grid reference and centring marks of one sheet (ISO 5457).

use kurbo::{Point, Rect, Vec2};

use super::{FRAME, PAGE};
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::lettering::Type;

/// Width of the border that carries the grid reference: 5 mm.
const BORDER: f64 = 20.0;

/// Length of a field of the grid: 50 mm, counted from the sheet's middle.
const FIELD: f64 = 200.0;

/// Draws everything of an empty sheet whose corner is at `corner`.
pub fn draw(scene: &mut Scene, corner: Vec2) {
    let edge = Rect::from_origin_size(Point::ZERO, PAGE);
    let outer = FRAME.inflate(BORDER, BORDER);
    let mut sheet = Scene::default();
    sheet.rect(Ink::Paper, edge);
    sheet.rect(Ink::Dimension, outer);
    sheet.rect(Ink::Frame, FRAME);
    fields(&mut sheet, outer);
    let middle = FRAME.center();
    for (from, to) in [
        (Point::new(middle.x, outer.y0), Point::new(middle.x, FRAME.y0 + 10.0)),
        (Point::new(middle.x, outer.y1), Point::new(middle.x, FRAME.y1 - 10.0)),
        (Point::new(outer.x0, middle.y), Point::new(FRAME.x0 + 10.0, middle.y)),
        (Point::new(outer.x1, middle.y), Point::new(FRAME.x1 - 10.0, middle.y)),
    ] {
        sheet.line(Ink::Frame, from, to);
    }
    scene.place(sheet, corner);
}

/// Numbers along the long edges, letters down the short ones, without I and O.
fn fields(sheet: &mut Scene, outer: Rect) {
    let face = Type::regular(11);
    let name = |at: Point, words: String| {
        let at = at + Vec2::new(0.0, f64::from(face.size) * 0.349);
        Text::level(at, Anchor::Middle, face, Tint::Quiet, words)
    };
    for (index, (start, end)) in spans(FRAME.x0, FRAME.x1).into_iter().enumerate() {
        for (near, far) in [(outer.y0, FRAME.y0), (FRAME.y1, outer.y1)] {
            let middle = Point::new(f64::midpoint(start, end), f64::midpoint(near, far));
            sheet.text(name(middle, (index + 1).to_string()));
            if index > 0 {
                sheet.line(Ink::Dimension, Point::new(start, near), Point::new(start, far));
            }
        }
    }
    let letters = ('A'..='Z').filter(|letter| !matches!(letter, 'I' | 'O'));
    for (letter, (index, (start, end))) in letters.zip(spans(FRAME.y0, FRAME.y1).into_iter().enumerate()) {
        for (near, far) in [(outer.x0, FRAME.x0), (FRAME.x1, outer.x1)] {
            let middle = Point::new(f64::midpoint(near, far), f64::midpoint(start, end));
            sheet.text(name(middle, letter.to_string()));
            if index > 0 {
                sheet.line(Ink::Dimension, Point::new(near, start), Point::new(far, start));
            }
        }
    }
}

/// Fields from the middle outward; what is left at the ends belongs to the last fields.
fn spans(low: f64, high: f64) -> Vec<(f64, f64)> {
    let middle = f64::midpoint(low, high);
    let half = ((high - middle) / FIELD).round().max(1.0) as i32;
    let mut marks: Vec<f64> = (-half + 1..half).map(|step| middle + f64::from(step) * FIELD).collect();
    marks.insert(0, low);
    marks.push(high);
    marks.windows(2).map(|pair| (pair[0], pair[1])).collect()
}
