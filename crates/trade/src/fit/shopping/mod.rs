//! The fewest things that make it all go together: adapters, and parts in the place of others.
//!
//! What a change names is wanted and stays, as does the frame; every other part may be swapped for one that is made to whatever its
//! neighbours ask for. Connections that do not hold are taken together where a part that may be swapped has a share in both, since
//! one part may mend several. Within such a group every set of parts is tried, small sets first, with the best choice of standards for
//! their ends; a thing bought is a part or an adapter. Groups are small: their number of parts is that of the neighbours of a few
//! connections.

pub(super) mod between;
mod choice;
mod mend;

use knockon_engine::requirement::Outcome;

use self::between::between;
use self::mend::{Way, groups, mend};
use super::connection::Connection;
use super::limit::Limit;
use super::part::Part;
use super::{Fitting, Judged};
use crate::tables;
use crate::verdict::Verdict;
use crate::words::{lower_first, plain};

/// One thing to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is.
    pub what: String,
    /// What it brings along, in a sentence; empty where it is only there or not.
    pub changes: &'static str,
    /// Names of the connections and limits that it mends.
    pub mends: Vec<&'static str>,
    /// Of a part in the place of another: what its ends are made to, by their keys; of several that serve, the first.
    pub made: Vec<(&'static str, &'static str)>,
}

impl Item {
    /// Something that is only there or not.
    fn new(what: String, mends: &'static str) -> Item {
        Item { what, changes: "", mends: vec![mends], made: Vec::new() }
    }
}

/// What it takes to make it all go together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shopping {
    /// What to buy.
    pub items: Vec<Item>,
    /// Names of the connections and limits that nothing mends while what is wanted stays.
    pub unmended: Vec<&'static str>,
}

impl Shopping {
    /// Adds what limits of the bike as a whole take: a stem for the bar or a bar for the stem, whichever was not asked for. Nothing else
    /// that is bought mends one of them.
    pub(crate) fn add_limits(&mut self, fitting: &Fitting<'_>, limits: &[Verdict]) {
        for verdict in limits.iter().filter(|verdict| verdict.outcome == Outcome::DoesNotFit) {
            let clamp = (verdict.requirement == "bar_clamp").then(|| clamp(fitting)).flatten();
            match clamp {
                Some(what) => {
                    self.items.push(Item::new(what, verdict.label));
                }
                None => self.unmended.push(verdict.label),
            }
        }
    }
}

/// A stem for the bar that is wanted, or a bar for the stem.
fn clamp(fitting: &Fitting<'_>) -> Option<String> {
    let wanted = |key: &str| fitting.changes().iter().any(|change| change.key() == key);
    let size = |key: &str| fitting.figure(key).map(|figure| plain(figure.value));
    match (wanted("bar.clamp"), wanted("stem.bar_clamp")) {
        (true, false) => Some(format!("another stem: for a bar of {} mm", size("bar.clamp")?)),
        (false, true) => Some(format!("another bar: of {} mm in the middle", size("stem.bar_clamp")?)),
        _ => None,
    }
}

/// At most so many standards of one end are named.
const MOST_NAMED: usize = 4;

/// What it takes, given the verdicts on this fitting.
pub fn shopping(fitting: &Fitting<'_>, judged: &[Judged]) -> Shopping {
    let mut shopping = Shopping::default();
    let broken = |id: &str| {
        judged.iter().any(|it| it.verdict.requirement == id && it.verdict.outcome == Outcome::DoesNotFit)
    };
    let failing: Vec<&'static Connection> =
        tables::connections().iter().filter(|row| broken(&row.id)).collect();
    for group in groups(fitting, &failing) {
        match mend(fitting, &group) {
            Some(way) => list(&way, &group, &mut shopping.items),
            None => shopping.unmended.extend(group.iter().map(|row| row.label.as_str())),
        }
    }
    for open in between(fitting) {
        if let Some(item) = open.item(fitting) {
            shopping.items.push(item);
        }
    }
    for it in
        judged.iter().filter(|it| !tables::connections().iter().any(|row| row.id == it.verdict.requirement))
    {
        other(fitting, it, judged, &mut shopping);
    }
    for it in judged.iter().filter(|it| it.verdict.outcome == Outcome::Fits) {
        if let Some(what) = &it.verdict.needs {
            add(&mut shopping.items, Item::new(what.clone(), it.verdict.label));
        }
    }
    shopping
}

