//! Parts that lie between two others, and of which nothing is known.

use std::sync::LazyLock;

use knockon_engine::requirement::Outcome;

use super::super::connection::{Connection, Joins};
use super::super::part::Part;
use super::super::{Fitting, Judged};
use super::Item;
use crate::tables;
use crate::verdict::Verdict;
use crate::words::lower_first;

/// A part between two others of which nothing is known, while what both of them ask for is.
pub(in crate::fit) struct Between {
    /// The part.
    part: &'static Part,
    /// What would go with both, without anything else between.
    serves: Vec<&'static str>,
    /// What the two others are made to.
    others: Vec<&'static str>,
    /// The connections.
    rows: Vec<&'static Connection>,
}

impl Between {
    /// Where nothing serves the two others can never be on one bike; else it is for the connections to say.
    pub(in crate::fit) fn judge(&self) -> Option<Judged> {
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

    /// Whether a change touches the part or one of the two others.
    pub(in crate::fit) fn is_touched(&self, fitting: &Fitting<'_>) -> bool {
        self.rows.iter().flat_map(|row| &row.ends).any(|end| fitting.touches(end))
    }

    pub(super) fn item(&self, fitting: &Fitting<'_>) -> Option<Item> {
        if self.serves.is_empty() || !self.is_touched(fitting) {
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
pub(in crate::fit) fn is_between(part: &Part) -> bool {
    MIDDLES.iter().any(|(known, ..)| std::ptr::eq(*known, part))
}

/// Every such part.
pub(in crate::fit) fn between(fitting: &Fitting<'_>) -> Vec<Between> {
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
