//! What the trade works out in depth beside the knock-ons: every gear, the chain, the brakes on a way down, the wheels, a bolt.
//!
//! - [`gears`]: every gear with its development, speed, step and climb, and how the chain runs across the bike;
//! - [`chain`]: pieces, capacity, wear;
//! - [`layouts`]: other ways to lay the chain, held against the bike's own;
//! - [`braking`]: from the hand to the tyre, how hard it can slow down, how hot it gets (`heat`);
//! - [`wheel`]: tyre, pressure, spokes;
//! - [`torque`]: what a torque does to a bolt, and the usual ones of a bicycle's joints.
//!
//! Formulas are the engine's, figures that a record does not tell those of `data/`. Values are in the units of the edge.

pub mod braking;
pub mod chain;
pub mod gears;
mod heat;
pub mod layouts;
pub mod torque;
pub mod wheel;

use knockon_engine::bike::Bike;
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::tolerance::Uncertain;

use crate::build::Build;
use crate::fit::Fitting;

/// Which of the workings an answer tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// Those that a change touches.
    Touched,
    /// All that the record suffices for.
    All,
    /// One topic, as far as the record suffices.
    Only(Topic),
}

/// What can be asked for in depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    /// Every gear, and other ways to lay the chain.
    Gears,
    /// The chain.
    Chain,
    /// The brakes.
    Brakes,
    /// The wheels.
    Wheels,
}

/// What was worked out; `None` (or nothing) where no change touches it or the record does not suffice.
#[derive(Clone, Debug, Default)]
pub struct Workings {
    /// Every gear.
    pub gears: Option<gears::Gears>,
    /// The chain.
    pub chain: Option<chain::ChainWork>,
    /// Other ways to lay it.
    pub layouts: Vec<layouts::Compared>,
    /// The brakes.
    pub brakes: Option<braking::Braking>,
    /// The wheels, front first.
    pub wheels: Vec<wheel::WheelWork>,
}

impl Workings {
    /// Keys of a record whose cautions belong to what is told.
    pub(crate) fn keys(&self) -> Vec<&'static str> {
        let mut keys = Vec::new();
        if self.chain.is_some() || self.gears.is_some() {
            keys.push("drivetrain.ring_teeth");
        }
        if self.brakes.is_some() {
            keys.push("brake.front.rotor");
        }
        for wheel in &self.wheels {
            if wheel.tyre.is_some() {
                keys.push("wheel.rear.tyre");
            }
            if wheel.spokes.is_some() {
                keys.push("wheel.rear.spokes");
            }
        }
        keys
    }
}

/// What the workings are made from.
pub(crate) struct Given<'a> {
    pub(crate) fitting: &'a Fitting<'a>,
    pub(crate) build: &'a Build,
    /// The bike before and after, plain.
    pub(crate) bikes: [&'a Bike<f64>; 2],
    /// The bike after the changes, every number with its tolerance.
    pub(crate) linkages: [Option<&'a Linkage<f64>>; 2],
}

impl Given<'_> {
    /// Whether a change is about a key that begins like one of these.
    fn touches(&self, beginnings: &[&str]) -> bool {
        self.fitting.changes().iter().any(|change| {
            beginnings
                .iter()
                .any(|begin| change.key().starts_with(begin) || change.subject().starts_with(begin))
        })
    }
}

/// Works out what the answer tells.
pub(crate) fn all(given: &Given<'_>, told: Told, way: &braking::Way) -> Workings {
    let wanted = |topic: Topic, beginnings: &[&str]| match told {
        Told::All => true,
        Told::Only(only) => only == topic,
        Told::Touched => given.touches(beginnings),
    };
    let gears = wanted(Topic::Gears, &["drivetrain.", "crank.", "frame.chainline"]);
    let chain = wanted(Topic::Chain, &["drivetrain.", "chart.chainstay", "linkage."]);
    Workings {
        gears: gears.then(|| gears::gears(given)).flatten(),
        chain: chain.then(|| chain::chain(given)).flatten(),
        layouts: if wanted(Topic::Gears, &["linkage.idler", "drivetrain.inner_ratios"]) {
            layouts::compare(given)
        } else {
            Vec::new()
        },
        brakes: wanted(Topic::Brakes, &["brake."]).then(|| braking::braking(given, way)).flatten(),
        wheels: wheel::Place::ALL
            .into_iter()
            .filter(|place| wanted(Topic::Wheels, &[place.group(), "rider.mass", "rider.kit", "bike.mass"]))
            .filter_map(|place| wheel::wheel(given, place))
            .collect(),
    }
}

/// A finite number, else nothing.
pub(crate) fn known(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// A number with inputs of its own: the place of its input, its value and its standard uncertainty.
pub(crate) fn own(inputs: &mut usize, value: f64, uncertainty: f64) -> Uncertain {
    let input = *inputs;
    *inputs += 1;
    Uncertain { value, moves: if uncertainty > 0.0 { vec![(input, uncertainty)] } else { Vec::new() } }
}
