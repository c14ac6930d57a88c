//! Angles at the ground: arc, arm, and the text beside the arc where the bike leaves a free place.

use kurbo::{Affine, Point, Rect, Vec2};

use super::lanes::head;
use super::measure::{Measure, axis_on_ground, measure};
use super::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use super::style::Style;
use super::wording::{Wording, held_together};
use crate::lettering::{ASCENT, DESCENT};
use crate::picture::{Dimension, DimensionKind, Outline};

/// An angle on the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Angle {
    /// Where arm and ground meet.
    pub vertex: Point,
    /// Far end of the drawn arm.
    pub far: Point,
    /// From straight back to the arm, clockwise as seen, radians.
    pub sweep: f64,
}

impl Angle {
    /// How an angle dimension lies; none for distances.
    pub fn of(kind: DimensionKind, outline: &Outline, to_paper: Affine) -> Option<Self> {
        let Measure::Angle(vertex, arm) = measure(kind, outline)? else { return None };
        let far = if kind == DimensionKind::HeadAngle { outline.crown } else { outline.bottom_bracket };
        let sweep = (-arm.y).atan2(arm.x) + std::f64::consts::PI;
        Some(Self { vertex: to_paper * vertex, far: to_paper * far, sweep })
    }

    fn direction(&self, share: f64) -> Vec2 {
        let angle = std::f64::consts::PI + self.sweep * share;
        Vec2::from_angle(angle)
    }

    /// The arc between ground and arm.
    pub fn arc(&self, style: &Style) -> kurbo::BezPath {
        let radii = Vec2::new(style.arc, style.arc);
        let arc = kurbo::Arc::new(self.vertex, radii, std::f64::consts::PI, self.sweep, 0.0);
        kurbo::Shape::to_path(&arc, 0.1)
    }

    /// Arc with an arrowhead at the arm.
    pub fn draw(&self, scene: &mut Scene, style: &Style) {
        scene.draw(Ink::Dimension, Form::Path(self.arc(style)));
        let end = self.vertex + self.direction(1.0) * style.arc;
        let out = self.direction(1.0);
        scene.draw(Ink::Arrowhead, head(end, Vec2::new(-out.y, out.x), style.arrow));
    }

    /// Name and change of the angle at a place near its arc that `is_free`, or none.
    pub fn label(
        &self,
        dimension: &Dimension,
        is_free: impl Fn(Rect) -> bool,
        style: &Style,
    ) -> Option<Vec<Text>> {
        let change = held_together(&dimension.change);
        let leading = style.regular().line_height();
        let full = style.regular().width(&dimension.text).max(style.semibold().width(&change));
        // On one line each, else with the name above its figure.
        [full, full * 0.75].into_iter().find_map(|most| {
            let mut rows: Vec<_> =
                style.regular().wrap(&dimension.text, most).into_iter().map(|row| (row, false)).collect();
            rows.extend(style.semibold().wrap(&change, most.max(1.0)).into_iter().map(|row| (row, true)));
            let face = |changed| if changed { style.semibold() } else { style.regular() };
            let width = rows.iter().map(|(row, changed)| face(*changed).width(row)).fold(0.0, f64::max);
            let height = f64::from(style.text) * (ASCENT + DESCENT) + (rows.len() as f64 - 1.0) * leading;
            let middle = self
                .places(style)
                .find(|middle| is_free(Rect::from_center_size(*middle, (width, height)).inflate(3.0, 1.0)))?;
            let first = middle.y - height / 2.0 + ASCENT * f64::from(style.text);
            let texts = rows.into_iter().enumerate().map(|(index, (row, changed))| {
                let at = Point::new(middle.x, first + index as f64 * leading);
                let tint = if changed { Tint::Change } else { Tint::Ink };
                Text::level(at, Anchor::Middle, face(changed), tint, row)
            });
            Some(texts.collect())
        })
    }

    /// Places for the middle of the text: outside the arc, then just in front of the arm.
    fn places(&self, style: &Style) -> impl Iterator<Item = Point> {
        let (vertex, arc) = (self.vertex, style.arc);
        let around = [0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2].map(|share| self.direction(share));
        let up = self.direction(1.0);
        let outside = (0..16).flat_map(move |ring| {
            let distance = arc + 8.0 + 6.0 * f64::from(ring);
            around.map(|direction| vertex + direction * distance)
        });
        let in_front = (2..12).flat_map(move |along| {
            let on_arm = vertex + up * (f64::from(along) * 8.0);
            (2..14).map(move |beside| on_arm + Vec2::new(f64::from(beside) * 8.0, 0.0))
        });
        outside.chain(in_front)
    }
}

/// Arms and axes that the dimensions need, each once.
pub fn arms(wordings: &[&Wording], outline: &Outline, to_paper: Affine) -> Vec<(Point, Point)> {
    let mut arms: Vec<(Point, Point)> = Vec::new();
    for kind in wordings.iter().map(|wording| wording.dimension.kind) {
        let arm = if kind == DimensionKind::Trail {
            // The steering axis explains trail as well as the head angle.
            axis_on_ground(outline).map(|ground| (to_paper * outline.crown, to_paper * ground))
        } else {
            Angle::of(kind, outline, to_paper).map(|angle| (angle.far, angle.vertex))
        };
        arms.extend(arm.filter(|arm| !arms.contains(arm)));
    }
    arms
}
