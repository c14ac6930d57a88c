//! What can be chosen from: the steps that parts come in, what can be set on the parts that are there, and a stock list.

use std::collections::BTreeMap;

use knockon_engine::bike::Parameter;
use knockon_engine::change::Step;
use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;

use super::rows::{ChoiceRow, Vary};
use super::wish::Wish;
use crate::build::Build;
use crate::change::{self, Change};
use crate::findings::steps;
use crate::question::Question;
use crate::record::Record;
use crate::shelf::{Offer, Shelf};
use crate::tables::{self, Detail};
use crate::tyre::{Tyre, tyre_sizes};
use crate::units::shown;
use crate::words::plain;

/// One thing that can be put into a slot.
#[derive(Clone, Debug)]
pub struct Offered {
    /// What it does; nothing for the slot as it is.
    pub changes: Vec<Change>,
    /// What it costs.
    pub price: f64,
    /// Whether something is bought for it.
    pub bought: bool,
    /// Its name and line on a stock list.
    pub stock: Option<(String, usize)>,
}

/// A slot of a bike with all that can be put into it.
#[derive(Clone, Debug)]
pub struct Slot {
    /// The row that it is made of.
    pub row: &'static ChoiceRow,
    /// The choices; the slot as it is comes first, unless that is not accepted.
    pub offered: Vec<Offered>,
    /// The same for the engine.
    pub choices: knockon_engine::search::Slot,
}

/// A choice that is not tried, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// Which slot it was for; empty for a whole proposal.
    pub slot: &'static str,
    /// What it would have been.
    pub what: String,
    /// Why it is not tried.
    pub why: String,
}

/// What slots are made from.
pub(super) struct Maker<'a> {
    pub record: &'a Record,
    pub build: &'a Build,
    pub wishes: &'a [Wish],
    pub stock: &'a [Offer],
    /// Whether parts that are on no stock list are left out.
    pub stock_only: bool,
}

