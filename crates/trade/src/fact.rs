//! A number of a record, with how it is known.

use crate::tables;
use crate::units::{Dimension, Reading};

/// How a number is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Read from a chart, data sheet or marking.
    Published,
    /// Measured on this bike.
    Measured,
    /// Computed from other figures by whoever wrote the record.
    Derived,
    /// Taken for granted by whoever wrote the record.
    Assumed,
}

impl Known {
    /// Every way, as a record writes it.
    pub const WORDS: [(&'static str, Known); 4] = [
        ("published", Known::Published),
        ("measured", Known::Measured),
        ("derived", Known::Derived),
        ("assumed", Known::Assumed),
    ];

    /// The word in a record.
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// One number of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// mm, radians, kg or bar.
    pub value: f64,
    /// Standard uncertainty, in the same unit.
    pub uncertainty: f64,
    /// How it is known.
    pub known: Known,
    /// What it was measured with.
    pub with: Option<String>,
    /// The value as it was written, unit included; quoted when it is not a bare number.
    pub text: String,
    /// The tolerance as it was written.
    pub tolerance: Option<String>,
}

/// Standard uncertainty of a figure rounded to a step: rectangular over one step (JCGM 100:2008, 4.3.7).
pub fn rounding(step: f64) -> f64 {
    step / (2.0 * 3.0_f64.sqrt())
}

impl Fact {
    /// A published number, rounded to its last written digit.
    pub fn published(text: &str, reading: Reading) -> Self {
        Fact {
            value: reading.value,
            uncertainty: rounding(reading.step),
            known: Known::Published,
            with: None,
            text: text.to_owned(),
            tolerance: None,
        }
    }
}

/// Standard uncertainty of a measurement whose tolerance was not written: that of its tool, or of an unnamed one.
pub fn tool_uncertainty(with: Option<&str>, dimension: Dimension) -> f64 {
    let worth = |name: &str| tables::tools().iter().find(|tool| tool.name == name)?.tolerance(dimension);
    let pm = with.and_then(worth).or_else(|| worth("unnamed")).unwrap_or(f64::NAN);
    pm * dimension.edge_factor() / 2.0
}
