//! The position of another bike, or what other parts would give, as targets: where the hands, the saddle and the feet are.

use knockon_engine::quantity::Quantity;

use super::wish::Target;
use super::{ReachError, Start, edge};
use crate::change::Change;
use crate::findings::{AnswerError, answer};
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
    let other = answer(super::choices::question(like)).map_err(ReachError::Answer)?;
    let here = answer(super::choices::question(start.record)).map_err(ReachError::Answer)?;
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
    let mut question = super::choices::question(start.record);
    question.changes = changes.to_vec();
    let findings = answer(question).map_err(ReachError::from)?;
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

impl From<crate::build::BuildError> for ReachError {
    fn from(error: crate::build::BuildError) -> Self {
        ReachError::Answer(AnswerError::from(error))
    }
}
