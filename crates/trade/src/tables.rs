//! The data files of the trade, read once and checked whenever they are read.
//!
//! Every row carries a source; a row without one does not load, and a test reads every table.

use std::collections::HashMap;
use std::sync::LazyLock;

use knockon_engine::bike::Parameter;
use knockon_engine::quantity::Quantity;
use serde::Deserialize;

use crate::units::Dimension;

/// One number that a record can hold; a row of `data/properties.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Property {
    /// Where it stands in a record: `stem.length`.
    pub key: String,
    /// Its name in a sentence or table.
    pub label: String,
    /// Name of the engine's parameter that it is.
    parameter: Option<String>,
    /// Identifier of the engine's quantity that it observes.
    observes: Option<String>,
    /// How a change names it, first the usual way; empty when a change cannot touch it.
    #[serde(default)]
    pub say: Vec<String>,
    /// Kind of number.
    pub dimension: Dimension,
    /// Beyond this it is an error; in the unit of the edge (mm, degrees, kg, bar).
    pub possible: [f64; 2],
    /// Beyond this it is a warning; in the unit of the edge.
    pub usual: [f64; 2],
    /// A value that a technician might type.
    pub example: String,
    /// The question to the rider.
    pub ask: String,
    /// How to find out.
    pub how: String,
    /// Source of the ranges and of the instruction.
    pub source: String,
}

/// There is one row for a key.
impl PartialEq for Property {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

impl Property {
    /// The engine's parameter that this number is.
    pub fn parameter(&self) -> Option<Parameter> {
        let name = self.parameter.as_deref()?;
        Parameter::ALL.iter().copied().find(|parameter| parameter.name() == name)
    }

    /// The engine's quantity that this number observes.
    pub fn observes(&self) -> Option<Quantity> {
        let id = self.observes.as_deref()?;
        Quantity::ALL.iter().copied().find(|quantity| quantity.id() == id)
    }
}

/// What a record can hold beside its numbers; a row of `data/details.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Detail {
    /// Where it stands in a record: `saddle.reference`.
    pub key: String,
    /// Its name in a form.
    pub label: String,
    /// Kind of input in a form.
    pub input: crate::record::edit::Input,
    /// The words of a choice, as a record writes them.
    #[serde(default)]
    choices: Vec<String>,
    /// The interface whose standards are the choices.
    pub interface: Option<String>,
    /// What a row of numbers is made of.
    pub series: Option<crate::series::Kind>,
    /// The key of the row of numbers that is meant where a change's value is one.
    pub or: Option<String>,
    /// How a change names it, first the usual way; empty when a change cannot touch it.
    #[serde(default)]
    pub say: Vec<String>,
    /// Unit of a bare number.
    pub unit: Option<String>,
    /// What somebody might type.
    pub example: String,
    /// The question to the rider.
    pub ask: String,
    /// How to find out.
    pub how: String,
    /// Source of the instruction.
    pub source: String,
}

/// Texts and thresholds of one quantity; a row of `data/quantities.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuantityText {
    /// Snake-case identifier.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// What it is.
    pub definition: String,
    /// How it is computed.
    pub formula: String,
    /// Convention followed where the trade has more than one.
    pub convention: String,
    /// How to measure it.
    pub measure: String,
    /// What a rider is told when it grows; `{}` is the amount.
    pub more: String,
    /// What a rider is told when it shrinks.
    pub less: String,
    /// Step that a rider notices, in the unit of the edge (mm, degrees, percent).
    pub notice: f64,
    /// Source of that step.
    pub notice_source: String,
    /// Source of definition and formula.
    pub source: String,
}

/// What is assumed when a record is silent; a row of `data/assumptions.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assumption {
    /// The record's key that is silent.
    pub key: String,
    /// Kind of bike that the row is for; none: any.
    pub kind: Option<String>,
    /// How many cogs the bike has; none: any number.
    pub cogs: Option<usize>,
    /// Record key of the fact that the value is added to; the row holds only where there is one, above zero.
    pub plus: Option<String>,
    /// Assumed value, in the unit of the edge.
    pub value: f64,
    /// Its tolerance, ± two standard uncertainties.
    pub pm: f64,
    /// True for an ordinary value with an honest tolerance, false for a placeholder as wide as the trade.
    pub convention: bool,
    /// The assumption in words.
    pub why: String,
    /// Its source.
    pub source: String,
}

