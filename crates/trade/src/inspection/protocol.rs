//! Protocols as data: what is asked, how to look, what each answer means, where that comes from.
//!
//! One file a protocol in `data/protocols/`; steps that several share stand in `data/shared_steps.toml`. A file that does not hold
//! together does not load: every step leads to a later one, answers stand mildest first, and whatever is named is there.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::Grade;
use crate::tables::{self, Caution, Look};
use crate::units::Dimension;

/// What is inspected: decides what the program never calls cosmetic on its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// Carries the rider, of fibre composite.
    StructuralCarbon,
    /// Carries the rider, of metal.
    StructuralMetal,
    /// Steers.
    Steering,
    /// Stops.
    Brake,
    /// Rolls: rim, spokes, hub, tyre.
    Wheel,
    /// Battery of an e-bike.
    Battery,
    /// Helmet.
    Helmet,
    /// Wears and is replaced: drivetrain, bearings, suspension.
    Wearing,
    /// No part: what the maker may have announced.
    Notice,
}

impl Class {
    /// True where a failure throws the rider: never cosmetic without every observation that allows it.
    pub fn is_guarded(self) -> bool {
        !matches!(self, Class::Wearing | Class::Notice)
    }
}

/// How the answers of a step are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// One of the answers, which stand mildest first.
    Choice,
    /// Which of several things it is: the answers have no order, they lead to different steps.
    Which,
    /// A number with a unit; each answer but the last holds up to its `until`.
    Number,
    /// A photo. It is kept and shown; no grade comes from it.
    Photo,
}

/// One answer to a step.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// As a script has it.
    pub id: String,
    /// As a button has it.
    pub say: String,
    /// The mildest grade that is left after it.
    #[serde(default = "mildest")]
    pub grade: Grade,
    /// The step that follows, or "end"; without it, the next one in the file.
    pub next: Option<String>,
    /// Of a number: the reading up to which this answer holds, in the unit of the edge; down to which where smaller is worse.
    pub until: Option<f64>,
    /// Why it counts, in a sentence.
    pub why: Option<String>,
    /// Names of the cautions that it brings.
    #[serde(default)]
    pub cautions: Vec<String>,
}

fn mildest() -> Grade {
    Grade::Cosmetic
}

/// One observation.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// As a script has it.
    pub id: String,
    /// The question.
    pub ask: String,
    /// How the answers are told apart.
    pub kind: Kind,
    /// Names of the ways to look, rows of `data/looks.toml`.
    #[serde(default)]
    pub look: Vec<String>,
    /// What to do to find out, beside the ways to look.
    #[serde(default)]
    pub how: String,
    /// What to write down.
    pub write: Option<String>,
    /// Of a number: what is measured.
    pub dimension: Option<Dimension>,
    /// Of a number: true where a smaller reading is worse.
    #[serde(default)]
    pub smaller_is_worse: bool,
    /// Of a number: ± two standard uncertainties of a reading that says none, in the unit of the edge.
    pub tolerance: Option<f64>,
    /// Of a number: what can be read at all, in the unit of the edge.
    pub possible: Option<[f64; 2]>,
    /// Of a number: the step whose reading the limits are counted from.
    pub against: Option<String>,
    /// Answers, mildest first. A photo has none.
    #[serde(default, rename = "answer")]
    pub answers: Vec<Answer>,
    /// Source of the step and its limits.
    pub source: String,
    /// Place of the step in the protocol's own list that each answer leads to; the count of steps is the end.
    #[serde(skip)]
    pub(super) leads: Vec<usize>,
}

impl Step {
    /// The answer of that name.
    pub fn answer(&self, id: &str) -> Option<usize> {
        self.answers.iter().position(|answer| answer.id == id)
    }

    /// A reading that falls well into one answer of a number, in the unit of the edge; counted from the other reading where its limits are.
    ///
    /// ```
    /// let step = knockon_trade::inspection::protocol("rotor").unwrap().step("thickness").unwrap();
    /// assert!(step.reading_within(0) > step.reading_within(1));
    /// ```
    pub fn reading_within(&self, answer: usize) -> f64 {
        let worse = if self.smaller_is_worse { -1.0 } else { 1.0 };
        let until = |at: usize| self.answers.get(at).and_then(|answer| answer.until);
        match (answer.checked_sub(1).and_then(until), until(answer)) {
            (Some(from), Some(to)) => f64::midpoint(from, to),
            (None, Some(to)) => to - worse * 1e-3,
            (Some(from), None) => from + worse * 1e-3,
            (None, None) => 0.0,
        }
    }

