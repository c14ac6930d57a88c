//! What holds of every sensible bike and every change.

mod any_bike;

use knockon_engine::attribution::shapley;
use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::{Step, Wheel};
use knockon_engine::chart::{Observes, Row, UNKNOWNS, solve};
use knockon_engine::comparison::{Given, assess};
use knockon_engine::geometry::Stance;
use knockon_engine::quantity::{Quantity, evaluate};
use knockon_engine::requirement::Allowances;
use knockon_engine::tolerance::Uncertain;
use proptest::prelude::*;
use proptest::sample::select;

const ALLOW: Allowances = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };

/// Parameters that somebody may change.
fn changeable() -> Vec<Parameter> {
    let derived = [Parameter::HeadsetTurn, Parameter::RearAxleLift];
    Parameter::ALL.iter().copied().filter(|parameter| !derived.contains(parameter)).collect()
}

/// The part `by`, from −1 to 1, of an ordinary step of a parameter.
fn step_of(parameter: Parameter, by: f64) -> f64 {
    by * match parameter {
        // A pad is some 12 mm high: several steps of 10 mm would leave none of it, and no brake to ask about.
        Parameter::PadHeight => 2.0,
        small if any_bike::is_small(small) => 0.03,
        _ => 10.0,
    }
}

fn any_steps() -> impl Strategy<Value = Vec<Step<f64>>> {
    let tyre = (any::<bool>(), 45.0..66.0).prop_map(|(front, width)| Step::Tyre {
        wheel: if front { Wheel::Front } else { Wheel::Rear },
        bead_seat_radius: 311.0,
        width,
    });
    let number = (select(changeable()), -1.0..1.0)
        .prop_map(|(parameter, by)| Step::By(parameter, step_of(parameter, by)));
    prop::collection::vec(prop_oneof![4 => number, 1 => tyre], 1..6)
}

/// The bike with an input behind each number, of a size of its own, and one that all lengths share.
fn uncertain(bike: &Bike<f64>, sizes: &[f64]) -> Bike<Uncertain> {
    let mut input = 0;
    bike.map(|&value| {
        input += 1;
        let size = sizes[input % sizes.len()] * if value.abs() < 2.0 { 0.003 } else { 1.0 };
        Uncertain { value, moves: vec![(input, size), (0, size * 0.3)] }
    })
}

