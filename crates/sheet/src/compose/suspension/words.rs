//! What each curve is called, what it means to a rider, and what must be known for it.

use knockon_engine::suspension::curve::Curve;

/// Where the meanings are from.
pub(super) const SOURCE: &str = "common practice, no source";

/// A curve that gets a chart.
pub(super) struct Charted {
    pub(super) curve: Curve,
    pub(super) label: &'static str,
    /// One sentence for a rider.
    pub(super) meaning: &'static str,
    /// What the record must hold.
    pub(super) needs: &'static str,
    /// A level worth a line of its own, in the unit of the edge.
    pub(super) level: Option<f64>,
}

const CHAIN: &str = "the linkage's points and the teeth of ring and cog";

pub(super) const CHARTS: [Charted; 6] = [
    Charted {
        curve: Curve::Leverage,
        label: "Leverage ratio",
        meaning: "How far the wheel moves for each millimetre that the shock moves: where the line is high the \
                  suspension is soft, and a line that falls towards the right holds up better on big hits.",
        needs: "rear travel and the shock's stroke, or the linkage's points",
        level: None,
    },
    Charted {
        curve: Curve::AntiSquat,
        label: "Anti-squat",
        meaning: "How much of the squat under pedalling the chain holds up: near 100 % the bike stays level when \
                  pedalled hard, above it the rear rises and feels firm, well below it the rear bobs.",
        needs: "the linkage's points, ring and cog, and the height of the centre of mass",
        level: Some(100.0),
    },
    Charted {
        curve: Curve::AntiRise,
        label: "Anti-rise",
        meaning: "How far the rear brake keeps the rear from rising: at 100 % braking leaves the rear where it is, \
                  above it braking pulls the rear down, below it the rear comes up and the bike pitches forward.",
        needs: "the linkage's points, the part that carries the brake caliper, and the height of the centre of mass",
        level: Some(100.0),
    },
    Charted {
        curve: Curve::Kickback,
        label: "Pedal kickback",
        meaning: "How far the cranks would be pulled backwards by that much travel with the rear wheel held still: \
                  the higher, the more the feet may feel on rough ground.",
        needs: CHAIN,
        level: None,
    },
    Charted {
        curve: Curve::ChainGrowth,
        label: "Chain growth",
        meaning: "By how much the way that the chain has to go gets longer: the chain must be long enough for \
                  the most of it.",
        needs: CHAIN,
        level: None,
    },
    Charted {
        curve: Curve::WheelForce,
        label: "Force at the wheel",
        meaning: "How hard the spring pushes back at the rear axle: where the line is steep the rear feels firm, and \
                  a line that climbs steeply at the end guards against bottoming out.",
        needs: "the shock's spring: a coil's rate and preload, or an air spring's pressure, piston area and chamber",
        level: None,
    },
];

/// A row of the table "Through the travel".
pub(super) const ROWS: [(Curve, &str); 13] = [
    (Curve::Compression, "Shock compression"),
    (Curve::Travel, "Vertical travel"),
    (Curve::Leverage, "Leverage ratio"),
    (Curve::AntiSquat, "Anti-squat"),
    (Curve::AntiRise, "Anti-rise"),
    (Curve::Kickback, "Pedal kickback"),
    (Curve::ChainGrowth, "Chain growth"),
    (Curve::WheelForce, "Force at the wheel"),
    (Curve::HeadAngle, "Head angle"),
    (Curve::Trail, "Trail"),
    (Curve::BottomBracketHeight, "Bottom bracket height"),
    (Curve::GripStack, "Grip stack"),
    (Curve::GripReach, "Grip reach"),
];
