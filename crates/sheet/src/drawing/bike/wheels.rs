//! Tyres, rims and hubs.

use kurbo::Point;

use super::{Build, Piece, Shape};
use crate::drawing::scene::Ink;
use crate::picture::Outline;

pub(super) fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let rear = [Piece::RearTyre, Piece::RearRim, Piece::RearHub];
    let front = [Piece::FrontTyre, Piece::FrontRim, Piece::FrontHub];
    let mut shapes = wheel(rear, outline.rear_axle, outline.rear_radius, outline.rear_rim_radius, build);
    shapes.extend(wheel(front, outline.front_axle, outline.front_radius, outline.front_rim_radius, build));
    shapes
}

fn wheel(pieces: [Piece; 3], axle: Point, tyre: f64, bead: Option<f64>, build: &Build) -> Vec<Shape> {
    let [tyre_piece, rim_piece, hub_piece] = pieces;
    // The rim's outer edge stands a few millimetres above the bead seat.
    let edge = bead.map_or(tyre - build.section, |bead| bead + 6.0).clamp(tyre * 0.5, tyre * 0.98);
    vec![
        Shape::circle(tyre_piece, Ink::Wide, axle, tyre),
        Shape::circle(rim_piece, Ink::Fine, axle, edge),
        Shape::circle(rim_piece, Ink::Fine, axle, edge - 26.0 * build.stout),
        Shape::circle(hub_piece, Ink::Fine, axle, 22.0 * build.stout),
    ]
}
