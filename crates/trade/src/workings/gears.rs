//! Every gear of a bike, before and after.

use knockon_engine::bike::Bike;
use knockon_engine::drivetrain::chainline::{self, Row};
use knockon_engine::drivetrain::gear::{self, Gear};
use knockon_engine::road::{AIR_DENSITY, CHAIN_EFFICIENCY, Resistance};

use serde::Serialize;

use super::{Given, known};
use crate::series::Series;

/// A brisk cadence that speeds are told for, turns a minute. Common practice, no source.
pub const BRISK: f64 = 90.0;

/// Two gears that are nearer to each other than this part are taken for one. From memory, unverified.
pub const SAME: f64 = 0.03;

/// From this step on a rider misses a gear between, as a part. Common practice, no source.
pub const GAP: f64 = 0.20;

/// Every gear before and after.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gears {
    /// As the bike is; empty where nobody told its gears.
    pub before: Vec<GearRow>,
    /// After the changes, lowest first.
    pub after: Vec<GearRow>,
    /// Whether only the ends of the cassette were told, so that what lies between is missing.
    pub ends_only: bool,
    /// How many gears another one is nearly the same as.
    pub overlapping: usize,
    /// ± of every development, as a part of it: the wheel's radius.
    pub relative_pm: f64,
    /// Slowest cadence on a climb, turns a minute, which the climbs are told for.
    pub climbing_cadence: f64,
    /// Slopes, with the speed and the gear that the rider can hold on each; empty where somebody's weight is not known.
    pub climbs: Vec<Climb>,
    /// Power that they are told for, W, and whether it is only a guess.
    pub climbing_power: (f64, bool),
    /// The chain seen from above, after the changes; `None` where chainlines or the number of cogs are not known.
    pub fan: Option<FanWork>,
}

/// A slope, and how it is ridden.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Climb {
    /// Rise over level run, percent.
    pub slope: f64,
    /// Speed that the rider's power holds there, km/h.
    pub speed: f64,
    /// Turns of the cranks a minute in the lowest gear.
    pub cadence: f64,
    /// Place among the gears of the highest one that can still be turned at the slowest cadence; `None` where the lowest is too hard.
    pub gear: Option<usize>,
}

/// Slopes that are told, percent: a long pass, a steep road, a ramp, a wall.
const SLOPES: [f64; 6] = [4.0, 6.0, 8.0, 10.0, 15.0, 20.0];

/// One gear.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GearRow {
    /// Teeth of the ring.
    pub ring: f64,
    /// Teeth of the cog.
    pub cog: f64,
    /// Ratio of the hub gear or gearbox; 1 without one.
    pub inner: f64,
    /// Turns of the wheel for one of the cranks.
    pub ratio: f64,
    /// Way in one turn of the cranks, m.
    pub development: f64,
    /// Way of the bike over way of the foot.
    pub gain_ratio: Option<f64>,
    /// Speed at [`BRISK`], km/h.
    pub speed: f64,
    /// Step from the next lower gear, percent.
    pub step: Option<f64>,
    /// Angle of the chain, degrees, positive where it runs outward to the rear.
    pub chain_angle: Option<f64>,
}

/// The chain seen from above, mm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FanWork {
    /// Distance from the frame's middle plane and teeth of each ring, innermost first.
    pub rings: Vec<(f64, f64)>,
    /// The same of each cog, innermost (largest) first.
    pub cogs: Vec<(f64, f64)>,
    /// Bottom bracket to rear axle.
    pub centres: f64,
    /// Places of the ring and the cog that lie furthest apart across the bike.
    pub worst: (usize, usize),
    /// The angle there, degrees.
    pub worst_angle: f64,
}

/// The rows that make gears.
#[derive(Clone, Copy)]
struct Rows<'a> {
    rings: &'a Series,
    cogs: &'a Series,
    inner: Option<&'a Series>,
}

pub(super) fn gears(given: &Given<'_>) -> Option<Gears> {
    let record = given.fitting.record();
    let told = |key: &str| record.series.get(key);
    let set = |key: &str| given.fitting.series(key);
    let after = Rows {
        rings: set("drivetrain.ring_teeth")?,
        cogs: set("drivetrain.cog_teeth")?,
        inner: set("drivetrain.inner_ratios"),
    };
    let before = told("drivetrain.ring_teeth").zip(told("drivetrain.cog_teeth")).map(|(rings, cogs)| Rows {
        rings,
        cogs,
        inner: told("drivetrain.inner_ratios"),
    });
    let [bike, bike_after] = given.bikes;
    let radius = &given.build.bike.rear_radius;
    let rows = list(&after, bike_after);
    let ratios: Vec<f64> = rows.iter().map(|row| row.ratio).collect();
    Some(Gears {
        before: before.map(|rows| list(&rows, bike)).unwrap_or_default(),
        ends_only: after.cogs.count().is_none(),
        overlapping: gear::overlapping(&ratios, SAME),
        relative_pm: 2.0 * radius.standard_uncertainty() / radius.value,
        climbing_cadence: bike_after.climbing_cadence * 60.0,
        climbs: climbs(&rows, bike_after),
        climbing_power: (
            bike_after.rider_power,
            given.build.inputs.iter().any(|input| input.key == "rider.power" && input.is_placeholder()),
        ),
        fan: fan(&after, bike_after),
        after: rows,
    })
}

