//! The knock-ons: each quantity before and after, how sure, who did it, and whether a rider would notice.

use knockon_engine::quantity::{Dimension, Quantities, Quantity};
use knockon_engine::tolerance::Estimates;

use super::{Case, Sources};
use crate::build::Input;
use crate::tables;
use crate::verdict::Next;

/// One quantity before and after, in the unit of the edge.
#[derive(Clone, Debug, PartialEq)]
pub struct KnockOn {
    /// Which quantity.
    pub quantity: Quantity,
    /// "mm", "°", "%", "N", "N/mm", "bar", or empty for a plain ratio.
    pub unit: &'static str,
    /// Value before; `None` when it rests on facts that nobody has told.
    pub before: Option<f64>,
    /// Value after.
    pub after: Option<f64>,
    /// After minus before.
    pub difference: Option<f64>,
    /// ± of the value before.
    pub before_pm: Option<f64>,
    /// ± of the value after.
    pub after_pm: Option<f64>,
    /// ± of the difference.
    pub difference_pm: Option<f64>,
    /// Share of each revision in the difference, in their order.
    pub shares: Vec<f64>,
    /// Whether a rider would notice.
    pub noticed: Noticed,
    /// The step that a rider notices.
    pub threshold: f64,
    /// What to measure next to know the difference better; `None` when it is known well enough.
    pub measure_next: Option<Next>,
    /// Inputs by their share of the variance of the difference, largest first.
    pub variance_shares: Vec<(String, f64)>,
    /// Number of the source of its definition.
    pub source: usize,
    /// Number of the source of its threshold.
    pub threshold_source: usize,
}

/// Whether a rider would notice a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Noticed {
    /// More than the threshold, whatever the tolerance.
    Yes,
    /// Less than the threshold, whatever the tolerance.
    No,
    /// The tolerance reaches across the threshold, or the difference is not known.
    Maybe,
}

impl Noticed {
    /// "yes", "no" or "maybe".
    pub fn word(self) -> &'static str {
        match self {
            Noticed::Yes => "yes",
            Noticed::No => "no",
            Noticed::Maybe => "maybe",
        }
    }

    /// Judges a difference with its tolerance against a threshold.
    pub fn judge(difference: Option<f64>, pm: f64, threshold: f64) -> Noticed {
        match difference.map(f64::abs) {
            Some(size) if size - pm >= threshold => Noticed::Yes,
            Some(size) if size + pm < threshold => Noticed::No,
            _ => Noticed::Maybe,
        }
    }
}

/// Factor from the engine's unit to the unit of the edge.
pub fn edge(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Angle => 1_f64.to_degrees(),
        Dimension::Share => 100.0,
        Dimension::Distance => 1e-3,
        _ => 1.0,
    }
}

/// The unit of the edge, as printed behind a number; empty for a plain ratio.
pub fn unit(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "mm",
        Dimension::Angle => "°",
        Dimension::Share => "%",
        Dimension::Ratio => "",
        Dimension::Force => "N",
        Dimension::Rate => "N/mm",
        Dimension::Pressure => "bar",
        Dimension::Distance => "m",
        Dimension::Acceleration => "m/s²",
        Dimension::Pieces => "pieces",
        Dimension::Teeth => "teeth",
    }
}

/// A value is told when what rests on untold facts is at most this many noticeable steps.
const TOLD_VALUE: f64 = 1.0;
/// A difference is told when what rests on untold facts is at most this many noticeable steps.
const TOLD_DIFFERENCE: f64 = 1.0;
/// A difference that is known to this part of a noticeable step needs no further measuring.
const WELL_KNOWN: f64 = 0.2;

impl KnockOn {
    /// Whether the quantity moves at all, as far as anyone can tell.
    pub fn moved(&self) -> bool {
        self.difference.is_none_or(|difference| {
            difference.abs() > 1e-6 || self.difference_pm.is_some_and(|pm| pm > 1e-6)
        })
    }

    /// Difference in noticeable steps; 0 when it is not known. Rounded to a millionth, so that quantities that move by the
    /// same amount keep their order whatever the last bits say.
    pub fn weight(&self) -> f64 {
        self.difference.map_or(0.0, |difference| (difference.abs() / self.threshold * 1e6).round() / 1e6)
    }
}