impl Maker<'_> {
    /// The slots that serve one of the quantities or were asked for, but for those that are kept; and what is left out of them.
    pub fn slots(&self, wanted: &[Quantity]) -> (Vec<Slot>, Vec<LeftOut>) {
        let mut left_out = Vec::new();
        let tried = self.tried(wanted);
        let mut slots = Vec::new();
        // The record was completed once already; a second time it cannot fail.
        let Ok(mut shelf) = Shelf::new(self.record) else { return (slots, left_out) };
        let mut stepper = Stepper { build: self.build.clone(), question: Question::about(self.record, &[]) };
        let is_tried = |id: &&str| tried.iter().any(|row| row.id == **id);
        let gears = if GEARS.iter().all(is_tried) { &OF_GEARS[..] } else { &[] };
        let together = [&TOGETHER[..], gears].concat();
        for row in &tried {
            // A part of the list goes into the first slot that it says anything of.
            let listed = self.stock.iter().filter(|part| {
                tried.iter().find(|row| row.takes(&part.changes)).is_some_and(|first| first.id == row.id)
            });
            let listed: Vec<&Offer> = listed.collect();
            let offered = self.offered(row, &listed, &mut left_out);
            if let Some(slot) = self.ready(row, offered, &together, (&mut shelf, &mut stepper), &mut left_out)
            {
                slots.push(slot);
            }
        }
        (slots, left_out)
    }

    /// The rows that serve one of the quantities, or were asked for, and are not kept.
    fn tried(&self, wanted: &[Quantity]) -> Vec<&'static ChoiceRow> {
        let mut seen: Vec<&str> = Vec::new();
        let mut tried = Vec::new();
        for row in tables::choices() {
            if seen.contains(&row.id.as_str()) || !row.holds(self.record, self.build) {
                continue;
            }
            seen.push(&row.id);
            let is_limited = |wish: &Wish| matches!(wish, Wish::Within { property, .. } if row.vary.iter().any(|vary| vary.key == property.key));
            let kept = self.wishes.iter().any(|wish| matches!(wish, Wish::Keep(name) if row.goes_by(name)));
            let asked =
                |wish: &Wish| matches!(wish, Wish::Try(name) if row.goes_by(name)) || is_limited(wish);
            let asked = self.wishes.iter().any(asked);
            if !kept && (asked || wanted.iter().any(|quantity| row.serves(*quantity))) {
                tried.push(row);
            }
        }
        tried
    }

    fn offered(
        &self,
        row: &'static ChoiceRow,
        listed: &[&Offer],
        left_out: &mut Vec<LeftOut>,
    ) -> Vec<Offered> {
        let mut offered = vec![Offered { changes: Vec::new(), price: 0.0, bought: false, stock: None }];
        let turned = self.turned_over(row);
        if let Some(turned) = &turned {
            offered.push(Offered { changes: vec![turned.clone()], price: 0.0, bought: false, stock: None });
        }
        let own = if row.part && self.stock_only { Vec::new() } else { self.combinations(row) };
        for changes in own {
            // Nobody buys what the part on the bike is when it is turned over.
            let same = |change: &Change| turned.as_ref().is_some_and(|turned| turned == change);
            if !changes.iter().all(same) {
                let price = self.price(row, &changes);
                offered.push(Offered { changes, price, bought: price > 0.0 || row.part, stock: None });
            }
        }
        for part in listed {
            if part.count == Some(0) {
                left_out.push(LeftOut {
                    slot: &row.label,
                    what: part.name.clone(),
                    why: "the list has none left".to_owned(),
                });
                continue;
            }
            offered.push(Offered {
                changes: part.changes.clone(),
                price: part.price.unwrap_or(row.price),
                bought: true,
                stock: Some((part.name.clone(), part.line)),
            });
        }
        offered
    }

    /// What a choice of the row costs: nothing where no more is needed than is there.
    fn price(&self, row: &ChoiceRow, changes: &[Change]) -> f64 {
        if row.part {
            return row.price;
        }
        let there = self.build.bike.spacers_below.value + self.build.bike.spacers_above.value;
        let more = changes.iter().any(|change| {
            matches!(change, Change::Number { property, by: false, amount } if property.key == "cockpit.spacers_below" && amount.value > there + 1e-9)
        });
        if more { row.price } else { 0.0 }
    }

    /// The part that is on the bike, the other way up.
    fn turned_over(&self, row: &ChoiceRow) -> Option<Change> {
        let property = tables::property(row.turns_over.as_deref()?)?;
        let now = self.now(property.key.as_str())?;
        (now.abs() > 0.25).then(|| said(&property.say[0], &plain(-now)))?
    }

    /// Present value of a key in the unit of the edge, as the record says it.
    fn now(&self, key: &str) -> Option<f64> {
        let property = tables::property(key)?;
        let told = self.record.fact(key).map(|fact| fact.value);
        let value = told.unwrap_or(self.build.bike.get(property.parameter()?).value);
        value.is_finite().then(|| value / property.dimension.edge_factor())
    }

    /// Every value of the row's first key with every one of the next key's.
    fn combinations(&self, row: &ChoiceRow) -> Vec<Vec<Change>> {
        let mut all: Vec<Vec<Option<Change>>> = vec![Vec::new()];
        for vary in &row.vary {
            let values = self.values(vary);
            all = all
                .iter()
                .flat_map(|begun| {
                    values.iter().map(|value| [begun.as_slice(), std::slice::from_ref(value)].concat())
                })
                .collect();
        }
        let changes = all.into_iter().map(|changes| changes.into_iter().flatten().collect::<Vec<Change>>());
        changes.filter(|changes| !changes.is_empty()).collect()
    }

    /// The changes that one key can have; `None` is its value as it is.
    fn values(&self, vary: &Vary) -> Vec<Option<Change>> {
        match vary.key.as_str() {
            "wheel.front.tyre" => {
                return tyres("front tyre", self.record.front_tyre.as_ref(), vary.within);
            }
            "wheel.rear.tyre" => return tyres("rear tyre", self.record.rear_tyre.as_ref(), vary.within),
            "linkage.chip" => {
                let chip = self.record.linkage.as_ref().and_then(|linkage| linkage.chip.as_ref());
                let others =
                    chip.iter().flat_map(|chip| chip.places.iter().filter(|place| place.name != chip.now));
                return others.map(|place| said("chip", &place.name)).collect();
            }
            _ => {}
        }
        if let Some(row) = tables::detail(&vary.key) {
            return self.rows(row, &vary.texts);
        }
        let Some(property) = tables::property(&vary.key) else { return Vec::new() };
        let say = &property.say[0];
        let now = self.now(&vary.key);
        let same = |value: f64| now.is_some_and(|now| (now - value).abs() < 1e-6);
        let mut values = vary.values.clone();
        values.extend(stacks(&vary.pieces, vary.most));
        let mut all: Vec<Option<Change>> = values
            .iter()
            .map(|value| if same(*value) { None } else { said(say, &vary.text(*value)) })
            .collect();
        let is_now = |change: &Change| match change {
            Change::Number { amount, .. } => same(amount.value / property.dimension.edge_factor()),
            _ => false,
        };
        let texts = vary.texts.iter().filter_map(|text| said(say, text));
        all.extend(texts.filter(|change| !is_now(change)).map(Some));
        let steps: Vec<f64> = match (vary.every, vary.by.as_slice()) {
            (Some(every), [from, to]) => {
                let count = ((to - from) / every).round() as usize;
                (0..=count).map(|step| from + step as f64 * every).collect()
            }
            _ => vary.by.clone(),
        };
        let [least, most] = property.possible;
        let possible = |by: &f64| now.is_none_or(|now| (least..=most).contains(&(now + by)));
        let steps = steps.into_iter().filter(|by| by.abs() > 1e-9).filter(possible);
        all.extend(steps.map(|by| said(say, &format!("by {}", plain(by)))));
        all
    }

    /// Other rings or cogs: as many as there are, and no cassette with a smaller smallest cog, which would take another freehub.
    fn rows(&self, row: &'static Detail, texts: &[String]) -> Vec<Option<Change>> {
        let Some(now) = self.record.series.get(row.key.as_str()) else { return Vec::new() };
        let goes = |change: &Change| match change {
            Change::Series { series, .. } => {
                let small = row.key == "drivetrain.cog_teeth" && series.least() < now.least();
                series.count() == now.count() && !small && series != now
            }
            _ => false,
        };
        texts.iter().filter_map(|text| said(&row.say[0], text)).filter(goes).map(Some).collect()
    }

    /// The slot without what is not accepted or does not go on the bike, and its steps. `None` where nothing but the slot as it is
    /// is left.
    fn ready(
        &self,
        row: &'static ChoiceRow,
        offered: Vec<Offered>,
        together: &[&str],
        (shelf, stepper): (&mut Shelf, &mut Stepper),
        left_out: &mut Vec<LeftOut>,
    ) -> Option<Slot> {
        let (mut kept, mut choices) = (Vec::new(), Vec::new());
        for offered in offered {
            if !self.accepted(row, &offered) {
                continue;
            }
            if let Some(why) =
                (offered.bought && row.part).then(|| refused(shelf, &offered.changes, together)).flatten()
            {
                left_out.push(LeftOut { slot: &row.label, what: what(&offered), why });
                continue;
            }
            let Some(steps) = stepper.steps(&offered.changes) else { continue };
            let touched = u32::from(!offered.changes.is_empty());
            choices.push(knockon_engine::search::Choice { steps, touched, price: offered.price });
            kept.push(offered);
        }
        (kept.len() > 1 || kept.iter().any(|it| !it.changes.is_empty())).then_some(Slot {
            row,
            offered: kept,
            choices: knockon_engine::search::Slot { choices },
        })
    }

    /// Whether no wish speaks against a choice.
    fn accepted(&self, row: &ChoiceRow, offered: &Offered) -> bool {
        self.wishes.iter().all(|wish| match wish {
            Wish::Within { property, range } if row.vary.iter().any(|vary| vary.key == property.key) => {
                let set = offered.changes.iter().rev().find(|change| change.key() == property.key);
                let now = || self.now(&property.key).map(|now| now * property.dimension.edge_factor());
                let value = match set {
                    Some(Change::Number { by: false, amount, .. }) => Some(amount.value),
                    Some(Change::Number { by: true, amount, .. }) => now().map(|now| now + amount.value),
                    _ => now(),
                };
                value.is_none_or(|value| value >= range[0] - 1e-9 && value <= range[1] + 1e-9)
            }
            Wish::Without(change) => !offered.changes.contains(change),
            Wish::Price(most) => offered.price <= *most,
            _ => true,
        })
    }
}

