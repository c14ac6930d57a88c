//! From a question to its findings: the one way, whatever asks and whatever prints.

mod knock_on;
mod missing;
mod notes;
mod verdict;

use knockon_engine::attribution::shapley;
use knockon_engine::bike::Bike;
use knockon_engine::change::Step;
use knockon_engine::chart::ChartError;
use knockon_engine::comparison::{Assessment, assess};
use knockon_engine::quantity::{Quantity, evaluate};
use knockon_engine::requirement::{Allowances, Outcome, Requirement};
use knockon_engine::tolerance::Uncertain;

pub use knock_on::{KnockOn, Next, Noticed};
pub use missing::Missing;
pub use notes::{Assumed, Sources};
pub use verdict::Verdict;

use crate::audit::{Audit, audit};
use crate::build::Build;
use crate::change::Change;
use crate::question::Question;
use crate::record::Record;
use crate::tables::{self, Caution};
use crate::units::shown;

/// The answer in numbers. Values are in the units of the edge: mm, degrees, percent.
#[derive(Clone, Debug)]
pub struct Findings {
    /// What was asked.
    pub question: Question,
    /// The changes as lettered revisions.
    pub revisions: Vec<Revision>,
    /// Every quantity that the record suffices for, in the engine's order, moved or not.
    pub knock_ons: Vec<KnockOn>,
    /// Limits that the changes touch, worst first.
    pub verdicts: Vec<Verdict>,
    /// Facts to ask for.
    pub missing: Vec<Missing>,
    /// Cautions, strongest first.
    pub cautions: Vec<(&'static Caution, usize)>,
    /// Assumptions that matter to what moved.
    pub assumptions: Vec<Assumed>,
    /// What the differences would be without the revisions that break a limit; none when no limit is broken or nothing
    /// would be left.
    pub without: Option<Without>,
    /// Steerer that stands above what is stacked on it after the changes, and ±; spacers above the stem take it up.
    pub steerer_surplus: Option<(f64, f64)>,
    /// Record keys that a placeholder stands in for.
    pub untold: Vec<String>,
    /// What the chart's rows disagree about.
    pub audit: Audit,
    /// The numbered sources.
    pub sources: Sources,
    /// The bike as it is, and as it would be, in the engine's units.
    pub bikes: (Bike<f64>, Bike<f64>),
}

/// One lettered revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Revision {
    /// A, B, C …
    pub letter: char,
    /// The change.
    pub change: Change,
    /// Value before, as printed; "?" when it is not known.
    pub before: String,
    /// Value after, as printed.
    pub after: String,
    /// Unit of both; empty for a tyre size.
    pub unit: &'static str,
}

/// The differences that would remain without some revisions.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// The revisions that are left out.
    pub letters: Vec<char>,
    /// Difference of each quantity, in the units of the edge.
    pub differences: Vec<(Quantity, f64)>,
}

/// Letter of the revision at an index.
pub fn letter(index: usize) -> char {
    char::from(b'A' + u8::try_from(index % 26).unwrap_or(0))
}

/// A value with no more digits than it needs: at most two after the point.
pub fn plain(value: f64) -> String {
    let text = format!("{:.2}", if value.abs() < 0.005 { 0.0 } else { value });
    let text = text.trim_end_matches('0').trim_end_matches('.');
    text.replace('-', "−")
}

/// Answers a question.
///
/// ```
/// use knockon_trade::{findings::answer, question::{Question, read_changes}, record::parse};
/// let record = parse("bike", "[chart]\nhead_angle = 65\n[cockpit]\nspacers_below = 20").unwrap().record;
/// let changes = read_changes(&["spacers below by -10"]).unwrap().changes;
/// let findings = answer(Question { asked: String::new(), record, changes }).unwrap();
/// let grip = findings.knock_ons.iter().find(|knock_on| knock_on.quantity.id() == "grip_stack").unwrap();
/// // 10 mm of spacers at 65°: down by 10·sin 65° = 9.06 mm, whatever stem and bar are.
/// assert!((grip.difference.unwrap() + 9.06).abs() < 0.1);
/// assert!(grip.before.is_none());
/// ```
///
/// # Errors
/// When the record's chart describes no possible bike, or a step leaves a part at an impossible measure.
pub fn answer(question: Question) -> Result<Findings, AnswerError> {
    let mut build = Build::new(&question.record)?;
    let audit = audit(&build);
    let steps = steps(&mut build, &question.changes);
    let assessment = assess(&build.bike, &steps, &allowances(), build.inputs.len());
    let before = build.bike.map(|number| number.value);
    let values: Vec<Step<f64>> = steps.iter().map(|step| step.map(|number| number.value)).collect();
    let after = before.after(&values);
    within_possible(&question.changes, &build, &after)?;
    let shares = shapley(values.len(), |mask| evaluate(&before.after(&subset(&values, mask))));

    let case =
        Case { question: &question, build: &build, assessment: &assessment, before: &before, after: &after };
    let mut sources = Sources::default();
    let knock_ons = knock_on::all(&case, &shares, &mut sources);
    let verdicts = verdict::all(&case, &mut sources);
    let missing = missing::all(&case, &knock_ons, &verdicts);
    let cautions = notes::cautions(&question, &mut sources);
    let assumptions = notes::assumptions(&case, &knock_ons, &mut sources);
    let without = without(&question.changes, &verdicts, &before, &values);
    let steerer_surplus = steerer_surplus(&case);
    let revisions = question
        .changes
        .iter()
        .enumerate()
        .map(|(index, change)| revision(&case, index, change, &values[..index]))
        .collect();
    let untold =
        build.inputs.iter().filter(|input| input.is_placeholder()).map(|input| input.key.clone()).collect();
    Ok(Findings {
        untold,
        revisions,
        knock_ons,
        verdicts,
        missing,
        cautions,
        assumptions,
        without,
        steerer_surplus,
        audit,
        sources,
        bikes: (before, after),
        question,
    })
}

