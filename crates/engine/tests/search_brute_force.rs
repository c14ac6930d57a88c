//! The search through boxes against every combination by itself, each computed as a whole bike: the same are kept.

mod bikes;
mod chains;

use std::ops::ControlFlow;

use knockon_engine::bike::{Bike, Parameter as P};
use knockon_engine::change::{Row, Step};
use knockon_engine::cockpit::steerer_needed;
use knockon_engine::quantity::{Quantity, evaluate};
use knockon_engine::requirement::{Allowances, Requirement, margins};
use knockon_engine::search::{Aim, Choice, Found, Slot, Wanted, search};
use proptest::prelude::*;

const ALLOW: Allowances = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };

/// Everything of a combination, from the whole bike.
#[derive(Clone, Debug)]
struct Whole {
    picks: Vec<usize>,
    miss: f64,
    off_middle: f64,
    touched: u32,
    price: f64,
}

/// Every combination that keeps the limits, by itself.
fn every(wanted: &Wanted<'_>) -> Vec<Whole> {
    let counts: Vec<usize> = wanted.slots.iter().map(|slot| slot.choices.len()).collect();
    let all: usize = counts.iter().product();
    (0..all).filter_map(|number| whole(wanted, &counts, number)).collect()
}

fn whole(wanted: &Wanted<'_>, counts: &[usize], mut number: usize) -> Option<Whole> {
    let picks: Vec<usize> = counts
        .iter()
        .map(|count| {
            let pick = number % count;
            number /= count;
            pick
        })
        .collect();
    let choices: Vec<&Choice> =
        wanted.slots.iter().zip(&picks).map(|(slot, pick)| &slot.choices[*pick]).collect();
    let steps: Vec<Step<f64>> = choices.iter().flat_map(|choice| choice.steps.clone()).collect();
    let before = wanted.bike;
    let (after, linkage) = before.after_on(wanted.linkage, &steps);
    let linkage = linkage.as_ref();
    let was = margins((before, wanted.linkage), (before, wanted.linkage), wanted.allow);
    let is = margins((before, wanted.linkage), (&after, linkage), wanted.allow);
    let breaks = Requirement::ALL.iter().any(|requirement| {
        let row = *requirement as usize;
        *requirement != Requirement::SteererLength
            && is[row] < -1e-9
            && (was[row].is_nan() || is[row] < was[row] - 1e-9)
    });
    let mut cut = after;
    cut.spacers_above = wanted.above_least;
    let mount_touched = [P::SpacersBelow, P::StemLength, P::StemAngle, P::StemClampHeight];
    let touches = steps.iter().any(|step| mount_touched.iter().any(|it| step.touches(*it)));
    let needs = if touches { steerer_needed(&cut) } else { steerer_needed(&after) };
    let (touched, price) =
        (choices.iter().map(|it| it.touched).sum(), choices.iter().map(|it| it.price).sum());
    let refused = touched > wanted.most_touched || price > wanted.most_price;
    if refused || breaks || needs > after.steerer_length + 1e-6 {
        return None;
    }
    let quantities = evaluate(&after, linkage);
    let sum = |of: fn(&Aim, f64) -> f64| {
        let squares = wanted.aims.iter().map(|aim| of(aim, quantities[aim.quantity as usize]).powi(2));
        squares.sum::<f64>().sqrt()
    };
    let off_middle = |aim: &Aim, value: f64| {
        let middle = f64::midpoint(aim.range[0], aim.range[1]);
        if middle.is_finite() { (value - middle) / aim.scale } else { aim.miss(value) }
    };
    Some(Whole { picks, miss: sum(Aim::miss), off_middle: sum(off_middle), touched, price })
}

/// How many others are better by more than rounding.
fn better_than(it: &Whole, all: &[Whole], hair: f64) -> usize {
    let better = |other: &&Whole| {
        other.miss <= it.miss - hair.max(0.0) * (1.0 + it.miss)
            && other.touched <= it.touched
            && other.price <= it.price
    };
    all.iter().filter(better).count()
}

