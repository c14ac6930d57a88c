//! The bike record: what is known of one bike, as a TOML text that people read, write and keep.

mod check;
pub mod edit;
mod form;
pub mod linkage;
mod parse;
mod print;

use std::collections::BTreeMap;

pub use parse::{Parsed, parse};

use self::linkage::Linkage;
use crate::fact::{Fact, Known, own_uncertainty};
use crate::series::Series;
use crate::tyre::Tyre;
use crate::units::Dimension;

/// What kind of bike a record describes; it chooses between assumptions, never between formulas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Kind {
    Rigid,
    Hardtail,
    FullSuspension,
}

impl Kind {
    /// Every kind, as a record writes it.
    pub const WORDS: [(&'static str, Kind); 3] =
        [("rigid", Kind::Rigid), ("hardtail", Kind::Hardtail), ("full suspension", Kind::FullSuspension)];

    /// The words in a record.
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// How axle to crown was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ForkMeasured {
    /// Along the steering axis, to the level of the axle.
    AlongAxis,
    /// Straight from the crown race seat to the axle.
    Straight,
}

impl ForkMeasured {
    /// Both ways, as a record writes them.
    pub const WORDS: [(&'static str, ForkMeasured); 2] =
        [("along axis", ForkMeasured::AlongAxis), ("straight", ForkMeasured::Straight)];
}

/// Which point of the saddle its setback is measured to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum SaddleReference {
    Nose,
    SitBones,
}

impl SaddleReference {
    /// Both, as a record writes them.
    pub const WORDS: [(&'static str, SaddleReference); 2] =
        [("nose", SaddleReference::Nose), ("sit bones", SaddleReference::SitBones)];
}

/// What is known of one bike. Any part may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// Model or pet name.
    pub name: Option<String>,
    /// Frame size, as its maker calls it.
    pub size: Option<String>,
    /// Anything worth knowing, in a sentence.
    pub note: Option<String>,
    /// What kind of bike it is.
    pub kind: Option<Kind>,
    /// Every number, by its key in `data/properties.toml`.
    pub facts: BTreeMap<&'static str, Fact>,
    /// Size marked on the front tyre.
    pub front_tyre: Option<Tyre>,
    /// Size marked on the rear tyre.
    pub rear_tyre: Option<Tyre>,
    /// How axle to crown was measured.
    pub axle_to_crown_measured: Option<ForkMeasured>,
    /// Least and most axle to crown that the frame's maker permits, mm.
    pub axle_to_crown_allowed: Option<[f64; 2]>,
    /// Which point of the saddle its setback is measured to.
    pub saddle_reference: Option<SaddleReference>,
    /// What its parts are made to where another one joins them: names of standards, by their keys in `data/details.toml`.
    pub ends: BTreeMap<&'static str, &'static str>,
    /// Rows of numbers of the drivetrain: teeth of rings and cogs, ratios of a hub gear, by their keys in `data/details.toml`.
    pub series: BTreeMap<&'static str, Series>,
    /// Parts and pivots of the rear suspension.
    pub linkage: Option<Linkage>,
}

impl Record {
    /// The fact at a key.
    pub fn fact(&self, key: &str) -> Option<&Fact> {
        self.facts.get(key)
    }

    /// The record with a workshop's own tolerances of its tools, ± in the unit of the edge, by the names of
    /// [`crate::fact::tool_settings`]. They hold where a fact was measured and its tolerance was not written.
    ///
    /// ```
    /// use std::collections::BTreeMap;
    /// use knockon_trade::record::parse;
    /// let text = "[saddle]\nheight = { value = 735, with = \"tape\" }\nsetback = { value = 60, with = \"tape\", tolerance = 4 }";
    /// let record = parse("bike", text).unwrap().record;
    /// let own = record.with_tolerances(&BTreeMap::from([("tape".to_owned(), 1.0)]));
    /// assert_eq!(own.fact("saddle.height").unwrap().uncertainty, 0.5);
    /// assert_eq!(own.fact("saddle.setback").unwrap().uncertainty, 2.0);
    /// ```
    #[must_use]
    pub fn with_tolerances(&self, own: &BTreeMap<String, f64>) -> Record {
        let mut record = self.clone();
        for (key, fact) in &mut record.facts {
            let Some(property) = crate::tables::property(key) else { continue };
            with_own_tolerance(fact, property.dimension, own);
        }
        if let Some(linkage) = &mut record.linkage {
            linkage.each_fact(&mut |fact, dimension| with_own_tolerance(fact, dimension, own));
        }
        record
    }

    /// Name and size in one line: "Larch 150, size M".
    pub fn title(&self) -> String {
        let name = self.name.as_deref().unwrap_or("Unnamed bike");
        match &self.size {
            Some(size) => format!("{name}, size {size}"),
            None => name.to_owned(),
        }
    }

    /// How many cogs the rear wheel has, where that is told or follows from their teeth.
    pub fn cogs(&self) -> Option<usize> {
        let counted = self.series.get("drivetrain.cog_teeth").and_then(Series::count);
        let marked = || self.ends.get("drivetrain.cogs")?.split(' ').next()?.parse().ok();
        counted.or_else(marked)
    }

    /// Whether the wheels are those of a child's bike (up to 24 inch): its usual lengths start at half of an adult's. From
    /// memory, unverified.
    pub fn is_small(&self) -> bool {
        let small = |tyre: &Option<Tyre>| tyre.as_ref().is_some_and(|tyre| tyre.bead_seat <= 540);
        small(&self.front_tyre) || small(&self.rear_tyre)
    }
}

/// Puts a workshop's own tolerance in the place of a tool's ordinary one.
fn with_own_tolerance(fact: &mut Fact, dimension: Dimension, own: &BTreeMap<String, f64>) {
    if fact.known == Known::Measured
        && fact.tolerance.is_none()
        && let Some(uncertainty) = own_uncertainty(fact.with.as_deref(), dimension, own)
    {
        fact.uncertainty = uncertainty;
    }
}