    /// The ways to look.
    pub fn looks(&self) -> impl Iterator<Item = &'static Look> + '_ {
        self.look.iter().filter_map(|id| tables::looks().iter().find(|look| look.id == *id))
    }
}

/// What a grade means in one protocol.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// The outcome in a handful of words.
    pub say: String,
    /// What the technician does, in order.
    #[serde(rename = "do")]
    pub actions: Vec<String>,
    /// What the rider is told, in a sentence or two.
    pub rider: String,
    /// When to look again; every "ride with a check" has one.
    pub interval: Option<String>,
    /// Names of the cautions that it brings.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Source.
    pub source: String,
}

/// A protocol.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Protocol {
    /// As commands and addresses have it.
    pub id: String,
    /// Grows when a step, an answer or a grade changes, so that a kept run knows what it was made with.
    pub edition: u32,
    /// Name.
    pub title: String,
    /// Heading under which it is listed.
    pub area: String,
    /// What is inspected.
    pub class: Class,
    /// When to use it, in a sentence or two.
    pub about: String,
    /// What must be done before anything is looked at.
    #[serde(default)]
    pub before: Vec<String>,
    /// Record keys of the conditions that it judges.
    #[serde(default)]
    pub conditions: Vec<String>,
    /// Marks of `data/urgent.toml` that suggest it when the rider's words hold one.
    #[serde(default)]
    pub words: Vec<String>,
    /// Words of a question that suggest it.
    #[serde(default)]
    pub names: Vec<String>,
    /// No path comes out milder.
    #[serde(default = "mildest")]
    pub mildest: Grade,
    /// Steps whose mildest answers together allow "cosmetic".
    #[serde(default)]
    pub allows: Vec<String>,
    /// Names of the cautions that every run carries.
    pub cautions: Vec<String>,
    /// Who may judge such a part, and whom to send the rider to.
    pub qualified: String,
    /// What it never sees.
    pub not_seen: Vec<String>,
    /// Source of the protocol as a whole.
    pub source: String,
    /// What is asked, in order.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
    /// What each grade means here.
    #[serde(rename = "outcome")]
    outcomes: BTreeMap<Grade, Outcome>,
}

impl Protocol {
    /// The step of that name.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }

    /// What a grade means here; `None` where no path leads to it.
    pub fn outcome(&self, grade: Grade) -> Option<&Outcome> {
        self.outcomes.get(&grade)
    }

    /// The grades that it says something of, mildest first.
    pub fn grades(&self) -> impl Iterator<Item = Grade> {
        self.outcomes.keys().copied()
    }

    /// Its cautions of these names, strongest first, each once.
    pub(super) fn told<'a>(names: impl Iterator<Item = &'a String>) -> Vec<&'static Caution> {
        let mut told: Vec<&Caution> =
            names.filter_map(|name| tables::cautions().iter().find(|row| row.id == *name)).collect();
        told.sort_by_key(|caution| (caution.rank, &caution.id));
        told.dedup_by_key(|caution| &caution.id);
        told
    }

    /// Everything that could be told of it: the cautions of every answer and every outcome too.
    pub fn all_cautions(&self) -> Vec<&'static Caution> {
        let answers = self.steps.iter().flat_map(|step| &step.answers).flat_map(|answer| &answer.cautions);
        let outcomes = self.outcomes.values().flat_map(|outcome| &outcome.cautions);
        Self::told(self.cautions.iter().chain(answers).chain(outcomes))
    }
}

macro_rules! files {
    ($($stem:literal)+) => {
        /// Names and texts of the files, in the order in which protocols are listed.
        const FILES: &[(&str, &str)] = &[
            $(($stem, include_str!(concat!("../../data/protocols/", $stem, ".toml"))),)+
        ];
    };
}

