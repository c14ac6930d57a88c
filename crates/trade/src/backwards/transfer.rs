//! The position of another bike, what other parts would give, or where a body's measures say to begin, as targets: where the hands, the
//! saddle and the feet are.

use knockon_engine::quantity::Quantity;

use super::wish::{Target, Wish};
use super::{ReachError, Start, edge};
use crate::body::StartingPoint;
use crate::change::Change;
use crate::findings::answer;
use crate::question::Question;
use crate::record::Record;

/// The contact points: hands, saddle and feet, seen from the bottom bracket.
pub const CONTACTS: [Quantity; 5] = [
    Quantity::GripStack,
    Quantity::GripReach,
    Quantity::GripWidth,
    Quantity::SaddleToPedal,
    Quantity::SaddleSetback,
];

/// Contact points of another bike, as far as both records tell of them.
pub(super) fn position_of(
    start: &Start<'_>,
    like: &Record,
    notes: &mut Vec<String>,
) -> Result<Vec<Target>, ReachError> {
    let other = answer(Question::about(like, &[])).map_err(ReachError::Answer)?;
    let here = answer(Question::about(start.record, &[])).map_err(ReachError::Answer)?;
    let told = |findings: &crate::findings::Findings, quantity: Quantity| {
        findings.knock_ons.iter().find(|it| it.quantity == quantity).and_then(|it| it.before)
    };
    let mut targets = Vec::new();
    for quantity in CONTACTS {
        let label = crate::tables::quantity(quantity).label.to_lowercase();
        let references = (like.saddle_reference, start.record.saddle_reference);
        if quantity == Quantity::SaddleSetback && references.0 != references.1 {
            notes.push(format!(
                "The {label} is left out: the two records measure it to different places of the saddle."
            ));
            continue;
        }
        match (told(&other, quantity), told(&here, quantity)) {
            (Some(value), Some(_)) => targets.push(Target::at(quantity, value / edge(quantity))),
            (None, None) => {}
            (other, _) => {
                let whose = if other.is_some() { "this bike's" } else { "the other bike's" };
                notes.push(format!("The {label} is left out: {whose} record does not tell it."));
            }
        }
    }
    if targets.is_empty() { Err(ReachError::NothingToTransfer) } else { Ok(targets) }
}

/// What changes would give: every contact point that they move, where they put it, and the others where they are.
pub(super) fn result_of(start: &Start<'_>, changes: &[Change]) -> Result<Vec<Target>, ReachError> {
    let findings = answer(Question::about(start.record, changes)).map_err(ReachError::from)?;
    let by = |quantity: Quantity| findings.knock_ons.iter().find(|it| it.quantity == quantity)?.difference;
    let mut targets: Vec<Target> = Vec::new();
    for quantity in CONTACTS {
        if let Some(difference) = by(quantity) {
            let step = difference / edge(quantity);
            targets.push(Target { range: [step; 2], ..Target::unchanged(quantity) });
        }
    }
    // Changes that leave the contact points alone are meant for what they do to the frame.
    if targets.iter().all(|target| target.range[0].abs() < 1e-6) {
        for quantity in [Quantity::HeadAngle, Quantity::BottomBracketHeight, Quantity::Trail] {
            if let Some(difference) = by(quantity) {
                let step = difference / edge(quantity);
                targets.push(Target { range: [step; 2], ..Target::unchanged(quantity) });
            }
        }
    }
    if targets.iter().all(|target| target.range[0].abs() < 1e-6) {
        return Err(ReachError::NothingWanted);
    }
    Ok(targets)
}

/// Where rules of the body say to begin, as wishes: of several rules for one thing everything from the least to the most that they say. What was
/// said of a quantity already stays said.
///
/// ```
/// use knockon_trade::{backwards::{transfer::from_body, wish::Wish}, body::{read_measures, starting_points}};
/// let points = starting_points(&read_measures(&["inseam 830", "crank 170"]).unwrap(), None);
/// let wishes = from_body(&points, &[]);
/// let Wish::Target(target) = &wishes[0] else { panic!() };
/// // 0.883 · 830 + 170 and 1.09 · 830 from the pedal.
/// assert!((target.range[0] - 902.89).abs() < 1e-9 && (target.range[1] - 904.7).abs() < 1e-9);
/// ```
pub fn from_body(points: &[StartingPoint], said: &[Wish]) -> Vec<Wish> {
    let mut targets: Vec<Target> = Vec::new();
    for (quantity, value) in points.iter().filter_map(|point| point.target.as_ref()) {
        match targets.iter_mut().find(|target| target.quantity == *quantity) {
            Some(target) => {
                target.range = [target.range[0].min(value.value), target.range[1].max(value.value)];
            }
            None => targets.push(Target::at(*quantity, value.value)),
        }
    }
    let is_said = |target: &Target| {
        said.iter().any(|wish| matches!(wish, Wish::Target(other) if other.quantity == target.quantity))
    };
    targets.into_iter().filter(|target| !is_said(target)).map(Wish::Target).collect()
}
