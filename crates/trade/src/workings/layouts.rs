//! Ways to lay the chain, held against each other on one bike: rows of `data/layouts.toml`.

use knockon_engine::bike::Bike;
use knockon_engine::drivetrain::layout::{Joints, Laid, Layout, Wheel};
use knockon_engine::geometry::frame::rear_axle;
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::quantity::{Quantity, standing};
use knockon_engine::suspension::chain::pitch_radius;
use knockon_engine::suspension::sag::GRAVITY;
use serde::Deserialize;

use super::{Given, known};
use crate::tables;

/// A way to lay the chain; a row of `data/layouts.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayoutRow {
    /// Snake-case name.
    pub id: String,
    /// "Derailleur".
    pub label: String,
    /// Why it is built that way, in a sentence or two.
    pub why: String,
    /// Wheels on the tight run, from the ring to the cog.
    #[serde(default)]
    tight: Vec<Pulley>,
    /// Wheels on the slack run, from the cog to the ring.
    #[serde(default)]
    slack: Vec<Pulley>,
    /// Pull of the tensioner, N.
    pub slack_pull: f64,
    /// Where gears sit beside rings and cogs.
    #[serde(default)]
    inner: Inner,
    /// Ratios of those gears, lowest and highest.
    #[serde(default)]
    inner_ratios: Option<[f64; 2]>,
    /// What they let through, a plain number.
    #[serde(default = "all")]
    inner_efficiency: f64,
    /// Room that it takes across the bike, mm.
    pub across: f64,
    /// Usual step between gears, percent.
    pub step: f64,
    /// Mass of the whole drivetrain, kg.
    pub mass: f64,
    /// Where the figures are from.
    pub source: String,
}

fn all() -> f64 {
    1.0
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Inner {
    /// There are none.
    #[default]
    None,
    /// In the hub: the chain has the ring's torque.
    Hub,
    /// At the cranks: the chain has what the gears make of it.
    Cranks,
}

/// A wheel beside ring and cog.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pulley {
    teeth: f64,
    /// From the bottom bracket, or from the lowest point of the cog's pitch circle; mm forward and up.
    from: From,
    x: f64,
    y: f64,
    /// Whether it turns as the ring does.
    with_ring: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum From {
    BottomBracket,
    Cog,
}

/// One way on this bike, in its lowest gear.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The row, or for the first way turned over the row that it was.
    pub row: &'static LayoutRow,
    /// Whether it is the row's way with its wheels turned over into the tight run.
    pub turned_over: bool,
    /// What it does.
    pub laid: Laid<f64>,
    /// Where the cog is.
    pub cog: FramePoint<f64>,
    /// Torque at the cranks that it is told for, N·m.
    pub torque: f64,
    /// How often a joint bends under load.
    pub engagements: usize,
    /// Height of the chain's lowest point above the ground, mm.
    pub clearance: Option<f64>,
    /// Height of the ground below the bottom bracket, mm (negative).
    pub ground: f64,
    /// Radius of the rear tyre, mm.
    pub tyre: f64,
    /// Most force on the axle of a wheel beside ring and cog, N; `None` without one.
    pub on_pulley: Option<f64>,
    /// Range, percent.
    pub range: Option<f64>,
}

/// Friction of an oiled chain's joints. µ 0.09 (Spicer et al. 2001, as restated in later public work), pin of 3.6 mm (from memory,
/// unverified).
const JOINTS: Joints<f64> = Joints { friction: 0.09, radius: 1.8 };

/// Every way on this bike; nothing where ring, cog, crank or rider are not known.
pub(super) fn compare(given: &Given<'_>) -> Vec<Compared> {
    let bike = given.bikes[1];
    let rows = tables::layouts();
    let mut all: Vec<Compared> = rows.iter().filter_map(|row| one(row, bike, false)).collect();
    // What would happen if it were turned over: the question that explains the others.
    if let Some(over) = rows.first().and_then(|row| one(row, bike, true)) {
        all.insert(1.min(all.len()), over);
    }
    all
}

fn one(row: &'static LayoutRow, bike: &Bike<f64>, turned_over: bool) -> Option<Compared> {
    let height = standing(bike)[Quantity::BottomBracketHeight as usize];
    let torque = known(bike.rider_mass * GRAVITY * bike.crank_length / 1000.0)?;
    let lowest = known(bike.ring_smallest / bike.cog_largest * bike.inner_lowest)?;
    let range = bike.ring_largest / bike.cog_smallest * bike.inner_highest / lowest;
    let (ring, cog, inner) = wheels(row, bike, lowest);
    let axle = rear_axle(bike);
    let place = |pulley: &Pulley| {
        let centre = match pulley.from {
            From::BottomBracket => FramePoint { x: pulley.x, y: pulley.y },
            From::Cog => FramePoint { x: axle.x + pulley.x, y: axle.y - pitch_radius(cog) + pulley.y },
        };
        Wheel { centre, teeth: pulley.teeth, with_ring: pulley.with_ring }
    };
    let bottom_bracket = FramePoint { x: 0.0, y: 0.0 };
    let mut layout = Layout {
        ring: Wheel { centre: bottom_bracket, teeth: ring, with_ring: true },
        tight: row.tight.iter().map(place).collect(),
        cog: Wheel { centre: axle, teeth: cog, with_ring: true },
        slack: row.slack.iter().map(place).collect(),
        cranks_per_ring: if row.inner == Inner::Cranks { 1.0 / inner } else { 1.0 },
        inner_efficiency: row.inner_efficiency,
    };
    if turned_over {
        layout = layout.turned_over();
    }
    let laid = layout.laid(torque, row.slack_pull, &JOINTS);
    known(laid.length)?;
    let pulleys =
        || laid.wheels.iter().enumerate().filter(|(at, _)| *at != 0 && *at != layout.tight.len() + 1);
    let on_pulley = pulleys().map(|(_, at)| at.on_axle).reduce(f64::max);
    Some(Compared {
        row,
        turned_over,
        cog: axle,
        torque,
        engagements: layout.engagements_under_load(),
        clearance: known(laid.lowest + height),
        ground: -height,
        tyre: bike.rear_radius,
        on_pulley,
        range: known(match row.inner_ratios {
            Some([least, most]) => most / least,
            None => range,
        })
        .map(|range| range * 100.0),
        laid,
    })
}

/// Ring, cog and inner ratio of the lowest gear, so that it is about that of the bike.
fn wheels(row: &LayoutRow, bike: &Bike<f64>, lowest: f64) -> (f64, f64, f64) {
    match (row.inner, row.inner_ratios) {
        (Inner::Hub, Some([least, _])) => {
            let ring = bike.ring_largest;
            (ring, (ring * least / lowest).round().clamp(11.0, 26.0), least)
        }
        (Inner::Cranks, Some([least, _])) => {
            let cog = bike.ring_largest.clamp(22.0, 34.0);
            ((cog * lowest / least).round().clamp(18.0, 50.0), cog, least)
        }
        _ => (bike.ring_smallest, bike.cog_largest, 1.0),
    }
}