/// Changes to steps of the engine, in plain numbers.
struct Stepper {
    build: Build,
    question: Question,
}

impl Stepper {
    fn steps(&mut self, changes: &[Change]) -> Option<Vec<Step<f64>>> {
        let inputs = self.build.inputs.len();
        self.question.changes = changes.to_vec();
        let steps = steps(&mut self.build, &self.question).ok();
        self.build.inputs.truncate(inputs);
        let plain = |steps: Vec<Step<knockon_engine::tolerance::Uncertain>>| {
            steps
                .iter()
                .map(|step| step.map(|number| number.value))
                .filter(|step| !matches!(step, Step::Nothing))
                .collect()
        };
        steps.map(plain)
    }
}

/// What can be set on the bike without buying anything; slots where nothing can are left out.
pub(super) fn free(slots: &[Slot]) -> Vec<Slot> {
    let free = |slot: &Slot| {
        let both = slot.offered.iter().zip(&slot.choices.choices).filter(|(offered, _)| !offered.bought);
        let (offered, choices) = both.map(|(offered, choice)| (offered.clone(), choice.clone())).unzip();
        Slot { row: slot.row, offered, choices: knockon_engine::search::Slot { choices } }
    };
    slots.iter().map(free).filter(|slot| slot.offered.len() > 1).collect()
}

