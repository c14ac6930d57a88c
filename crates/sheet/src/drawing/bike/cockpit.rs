//! Spacers, stem, bar and grips.

use kurbo::{Affine, BezPath, Point, StrokeOpts, Vec2};

use super::{Build, Piece, Shape, block, local, tube};
use crate::drawing::scene::Ink;
use crate::picture::{CockpitOutline, Outline};

pub(super) fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let Some(cockpit) = &outline.cockpit else { return Vec::new() };
    let up = -outline.axis_down.normalize();
    let mut shapes = stack(outline, cockpit, build, up);
    if cockpit.drop_bar {
        // The bar runs through the clamp, the hoods stand in front of it.
        shapes.extend(drop_bar(cockpit, build));
        shapes.extend(stem(cockpit, build));
    } else {
        shapes.extend(flat_bar_tube(cockpit));
        shapes.extend(stem(cockpit, build));
        shapes.extend(flat_grip(cockpit, build));
    }
    shapes
}

/// Spacers below the stem, the steerer clamp, spacers above and the top cap.
fn stack(outline: &Outline, cockpit: &CockpitOutline, build: &Build, up: Vec2) -> Vec<Shape> {
    let k = build.stout;
    let half = cockpit.clamp_height / 2.0;
    let base = outline.head_tube_top + up * outline.upper_stack;
    let low = cockpit.stem_clamp - up * half;
    let high = cockpit.stem_clamp + up * half;
    let mut rings = BezPath::new();
    // From the headset to the clamp as the outline has them, so that no gap and no overlap is drawn.
    rings.extend(spacers(base, up, (low - base).dot(up), 18.0 * k));
    rings.extend(spacers(high, up, cockpit.spacers_above, 18.0 * k));
    let mut shapes = Vec::new();
    if !rings.is_empty() {
        shapes.push(Shape::new(Piece::Spacers, Ink::Solid, rings));
    }
    let cap = local(high + up * cockpit.spacers_above, up);
    shapes.push(Shape::new(Piece::Spacers, Ink::Solid, block(cap, 34.0 * k, 0.0, 5.0, 2.0)));
    let map = local(cockpit.stem_clamp, up);
    shapes.push(Shape::new(Piece::Stem, Ink::Solid, block(map, 44.0 * k, -half, half, 3.0)));
    shapes
}

/// Rings of at most ten millimetres, stacked up to `height`.
fn spacers(base: Point, up: Vec2, height: f64, half: f64) -> BezPath {
    let mut rings = BezPath::new();
    if height < 0.5 {
        return rings;
    }
    let count = (height / 10.0).ceil().clamp(1.0, 12.0);
    let each = height / count;
    for ring in 0..count as usize {
        let low = base + up * (each * ring as f64);
        rings.extend(tube(low, low + up * each, half, half));
    }
    rings
}

fn stem(cockpit: &CockpitOutline, build: &Build) -> Vec<Shape> {
    let k = build.stout;
    let clamp = cockpit.bar_diameter / 2.0 + 6.0;
    let mut shapes = Vec::new();
    let reach = cockpit.bar_clamp - cockpit.stem_clamp;
    if reach.hypot() > 1.0 {
        let start = cockpit.stem_clamp + reach * (14.0 * k / reach.hypot()).min(0.5);
        let half = (cockpit.clamp_height * 0.42).clamp(8.0, 19.0);
        shapes.push(Shape::new(Piece::Stem, Ink::Solid, tube(start, cockpit.bar_clamp, half, half * 0.85)));
    }
    shapes.push(Shape::circle(Piece::BarClamp, Ink::Solid, cockpit.bar_clamp, clamp));
    shapes.push(Shape::circle(Piece::BarClamp, Ink::Fine, cockpit.bar_clamp, cockpit.bar_diameter / 2.0));
    shapes
}

