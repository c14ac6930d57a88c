//! From what somebody found to a judgement.

use std::collections::BTreeSet;

use super::protocol::{Answer, Kind, Outcome, Protocol, Step};
use super::{Given, Grade, Observation};
use crate::tables::Caution;

/// What a protocol says of what somebody found.
#[derive(Clone, Debug)]
pub struct Judgement {
    /// The protocol.
    pub protocol: &'static Protocol,
    /// The worst grade that is still possible.
    pub grade: Grade,
    /// What was found, in the order in which it was asked. A step that no path reaches is not among them.
    pub found: Vec<Found>,
    /// The step to ask next; `None` when the protocol has come to its end.
    pub next: Option<&'static Step>,
    /// Steps that could still have mattered and have no answer, and those that nobody could tell.
    pub unchecked: Vec<&'static Step>,
    /// Why the grade is as bad as it is, one sentence a reason.
    pub because: Vec<String>,
    /// Cautions, strongest first.
    pub cautions: Vec<&'static Caution>,
    /// What the grade means.
    pub outcome: &'static Outcome,
    /// Every source, each once, in the order of use.
    pub sources: Vec<&'static str>,
}

impl Judgement {
    /// True when every question on the way was answered.
    pub fn is_finished(&self) -> bool {
        self.next.is_none()
    }
}

/// One step with what was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The step.
    pub step: &'static Step,
    /// The answer.
    pub given: Given,
    /// What was written down.
    pub note: String,
    /// The worst grade that the answer leaves possible at this step alone.
    pub grade: Grade,
}

/// Walks a protocol. A step without an answer counts as one that nobody could tell; answers to steps that no path reaches do not
/// count.
///
/// ```
/// use knockon_trade::inspection::{Grade, judge, protocol};
/// // Nobody has looked yet: the worst is still possible.
/// let judgement = judge(protocol("carbon-frame").unwrap(), &[]);
/// assert_eq!(judgement.grade, Grade::DoNotRide);
/// assert_eq!(judgement.next.unwrap().id, "clean");
/// ```
///
/// # Panics
/// Never for a protocol that was loaded: every grade that can come out has its outcome, and a test walks them all.
pub fn judge(protocol: &'static Protocol, observations: &[Observation]) -> Judgement {
    let end = protocol.steps.len();
    let mut reached = BTreeSet::from([0]);
    let mut grade = protocol.mildest;
    let (mut found, mut unchecked, mut because) = (Vec::new(), Vec::new(), Vec::new());
    let mut cautions: Vec<&String> = protocol.cautions.iter().collect();
    let mut sources = vec![protocol.source.as_str()];
    let mut next = None;
    while let Some(at) = reached.pop_first().filter(|at| *at < end) {
        let step = &protocol.steps[at];
        let observation = observations.iter().find(|it| it.step == step.id);
        if observation.is_none() && next.is_none() && grade < Grade::DoNotRide {
            next = Some(step);
        }
        if grade == Grade::DoNotRide && observation.is_none() {
            // It cannot get worse; what nobody looked at any more is told.
            unchecked.push(step);
            reached.extend(step.leads.iter().copied());
            continue;
        }
        let given = observation.map_or(Given::CannotTell, |it| it.given.clone());
        let possible = possible(step, &given, observations);
        let worst = possible.iter().map(|index| step.answers[*index].grade).max().unwrap_or(Grade::Cosmetic);
        let untold = given == Given::CannotTell;
        if untold && step.kind != Kind::Photo {
            unchecked.push(step);
        }
        // What was not asked is told by its name; what was, by its reasons.
        if observation.is_some() {
            if untold && step.kind != Kind::Photo && worst > protocol.mildest {
                because.push((worst, format!("Could not be told: {}", question(step))));
            }
            for index in &possible {
                let answer = &step.answers[*index];
                cautions.extend(&answer.cautions);
                if let Some(why) = answer.why.as_ref().filter(|_| !untold) {
                    because.push((answer.grade, why.clone()));
                }
            }
            sources.push(step.source.as_str());
            found.push(Found {
                step,
                given,
                note: observation.map_or_else(String::new, |it| it.note.clone()),
                grade: worst,
            });
        }
        grade = grade.max(worst);
        match step.kind {
            Kind::Photo => reached.extend(&step.leads),
            _ => reached.extend(possible.iter().map(|index| step.leads[*index])),
        }
    }
    let Some(outcome) = protocol.outcome(grade) else {
        unreachable!("{} says nothing of {}: a test walks every path", protocol.id, grade.key())
    };
    cautions.extend(&outcome.cautions);
    sources.push(&outcome.source);
    let cautions = Protocol::told(cautions.into_iter());
    sources.extend(cautions.iter().map(|caution| caution.source.as_str()));
    because.retain(|(of, _)| *of > protocol.mildest || *of == grade);
    because.sort_by_key(|(of, _)| std::cmp::Reverse(*of));
    let mut seen = BTreeSet::new();
    sources.retain(|source| seen.insert(*source));
    Judgement {
        protocol,
        grade,
        found,
        next,
        unchecked,
        because: because.into_iter().map(|(_, why)| why).collect(),
        cautions,
        outcome,
        sources,
    }
}

/// The answers that are still possible, by their places in the step's list.
pub(super) fn possible(step: &Step, given: &Given, observations: &[Observation]) -> Vec<usize> {
    let all = || (0..step.answers.len()).collect();
    match *given {
        Given::Choice(at) if at < step.answers.len() => vec![at],
        Given::Choice(_) | Given::CannotTell | Given::Photo => all(),
        Given::Number { value, pm } => match &step.against {
            None => touched(step, value, pm),
            Some(other) => {
                let other = observations.iter().find(|it| it.step == *other).map(|it| &it.given);
                match other {
                    Some(Given::Number { value: from, pm: more }) => touched(step, value - from, pm + more),
                    _ => all(),
                }
            }
        },
    }
}

/// The answers that a reading with its tolerance touches.
fn touched(step: &Step, value: f64, pm: f64) -> Vec<usize> {
    let (mild, bad) = if step.smaller_is_worse { (value + pm, value - pm) } else { (value - pm, value + pm) };
    let holds = |reading: f64, answer: &Answer| match answer.until {
        None => true,
        Some(until) if step.smaller_is_worse => reading >= until,
        Some(until) => reading <= until,
    };
    let place =
        |reading: f64| step.answers.iter().position(|answer| holds(reading, answer)).unwrap_or_default();
    if !(value.is_finite() && pm.is_finite()) {
        return (0..step.answers.len()).collect();
    }
    (place(mild)..=place(bad)).collect()
}

/// The question without its mark, to follow a colon.
fn question(step: &Step) -> String {
    crate::words::lower_first(&step.ask)
}
