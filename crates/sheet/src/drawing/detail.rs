//! The detail view: a circled region, enlarged until a small move can be seen.

use kurbo::{Affine, BezPath, Circle, Point, Rect, Vec2};

use super::bike::{Piece, Shape};
use super::lanes::triangle;
use super::scene::{Form, Ink, Item};
use super::style::Style;
use crate::picture::{Outline, Picture};

/// What the detail view shows, in bike millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Region {
    /// Middle of the region.
    pub center: Point,
    /// The place before.
    pub from: Point,
    /// The place after.
    pub to: Point,
    /// Whose place it is, as the caption calls it.
    pub what: &'static str,
}

impl Region {
    /// The first of hand, saddle, bottom bracket and axles that moved; none when nothing did.
    pub fn of(picture: &Picture) -> Option<Self> {
        let (before, after) = (&picture.before, &picture.after);
        let grip = |outline: &Outline| outline.cockpit.as_ref().map(|cockpit| cockpit.grip);
        let places = [
            ("hand", grip(before).zip(grip(after))),
            ("saddle", before.saddle_top.zip(after.saddle_top)),
            ("bottom bracket", Some((before.bottom_bracket, after.bottom_bracket))),
            ("front axle", Some((before.front_axle, after.front_axle))),
            ("rear axle", Some((before.rear_axle, after.rear_axle))),
        ];
        places.into_iter().find_map(|(what, places)| {
            let (from, to) = places?;
            (from.distance(to) > 0.3).then(|| Self { center: from.midpoint(to), from, to, what })
        })
    }

    /// Radius that holds the move with some of what is around it, mm.
    pub fn least_radius(&self) -> f64 {
        let run = self.from.distance(self.to);
        (run * 6.0).clamp(36.0, 58.0).max(run * 0.95)
    }
}

/// Everything inside a circle of the drawing, `scale` units to the millimetre.
pub fn view(
    region: &Region,
    circle: Circle,
    scale: f64,
    before: &[Shape],
    after: &[Shape],
    style: &Style,
) -> Item {
    let map = Affine::translate(circle.center.to_vec2())
        * Affine::scale_non_uniform(scale, -scale)
        * Affine::translate(-region.center.to_vec2());
    let seen = Circle::new(region.center, circle.radius / scale);
    let mut items = Vec::new();
    for shape in after.iter().filter(|shape| reaches_into(shape, seen)) {
        items.push(Item::Drawn(shape.ink, shape.form.mapped(map)));
    }
    // On top, or a small move would hide under the new part.
    for shape in super::elevation::moved(before, after, 0.3 / scale) {
        if reaches_into(shape, seen) && is_outline(shape) {
            items.push(Item::Drawn(Ink::Before, shape.form.mapped(map)));
        }
    }
    items.extend(arrow(map * region.from, map * region.to, style));
    Item::Clipped(circle, items)
}

/// False for parts whose ends lie inside others: drawn on top, they would confuse more than tell.
fn is_outline(shape: &Shape) -> bool {
    let simple = matches!(&shape.form, Form::Path(path) if path.elements().len() <= 6);
    match shape.piece {
        Piece::Stem => false,
        Piece::Bar => !simple,
        _ => true,
    }
}

/// True unless the shape lies wholly outside the circle, or the circle wholly inside a round shape.
fn reaches_into(shape: &Shape, circle: Circle) -> bool {
    let Rect { x0, y0, x1, y1 } = shape.bounds;
    let nearest = Point::new(circle.center.x.clamp(x0, x1), circle.center.y.clamp(y0, y1));
    let apart = match shape.form {
        Form::Circle(round) => round.center.distance(circle.center) + circle.radius < round.radius,
        Form::Path(_) => false,
    };
    nearest.distance(circle.center) <= circle.radius && !apart
}

/// From the old to the new place, with a ring around the old one.
fn arrow(from: Point, to: Point, style: &Style) -> Vec<Item> {
    let run: Vec2 = to - from;
    let length = run.hypot();
    let mut items = vec![Item::Drawn(Ink::Dot, Form::Circle(Circle::new(from, style.arrow * 0.22)))];
    if length < 1.0 {
        return items;
    }
    let direction = run / length;
    let tip = (style.arrow * 1.15).min(length * 0.75);
    let mut shaft = BezPath::new();
    shaft.move_to(from);
    shaft.line_to(to - direction * (tip * 0.8));
    items.push(Item::Drawn(Ink::Motion, Form::Path(shaft)));
    items.push(Item::Drawn(Ink::MotionHead, triangle(to, direction, tip, tip * 0.3)));
    items
}
