//! A verdict: one limit, connection or condition, judged, with its reason.

use knockon_engine::requirement::Outcome;

use crate::inspection::inspected::REQUIREMENT;

/// One limit, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Snake-case name.
    pub requirement: &'static str,
    /// Name in a table.
    pub label: &'static str,
    /// How it came out.
    pub outcome: Outcome,
    /// Margin, mm, positive when kept; `None` when it cannot be computed.
    pub margin: Option<f64>,
    /// ± of the margin.
    pub margin_pm: Option<f64>,
    /// The verdict in one or two sentences.
    pub sentence: String,
    /// What to measure when the tolerance reaches across the limit.
    pub measure: Option<Next>,
    /// Record keys that are missing.
    pub missing: Vec<&'static str>,
    /// Record keys whose change touches it.
    pub touched_by: &'static [String],
    /// What it takes beside the parts themselves: an adapter.
    pub needs: Option<String>,
    /// Number of its source.
    pub source: usize,
}

impl Verdict {
    /// A verdict on something, not yet judged: it fits, and nothing is said.
    pub(crate) fn on(
        requirement: &'static str,
        label: &'static str,
        touched_by: &'static [String],
    ) -> Verdict {
        Verdict {
            requirement,
            label,
            outcome: Outcome::Fits,
            margin: None,
            margin_pm: None,
            sentence: String::new(),
            measure: None,
            missing: Vec::new(),
            touched_by,
            needs: None,
            source: 0,
        }
    }

    /// Place in a list, worst first: what was inspected before what was reckoned, what nothing mends before what an adapter does.
    pub fn rank(&self) -> (std::cmp::Reverse<Outcome>, bool, bool) {
        (std::cmp::Reverse(self.outcome), !self.is_of_inspection(), self.needs.is_some())
    }

    /// Whether it came out of an inspection: it speaks of riding, not of fitting.
    pub fn is_of_inspection(&self) -> bool {
        self.requirement == REQUIREMENT
    }
}

/// An input worth measuring.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Key in the record, or "revision B" for the new value of a change.
    pub key: String,
    /// What to do, to follow "to know it better": "measure the bar rise".
    pub action: String,
    /// Its share of the variance.
    pub share: f64,
    /// How to measure it.
    pub how: String,
}
