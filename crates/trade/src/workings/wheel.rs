//! A wheel: how wide and how high its tyre stands, the pressure to begin with, the lengths and tensions of its spokes.

use knockon_engine::Scalar;
use knockon_engine::quantity::{Quantity, standing};
use knockon_engine::suspension::sag::GRAVITY;
use knockon_engine::tolerance::{Formula, Uncertain, propagate_linear};
use knockon_engine::wheel::pressure::{Ruled, within};
use knockon_engine::wheel::spoke::{Rim, Side};
use knockon_engine::wheel::tension::{average, spread, tension_ratio};
use knockon_engine::wheel::{pressure, tyre};

use serde::Serialize;

use super::{Given, known, own};
use crate::fit::Fitting;

/// Front or rear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Place {
    Front,
    Rear,
}

impl Place {
    /// Both.
    pub const ALL: [Place; 2] = [Place::Front, Place::Rear];

    /// "front" or "rear".
    pub fn word(self) -> &'static str {
        match self {
            Place::Front => "front",
            Place::Rear => "rear",
        }
    }

    /// Beginning of its keys in a record.
    pub fn group(self) -> &'static str {
        match self {
            Place::Front => "wheel.front.",
            Place::Rear => "wheel.rear.",
        }
    }
}

/// One wheel after the changes.
#[derive(Clone, Debug)]
pub struct WheelWork {
    /// Which one.
    pub place: Place,
    /// The tyre; `None` where its size is not known.
    pub tyre: Option<TyreWork>,
    /// What a tension meter says; `None` where nobody read it.
    pub tension: Option<TensionWork>,
    /// The spokes; `None` where hub, rim or lacing are not known.
    pub spokes: Option<SpokeWork>,
    /// What is asked for before spokes can be cut.
    pub missing: Vec<&'static str>,
}

/// A tyre on its rim under its load. Lengths mm, pressures bar.
#[derive(Clone, Debug)]
pub struct TyreWork {
    /// Marked size.
    pub marked: String,
    /// Inner width of the rim.
    pub rim_inner: Option<f64>,
    /// Width that it then stands at.
    pub inflated: Option<f64>,
    /// Outer radius without load.
    pub radius: f64,
    /// Load on the wheel, N.
    pub load: Option<f64>,
    /// Pressure that the rule says, and ±, not yet held against the limits.
    pub rule: Option<(f64, f64)>,
    /// Pressure to begin with, and what made it so.
    pub suggested: Option<(f64, Ruled)>,
    /// Limits that are known: least, most.
    pub limits: [Option<f64>; 2],
    /// Pressure that the record has.
    pub pressure: Option<f64>,
    /// How far the tyre sinks at the record's pressure, or else at the suggested one.
    pub drop: Option<f64>,
    /// The same as part of its height, percent.
    pub drop_share: Option<f64>,
}

/// Readings of a tension meter, left and right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TensionWork {
    /// Mean tension of each side, N; `None` without the meter's table, or where a reading is beyond it.
    pub mean: [Option<f64>; 2],
    /// Largest deviation of a reading from its side's mean, percent, by tension where that is known.
    pub spread: [Option<f64>; 2],
    /// Tension of the left side over that of the right, percent.
    pub left_over_right: Option<f64>,
}

/// The spokes of one wheel, left and right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpokeWork {
    /// Lengths, mm, and ±.
    pub lengths: [(f64, f64); 2],
    /// Bracing angles, degrees.
    pub bracing: [f64; 2],
    /// Tension of a left spoke over that of a right one, percent.
    pub left_over_right: f64,
    /// Spokes in the wheel.
    pub spokes: f64,
    /// Crosses.
    pub crosses: [f64; 2],
    /// Lengths before the changes, where they were others.
    pub before: Option<[f64; 2]>,
}

/// Most of a tyre's height that the model of its sinking holds for, as a part.
const DROP: f64 = 0.15;

