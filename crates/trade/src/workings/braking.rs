//! The brakes: what the rotor's size does, how hard the bike can slow down, how hot the rotors get on a way down.

use knockon_engine::bike::Bike;
use knockon_engine::brake::distance::stopping_distance;
use knockon_engine::brake::leverage::{Path, effective_radius};
use knockon_engine::brake::stop::Load;
use knockon_engine::brake::wear;
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::geometry::{FramePoints, Stance};
use knockon_engine::road::{AIR_DENSITY, Resistance};
use knockon_engine::tolerance::Uncertain;
use serde::{Deserialize, Serialize};

use super::heat::{Ring, curves};
use super::{Given, known};
use crate::tables;

/// A way down, as a rider tells it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Way {
    /// Gradient, percent.
    pub gradient: f64,
    /// Length, km.
    pub length: f64,
    /// Speed that is held, km/h.
    pub speed: f64,
    /// Part of the braking that the front brake does, percent.
    pub front_share: f64,
    /// Air, °C.
    pub air: f64,
}

impl Way {
    /// A way that asks much of a brake: 10 % for 4 km at 25 km/h, three fifths on the front brake. From memory, unverified.
    pub fn usual() -> Way {
        Way { gradient: 10.0, length: 4.0, speed: 25.0, front_share: 60.0, air: 20.0 }
    }

    /// What is wrong with it, where it is no way down.
    ///
    /// ```
    /// use knockon_trade::workings::braking::Way;
    /// assert_eq!(Way::usual().fault(), None);
    /// assert!(Way { speed: 0.0, ..Way::usual() }.fault().unwrap().contains("speed"));
    /// ```
    pub fn fault(&self) -> Option<String> {
        let ranges = [
            ("gradient", self.gradient, [0.5, 45.0], "%"),
            ("length", self.length, [0.05, 60.0], "km"),
            ("speed", self.speed, [3.0, 110.0], "km/h"),
            ("front share", self.front_share, [0.0, 100.0], "%"),
            ("air", self.air, [-40.0, 55.0], "°C"),
        ];
        let out = ranges.into_iter().find(|(_, value, [least, most], _)| !(least..=most).contains(&value));
        out.map(|(name, value, [least, most], unit)| {
            format!("a {name} of {value} {unit} is out of range: {least} to {most} {unit}")
        })
    }
}

/// The size of a rotor; a row of `data/rotors.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RotorSize {
    /// Diameter, mm.
    pub diameter: f64,
    /// Mass of the ring that the pads run on, kg.
    pub mass: f64,
    /// Area that cools, both faces, m².
    pub area: f64,
    /// Source.
    pub source: String,
}

/// Something that happens to a brake at a temperature; a row of `data/heat_levels.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeatLevel {
    /// What happens.
    pub what: String,
    /// At which temperature of the rotor, °C.
    pub celsius: f64,
    /// What to do about it, or what it is not.
    pub note: String,
    /// Source.
    pub source: String,
}

/// What a tyre holds on the road; a row of `data/grips.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grip {
    /// "dry asphalt".
    pub road: String,
    /// Coefficient of friction.
    pub friction: f64,
    /// Source.
    pub source: String,
}

/// The brakes before and after.
#[derive(Clone, Debug)]
pub struct Braking {
    /// The way down that the temperatures are told for.
    pub way: Way,
    /// Front and rear; only those of which the rotor is known.
    pub ends: Vec<End>,
    /// Deceleration at which the rear wheel lifts, m/s², and ±; `None` where the centre of mass is not known.
    pub tip_over: Option<(f64, f64)>,
    /// Limits by road.
    pub limits: Vec<Limits>,
    /// Power of all brakes on the way, W; `None` where the weights are not known.
    pub power: Option<f64>,
}

/// One brake.
#[derive(Clone, Debug, Serialize)]
pub struct End {
    /// "front" or "rear".
    pub name: &'static str,
    /// Diameter of the rotor before and after, mm.
    pub rotor: [Option<f64>; 2],
    /// Effective radius before and after, mm.
    pub effective: [Option<f64>; 2],
    /// By how much more the tyre is held for the same hand, percent.
    pub more: Option<f64>,
    /// Force at the tyre over that of the hand, and ±; from the record's levers and pistons, or from usual ones.
    pub gain: Option<(f64, f64)>,
    /// Force of the hand, N, and ±, that slows bike and rider down by [`BRISK`] with this brake alone; `None` where weights are not known or
    /// it would tip or skid first.
    pub hand: Option<(f64, f64)>,
    /// Whether levers and pistons are the record's.
    pub levers_are_told: bool,
    /// Temperature over time after the changes: minutes, °C, ±.
    pub after: Vec<[f64; 3]>,
    /// The same before: minutes, °C; empty where nothing changed.
    pub before: Vec<[f64; 2]>,
    /// Mass of the ring that was taken, kg.
    pub mass: f64,
    /// Whether the record told it.
    pub mass_is_told: bool,
    /// Part of the rotor's wear material that is left, percent.
    pub rotor_left: Option<f64>,
    /// Part of the pads' lining that is left above its least, mm.
    pub lining_left: Option<f64>,
}

