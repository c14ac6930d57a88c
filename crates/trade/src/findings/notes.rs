//! Sources, cautions and assumptions.

use std::collections::BTreeSet;

use super::Case;
use super::knock_on::KnockOn;
use crate::build::Origin;
use crate::change::Change;
use crate::inspection::Judgement;
use crate::tables::{self, Caution};
use crate::urgent;

/// Sources, numbered from 1 in the order in which they were first needed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sources(Vec<String>);

impl Sources {
    /// The number of a source.
    pub fn number(&mut self, source: &str) -> usize {
        if let Some(at) = self.0.iter().position(|known| known == source) {
            return at + 1;
        }
        self.0.push(source.to_owned());
        self.0.len()
    }

    /// All of them; number `n` is at `n − 1`.
    pub fn all(&self) -> &[String] {
        &self.0
    }
}

/// An assumption that matters to the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// Key in the record.
    pub key: String,
    /// Name in a sentence.
    pub label: String,
    /// Assumed value and ±, in the unit of the edge.
    pub value: (f64, f64),
    /// Unit of both.
    pub unit: &'static str,
    /// Why that value.
    pub why: String,
    /// True for a placeholder that carries no verdict.
    pub placeholder: bool,
    /// Number of its source.
    pub source: usize,
}

/// Cautions with the numbers of their sources.
pub(super) fn numbered(
    cautions: Vec<&'static Caution>,
    sources: &mut Sources,
) -> Vec<(&'static Caution, usize)> {
    cautions.into_iter().map(|caution| (caution, sources.number(&caution.source))).collect()
}

/// Cautions that the changes and the rider's own words bring, strongest first.
pub(crate) fn cautions_of<'a>(
    changes: impl Iterator<Item = &'a Change>,
    words: &str,
) -> Vec<&'static Caution> {
    let marks = urgent::words_in(words);
    let keys: BTreeSet<&str> = changes.flat_map(|change| [change.key(), change.subject()]).collect();
    let mut cautions: Vec<&Caution> = tables::cautions()
        .iter()
        .filter(|caution| {
            caution.when.iter().any(|when| when == "always" || keys.contains(when.as_str()))
                || caution.words.iter().any(|word| marks.contains(&word.as_str()))
        })
        .collect();
    cautions.sort_by_key(|caution| caution.rank);
    cautions
}

/// The same with those that belong to keys of a record which are told about, changed or not; none twice.
pub(super) fn with_keys(mut cautions: Vec<&'static Caution>, keys: &[&str]) -> Vec<&'static Caution> {
    for caution in tables::cautions() {
        let brought = caution.when.iter().any(|when| keys.contains(&when.as_str()));
        if brought && !cautions.iter().any(|known| known.id == caution.id) {
            cautions.push(caution);
        }
    }
    cautions.sort_by_key(|caution| caution.rank);
    cautions
}

/// The same with those that inspections bring; none is taken away.
pub(super) fn with_inspections(
    mut cautions: Vec<&'static Caution>,
    judgements: &[Judgement],
) -> Vec<&'static Caution> {
    cautions.extend(judgements.iter().flat_map(|judgement| &judgement.cautions));
    cautions.sort_by_key(|caution| (caution.rank, &caution.id));
    cautions.dedup_by_key(|caution| &caution.id);
    cautions
}

/// An assumption is told when it carries at least this share of the variance of a difference that moved.
const WORTH_TELLING: f64 = 0.02;

pub(super) fn assumptions(case: &Case<'_>, knock_ons: &[KnockOn], sources: &mut Sources) -> Vec<Assumed> {
    let inputs = &case.build.inputs;
    let mut weight = vec![0.0_f64; inputs.len()];
    for knock_on in knock_ons.iter().filter(|knock_on| knock_on.moved()) {
        for (input, share) in case.assessment.difference.variance_shares(knock_on.quantity as usize) {
            weight[input] = weight[input].max(share);
        }
    }
    inputs
        .iter()
        .zip(weight)
        .filter(|(_, weight)| *weight >= WORTH_TELLING)
        .filter_map(|(input, _)| {
            let Origin::Assumed(row) = input.origin else { return None };
            let property = tables::property(&input.key);
            let (factor, unit) = property.map_or((1.0, ""), |property| {
                (property.dimension.edge_factor(), property.dimension.edge_unit())
            });
            Some(Assumed {
                key: input.key.clone(),
                label: input.label.clone(),
                value: (input.value / factor, 2.0 * input.uncertainty / factor),
                unit,
                why: row.why.clone(),
                placeholder: !row.convention,
                source: sources.number(&row.source),
            })
        })
        .collect()
}
