//! A claim that can be checked: "this spacer takes so much off the travel".
//!
//! A question that changes the rear travel *and* the spacer or stroke that makes it has said one thing twice. The part is
//! what gets fitted, so it counts; the travel is judged as what somebody claims of it.

use knockon_engine::bike::Parameter;
use knockon_engine::change::Step;
use knockon_engine::comparison::{Given, assess};
use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_engine::tolerance::Uncertain;

use super::{Case, Sources, allowances};
use crate::change::Change;
use crate::verdict::Verdict;
use crate::words::plain;

/// What makes the rear travel.
const MAKES: [&str; 2] = ["shock.spacer", "shock.stroke"];
const SOURCE: &str =
    "common practice, no source: a spacer cuts rear travel by about the leverage ratio times its length";

/// Place of the change that only claims what another one makes.
pub(super) fn place(changes: &[Change]) -> Option<usize> {
    let made = changes.iter().any(|change| MAKES.contains(&change.key()));
    changes.iter().position(|change| change.key() == "rear.travel").filter(|_| made)
}

/// Whether the part does what is claimed of it, and which spacer would.
pub(super) fn judge(case: &Case<'_>, sources: &mut Sources) -> Option<Verdict> {
    let changes = &case.question.changes;
    let claim = place(changes)?;
    let Change::Number { by, amount, .. } = &changes[claim] else { return None };
    let row = Quantity::RearTravel as usize;
    let (before, gives) = (case.assessment.before.value(row), &case.assessment.difference);
    let claimed = if *by { amount.value } else { amount.value - before };
    let (given, pm) = (gives.value(row), gives.plus_minus(row));
    if !given.is_finite() {
        return None;
    }
    // The same question with the travel done and what was to make it left out.
    let told = Uncertain::exact(before + claimed);
    let steps: Vec<Step<Uncertain>> = changes
        .iter()
        .zip(case.given.steps)
        .enumerate()
        .map(|(index, (change, step))| {
            if index == claim {
                Step::Set(Parameter::RearTravel, told.clone())
            } else if MAKES.contains(&change.key()) {
                Step::Nothing
            } else {
                step.clone()
            }
        })
        .collect();
    let wanted = assess(
        &case.build.bike,
        Given { steps: &steps, ..case.given },
        &allowances(),
        case.build.inputs.len(),
    );
    let spacer = Quantity::InnerSpacer as usize;
    let (needs, needs_pm) = (wanted.after.value(spacer), wanted.after.plus_minus(spacer));
    let off = (given - claimed).abs();
    // A claim is a round figure: half a millimetre of travel is nothing to quarrel about.
    let room = pm.max(0.5);
    let outcome = if off <= room { Outcome::Fits } else { Outcome::DoesNotFit };
    let way = |difference: f64| if difference < 0.0 { "less" } else { "more" };
    let tenth = |value: f64| plain((value.abs() * 10.0).round() / 10.0);
    let what = if changes.iter().any(|change| change.key() == "shock.spacer") { "spacer" } else { "stroke" };
    let gives = format!("This {what} gives {} ±{} mm {} rear travel", tenth(given), tenth(room), way(given));
    let sentence = match outcome {
        Outcome::Fits => format!("{gives}, as it is said to."),
        _ => format!(
            "{gives}, not {} mm {}: for that it would take a spacer of {} ±{} mm.",
            tenth(claimed),
            way(claimed),
            tenth(needs),
            tenth(needs_pm.max(0.1)),
        ),
    };
    Some(Verdict {
        outcome,
        sentence,
        source: sources.number(SOURCE),
        ..Verdict::on("claimed_travel", "Claimed travel", &[])
    })
}