/// What the search kept is kept by the definition, and the other way about, but for combinations that rounding cannot tell apart.
fn same_as_every(wanted: &Wanted<'_>) {
    let found = search(wanted, &mut |_| ControlFlow::Continue(())).expect("nobody stops it");
    let all = every(wanted);
    assert!(!found.is_empty());
    let finite: Vec<Whole> = all.into_iter().filter(|it| it.miss.is_finite()).collect();
    for it in &found {
        let same = finite
            .iter()
            .find(|whole| whole.picks == it.picks)
            .unwrap_or_else(|| panic!("{it:?} is not possible"));
        assert!((same.miss - it.miss).abs() < 1e-6, "{it:?} is {same:?}");
        assert!((same.off_middle - it.off_middle).abs() < 1e-6, "{it:?} is {same:?}");
        assert_eq!((same.touched, same.price), (it.touched, it.price));
        let better = better_than(same, &finite, 1e-6);
        assert!(better < wanted.depth, "{it:?}: {better} are better");
    }
    // Nobody outside is worth keeping: as many kept ones are at least as good, within rounding.
    for it in &finite {
        if found.iter().any(|found| found.picks == it.picks) {
            continue;
        }
        let as_good = |found: &&Found| {
            found.miss <= it.miss + 1e-6 && found.touched <= it.touched && found.price <= it.price
        };
        let count = found.iter().filter(as_good).count();
        assert!(count >= wanted.depth, "{it:?} is left out though only {count} are as good");
    }
}

fn set(parameter: P, value: f64, price: f64) -> Choice {
    Choice { steps: vec![Step::Set(parameter, value)], touched: 1, price }
}

fn slot(choices: impl IntoIterator<Item = Choice>) -> Slot {
    Slot { choices: std::iter::once(Choice::as_it_is()).chain(choices).collect() }
}

/// A trail bike of which everything is known.
fn bike() -> Bike<f64> {
    let mut bike = bikes::bikes()[0].1;
    bike.spacers_allowed = 40.0;
    bike.steerer_length = steerer_needed(&bike);
    bike
}

fn slots() -> Vec<Slot> {
    let stem = [35.0, 40.0, 60.0, 70.0].into_iter().flat_map(|length| {
        [-6.0_f64, 0.0, 6.0].map(|angle| Choice {
            steps: vec![Step::Set(P::StemLength, length), Step::Set(P::StemAngle, angle.to_radians())],
            touched: 1,
            price: if length > 50.0 { 55.0 } else { 60.0 },
        })
    });
    vec![
        slot([0.0, 5.0, 10.0, 15.0, 25.0].map(|height| set(P::SpacersBelow, height, 0.0))),
        slot(stem),
        slot([0.0, 10.0, 40.0, 50.0].map(|rise| set(P::BarRise, rise, 80.0))),
        slot([-8.0_f64, -4.0, 4.0, 8.0].map(|roll| set(P::BarRoll, roll.to_radians(), 0.0))),
        slot([-1.0_f64, 1.0].map(|turn| set(P::HeadsetAngle, turn.to_radians(), 70.0))),
        slot([150.0, 170.0].map(|travel| set(P::ForkTravel, travel, 400.0))),
    ]
}

fn of<'a>(bike: &'a Bike<f64>, slots: &'a [Slot], aims: &'a [Aim]) -> Wanted<'a> {
    Wanted {
        bike,
        linkage: None,
        slots,
        aims,
        allow: &ALLOW,
        above_least: 0.0,
        most_touched: 9,
        most_price: f64::INFINITY,
        depth: 1,
    }
}

fn check(bike: &Bike<f64>, slots: &[Slot], aims: &[Aim], depth: usize) {
    same_as_every(&Wanted { most_touched: 4, most_price: 520.0, depth, ..of(bike, slots, aims) });
}

fn aim(bike: &Bike<f64>, quantity: Quantity, by: f64, pm: f64, scale: f64) -> Aim {
    let wanted = evaluate(bike, None)[quantity as usize] + by;
    Aim { quantity, range: [wanted - pm, wanted + pm], scale }
}

#[test]
fn a_higher_grip_at_the_same_reach() {
    let bike = bike();
    for depth in [1, 3] {
        let aims =
            [aim(&bike, Quantity::GripStack, 15.0, 0.0, 5.0), aim(&bike, Quantity::GripReach, 0.0, 3.0, 5.0)];
        check(&bike, &slots(), &aims, depth);
    }
}

