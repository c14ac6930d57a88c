//! An inspection as a question carries it, and what the answer makes of it.

use knockon_engine::requirement::Outcome;

use super::{Grade, Judgement, Observation, Protocol, judge};
use crate::fit::Judged;
use crate::verdict::Verdict;

/// Name of the verdict of every inspection.
pub const REQUIREMENT: &str = "inspection";

/// What somebody found by a protocol.
#[derive(Clone, Debug)]
pub struct Inspected {
    /// Its number where it is kept; empty otherwise.
    pub number: String,
    /// The part, in words: "down tube, left"; empty when nobody said.
    pub part: String,
    /// The protocol.
    pub protocol: &'static Protocol,
    /// Edition of the protocol that was walked.
    pub edition: u32,
    /// What was found.
    pub observations: Vec<Observation>,
    /// Who closed it with their name, and when, in words; empty while it is open.
    pub signed: String,
}

impl Inspected {
    /// What was found by the protocol as it is now, neither kept nor signed.
    pub fn new(protocol: &'static Protocol, part: &str, observations: Vec<Observation>) -> Self {
        Inspected {
            number: String::new(),
            part: part.trim().to_owned(),
            protocol,
            edition: protocol.edition,
            observations,
            signed: String::new(),
        }
    }

    /// What the protocol says of it.
    pub fn judgement(&self) -> Judgement {
        judge(self.protocol, &self.observations)
    }
}

/// The verdict of an inspection on the whole answer. A mild grade gives none: it clears nothing, and "fits" is not what it says.
pub(crate) fn verdict(inspected: &Inspected, judgement: &Judgement) -> Option<Judged> {
    let outcome = match judgement.grade {
        Grade::DoNotRide => Outcome::DoesNotFit,
        Grade::Inspect => Outcome::CannotSay,
        Grade::RideWithCheck | Grade::Cosmetic => return None,
    };
    let open = if judgement.is_finished() {
        String::new()
    } else {
        " The inspection is not finished: until it is, the worst that is still possible counts.".to_owned()
    };
    let because = judgement.because.first().map(|why| format!(" {why}")).unwrap_or_default();
    let verdict = Verdict {
        outcome,
        sentence: format!("{}.{because}{open}", judgement.outcome.say),
        ..Verdict::on(REQUIREMENT, &inspected.protocol.title, &[])
    };
    Some(Judged { verdict, source: &judgement.outcome.source })
}
