//! How well two proposals can be told apart.

use std::collections::BTreeMap;

use knockon_engine::comparison::{Given, assess};
use knockon_engine::search::Aim;

use super::Start;
use crate::build::held_still;
use crate::findings::{allowances, steps};
use crate::question::Question;

/// What a proposal comes to for every aim, and what that moves with.
pub(super) struct Sure {
    rows: Vec<Row>,
}

struct Row {
    after: f64,
    after_pm: f64,
    difference_pm: f64,
    /// By the inputs of the bike itself, which every proposal shares.
    shared: Vec<f64>,
    /// By the measures of new parts, which two proposals share where both fit the same part.
    own: BTreeMap<String, f64>,
}

impl Sure {
    /// `None` where the bike does not have what the changes speak of.
    pub fn new(start: &Start<'_>, question: &Question, aims: &[Aim]) -> Option<Sure> {
        let mut build = start.build.clone();
        let shared = build.inputs.len();
        let steps = steps(&mut build, question).ok()?;
        let linkage = build.linkage.as_ref().map(|built| &built.linkage);
        let moving = held_still(&build.bike, &steps);
        let given = Given { linkage, steps: &steps };
        let assessment = assess(&moving, given, &allowances(), build.inputs.len());
        // Revisions have an input each, in their order, named by their letter; the part itself tells more.
        let name = |key: &str| {
            let letter = key.strip_prefix("revision ").and_then(|letter| letter.chars().next());
            let at = letter.map_or(usize::MAX, |letter| letter as usize - 'A' as usize);
            question.changes.get(at).map_or_else(|| key.to_owned(), ToString::to_string)
        };
        let row = |aim: &Aim| {
            let row = aim.quantity as usize;
            let all = assessment.after.contributions(row);
            let mut own = BTreeMap::new();
            for (input, by) in build.inputs[shared..].iter().zip(&all[shared..]) {
                *own.entry(format!("{} {}", name(&input.key), input.label)).or_insert(0.0) += by;
            }
            Row {
                after: assessment.after.value(row),
                after_pm: assessment.after.plus_minus(row),
                difference_pm: assessment.difference.plus_minus(row),
                shared: all[..shared].to_vec(),
                own,
            }
        };
        Some(Sure { rows: aims.iter().map(row).collect() })
    }

    /// What the quantity of an aim comes to, in the engine's unit.
    pub fn after(&self, aim: usize) -> f64 {
        self.rows[aim].after
    }

    /// ± of that.
    pub fn after_pm(&self, aim: usize) -> f64 {
        self.rows[aim].after_pm
    }

    /// ± of how far it moves.
    pub fn difference_pm(&self, aim: usize) -> f64 {
        self.rows[aim].difference_pm
    }

    /// Whether two proposals miss every aim by as much, within what is known of the difference between them.
    pub fn as_good_as(&self, other: &Sure, aims: &[Aim]) -> bool {
        aims.iter().zip(self.rows.iter().zip(&other.rows)).all(|(aim, (a, b))| {
            let miss = |row: &Row| aim.miss(row.after) * aim.scale;
            (miss(a) - miss(b)).abs() <= apart_pm(a, b) + 1e-9
        })
    }
}

/// ± of the difference between what two proposals come to: what they share cancels.
fn apart_pm(a: &Row, b: &Row) -> f64 {
    let shared: f64 = a.shared.iter().zip(&b.shared).map(|(x, y)| (x - y).powi(2)).sum();
    let names = a.own.keys().chain(b.own.keys().filter(|name| !a.own.contains_key(*name)));
    let of = |row: &Row, name: &String| row.own.get(name).copied().unwrap_or(0.0);
    let own: f64 = names.map(|name| (of(a, name) - of(b, name)).powi(2)).sum();
    2.0 * (shared + own).sqrt()
}
