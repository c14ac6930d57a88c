//! Does it fit: the parts of a bike as they are swapped, where they join, and the limits between their figures.
//!
//! Where two parts join is a row of `data/connections.toml`, judged in [`connection`]; a limit between two figures a row of
//! `data/limits.toml`, judged in [`limit`]; which facts go with which part a row of `data/parts.toml`. All of them need the record
//! and the changes alone; limits that follow from how the whole bike stands are in [`crate::findings`]. [`shopping`] finds the fewest
//! things that make it all go together.

pub mod condition;
pub mod connection;
pub mod limit;
pub mod part;
pub mod press;
pub mod shopping;

use std::collections::{BTreeSet, HashMap};
use std::sync::LazyLock;

use knockon_engine::requirement::Outcome;

use self::part::Part;
use self::shopping::between::between;
use crate::change::Change;
use crate::fact::{Fact, Known};
use crate::record::Record;
use crate::series::Series;
use crate::tables;
use crate::tyre::Tyre;
use crate::verdict::Verdict;

/// A verdict with its source, which no sheet has numbered yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub verdict: Verdict,
    /// Its source.
    pub source: &'static str,
}

/// A bike with the changes on it, as far as its parts and their ends are concerned.
pub struct Fitting<'a> {
    record: &'a Record,
    changes: &'a [Change],
    /// Parts of which another one is fitted: what the record tells of the old one does not hold.
    another: Vec<&'static Part>,
}

/// A figure with its standard uncertainty, in the units that are kept inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Figure {
    pub(crate) value: f64,
    pub(crate) uncertainty: f64,
}

impl Figure {
    /// A mark is compared with a mark: of a rotor of 180 mm and a mount for 180 mm neither is rounded.
    fn of(fact: &Fact) -> Figure {
        let is_mark = fact.known == Known::Published && fact.tolerance.is_none();
        Figure { value: fact.value, uncertainty: if is_mark { 0.0 } else { fact.uncertainty } }
    }
}

impl<'a> Fitting<'a> {
    /// The record's bike after the changes.
    pub fn new(record: &'a Record, changes: &'a [Change]) -> Self {
        let swapped = |part: &&Part| {
            let is_new =
                |change: &Change| change.sets() && part.another.iter().any(|key| key == change.key());
            changes.iter().any(is_new)
        };
        let another =
            tables::parts().iter().filter(|part| !part.another.is_empty()).filter(swapped).collect();
        Fitting { record, changes, another }
    }

