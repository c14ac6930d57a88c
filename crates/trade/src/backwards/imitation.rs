//! Try before buying: what is on the bike, set so that it comes as near as it can to what a proposal would give.

use std::ops::ControlFlow;

use knockon_engine::quantity::Quantity;
use knockon_engine::search::Aim;

use super::choices::{Slot, spacers_above};
use super::sure::Sure;
use super::{Start, edge, notice};
use crate::change::Change;
use crate::question::Question;

/// The nearest that comes of what is there.
#[derive(Clone, Debug)]
pub struct Imitation {
    /// What is done.
    pub changes: Vec<Change>,
    /// Each quantity that is wanted: how far the imitation is from what the proposal gives, in the unit of the edge.
    pub off: Vec<(Quantity, f64)>,
}

impl Imitation {
    /// Quantities that it gets right: no rider notices the difference.
    pub fn right(&self) -> impl Iterator<Item = (Quantity, f64)> + '_ {
        self.off.iter().copied().filter(|(quantity, off)| is_right(*quantity, *off))
    }

    /// Those that it gets wrong.
    pub fn wrong(&self) -> impl Iterator<Item = (Quantity, f64)> + '_ {
        self.off.iter().copied().filter(|(quantity, off)| !is_right(*quantity, *off))
    }
}

/// What is off by less than this part of what a rider notices is right. Chosen; no source.
const RIGHT: f64 = 0.5;

fn is_right(quantity: Quantity, off: f64) -> bool {
    off.abs() < RIGHT * notice(quantity) * edge(quantity)
}

/// So many things are touched at most for trying something. Chosen; no source.
const MOST_THINGS: u32 = 3;
/// An imitation that touches less is taken where it is worse by no more than this, in noticeable steps. Chosen; no source.
const AS_NEAR: f64 = 0.1;
/// A trial that leaves more than this part of the way tells nothing. Chosen; no source.
const WORTH_IT: f64 = 0.75;

/// The imitation of a proposal; `None` where it comes hardly nearer than leaving all as it is.
pub(super) fn of(start: &Start<'_>, free: &[Slot], aims: &[Aim], proposal: &Sure) -> Option<Imitation> {
    let aims: Vec<Aim> = aims
        .iter()
        .enumerate()
        .map(|(at, aim)| Aim { range: [proposal.after(at); 2], ..*aim })
        .filter(|aim| aim.range[0].is_finite())
        .collect();
    let go_on = &mut |_| ControlFlow::Continue(());
    let found = start.search(free, &aims, (MOST_THINGS, 0.0), 1, go_on).ok()?;
    let nearest = found.first()?.miss;
    let chosen = found.iter().filter(|it| it.miss <= nearest + AS_NEAR).min_by_key(|it| it.touched)?;
    let untouched = found.iter().find(|it| it.touched == 0).map_or(f64::INFINITY, |it| it.miss);
    if chosen.touched == 0 || chosen.miss > WORTH_IT * untouched {
        return None;
    }
    let picked = free.iter().zip(&chosen.picks).flat_map(|(slot, pick)| slot.offered[*pick].changes.clone());
    let mut changes: Vec<Change> = picked.collect();
    changes.extend(spacers_above(&start.build, &changes));
    let tried = Sure::new(start, &Question::about(start.record, &changes), &aims)?;
    let off = |at: usize| (tried.after(at) - aims[at].range[0]) * edge(aims[at].quantity);
    let off = (0..aims.len()).map(|at| (aims[at].quantity, off(at))).collect();
    Some(Imitation { changes, off })
}