/// Limits that stem, spacers and bar break together or not at all: the search looks at them.
const TOGETHER: [&str; 4] = ["steerer_length", "spacers_below", "bar_clamp", "stem_bar_clamp"];
/// The same of rings and cassette, where both may be others.
const OF_GEARS: [&str; 2] = ["capacity", "chain_length"];
const GEARS: [&str; 2] = ["rings", "cassette"];

/// Why a part does not go on the bike by itself, whatever else is chosen.
fn refused(shelf: &mut Shelf, changes: &[Change], together: &[&str]) -> Option<String> {
    let judged = shelf.judge(changes);
    let broken = judged.verdicts.iter().find(|verdict| {
        verdict.outcome == Outcome::DoesNotFit
            && verdict.needs.is_none()
            && !together.contains(&verdict.requirement)
    });
    broken.map(|verdict| verdict.sentence.clone())
}

/// What a choice is called: its name on the stock list, or its changes.
pub(super) fn what(offered: &Offered) -> String {
    let lines: Vec<String> = offered.changes.iter().map(ToString::to_string).collect();
    offered.stock.as_ref().map_or_else(|| lines.join(", "), |(name, _)| name.clone())
}

/// Other tyres of the same bead seat, no further from the width than is said.
fn tyres(say: &str, now: Option<&Tyre>, within: Option<f64>) -> Vec<Option<Change>> {
    let Some(now) = now else { return Vec::new() };
    let sizes = tyre_sizes().into_iter().map(|size| size.tyre);
    let apart = |tyre: &Tyre| (tyre.width - now.width).abs();
    let others = sizes.filter(|tyre| tyre.bead_seat == now.bead_seat && apart(tyre) > 0.25);
    let others = others.filter(|tyre| within.is_none_or(|within| apart(tyre) <= within));
    others.map(|tyre| said(say, &tyre.to_string())).collect()
}

/// A change by its words. The tables are checked for saying possible ones; what a bike's own figures make of them may still be none.
pub(super) fn said(say: &str, value: &str) -> Option<Change> {
    change::parse(&format!("{say} {value}")).ok().map(|read| read.change)
}

/// Every height that at most `most` of the pieces make, each piece once, lowest first.
fn stacks(pieces: &[f64], most: usize) -> Vec<f64> {
    let mut heights: BTreeMap<u64, f64> = BTreeMap::new();
    for mask in 0..1_usize << pieces.len() {
        if !pieces.is_empty() && mask.count_ones() as usize <= most {
            let height: f64 =
                pieces.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 1).map(|(_, piece)| piece).sum();
            heights.insert((height * 1000.0).round() as u64, height);
        }
    }
    heights.into_values().collect()
}

/// Spacers above the stem after a change of what is below it, mm, where all that stood on the steerer stays on it: what is not below is
/// above. `None` where it is not known, or nothing changes.
pub(super) fn spacers_above(build: &Build, changes: &[Change]) -> Option<Change> {
    let value = |parameter: Parameter| build.bike.get(parameter).value;
    let set = |key: &str| {
        changes.iter().find_map(|change| match change {
            Change::Number { property, by: false, amount } if property.key == key => Some(amount.value),
            _ => None,
        })
    };
    let (below, clamp) = (value(Parameter::SpacersBelow), value(Parameter::StemClampHeight));
    let grown = set("cockpit.spacers_below").map_or(0.0, |new| new - below)
        + set("stem.clamp_height").map_or(0.0, |new| new - clamp);
    let above = value(Parameter::SpacersAbove);
    let left = (above - grown).max(0.0);
    ((left - above).abs() > 0.05 && left.is_finite()).then(|| said("spacers above", &plain(left)))?
}

/// A price, without a tail of rounding.
pub fn price(price: f64) -> String {
    shown((price * 100.0).round() / 100.0, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spacers_stack_to_what_their_sum_is() {
        let heights = stacks(&[2.0, 3.0, 5.0], 2);
        assert_eq!(heights, [0.0, 2.0, 3.0, 5.0, 7.0, 8.0]);
        assert!(stacks(&[], 3).is_empty());
    }
}