pub(super) fn wheel(given: &Given<'_>, place: Place) -> Option<WheelWork> {
    let (spokes, missing) = match spokes(given.fitting, place) {
        Ok(spokes) => {
            (spokes.map(|spokes| SpokeWork { before: before(&spokes, given, place), ..spokes }), Vec::new())
        }
        Err(missing) => (None, missing),
    };
    let tension = tensions(given, place);
    let work = WheelWork { place, tyre: tyre_work(given, place), tension, spokes, missing };
    (work.tyre.is_some() || work.spokes.is_some() || work.tension.is_some()).then_some(work)
}

fn tyre_work(given: &Given<'_>, place: Place) -> Option<TyreWork> {
    let bike = given.bikes[1];
    let front = place == Place::Front;
    let size = given.fitting.tyre_size(place.group())?;
    let (radius, rim) = if front {
        (bike.front_radius, bike.front_rim_inner)
    } else {
        (bike.rear_radius, bike.rear_rim_inner)
    };
    let share = standing(bike)[Quantity::FrontLoadShare as usize];
    let share = if front { share } else { 1.0 - share };
    let load = known((bike.bike_mass + bike.rider_mass + bike.kit_mass) * GRAVITY * share);
    let told =
        |what: &str| given.fitting.figure(&format!("{}{what}", place.group())).map(|figure| figure.value);
    let limits = [told("pressure_least"), told("pressure_most")];
    let rule = load.and_then(|load| known(pressure::suggestion(load, size.width)));
    let spread = given.build.bike.pressure_rule.standard_uncertainty();
    let suggested = rule.and_then(|rule| {
        let (value, ruled) = within(rule, limits[0].unwrap_or(0.0), limits[1].unwrap_or(f64::INFINITY));
        Some((known(value)?, ruled))
    });
    let inner = known(rim);
    // Without a rim's width the one that the tyre was marked for.
    let on = inner.unwrap_or_else(|| tyre::design_rim(size.width));
    let inflated = inner.map(|inner| tyre::inflated_width(size.width, inner));
    let bar = told("pressure").or(suggested.map(|(value, _)| value));
    let drop = load
        .zip(bar)
        .and_then(|(load, bar)| known(tyre::drop(load, bar, inflated.unwrap_or(size.width), on, radius)));
    let height = radius - size.bead_seat_radius();
    Some(TyreWork {
        marked: size.to_string(),
        rim_inner: inner,
        inflated: inflated.and_then(known),
        radius,
        load,
        rule: rule.map(|rule| (rule, 2.0 * spread * rule)),
        suggested,
        limits,
        pressure: told("pressure"),
        drop,
        drop_share: drop.map(|drop| drop / height * 100.0),
    })
}

fn tensions(given: &Given<'_>, place: Place) -> Option<TensionWork> {
    let series = |what: &str| given.fitting.series(&format!("{}{what}", place.group()));
    let readings = ["readings_left", "readings_right"].map(series);
    readings.iter().flatten().next()?;
    let table = series("reading_table").map(|table| table.values.as_slice());
    let newtons = readings
        .map(|side| side?.values.iter().map(|reading| meant(*reading, table?)).collect::<Option<Vec<f64>>>());
    let mean = [0, 1].map(|at| newtons[at].as_deref().map(average).and_then(known));
    let spread = [0, 1].map(|at| {
        let of = newtons[at].as_deref().or(readings[at].map(|side| side.values.as_slice()))?;
        known(spread(of) * 100.0)
    });
    let left_over_right = mean[0].zip(mean[1]).map(|(left, right)| left / right * 100.0);
    Some(TensionWork { mean, spread, left_over_right })
}

/// What a reading means by the meter's table, between its lines in proportion; `None` beyond them.
fn meant(reading: f64, table: &[f64]) -> Option<f64> {
    let lines: Vec<&[f64]> = table.chunks_exact(2).collect();
    let pair = lines.windows(2).find(|pair| (pair[0][0]..=pair[1][0]).contains(&reading))?;
    let [(from, low), (to, high)] = [(pair[0][0], pair[0][1]), (pair[1][0], pair[1][1])];
    Some(low + (high - low) * (reading - from) / (to - from))
}

/// Part of its height that a tyre sinks by in the rule for the pressure.
pub fn usual_drop() -> f64 {
    DROP
}

