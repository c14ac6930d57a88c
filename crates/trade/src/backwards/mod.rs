//! Backwards: from a wanted result to the parts that give it.
//!
//! [`wish`] reads what is wanted and what is not accepted; [`choices`] makes what can be chosen from, of table [`rows`] and of a list as
//! [`crate::shelf`] reads it; [`reach`] searches
//! all of it exactly (`engine::search`) and tells of each proposal what it reaches, how sure that is, what else it does, and how to try it
//! with what is on the bike ([`imitation`]). [`transfer`] takes the position of another bike, or what parts that are not to be had would give; [`nearer`]
//! tells which of two bikes, or two sizes, comes nearer to it.

pub mod choices;
mod error;
pub mod imitation;
pub mod nearer;
mod order;
pub mod rows;
mod sure;
mod target;
pub mod transfer;
pub mod wish;

use std::ops::ControlFlow;

use knockon_engine::bike::Bike;
use knockon_engine::comparison::{Given, assess};
use knockon_engine::quantity::{Quantities, Quantity, evaluate};
use knockon_engine::requirement::Outcome;
pub use knockon_engine::search::Progress;
use knockon_engine::search::{Aim, Found, Stopped, Wanted, search};
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::tolerance::Estimates;

use self::choices::{LeftOut, Maker, Slot, spacers_above, what};
pub use self::error::ReachError;
use self::imitation::Imitation;
use self::order::{in_order, nearest_first};
use self::sure::Sure;
use self::wish::{Target, Wish};
use crate::build::Build;
use crate::change::Change;
use crate::findings::{AnswerError, Findings, allowances, answer};
use crate::question::{MOST_CHANGES, Question};
use crate::record::Record;
use crate::shelf::Offer;
use crate::tables;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Asked {
    /// What is wanted and what is not accepted.
    pub wishes: Vec<Wish>,
    /// A bike whose position is wanted.
    pub like: Option<Record>,
    /// Changes whose result is wanted, by whatever parts.
    pub as_with: Vec<Change>,
    /// Parts that are there.
    pub stock: Vec<Offer>,
    /// Whether parts that are on no stock list are left out.
    pub stock_only: bool,
    /// So many proposals at most.
    pub most: usize,
}

impl Asked {
    /// For these wishes, from the parts that there are anywhere.
    pub fn of(wishes: Vec<Wish>) -> Self {
        Asked { wishes, like: None, as_with: Vec::new(), stock: Vec::new(), stock_only: false, most: 8 }
    }
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Reached {
    /// The bike's name.
    pub bike: String,
    /// What was wanted, said or implied.
    pub targets: Vec<Target>,
    /// What each target is when nothing is touched.
    pub now: Vec<Reach>,
    /// Miss when nothing is touched, in noticeable steps; `None` where that is not accepted.
    pub miss_now: Option<f64>,
    /// The proposals, nearest to what is wanted first.
    pub proposals: Vec<Proposal>,
    /// Choices that do not go on this bike.
    pub left_out: Vec<LeftOut>,
    /// What was chosen from.
    pub slots: Vec<Chosen>,
    /// How many combinations that makes; all of them are weighed.
    pub combinations: u64,
    /// Proposals that were dropped because the whole answer says that they do not fit, and why.
    pub refused: Vec<LeftOut>,
    /// Why something of the other bike's position is left out of what is wanted.
    pub notes: Vec<String>,
}

/// What one slot was chosen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen {
    /// Which slot: "Stem".
    pub label: &'static str,
    /// How many choices it has, with leaving it as it is.
    pub choices: usize,
    /// Source of the steps that its parts come in.
    pub source: &'static str,
}

/// One way to get there.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// What is done.
    pub things: Vec<Thing>,
    /// All that is done, as changes of one question.
    pub changes: Vec<Change>,
    /// What it costs.
    pub price: f64,
    /// How far it misses, in steps that a rider notices: root of the weighted sum of squares.
    pub miss: f64,
    /// What each target comes to.
    pub reaches: Vec<Reach>,
    /// Whether nobody can tell it from the nearest proposal, as far as what is wanted goes; so of the nearest itself.
    pub as_good: bool,
    /// Whether no other is at least as near, as cheap and touches as little.
    pub front: bool,
    /// How to try it with what is on the bike; `None` where nothing is bought, or nothing on the bike comes near.
    pub imitation: Option<Imitation>,
    /// Everything else that it does: the answer to the question what these changes do.
    pub findings: Findings,
}

/// One thing that is touched for a proposal.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// Which slot: "Stem".
    pub slot: &'static str,
    /// What is put there: its name on the stock list, or its changes.
    pub what: String,
    /// Whether something is bought for it.
    pub bought: bool,
    /// What it costs.
    pub price: f64,
    /// Line of the stock list that it is on.
    pub stock_line: Option<usize>,
}

