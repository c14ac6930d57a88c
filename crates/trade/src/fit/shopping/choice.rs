//! What the ends of swapped parts are best made to.

use super::super::Fitting;
use super::super::connection::{Connection, Joins};
use crate::interface::Standard;

/// The search for what a few free ends are best made to.
pub(super) struct Choice<'a> {
    pub(super) fitting: &'a Fitting<'a>,
    pub(super) concerned: &'a [&'static Connection],
    pub(super) cluster: &'a [&'static str],
    /// Number of adapters, and what each end is made to.
    pub(super) best: Option<(usize, Vec<(&'static str, &'static str)>)>,
}

impl Choice<'_> {
    pub(super) fn search(&mut self, made: &mut Vec<(&'static str, &'static str)>, adapters: usize) {
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
    pub(super) fn as_good(&self, end: &'static str, chosen: &'static str) -> Vec<&'static str> {
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