/// How hard the bike can slow down on a road, m/s², and how far it goes from 25 km/h, m.
#[derive(Clone, Debug)]
pub struct Limits {
    /// The road.
    pub grip: &'static Grip,
    /// Both brakes.
    pub both: f64,
    /// The rear brake alone.
    pub rear: f64,
    /// The front brake alone.
    pub front: f64,
    /// Way to stand still from [`FROM`], both brakes, without the time to react, m.
    pub distance: f64,
}

/// A brisk deceleration, m/s²: the one that roads are laid out for, 0.35 g (AASHTO Green Book, as restated in public pages).
pub const BRISK: f64 = 3.4;

/// Most force that a test of ISO 4210 puts on a hand lever, N. Source: TBIS 4210-2:2018, 4.6.9 (seen).
pub const MOST_BY_HAND: f64 = 180.0;

/// Usual lever ratio, area of the pistons at one pad over the master's, friction of the pads; ± is a third. From memory, unverified:
/// 4 to 6, about 4.8, 0.3 to 0.5.
const LEVER: f64 = 5.0;
const PISTONS: f64 = 4.8;
const PADS: f64 = 0.4;
const A_THIRD: f64 = 1.0 / 3.0;

/// Speed that distances are told from, km/h: that of ISO 4210's test on a dry road (from memory, unverified).
pub const FROM: f64 = 25.0;

pub(crate) fn braking(given: &Given<'_>, way: &Way) -> Option<Braking> {
    let after = given.bikes[1];
    let ends: Vec<End> = [true, false].into_iter().filter_map(|front| end(given, way, front)).collect();
    // Of a frame that nobody has told, where the bike tips would be that of any bike.
    let framed =
        !given.build.inputs.iter().any(|input| input.is_placeholder() && input.key.starts_with("chart."));
    let load = load(after).filter(|_| framed);
    let tip_over = load.and_then(|load| known(load.tip_over(0.0))).map(|limit| (limit, tip_over_pm(given)));
    if ends.is_empty() && tip_over.is_none() {
        return None;
    }
    let limits =
        load.iter().flat_map(|load| tables::grips().iter().filter_map(|grip| limits(load, grip))).collect();
    let mass = after.bike_mass + after.rider_mass + after.kit_mass;
    let resistance =
        Resistance { rolling: after.rolling, drag_area: after.drag_area, air_density: AIR_DENSITY };
    let power = knockon_engine::brake::descent::braking_power(
        mass,
        way.gradient / 100.0,
        way.speed / 3.6,
        &resistance,
    );
    Some(Braking { way: *way, ends, tip_over, limits, power: known(power) })
}

/// The centre of mass of bike and rider on level ground, suspension extended.
fn load(bike: &Bike<f64>) -> Option<Load<f64>> {
    let points = FramePoints::new(bike, 0.0);
    let stance = Stance::on(bike, points.front_axle, points.rear_axle);
    let mass = stance.from_bottom_bracket(FramePoint { x: bike.mass_ahead, y: bike.mass_above });
    let rear = stance.from_bottom_bracket(points.rear_axle);
    let wheelbase = known(stance.wheelbase())?;
    let height = known(mass.y + stance.bottom_bracket_height())?;
    Some(Load { to_front: wheelbase - (mass.x - rear.x), height, wheelbase })
}

fn limits(load: &Load<f64>, grip: &'static Grip) -> Option<Limits> {
    let both = known(load.both(grip.friction, 0.0))?;
    Some(Limits {
        grip,
        both,
        rear: load.rear_only(grip.friction, 0.0),
        front: load.front_only(grip.friction, 0.0),
        distance: stopping_distance(FROM / 3.6, both, 0.0),
    })
}

