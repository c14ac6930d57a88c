//! The bike's parts as shapes, in bike millimetres, from the points of an outline.
//!
//! In reading order: how stout the parts are ([`build`]), wheels, fork, frame, seat, cockpit. Points that
//! carry a dimension are where the outline says; tube diameters and shapes are a draughtsman's habit.

mod build;
mod cockpit;
mod fork;
mod frame;
mod seat;
mod wheels;

use kurbo::{Affine, BezPath, Circle, Point, Rect, RoundedRect, Shape as _, Vec2};

pub use self::build::Build;
use super::scene::{Form, Ink};
use crate::picture::Outline;

/// What a shape is, to find the same one on the bike before and after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Piece {
    RearTyre,
    RearRim,
    RearHub,
    FrontTyre,
    FrontRim,
    FrontHub,
    LeftCrank,
    ForkUpper,
    ForkLower,
    ForkCrown,
    SeatStay,
    ChainStay,
    DownTube,
    TopTube,
    SeatPost,
    SeatTube,
    Collar,
    HeadTube,
    LowerHeadset,
    UpperHeadset,
    Spacers,
    Linkage,
    ShockShaft,
    ShockBody,
    SaddleRails,
    Saddle,
    Bar,
    Stem,
    BarClamp,
    Lever,
    Grip,
    Chainring,
    BottomBracket,
    Crank,
    Pedal,
}

/// One edge or body of the bike.
#[derive(Clone, Debug)]
pub struct Shape {
    /// Which part it is.
    pub piece: Piece,
    /// How it is drawn when it is the bike after the changes.
    pub ink: Ink,
    /// Its place, mm.
    pub form: Form,
    /// Smallest upright box around it, mm.
    pub bounds: Rect,
}

impl Shape {
    fn new(piece: Piece, ink: Ink, path: BezPath) -> Self {
        Self::of(piece, ink, Form::Path(path))
    }

    fn circle(piece: Piece, ink: Ink, center: Point, radius: f64) -> Self {
        Self::of(piece, ink, Form::Circle(Circle::new(center, radius)))
    }

    fn of(piece: Piece, ink: Ink, form: Form) -> Self {
        let bounds = form.bounds();
        Self { piece, ink, form, bounds }
    }
}

/// All parts of one bike, those that lie behind first.
pub fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let mut shapes = wheels::shapes(outline, build);
    shapes.extend(frame::left_crank(outline, build));
    shapes.extend(fork::shapes(outline, build));
    shapes.extend(frame::shapes(outline, build));
    shapes.extend(seat::shapes(outline, build));
    shapes.extend(cockpit::shapes(outline, build));
    shapes.extend(frame::drive(outline, build));
    shapes
}

/// True when two shapes of one piece are further apart than `tolerance` anywhere.
pub fn differ(a: &Form, b: &Form, tolerance: f64) -> bool {
    match (a, b) {
        (Form::Circle(a), Form::Circle(b)) => {
            a.center.distance(b.center) + (a.radius - b.radius).abs() > tolerance
        }
        (Form::Path(a), Form::Path(b)) => {
            points(a).count() != points(b).count()
                || points(a).zip(points(b)).any(|(a, b)| a.distance(b) > tolerance)
        }
        _ => true,
    }
}

fn points(path: &BezPath) -> impl Iterator<Item = Point> {
    path.elements().iter().filter_map(kurbo::PathEl::end_point)
}

/// Axes that lie on a part: `across` points forward when `along` points up.
fn local(origin: Point, along: Vec2) -> Affine {
    let along = along.normalize();
    let across = Vec2::new(along.y, -along.x);
    Affine::new([across.x, across.y, along.x, along.y, origin.x, origin.y])
}

/// A straight tube from `a` to `b` with half widths at either end.
fn tube(a: Point, b: Point, half_a: f64, half_b: f64) -> BezPath {
    let direction = (b - a).normalize();
    let normal = Vec2::new(-direction.y, direction.x);
    polygon(&[a + normal * half_a, b + normal * half_b, b - normal * half_b, a - normal * half_a])
}

fn polygon(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            path.move_to(*point);
        } else {
            path.line_to(*point);
        }
    }
    path.close_path();
    path
}

/// A rectangle with rounded corners, `width` across and from `low` to `high` along, in local axes.
fn block(map: Affine, width: f64, low: f64, high: f64, corner: f64) -> BezPath {
    let rect = RoundedRect::new(-width / 2.0, low, width / 2.0, high, corner);
    map * rect.to_path(0.1)
}
