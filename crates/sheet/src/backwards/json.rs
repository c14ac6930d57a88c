//! The options as one JSON object: figures unrounded, in the units of the edge (mm, degrees, percent).

use knockon_trade::backwards::{Proposal, Reach, Reached};
use knockon_trade::findings::unit;
use serde::Serialize;

use crate::json::outcome;

#[derive(Serialize)]
struct Object<'a> {
    bike: &'a str,
    targets: Vec<Target>,
    miss_now: Option<f64>,
    combinations: u64,
    slots: Vec<Slot>,
    options: Vec<Proposed<'a>>,
    left_out: Vec<Out<'a>>,
    notes: &'a [String],
}

#[derive(Serialize)]
struct Target {
    quantity: &'static str,
    unit: &'static str,
    /// Whether it stays as it is only because nobody wants it otherwise.
    implied: bool,
    weight: f64,
    /// Least and most difference that is wanted; null where that side is open.
    wanted: [Option<f64>; 2],
    /// Outside of that by so much when nothing is touched.
    off_now: f64,
}

#[derive(Serialize)]
struct Slot {
    label: &'static str,
    choices: usize,
}

#[derive(Serialize)]
struct Proposed<'a> {
    things: Vec<Thing<'a>>,
    changes: Vec<String>,
    price: f64,
    miss: f64,
    as_good: bool,
    front: bool,
    reached: Vec<Figure>,
    verdicts: Vec<Verdict<'a>>,
    try_first: Option<Trial>,
    cautions: Vec<&'a str>,
}

#[derive(Serialize)]
struct Thing<'a> {
    slot: &'a str,
    what: &'a str,
    bought: bool,
    price: f64,
    line: Option<usize>,
}

#[derive(Serialize)]
struct Figure {
    quantity: &'static str,
    value: Option<f64>,
    difference: f64,
    plus_minus: f64,
    off: f64,
    off_plus_minus: f64,
}

#[derive(Serialize)]
struct Verdict<'a> {
    requirement: &'a str,
    outcome: &'static str,
    sentence: &'a str,
}

#[derive(Serialize)]
struct Trial {
    changes: Vec<String>,
    /// How far the imitation is from the proposal.
    off: Vec<Off>,
}

#[derive(Serialize)]
struct Off {
    quantity: &'static str,
    unit: &'static str,
    by: f64,
}

#[derive(Serialize)]
struct Out<'a> {
    what: &'a str,
    why: &'a str,
}

/// JSON Schema of the object.
pub const SCHEMA: &str = include_str!("../../schema/options.schema.json");

/// One JSON object.
///
/// # Panics
/// Never: what is not finite is written as null.
pub fn json(reached: &Reached) -> String {
    let open = |end: f64| end.is_finite().then_some(end);
    let object = Object {
        bike: &reached.bike,
        targets: reached
            .targets
            .iter()
            .zip(&reached.now)
            .map(|(target, now)| Target {
                quantity: target.quantity.id(),
                unit: unit(target.quantity.dimension()),
                implied: target.implied,
                weight: target.weight,
                wanted: now.wanted.map(open),
                off_now: now.off,
            })
            .collect(),
        miss_now: reached.miss_now,
        combinations: reached.combinations,
        slots: reached.slots.iter().map(|slot| Slot { label: slot.label, choices: slot.choices }).collect(),
        options: reached.proposals.iter().map(proposed).collect(),
        left_out: reached
            .left_out
            .iter()
            .chain(&reached.refused)
            .map(|out| Out { what: &out.what, why: &out.why })
            .collect(),
        notes: &reached.notes,
    };
    serde_json::to_string_pretty(&object).expect("figures that are not finite are null")
}

fn proposed(proposal: &Proposal) -> Proposed<'_> {
    let figure = |reach: &Reach| Figure {
        quantity: reach.quantity.id(),
        value: reach.value,
        difference: reach.difference,
        plus_minus: reach.pm,
        off: reach.off,
        off_plus_minus: reach.off_pm,
    };
    Proposed {
        things: proposal
            .things
            .iter()
            .map(|thing| Thing {
                slot: thing.slot,
                what: &thing.what,
                bought: thing.bought,
                price: thing.price,
                line: thing.stock_line,
            })
            .collect(),
        changes: proposal.changes.iter().map(ToString::to_string).collect(),
        price: proposal.price,
        miss: proposal.miss,
        as_good: proposal.as_good,
        front: proposal.front,
        reached: proposal.reaches.iter().map(figure).collect(),
        verdicts: proposal
            .findings
            .verdicts
            .iter()
            .map(|verdict| Verdict {
                requirement: verdict.requirement,
                outcome: outcome(verdict.outcome),
                sentence: &verdict.sentence,
            })
            .collect(),
        try_first: proposal.imitation.as_ref().map(|imitation| Trial {
            changes: imitation.changes.iter().map(ToString::to_string).collect(),
            off: imitation
                .off
                .iter()
                .map(|(quantity, by)| Off {
                    quantity: quantity.id(),
                    unit: unit(quantity.dimension()),
                    by: *by,
                })
                .collect(),
        }),
        cautions: proposal.findings.cautions.iter().map(|(caution, _)| caution.text.as_str()).collect(),
    }
}
