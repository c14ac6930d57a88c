//! The fewest things that make it all go together: adapters, and parts in the place of others.
//!
//! What a change names is wanted and stays, as does the frame; every other part may be swapped for one that is made to whatever its
//! neighbours ask for. Connections that do not hold are taken together where a part that may be swapped has a share in both, since
//! one part may mend several. Within such a group every set of parts is tried, small sets first, with the best choice of standards for
//! their ends; a thing bought is a part or an adapter. Groups are small: their number of parts is that of the neighbours of a few
//! connections.

use std::sync::LazyLock;

use knockon_engine::requirement::Outcome;

use super::connection::{Adapter, Connection, Joins};
use super::limit::Limit;
use super::part::Part;
use super::{Fitting, Judged};
use crate::findings::{Verdict, plain};
use crate::interface::Standard;
use crate::tables;
use crate::words::lower_first;

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
                    self.items.push(Item { what, changes: "", mends: vec![verdict.label], made: Vec::new() });
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

/// At most so many parts are swapped in one group; more is another bike.
const MOST_PARTS: usize = 3;

/// At most so many standards of one end are named.
const MOST_NAMED: usize = 4;

/// A way to mend a group: parts swapped with what their ends are made to, and connections that take an adapter.
#[derive(Default)]
struct Way {
    parts: Vec<&'static Part>,
    /// Ends of those parts, each with everything that it may be made to.
    ends: Vec<(&'static str, Vec<&'static str>)>,
    adapters: Vec<(&'static Connection, &'static Adapter, String)>,
}

impl Way {
    fn cost(&self) -> usize {
        self.parts.len() + self.adapters.len()
    }
}

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
            Some(way) => list(fitting, &way, &group, &mut shopping.items),
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
            add(
                &mut shopping.items,
                Item { what: what.clone(), changes: "", mends: vec![it.verdict.label], made: Vec::new() },
            );
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
        Some(what) => add(
            &mut shopping.items,
            Item { what, changes: "", mends: vec![it.verdict.label], made: Vec::new() },
        ),
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

/// The part that an end belongs to, where it may be swapped.
fn swappable(fitting: &Fitting<'_>, end: &str) -> Option<&'static Part> {
    let part = tables::parts().iter().find(|part| part.keys.iter().any(|key| key == end))?;
    let wanted = |part: &Part| {
        let named = |key: &String| fitting.changes().iter().any(|change| change.key() == key);
        part.keys.iter().chain(&part.another).any(named)
    };
    (part.buy.is_some() && !wanted(part)).then_some(part)
}

fn same(a: &Part, b: &Part) -> bool {
    std::ptr::eq(a, b)
}

/// Parts that may be swapped at either end of a connection.
fn neighbours(fitting: &Fitting<'_>, connection: &'static Connection) -> Vec<&'static Part> {
    connection.ends.iter().filter_map(|end| swappable(fitting, end)).collect()
}

/// Connections that a part which may be swapped has a share in are mended together.
fn groups(fitting: &Fitting<'_>, failing: &[&'static Connection]) -> Vec<Vec<&'static Connection>> {
    let mut groups: Vec<Vec<&'static Connection>> = Vec::new();
    for connection in failing {
        let mine = neighbours(fitting, connection);
        let linked = |group: &Vec<&'static Connection>| {
            let theirs = group.iter().flat_map(|row| neighbours(fitting, row));
            theirs.into_iter().any(|their| mine.iter().any(|my| same(my, their)))
        };
        let (joined, apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(linked);
        groups = apart;
        groups.push(joined.into_iter().flatten().chain([*connection]).collect());
    }
    groups
}

