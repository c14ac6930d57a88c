//! Where two parts of a bike join: a row of `data/connections.toml`, and whether what is fitted goes together there.

use knockon_engine::requirement::Outcome;
use serde::Deserialize;

use super::{Fitting, Judged};
use crate::interface::Standard;
use crate::tables;
use crate::verdict::Verdict;
use crate::words::lower_first;

/// Two parts that join, and what brings different standards together.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connection {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// Keys of the record: what holds, and what is held. Always two; a list, since a verdict names what touches it by one.
    pub ends: Vec<String>,
    /// What is bought beside the parts wherever two different standards join, with `{held}` and `{holder}`.
    pub between: Option<String>,
    /// Judged only where both ends are known: what is bought together with one of the parts.
    #[serde(default)]
    pub(super) quiet: bool,
    /// What to do where the two do not go together.
    pub advice: String,
    /// Source of the advice.
    pub source: String,
    /// What brings different standards together.
    #[serde(default, rename = "adapter")]
    pub adapters: Vec<Adapter>,
}

/// A part between two others.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adapter {
    /// Standards of what is held.
    pub from: Vec<String>,
    /// Standards of what holds; each goes with each.
    pub to: Vec<String>,
    /// What to buy, with `{from}` and `{to}`.
    name: String,
    /// What it brings along.
    pub changes: String,
    /// Source of the row.
    pub source: String,
}

impl Adapter {
    /// What to buy to get a held part of one standard into a holding part of another.
    pub fn name(&self, holder: &str, held: &str) -> String {
        self.name.replace("{from}", held).replace("{to}", holder)
    }

    /// Whether it is the one for these two.
    fn serves(&self, holder: &str, held: &str) -> bool {
        self.from.iter().any(|row| row == held) && self.to.iter().any(|row| row == holder)
    }
}

/// How two standards go together.
#[derive(Clone, Copy, Debug)]
pub enum Joins {
    /// By themselves.
    Directly,
    /// With something between them.
    With(&'static Adapter),
    /// Not at all.
    Not,
}

impl Connection {
    /// Standards of what holds (0) or is held (1).
    pub fn standards(&self, end: usize) -> &'static [Standard] {
        let detail = tables::detail(&self.ends[end]);
        let interface = detail.and_then(|row| row.interface.as_deref()).and_then(tables::interface);
        interface.map_or(&[], |row| &row.standards)
    }

    /// How a held part of one standard goes into a holding part of another.
    ///
    /// ```
    /// use knockon_trade::{fit::connection::Joins, tables::connections};
    /// let row = |id: &str| connections().iter().find(|row| row.id == id).unwrap();
    /// assert!(matches!(row("front_axle").joins("15 × 110", "15 × 110"), Joins::Directly));
    /// assert!(matches!(row("front_axle").joins("15 × 110", "20 × 110"), Joins::Not));
    /// // A headset part of the bore's figure goes in, whichever seat it has.
    /// assert!(matches!(row("lower_head_tube").joins("ZS56 or EC56", "EC56/40"), Joins::Directly));
    /// ```
    pub fn joins(&'static self, holder: &str, held: &str) -> Joins {
        let [one, other] = [(0, holder), (1, held)].map(|(end, name)| {
            let detail = tables::detail(&self.ends[end]);
            let interface = detail.and_then(|row| row.interface.as_deref()).unwrap_or_default();
            (interface, name)
        });
        let goes_into = |from: (&str, &str), to: (&str, &str)| {
            let standard = tables::interface(from.0).and_then(|row| row.named(from.1));
            standard.is_some_and(|standard| standard.goes_into(to.0, to.1))
        };
        let same = one.0 == other.0;
        if (same && holder == held) || (!same && (goes_into(one, other) || goes_into(other, one))) {
            return Joins::Directly;
        }
        let adapter = self.adapters.iter().find(|row| row.serves(holder, held));
        adapter.map_or(Joins::Not, Joins::With)
    }

    /// What is bought beside two parts of different standards that join all the same.
    pub fn between(&self, holder: &str, held: &str) -> Option<String> {
        let template = self.between.as_ref().filter(|_| holder != held)?;
        Some(template.replace("{held}", held).replace("{holder}", holder))
    }

    /// Whether the two parts go together; `None` where nothing is known of either.
    pub(super) fn judge(&'static self, fitting: &Fitting<'_>) -> Option<Judged> {
        let [to, from] = [0, 1].map(|end| fitting.standard(&self.ends[end]));
        let touched = self.ends.iter().any(|end| fitting.touches(end));
        let mut verdict = Verdict::on(&self.id, &self.label, &self.ends);
        let mut source = self.source.as_str();
        match (to, from) {
            (None, None) => return None,
            (None, _) | (_, None) if self.quiet => return None,
            (Some(to), Some(from)) => match self.joins(to, from) {
                Joins::Directly => {
                    verdict.sentence = self.fits(to, from);
                    if let Some(between) = self.between(to, from) {
                        verdict.sentence.push_str(&format!(" It takes {between}."));
                        verdict.needs = touched.then_some(between);
                    }
                }
                Joins::With(adapter) => {
                    // As they are they do not go together, so this is no "fits"; the sentence says what it takes.
                    let name = adapter.name(to, from);
                    verdict.outcome = Outcome::DoesNotFit;
                    verdict.sentence = format!(
                        "{}: not as they are, but with {name}. {}",
                        self.differ(to, from),
                        adapter.changes
                    );
                    verdict.needs = Some(name);
                    source = &adapter.source;
                }
                Joins::Not => {
                    verdict.outcome = Outcome::DoesNotFit;
                    verdict.sentence =
                        format!("{}: they do not go together. {}", self.differ(to, from), self.advice);
                }
            },
            _ => {
                let unknown = usize::from(to.is_some());
                let key = tables::detail(&self.ends[unknown]).map(|detail| detail.key.as_str());
                verdict.outcome = Outcome::CannotSay;
                verdict.sentence = format!(
                    "Whether they go together cannot be said: the {} is {}, the {} is not known.",
                    self.name(1 - unknown),
                    to.or(from).unwrap_or_default(),
                    self.name(unknown)
                );
                verdict.missing = key.into_iter().collect();
            }
        }
        Some(Judged { verdict, source })
    }

    /// Name of what holds or is held in a sentence.
    fn name(&self, end: usize) -> String {
        tables::detail(&self.ends[end]).map_or_else(String::new, |row| lower_first(&row.label))
    }

    fn fits(&self, to: &str, from: &str) -> String {
        if to == from {
            format!("Both are made to {to}.")
        } else {
            format!("The {} {from} goes with the {} {to}.", self.name(1), self.name(0))
        }
    }

    fn differ(&self, to: &str, from: &str) -> String {
        format!("The {} is {from} and the {} {to}", self.name(1), self.name(0))
    }
}