/// Why a question cannot be answered.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AnswerError {
    /// The record's chart describes no possible bike.
    #[error("the record's chart cannot be solved: {0}")]
    Chart(#[from] ChartError),
    /// A step leaves a part at an impossible measure.
    #[error("`{change}` leaves {left}, which cannot be")]
    Impossible {
        /// The step.
        change: String,
        /// What it leaves: "spacers below at −5 mm".
        left: String,
        /// What is possible: "0 mm to 150 mm".
        possible: String,
    },
}

impl AnswerError {
    /// How to mend it.
    pub fn help(&self) -> String {
        match self {
            AnswerError::Chart(_) => {
                "check stack, reach, angles and lengths for a slip of the pen".to_owned()
            }
            AnswerError::Impossible { possible, .. } => format!("possible is {possible}"),
        }
    }
}

/// A new value is checked where it is read; what a step leaves can only be checked here. What a step leaves of a fact that
/// nobody has told is not checked.
fn within_possible(changes: &[Change], build: &Build, after: &Bike<f64>) -> Result<(), AnswerError> {
    for change in changes {
        let Change::Number { property, by: true, .. } = change else { continue };
        let untold = build.inputs.iter().any(|input| input.key == property.key && input.is_placeholder());
        let Some(parameter) = property.parameter().filter(|_| !untold) else { continue };
        let left = *after.get(parameter) / property.dimension.edge_factor();
        let [least, most] = property.possible;
        // A hair of room: degrees have been through radians, and a chart's rows through each other.
        if left < least - 0.05 || left > most + 0.05 {
            let unit = property.dimension.edge_unit();
            return Err(AnswerError::Impossible {
                change: change.to_string(),
                left: format!("{} at {}", property.say[0], shown((left * 10.0).round() / 10.0, unit)),
                possible: format!("{} to {}", shown(least, unit), shown(most, unit)),
            });
        }
    }
    Ok(())
}

/// Everything that the parts of an answer look at.
struct Case<'a> {
    question: &'a Question,
    build: &'a Build,
    assessment: &'a Assessment,
    before: &'a Bike<f64>,
    after: &'a Bike<f64>,
}

impl Case<'_> {
    /// Whether a change is about one of these record keys.
    fn touches(&self, keys: &[String]) -> bool {
        self.question
            .changes
            .iter()
            .any(|change| keys.iter().any(|key| key == change.key() || key == change.subject()))
    }
}

/// The figures that the limits carry, from their table.
pub fn allowances() -> Allowances {
    let figure =
        |requirement: Requirement| tables::requirements()[requirement as usize].figure.unwrap_or(f64::NAN);
    Allowances { same_clamp: figure(Requirement::BarClamp), tyre_gap: figure(Requirement::FrontClearance) }
}

/// The changes as the engine's steps; each new value becomes an input of the build.
pub fn steps(build: &mut Build, changes: &[Change]) -> Vec<Step<Uncertain>> {
    changes.iter().enumerate().map(|(index, change)| step(build, index, change)).collect()
}