#[test]
fn a_slacker_head_angle_with_the_bottom_bracket_no_higher() {
    let bike = bike();
    let now = evaluate(&bike, None);
    let height = now[Quantity::BottomBracketHeight as usize];
    let aims = [
        aim(&bike, Quantity::HeadAngle, -1_f64.to_radians(), 0.1_f64.to_radians(), 0.5_f64.to_radians()),
        Aim { quantity: Quantity::BottomBracketHeight, range: [f64::NEG_INFINITY, height], scale: 5.0 },
        aim(&bike, Quantity::GripReach, 0.0, 0.0, 10.0),
    ];
    check(&bike, &slots(), &aims, 2);
}

#[test]
fn an_elbow_that_is_bent_more() {
    let mut bike = bike();
    (bike.torso, bike.upper_arm, bike.forearm) = (520.0, 310.0, 330.0);
    bike.torso_lean = 55_f64.to_radians();
    let aims = [aim(&bike, Quantity::ElbowAngle, -6_f64.to_radians(), 0.0, 5_f64.to_radians())];
    check(&bike, &slots(), &aims, 3);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn anything_that_may_be_wanted(
        up in -40.0..60.0_f64, ahead in -40.0..40.0_f64, pm in 0.0..6.0_f64, trail in -8.0..8.0_f64,
        weight in 0.2..5.0_f64, depth in 1_usize..4, width in proptest::bool::ANY,
    ) {
        let bike = bike();
        let mut slots = slots();
        if width {
            slots.push(slot([740.0, 800.0].map(|width| set(P::BarWidth, width, 80.0))));
            slots.remove(5);
        }
        let aims = [
            aim(&bike, Quantity::GripStack, up, pm, 5.0 / weight),
            aim(&bike, Quantity::GripReach, ahead, pm, 5.0),
            aim(&bike, Quantity::Trail, trail, 1.0, 5.0),
            aim(&bike, Quantity::GripWidth, if width { 15.0 } else { 0.0 }, 2.0, 10.0),
        ];
        check(&bike, &slots, &aims, depth);
    }
}

#[test]
fn a_bar_goes_into_a_clamp_of_its_size_alone() {
    let bike = bike();
    let thick = Choice {
        steps: vec![Step::Set(P::BarClamp, 35.0), Step::Set(P::BarRise, 45.0)],
        touched: 1,
        price: 10.0,
    };
    let stem = Choice {
        steps: vec![Step::Set(P::StemBarClamp, 35.0), Step::Set(P::StemLength, 40.0)],
        touched: 1,
        price: 10.0,
    };
    let slots = [slot([stem]), slot([thick, set(P::BarRise, 30.0, 80.0)])];
    let aims = [aim(&bike, Quantity::GripStack, 20.0, 0.0, 5.0)];
    check(&bike, &slots, &aims, 4);
    let wanted = Wanted { depth: 6, ..of(&bike, &slots, &aims) };
    let found = search(&wanted, &mut |_| ControlFlow::Continue(())).expect("nobody stops it");
    let picks: Vec<&[usize]> = found.iter().map(|it| it.picks.as_slice()).collect();
    assert!(picks.contains(&[1, 1].as_slice()) && !picks.contains(&[0, 1].as_slice()), "{picks:?}");
}

/// Stem and bar in one, beside stems, bars and spacers: no sum of three any more.
#[test]
fn a_stem_and_bar_in_one_piece() {
    let bike = bike();
    let one_piece = |length: f64, rise: f64| Choice {
        steps: vec![
            Step::Set(P::StemLength, length),
            Step::Set(P::BarRise, rise),
            Step::Set(P::BarClamp, 31.8),
        ],
        touched: 1,
        price: 150.0,
    };
    let mut slots = slots();
    slots[1].choices.extend([one_piece(45.0, 45.0), one_piece(55.0, 10.0)]);
    slots.truncate(5);
    let aims =
        [aim(&bike, Quantity::GripStack, 21.0, 1.0, 5.0), aim(&bike, Quantity::GripReach, -6.0, 0.0, 5.0)];
    check(&bike, &slots, &aims, 3);
}

