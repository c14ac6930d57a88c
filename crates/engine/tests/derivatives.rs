//! Exact derivatives against central differences, for every quantity and margin in every parameter.

mod any_bike;

use knockon_engine::Scalar;
use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::quantity::{Quantity, evaluate};
use knockon_engine::requirement::{Allowances, margins};
use knockon_engine::tolerance::{Formula, Uncertain, propagate_curved};
use proptest::prelude::*;

/// Every quantity and every margin of a bike that changes into itself.
struct Everything;

impl Formula for Everything {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let bike = Bike::from_fn(|parameter| numbers[parameter as usize]);
        let mut results = evaluate(&bike, None).to_vec();
        results.extend(margins(
            (&bike, None),
            (&bike, None),
            &Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 },
        ));
        results
    }
}

/// A step that is small against the bike and large against rounding: a hundredth of a millimetre, 0.1 milliradian.
fn step(parameter: Parameter) -> f64 {
    if any_bike::is_small(parameter) { 1e-4 } else { 1e-2 }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn exact_derivatives_match_differences(bike in any_bike::any_bike()) {
        let count = Parameter::ALL.len();
        let values: Vec<f64> = Parameter::ALL.iter().map(|parameter| *bike.get(*parameter)).collect();
        let numbers: Vec<Uncertain> = values
            .iter()
            .enumerate()
            .map(|(input, value)| Uncertain { value: *value, moves: vec![(input, 1.0)] })
            .collect();
        let exact = propagate_curved::<_, 1>(&Everything, &numbers, count);
        for parameter in Parameter::ALL {
            let (at, by) = (*parameter as usize, step(*parameter));
            let moved = |by: f64| {
                let mut values = values.clone();
                values[at] += by;
                Everything.results(&values)
            };
            let [far_less, less, more, far_more] = [-2.0 * by, -by, by, 2.0 * by].map(moved);
            // What only a linkage tells is unknown on both sides.
            for row in (0..more.len()).filter(|row| more[*row].is_finite()) {
                // Five-point central difference: its error goes with the fourth power of the step.
                let near = more[row] - less[row];
                let difference = (8.0 * near - (far_more[row] - far_less[row])) / (12.0 * by);
                let derivative = exact.contributions(row)[at];
                let name = Quantity::ALL.get(row).map_or("margin", |quantity| quantity.id());
                // The clamps' margin has a corner where the two diameters meet.
                let corner = name == "margin" && (bike.stem_bar_clamp - bike.bar_clamp).abs() < 0.02;
                // The rule for pressures has one at its widest measured tyre.
                let widest = [bike.front_tyre_width, bike.rear_tyre_width].iter().any(|it| (it - 37.0).abs() < 0.03);
                let corner = corner || name.ends_with("pressure_suggested") && widest;
                // Differences themselves are only good to rounding over the step.
                let room = 1e-5 * derivative.abs().max(1e-3) + 1e-12 * more[row].abs() / by;
                // Arms that do not reach have no elbow angle, and a nearly straight arm's has no small step.
                let reaches = name != "elbow_angle" || (far_more[row] < 2.9 && far_less[row] < 2.9);
                prop_assert!(
                    corner || !reaches || (difference - derivative).abs() <= room,
                    "∂{name}/∂{}: {derivative} {difference}", parameter.name()
                );
            }
        }
    }
}