pub(super) fn all(case: &Case<'_>, shares: &[Quantities<f64>], sources: &mut Sources) -> Vec<KnockOn> {
    Quantity::ALL
        .iter()
        .filter(|quantity| case.assessment.before.value(**quantity as usize).is_finite())
        .map(|quantity| one(case, *quantity, shares, sources))
        .collect()
}

fn one(case: &Case<'_>, quantity: Quantity, shares: &[Quantities<f64>], sources: &mut Sources) -> KnockOn {
    let row = quantity as usize;
    let text = tables::quantity(quantity);
    let factor = edge(quantity.dimension());
    let told = |estimates: &Estimates, limit: f64| {
        let (value, pm) = (estimates.value(row) * factor, estimates.plus_minus(row) * factor);
        let vague = untold(estimates, row, &case.build.inputs) * factor;
        (value.is_finite() && vague <= limit * text.notice).then_some((value, pm))
    };
    let before = told(&case.assessment.before, TOLD_VALUE);
    let after = told(&case.assessment.after, TOLD_VALUE);
    let difference = told(&case.assessment.difference, TOLD_DIFFERENCE);
    let pm = difference.map_or(f64::INFINITY, |(_, pm)| pm);
    let spread = case.assessment.difference.variance_shares(row);
    let well_known = pm <= WELL_KNOWN * text.notice;
    KnockOn {
        quantity,
        unit: unit(quantity.dimension()),
        before: before.map(|(value, _)| value),
        after: after.map(|(value, _)| value),
        difference: difference.map(|(value, _)| value),
        before_pm: before.map(|(_, pm)| pm),
        after_pm: after.map(|(_, pm)| pm),
        difference_pm: difference.map(|(_, pm)| pm),
        shares: shares.iter().map(|share| share[row] * factor).collect(),
        noticed: Noticed::judge(difference.map(|(value, _)| value), pm, text.notice),
        threshold: text.notice,
        measure_next: spread
            .first()
            .filter(|_| !well_known)
            .map(|(input, share)| next(&case.build.inputs[*input], *share)),
        variance_shares: spread
            .iter()
            .filter(|(_, share)| *share > 0.001)
            .map(|(input, share)| (case.build.inputs[*input].key.clone(), *share))
            .collect(),
        source: sources.number(&text.source),
        threshold_source: sources.number(&text.notice_source),
    }
}

/// The part of "±" that rests on placeholders for facts that nobody has told.
pub(super) fn untold(estimates: &Estimates, row: usize, inputs: &[Input]) -> f64 {
    let variance: f64 = estimates
        .contributions(row)
        .iter()
        .zip(inputs)
        .filter(|(_, input)| input.is_placeholder())
        .map(|(by, _)| by * by)
        .sum();
    2.0 * variance.sqrt()
}

/// What to measure, and how.
pub(super) fn next(input: &Input, share: f64) -> Next {
    let (action, how) = match tables::property(&input.key) {
        Some(property) => (format!("measure the {}", input.label.to_lowercase()), property.how.as_str()),
        None if input.key.starts_with("wheel.") => (
            "measure the wheel's radius".to_owned(),
            "Tape from level ground to the axle's middle, tyre at riding pressure, nobody on the bike.",
        ),
        None if input.key.starts_with("shock.") => (
            "ask the frame's maker for its leverage curve".to_owned(),
            "Or measure the pivots of the rear suspension and write them under [linkage] in the record.",
        ),
        None if input.key.starts_with("linkage.") => (
            format!("measure the {}", input.label),
            "Bike level, tape or calliper from bolt centre to bolt centre: to the bottom bracket, or to another pivot.",
        ),
        None if input.key.starts_with("air.") => (
            "sit on the bike and measure the sag".to_owned(),
            "Rubber ring on the shaft, rider in position, no bouncing.",
        ),
        None => (
            format!("measure the {}", input.label),
            "Measure it before it is fitted, or set it and measure again; a new part's maker knows its exact figure.",
        ),
    };
    Next { key: input.key.clone(), action, share, how: how.to_owned() }
}
