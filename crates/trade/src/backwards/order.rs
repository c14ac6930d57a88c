//! In which order proposals are told.

use std::cmp::Ordering;

use knockon_engine::search::{Aim, Found};

use super::Proposal;
use super::choices::Slot;
use super::sure::Sure;

/// Misses that differ by less than this, in noticeable steps, are taken in the order of price and of how much is touched. Chosen: a fifth of
/// what a rider notices; no source.
const AS_NEAR: f64 = 0.2;
/// A proposal that leaves more than this part of the miss is none. Chosen; no source.
const NO_HELP: f64 = 0.9;

/// What to propose, in the order in which it is worth telling, each with whether it is on the Pareto front: the nearest, the nearest that
/// costs nothing, the nearest that touches one thing, then the others, the best of each kind before a second of any.
pub(super) fn in_order<'a>(found: &'a [Found], slots: &[Slot]) -> Vec<(&'a Found, bool)> {
    let behind = |it: &Found, other: &Found| {
        let no_worse = other.miss <= it.miss && other.touched <= it.touched && other.price <= it.price;
        let better = other.miss < it.miss || other.touched < it.touched || other.price < it.price;
        no_worse && (better || other.off_middle < it.off_middle)
    };
    let now = found.iter().find(|it| it.touched == 0).map_or(f64::INFINITY, |it| it.miss);
    let touches = |it: &Found| -> Vec<bool> {
        slots.iter().zip(&it.picks).map(|(slot, pick)| slot.choices.choices[*pick].touched > 0).collect()
    };
    // The same without one of its things, and no worse: that thing is touched for nothing.
    let for_nothing = |it: &Found| {
        let own = touches(it);
        found.iter().any(|other| {
            let less = touches(other);
            let within = less.iter().zip(&own).all(|(other, own)| *own || !other);
            within && less != own && other.miss <= it.miss && other.price <= it.price
        })
    };
    let helps = |it: &&Found| it.touched > 0 && it.miss < NO_HELP * now && !for_nothing(it);
    let is_front = |it: &Found| !found.iter().any(|other| behind(it, other));
    let mut all: Vec<(&Found, bool)> = found.iter().filter(helps).map(|it| (it, is_front(it))).collect();
    let near = |it: &Found| (it.miss / AS_NEAR).floor();
    all.sort_by(|(a, a_front), (b, b_front)| {
        let by_miss = near(a).total_cmp(&near(b)).then(b_front.cmp(a_front));
        by_miss
            .then(a.price.total_cmp(&b.price))
            .then(a.touched.cmp(&b.touched))
            .then(a.miss.total_cmp(&b.miss))
    });
    let first_of = |wanted: &dyn Fn(&Found) -> bool| all.iter().position(|(it, _)| wanted(it));
    // Of the ways that touch the same things, one is told before a second of another.
    let mut kinds: Vec<Vec<bool>> = Vec::new();
    let is_first_of_kind = |at: &usize| {
        let kind = touches(all[*at].0);
        let new = !kinds.contains(&kind);
        kinds.push(kind);
        new
    };
    let of_a_kind: Vec<usize> = (0..all.len()).filter(is_first_of_kind).collect();
    let mut order: Vec<usize> = Vec::new();
    let nearest = (0..all.len()).min_by(|a, b| all[*a].0.miss.total_cmp(&all[*b].0.miss));
    let heads = [nearest, first_of(&|it| it.price == 0.0), first_of(&|it| it.touched == 1)];
    for at in heads.into_iter().flatten().chain(of_a_kind).chain(0..all.len()) {
        if !order.contains(&at) {
            order.push(at);
        }
    }
    order.into_iter().map(|at| all[at]).collect()
}

/// Marks the proposals that nobody can tell from the nearest, and puts them before the others, the simplest and cheapest of them first.
pub(super) fn nearest_first(told: &mut [(Proposal, Sure)], aims: &[Aim]) {
    let nearest = (0..told.len()).min_by(|a, b| told[*a].0.miss.total_cmp(&told[*b].0.miss));
    let Some(nearest) = nearest else { return };
    for at in 0..told.len() {
        told[at].0.as_good = at == nearest || told[nearest].1.as_good_as(&told[at].1, aims);
    }
    told.sort_by(|(a, _), (b, _)| {
        let (cheap, simple) = (a.price.total_cmp(&b.price), a.things.len().cmp(&b.things.len()));
        let within = if a.as_good && b.as_good { simple.then(cheap) } else { Ordering::Equal };
        b.as_good.cmp(&a.as_good).then(within).then(a.miss.total_cmp(&b.miss))
    });
}