files! {
    "carbon-frame" "metal-frame" "carbon-fork"
    "cockpit-crash" "carbon-bar" "metal-bar" "seat-post"
    "rim" "spokes" "hub" "tyre"
    "brake-contamination" "pads" "rotor" "spongy-lever" "brake-fluid"
    "drivetrain" "headset" "bottom-bracket"
    "stanchion" "crown-noise" "shock-play" "pivots"
    "battery" "helmet" "recall"
}

/// Every protocol.
///
/// # Panics
/// When a file does not hold together: they are compiled in, and a test reads them.
pub fn protocols() -> &'static [Protocol] {
    static ALL: LazyLock<Vec<Protocol>> = LazyLock::new(|| {
        let read = |(stem, text): &(&str, &str)| {
            load(stem, text).unwrap_or_else(|fault| panic!("data/protocols/{stem}.toml: {fault}"))
        };
        FILES.iter().map(read).collect()
    });
    &ALL
}

/// The protocol of that name.
///
/// ```
/// let protocol = knockon_trade::inspection::protocol("carbon-frame").unwrap();
/// assert!(protocol.class.is_guarded());
/// ```
pub fn protocol(id: &str) -> Option<&'static Protocol> {
    protocols().iter().find(|protocol| protocol.id == id)
}

/// Reads one protocol and checks that it holds together.
fn load(stem: &str, text: &str) -> Result<Protocol, String> {
    let mut table: toml::Table = toml::from_str(text).map_err(|error| error.to_string())?;
    if let Some(steps) = table.get_mut("step").and_then(toml::Value::as_array_mut) {
        for step in steps {
            share(step)?;
        }
    }
    let mut protocol: Protocol = table.try_into().map_err(|error: toml::de::Error| error.to_string())?;
    check(stem, &protocol)?;
    lead(&mut protocol)?;
    Ok(protocol)
}

/// Puts a shared step in the place of its name.
fn share(step: &mut toml::Value) -> Result<(), String> {
    static SHARED: LazyLock<BTreeMap<String, Vec<toml::Value>>> = LazyLock::new(|| {
        toml::from_str(include_str!("../../data/shared_steps.toml"))
            .unwrap_or_else(|error| panic!("data/shared_steps.toml: {error}"))
    });
    let Some(name) = step.get("shared").and_then(toml::Value::as_str) else { return Ok(()) };
    let named = |row: &&toml::Value| row.get("id").and_then(toml::Value::as_str) == Some(name);
    let shared =
        SHARED["step"].iter().find(named).ok_or_else(|| format!("there is no shared step {name}"))?;
    *step = shared.clone();
    Ok(())
}

