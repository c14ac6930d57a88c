//! What holds of every descent: no energy is lost, more heat or less cooling is hotter, derivatives are those of the values.

use knockon_engine::Scalar;
use knockon_engine::brake::convection::Convection;
use knockon_engine::brake::descent::{Descent, Stretch};
use knockon_engine::brake::heat::{Rotor, STEFAN_BOLTZMANN, Surroundings};
use knockon_engine::brake::warming::temperatures;
use knockon_engine::road::Resistance;
use num_dual::Dual64;
use proptest::prelude::*;

/// The numbers of a descent of two pieces: mass of the rider and bike, area of the rotor, emissivity, mass of the rotor, share,
/// then length, gradient and speed of each piece.
type Numbers = [f64; 11];

fn numbers() -> impl Strategy<Value = Numbers> {
    let rotor = (0.01..0.06, 0.05..0.95, 0.08..0.4, 0.3..0.99);
    let piece = || (100.0..1500.0, 0.03..0.25, 3.0..12.0);
    (60.0..130.0, rotor, piece(), piece()).prop_map(
        |(mass, (area, emissivity, rotor, share), (l, g, v), (m, h, w))| {
            [mass, area, emissivity, rotor, share, l, g, v, m, h, w]
        },
    )
}

fn built<T: Scalar>(numbers: [T; 11]) -> (Rotor<T>, T, Descent<T>, Surroundings<T>) {
    let [mass, area, emissivity, rotor, share, l, g, v, m, h, w] = numbers;
    let given = |it: f64| T::from(it);
    let convection = Convection { still: given(4.0), per_speed: given(15.0), exponent: 0.55 };
    let rotor = Rotor { mass: rotor, specific_heat: given(460.0), area, emissivity, convection };
    let resistance = Resistance { rolling: given(0.005), drag_area: given(0.45), air_density: given(1.2) };
    let stretches =
        vec![Stretch { length: l, gradient: g, speed: v }, Stretch { length: m, gradient: h, speed: w }];
    (rotor, share, Descent { mass, resistance, stretches }, Surroundings { air: given(293.15) })
}

fn run<T: Scalar>(numbers: [T; 11], step: f64) -> Vec<T> {
    let (rotor, share, descent, around) = built(numbers);
    temperatures(&rotor, share, &descent, &around, step)
}

/// Simpson's rule over values at even distances, an odd number of them.
fn integral(values: &[f64], step: f64) -> f64 {
    values.windows(3).step_by(2).map(|it| (it[0] + 4.0 * it[1] + it[2]) * step / 3.0).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// One piece, cut into an even number of steps: what came in is stored, or left by convection or radiation.
    #[test]
    fn heat_goes_somewhere(numbers in numbers()) {
        let (rotor, share, mut descent, around) = built(numbers);
        descent.stretches.truncate(1);
        let duration = numbers[5] / numbers[7];
        let steps = 2 * (duration / 0.2).ceil() as usize;
        let step = duration / steps as f64;
        let all = temperatures(&rotor, share, &descent, &around, step);
        prop_assert_eq!(all.len(), steps + 1);
        let stored = rotor.mass * 460.0 * (all[steps] - around.air);
        let warmer: Vec<f64> = all.iter().map(|it| it - around.air).collect();
        let fourth: Vec<f64> = all.iter().map(|it| it.powi(4) - around.air.powi(4)).collect();
        let coefficient = 4.0 + 15.0 * numbers[7].powf(0.55);
        let convected = coefficient * rotor.area * integral(&warmer, step);
        let radiated = rotor.emissivity * STEFAN_BOLTZMANN * rotor.area * integral(&fourth, step);
        let came = share * descent.heat();
        let off = (stored + convected + radiated - came) / (came + 1.0);
        prop_assert!(off.abs() < 1e-5, "{off}");
    }

    #[test]
    fn a_heavier_rider_is_hotter_and_more_area_cooler(numbers in numbers(), more in 1.01..1.5) {
        let with = |place: usize| {
            let mut changed: Numbers = numbers;
            changed[place] *= more;
            run(changed, 1.0)
        };
        let (as_is, heavier, larger) = (run(numbers, 1.0), with(0), with(1));
        for place in 0..as_is.len() {
            prop_assert!(heavier[place] >= as_is[place] - 1e-9);
            prop_assert!(larger[place] <= as_is[place] + 1e-9);
        }
    }

    /// By every number, at the end, whose time moves with lengths and speeds.
    #[test]
    fn derivatives_are_those_of_the_values(numbers in numbers(), place in 0usize..11) {
        let end = |by: f64| {
            let mut changed: Numbers = numbers;
            changed[place] += by;
            *run(changed, 1.0).last().unwrap()
        };
        let mut duals = numbers.map(Dual64::from);
        duals[place] = duals[place].derivative();
        let exact = run(duals, 1.0).last().unwrap().eps;
        let by = numbers[place] * 1e-5;
        // The number of steps can change between both sides: what that makes is an error of a step, not of a derivative.
        let numeric = (end(by) - end(-by)) / (2.0 * by);
        let scale = 100.0 / numbers[place];
        prop_assert!((exact - numeric).abs() < 1e-3 * (scale + exact.abs()), "{exact} not {numeric}");
    }

    /// How often one looks does not matter.
    #[test]
    fn samples_do_not_move_the_result(numbers in numbers()) {
        let (often, seldom) = (*run(numbers, 0.25).last().unwrap(), *run(numbers, 50.0).last().unwrap());
        // The smallest rotors here glow white; a step of a second is then off by most.
        prop_assert!((often / seldom - 1.0).abs() < 1e-4, "{often} not {seldom}");
    }
}
