//! A part of the answer that works one thing out in depth: gears, chain, brakes, wheels. Finished words, figures and drawings'
//! data, in the sheet's units; every writer reads this and decides nothing of its own.

use kurbo::Point;

use crate::sheet::Note;

/// One part, below the knock-ons.
#[derive(Clone, Debug)]
pub struct Part {
    /// Snake-case name: "gears".
    pub id: &'static str,
    /// "Gears".
    pub title: String,
    /// What a rider has to know of it, in sentences.
    pub sentences: Vec<String>,
    /// Drawings.
    pub figures: Vec<Figure>,
    /// Tables.
    pub tables: Vec<Table>,
    /// What was assumed and where the formulas are from.
    pub notes: Vec<Note>,
}

/// A table of finished figures; the first column is a name, the others are figures.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// What it holds.
    pub title: String,
    /// Heads of the columns, with their units.
    pub head: Vec<String>,
    /// Rows; each as long as the head.
    pub rows: Vec<Vec<String>>,
}

/// A drawing with its words.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Snake-case name: "gear_chart".
    pub id: &'static str,
    /// "Gears by development".
    pub title: String,
    /// What it shows, for who cannot see it.
    pub description: String,
    /// What to read off it.
    pub caption: String,
    /// What is drawn.
    pub drawn: Drawn,
}

/// What a figure draws.
#[derive(Clone, Debug)]
pub enum Drawn {
    /// Every gear by its development.
    Gears(GearChart),
    /// The chain from above, from each ring to each cog.
    Fan(Fan),
    /// Temperatures over time.
    Heat(HeatChart),
    /// Ways to lay the chain, side by side.
    Layouts(Vec<LaidOut>),
}

/// Every gear as a rung on the ladder of its ring, by development.
#[derive(Clone, Debug, Default)]
pub struct GearChart {
    /// Unit of the developments: "m".
    pub unit: String,
    /// One line per ring, smallest first.
    pub rings: Vec<RingLine>,
    /// The same before the changes; empty where nothing moved.
    pub before: Vec<RingLine>,
}

/// The gears of one ring.
#[derive(Clone, Debug, Default)]
pub struct RingLine {
    /// "34 teeth".
    pub label: String,
    /// Development and the cog's (or inner gear's) name of each gear, lowest first.
    pub gears: Vec<(f64, String)>,
}

/// The chain from above.
#[derive(Clone, Debug, Default)]
pub struct Fan {
    /// Distance from the frame's middle plane toward the drive side, and teeth, of each ring, innermost first. In mm.
    pub rings: Vec<(f64, String)>,
    /// The same of each cog, innermost (largest) first.
    pub cogs: Vec<(f64, String)>,
    /// Distance from bottom bracket to rear axle, mm.
    pub centres: f64,
    /// Places in `rings` and `cogs` of the chain that runs most askew, and its angle in words: "2.9°".
    pub worst: (usize, usize, String),
}

/// Temperatures over time.
#[derive(Clone, Debug, Default)]
pub struct HeatChart {
    /// One curve per rotor.
    pub curves: Vec<HeatCurve>,
    /// Levels worth a line: what happens there, and °C.
    pub levels: Vec<(String, f64)>,
}

/// The temperature of one rotor.
#[derive(Clone, Debug, Default)]
pub struct HeatCurve {
    /// "Front rotor".
    pub label: String,
    /// Minutes, °C, and ± of the latter, after the changes.
    pub after: Vec<[f64; 3]>,
    /// Minutes and °C before them; empty where nothing moved.
    pub before: Vec<[f64; 2]>,
}

/// One way to lay the chain, in frame axes: mm, x forward, y up, origin bottom bracket.
#[derive(Clone, Debug, Default)]
pub struct LaidOut {
    /// "Derailleur".
    pub label: String,
    /// Centre, pitch radius and teeth of each wheel; the first is the ring.
    pub wheels: Vec<(Point, f64, String)>,
    /// Ends of each straight run of the chain, and its tension in N.
    pub runs: Vec<(Point, Point, f64)>,
    /// Height of the ground, mm; below the bottom bracket, so negative.
    pub ground: f64,
    /// Radius of the rear tyre, mm.
    pub tyre: f64,
    /// "2624 N" for the tight run.
    pub tight: String,
    /// The same for the slack run.
    pub slack: String,
    /// Height of the chain's lowest point above the ground: "187 mm".
    pub clearance: String,
}
