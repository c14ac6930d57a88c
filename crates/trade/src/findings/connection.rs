//! The connections: whether parts that join are made to the same standard, or what brings them together.

use knockon_engine::requirement::Outcome;

use super::verdict::Verdict;
use super::{Case, Sources};
use crate::change::Change;
use crate::interface::connection::{Connection, Joins};
use crate::tables;

/// One connection, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Connected {
    /// The verdict; its source is not numbered.
    pub verdict: Verdict,
    /// Source of the verdict.
    pub source: &'static str,
}

/// Every connection of which something is known after the changes.
pub(super) fn all(case: &Case<'_>) -> Vec<Connected> {
    tables::connections().iter().filter_map(|connection| judge(case, connection)).collect()
}

/// Those that the answer to this question tells: they are touched, or do not hold.
pub(super) fn told(case: &Case<'_>, all: &[Connected], sources: &mut Sources) -> Vec<Verdict> {
    let told = |verdict: &Verdict| case.touches(verdict.touched_by) || verdict.outcome == Outcome::DoesNotFit;
    all.iter()
        .filter(|connected| told(&connected.verdict))
        .map(|connected| Verdict { source: sources.number(connected.source), ..connected.verdict.clone() })
        .collect()
}

/// What an end of a part is made to after the changes.
fn standard(case: &Case<'_>, key: &str) -> Option<&'static str> {
    let set = case.question.changes.iter().rev().find_map(|change| match change {
        Change::End { end, standard } if end.key == key => Some(*standard),
        _ => None,
    });
    set.or_else(|| case.question.record.ends.get(key).copied())
}

fn judge(case: &Case<'_>, connection: &'static Connection) -> Option<Connected> {
    let [holder, held] = [0, 1].map(|end| connection.ends[end].as_str());
    let lower = |key: &str| tables::detail(key).map_or_else(String::new, |row| row.label.to_lowercase());
    let differ = |to: &str, from: &str| {
        format!("The {} is made to {from} and the {} to {to}", lower(held), lower(holder))
    };
    let known = [standard(case, holder), standard(case, held)];
    let mut source = connection.source.as_str();
    let mut needs = None;
    let (outcome, sentence, missing) = match known {
        [None, None] => return None,
        [Some(to), Some(from)] => match connection.joins(to, from) {
            Joins::Directly => (Outcome::Fits, format!("Both are made to {to}."), Vec::new()),
            Joins::With(adapter) => {
                (source, needs) = (adapter.source.as_str(), Some(adapter.name.as_str()));
                // As they are they do not go together, so this is no "fits"; the sentence says what it takes.
                let sentence = format!(
                    "{}: not as they are, but with {}. {}",
                    differ(to, from),
                    adapter.name,
                    adapter.changes
                );
                (Outcome::DoesNotFit, sentence, Vec::new())
            }
            Joins::Not => {
                let sentence =
                    format!("{}: they do not go together. {}", differ(to, from), connection.advice);
                (Outcome::DoesNotFit, sentence, Vec::new())
            }
        },
        _ => {
            let unknown = if known[0].is_none() { holder } else { held };
            let key = tables::detail(unknown).map(|detail| detail.key.as_str());
            let sentence =
                format!("Whether they go together cannot be said: the {} is not known.", lower(unknown));
            (Outcome::CannotSay, sentence, key.into_iter().collect())
        }
    };
    let verdict = Verdict {
        requirement: &connection.id,
        label: &connection.label,
        outcome,
        margin: None,
        margin_pm: None,
        sentence,
        measure: None,
        missing,
        touched_by: &connection.ends,
        needs,
        source: 0,
    };
    Some(Connected { verdict, source })
}
