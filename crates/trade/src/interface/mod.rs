//! The standards that parts are made to: what joins what, by which name, with which figures.
//!
//! The rows are in `data/interfaces.toml`, what can be measured on a part in `data/measures.toml`. [`gauge`](gauge::gauge) tells
//! from a few readings which standards they can be of, and what to measure to tell those apart.

pub mod gauge;
pub mod taken;

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::tables;

/// Something that can be measured on a part; a row of `data/measures.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// How a reading names it, first the usual way.
    pub say: Vec<String>,
    /// How to measure it.
    pub how: String,
    /// Beyond this a reading is a slip of the pen, mm or pieces.
    pub usual: [f64; 2],
    /// How far a part may be from its nominal figure, ± two standard uncertainties, mm; 0 for what is counted.
    pub as_made: f64,
    /// Source of the range, the figure and the instruction.
    pub source: String,
}

impl Measure {
    /// Whether it is counted rather than measured.
    pub fn is_counted(&self) -> bool {
        self.as_made == 0.0
    }
}

/// What joins two parts; a row of `data/interfaces.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Interface {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// The parts that it joins.
    pub joins: String,
    /// Every standard of it.
    #[serde(rename = "size")]
    pub standards: Vec<Standard>,
}

/// One standard of an interface.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    /// The trade's or an open standard's name for it.
    pub name: String,
    /// Other names that people write.
    #[serde(default)]
    pub say: Vec<String>,
    /// Names of the standards of other interfaces that it goes into or onto by itself, by interface.
    #[serde(default)]
    pub into: BTreeMap<String, Vec<String>>,
    /// Nominal figures by the measure's identifier, mm.
    #[serde(default)]
    measures: BTreeMap<String, f64>,
    /// Bolts on a circle.
    bolts: Option<u32>,
    /// Diameter of that circle, mm.
    circle: Option<f64>,
    /// Source of the row.
    pub source: String,
}

impl Standard {
    /// Whether it goes by itself into a standard of another interface.
    pub fn goes_into(&self, interface: &str, name: &str) -> bool {
        self.into.get(interface).is_some_and(|names| names.iter().any(|known| known == name))
    }

    /// Nominal figure of a measure, mm or pieces; `None` where the standard does not say.
    ///
    /// Neighbouring bolts on a circle are a chord of it apart: `D·sin(π/n)` (plane geometry).
    ///
    /// ```
    /// use knockon_trade::tables::interfaces;
    /// let mounts = interfaces().iter().find(|row| row.id == "rotor_mount").unwrap();
    /// let six = mounts.standards.iter().find(|row| row.name.starts_with("six")).unwrap();
    /// // Of a hexagon the side is the radius.
    /// assert!((six.nominal("bolt_spacing").unwrap() - 22.0).abs() < 1e-12);
    /// assert_eq!(six.nominal("bolt_count"), Some(6.0));
    /// ```
    pub fn nominal(&self, measure: &str) -> Option<f64> {
        match (measure, self.bolts, self.circle) {
            ("bolt_count", Some(bolts), _) => Some(f64::from(bolts)),
            ("bolt_spacing", Some(bolts), Some(circle)) => {
                Some(circle * (std::f64::consts::PI / f64::from(bolts)).sin())
            }
            _ => self.measures.get(measure).copied(),
        }
    }
}

/// A name in the form in which names are compared: lower case, `x` for `×`, no blanks.
fn spoken(name: &str) -> String {
    name.to_lowercase().replace('×', "x").chars().filter(|c| !c.is_whitespace()).collect()
}

impl Interface {
    /// The standard of that name: as it stands in the table, with `x` for `×`, or its figures alone where only one begins with
    /// them.
    ///
    /// ```
    /// let axles = knockon_trade::tables::interface("rear_axle").unwrap();
    /// assert_eq!(axles.standard("12x148").unwrap().name, "12 × 148");
    /// assert_eq!(axles.standard("10 x 135").unwrap().name, "10 × 135 quick release");
    /// assert!(axles.standard("12").is_none());
    /// ```
    pub fn standard(&self, name: &str) -> Option<&Standard> {
        let wanted = spoken(name);
        let called = |row: &&Standard| {
            spoken(&row.name) == wanted || row.say.iter().any(|name| spoken(name) == wanted)
        };
        let exact = self.standards.iter().find(called);
        exact.or_else(|| {
            let figures = |row: &&Standard| {
                let rest = spoken(&row.name);
                let rest = rest.strip_prefix(&wanted);
                wanted.contains('x')
                    && rest.is_some_and(|rest| !rest.starts_with(|c: char| c.is_ascii_digit() || c == '.'))
            };
            let mut found = self.standards.iter().filter(figures);
            found.next().filter(|_| found.next().is_none())
        })
    }

    /// The standard of exactly that name.
    pub fn named(&self, name: &str) -> Option<&Standard> {
        self.standards.iter().find(|row| row.name == name)
    }

    /// The measures that tell its standards apart, in the order of their table.
    pub fn measures(&self) -> Vec<&'static Measure> {
        let told = |measure: &Measure| self.standards.iter().any(|row| row.nominal(&measure.id).is_some());
        tables::measures().iter().filter(|measure| told(measure)).collect()
    }
}