/// ± of the tip-over deceleration: from where the centre of mass is.
fn tip_over_pm(given: &Given<'_>) -> f64 {
    let bike = &given.build.bike;
    let plain = |parameter: &Uncertain| parameter.standard_uncertainty();
    let Some(load) = load(given.bikes[1]) else { return f64::NAN };
    // a = g·x/h: both parts in quadrature.
    let parts = (plain(&bike.mass_ahead) / load.to_front).hypot(plain(&bike.mass_above) / load.height);
    2.0 * load.tip_over(0.0) * parts
}

fn end(given: &Given<'_>, way: &Way, front: bool) -> Option<End> {
    let name = if front { "front" } else { "rear" };
    let sizes = given.bikes.map(|bike| {
        let (rotor, wheel) =
            if front { (bike.front_rotor, bike.front_radius) } else { (bike.rear_rotor, bike.rear_radius) };
        (known(rotor), effective_radius(rotor, bike.pad_height), wheel)
    });
    sizes[1].0?;
    let hold = sizes.map(|(_, radius, wheel)| radius / wheel);
    let told = |what: &str| given.fitting.figure(&format!("brake.{name}.{what}")).map(|figure| figure.value);
    let mass = |at: usize| {
        let size = tables::rotor(sizes[at].0?)?;
        // What the record tells of a rotor that another one takes the place of is not told of that one.
        let old = given.fitting.record().fact(&format!("brake.{name}.rotor_mass")).map(|fact| fact.value);
        let told = if at == 0 { old } else { told("rotor_mass") };
        Some(Ring {
            mass: told.unwrap_or(size.mass),
            is_told: told.is_some(),
            area: size.area,
            diameter: sizes[at].0?,
        })
    };
    let ring = mass(1)?;
    let pull = pull(given, name, hold[1]);
    let (before, after) = curves(given, way, front, [mass(0), Some(ring)]);
    let left = |now: Option<f64>, new: f64, least: Option<f64>| known(wear::left(now?, new, least?) * 100.0);
    Some(End {
        name,
        rotor: sizes.map(|size| size.0),
        effective: sizes.map(|size| known(size.1)),
        more: known((hold[1] / hold[0] - 1.0) * 100.0),
        gain: pull.gain,
        hand: pull.hand,
        levers_are_told: pull.is_told,
        before,
        after,
        mass: ring.mass,
        mass_is_told: ring.is_told,
        rotor_left: left(told("rotor_thickness"), NEW_ROTOR, told("rotor_thickness_least")),
        lining_left: told("pad").zip(told("pad_least")).map(|(now, least)| now - least),
    })
}

/// From the hand to the tyre.
struct Pull {
    gain: Option<(f64, f64)>,
    hand: Option<(f64, f64)>,
    is_told: bool,
}

fn pull(given: &Given<'_>, name: &str, hold: f64) -> Pull {
    let figure = |what: &str, usual: f64| {
        let told = given.fitting.figure(&format!("brake.{name}.{what}"));
        let is_told = told.is_some();
        (told.map_or((usual, usual * A_THIRD / 2.0), |figure| (figure.value, figure.uncertainty)), is_told)
    };
    let (lever, lever_is_told) = figure("lever_ratio", LEVER);
    let (pistons, pistons_are_told) = figure("piston_ratio", PISTONS);
    // With radius over wheel as it stands the path has a wheel of 1.
    let path = Path {
        hand_lever: lever.0,
        transmission: pistons.0,
        friction: PADS,
        radius: hold,
        wheel_radius: 1.0,
    };
    let part = |(value, uncertainty): (f64, f64)| uncertainty / value;
    let spread = part(lever).hypot(part(pistons)).hypot(A_THIRD / 2.0);
    let bike = given.bikes[1];
    let mass = bike.bike_mass + bike.rider_mass + bike.kit_mass;
    let alone = load(bike).map(|load| {
        let grip = tables::grips().first().map_or(f64::NAN, |grip| grip.friction);
        if name == "front" { load.front_only(grip, 0.0) } else { load.rear_only(grip, 0.0) }
    });
    let hand = alone.filter(|limit| *limit >= BRISK).and_then(|_| known(path.hand_force_for(mass * BRISK)));
    Pull {
        gain: known(path.gain()).map(|gain| (gain, 2.0 * spread * gain)),
        hand: hand.map(|force| (force, 2.0 * spread * force)),
        is_told: lever_is_told && pistons_are_told,
    }
}

/// Thickness of a new rotor, mm, that wear is counted from. Common practice, no source: 1.75 to 1.85 mm; thicker ones exist.
const NEW_ROTOR: f64 = 1.8;