fn step(build: &mut Build, index: usize, change: &Change) -> Step<Uncertain> {
    let key = format!("revision {}", letter(index));
    match change {
        Change::Number { property, by, amount } => {
            let step = if *by { "step of the" } else { "new" };
            let label = format!("{step} {} (revision {})", property.label.to_lowercase(), letter(index));
            let mut amount = build.changed(&key, &label, amount);
            if property.key == "fork.axle_to_crown" && !by {
                amount = build.fork_along_axis(amount);
            }
            match (property.parameter(), by) {
                (Some(parameter), true) => Step::By(parameter, amount),
                (Some(parameter), false) => Step::Set(parameter, amount),
                (None, _) => unreachable!("a table test holds every property with a phrase to a parameter"),
            }
        }
        Change::Tyre { wheel, tyre } => {
            let fact = crate::fact::Fact {
                value: tyre.width,
                uncertainty: tyre.width_uncertainty(),
                known: crate::fact::Known::Published,
                with: None,
                text: tyre.to_string(),
                tolerance: None,
            };
            let width = build.changed(
                &key,
                &format!("inflated width of the new tyre (revision {})", letter(index)),
                &fact,
            );
            let bead_seat_radius = Uncertain::exact(tyre.bead_seat_radius());
            Step::Tyre { wheel: *wheel, bead_seat_radius, width }
        }
    }
}

fn subset(steps: &[Step<f64>], mask: usize) -> Vec<Step<f64>> {
    steps.iter().enumerate().filter(|(index, _)| mask >> index & 1 == 1).map(|(_, step)| *step).collect()
}

fn revision(case: &Case<'_>, index: usize, change: &Change, earlier: &[Step<f64>]) -> Revision {
    let (before, after, unit) = match change {
        Change::Number { property, by, amount } => {
            let factor = property.dimension.edge_factor();
            // A step starts from what the revisions before it left; what nobody has touched yet is shown as the record
            // says it, not as the solved chart does.
            let start = case.before.after(earlier);
            let old = property.parameter().map_or(f64::NAN, |parameter| {
                let (now, first) = (*start.get(parameter), *case.before.get(parameter));
                told(&case.question.record, &property.key).filter(|_| now == first).unwrap_or(now)
            });
            let record = &case.question.record;
            let tyre_says = match property.key.as_str() {
                "wheel.front.radius" => record.front_tyre.is_some(),
                "wheel.rear.radius" => record.rear_tyre.is_some(),
                _ => false,
            };
            let known =
                record.fact(&property.key).is_some() || tyre_says || !is_placeholder(case, &property.key);
            let new = if *by { old + amount.value } else { amount.value };
            let say = |value: f64, known: bool| {
                if known && value.is_finite() { plain(value / factor) } else { "?".to_owned() }
            };
            (say(old, known), say(new, known || !by), property.dimension.edge_unit())
        }
        Change::Tyre { wheel, tyre } => {
            let old = match wheel {
                knockon_engine::change::Wheel::Front => &case.question.record.front_tyre,
                knockon_engine::change::Wheel::Rear => &case.question.record.rear_tyre,
            };
            (old.as_ref().map_or_else(|| "?".to_owned(), ToString::to_string), tyre.to_string(), "")
        }
    };
    Revision { letter: letter(index), change: change.clone(), before, after, unit }
}

/// What the record says of a parameter; `None` when it is silent.
fn told(record: &Record, key: &str) -> Option<f64> {
    record.fact(key).map(|fact| fact.value)
}

fn is_placeholder(case: &Case<'_>, key: &str) -> bool {
    case.build.inputs.iter().any(|input| input.key == key && input.is_placeholder())
}

fn without(
    changes: &[Change],
    verdicts: &[Verdict],
    before: &Bike<f64>,
    steps: &[Step<f64>],
) -> Option<Without> {
    let broken: Vec<usize> = (0..changes.len())
        .filter(|index| {
            verdicts.iter().filter(|verdict| verdict.outcome == Outcome::DoesNotFit).any(|verdict| {
                verdict
                    .touched_by
                    .iter()
                    .any(|key| key == changes[*index].key() || key == changes[*index].subject())
            })
        })
        .collect();
    if broken.is_empty() || broken.len() == changes.len() {
        return None;
    }
    let rest: Vec<Step<f64>> = steps
        .iter()
        .enumerate()
        .filter(|(index, _)| !broken.contains(index))
        .map(|(_, step)| *step)
        .collect();
    let (start, end) = (evaluate(before), evaluate(&before.after(&rest)));
    let differences = Quantity::ALL
        .iter()
        .map(|quantity| {
            (*quantity, (end[*quantity as usize] - start[*quantity as usize]) * knock_on::edge(*quantity))
        })
        .filter(|(_, difference)| difference.is_finite())
        .collect();
    Some(Without { letters: broken.into_iter().map(letter).collect(), differences })
}

fn steerer_surplus(case: &Case<'_>) -> Option<(f64, f64)> {
    let row = Requirement::SteererLength as usize;
    let keys = &tables::requirements()[row].touched_by;
    let margins = &case.assessment.margins;
    let (surplus, pm) = (margins.value(row), margins.plus_minus(row));
    let known = !verdict::rests_on_placeholder(case, row);
    (case.touches(keys) && known && surplus.is_finite() && surplus - pm > 1.0).then_some((surplus, pm))
}