/// What must hold of every protocol, whatever it is about.
fn check(stem: &str, protocol: &Protocol) -> Result<(), String> {
    let must = |holds: bool, what: &dyn Fn() -> String| if holds { Ok(()) } else { Err(what()) };
    must(protocol.id == stem, &|| format!("it is called {}, as the file is not", protocol.id))?;
    must(!protocol.steps.is_empty(), &|| "it asks nothing".to_owned())?;
    for (at, step) in protocol.steps.iter().enumerate() {
        let say = |what: &str| format!("step {}: {what}", step.id);
        must(protocol.steps[..at].iter().all(|other| other.id != step.id), &|| say("stands twice"))?;
        must(step.source.len() > 6, &|| say("has no source"))?;
        must(step.looks().count() == step.look.len(), &|| say("names a way to look that is not there"))?;
        must((step.kind == Kind::Photo) == step.answers.is_empty(), &|| say("answers and kind disagree"))?;
        must(step.kind == Kind::Photo || step.answers.len() > 1, &|| say("has one answer alone"))?;
        for (index, answer) in step.answers.iter().enumerate() {
            let twice = step.answers[..index].iter().any(|other| other.id == answer.id);
            must(!twice && answer.id != CANNOT_TELL, &|| say("has an answer of a name that is taken"))?;
            let limited = step.kind == Kind::Number && index + 1 < step.answers.len();
            must(answer.until.is_some() == limited, &|| {
                say("every answer of a number but the last has `until`")
            })?;
        }
        let ordered = step.answers.windows(2).all(|pair| pair[0].grade <= pair[1].grade);
        must(ordered || step.kind == Kind::Which, &|| say("answers do not stand mildest first"))?;
        let limits: Vec<f64> = step.answers.iter().filter_map(|answer| answer.until).collect();
        let growing = limits.windows(2).all(|pair| (pair[0] < pair[1]) != step.smaller_is_worse);
        must(growing, &|| say("limits do not stand in order"))?;
        let number = [step.dimension.is_some(), step.tolerance.is_some(), step.possible.is_some()];
        must(number == [step.kind == Kind::Number; 3], &|| {
            say("a number has dimension, tolerance and possible")
        })?;
        if let Some(against) = &step.against {
            let before =
                protocol.steps[..at].iter().any(|other| other.id == *against && other.kind == Kind::Number);
            must(before, &|| say("is counted from a step that is no number before it"))?;
        }
    }
    for id in &protocol.allows {
        must(protocol.step(id).is_some(), &|| format!("`allows` names {id}, which is no step"))?;
    }
    for (grade, outcome) in &protocol.outcomes {
        let check = *grade == Grade::RideWithCheck;
        must(outcome.interval.is_some() || !check, &|| "a ride with a check has an interval".to_owned())?;
        must(outcome.source.len() > 6, &|| format!("outcome {} has no source", grade.key()))?;
    }
    must(protocol.source.len() > 6, &|| "it has no source".to_owned())?;
    let named = protocol.cautions.iter();
    let named = named.chain(protocol.steps.iter().flat_map(|step| &step.answers).flat_map(|it| &it.cautions));
    let mut named = named.chain(protocol.outcomes.values().flat_map(|outcome| &outcome.cautions));
    let unknown = named.find(|name| !tables::cautions().iter().any(|row| row.id == **name));
    must(unknown.is_none(), &|| format!("there is no caution {}", unknown.map_or("", String::as_str)))
}

/// Where each answer leads, as a place in the list: always to a later one.
fn lead(protocol: &mut Protocol) -> Result<(), String> {
    let ids: Vec<String> = protocol.steps.iter().map(|step| step.id.clone()).collect();
    for (at, step) in protocol.steps.iter_mut().enumerate() {
        let to = |next: Option<&String>| match next.map(String::as_str) {
            None => Ok(at + 1),
            Some("end") => Ok(ids.len()),
            Some(id) => match ids.iter().position(|known| known == id) {
                Some(place) if place > at => Ok(place),
                Some(_) => Err(format!("step {}: {id} stands before it", step.id)),
                None => Err(format!("step {}: there is no step {id}", step.id)),
            },
        };
        step.leads = match step.kind {
            Kind::Photo => vec![at + 1],
            _ => step.answers.iter().map(|answer| to(answer.next.as_ref())).collect::<Result<_, _>>()?,
        };
    }
    Ok(())
}

/// The answer that every step but a photo has beside its own.
pub const CANNOT_TELL: &str = "cannot-tell";

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_file_is_listed() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/protocols");
        let files: BTreeSet<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
            .collect();
        let listed: BTreeSet<String> = FILES.iter().map(|(stem, _)| (*stem).to_owned()).collect();
        assert_eq!(files, listed);
        assert_eq!(protocols().len(), FILES.len());
    }

    #[test]
    fn a_file_that_does_not_hold_together_does_not_load() {
        let (stem, good) = FILES[0];
        assert!(load(stem, good).is_ok());
        for (what, bad) in [
            ("another name", good.replacen("id = \"", "id = \"not-", 1)),
            ("an unknown key", good.replacen("edition", "editon", 1)),
            ("a caution that is not there", good.replacen("cautions = [\"", "cautions = [\"no_such_", 1)),
            ("a look that is not there", good.replacen("look = [\"", "look = [\"no_such_", 1)),
            ("a shared step that is not there", good.replacen("shared = \"", "shared = \"no_such_", 1)),
            (
                "a way back",
                good.replacen("grade = \"do-not-ride\"", "grade = \"do-not-ride\"\nnext = \"nowhere\"", 1),
            ),
            ("no source", good.replacen("source = \"", "source = \"\"\n#", 1)),
        ] {
            assert_ne!(bad, good, "{what} changes nothing");
            assert!(load(stem, &bad).is_err(), "{what}");
        }
    }
}
