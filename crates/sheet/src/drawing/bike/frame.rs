//! Frame tubes, stays or swing-arm, and the parts around the bottom bracket.

use kurbo::{Point, Vec2};

use super::{Build, Piece, Shape, block, local, polygon, tube};
use crate::drawing::scene::Ink;
use crate::picture::Outline;

/// Where the tubes meet.
struct Joints {
    /// Up the seat line.
    seat_up: Vec2,
    /// Top end of the seat tube.
    seat_top: Point,
    /// Where the top tube meets it.
    top_tube: Point,
    /// Where the top tube meets the head tube.
    head_high: Point,
    /// Where the down tube meets the head tube.
    head_low: Point,
}

impl Joints {
    fn of(outline: &Outline, build: &Build) -> Self {
        let k = build.stout;
        let bb = outline.bottom_bracket;
        let seat_up = outline.seat_up.normalize();
        let seat_top = bb + seat_up * build.seat_tube;
        let head = outline.head_tube_bottom - outline.head_tube_top;
        Self {
            seat_up,
            seat_top,
            top_tube: bb + seat_up * (build.seat_tube - 34.0 * k).max(build.seat_tube * 0.6),
            head_high: outline.head_tube_top + head * (28.0 * k / head.hypot().max(1.0)).min(0.34),
            head_low: outline.head_tube_bottom - head * (34.0 * k / head.hypot().max(1.0)).min(0.36),
        }
    }
}

pub(super) fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let k = build.stout;
    let bb = outline.bottom_bracket;
    let joints = Joints::of(outline, build);
    let mut shapes = rear(outline, build, &joints);
    shapes.push(Shape::new(Piece::DownTube, Ink::Solid, tube(joints.head_low, bb, 23.0 * k, 25.0 * k)));
    shapes.push(Shape::new(
        Piece::TopTube,
        Ink::Solid,
        tube(joints.head_high, joints.top_tube, 20.0 * k, 16.0 * k),
    ));
    shapes.extend(seat_post(outline, build, &joints));
    shapes.push(Shape::new(Piece::SeatTube, Ink::Solid, tube(bb, joints.seat_top, 19.0 * k, 17.0 * k)));
    shapes.push(Shape::new(
        Piece::Collar,
        Ink::Solid,
        block(local(joints.seat_top, joints.seat_up), 40.0 * k, -12.0 * k, 2.0 * k, 2.0 * k),
    ));
    if outline.rear_suspension {
        shapes.extend(shock(build, &joints, bb));
    }
    shapes.extend(head(outline, build));
    shapes
}

/// Stays of a rigid rear end, or the arms of a sprung one.
fn rear(outline: &Outline, build: &Build, joints: &Joints) -> Vec<Shape> {
    let k = build.stout;
    let axle = outline.rear_axle;
    let bb = outline.bottom_bracket;
    let (chain_end, seat_end) = if outline.rear_suspension {
        (bb + joints.seat_up * (62.0 * k), rocker(build, joints, bb) - joints.seat_up * (6.0 * k))
    } else {
        (bb, joints.top_tube - joints.seat_up * (6.0 * k))
    };
    let drop_out = 13.0 * k;
    vec![
        Shape::new(Piece::ChainStay, Ink::Solid, tube(axle, chain_end, 8.0 * k, 13.0 * k)),
        Shape::new(Piece::SeatStay, Ink::Solid, tube(axle, seat_end, 7.0 * k, 8.5 * k)),
        Shape::circle(Piece::RearHub, Ink::Solid, axle, drop_out),
        Shape::circle(Piece::RearHub, Ink::Fine, axle, 6.0 * k),
    ]
}

/// Pivot of the rocker on the seat tube.
fn rocker(build: &Build, joints: &Joints, bb: Point) -> Point {
    bb + joints.seat_up * (build.seat_tube * 0.62)
}

