//! The rear suspension through its travel.

use knockon_engine::suspension::curve::Curve;
use knockon_trade::findings::{self, Travel};
use serde::Serialize;

use crate::compose::suspension::unit;

#[derive(Serialize)]
pub(super) struct Suspension<'a> {
    curves: Vec<Curved>,
    sag_before: Option<f64>,
    sag_before_pm: Option<f64>,
    sag_after: Option<f64>,
    sag_after_pm: Option<f64>,
    stuck: Option<&'a str>,
}

#[derive(Serialize)]
struct Curved {
    curve: &'static str,
    unit: &'static str,
    before: Vec<Option<f64>>,
    after: Vec<Option<f64>>,
    before_pm: Vec<Option<f64>>,
    after_pm: Vec<Option<f64>>,
    measure_next: Option<String>,
}

pub(super) fn part(suspension: &findings::Suspension) -> Suspension<'_> {
    let (before, after) = (&suspension.before, &suspension.after);
    let known = |curve: &&Curve| {
        let finite =
            |travel: &Travel| travel.values.iter().any(|values| values[**curve as usize].is_finite());
        finite(before) || finite(after)
    };
    let pm = |travel: &Travel| travel.sag.and(finite(travel.sag_pm));
    Suspension {
        curves: Curve::ALL.iter().filter(known).map(|curve| curved(*curve, before, after)).collect(),
        sag_before: before.sag.and_then(finite),
        sag_before_pm: pm(before),
        sag_after: after.sag.and_then(finite),
        sag_after_pm: pm(after),
        stuck: suspension.stuck.as_deref(),
    }
}

fn curved(curve: Curve, before: &Travel, after: &Travel) -> Curved {
    let list = |rows: &[[f64; Curve::COUNT]]| rows.iter().map(|row| finite(row[curve as usize])).collect();
    // A ± of a value that is not known says nothing.
    let pm = |travel: &Travel| {
        let pairs = travel.values.iter().zip(&travel.plus_minus);
        pairs.map(|(values, pm)| finite(values[curve as usize]).and(finite(pm[curve as usize]))).collect()
    };
    Curved {
        curve: curve.id(),
        unit: unit(curve),
        before: list(&before.values),
        after: list(&after.values),
        before_pm: pm(before),
        after_pm: pm(after),
        measure_next: after.measure_next[curve as usize].as_ref().map(|next| next.key.clone()),
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}