    /// The record.
    pub fn record(&self) -> &'a Record {
        self.record
    }

    /// The changes.
    pub fn changes(&self) -> &'a [Change] {
        self.changes
    }

    /// Whether a change names the key, or replaces the part that it goes with.
    pub fn touches(&self, key: &str) -> bool {
        self.changes.iter().any(|change| change.key() == key || change.subject() == key)
            || self.is_of_another(key)
    }

    fn is_of_another(&self, key: &str) -> bool {
        self.another.iter().any(|part| part.keys.iter().any(|known| known == key))
    }

    /// Whether the record's word on a key went with a part that another one takes the place of, and no change says more.
    pub(crate) fn is_lost(&self, key: &str) -> bool {
        self.is_of_another(key) && !self.changes.iter().any(|change| change.key() == key)
    }

    /// What an end of a part is made to after the changes.
    pub fn standard(&self, key: &str) -> Option<&'static str> {
        let set = self.changes.iter().rev().find_map(|change| match change {
            Change::End { end, standard } if end.key == key => Some(*standard),
            // So many cogs are a cassette of so many.
            Change::Series { row, series }
                if row.key == "drivetrain.cog_teeth" && key == "drivetrain.cogs" =>
            {
                tables::interface("chain")?
                    .standard(&format!("{} cogs", series.count()?))
                    .map(|it| it.name.as_str())
            }
            _ => None,
        });
        set.or_else(|| self.record.ends.get(key).copied().filter(|_| !self.is_of_another(key)))
    }

    /// A figure after the changes; of a tyre its inflated width, or what stands behind a colon in the key.
    pub(crate) fn figure(&self, key: &str) -> Option<Figure> {
        let (key, of) = key.split_once(':').unwrap_or((key, ""));
        if matches!(key, "wheel.front.tyre" | "wheel.rear.tyre") {
            return self.tyre(key, of);
        }
        if let Some(series) = self.series(key) {
            let value = if of == "least" { series.least() } else { series.most() };
            return Some(Figure { value, uncertainty: 0.0 });
        }
        let told = self.record.fact(key).filter(|_| !self.is_of_another(key));
        let mut figure = told.map(Figure::of);
        for change in self.changes {
            match change {
                Change::Number { property, by, amount } if property.key == key => {
                    let amount = Figure::of(amount);
                    figure = if *by {
                        figure.map(|old| Figure {
                            value: old.value + amount.value,
                            uncertainty: old.uncertainty.hypot(amount.uncertainty),
                        })
                    } else {
                        Some(amount)
                    };
                }
                _ => {}
            }
        }
        figure
    }

    /// A row of numbers after the changes.
    pub fn series(&self, key: &str) -> Option<&'a Series> {
        let set = self.changes.iter().rev().find_map(|change| match change {
            Change::Series { row, series } if row.key == key => Some(series),
            _ => None,
        });
        set.or_else(|| self.record.series.get(key).filter(|_| !self.is_of_another(key)))
    }

    /// Size of the tyre after the changes on the wheel of this group of keys, `wheel.front.` or `wheel.rear.`.
    pub fn tyre_size(&self, group: &str) -> Option<&'a Tyre> {
        let key = if group == "wheel.front." { "wheel.front.tyre" } else { "wheel.rear.tyre" };
        let set = self.changes.iter().rev().find_map(|change| match change {
            Change::Tyre { tyre, .. } if change.key() == key => Some(tyre),
            _ => None,
        });
        let told = if key == "wheel.front.tyre" { &self.record.front_tyre } else { &self.record.rear_tyre };
        set.or(told.as_ref())
    }

    fn tyre(&self, key: &str, of: &str) -> Option<Figure> {
        let tyre = self.tyre_size(key.strip_suffix("tyre")?)?;
        Some(match of {
            "bead_seat" => Figure { value: f64::from(tyre.bead_seat), uncertainty: 0.0 },
            "marked" => Figure { value: tyre.width, uncertainty: 0.0 },
            _ => Figure { value: tyre.width, uncertainty: tyre.width_uncertainty() },
        })
    }

    /// Every connection, limit and condition of which something is known, touched or not.
    ///
    /// ```
    /// use knockon_trade::{fit::Fitting, question::read_changes, record::parse};
    /// use knockon_engine::requirement::Outcome;
    /// let record = parse("bike", "[fork]\naxle = \"15 × 110\"").unwrap().record;
    /// let changes = read_changes(&["front hub 15 x 100"]).unwrap().changes;
    /// let judged = Fitting::new(&record, &changes).judge();
    /// assert_eq!(judged[0].verdict.outcome, Outcome::DoesNotFit);
    /// assert!(judged[0].verdict.needs.as_ref().unwrap().contains("5 mm a side"));
    /// ```
    pub fn judge(&self) -> Vec<Judged> {
        let mut all = condition::all(self);
        all.extend(tables::connections().iter().filter_map(|row| row.judge(self)));
        all.extend(tables::limits().iter().filter_map(|row| row.judge(self)));
        all.extend(tables::press_fits().iter().filter_map(|row| row.judge(self)));
        self.open_ends(&mut all, false);
        all
    }

    /// Those of [`Fitting::judge`] that a change touches, and every condition: on a damaged bike nothing is cleared.
    pub fn judge_touched(&self) -> Vec<Judged> {
        let (connections, limits) = self.touched();
        let mut all = condition::all(self);
        all.extend(connections.iter().filter_map(|row| tables::connections()[*row].judge(self)));
        all.extend(limits.iter().filter_map(|row| tables::limits()[*row].judge(self)));
        let touched = |keys: &[String]| keys.iter().any(|key| self.touches(key));
        let press_fits = tables::press_fits().iter().filter(|row| touched(&row.keys));
        all.extend(press_fits.filter_map(|row| row.judge(self)));
        self.open_ends(&mut all, true);
        all
    }

    /// Connections and limits that a change touches, by their place in the tables.
    fn touched(&self) -> (BTreeSet<usize>, BTreeSet<usize>) {
        let mut touched = (BTreeSet::new(), BTreeSet::new());
        let subjects = self.changes.iter().flat_map(|change| [change.key(), change.subject()]);
        let replaced = self.another.iter().flat_map(|part| &part.keys).map(String::as_str);
        for key in subjects.chain(replaced) {
            if let Some((connections, limits)) = BY_KEY.get(key) {
                touched.0.extend(connections);
                touched.1.extend(limits);
            }
        }
        touched
    }

    /// What lies between two known parts where nothing serves, and what is not known of a part that is new.
    fn open_ends(&self, all: &mut Vec<Judged>, touched_only: bool) {
        let between = between(self).into_iter().filter(|it| !touched_only || it.is_touched(self));
        all.extend(between.filter_map(|it| it.judge()));
        let unknown: Vec<Judged> = self.another.iter().filter_map(|part| part.unknown(self, all)).collect();
        all.extend(unknown);
    }

    /// Whether an answer tells a verdict: a change touches it, it does not hold, or somebody found the part doubtful.
    pub(crate) fn tells(&self, verdict: &Verdict) -> bool {
        let doubted =
            verdict.outcome != Outcome::Fits && condition::names().any(|name| name == verdict.requirement);
        verdict.outcome == Outcome::DoesNotFit
            || doubted
            || verdict.touched_by.iter().any(|key| self.touches(key))
    }
}

/// Names of everything that can be judged here: connections, limits, press fits, parts of which nothing is known or nothing serves, and
/// conditions.
///
/// ```
/// let names = knockon_trade::fit::names();
/// assert!(["front_axle", "front_rotor_most", "shell_press", "fork", "fork.condition"].iter().all(|name| names.contains(name)));
/// ```
pub fn names() -> Vec<&'static str> {
    let connections = tables::connections().iter().map(|row| row.id.as_str());
    let limits = tables::limits().iter().map(|row| row.id.as_str());
    let press_fits = tables::press_fits().iter().map(|row| row.id.as_str());
    let parts = tables::parts().iter().filter(|part| part.is_judged()).map(|row| row.id.as_str());
    connections.chain(limits).chain(press_fits).chain(parts).chain(condition::names()).collect()
}

/// Places of connections and of limits.
type Rows = (Vec<usize>, Vec<usize>);

/// Which connections and limits speak of a key, by their place in the tables.
static BY_KEY: LazyLock<HashMap<&'static str, Rows>> = LazyLock::new(|| {
    let mut by_key: HashMap<&'static str, Rows> = HashMap::new();
    for (row, connection) in tables::connections().iter().enumerate() {
        for end in &connection.ends {
            by_key.entry(end).or_default().0.push(row);
        }
    }
    for (row, limit) in tables::limits().iter().enumerate() {
        for key in &limit.keys {
            by_key.entry(key).or_default().1.push(row);
        }
    }
    by_key
});