/// The cheapest way to mend a group; `None` where there is none.
fn mend(fitting: &Fitting<'_>, group: &[&'static Connection]) -> Option<Way> {
    let mut parts: Vec<&'static Part> = Vec::new();
    for part in group.iter().flat_map(|row| neighbours(fitting, row)) {
        if !parts.iter().any(|known| same(known, part)) {
            parts.push(part);
        }
    }
    // What is swapped may want its own neighbours swapped.
    let further: Vec<&'static Part> = tables::connections()
        .iter()
        .filter(|row| parts.iter().any(|part| row.ends.iter().any(|end| part.keys.contains(end))))
        .flat_map(|row| neighbours(fitting, row))
        .collect();
    for part in further {
        if !parts.iter().any(|known| same(known, part)) {
            parts.push(part);
        }
    }
    let mut best: Option<Way> = None;
    let mut chosen = Vec::new();
    try_sets(&parts, 0, &mut chosen, &mut |swapped| {
        if best.as_ref().is_some_and(|best| swapped.len() >= best.cost()) {
            return;
        }
        if let Some(way) = with(fitting, group, swapped)
            && best.as_ref().is_none_or(|best| {
                way.cost() < best.cost() || (way.cost() == best.cost() && way.parts.len() < best.parts.len())
            })
        {
            best = Some(way);
        }
    });
    best
}

/// Every set of up to [`MOST_PARTS`] parts.
fn try_sets(
    parts: &[&'static Part],
    from: usize,
    chosen: &mut Vec<&'static Part>,
    each: &mut impl FnMut(&[&'static Part]),
) {
    each(chosen);
    if chosen.len() == MOST_PARTS {
        return;
    }
    for at in from..parts.len() {
        chosen.push(parts[at]);
        try_sets(parts, at + 1, chosen, each);
        chosen.pop();
    }
}

/// The best way with exactly these parts swapped: their ends are free, all others as they are.
fn with(fitting: &Fitting<'_>, group: &[&'static Connection], swapped: &[&'static Part]) -> Option<Way> {
    let free = |end: &str| swapped.iter().any(|part| part.keys.iter().any(|key| key == end));
    let concerned: Vec<&'static Connection> = tables::connections()
        .iter()
        .filter(|row| row.ends.iter().any(|end| free(end)) || group.iter().any(|known| known.id == row.id))
        .collect();
    let mut way = Way { parts: swapped.to_vec(), ..Way::default() };
    // What has no free end is as it is: an adapter or nothing.
    for row in concerned.iter().filter(|row| !row.ends.iter().any(|end| free(end))) {
        let [to, from] = [0, 1].map(|end| fitting.standard(&row.ends[end]));
        let (Some(to), Some(from)) = (to, from) else { continue };
        match row.joins(to, from) {
            Joins::Directly => {}
            Joins::With(adapter) => way.adapters.push((row, adapter, adapter.name(to, from))),
            Joins::Not => return None,
        }
    }
    let mut ends: Vec<&'static str> = Vec::new();
    for row in &concerned {
        for end in row.ends.iter().filter(|end| free(end)) {
            if !ends.contains(&end.as_str()) {
                ends.push(end);
            }
        }
    }
    // Free ends that meet in a connection are chosen together, all others by themselves.
    while let Some(first) = ends.pop() {
        let mut cluster = vec![first];
        let mut at = 0;
        while at < cluster.len() {
            let meets = |end: &&'static str| {
                concerned.iter().any(|row| {
                    row.ends.iter().any(|it| it == cluster[at]) && row.ends.iter().any(|it| it == *end)
                })
            };
            let (met, rest): (Vec<_>, Vec<_>) = ends.iter().copied().partition(meets);
            ends = rest;
            cluster.extend(met);
            at += 1;
        }
        let mut choice = Choice { fitting, concerned: &concerned, cluster: &cluster, best: None };
        choice.search(&mut Vec::new(), 0);
        let (_, made) = choice.best.take()?;
        for row in concerned.iter().filter(|row| row.ends.iter().any(|end| cluster.contains(&end.as_str()))) {
            let known = |end: &str| {
                made.iter()
                    .find(|(key, _)| *key == end)
                    .map(|(_, made)| *made)
                    .or_else(|| fitting.standard(end))
            };
            if let (Some(to), Some(from)) = (known(&row.ends[0]), known(&row.ends[1]))
                && let Joins::With(adapter) = row.joins(to, from)
            {
                way.adapters.push((row, adapter, adapter.name(to, from)));
            }
        }
        // An end whose other side is not known can be anything, so nothing is said of it.
        let asked = |end: &str| {
            concerned.iter().any(|row| {
                let other = row.ends.iter().find(|it| *it != end);
                row.ends.iter().any(|it| it == end)
                    && other.is_some_and(|other| free(other) || fitting.standard(other).is_some())
            })
        };
        let alone = cluster.len() == 1;
        let asked = made.into_iter().filter(|(end, _)| asked(end));
        way.ends.extend(
            asked.map(|(end, made)| (end, if alone { choice.as_good(end, made) } else { vec![made] })),
        );
    }
    Some(way)
}

/// The search for what a few free ends are best made to.
struct Choice<'a> {
    fitting: &'a Fitting<'a>,
    concerned: &'a [&'static Connection],
    cluster: &'a [&'static str],
    /// Number of adapters, and what each end is made to.
    best: Option<(usize, Vec<(&'static str, &'static str)>)>,
}