fn flat_bar_tube(cockpit: &CockpitOutline) -> Option<Shape> {
    let run = cockpit.grip - cockpit.bar_clamp;
    (run.hypot() > 1.0)
        .then(|| Shape::new(Piece::Bar, Ink::Solid, tube(cockpit.bar_clamp, cockpit.grip, 14.0, 11.5)))
}

/// The grip seen end-on, and a brake lever below it.
fn flat_grip(cockpit: &CockpitOutline, build: &Build) -> Vec<Shape> {
    let k = build.stout.max(0.75);
    let map = Affine::translate(cockpit.grip.to_vec2()) * Affine::scale(k);
    let mut lever = BezPath::new();
    lever.move_to((8.0, 6.0));
    lever.curve_to((34.0, 2.0), (50.0, -10.0), (66.0, -36.0));
    lever.line_to((58.0, -41.0));
    lever.curve_to((44.0, -22.0), (30.0, -14.0), (6.0, -10.0));
    lever.close_path();
    vec![
        Shape::new(Piece::Lever, Ink::FineSolid, map * lever),
        Shape::circle(Piece::Grip, Ink::Solid, cockpit.grip, 16.0 * k),
        Shape::circle(Piece::Grip, Ink::Fine, cockpit.grip, 11.0 * k),
    ]
}

/// A drop bar whose hoods hold the hand, with the drop below and behind them.
fn drop_bar(cockpit: &CockpitOutline, build: &Build) -> Vec<Shape> {
    let k = build.saddle;
    let clamp = cockpit.bar_clamp;
    let grip = cockpit.grip;
    let front = grip.x - clamp.x;
    let ramp = Point::new(clamp.x + front * 0.55, clamp.y + (grip.y - clamp.y) * 0.35);
    let bend = Point::new(grip.x + 4.0 * k, grip.y - 30.0 * k);
    let bottom = clamp.y.min(grip.y - 30.0 * k) - 112.0 * k;
    // The bend leaves in the direction in which the ramp arrives: no kink in the tube.
    let onward = (bend - ramp).normalize() * (34.0 * k);
    let mut line = BezPath::new();
    line.move_to(clamp);
    line.quad_to(ramp, bend);
    line.curve_to(
        bend + onward,
        Point::new(bend.x + 34.0 * k, bottom),
        Point::new(bend.x - 44.0 * k, bottom),
    );
    line.line_to(Point::new(clamp.x.min(bend.x - 60.0 * k) - 4.0 * k, bottom - 4.0));
    let stroke = kurbo::Stroke::new(24.0 * k).with_caps(kurbo::Cap::Butt).with_join(kurbo::Join::Round);
    let bar = kurbo::stroke(line, &stroke, &StrokeOpts::default(), 0.6);
    let map = Affine::translate(grip.to_vec2()) * Affine::scale(k);
    let mut hood = BezPath::new();
    hood.move_to((-40.0, -13.0));
    hood.curve_to((-18.0, -2.0), (4.0, 0.0), (20.0, 6.0));
    hood.curve_to((28.0, 12.0), (32.0, 32.0), (43.0, 32.0));
    hood.curve_to((55.0, 32.0), (57.0, 18.0), (54.0, 4.0));
    hood.curve_to((51.0, -14.0), (44.0, -30.0), (36.0, -46.0));
    hood.line_to((14.0, -40.0));
    hood.curve_to((4.0, -30.0), (-14.0, -28.0), (-38.0, -33.0));
    hood.close_path();
    let mut lever = BezPath::new();
    lever.move_to((46.0, -2.0));
    lever.curve_to((58.0, -40.0), (56.0, -80.0), (38.0, -122.0));
    lever.line_to((30.0, -119.0));
    lever.curve_to((42.0, -84.0), (42.0, -50.0), (30.0, -26.0));
    lever.close_path();
    vec![
        Shape::new(Piece::Lever, Ink::FineSolid, map * lever),
        Shape::new(Piece::Bar, Ink::Solid, bar),
        Shape::new(Piece::Grip, Ink::Solid, map * hood),
    ]
}