/// Texts of one limit; a row of `data/requirements.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RequirementText {
    /// Snake-case identifier.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// Record keys whose absence makes the limit unanswerable.
    pub needs: Vec<String>,
    /// Record keys whose change makes it worth asking.
    pub touched_by: Vec<String>,
    /// The number that the limit itself carries, mm.
    pub figure: Option<f64>,
    /// Sentence when it fits; `{value}`, `{limit}`, `{margin}` and `{pm}` are filled in.
    pub fits: String,
    /// Sentence when it does not.
    pub breaks: String,
    /// Sentence when the tolerance reaches across the limit.
    pub close: String,
    /// Sentence when something is missing.
    pub unknown: String,
    /// The question to the rider or the maker.
    pub ask: String,
    /// How to find out.
    pub how: String,
    /// Source of the limit.
    pub source: String,
}

/// A safety caution; a row of `data/cautions.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Identifier.
    pub id: String,
    /// Lowest is strongest and printed first.
    pub rank: u32,
    /// Record keys whose change brings it, or "always".
    #[serde(default)]
    pub when: Vec<String>,
    /// Marks of `data/urgent.toml` that bring it when the rider's words hold one.
    #[serde(default)]
    pub words: Vec<String>,
    /// The caution. No surface shortens it.
    pub text: String,
    /// Its source.
    pub source: String,
}

/// A way to look at something; a row of `data/looks.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Name by which a protocol's step has it.
    pub id: String,
    /// In two or three words.
    pub say: String,
    /// How it is done, and what it cannot find.
    pub how: String,
    /// Source.
    pub source: String,
}

/// Words of a question that a person should look at first; a row of `data/urgent.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Urgent {
    /// Name of the mark.
    pub word: String,
    /// Phrases that are urgent by themselves.
    #[serde(default)]
    pub say: Vec<String>,
    /// Names of parts that are urgent near one of `ill`.
    #[serde(default)]
    pub part: Vec<String>,
    /// What may be wrong with those parts.
    #[serde(default)]
    pub ill: Vec<String>,
    /// Why it is urgent, in a plain sentence.
    pub why: String,
    /// Source of that.
    pub source: String,
}

/// A tyre and rim size; a row of `data/sizes.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// Bead seat diameter, mm (ISO 5775).
    pub bead_seat: u32,
    /// Common names.
    pub names: Vec<String>,
    /// Common nominal widths, mm, narrowest first.
    #[serde(default)]
    pub widths: Vec<f64>,
    /// Source.
    pub source: String,
}

/// What a measuring tool is worth; a row of `data/tools.toml`. Each figure is ± two standard uncertainties.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tool {
    /// Name as a record writes it.
    pub name: String,
    length: Option<f64>,
    angle: Option<f64>,
    mass: Option<f64>,
    pressure: Option<f64>,
    rate: Option<f64>,
    area: Option<f64>,
    volume: Option<f64>,
    share: Option<f64>,
    /// Source of the figures.
    pub source: String,
}

impl Tool {
    /// What the tool measures.
    pub fn dimensions(&self) -> impl Iterator<Item = Dimension> {
        Dimension::ALL.into_iter().filter(|dimension| self.tolerance(*dimension).is_some())
    }

    /// Name of one of its figures in a settings page: the tool's, and where it measures several things, which one:
    /// "tape", "photo angle".
    pub fn setting(&self, dimension: Dimension) -> String {
        if self.dimensions().count() > 1 {
            format!("{} {}", self.name, dimension.word())
        } else {
            self.name.clone()
        }
    }

    /// Tolerance of a measurement of this kind, in the unit of the edge.
    pub fn tolerance(&self, dimension: Dimension) -> Option<f64> {
        match dimension {
            Dimension::Length => self.length,
            Dimension::Angle => self.angle,
            Dimension::Mass => self.mass,
            Dimension::Pressure => self.pressure,
            Dimension::Rate => self.rate,
            Dimension::Area => self.area,
            Dimension::Volume => self.volume,
            Dimension::Share => self.share,
            // What is counted has none; the others are not measured by a tool of the workshop.
            Dimension::Teeth
            | Dimension::Pieces
            | Dimension::Count
            | Dimension::Ratio
            | Dimension::Power
            | Dimension::Cadence => None,
        }
    }
}

impl Detail {
    /// The words of a choice, as a record writes them.
    pub fn choices(&self) -> Vec<&str> {
        let standards = self.interface.as_deref().and_then(interface);
        let standards = standards.iter().flat_map(|row| &row.standards).map(|row| row.name.as_str());
        self.choices.iter().map(String::as_str).chain(standards).collect()
    }
}