/// What one target comes to, in the unit of the edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Which quantity.
    pub quantity: Quantity,
    /// Whether a step is wanted rather than a value.
    pub by: bool,
    /// Its value; `None` where only the difference is known.
    pub value: Option<f64>,
    /// After minus before.
    pub difference: f64,
    /// ± of the difference; 0 when nothing is touched.
    pub pm: f64,
    /// Least and most difference that is wanted.
    pub wanted: [f64; 2],
    /// How far the difference lies outside that: below it negative, within it 0.
    pub off: f64,
    /// ± of how far it is off: where a step is wanted that of the difference, where a value is wanted that of the value, which is less sure.
    pub off_pm: f64,
}

/// Least height of spacers above the stem, mm, where the bike has them: one lets the top cap preload the bearings.
/// Source: common practice, no source; 5 mm from memory, unverified.
const ABOVE_LEAST: f64 = 5.0;
/// So many things are touched at most, unless a wish says otherwise.
const MOST_THINGS: u32 = 5;
/// The same for a whole position, hands, saddle and feet: with what goes along, a question still holds their changes.
const MOST_THINGS_OF_A_POSITION: u32 = 8;
/// Second and third bests are kept as well: what is as good as far as anyone can tell is a choice too.
const DEPTH: usize = 3;

/// The bike that everything is asked of.
pub(crate) struct Start<'a> {
    pub record: &'a Record,
    pub build: Build,
    pub bike: Bike<f64>,
    pub linkage: Option<Linkage<f64>>,
    pub now: Quantities<f64>,
    /// The same with what each quantity moves with.
    pub before: Estimates,
}

impl<'a> Start<'a> {
    pub fn new(record: &'a Record) -> Result<Self, ReachError> {
        let build = Build::new(record).map_err(AnswerError::from)?;
        let bike = build.bike.map(|number| number.value);
        let linkage = build.linkage.as_ref().map(|built| built.linkage.map(|number| number.value));
        let now = evaluate(&bike, linkage.as_ref());
        let given = Given { linkage: build.linkage.as_ref().map(|built| &built.linkage), steps: &[] };
        let before = assess(&build.bike, given, &allowances(), build.inputs.len()).before;
        Ok(Start { record, build, bike, linkage, now, before })
    }

