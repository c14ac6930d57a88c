//! Gears, chain, ways to lay it, brakes and wheels in depth, at full precision; lengths in mm.

use knockon_engine::wheel::pressure::Ruled;
use knockon_trade::workings::Workings;
use knockon_trade::workings::braking::{Braking, End, Way};
use knockon_trade::workings::chain::ChainWork;
use knockon_trade::workings::gears::Gears;
use knockon_trade::workings::layouts::Compared;
use knockon_trade::workings::torque::{BoltWork, JointRow};
use knockon_trade::workings::wheel::{SpokeWork, TensionWork, WheelWork};
use serde::Serialize;

/// Everything that was worked out; `null` or empty where no change touches it or the record does not suffice.
#[derive(Serialize)]
pub(crate) struct InDepth<'a> {
    gears: Option<&'a Gears>,
    chain: Option<&'a ChainWork>,
    layouts: Vec<LaidOut<'a>>,
    brakes: Option<Brakes<'a>>,
    wheels: Vec<OneWheel<'a>>,
}

pub(crate) fn part(workings: &Workings) -> InDepth<'_> {
    InDepth {
        gears: workings.gears.as_ref(),
        chain: workings.chain.as_ref(),
        layouts: workings.layouts.iter().map(layout).collect(),
        brakes: workings.brakes.as_ref().map(brakes),
        wheels: workings.wheels.iter().map(wheel).collect(),
    }
}

#[derive(Serialize)]
struct LaidOut<'a> {
    layout: &'a str,
    turned_over: bool,
    torque: f64,
    tight_tension: f64,
    slack_tension: f64,
    most_on_a_pulley: Option<f64>,
    engagements: usize,
    loss: f64,
    clearance: Option<f64>,
    across: f64,
    range: Option<f64>,
    step: f64,
    mass: f64,
    wraps: Vec<f64>,
}

fn layout(it: &Compared) -> LaidOut<'_> {
    LaidOut {
        layout: &it.row.id,
        turned_over: it.turned_over,
        torque: it.torque,
        tight_tension: it.laid.tight_tension,
        slack_tension: it.laid.slack_tension,
        most_on_a_pulley: it.on_pulley,
        engagements: it.engagements,
        loss: it.laid.loss * 100.0,
        clearance: it.clearance,
        across: it.row.across,
        range: it.range,
        step: it.row.step,
        mass: it.row.mass,
        wraps: it.laid.wheels.iter().map(|at| at.wrap.to_degrees()).collect(),
    }
}

#[derive(Serialize)]
struct Brakes<'a> {
    way: &'a Way,
    power: Option<f64>,
    tip_over: Option<f64>,
    tip_over_pm: Option<f64>,
    ends: &'a [End],
    limits: Vec<Limit<'a>>,
}

#[derive(Serialize)]
struct Limit<'a> {
    road: &'a str,
    friction: f64,
    both: f64,
    front: f64,
    rear: f64,
    distance: f64,
}

fn brakes(it: &Braking) -> Brakes<'_> {
    let limits = it.limits.iter().map(|limit| Limit {
        road: &limit.grip.road,
        friction: limit.grip.friction,
        both: limit.both,
        front: limit.front,
        rear: limit.rear,
        distance: limit.distance,
    });
    Brakes {
        way: &it.way,
        power: it.power,
        tip_over: it.tip_over.map(|(limit, _)| limit),
        tip_over_pm: it.tip_over.map(|(_, pm)| pm),
        ends: &it.ends,
        limits: limits.collect(),
    }
}

#[derive(Serialize)]
struct OneWheel<'a> {
    wheel: &'static str,
    tyre: Option<Tyre<'a>>,
    tension: Option<&'a TensionWork>,
    spokes: Option<&'a SpokeWork>,
    missing: &'a [&'static str],
}

#[derive(Serialize)]
struct Tyre<'a> {
    marked: &'a str,
    rim_inner: Option<f64>,
    inflated: Option<f64>,
    radius: f64,
    load: Option<f64>,
    rule: Option<f64>,
    rule_pm: Option<f64>,
    suggested: Option<f64>,
    ruled: Option<&'static str>,
    least: Option<f64>,
    most: Option<f64>,
    pressure: Option<f64>,
    drop: Option<f64>,
    drop_share: Option<f64>,
}

fn wheel(it: &WheelWork) -> OneWheel<'_> {
    let tyre = it.tyre.as_ref().map(|tyre| Tyre {
        marked: &tyre.marked,
        rim_inner: tyre.rim_inner,
        inflated: tyre.inflated,
        radius: tyre.radius,
        load: tyre.load,
        rule: tyre.rule.map(|(rule, _)| rule),
        rule_pm: tyre.rule.map(|(_, pm)| pm),
        suggested: tyre.suggested.map(|(bar, _)| bar),
        ruled: tyre.suggested.map(|(_, ruled)| ruled_by(ruled)),
        least: tyre.limits[0],
        most: tyre.limits[1],
        pressure: tyre.pressure,
        drop: tyre.drop,
        drop_share: tyre.drop_share,
    });
    OneWheel {
        wheel: it.place.word(),
        tyre,
        tension: it.tension.as_ref(),
        spokes: it.spokes.as_ref(),
        missing: &it.missing,
    }
}

fn ruled_by(ruled: Ruled) -> &'static str {
    match ruled {
        Ruled::Suggestion => "rule",
        Ruled::Least => "least",
        Ruled::Most => "most",
        Ruled::Nothing => "nothing",
        Ruled::Unknown => "unknown",
    }
}

/// A bolt and joints.
#[derive(Serialize)]
pub(crate) struct Torque<'a> {
    bolt: Option<Bolt<'a>>,
    joints: Vec<UsualTorque<'a>>,
    pub(crate) cautions: &'a [&'static str],
}

#[derive(Serialize)]
struct Bolt<'a> {
    thread: &'a str,
    class: &'a str,
    state: &'a str,
    stress_area: f64,
    proof_load: f64,
    bears: f64,
    torque: f64,
    preload_least: f64,
    preload: f64,
    preload_most: f64,
    worst_share: f64,
    nut_factor: f64,
    depth_in_steel: f64,
    depth_in_aluminium: f64,
    deep_enough: Option<bool>,
}

#[derive(Serialize)]
struct UsualTorque<'a> {
    joint: &'a str,
    least: f64,
    most: f64,
    thread: Option<&'a str>,
    mind: &'a str,
    source: &'a str,
}

pub(crate) fn torque<'a>(
    joints: &[&'a JointRow],
    bolt: Option<&'a BoltWork>,
    cautions: &'a [&'static str],
) -> Torque<'a> {
    let bolt = bolt.map(|bolt| Bolt {
        thread: &bolt.thread.name,
        class: &bolt.class.name,
        state: &bolt.friction.name,
        stress_area: bolt.area,
        proof_load: bolt.proof,
        bears: bolt.bears,
        torque: bolt.torque,
        preload_least: bolt.preload[0],
        preload: bolt.preload[1],
        preload_most: bolt.preload[2],
        worst_share: bolt.worst_share,
        nut_factor: bolt.nut_factor,
        depth_in_steel: bolt.engagement[2],
        depth_in_aluminium: bolt.engagement[3],
        deep_enough: bolt.deep_enough,
    });
    let joints = joints.iter().map(|joint| UsualTorque {
        joint: &joint.name,
        least: joint.torque[0],
        most: joint.torque[1],
        thread: joint.thread.as_deref(),
        mind: &joint.mind,
        source: &joint.source,
    });
    Torque { bolt, joints: joints.collect(), cautions }
}