macro_rules! tables {
    ($($(#[$doc:meta])* $function:ident: $row:ty = $file:literal, $key:literal;)+) => {
        $(
            $(#[$doc])*
            pub fn $function() -> &'static [$row] {
                static ROWS: LazyLock<Vec<$row>> = LazyLock::new(|| {
                    read(include_str!(concat!("../data/", $file)), $key, $file)
                });
                &ROWS
            }
        )+
    };
}

tables! {
    /// Every number that a record can hold.
    properties: Property = "properties.toml", "property";
    /// Everything else that a record can hold.
    details: Detail = "details.toml", "detail";
    /// Every quantity's texts, in the engine's order.
    quantities: QuantityText = "quantities.toml", "quantity";
    /// Every assumption; of two rows for a key, the first that holds for the kind counts.
    assumptions: Assumption = "assumptions.toml", "assume";
    /// Every limit's texts, in the engine's order.
    requirements: RequirementText = "requirements.toml", "requirement";
    /// Every caution.
    cautions: Caution = "cautions.toml", "caution";
    /// Every cleaner, lubricant and fluid.
    agents: crate::care::Agent = "agents.toml", "agent";
    /// Everything that one may touch.
    surfaces: crate::care::Surface = "surfaces.toml", "surface";
    /// What each does to each.
    care: crate::care::Care = "care.toml", "care";
    /// What is done in an order.
    routines: crate::care::Routine = "routines.toml", "routine";
    /// Every way to look.
    looks: Look = "looks.toml", "look";
    /// Every safety word.
    urgent: Urgent = "urgent.toml", "urgent";
    /// Every bead seat diameter.
    sizes: Size = "sizes.toml", "size";
    /// Every measuring tool, and beside them "unnamed" and "tyre marking"; [`crate::fact::tool_settings`] lists those whose
    /// tolerance a workshop can set.
    tools: Tool = "tools.toml", "tool";
    /// Every interface with its standards.
    interfaces: crate::interface::Interface = "interfaces.toml", "interface";
    /// Everywhere that two parts of a bike join.
    connections: crate::fit::connection::Connection = "connections.toml", "connection";
    /// Every limit between two figures of a record.
    limits: crate::fit::limit::Limit = "limits.toml", "limit";
    /// Every press fit.
    press_fits: crate::fit::press::Press = "press_fits.toml", "press_fit";
    /// Every part that is swapped as one.
    parts: crate::fit::part::Part = "parts.toml", "part";
    /// Everything that can be measured on a part to tell its standard.
    measures: crate::interface::Measure = "measures.toml", "measure";
    /// Everything that can be measured of a rider.
    body_measures: crate::body::BodyMeasure = "body_measures.toml", "measure";
    /// Every rule that says where to begin, in the order of [`crate::body::Way`].
    body_rules: crate::body::Rule = "body.toml", "rule";
    /// Every way to lay the chain.
    layouts: crate::workings::layouts::LayoutRow = "layouts.toml", "layout";
    /// Every size of rotor, smallest first.
    rotors: crate::workings::braking::RotorSize = "rotors.toml", "rotor";
    /// Everything that happens to a hot brake, coolest first.
    heat_levels: crate::workings::braking::HeatLevel = "heat_levels.toml", "level";
    /// Every road.
    grips: crate::workings::braking::Grip = "grips.toml", "grip";
    /// Everything that can be chosen when a result is wanted.
    choices: crate::backwards::rows::ChoiceRow = "choices.toml", "choice";
    /// Everything that stays as it is where something else is wanted.
    stays: crate::backwards::rows::StaysRow = "stays.toml", "stays";
    /// Every thread.
    threads: crate::workings::torque::Thread = "threads.toml", "thread";
    /// Every property class of bolts.
    bolt_classes: crate::workings::torque::BoltClass = "bolt_classes.toml", "class";
    /// Every state of thread and head.
    frictions: crate::workings::torque::Friction = "frictions.toml", "friction";
    /// Every joint with its usual torque.
    joints: crate::workings::torque::JointRow = "joints.toml", "joint";
    /// Every unit.
    units: crate::units::Unit = "units.toml", "unit";
}

/// The rows of a table by name.
type Index<T> = HashMap<&'static str, &'static T>;

fn index<T>(rows: &'static [T], name: fn(&T) -> &String) -> Index<T> {
    rows.iter().map(|row| (name(row).as_str(), row)).collect()
}

/// The property at a record's key.
pub fn property(key: &str) -> Option<&'static Property> {
    static ROWS: LazyLock<Index<Property>> = LazyLock::new(|| index(properties(), |row| &row.key));
    ROWS.get(key).copied()
}

/// The interface of that name.
pub fn interface(id: &str) -> Option<&'static crate::interface::Interface> {
    static ROWS: LazyLock<Index<crate::interface::Interface>> =
        LazyLock::new(|| index(interfaces(), |row| &row.id));
    ROWS.get(id).copied()
}

