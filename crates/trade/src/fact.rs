//! A number of a record, with how it is known.

use std::collections::BTreeMap;

use crate::tables::{self, Tool};
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

/// Name of the tool that stands for one that is not named or not known.
const UNNAMED: &str = "unnamed";

/// A tool's figure for one kind of measurement, as a settings page shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolSetting {
    /// Its name, by which [`crate::record::Record::with_tolerances`] knows it: "tape", "photo angle".
    pub name: String,
    /// What is measured.
    pub dimension: Dimension,
    /// ± two standard uncertainties, in the unit of the edge.
    pub value: f64,
    /// Source of the value.
    pub source: &'static str,
}

/// Every tool's figure that a workshop can replace by its own. What a tyre's marking promises is no tool's.
///
/// ```
/// use knockon_trade::{fact::tool_settings, units::Dimension};
/// let tape = tool_settings().into_iter().find(|tool| tool.name == "tape").unwrap();
/// assert_eq!((tape.value, tape.dimension), (2.0, Dimension::Length));
/// ```
pub fn tool_settings() -> Vec<ToolSetting> {
    tables::tools()
        .iter()
        .filter(|tool| tool.name != "tyre marking")
        .flat_map(|tool| {
            tool.dimensions().filter_map(|dimension| {
                Some(ToolSetting {
                    name: tool.setting(dimension),
                    dimension,
                    value: tool.tolerance(dimension)?,
                    source: &tool.source,
                })
            })
        })
        .collect()
}

/// The row of a tool, or of an unnamed one where the tool does not measure such a thing.
fn tool(with: Option<&str>, dimension: Dimension) -> Option<&'static Tool> {
    let row = |name: &str| {
        tables::tools().iter().find(|tool| tool.name == name && tool.tolerance(dimension).is_some())
    };
    with.and_then(row).or_else(|| row(UNNAMED))
}

/// Standard uncertainty of a measurement whose tolerance was not written: that of its tool, or of an unnamed one.
pub fn tool_uncertainty(with: Option<&str>, dimension: Dimension) -> f64 {
    if dimension.is_counted() || matches!(dimension, Dimension::Power | Dimension::Cadence | Dimension::Ratio)
    {
        return 0.0;
    }
    let pm = tool(with, dimension).and_then(|tool| tool.tolerance(dimension)).unwrap_or(f64::NAN);
    pm * dimension.edge_factor() / 2.0
}

/// The same with a workshop's own tolerances, by the names of [`tool_settings`]. What is no possible tolerance is passed
/// over.
pub(crate) fn own_uncertainty(
    with: Option<&str>,
    dimension: Dimension,
    own: &BTreeMap<String, f64>,
) -> Option<f64> {
    let pm = own.get(&tool(with, dimension)?.setting(dimension))?;
    (pm.is_finite() && *pm >= 0.0).then(|| pm * dimension.edge_factor() / 2.0)
}