impl Choice<'_> {
    fn search(&mut self, made: &mut Vec<(&'static str, &'static str)>, adapters: usize) {
        if self.best.as_ref().is_some_and(|(least, _)| adapters >= *least) {
            return;
        }
        let Some(end) = self.cluster.get(made.len()).copied() else {
            self.best = Some((adapters, made.clone()));
            return;
        };
        // What is there now is tried first: a swapped part keeps whatever it can.
        let now = self.fitting.standard(end);
        let all = self.standards(end).iter().map(|standard| standard.name.as_str());
        for name in now.into_iter().chain(all.filter(|name| Some(*name) != now)) {
            made.push((end, name));
            if let Some(more) = self.takes(made) {
                self.search(made, adapters + more);
            }
            made.pop();
        }
    }

    /// Everything that serves an end as well as what was chosen, in the order of the table.
    fn as_good(&self, end: &'static str, chosen: &'static str) -> Vec<&'static str> {
        let adapters = |name| self.takes(&[(end, name)]);
        let all = self.standards(end).iter().map(|standard| standard.name.as_str());
        all.filter(|name| adapters(name) == adapters(chosen)).collect()
    }

    /// What an end can be made to.
    fn standards(&self, end: &str) -> &'static [Standard] {
        let side = |row: &&'static Connection| Some(row.standards(row.ends.iter().position(|it| it == end)?));
        self.concerned.iter().find_map(side).unwrap_or_default()
    }

    /// Adapters that the end chosen last asks for; `None` where it does not go together with what is known so far.
    fn takes(&self, made: &[(&'static str, &'static str)]) -> Option<usize> {
        let (end, _) = *made.last()?;
        let known = |key: &str| {
            let chosen = made.iter().find(|(it, _)| *it == key).map(|(_, made)| *made);
            chosen.or_else(|| self.fitting.standard(key).filter(|_| !self.cluster.contains(&key)))
        };
        let mut adapters = 0;
        for row in self.concerned.iter().filter(|row| row.ends.iter().any(|it| it == end)) {
            let (Some(to), Some(from)) = (known(&row.ends[0]), known(&row.ends[1])) else { continue };
            match row.joins(to, from) {
                Joins::Directly => {}
                Joins::With(_) => adapters += 1,
                Joins::Not => return None,
            }
        }
        Some(adapters)
    }
}

fn list(fitting: &Fitting<'_>, way: &Way, group: &[&'static Connection], items: &mut Vec<Item>) {
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
        add(
            items,
            Item { what: name.clone(), changes: &adapter.changes, mends: vec![&row.label], made: Vec::new() },
        );
    }
    debug_assert!(
        way.cost() > 0 || fitting.changes().is_empty(),
        "a group that does not hold takes something"
    );
}

/// What an end is made to, by its name where the part has several.
fn of_end(part: &Part, end: &str, made: &str) -> String {
    let is_end = |key: &&String| tables::detail(key).is_some_and(|row| row.interface.is_some());
    if part.keys.iter().filter(is_end).count() == 1 {
        return made.to_owned();
    }
    tables::detail(end).map_or_else(|| made.to_owned(), |row| format!("{} {made}", lower_first(&row.label)))
}