/// The detail at a record's key: what is no number.
pub fn detail(key: &str) -> Option<&'static Detail> {
    static ROWS: LazyLock<Index<Detail>> = LazyLock::new(|| index(details(), |row| &row.key));
    ROWS.get(key).copied()
}

/// The size of rotor that is nearest to a diameter, mm.
pub fn rotor(diameter: f64) -> Option<&'static crate::workings::braking::RotorSize> {
    let far = |row: &&crate::workings::braking::RotorSize| (row.diameter - diameter).abs();
    rotors().iter().min_by(|a, b| far(a).total_cmp(&far(b))).filter(|_| diameter.is_finite())
}

/// The texts of a quantity.
pub fn quantity(quantity: Quantity) -> &'static QuantityText {
    &quantities()[quantity as usize]
}

/// Reads one table. The files are compiled in and a test reads each, so a fault here is a fault of the build.
fn read<T: serde::de::DeserializeOwned>(text: &str, key: &str, file: &str) -> Vec<T> {
    let mut table: std::collections::BTreeMap<String, Vec<T>> =
        toml::from_str(text).unwrap_or_else(|error| panic!("data/{file}: {error}"));
    table.remove(key).unwrap_or_else(|| panic!("data/{file} has no [[{key}]]"))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use knockon_engine::requirement::Requirement;

    use super::*;

    #[test]
    fn every_row_names_its_source_and_no_key_stands_twice() {
        let mut rows: Vec<(&str, &str, &str)> = Vec::new();
        rows.extend(properties().iter().map(|row| ("property", row.key.as_str(), row.source.as_str())));
        rows.extend(quantities().iter().map(|row| ("quantity", row.id.as_str(), row.source.as_str())));
        rows.extend(quantities().iter().map(|row| ("notice", row.id.as_str(), row.notice_source.as_str())));
        rows.extend(requirements().iter().map(|row| ("requirement", row.id.as_str(), row.source.as_str())));
        rows.extend(cautions().iter().map(|row| ("caution", row.id.as_str(), row.source.as_str())));
        rows.extend(agents().iter().map(|row| ("agent", row.id.as_str(), row.source.as_str())));
        rows.extend(surfaces().iter().map(|row| ("surface", row.id.as_str(), row.source.as_str())));
        rows.extend(routines().iter().map(|row| ("routine", row.id.as_str(), row.source.as_str())));
        rows.extend(looks().iter().map(|row| ("look", row.id.as_str(), row.source.as_str())));
        rows.extend(details().iter().map(|row| ("detail", row.key.as_str(), row.source.as_str())));
        rows.extend(urgent().iter().map(|row| ("urgent", row.word.as_str(), row.source.as_str())));
        rows.extend(tools().iter().map(|row| ("tool", row.name.as_str(), row.source.as_str())));
        rows.extend(units().iter().map(|row| ("unit", row.symbols[0].as_str(), row.source.as_str())));
        rows.extend(measures().iter().map(|row| ("measure", row.id.as_str(), row.source.as_str())));
        rows.extend(body_measures().iter().map(|row| ("body measure", row.id.as_str(), row.source.as_str())));
        rows.extend(body_rules().iter().map(|row| ("rule", row.id.as_str(), row.source.as_str())));
        rows.extend(connections().iter().map(|row| ("connection", row.id.as_str(), row.source.as_str())));
        rows.extend(limits().iter().map(|row| ("limit", row.id.as_str(), row.source.as_str())));
        rows.extend(press_fits().iter().map(|row| ("press fit", row.id.as_str(), row.source.as_str())));
        rows.extend(parts().iter().map(|row| ("part", row.id.as_str(), row.source.as_str())));
        rows.extend(layouts().iter().map(|row| ("layout", row.id.as_str(), row.source.as_str())));
        rows.extend(heat_levels().iter().map(|row| ("heat level", row.what.as_str(), row.source.as_str())));
        rows.extend(grips().iter().map(|row| ("grip", row.road.as_str(), row.source.as_str())));
        rows.extend(threads().iter().map(|row| ("thread", row.name.as_str(), row.source.as_str())));
        rows.extend(bolt_classes().iter().map(|row| ("class", row.name.as_str(), row.source.as_str())));
        rows.extend(frictions().iter().map(|row| ("friction", row.name.as_str(), row.source.as_str())));
        rows.extend(joints().iter().map(|row| ("joint", row.name.as_str(), row.source.as_str())));
        for interface in interfaces() {
            let standards = interface.standards.iter();
            rows.extend(standards.map(|row| (interface.id.as_str(), row.name.as_str(), row.source.as_str())));
        }
        let mut seen = BTreeSet::new();
        for (table, key, source) in rows {
            assert!(source.len() > 6, "{table} {key} has no source");
            assert!(seen.insert((table, key)), "{table} {key} stands twice");
        }
        for row in assumptions() {
            assert!(row.source.len() > 6 && row.pm >= 0.0, "assumption {}", row.key);
        }
        for row in rotors() {
            assert!(row.source.len() > 6, "rotor {}", row.diameter);
        }
        for row in stays() {
            assert!(row.source.len() > 6, "stays {:?}", row.source);
        }
        for row in choices() {
            assert!(row.source.len() > 6, "choice {}", row.id);
        }
        for row in sizes() {
            assert!(row.source.len() > 6, "size {}", row.bead_seat);
        }
    }

    #[test]
    fn tables_and_engine_name_the_same_things() {
        for row in properties() {
            assert_eq!(row.parameter.is_some(), row.parameter().is_some(), "{}", row.key);
            assert_eq!(row.observes.is_some(), row.observes().is_some(), "{}", row.key);
            assert!(row.possible[0] <= row.usual[0] && row.usual[1] <= row.possible[1], "{}", row.key);
            let judged = || {
                limits().iter().any(|limit| limit.keys.contains(&row.key))
                    || press_fits().iter().any(|press| press.keys.contains(&row.key))
                    || crate::workings::wheel::lacing_keys().any(|key| key == row.key)
                    || row.key.ends_with("_ratio") && row.key.starts_with("brake.")
            };
            assert!(
                row.say.is_empty() || row.parameter().is_some() || judged(),
                "{} can be changed but neither computed nor judged",
                row.key
            );
        }
        let ids: Vec<&str> = quantities().iter().map(|row| row.id.as_str()).collect();
        let engine: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.id()).collect();
        assert_eq!(ids, engine);
        assert_eq!(requirements().len(), Requirement::COUNT);
        let known = |key: &String| {
            property(key).is_some()
                || detail(key).is_some()
                || [
                    "always",
                    "wheel.front.tyre",
                    "wheel.rear.tyre",
                    "fork.axle_to_crown_allowed",
                    "linkage.chip",
                    "linkage.idler",
                    "linkage.points",
                ]
                .contains(&key.as_str())
        };
        for row in requirements() {
            assert!(row.needs.iter().chain(&row.touched_by).all(known), "{}", row.id);
        }
        for mark in urgent() {
            assert!(
                cautions().iter().any(|row| row.words.contains(&mark.word)),
                "{} has no caution",
                mark.word
            );
        }
        for row in cautions() {
            assert!(row.when.iter().all(known), "{}", row.id);
            let named = crate::inspection::protocols()
                .iter()
                .any(|protocol| protocol.all_cautions().iter().any(|caution| caution.id == row.id))
                || crate::care::names_caution(&row.id)
                || crate::body::CAUTIONS.contains(&row.id.as_str());
            let brings = [!row.when.is_empty(), !row.words.is_empty(), named];
            assert!(brings.contains(&true), "{} must be brought by something", row.id);
            assert!(!(brings[0] && brings[1]), "{} is brought in two ways", row.id);
            let marks: Vec<&str> = urgent().iter().map(|mark| mark.word.as_str()).collect();
            assert!(row.words.iter().all(|word| marks.contains(&word.as_str())), "{}", row.id);
        }
    }

    #[test]
    fn a_phrase_means_one_property() {
        let mut seen = BTreeSet::new();
        let numbers = properties().iter().flat_map(|row| &row.say);
        for phrase in numbers.chain(details().iter().flat_map(|row| &row.say)) {
            assert!(seen.insert(crate::change::normal(phrase)), "{phrase} means two things");
        }
    }
}