/// A rocker and a shock that stands on the down tube. A hint, not a linkage: nothing here is computed.
fn shock(build: &Build, joints: &Joints, bb: Point) -> Vec<Shape> {
    let k = build.stout;
    let pivot = rocker(build, joints, bb);
    let back = Vec2::new(-joints.seat_up.y, joints.seat_up.x);
    let back = if back.x > 0.0 { -back } else { back };
    let (tail, nose) = (pivot + back * (26.0 * k), pivot - back * (52.0 * k) + joints.seat_up * (10.0 * k));
    let foot = bb + (joints.head_low - bb) * 0.3;
    let along = foot - nose;
    let seal = nose + along * 0.5;
    let lower_pivot = bb + joints.seat_up * (62.0 * k);
    vec![
        Shape::new(Piece::ShockShaft, Ink::Solid, tube(nose, foot, 8.0 * k, 8.0 * k)),
        Shape::new(Piece::ShockBody, Ink::Solid, tube(seal, foot - along * 0.06, 20.0 * k, 20.0 * k)),
        Shape::circle(Piece::ShockBody, Ink::Solid, foot, 9.0 * k),
        Shape::new(
            Piece::Linkage,
            Ink::Solid,
            polygon(&[
                tail + joints.seat_up * (9.0 * k),
                pivot + joints.seat_up * (17.0 * k),
                nose + joints.seat_up * (11.0 * k),
                nose - joints.seat_up * (11.0 * k),
                pivot - joints.seat_up * (17.0 * k),
                tail - joints.seat_up * (9.0 * k),
            ]),
        ),
        Shape::circle(Piece::Linkage, Ink::FineSolid, pivot, 8.0 * k),
        Shape::circle(Piece::Linkage, Ink::FineSolid, nose, 5.0 * k),
        Shape::circle(Piece::Linkage, Ink::FineSolid, lower_pivot, 9.0 * k),
    ]
}

fn seat_post(outline: &Outline, build: &Build, joints: &Joints) -> Option<Shape> {
    let saddle = outline.saddle_top?;
    let head = saddle - joints.seat_up * (51.0 * build.saddle);
    let post = tube(joints.seat_top, head, 14.5 * build.stout, 14.5 * build.stout);
    Some(Shape::new(Piece::SeatPost, Ink::Solid, post))
}

fn head(outline: &Outline, build: &Build) -> Vec<Shape> {
    let k = build.stout;
    let (top, bottom) = (outline.head_tube_top, outline.head_tube_bottom);
    let up = -outline.axis_down.normalize();
    let lower = (bottom - outline.crown).dot(up).max(0.0);
    let mut shapes = vec![Shape::new(Piece::HeadTube, Ink::Solid, tube(bottom, top, 27.0 * k, 24.0 * k))];
    if lower > 1.0 {
        let cup = tube(outline.crown, bottom, 24.0 * k, 28.0 * k);
        shapes.push(Shape::new(Piece::LowerHeadset, Ink::Solid, cup));
    }
    if outline.upper_stack > 1.0 {
        let end = top + up * outline.upper_stack;
        shapes.push(Shape::new(Piece::UpperHeadset, Ink::Solid, tube(top, end, 25.0 * k, 19.0 * k)));
    }
    shapes
}

/// Direction of the right crank: forward and down, clear of the front wheel and the ground.
const CRANK: Vec2 = Vec2::new(0.848, -0.53);

pub(super) fn left_crank(outline: &Outline, build: &Build) -> Vec<Shape> {
    let Some(crank) = outline.crank else { return Vec::new() };
    let end = outline.bottom_bracket - CRANK * crank;
    vec![
        Shape::new(
            Piece::LeftCrank,
            Ink::FineSolid,
            tube(outline.bottom_bracket, end, 11.0 * build.stout, 8.0 * build.stout),
        ),
        Shape::new(Piece::LeftCrank, Ink::FineSolid, pedal(end, build)),
    ]
}

/// Chainring, shell, right crank and pedal.
pub(super) fn drive(outline: &Outline, build: &Build) -> Vec<Shape> {
    let k = build.stout;
    let bb = outline.bottom_bracket;
    let mut shapes = Vec::new();
    if let Some(crank) = outline.crank {
        let end = bb + CRANK * crank;
        // A ring of 32 teeth: half-inch pitch, so 32 × 12.7 mm around.
        shapes.push(Shape::circle(Piece::Chainring, Ink::Fine, bb, 64.7 * k.max(0.7)));
        shapes.push(Shape::new(Piece::Crank, Ink::Solid, tube(bb, end, 15.0 * k, 10.0 * k)));
        shapes.push(Shape::circle(Piece::Crank, Ink::Solid, bb, 21.0 * k));
        shapes.push(Shape::new(Piece::Pedal, Ink::Solid, pedal(end, build)));
        shapes.push(Shape::circle(Piece::Pedal, Ink::FineSolid, end, 5.5 * k));
    } else {
        shapes.push(Shape::circle(Piece::BottomBracket, Ink::Solid, bb, 23.0 * k));
    }
    shapes.push(Shape::circle(Piece::BottomBracket, Ink::FineSolid, bb, 9.0 * k));
    shapes
}

fn pedal(end: Point, build: &Build) -> kurbo::BezPath {
    let k = build.stout;
    block(local(end, Vec2::new(0.0, 1.0)), 92.0 * k, -8.0 * k, 8.0 * k, 4.0 * k)
}