/// A part between two others of which nothing is known, while what both of them ask for is.
pub(super) struct Between {
    /// The part.
    pub(super) part: &'static Part,
    /// What would go with both, without anything else between.
    pub(super) serves: Vec<&'static str>,
    /// What the two others are made to.
    pub(super) others: Vec<&'static str>,
    /// The connections.
    pub(super) rows: Vec<&'static Connection>,
}

impl Between {
    /// Where nothing serves the two others can never be on one bike; else it is for the connections to say.
    pub(super) fn judge(&self) -> Option<Judged> {
        if !self.serves.is_empty() {
            return None;
        }
        let verdict = Verdict {
            outcome: Outcome::DoesNotFit,
            sentence: format!(
                "No {} is known that goes with both {}.",
                lower_first(&self.part.label),
                self.others.join(" and ")
            ),
            ..Verdict::on(&self.part.id, &self.part.label, &self.part.keys)
        };
        Some(Judged { verdict, source: "the tables of standards, which may lack a part that somebody makes" })
    }

    fn item(&self, fitting: &Fitting<'_>) -> Option<Item> {
        let ends = || self.rows.iter().flat_map(|row| &row.ends);
        if self.serves.is_empty() || !ends().any(|end| fitting.touches(end)) {
            return None;
        }
        let buy = self.part.buy.as_deref().unwrap_or(&self.part.label);
        let what = format!("{buy}: {}, unless it is there", self.serves.join(" or "));
        let end = self.part.keys.iter().find(|key| self.rows[0].ends.contains(key))?;
        let mends = self.rows.iter().map(|row| row.label.as_str()).collect();
        Some(Item { what, changes: "", mends, made: vec![(end, self.serves[0])] })
    }
}

/// A part of one end that meets several others, with the connections and the side of each that the end is on.
type Middle = (&'static Part, &'static str, Vec<(&'static Connection, usize)>);

/// Parts that lie between others.
static MIDDLES: LazyLock<Vec<Middle>> = LazyLock::new(|| {
    let of_part = |part: &'static Part| {
        let side = |row: &'static Connection, end: &str| {
            Some((row, row.ends.iter().position(|known| known == end)?))
        };
        let rows = |end: &str| -> Vec<(&'static Connection, usize)> {
            tables::connections().iter().filter_map(|row| side(row, end)).collect()
        };
        let mut ends =
            part.keys.iter().map(|end| (end.as_str(), rows(end))).filter(|(_, rows)| !rows.is_empty());
        let (end, rows) = ends.next()?;
        ends.next().is_none().then_some((part, end, rows))
    };
    let parts = tables::parts().iter().filter(|part| part.buy.is_some());
    parts.filter_map(of_part).filter(|(_, _, rows)| rows.len() > 1).collect()
});

/// Whether a part lies between others.
pub(super) fn is_between(part: &Part) -> bool {
    MIDDLES.iter().any(|(known, ..)| same(known, part))
}

/// Every such part.
pub(super) fn between(fitting: &Fitting<'_>) -> Vec<Between> {
    let mut found = Vec::new();
    for (part, end, rows) in MIDDLES.iter() {
        if fitting.standard(end).is_some() {
            continue;
        }
        let known: Vec<(&'static Connection, usize, &'static str)> = rows
            .iter()
            .filter_map(|(row, side)| Some((*row, *side, fitting.standard(&row.ends[1 - side])?)))
            .collect();
        if known.len() < 2 {
            continue;
        }
        let directly = |name: &str| {
            known.iter().all(|(row, side, other)| {
                let (to, from) = if *side == 0 { (name, *other) } else { (*other, name) };
                matches!(row.joins(to, from), Joins::Directly)
            })
        };
        let all = known[0].0.standards(known[0].1).iter().map(|standard| standard.name.as_str());
        found.push(Between {
            part,
            serves: all.filter(|name| directly(name)).collect(),
            others: known.iter().map(|(.., other)| *other).collect(),
            rows: known.iter().map(|(row, ..)| *row).collect(),
        });
    }
    found
}
