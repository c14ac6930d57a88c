//! Cleaning and chemicals: what a cleaner, lubricant or fluid does to a surface, and in which order a bike is washed.
//!
//! Every pair of an agent and a surface has one row of `data/care.toml`; a test counts them. `data/routines.toml` holds what is done in
//! an order: washing, cleaning a rotor, bedding-in.

use serde::Deserialize;

use crate::problem::nearest;
use crate::tables::{self, Caution};

/// A cleaner, lubricant or fluid; a row of `data/agents.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agent {
    /// As commands and addresses have it.
    pub id: String,
    /// Name.
    pub name: String,
    /// Other words that people use.
    pub names: Vec<String>,
    /// What it is.
    pub is: String,
    /// Names of the cautions that it brings, whatever it touches.
    pub cautions: Vec<String>,
    /// Source.
    pub source: String,
}

/// Something that an agent may touch; a row of `data/surfaces.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Surface {
    /// As commands and addresses have it.
    pub id: String,
    /// Name.
    pub name: String,
    /// Other words that people use.
    pub names: Vec<String>,
    /// Source.
    pub source: String,
}

/// How an agent and a surface get on; the greater, the worse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Contact {
    /// It does no harm.
    Suits,
    /// It can do harm; how it is used decides.
    WithCare,
    /// It does harm.
    KeepOff,
}

impl Contact {
    /// Every way, mildest first.
    pub const ALL: [Contact; 3] = [Contact::Suits, Contact::WithCare, Contact::KeepOff];

    /// As JSON has it.
    pub fn key(self) -> &'static str {
        match self {
            Contact::Suits => "suits",
            Contact::WithCare => "with-care",
            Contact::KeepOff => "keep-off",
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Contact::Suits => "Suits",
            Contact::WithCare => "With care",
            Contact::KeepOff => "Keep off",
        }
    }
}

/// What an agent does to some surfaces; a row of `data/care.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Care {
    /// Name of the agent.
    pub agent: String,
    /// Names of the surfaces.
    pub surfaces: Vec<String>,
    /// How they get on.
    #[serde(rename = "verdict")]
    pub contact: Contact,
    /// What it does.
    pub effect: String,
    /// How to use it, or what to do when it got there.
    #[serde(rename = "do")]
    pub action: String,
    /// Names of the cautions beside those of the agent.
    #[serde(default)]
    cautions: Vec<String>,
    /// Source.
    pub source: String,
}

impl Care {
    /// Everything that could hurt, strongest first.
    pub fn cautions(&self) -> Vec<&'static Caution> {
        let of_agent =
            tables::agents().iter().find(|agent| agent.id == self.agent).map(|agent| &agent.cautions);
        named(of_agent.into_iter().flatten().chain(&self.cautions))
    }
}

/// Something that is done in an order; a row of `data/routines.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Routine {
    /// As commands and addresses have it.
    pub id: String,
    /// Name.
    pub title: String,
    /// When it is done.
    pub when: String,
    /// Names of the cautions.
    cautions: Vec<String>,
    /// Source.
    pub source: String,
    /// What is done, in order.
    #[serde(rename = "step")]
    pub steps: Vec<RoutineStep>,
}

/// One step of a routine.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoutineStep {
    /// What is done.
    #[serde(rename = "do")]
    pub action: String,
    /// Why.
    pub why: String,
}

impl Routine {
    /// Everything that could hurt, strongest first.
    pub fn cautions(&self) -> Vec<&'static Caution> {
        named(self.cautions.iter())
    }
}

fn named<'a>(names: impl Iterator<Item = &'a String>) -> Vec<&'static Caution> {
    let mut cautions: Vec<&Caution> =
        names.filter_map(|name| tables::cautions().iter().find(|row| row.id == *name)).collect();
    cautions.sort_by_key(|caution| (caution.rank, &caution.id));
    cautions.dedup_by_key(|caution| &caution.id);
    cautions
}

/// Whether a row of the tables brings a caution.
#[cfg(test)]
pub(crate) fn names_caution(id: &str) -> bool {
    let agents = tables::agents().iter().flat_map(|agent| &agent.cautions);
    let cares = tables::care().iter().flat_map(|row| &row.cautions);
    let routines = tables::routines().iter().flat_map(|row| &row.cautions);
    agents.chain(cares).chain(routines).any(|name| name == id)
}

/// What an agent does to a surface.
///
/// ```
/// use knockon_trade::care::{Contact, care, find};
/// use knockon_trade::tables;
/// let water = find(tables::agents(), "tap water").unwrap();
/// let rotor = find(tables::surfaces(), "brake disc").unwrap();
/// assert_eq!(care(water, rotor).contact, Contact::Suits);
/// ```
///
/// # Panics
/// Never for rows of the tables: every pair has a row, and a test counts them.
pub fn care(agent: &Agent, surface: &Surface) -> &'static Care {
    let row = tables::care().iter().find(|row| row.agent == agent.id && row.surfaces.contains(&surface.id));
    row.unwrap_or_else(|| unreachable!("{} on {} has no row: a test counts them", agent.id, surface.id))
}

/// What can be found by a name.
pub trait Named {
    /// Its name in commands, its name, and the other words for it.
    fn all_names(&self) -> Vec<&str>;
}

impl Named for Agent {
    fn all_names(&self) -> Vec<&str> {
        names(&self.id, &self.name, &self.names)
    }
}

impl Named for Surface {
    fn all_names(&self) -> Vec<&str> {
        names(&self.id, &self.name, &self.names)
    }
}

impl Named for Routine {
    fn all_names(&self) -> Vec<&str> {
        names(&self.id, &self.title, &[])
    }
}

fn names<'a>(id: &'a str, name: &'a str, others: &'a [String]) -> Vec<&'a str> {
    [id, name].into_iter().chain(others.iter().map(String::as_str)).collect()
}

/// The row of that name, without regard to case and hyphens.
pub fn find<T: Named>(rows: &'static [T], words: &str) -> Option<&'static T> {
    let plain = |text: &str| text.trim().to_lowercase().replace(['-', '_'], " ");
    let wanted = plain(words);
    rows.iter().find(|row| row.all_names().into_iter().any(|name| plain(name) == wanted))
}

/// The name that was most likely meant, among agents, surfaces and routines.
///
/// ```
/// assert_eq!(knockon_trade::care::near("isopropil alcohol"), Some("Isopropyl alcohol"));
/// ```
pub fn near(words: &str) -> Option<&'static str> {
    let agents = tables::agents().iter().flat_map(Named::all_names);
    let surfaces = tables::surfaces().iter().flat_map(Named::all_names);
    let routines = tables::routines().iter().flat_map(Named::all_names);
    let found = nearest(words, agents.chain(surfaces).chain(routines))?;
    let agent =
        tables::agents().iter().find(|row| row.all_names().contains(&found)).map(|row| row.name.as_str());
    let surface = || {
        tables::surfaces().iter().find(|row| row.all_names().contains(&found)).map(|row| row.name.as_str())
    };
    Some(agent.or_else(surface).unwrap_or(found))
}
