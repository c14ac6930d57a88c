//! The rear suspension's parts and pivots in a record, under names that whoever wrote it chose.
//!
//! A point that two parts share is a pivot, or a sliding joint where it says the line; a point of one part is an eye, an
//! idler's axis or just a mark. Coordinates are in frame axes: forward and up from the bottom bracket, the bike level and
//! its suspension fully extended.

mod check;
mod print;
mod read;
mod structure;

pub(super) use check::warnings;
pub(super) use read::read;

use crate::fact::Fact;
use crate::units::Dimension;

/// Its heading in a record.
pub(super) const KEY: &str = "linkage";
/// The part that is the front triangle.
pub const FRAME: &str = "frame";
/// What a taped distance calls the rear axle.
pub const AXLE: &str = "axle";
/// What a taped distance calls the middle of the bottom bracket.
pub const BOTTOM_BRACKET: &str = "bottom bracket";

/// A rear linkage as a record tells it.
///
/// ```
/// let text = r#"
/// [linkage]
/// axle = "swing arm"
/// shock = ["arm eye", "frame eye"]
/// [linkage.points]
/// "pivot" = { at = [5, 60], on = ["frame", "swing arm"], with = "tape" }
/// "arm eye" = { at = [-30, 140], on = ["swing arm"] }
/// "frame eye" = { at = [160, 190], on = ["frame"] }
/// "#;
/// let linkage = knockon_trade::record::parse("bike", text).unwrap().record.linkage.unwrap();
/// assert_eq!(linkage.parts(), ["frame", "swing arm"]);
/// assert_eq!((linkage.points[0].x.value, linkage.points[0].x.uncertainty), (5.0, 1.0));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Linkage {
    /// The part that carries the rear axle.
    pub axle: String,
    /// The part that the brake's caliper is bolted to.
    pub caliper: Option<String>,
    /// The points between which the shock sits.
    pub shock: [String; 2],
    /// Its points, in the order of the file.
    pub points: Vec<Point>,
    /// Distances that were measured between them.
    pub distances: Vec<Distance>,
    /// A chip that moves one of the points.
    pub chip: Option<Chip>,
}

/// A point of the linkage.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Its name.
    pub name: String,
    /// Ahead of the bottom bracket, mm.
    pub x: Fact,
    /// Above the bottom bracket, mm.
    pub y: Fact,
    /// The one or two parts that it is a point of.
    pub on: Vec<String>,
    /// The line that the second part slides along, fixed to the first: counter-clockwise from forward, radians; `None` for
    /// a pivot.
    pub slides: Option<Fact>,
    /// The idler that turns on it.
    pub idler: Option<Idler>,
}

/// A pulley that guides the chain's tight run; of several the first in the file is the next to the ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idler {
    /// Its teeth.
    pub teeth: f64,
    /// Whether the chain passes over it.
    pub over: bool,
}

/// A distance that was measured between two points.
#[derive(Clone, Debug, PartialEq)]
pub struct Distance {
    /// Names of points, [`AXLE`] or [`BOTTOM_BRACKET`].
    pub between: [String; 2],
    /// The distance, mm.
    pub value: Fact,
}

/// A chip that holds one of the points in one of a few places.
#[derive(Clone, Debug, PartialEq)]
pub struct Chip {
    /// The point that it moves.
    pub moves: String,
    /// The part that it sits in, where its point joins two.
    pub part: Option<String>,
    /// The place that it is in, for which the record's points are told.
    pub now: String,
    /// Every place, in the order of the file.
    pub places: Vec<Place>,
}

/// One place of a chip: how far it moves its point from the present one. The present place is exactly nought.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Forward, mm.
    pub x: Fact,
    /// Upward, mm.
    pub y: Fact,
}

impl Linkage {
    /// Names of the parts: the front triangle first, then the others in the order in which the points name them.
    pub fn parts(&self) -> Vec<&str> {
        let mut parts = vec![FRAME];
        for part in self.points.iter().flat_map(|point| &point.on) {
            if !parts.contains(&part.as_str()) {
                parts.push(part);
            }
        }
        parts
    }

    /// Place of a point in the list, by its name.
    pub fn point(&self, name: &str) -> Option<usize> {
        self.points.iter().position(|point| point.name == name)
    }

    /// Every number that a tool may have measured, with its kind.
    pub(super) fn each_fact(&mut self, visit: &mut dyn FnMut(&mut Fact, Dimension)) {
        for point in &mut self.points {
            visit(&mut point.x, Dimension::Length);
            visit(&mut point.y, Dimension::Length);
            if let Some(line) = &mut point.slides {
                visit(line, Dimension::Angle);
            }
        }
        for distance in &mut self.distances {
            visit(&mut distance.value, Dimension::Length);
        }
        if let Some(chip) = &mut self.chip {
            for place in chip.places.iter_mut().filter(|place| place.name != chip.now) {
                visit(&mut place.x, Dimension::Length);
                visit(&mut place.y, Dimension::Length);
            }
        }
    }
}

impl Point {
    /// Whether it joins two parts.
    pub fn is_joint(&self) -> bool {
        self.on.len() == 2
    }
}
