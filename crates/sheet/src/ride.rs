//! What the suspension part of an answer shows: charts, a table, the linkage in motion. Finished figures and places, as
//! [`crate::sheet`] and [`crate::picture`] are; every writer reads this and decides nothing of its own.
//!
//! Places are in frame axes: millimetres, x forward, y up, origin bottom bracket, the frame held level.

use kurbo::{Affine, Point};

use crate::sheet::Note;

/// Everything that happens between full extension and full travel.
#[derive(Clone, Debug, Default)]
pub struct Ride {
    /// One chart per curve that is known.
    pub charts: Vec<Chart>,
    /// Unit of vertical travel, along the foot of each chart.
    pub travel_unit: String,
    /// Figures at full extension, at sag and at full travel.
    pub rows: Vec<RideRow>,
    /// What holds for all of those figures.
    pub note: String,
    /// Sentences about the springs.
    pub springs: Vec<String>,
    /// What is left out because it is not known, and what to ask for.
    pub untold: Vec<String>,
    /// The linkage; none where the record has none.
    pub linkage: Option<LinkagePicture>,
    /// What the axle's path does, in a sentence; empty without a linkage.
    pub path: String,
    /// Where the frame stands at full extension: from its axes to the ground, the bottom bracket above the origin. None where
    /// that is not known somewhere on the travel.
    pub standing: Option<Affine>,
    /// Everything that a script needs to move the drawing, as one JSON object, in millimetres, degrees and percent.
    pub motion: String,
}

/// One curve over vertical travel, in the sheet's units.
#[derive(Clone, Debug)]
pub struct Chart {
    /// Snake-case name of the curve.
    pub id: &'static str,
    /// "Leverage ratio".
    pub label: String,
    /// Unit of its values: "%", "mm", empty for a ratio.
    pub unit: String,
    /// Decimals of a value that is read off.
    pub decimals: usize,
    /// What it means to a rider, and where that is from.
    pub meaning: Note,
    /// What to measure next, where the curve's tolerance is wide; empty elsewhere.
    pub measure_next: String,
    /// The curve after the changes.
    pub after: Vec<Place>,
    /// The curve before; empty where nothing moved.
    pub before: Vec<Place>,
    /// The curve after the changes at sag.
    pub sag: Option<Place>,
    /// A level that is worth a line of its own, such as 100 %.
    pub level: Option<f64>,
}

impl Chart {
    /// What the curve means, and what to measure next for it.
    pub fn words(&self) -> String {
        format!("{} {}", self.meaning.text, self.measure_next).trim_end().to_owned()
    }
}

/// One position on a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Vertical travel.
    pub travel: f64,
    /// The curve's value there.
    pub value: f64,
    /// Its tolerance, ± two standard uncertainties; NaN where it is not known.
    pub plus_minus: f64,
}

/// One row of the table "Through the travel". Figures are rounded and in the sheet's units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RideRow {
    /// "Leverage ratio".
    pub label: String,
    /// Unit of the row's figures.
    pub unit: String,
    /// At full extension, at sag, at full travel.
    pub cells: [RideCell; 3],
}

/// One figure of the table, before and after.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RideCell {
    /// Before; empty where nothing moved.
    pub before: String,
    /// After, "?" when it is not known, empty where there is nothing to say.
    pub after: String,
    /// ± of the value after; empty when it has none.
    pub plus_minus: String,
}

/// The linkage before and after.
#[derive(Clone, Debug)]
pub struct LinkagePicture {
    /// As it would be.
    pub after: Machine,
    /// As it is; none where nothing moved.
    pub before: Option<Machine>,
    /// Centre lines of the front triangle's tubes, and their widths.
    pub tubes: Vec<(Point, Point, f64)>,
    /// Outer radius of the rear tyre.
    pub tyre: f64,
    /// Radius of the rim, when known.
    pub rim: Option<f64>,
}

/// One linkage and everywhere it goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Its bodies where they were drawn; the first is the front triangle, which does not move.
    pub bodies: Vec<Body>,
    /// Pivots: where each was drawn, and the bodies that it joins.
    pub pivots: Vec<(Point, Vec<usize>)>,
    /// Slides: where, on which bodies, counter-clockwise from forward in radians. The rail belongs to the first body.
    pub rails: Vec<(Point, Vec<usize>, f64)>,
    /// Pulleys that guide the chain's tight run, from the ring to the cog.
    pub idlers: Vec<Pulley>,
    /// The shock's two eyes where they were drawn, each on its body.
    pub eyes: [(usize, Point); 2],
    /// The body that carries the axle, and where the axle was drawn on it.
    pub axle: (usize, Point),
    /// Pitch radii of ring and cog, when both are known.
    pub sprockets: Option<(f64, f64)>,
    /// Where everything is, from full extension to full travel.
    pub places: Vec<Standing>,
    /// Ends of the chain's straight pieces at each of these places: of the tight run, and of the lower one. Empty where ring or
    /// cog is not known.
    pub chain: Vec<[Vec<Point>; 2]>,
    /// Place of sag among these, counted in places, such as 6.3; none when it is not known.
    pub sag: Option<f64>,
}

/// One body where it was drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// What the record calls it.
    pub name: String,
    /// Its points.
    pub points: Vec<Point>,
}

/// A pulley.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulley {
    /// The body that carries it.
    pub body: usize,
    /// Where its axis was drawn.
    pub at: Point,
    /// Pitch radius.
    pub radius: f64,
    /// The chain passes above it.
    pub over: bool,
}

/// The linkage at one position.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Where a drawn point of each body goes.
    pub bodies: Vec<Affine>,
    /// The rear axle.
    pub axle: Point,
}

impl Machine {
    /// Everything at a place between two others; those beyond the ends are the ends.
    ///
    /// # Panics
    /// Never: a machine has at least one place.
    pub fn at(&self, place: f64) -> Standing {
        let last = self.places.len() - 1;
        let place = if place.is_finite() { place.clamp(0.0, last as f64) } else { 0.0 };
        let low = (place.floor() as usize).min(last);
        let (a, b) = (&self.places[low], &self.places[(low + 1).min(last)]);
        let share = place - low as f64;
        Standing {
            bodies: a.bodies.iter().zip(&b.bodies).map(|(a, b)| between(*a, *b, share)).collect(),
            axle: a.axle.lerp(b.axle, share),
        }
    }
}

/// A turn and a shift between two others that are close to each other.
fn between(a: Affine, b: Affine, share: f64) -> Affine {
    let (a, b) = (a.as_coeffs(), b.as_coeffs());
    let mix = |index: usize| a[index] + (b[index] - a[index]) * share;
    let length = mix(0).hypot(mix(1));
    let (cos, sin) = (mix(0) / length, mix(1) / length);
    Affine::new([cos, sin, -sin, cos, mix(4), mix(5)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halfway_between_two_turns_is_a_turn() {
        // Halfway between 0° and 20° about the origin is 10°.
        let turn = between(Affine::IDENTITY, Affine::rotate(20.0_f64.to_radians()), 0.5);
        let moved = turn * Point::new(100.0, 0.0);
        assert!((moved.x - 100.0 * 10.0_f64.to_radians().cos()).abs() < 1e-9);
        assert!((moved.y - 100.0 * 10.0_f64.to_radians().sin()).abs() < 1e-9);
    }
}