fn same(one: &Bike<f64>, other: &Bike<f64>) -> Result<(), TestCaseError> {
    for parameter in Parameter::ALL {
        let (a, b) = (one.get(*parameter), other.get(*parameter));
        prop_assert!((a - b).abs() < 1e-9, "{}: {a} {b}", parameter.name());
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_change_and_its_inverse_cancel(bike in any_bike::any_bike(), by in -1.0..1.0) {
        for parameter in changeable() {
            let by = step_of(parameter, by);
            same(&bike.after(&[Step::By(parameter, by), Step::By(parameter, -by)]), &bike)?;
            let old = *bike.get(parameter);
            same(&bike.after(&[Step::Set(parameter, old + by), Step::Set(parameter, old)]), &bike)?;
        }
    }

    #[test]
    fn a_step_can_be_taken_in_two(bike in any_bike::any_bike(), by in -1.0..1.0, part in 0.0..1.0) {
        for parameter in changeable() {
            let by = step_of(parameter, by);
            let once = bike.after(&[Step::By(parameter, by)]);
            let two = [Step::By(parameter, by * part), Step::By(parameter, by * (1.0 - part))];
            same(&bike.after(&two), &once)?;
            same(&bike.after(&[Step::Set(parameter, bike.get(parameter) + by)]), &once)?;
        }
    }

    #[test]
    fn steps_of_different_things_may_change_places(
        bike in any_bike::any_bike(), by in -1.0..1.0, other in -1.0..1.0,
    ) {
        // Travel and leverage are factors of what a shock does: it matters whether they change before it does.
        use Parameter as P;
        let factor = [P::RearTravel, P::LeverageAtStart, P::LeverageAtEnd];
        let changeable: Vec<Parameter> = changeable().into_iter().filter(|p| !factor.contains(p)).collect();
        for (at, a) in changeable.iter().enumerate() {
            for b in &changeable[..at] {
                let (a, b) = (Step::By(*a, step_of(*a, by)), Step::By(*b, step_of(*b, other)));
                same(&bike.after(&[a, b]), &bike.after(&[b, a]))?;
            }
        }
    }

    #[test]
    fn moving_nothing_moves_nothing(bike in any_bike::any_bike()) {
        prop_assert_eq!(bike.after(&[]), bike);
        for parameter in changeable() {
            for step in [Step::By(parameter, 0.0), Step::Set(parameter, *bike.get(parameter))] {
                same(&bike.after(&[step]), &bike)?;
            }
        }
    }

    #[test]
    fn shapley_shares_sum_to_the_difference(bike in any_bike::any_bike(), steps in any_steps()) {
        let part = |mask: usize| {
            let taken: Vec<Step<f64>> =
                steps.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 1).map(|(_, step)| *step).collect();
            evaluate(&bike.after(&taken), None)
        };
        let shares = shapley(steps.len(), part);
        let (before, after) = (evaluate(&bike, None), evaluate(&bike.after(&steps), None));
        // What only a linkage tells is unknown before and after.
        for quantity in Quantity::ALL.iter().filter(|quantity| before[**quantity as usize].is_finite()) {
            let row = *quantity as usize;
            let difference = after[row] - before[row];
            let sum: f64 = shares.iter().map(|share| share[row]).sum();
            // Limbs may not reach in some of the subsets: then there is no share.
            prop_assert!((sum - difference).abs() < 1e-9 || sum.is_nan(), "{}: {sum} {difference}", quantity.id());
            // Nor is there a pressure by the rule for hardly any load on a wide tyre.
            let joint = [
                Quantity::KneeFlexion,
                Quantity::HipAngle,
                Quantity::ElbowAngle,
                Quantity::FrontPressureSuggested,
                Quantity::RearPressureSuggested,
            ]
            .contains(quantity);
            prop_assert!(joint || sum.is_finite(), "{}", quantity.id());
        }
    }

    #[test]
    fn a_difference_is_at_most_as_vague_as_both_values_together(
        bike in any_bike::any_bike(), steps in any_steps(), sizes in prop::collection::vec(0.01..5.0, 7),
    ) {
        let inputs = Parameter::ALL.len() + 1;
        let steps: Vec<Step<Uncertain>> = steps
            .iter()
            .enumerate()
            .map(|(at, step)| {
                step.map(|&value| Uncertain { value, moves: vec![(inputs + at, 0.004 * value.abs()), (0, 0.1)] })
            })
            .collect();
        let result = assess(&uncertain(&bike, &sizes), Given { linkage: None, steps: &steps }, &ALLOW, inputs + steps.len());
        for quantity in Quantity::ALL {
            let row = *quantity as usize;
            let (before, after) = (result.before.plus_minus(row), result.after.plus_minus(row));
            let difference = result.difference.plus_minus(row);
            let apart = result.after.value(row) - result.before.value(row);
            if apart.is_finite() {
                prop_assert!(difference <= (before + after) * (1.0 + 1e-9), "{}: {difference}", quantity.id());
                prop_assert!((result.difference.value(row) - apart).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn before_minus_before_is_nothing_and_sure(
        bike in any_bike::any_bike(), sizes in prop::collection::vec(0.01..5.0, 7),
    ) {
        let result = assess(&uncertain(&bike, &sizes), Given { linkage: None, steps: &[] }, &ALLOW, Parameter::ALL.len() + 1);
        for quantity in Quantity::ALL {
            let row = *quantity as usize;
            if result.before.value(row).is_finite() {
                prop_assert_eq!(result.difference.value(row), 0.0, "{}", quantity.id());
                prop_assert_eq!(result.difference.plus_minus(row), 0.0, "{}", quantity.id());
                prop_assert!(result.difference.variance_shares(row).is_empty());
            }
        }
    }

    /// Whatever the rows weigh, a chart that is true of one bike is solved by that bike.
    #[test]
    fn a_consistent_chart_is_solved_by_its_bike(
        bike in any_bike::any_bike(), weights in prop::collection::vec(-5.0..1.3, 20),
    ) {
        let mut bike = bike;
        (bike.headset_turn, bike.rear_axle_lift, bike.section_ratio) = (0.0, 0.0, 1.0);
        (bike.rear_axle_shift, bike.shock_start) = (0.0, 0.0);
        let (sin, cos) = bike.head_angle.sin_cos();
        bike.stack = bike.bottom_bracket_drop + bike.front_radius - bike.rear_radius
            + (bike.head_tube + bike.lower_stack + bike.axle_to_crown) * sin - bike.fork_offset * cos;
        let quantities = evaluate(&bike, None);
        let observed = [
            Quantity::Wheelbase, Quantity::FrontCentre, Quantity::BottomBracketHeight,
            Quantity::EffectiveTopTube, Quantity::Trail,
        ];
        let rows: Vec<Row> = UNKNOWNS
            .iter()
            .map(|unknown| (Observes::Parameter(*unknown), *bike.get(*unknown)))
            .chain(observed.map(|quantity| (Observes::Quantity(quantity), quantities[quantity as usize])))
            .chain([
                (Observes::FrontTyre { bead_seat_radius: 280.0 }, bike.front_radius - 280.0),
                (Observes::AxleToCrownStraight, bike.axle_to_crown.hypot(bike.fork_offset)),
            ])
            .zip(&weights)
            .map(|((observes, value), weight)| {
                let size = 10_f64.powf(*weight);
                Row { observes, value, uncertainty: if value.abs() < 2.0 { size * 1e-2 } else { size } }
            })
            .collect();
        let solved = solve(&rows);
        prop_assert!(solved.is_ok(), "{:?}", solved.err());
        let solved = solved.unwrap();
        let mut found = bike;
        for (unknown, value) in UNKNOWNS.iter().zip(solved.values) {
            *found.get_mut(*unknown) = value;
        }
        same(&found, &bike)?;
        prop_assert!(Stance::new(&found, 0.0).turn.abs() < 1e-12);
        for check in &solved.checks {
            prop_assert!(check.residual.abs() < 1e-9, "{check:?}");
        }
        prop_assert!((solved.redundancy - 8.0).abs() < 1e-3, "{}", solved.redundancy);
    }
}
