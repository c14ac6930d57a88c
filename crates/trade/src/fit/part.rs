//! The parts of a bike as they are bought and swapped: a row of `data/parts.toml`.

use knockon_engine::requirement::Outcome;
use serde::Deserialize;

use super::{Fitting, Judged, shopping};
use crate::tables;
use crate::verdict::Verdict;
use crate::words::{join, lower_first};

/// One part.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Snake-case name.
    pub id: String,
    /// Name in a sentence.
    pub label: String,
    /// Keys of the record that go with it when it is swapped.
    pub keys: Vec<String>,
    /// Keys of which a new value means that another part of the kind is fitted.
    #[serde(default)]
    pub another: Vec<String>,
    /// Whether what is not known of another one is asked for.
    #[serde(default)]
    asks: bool,
    /// Its name on a shopping list; `None` for what the others are bought for.
    pub buy: Option<String>,
    /// Source of `another`.
    pub source: String,
}

impl Part {
    /// Whether there can be a verdict on the part as a whole.
    pub(super) fn is_judged(&'static self) -> bool {
        self.asks || shopping::between::is_between(self)
    }

    /// Of another part of the kind: which of its ends nothing is known of, on either side. A connection with one known side is
    /// judged by itself.
    pub(super) fn unknown(&'static self, fitting: &Fitting<'_>, judged: &[Judged]) -> Option<Judged> {
        if !self.asks {
            return None;
        }
        let told = |id: &str| judged.iter().any(|it| it.verdict.requirement == id);
        let open = tables::connections().iter().filter(|row| !row.quiet && !told(&row.id));
        let mut missing: Vec<&'static str> = Vec::new();
        for end in open.flat_map(|row| &row.ends).filter(|end| self.keys.contains(end)) {
            if fitting.standard(end).is_none() && !missing.contains(&end.as_str()) {
                missing.push(end);
            }
        }
        if missing.is_empty() {
            return None;
        }
        let labels: Vec<String> =
            missing.iter().filter_map(|key| tables::detail(key)).map(|row| lower_first(&row.label)).collect();
        let part = lower_first(&self.label);
        let sentence = format!(
            "Whether the new {part} goes with the rest cannot be said: not known are {}.",
            join(&labels)
        );
        let verdict = Verdict {
            outcome: Outcome::CannotSay,
            sentence,
            missing,
            ..Verdict::on(&self.id, &self.label, &self.another)
        };
        Some(Judged { verdict, source: &self.source })
    }
}
