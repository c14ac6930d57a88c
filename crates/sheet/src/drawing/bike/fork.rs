//! The fork: telescopic with stanchion and lower leg, or a rigid blade that sweeps forward to the axle.

use kurbo::{BezPath, Vec2};

use super::{Build, Piece, Shape, block, local, tube};
use crate::drawing::scene::Ink;
use crate::picture::Outline;

pub(super) fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let down = outline.axis_down.normalize();
    let to_axle = outline.front_axle - outline.crown;
    let length = to_axle.dot(down).max(1.0);
    let offset = to_axle - down * length;
    match outline.fork_travel {
        Some(travel) => telescopic(outline, build, down, length, offset, travel),
        None => rigid(outline, build, down, length, offset),
    }
}

fn telescopic(
    outline: &Outline,
    build: &Build,
    down: Vec2,
    length: f64,
    offset: Vec2,
    travel: f64,
) -> Vec<Shape> {
    let k = build.stout;
    // Crown and drop-out share the offset; the leg itself runs parallel to the steering axis.
    let top = outline.crown + offset * 0.62;
    let shown = (travel + 25.0 * k).clamp(40.0 * k, length * 0.5);
    let seal = top + down * shown;
    let foot = seal + down * (20.0 * k);
    let at = local(seal, -down);
    let axle = at.inverse() * outline.front_axle;
    let along = -axle.y;
    // Seal at the top, then a leg that narrows and reaches forward to hold the axle.
    let mut lower = BezPath::new();
    lower.move_to((-24.0 * k, 7.0 * k));
    lower.line_to((-24.0 * k, -16.0 * k));
    lower.line_to((-20.0 * k, -26.0 * k));
    lower.curve_to(
        (-19.0 * k, -along * 0.7),
        (axle.x - 30.0 * k, -along * 0.86),
        (axle.x - 15.0 * k, -along - 6.0 * k),
    );
    lower.curve_to(
        (axle.x - 12.0 * k, -along - 20.0 * k),
        (axle.x + 14.0 * k, -along - 18.0 * k),
        (axle.x + 14.0 * k, -along),
    );
    lower.curve_to((axle.x + 14.0 * k, -along * 0.88), (19.0 * k, -along * 0.8), (20.0 * k, -26.0 * k));
    lower.line_to((24.0 * k, -16.0 * k));
    lower.line_to((24.0 * k, 7.0 * k));
    lower.close_path();
    let shift = offset.hypot() * 0.62;
    let mut crown = BezPath::new();
    crown.move_to((-23.0 * k, 0.0));
    crown.line_to((23.0 * k, 0.0));
    crown.line_to((shift + 25.0 * k, -12.0 * k));
    crown.line_to((shift + 25.0 * k, -40.0 * k));
    crown.line_to((shift - 25.0 * k, -40.0 * k));
    crown.close_path();
    vec![
        Shape::new(Piece::ForkUpper, Ink::Solid, tube(top, foot, 17.0 * k, 17.0 * k)),
        Shape::new(Piece::ForkLower, Ink::Solid, at * lower),
        Shape::new(Piece::ForkCrown, Ink::Solid, local(outline.crown, -down) * crown),
        Shape::circle(Piece::FrontHub, Ink::FineSolid, outline.front_axle, 9.0 * k),
    ]
}

fn rigid(outline: &Outline, build: &Build, down: Vec2, length: f64, offset: Vec2) -> Vec<Shape> {
    let k = build.stout;
    let forward = if offset.hypot() > 0.1 { offset.normalize() } else { Vec2::new(-down.y, down.x) };
    let (top, low) = (19.0 * k, 9.0 * k);
    let start = outline.crown;
    let bend = start + down * (length * 0.72);
    let axle = outline.front_axle;
    let end = axle + (axle - bend).normalize() * (2.0 * k);
    let side = Vec2::new(-(end - bend).y, (end - bend).x).normalize();
    let side = if side.dot(forward) < 0.0 { -side } else { side };
    let mut blade = BezPath::new();
    blade.move_to(start + forward * top);
    blade.quad_to(bend + forward * (low * 1.35), end + side * low);
    blade.line_to(end - side * low);
    blade.quad_to(bend - forward * (low * 1.35), start - forward * top);
    blade.close_path();
    vec![
        Shape::new(Piece::ForkLower, Ink::Solid, blade),
        Shape::new(
            Piece::ForkCrown,
            Ink::Solid,
            block(local(start, -down), 46.0 * k, -22.0 * k, 0.0, 5.0 * k),
        ),
        Shape::circle(Piece::FrontHub, Ink::Solid, axle, 13.0 * k),
        Shape::circle(Piece::FrontHub, Ink::Fine, axle, 6.0 * k),
    ]
}