/// Hands, saddle and feet at once, on a bike with a measured linkage whose chain and tyre have limits: many frames differ in nothing that stems
/// and bars move.
#[test]
fn a_whole_position_on_a_measured_linkage() {
    let mut bike = chains::bike();
    (bike.bar_clamp, bike.stem_bar_clamp, bike.spacers_above, bike.top_cap_gap) = (31.8, 31.8, 5.0, 3.0);
    (bike.saddle_height, bike.saddle_setback, bike.crank_length) = (735.0, 60.0, 170.0);
    (bike.ring_smallest, bike.ring_largest, bike.ring_count) = (32.0, 32.0, 1.0);
    (bike.cog_smallest, bike.cog_largest, bike.cog_count) = (11.0, 42.0, 11.0);
    (bike.rear_clearance, bike.rear_bottom_clearance, bike.derailleur_cog_most) = (8.0, 9.0, 46.0);
    bike.steerer_length = steerer_needed(&bike);
    let (_, linkage) = chains::examples().into_iter().next().expect("an example");
    let now = evaluate(&bike, Some(&linkage));
    bike.chain_pieces = now[Quantity::ChainNeeded as usize] + 2.0;
    assert!(bike.chain_pieces.is_finite());
    let saddles = (-4..=4).filter(|by| *by != 0).map(|by| Choice {
        steps: vec![Step::By(P::SaddleHeight, f64::from(by) * 5.0)],
        touched: 1,
        price: 0.0,
    });
    let slides = [-12.0, -6.0, -3.0, 3.0, 6.0, 12.0].map(|by| Choice {
        steps: vec![Step::By(P::SaddleSetback, by)],
        touched: 1,
        price: 0.0,
    });
    let cogs = [[11.0, 46.0], [11.0, 50.0], [11.0, 34.0]].map(|[least, most]| Choice {
        steps: vec![Step::Row { row: Row::Cogs, least, most, count: 11.0, spacing: 3.9 }],
        touched: 1,
        price: 80.0,
    });
    let slots = [
        slot(saddles),
        slot(slides),
        slot([165.0, 172.5].map(|length| set(P::CrankLength, length, 120.0))),
        slot(cogs),
        slot([-1.0_f64, 1.0].map(|turn| set(P::HeadsetAngle, turn.to_radians(), 70.0))),
        slot([5.0, 10.0, 25.0].map(|height| set(P::SpacersBelow, height, 0.0))),
        slot([35.0, 60.0].map(|length| set(P::StemLength, length, 50.0))),
        slot([10.0, 40.0].map(|rise| set(P::BarRise, rise, 80.0))),
    ];
    let wanted = |quantity: Quantity, by: f64, pm: f64, scale: f64| {
        let value = now[quantity as usize] + by;
        assert!(value.is_finite(), "{quantity:?}");
        Aim { quantity, range: [value - pm, value + pm], scale }
    };
    let position = [
        wanted(Quantity::GripStack, 11.0, 1.0, 5.0),
        wanted(Quantity::GripReach, -8.0, 0.0, 5.0),
        wanted(Quantity::SaddleToPedal, -10.0, 0.0, 5.0),
        wanted(Quantity::SaddleSetback, 5.0, 0.5, 5.0),
        wanted(Quantity::ChainNeeded, 1.0, 0.0, 4.0),
    ];
    // Cranks of 172.5 mm come nearer to it than 5 mm of saddle, which are free.
    let nearer_or_free = [wanted(Quantity::SaddleToPedal, 3.5, 0.0, 5.0)];
    for (aims, depth) in [
        (&position[..], 1),
        (&position[..], 3),
        (&position[1..3], 2),
        (&position[2..], 3),
        (&nearer_or_free[..], 1),
    ] {
        let wanted = Wanted { linkage: Some(&linkage), most_touched: 5, depth, ..of(&bike, &slots, aims) };
        same_as_every(&wanted);
    }
}

#[test]
fn it_stops_when_it_is_told_to() {
    let bike = bike();
    let aims = [aim(&bike, Quantity::GripStack, 15.0, 0.0, 5.0)];
    let slots = slots();
    let wanted = of(&bike, &slots, &aims);
    assert!(search(&wanted, &mut |_| ControlFlow::Break(())).is_err());
    let mut last = 0;
    let watch = &mut |progress: knockon_engine::search::Progress| {
        assert!(progress.settled >= last && progress.settled <= progress.of);
        last = progress.settled;
        ControlFlow::Continue(())
    };
    search(&wanted, watch).expect("nobody stops it");
}