/// A limit or a condition.
fn other(fitting: &Fitting<'_>, it: &Judged, judged: &[Judged], shopping: &mut Shopping) {
    if it.verdict.outcome != Outcome::DoesNotFit {
        return;
    }
    let limit: Option<&Limit> = tables::limits().iter().find(|row| row.id == it.verdict.requirement);
    let part = tables::parts().iter().find(|part| part.keys.iter().any(|key| key == it.verdict.requirement));
    if limit.is_some_and(|limit| is_moot(limit, judged)) {
        return;
    }
    let what = it.verdict.needs.clone().or_else(|| match limit {
        Some(limit) => limit.instead(fitting),
        None => part.and_then(|part| part.buy.clone()),
    });
    match what {
        Some(what) => add(&mut shopping.items, Item::new(what, it.verdict.label)),
        None => shopping.unmended.push(it.verdict.label),
    }
}

/// Whether what a limit asks for goes with a size that is itself to be replaced.
fn is_moot(limit: &Limit, judged: &[Judged]) -> bool {
    let broken = |id: &str| {
        judged.iter().any(|it| it.verdict.requirement == id && it.verdict.outcome == Outcome::DoesNotFit)
    };
    let replaced = |other: &Limit| other.value == limit.value && other.buy.is_some() && broken(&other.id);
    limit.needs.is_some() && tables::limits().iter().any(replaced)
}

/// One thing is bought once, whatever it is needed for.
fn add(items: &mut Vec<Item>, item: Item) {
    match items.iter_mut().find(|known| known.what == item.what) {
        Some(known) => known.mends.extend(item.mends),
        None => items.push(item),
    }
}

fn list(way: &Way, group: &[&'static Connection], items: &mut Vec<Item>) {
    for part in &way.parts {
        // In the order of the part's own keys. What may be nearly anything is no word to a shop.
        let made: Vec<String> = part
            .keys
            .iter()
            .filter_map(|key| way.ends.iter().find(|(end, _)| end == key))
            .filter(|(_, made)| made.len() <= MOST_NAMED)
            .map(|(end, made)| of_end(part, end, &made.join(" or ")))
            .collect();
        let what = format!("{}: {}", part.buy.as_deref().unwrap_or(&part.label), made.join(", "));
        let touches = |row: &&&'static Connection| row.ends.iter().any(|end| part.keys.contains(end));
        let of_part: Vec<&'static str> = group.iter().filter(touches).map(|row| row.label.as_str()).collect();
        // A part that is swapped for the sake of another one mends what that one mends.
        let mends =
            if of_part.is_empty() { group.iter().map(|row| row.label.as_str()).collect() } else { of_part };
        let ends = way.ends.iter().filter(|(end, _)| part.keys.iter().any(|key| key == end));
        let made = ends.filter_map(|(end, made)| Some((*end, *made.first()?))).collect();
        add(items, Item { what, changes: "", mends, made });
    }
    for (row, adapter, name) in &way.adapters {
        add(items, Item { changes: &adapter.changes, ..Item::new(name.clone(), &row.label) });
    }
}

/// What an end is made to, by its name where the part has several.
fn of_end(part: &Part, end: &str, made: &str) -> String {
    let is_end = |key: &&String| tables::detail(key).is_some_and(|row| row.interface.is_some());
    if part.keys.iter().filter(is_end).count() == 1 {
        return made.to_owned();
    }
    tables::detail(end).map_or_else(|| made.to_owned(), |row| format!("{} {made}", lower_first(&row.label)))
}