/// Keys of what spokes are cut from, behind the wheel's group, in the order of [`Lacing`].
const LACED: [&str; 10] = [
    "rim_diameter",
    "rim_offset",
    "spokes",
    "spoke_hole",
    "flange_left",
    "flange_left_offset",
    "crosses_left",
    "flange_right",
    "flange_right_offset",
    "crosses_right",
];

/// Keys of a record that spokes are cut from.
pub fn lacing_keys() -> impl Iterator<Item = String> {
    Place::ALL.into_iter().flat_map(|place| LACED.iter().map(move |what| format!("{}{what}", place.group())))
}

/// What is taken where a record is silent: a symmetrical rim, holes of 2.6 mm. Common practice, no source.
const SILENT: [(&str, f64); 2] = [("rim_offset", 0.0), ("spoke_hole", 2.6)];

/// Lengths before the changes, where one of them was another by more than a tenth of a millimetre.
fn before(after: &SpokeWork, given: &Given<'_>, place: Place) -> Option<[f64; 2]> {
    let old = spokes(&Fitting::new(given.fitting.record(), &[]), place).ok()??;
    let before = old.lengths.map(|(length, _)| length);
    let moved = before.iter().zip(&after.lengths).any(|(before, (after, _))| (after - before).abs() > 0.1);
    moved.then_some(before)
}

/// Both sides' spokes, or the keys that are missing; nothing where nobody began to tell.
fn spokes(fitting: &Fitting<'_>, place: Place) -> Result<Option<SpokeWork>, Vec<&'static str>> {
    let key = |what: &str| format!("{}{what}", place.group());
    let figures = LACED.map(|what| {
        let silent = SILENT.iter().find(|(name, _)| *name == what).map(|(_, value)| (*value, 0.0));
        fitting.figure(&key(what)).map(|figure| (figure.value, figure.uncertainty)).or(silent)
    });
    if fitting.figure(&key("rim_diameter")).is_none() && fitting.figure(&key("flange_left")).is_none() {
        return Ok(None);
    }
    let missing: Vec<&'static str> = LACED
        .iter()
        .zip(&figures)
        .filter(|(_, figure)| figure.is_none())
        .filter_map(|(what, _)| crate::tables::property(&key(what)).map(|row| row.key.as_str()))
        .collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let mut inputs = 0;
    let numbers: Vec<Uncertain> =
        figures.iter().flatten().map(|(value, uncertainty)| own(&mut inputs, *value, *uncertainty)).collect();
    let all = propagate_linear(&Lacing, &numbers, inputs);
    let of = |row: usize| (all.value(row), all.plus_minus(row));
    let value = |at: usize| numbers[at].value;
    let work = SpokeWork {
        lengths: [of(0), of(1)],
        bracing: [of(2).0.to_degrees(), of(3).0.to_degrees()],
        left_over_right: of(4).0 * 100.0,
        spokes: value(2),
        crosses: [value(6), value(9)],
        before: None,
    };
    Ok(work.lengths.iter().all(|(length, _)| length.is_finite()).then_some(work))
}

/// Lengths, bracing angles and the ratio of tensions of a wheel, from the numbers of [`LACED`].
struct Lacing;

impl Formula for Lacing {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let [rim, offset, spokes, hole, left, left_offset, left_crosses, right, right_offset, right_crosses] =
            numbers
        else {
            return Vec::new();
        };
        let rim = Rim { effective_diameter: *rim, offset: *offset };
        let side = |flange: T, flange_offset: T, crosses: T| Side {
            flange_radius: flange * 0.5,
            flange_offset,
            hole: *hole,
            spokes: *spokes * 0.5,
            crosses,
        };
        let left = side(*left, *left_offset, *left_crosses);
        let right = side(*right, *right_offset, *right_crosses);
        let other = rim.from_other_side();
        vec![
            left.length(&rim),
            right.length(&other),
            left.bracing_angle(&rim),
            right.bracing_angle(&other),
            tension_ratio(&left, &right, &rim),
        ]
    }
}
