//! The demo's linkages, one of each kind, for tests of words and drawings.

use knockon_engine::bike::Bike;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, Suspension, answer};
use knockon_trade::question::{Question, read_changes};

use super::Given;
use crate::ride::Ride;
use crate::units::Units;

/// How many positions the travel is told at.
pub(crate) const COUNT: usize = 21;

/// A kind of linkage, the demo bike that has it, and a change of all its curves.
const KINDS: [(&str, &str, &str); 6] = [
    ("single pivot", "medlar-140", "point main pivot up by 12"),
    ("single pivot with a rocker", "tormentil-150", "point rocker eye up by 6"),
    ("four-bar", "bulrush-150", "point frame eye forward by 8"),
    ("two short links", "samphire-145", "point link eye up by 6"),
    ("slide", "osier-130", "point frame eye forward by 8"),
    ("high pivot with an idler", "guelder-160", "idler off"),
];

/// Names of the kinds.
pub(crate) fn names() -> Vec<&'static str> {
    KINDS.iter().map(|(name, ..)| *name).collect()
}

/// What the demo bike's suspension does, as it stands or after the change.
pub(crate) fn linkage(name: &str, changed: bool) -> Suspension {
    let (_, bike, change) = *KINDS.iter().find(|(known, ..)| *known == name).expect("a kind");
    asked(bike, &[change][..usize::from(changed)]).suspension.expect("a suspension")
}

/// A bike with no linkage in its record: travel and leverage only.
pub(crate) fn bare() -> Suspension {
    asked("hornbeam-170", &["shock stroke 60"]).suspension.expect("a suspension")
}

fn asked(bike: &str, changes: &[&str]) -> Findings {
    let record = demo::bike(bike).expect("a demo bike");
    let changes = read_changes(changes).expect("changes").changes;
    answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }).expect("an answer")
}

/// The bike that they are drawn on.
pub(crate) fn bike() -> Bike<f64> {
    let mut bike = Bike::unknown();
    (bike.rear_radius, bike.rear_tyre_width, bike.ring, bike.cog) = (368.0, 60.0, 32.0, 21.0);
    bike
}

/// The part of an answer that a linkage makes.
pub(crate) fn ride(name: &str, changed: bool) -> Ride {
    let (bike, suspension) = (bike(), linkage(name, changed));
    let given = Given {
        suspension: &suspension,
        bikes: (&bike, &bike),
        outline: None,
        springs: Vec::new(),
        units: Units::default(),
    };
    super::ride(&given, |_| 1).expect("a ride")
}
