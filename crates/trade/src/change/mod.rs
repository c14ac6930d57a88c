//! The change language: one thing done to a bike, in a line that a technician could say.
//!
//! `PART PROPERTY VALUE`, with `to` or `->` before the value if you like, `by` for a step instead of a new value, a unit
//! where the usual one (mm, degrees) is not meant, and `± …` where the value's tolerance is known. Hyphens, spaces and
//! letter case do not matter in the words. A tyre is named by its size: `front tyre 64-622`; a chip by its place: `chip low`;
//! a point of the linkage by the record's own name for it: `point main pivot up by 5`. `idler off` takes the chain straight
//! from ring to cog. Rings, cogs and inner gears are named by their numbers: `rings 34-50`, `cassette 11-13-15-18-21-24-28`.

mod linkage;
mod parse;
mod slider;

use std::borrow::Cow;
use std::fmt;

pub use linkage::Axis;
pub use parse::{Read, is_phrase, parse};
pub use slider::{Slider, slider, with_amount};

use knockon_engine::change::Wheel;

use crate::fact::Fact;
use crate::series::Series;
use crate::tables::{Detail, Property};
use crate::tyre::Tyre;
pub use crate::tyre::{TyreSize, tyre_sizes};

/// One thing done to a bike.
#[derive(Clone, Debug)]
pub enum Change {
    /// A property gets a new value, or moves by a step.
    Number {
        /// Which one.
        property: &'static Property,
        /// True for a step.
        by: bool,
        /// The value or step.
        amount: Fact,
    },
    /// Another tyre.
    Tyre {
        /// Which wheel.
        wheel: Wheel,
        /// Its size.
        tyre: Tyre,
    },
    /// A point of the linkage lies elsewhere.
    Point {
        /// Its name, in the form in which phrases are compared.
        name: String,
        /// Which way it moves.
        axis: Axis,
        /// How far.
        amount: Fact,
    },
    /// A chip sits in another of its places.
    Chip {
        /// The place's name, in the form in which phrases are compared.
        place: String,
    },
    /// The chain runs straight from ring to cog, past the idlers.
    NoIdler,
    /// Another row of rings, cogs or inner gears.
    Series {
        /// Which row.
        row: &'static Detail,
        /// Its numbers.
        series: Series,
    },
    /// A part is made to another standard where the next one joins it.
    End {
        /// Which end of which part.
        end: &'static Detail,
        /// Name of the standard.
        standard: &'static str,
    },
}

impl PartialEq for Change {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Change::Number { property: a, by: x, amount: u },
                Change::Number { property: b, by: y, amount: v },
            ) => a.key == b.key && x == y && u == v,
            (Change::Tyre { wheel: a, tyre: x }, Change::Tyre { wheel: b, tyre: y }) => a == b && x == y,
            (
                Change::Point { name: a, axis: x, amount: u },
                Change::Point { name: b, axis: y, amount: v },
            ) => a == b && x == y && u == v,
            (Change::Chip { place: a }, Change::Chip { place: b }) => a == b,
            (Change::NoIdler, Change::NoIdler) => true,
            (Change::Series { row: a, series: x }, Change::Series { row: b, series: y }) => {
                a.key == b.key && x == y
            }
            (Change::End { end: a, standard: x }, Change::End { end: b, standard: y }) => {
                a.key == b.key && x == y
            }
            _ => false,
        }
    }
}

impl Change {
    /// The record's key that the change is about.
    pub fn key(&self) -> &'static str {
        match self {
            Change::Number { property, .. } => &property.key,
            Change::Tyre { wheel: Wheel::Front, .. } => "wheel.front.tyre",
            Change::Tyre { wheel: Wheel::Rear, .. } => "wheel.rear.tyre",
            Change::Point { .. } => "linkage.points",
            Change::Chip { .. } => "linkage.chip",
            Change::NoIdler => "linkage.idler",
            Change::End { end, .. } => &end.key,
            Change::Series { row, .. } => &row.key,
        }
    }

    /// The parameter's key that two changes must not both set.
    pub fn subject(&self) -> &'static str {
        match self.key() {
            "wheel.front.tyre" => "wheel.front.radius",
            "wheel.rear.tyre" => "wheel.rear.radius",
            "drivetrain.cog_teeth" => "drivetrain.cogs",
            "drivetrain.ring_teeth" => "drivetrain.ring",
            key => key,
        }
    }

    /// Whether the change gives a new value rather than a step.
    pub fn sets(&self) -> bool {
        !matches!(self, Change::Number { by: true, .. } | Change::Point { .. })
    }

    /// What changes, in words: "Spacers below the stem".
    pub fn label(&self) -> Cow<'static, str> {
        match self {
            Change::Number { property, .. } => property.label.as_str().into(),
            Change::Tyre { wheel: Wheel::Front, .. } => "Front tyre".into(),
            Change::Tyre { wheel: Wheel::Rear, .. } => "Rear tyre".into(),
            Change::Point { name, axis, .. } => format!("Point {name}, {}", axis.word()).into(),
            Change::Chip { .. } => "Chip".into(),
            Change::NoIdler => "Idler".into(),
            Change::End { end, .. } => end.label.as_str().into(),
            Change::Series { row, .. } => row.label.as_str().into(),
        }
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Change::Number { property, by, amount } => {
                let say = property.say.first().unwrap_or(&property.key);
                write!(f, "{say}{} {}", if *by { " by" } else { "" }, amount.text)?;
                match &amount.tolerance {
                    Some(tolerance) => write!(f, " ± {tolerance}"),
                    None => Ok(()),
                }
            }
            Change::Tyre { wheel: Wheel::Front, tyre } => write!(f, "front tyre {tyre}"),
            Change::Tyre { wheel: Wheel::Rear, tyre } => write!(f, "rear tyre {tyre}"),
            Change::Point { name, axis, amount } => {
                write!(f, "point {name} {} by {}", axis.word(), amount.text)?;
                match &amount.tolerance {
                    Some(tolerance) => write!(f, " ± {tolerance}"),
                    None => Ok(()),
                }
            }
            Change::Chip { place } => write!(f, "chip {place}"),
            Change::NoIdler => f.write_str("idler off"),
            Change::Series { row, series } => {
                write!(f, "{} {series}", row.say.first().unwrap_or(&row.key))
            }
            Change::End { end, standard } => {
                write!(f, "{} {standard}", end.say.first().unwrap_or(&end.key))
            }
        }
    }
}

/// A phrase in the form in which phrases are compared: lower case, single spaces, no hyphens.
pub fn normal(phrase: &str) -> String {
    phrase.to_lowercase().replace(['-', '_'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
}
