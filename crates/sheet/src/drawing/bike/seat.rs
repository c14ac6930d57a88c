//! The saddle: a real profile with nose, dip and tail, on its rails, tipped about its top.

use kurbo::{Affine, BezPath, Point};

use super::{Build, Piece, Shape};
use crate::drawing::scene::Ink;
use crate::picture::Outline;

pub(super) fn shapes(outline: &Outline, build: &Build) -> Vec<Shape> {
    let Some(top) = outline.saddle_top else { return Vec::new() };
    let map =
        Affine::translate(top.to_vec2()) * Affine::rotate(outline.saddle_tip) * Affine::scale(build.saddle);
    vec![
        Shape::new(Piece::SaddleRails, Ink::Wide, map * rails()),
        Shape::new(Piece::SaddleRails, Ink::Solid, map * clamp()),
        Shape::new(Piece::Saddle, Ink::Solid, map * profile()),
    ]
}

/// Origin on the sitting surface above the clamp, x to the nose, y up, mm.
fn profile() -> BezPath {
    let mut path = BezPath::new();
    path.move_to((-128.0, 13.0));
    path.curve_to((-95.0, 9.0), (-60.0, -1.0), (-10.0, 0.0));
    path.curve_to((45.0, 1.0), (95.0, 3.0), (136.0, -3.0));
    path.curve_to((148.0, -5.0), (148.0, -18.0), (137.0, -22.0));
    path.curve_to((90.0, -25.0), (35.0, -17.0), (-10.0, -20.0));
    path.curve_to((-50.0, -24.0), (-85.0, -38.0), (-118.0, -34.0));
    path.curve_to((-142.0, -30.0), (-148.0, 15.0), (-128.0, 13.0));
    path.close_path();
    path
}

fn rails() -> BezPath {
    let mut path = BezPath::new();
    path.move_to((118.0, -20.0));
    path.curve_to((92.0, -24.0), (72.0, -44.0), (42.0, -44.0));
    path.line_to((-42.0, -44.0));
    path.curve_to((-68.0, -44.0), (-84.0, -34.0), (-104.0, -26.0));
    path
}

fn clamp() -> BezPath {
    let mut path = BezPath::new();
    let corners = [(-24.0, -37.0), (24.0, -37.0), (19.0, -56.0), (-19.0, -56.0)];
    for (index, corner) in corners.into_iter().enumerate() {
        let corner = Point::from(corner);
        if index == 0 { path.move_to(corner) } else { path.line_to(corner) }
    }
    path.close_path();
    path
}
