//! Facts to ask the rider for: exactly those that the answer lacks.

use super::Case;
use super::knock_on::{KnockOn, untold};
use crate::tables;
use crate::verdict::Verdict;

/// One fact to ask for.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// Key in the record.
    pub key: String,
    /// The question in the rider's words.
    pub ask: String,
    /// How to find out.
    pub how: String,
    /// Names of what it is needed for.
    pub needed_for: Vec<String>,
}

/// An untold fact is asked for when it carries at least this share of a difference's variance.
const WORTH_ASKING: f64 = 0.15;

pub(super) fn all(case: &Case<'_>, knock_ons: &[KnockOn], verdicts: &[Verdict]) -> Vec<Missing> {
    let mut missing = Vec::new();
    for verdict in verdicts {
        let text = tables::requirements().iter().find(|text| {
            text.touched_by.as_slice() == verdict.touched_by && text.label.starts_with(verdict.label)
        });
        for key in &verdict.missing {
            // The limit itself has words of its own; what it is compared with is a fact like any other.
            let own =
                tables::property(key).is_none() && tables::detail(key).is_none_or(|row| row.series.is_none());
            match (text, own) {
                (Some(text), true) => add(&mut missing, key, &text.ask, &text.how, verdict.label),
                _ => add_property(&mut missing, key, verdict.label),
            }
        }
    }
    for change in &case.question.changes {
        if change.key().starts_with("shock.") {
            for key in ["shock.eye_to_eye", "shock.stroke", "rear.travel"] {
                let record = &case.question.record;
                let eyes_only = change.key() == "shock.stroke" && key == "shock.eye_to_eye";
                if record.fact(key).is_none() && !eyes_only {
                    add_property(&mut missing, key, &change.label());
                }
            }
        }
    }
    let inputs = &case.build.inputs;
    for knock_on in knock_ons.iter().filter(|knock_on| knock_on.difference.is_none()) {
        let row = knock_on.quantity as usize;
        let difference = &case.assessment.difference;
        let vague = untold(difference, row, inputs);
        if !vague.is_finite() {
            continue;
        }
        for (input, share) in difference.variance_shares(row) {
            if share >= WORTH_ASKING && inputs[input].is_placeholder() {
                add_property(&mut missing, &inputs[input].key, &tables::quantity(knock_on.quantity).label);
            }
        }
    }
    missing
}

fn add_property(missing: &mut Vec<Missing>, key: &str, needed_for: &str) {
    if let Some(property) = tables::property(key) {
        add(missing, key, &property.ask, &property.how, needed_for);
    } else if let Some(detail) = tables::detail(key) {
        add(missing, key, &detail.ask, &detail.how, needed_for);
    }
}

fn add(missing: &mut Vec<Missing>, key: &str, ask: &str, how: &str, needed_for: &str) {
    if let Some(known) = missing.iter_mut().find(|known| known.key == key) {
        if !known.needed_for.iter().any(|name| name == needed_for) {
            known.needed_for.push(needed_for.to_owned());
        }
        return;
    }
    missing.push(Missing {
        key: key.to_owned(),
        ask: ask.to_owned(),
        how: how.to_owned(),
        needed_for: vec![needed_for.to_owned()],
    });
}