fn list(rows: &Rows<'_>, bike: &Bike<f64>) -> Vec<GearRow> {
    let [rings, cogs] = across(rows, bike);
    let inner: &[f64] = rows.inner.map_or(&[1.0], |series| &series.values);
    let mut list: Vec<GearRow> = gear::gears(&rows.rings.values, &rows.cogs.values, inner)
        .map(|gear| one(gear, bike, angle(rows, &gear, &rings, &cogs, bike)))
        .collect();
    list.sort_by(|a, b| a.ratio.total_cmp(&b.ratio));
    for at in 1..list.len() {
        list[at].step = known(gear::step(list[at - 1].ratio, list[at].ratio) * 100.0);
    }
    list
}

fn one(gear: Gear<f64>, bike: &Bike<f64>, chain_angle: Option<f64>) -> GearRow {
    let ratio = gear.ratio();
    let development = gear::development(ratio, bike.rear_radius);
    GearRow {
        ring: gear.ring,
        cog: gear.cog,
        inner: gear.inner,
        ratio,
        development: development / 1000.0,
        gain_ratio: known(gear::gain_ratio(ratio, bike.rear_radius, bike.crank_length)),
        speed: gear::speed(development, BRISK / 60.0) * 3.6,
        step: None,
        chain_angle,
    }
}

/// How each of the slopes is ridden.
fn climbs(rows: &[GearRow], bike: &Bike<f64>) -> Vec<Climb> {
    let resistance =
        Resistance { rolling: bike.rolling, drag_area: bike.drag_area, air_density: AIR_DENSITY };
    let mass = bike.bike_mass + bike.rider_mass + bike.kit_mass;
    let climb = |slope: f64| {
        let speed = resistance.speed(bike.rider_power * CHAIN_EFFICIENCY, (slope / 100.0).atan(), mass);
        let cadence = |row: &GearRow| speed / row.development * 60.0;
        // A hair of room for the last digit.
        let turned = |row: &GearRow| cadence(row) >= bike.climbing_cadence * 60.0 - 1e-9;
        Some(Climb {
            slope,
            speed: known(speed)? * 3.6,
            cadence: cadence(rows.first()?),
            gear: rows.iter().rposition(turned),
        })
    };
    SLOPES.into_iter().filter_map(climb).collect()
}

/// Rings and cogs across the bike.
fn across(rows: &Rows<'_>, bike: &Bike<f64>) -> [Row<f64>; 2] {
    let count = |series: &Series, told: f64| series.count().map_or(told, |count| count as f64);
    [
        Row { line: bike.front_chainline, spacing: bike.ring_spacing, count: count(rows.rings, f64::NAN) },
        Row { line: bike.rear_chainline, spacing: bike.cog_spacing, count: count(rows.cogs, bike.cog_count) },
    ]
}

fn angle(
    rows: &Rows<'_>,
    gear: &Gear<f64>,
    rings: &Row<f64>,
    cogs: &Row<f64>,
    bike: &Bike<f64>,
) -> Option<f64> {
    let place = |series: &Series, teeth: f64| series.values.iter().position(|value| *value == teeth);
    let ring = place(rows.rings, gear.ring)? as f64;
    let from_smallest = place(rows.cogs, gear.cog)? as f64;
    // Of a cassette that only its ends are told of, the largest cog is the innermost of all.
    let cog = if from_smallest > 0.0 && rows.cogs.count().is_none() {
        0.0
    } else {
        cogs.count - 1.0 - from_smallest
    };
    known(chainline::angle(rings.at(ring), cogs.at(cog), bike.chainstay).to_degrees())
}

fn fan(rows: &Rows<'_>, bike: &Bike<f64>) -> Option<FanWork> {
    rows.cogs.count()?;
    let [rings, cogs] = across(rows, bike);
    let ring_places: Vec<(f64, f64)> =
        rows.rings.values.iter().enumerate().map(|(at, teeth)| (rings.at(at as f64), *teeth)).collect();
    let cog_places: Vec<(f64, f64)> =
        rows.cogs.values.iter().rev().enumerate().map(|(at, teeth)| (cogs.at(at as f64), *teeth)).collect();
    let pairs = (0..ring_places.len()).flat_map(|ring| (0..cog_places.len()).map(move |cog| (ring, cog)));
    let offset = |(ring, cog): &(usize, usize)| (cog_places[*cog].0 - ring_places[*ring].0).abs();
    let worst = pairs.max_by(|a, b| offset(a).total_cmp(&offset(b)))?;
    let worst_angle = known(chainline::worst(&rings, &cogs, bike.chainstay).to_degrees())?;
    Some(FanWork { rings: ring_places, cogs: cog_places, centres: bike.chainstay, worst, worst_angle })
}
