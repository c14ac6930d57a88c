//! What somebody found of a part: damage is never computed away.

use std::sync::LazyLock;

use knockon_engine::requirement::Outcome;

use super::{Fitting, Judged};
use crate::tables::{self, Caution, Detail};
use crate::verdict::Verdict;

/// The interface whose rows are the findings.
const CONDITION: &str = "condition";

const SOURCE: &str = "common practice, no source: a damaged part is not fitted, and a doubtful one not before somebody qualified has looked at it";

/// The keys of conditions.
static ROWS: LazyLock<Vec<&'static Detail>> = LazyLock::new(|| {
    tables::details().iter().filter(|row| row.interface.as_deref() == Some(CONDITION)).collect()
});

/// Name of the verdict on what the rider's words tell.
const WORDS: &str = "told_damage";

/// Names of the verdicts.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    ROWS.iter().map(|row| row.key.as_str()).chain([WORDS])
}

/// Where the rider's own words speak of damage no figure makes it fit.
pub(crate) fn of_words(cautions: &[&'static Caution]) -> Option<Judged> {
    let damage = cautions.iter().find(|caution| caution.id == "damage")?;
    let verdict = Verdict {
        outcome: Outcome::CannotSay,
        sentence: "The question speaks of something that may be damaged: whatever the figures say, it is not ridden before somebody \
                   qualified has inspected it."
            .to_owned(),
        ..Verdict::on(WORDS, "What was told of its condition", &[])
    };
    Some(Judged { verdict, source: &damage.source })
}

/// A verdict on every part that is told to be damaged or doubtful.
pub(super) fn all(fitting: &Fitting<'_>) -> Vec<Judged> {
    ROWS.iter().filter_map(|row| judge(row, fitting.standard(&row.key)?)).collect()
}

fn judge(row: &'static Detail, found: &str) -> Option<Judged> {
    let part = row.label.trim_end_matches(": condition");
    let is_or_are = if part.contains(" and ") { "are" } else { "is" };
    let (outcome, sentence, missing) = match found {
        "damaged" => (
            Outcome::DoesNotFit,
            format!(
                "{part} {is_or_are} told to be damaged: not fitted and not ridden, whatever the figures say. A qualified technician or the maker decides what becomes of it."
            ),
            Vec::new(),
        ),
        "doubtful" => (
            Outcome::CannotSay,
            format!(
                "{part} {is_or_are} told to be doubtful: not ridden before somebody qualified has inspected it by the maker's instructions."
            ),
            vec![row.key.as_str()],
        ),
        _ => return None,
    };
    let verdict = Verdict {
        outcome,
        sentence,
        missing,
        ..Verdict::on(&row.key, &row.label, std::slice::from_ref(&row.key))
    };
    Some(Judged { verdict, source: SOURCE })
}