    /// The combinations of slots that are worth keeping for these aims.
    pub fn search(
        &self,
        slots: &[Slot],
        aims: &[Aim],
        (most_touched, most_price): (u32, f64),
        depth: usize,
        watch: &mut dyn FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<Vec<Found>, Stopped> {
        let choices: Vec<knockon_engine::search::Slot> =
            slots.iter().map(|slot| slot.choices.clone()).collect();
        let wanted = Wanted {
            bike: &self.bike,
            linkage: self.linkage.as_ref(),
            slots: &choices,
            aims,
            allow: &allowances(),
            above_least: self.bike.spacers_above.min(ABOVE_LEAST),
            most_touched,
            most_price,
            depth,
        };
        search(&wanted, watch)
    }
}

/// Finds the parts that give what is asked for.
///
/// ```
/// use std::ops::ControlFlow;
/// use knockon_trade::{backwards::{Asked, reach, wish}, demo};
/// let wishes = ["grip stack +15", "grip reach unchanged ± 3"].map(|line| wish::parse(line).unwrap());
/// let bike = demo::bike("larch-150").unwrap();
/// let reached = reach(&bike, &Asked::of(wishes.to_vec()), &mut |_| ControlFlow::Continue(())).unwrap();
/// let best = &reached.proposals[0];
/// assert!(best.reaches.iter().all(|it| it.off.abs() < 1.0), "{best:?}");
/// ```
///
/// # Errors
/// See [`ReachError`].
pub fn reach(
    record: &Record,
    asked: &Asked,
    watch: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Reached, ReachError> {
    let start = Start::new(record)?;
    let (targets, notes) = target::all(&start, asked)?;
    let aims: Vec<Aim> = targets.iter().map(|target| target::aim(&start, target)).collect();
    let wanted: Vec<Quantity> =
        targets.iter().filter(|target| !target.implied).map(|target| target.quantity).collect();
    let maker = Maker {
        record,
        build: &start.build,
        wishes: &asked.wishes,
        stock: &asked.stock,
        stock_only: asked.stock_only,
    };
    let (slots, left_out) = maker.slots(&wanted);
    if slots.is_empty() {
        return Err(ReachError::NothingToChoose { left_out });
    }
    let found =
        start.search(&slots, &aims, limits(asked), DEPTH, watch).map_err(|Stopped| ReachError::Stopped)?;
    let now = target::now(&start, &targets);
    let as_it_is = found.iter().find(|found| found.touched == 0);
    let mut reached = Reached {
        bike: record.title(),
        miss_now: as_it_is.map(|found| found.miss),
        slots: slots
            .iter()
            .map(|slot| Chosen {
                label: &slot.row.label,
                choices: slot.offered.len(),
                source: &slot.row.source,
            })
            .collect(),
        combinations: slots.iter().fold(1, |all, slot| all.saturating_mul(slot.offered.len() as u64)),
        proposals: Vec::new(),
        refused: Vec::new(),
        targets,
        now,
        left_out,
        notes,
    };
    let mut told: Vec<(Proposal, Sure)> = Vec::new();
    for (found, front) in in_order(&found, &slots) {
        if told.len() == asked.most {
            break;
        }
        told.extend(propose(&start, &slots, &aims, &mut reached, found, front));
    }
    nearest_first(&mut told, &aims);
    let free = choices::free(&slots);
    for (mut proposal, sure) in told {
        let bought = proposal.things.iter().any(|thing| thing.bought);
        if bought && !free.is_empty() {
            proposal.imitation = imitation::of(&start, &free, &aims, &sure);
        }
        reached.proposals.push(proposal);
    }
    Ok(reached)
}

/// How much may be touched, and what all may cost.
fn limits(asked: &Asked) -> (u32, f64) {
    let things = if asked.like.is_some() { MOST_THINGS_OF_A_POSITION } else { MOST_THINGS };
    asked.wishes.iter().fold((things, f64::INFINITY), |(things, price), wish| match wish {
        Wish::Things(most) => (*most, price),
        Wish::Price(most) => (things, price.min(*most)),
        _ => (things, price),
    })
}

fn propose(
    start: &Start<'_>,
    slots: &[Slot],
    aims: &[Aim],
    reached: &mut Reached,
    found: &Found,
    front: bool,
) -> Option<(Proposal, Sure)> {
    let picked: Vec<(&Slot, &choices::Offered)> = slots
        .iter()
        .zip(&found.picks)
        .map(|(slot, pick)| (slot, &slot.offered[*pick]))
        .filter(|(_, offered)| !offered.changes.is_empty())
        .collect();
    let mut changes: Vec<Change> = picked.iter().flat_map(|(_, offered)| offered.changes.clone()).collect();
    changes.extend(spacers_above(&start.build, &changes));
    let things: Vec<Thing> = picked
        .iter()
        .map(|(slot, offered)| Thing {
            slot: &slot.row.label,
            what: what(offered),
            bought: offered.bought,
            price: offered.price,
            stock_line: offered.stock.as_ref().map(|(_, line)| *line),
        })
        .collect();
    let mut refuse = |why: String| {
        let what = things.iter().map(|thing| thing.what.as_str()).collect::<Vec<_>>().join(", ");
        reached.refused.push(LeftOut { slot: "", what, why });
    };
    // One part is in one place, whatever it would do in two.
    let lines: Vec<usize> = things.iter().filter_map(|thing| thing.stock_line).collect();
    if lines.iter().enumerate().any(|(at, line)| lines[..at].contains(line)) {
        refuse("it takes the same part of the list twice".to_owned());
        return None;
    }
    if changes.len() > MOST_CHANGES {
        refuse(format!("it takes more than {MOST_CHANGES} changes"));
        return None;
    }
    let question = Question::about(start.record, &changes);
    let Some(sure) = Sure::new(start, &question, aims) else {
        refuse("this bike does not have what it changes".to_owned());
        return None;
    };
    let findings = match answer(question) {
        Ok(findings) => findings,
        Err(error) => {
            refuse(error.to_string());
            return None;
        }
    };
    let touches = |verdict: &&crate::verdict::Verdict| {
        verdict.outcome == Outcome::DoesNotFit
            && verdict.needs.is_none()
            && verdict
                .touched_by
                .iter()
                .any(|key| changes.iter().any(|change| change.key() == key || change.subject() == key))
    };
    if let Some(broken) = findings.verdicts.iter().find(touches) {
        refuse(broken.sentence.clone());
        return None;
    }
    let reaches = target::reaches(start, &reached.targets, &findings, &sure);
    Some((
        Proposal {
            things,
            changes,
            price: found.price,
            miss: found.miss,
            reaches,
            as_good: false,
            front,
            imitation: None,
            findings,
        },
        sure,
    ))
}

/// The step of a quantity that a rider notices, in the engine's unit.
fn notice(quantity: Quantity) -> f64 {
    tables::quantity(quantity).notice / edge(quantity)
}

/// Factor from the engine's unit to that of the edge.
fn edge(quantity: Quantity) -> f64 {
    crate::findings::edge(quantity.dimension())
}
