//! The cheapest way to mend connections that do not hold: every small set of parts that may be swapped is tried.

use super::super::Fitting;
use super::super::connection::{Adapter, Connection, Joins};
use super::super::part::Part;
use super::choice::Choice;
use crate::tables;

/// At most so many parts are swapped in one group; more is another bike.
const MOST_PARTS: usize = 3;

/// A way to mend a group: parts swapped with what their ends are made to, and connections that take an adapter.
#[derive(Default)]
pub(super) struct Way {
    pub(super) parts: Vec<&'static Part>,
    /// Ends of those parts, each with everything that it may be made to.
    pub(super) ends: Vec<(&'static str, Vec<&'static str>)>,
    pub(super) adapters: Vec<(&'static Connection, &'static Adapter, String)>,
}

impl Way {
    pub(super) fn cost(&self) -> usize {
        self.parts.len() + self.adapters.len()
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
pub(super) fn groups(
    fitting: &Fitting<'_>,
    failing: &[&'static Connection],
) -> Vec<Vec<&'static Connection>> {
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
pub(super) fn mend(fitting: &Fitting<'_>, group: &[&'static Connection]) -> Option<Way> {
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
