//! What is wanted of a bike: said, taken from another bike, or implied.

use knockon_engine::quantity::Quantity;
use knockon_engine::search::Aim;

use super::sure::Sure;
use super::wish::{Target, Wish};
use super::{Asked, Reach, ReachError, Start, edge, notice, transfer};
use crate::findings::Findings;
use crate::tables;

/// Every target: those of the wishes, those of another bike or of changes, and what stays as it is because nobody wants it otherwise.
pub(super) fn all(start: &Start<'_>, asked: &Asked) -> Result<(Vec<Target>, Vec<String>), ReachError> {
    let mut targets: Vec<Target> = Vec::new();
    for wish in &asked.wishes {
        let Wish::Target(target) = wish else { continue };
        if targets.iter().any(|other| other.quantity == target.quantity) {
            return Err(ReachError::Twice(label(target.quantity)));
        }
        targets.push(target.clone());
    }
    let mut notes = Vec::new();
    let mut taken = Vec::new();
    if asked.wishes.contains(&Wish::Position) {
        if asked.like.is_some() || !asked.as_with.is_empty() {
            return Err(ReachError::Twice("position".to_owned()));
        }
        let known = |quantity: &Quantity| !start.now[*quantity as usize].is_nan();
        taken.extend(transfer::CONTACTS.into_iter().filter(known).map(Target::unchanged));
        if taken.is_empty() {
            return Err(ReachError::Unknown { quantity: "position".to_owned(), missing: Vec::new() });
        }
    }
    if let Some(like) = &asked.like {
        taken.extend(transfer::position_of(start, like, &mut notes)?);
    }
    if !asked.as_with.is_empty() {
        taken.extend(transfer::result_of(start, &asked.as_with)?);
    }
    for target in taken {
        // What was said of a quantity goes before what another bike has.
        if !targets.iter().any(|said| said.quantity == target.quantity) {
            targets.push(target);
        }
    }
    if targets.is_empty() {
        return Err(ReachError::NothingWanted);
    }
    known(start, &targets)?;
    implied(start, &mut targets);
    Ok((targets, notes))
}

fn label(quantity: Quantity) -> String {
    tables::quantity(quantity).label.to_lowercase()
}

/// A value is only wanted of a quantity whose present value is known, a step of one whose steps are.
fn known(start: &Start<'_>, targets: &[Target]) -> Result<(), ReachError> {
    for target in targets {
        let row = target.quantity as usize;
        let unknown = |missing| ReachError::Unknown { quantity: label(target.quantity), missing };
        if start.now[row].is_nan() {
            return Err(unknown(Vec::new()));
        }
        if target.by {
            continue;
        }
        let untold = start.before.contributions(row).iter().zip(&start.build.inputs);
        let untold: Vec<(f64, &str)> = untold
            .filter(|(_, input)| input.is_placeholder())
            .map(|(by, input)| (by.abs(), input.label.as_str()))
            .collect();
        let vague = 2.0 * untold.iter().map(|(by, _)| by * by).sum::<f64>().sqrt();
        if vague > notice(target.quantity) {
            let matter = untold.iter().filter(|(by, _)| 2.0 * by > 0.2 * notice(target.quantity));
            return Err(unknown(matter.map(|(_, label)| label.to_lowercase()).collect()));
        }
    }
    Ok(())
}

/// What stays as it is because something else is wanted and nobody says more of it.
fn implied(start: &Start<'_>, targets: &mut Vec<Target>) {
    let said: Vec<Target> = targets.clone();
    for row in tables::stays() {
        let Some(by) = said.iter().find(|target| row.wanted.iter().any(|id| id == target.quantity.id()))
        else {
            continue;
        };
        let stays = Quantity::ALL.iter().filter(|quantity| row.stays.iter().any(|id| id == quantity.id()));
        for quantity in stays {
            let known = !start.now[*quantity as usize].is_nan();
            if known && !targets.iter().any(|target| target.quantity == *quantity) {
                let weight = row.weight * by.weight;
                targets.push(Target { weight, implied: true, ..Target::unchanged(*quantity) });
            }
        }
    }
}

/// The range of values that a target wants, in the engine's unit.
fn range(start: &Start<'_>, target: &Target) -> [f64; 2] {
    let from = if target.by { start.now[target.quantity as usize] } else { 0.0 };
    target.range.map(|end| from + end)
}

/// A target for the search: a miss is counted in steps that a rider notices.
pub(super) fn aim(start: &Start<'_>, target: &Target) -> Aim {
    Aim {
        quantity: target.quantity,
        range: range(start, target),
        scale: notice(target.quantity) / target.weight.sqrt(),
    }
}

/// What every target comes to when nothing is touched.
pub(super) fn now(start: &Start<'_>, targets: &[Target]) -> Vec<Reach> {
    let one = |target: &Target| {
        let row = target.quantity as usize;
        let off_pm = if target.by { 0.0 } else { start.before.plus_minus(row) };
        reach(start, target, Moved { value: Some(start.now[row]), difference: 0.0, pm: 0.0, off_pm })
    };
    targets.iter().map(one).collect()
}

/// What every target comes to with a proposal.
pub(super) fn reaches(start: &Start<'_>, targets: &[Target], findings: &Findings, sure: &Sure) -> Vec<Reach> {
    let one = |(at, target): (usize, &Target)| {
        let knock_on = findings.knock_ons.iter().find(|it| it.quantity == target.quantity);
        let told = |value: Option<f64>| value.map(|value| value / edge(target.quantity));
        let pm = sure.difference_pm(at);
        let moved = Moved {
            value: told(knock_on.and_then(|it| it.after)),
            difference: sure.after(at) - start.now[target.quantity as usize],
            pm,
            off_pm: if target.by { pm } else { sure.after_pm(at) },
        };
        reach(start, target, moved)
    };
    targets.iter().enumerate().map(one).collect()
}

/// What a quantity comes to, in the engine's unit.
#[derive(Clone, Copy)]
struct Moved {
    value: Option<f64>,
    difference: f64,
    pm: f64,
    off_pm: f64,
}

fn reach(start: &Start<'_>, target: &Target, moved: Moved) -> Reach {
    let factor = edge(target.quantity);
    let now = start.now[target.quantity as usize];
    let [least, most] = range(start, target).map(|end| end - now);
    let off =
        if moved.difference < least { moved.difference - least } else { (moved.difference - most).max(0.0) };
    Reach {
        quantity: target.quantity,
        by: target.by,
        value: moved.value.map(|value| value * factor),
        difference: moved.difference * factor,
        pm: moved.pm * factor,
        wanted: [least * factor, most * factor],
        off: off * factor,
        off_pm: moved.off_pm * factor,
    }
}
