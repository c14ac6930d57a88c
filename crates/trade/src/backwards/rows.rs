//! The tables: the steps that parts come in, what can be set on the parts that are there, and what stays of itself.

use knockon_engine::quantity::Quantity;
use serde::Deserialize;

use crate::body::{Bar, bar_of};
use crate::build::Build;
use crate::change::Change;
use crate::record::Record;
use crate::tables;
use crate::words::plain;

/// What a slot holds; a row of `data/choices.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChoiceRow {
    /// Its name in an answer; of rows of one id the first that holds for the bike counts.
    pub id: String,
    /// In a table.
    pub label: String,
    /// How a wish names it, first the usual way.
    pub names: Vec<String>,
    /// Whether another part is fitted; else what is on the bike is set another way.
    pub part: bool,
    /// Round figure of a price, to weigh parts against each other.
    #[serde(default)]
    pub price: f64,
    /// The quantities for whose sake it is tried without being asked for.
    serves: Vec<String>,
    when: Option<When>,
    flat: Option<bool>,
    pub(super) vary: Vec<Vary>,
    pub(super) turns_over: Option<String>,
    /// Source of the steps.
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct When {
    key: String,
    value: f64,
}

/// Values of one key of the record.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Vary {
    pub(super) key: String,
    #[serde(default)]
    pub(super) values: Vec<f64>,
    /// Values in words.
    #[serde(default)]
    pub(super) texts: Vec<String>,
    #[serde(default)]
    pub(super) by: Vec<f64>,
    /// `by` is a range, in steps of this.
    pub(super) every: Option<f64>,
    #[serde(default)]
    pub(super) pieces: Vec<f64>,
    #[serde(default)]
    pub(super) most: usize,
    /// Tyres differ in width by no more than this.
    pub(super) within: Option<f64>,
    /// A value is written with so many decimals: the part is made that well.
    #[serde(default)]
    pub(super) decimals: usize,
}

impl Vary {
    /// A value as a change says it.
    pub(super) fn text(&self, value: f64) -> String {
        if self.decimals == 0 {
            plain(value)
        } else {
            format!("{value:.*}", self.decimals).replace('-', "−")
        }
    }
}

/// What stays as it is where somebody wants something else; a row of `data/stays.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StaysRow {
    pub(super) wanted: Vec<String>,
    pub(super) stays: Vec<String>,
    /// Weight against what was asked for.
    pub(super) weight: f64,
    /// Why.
    pub source: String,
}

impl ChoiceRow {
    /// Whether the row is tried for the sake of a quantity without being asked for.
    pub fn serves(&self, quantity: Quantity) -> bool {
        self.serves.iter().any(|id| id == quantity.id())
    }

    /// Whether a wish that names it means it.
    pub(super) fn goes_by(&self, name: &str) -> bool {
        self.names.iter().any(|known| known == name)
    }

    /// Whether it holds for the bike.
    pub(super) fn holds(&self, record: &Record, build: &Build) -> bool {
        let has = |vary: &Vary| match vary.key.as_str() {
            "linkage.chip" => record.linkage.as_ref().is_some_and(|linkage| linkage.chip.is_some()),
            "wheel.front.tyre" => record.front_tyre.is_some(),
            "wheel.rear.tyre" => record.rear_tyre.is_some(),
            // A step starts from something, and a fork without travel has none to change.
            "fork.travel" => record.fact("fork.travel").is_some_and(|fact| fact.value > 0.0),
            "shock.bushing_offset" => build.bike.eye_to_eye.value.is_finite(),
            // Springs that the bike does not have are not changed for others.
            "fork.pressure" | "fork.coil_rate" | "shock.pressure" | "shock.coil_rate" => {
                record.fact(&vary.key).is_some()
            }
            "shock.spacer" => build.bike.shock_stroke.value.is_finite(),
            "brake.front.rotor" | "brake.rear.rotor" => record.fact(&vary.key).is_some(),
            key if tables::detail(key).is_some() => {
                record.series.get(key).is_some_and(|row| row.count().is_some())
            }
            _ => true,
        };
        let is_flat = bar_of(record) == Bar::Flat;
        let when = self.when.as_ref().is_none_or(|when| {
            record.fact(&when.key).is_some_and(|fact| (fact.value - when.value).abs() < 0.05)
        });
        when && self.flat.is_none_or(|flat| flat == is_flat) && self.vary.iter().all(has)
    }

    /// Whether everything that it names is known.
    #[cfg(test)]
    fn is_sound(&self) -> bool {
        let known = |vary: &Vary| {
            let says = |text: &String| {
                let say = tables::property(&vary.key)
                    .map(|it| &it.say)
                    .or(tables::detail(&vary.key).map(|it| &it.say));
                say.and_then(|say| super::choices::said(&say[0], text)).is_some()
            };
            ["linkage.chip", "wheel.front.tyre", "wheel.rear.tyre"].contains(&vary.key.as_str())
                || (tables::detail(&vary.key).is_some() && vary.texts.iter().all(says))
                || tables::property(&vary.key).is_some_and(|property| {
                    property.parameter().is_some() && !property.say.is_empty() && vary.texts.iter().all(says)
                })
        };
        let serves = |id: &String| Quantity::ALL.iter().any(|quantity| quantity.id() == id);
        !self.names.is_empty()
            && self.vary.iter().all(known)
            && self.serves.iter().all(serves)
            && self.turns_over.as_ref().is_none_or(|key| self.vary.iter().any(|vary| vary.key == *key))
    }

    /// Whether a stock list's part of these changes goes into it.
    pub(super) fn takes(&self, changes: &[Change]) -> bool {
        let is_of = |change: &Change| {
            self.vary.iter().any(|vary| vary.key == change.key() || vary.key == change.subject())
        };
        self.part && changes.iter().any(is_of)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::change;

    #[test]
    fn every_row_is_sound_and_says_where_it_comes_from() {
        for row in tables::choices() {
            assert!(row.is_sound(), "{}", row.id);
            assert!(row.source.len() > 6 && row.price >= 0.0, "{}", row.id);
        }
        for row in tables::stays() {
            let known = |id: &String| Quantity::ALL.iter().any(|quantity| quantity.id() == id);
            assert!(
                row.wanted.iter().chain(&row.stays).all(known) && row.weight > 0.0 && row.source.len() > 6
            );
        }
    }

    /// Front and rear of one thing.
    const PAIRS: [&str; 2] = ["tyres", "rotors"];

    #[test]
    fn a_name_means_one_slot_unless_it_means_a_pair() {
        let mut seen: BTreeMap<String, &str> = BTreeMap::new();
        for row in tables::choices() {
            for name in &row.names {
                let other = seen.insert(change::normal(name), &row.id);
                assert!(
                    other.is_none_or(|other| other == row.id || PAIRS.contains(&name.as_str())),
                    "{name} is {other:?} and {}",
                    row.id
                );
            }
        }
    }
}
