//! Propagation against simulation (the way of JCGM 101:2008): inputs are drawn, the bike is built from each draw anew, and
//! the spread of the results is compared. Seeded, so that every run draws the same.

mod bikes;

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::{Step, Wheel, section_height};
use knockon_engine::comparison::{Comparison, Given, assess};
use knockon_engine::quantity::{Quantity, evaluate};
use knockon_engine::requirement::Allowances;
use knockon_engine::tolerance::{Uncertain, propagate_curved};
use rand::SeedableRng;
use rand::distr::Distribution;
use rand::rngs::StdRng;
use statrs::distribution::Normal;

const DRAWS: usize = 200_000;
const ALLOW: Allowances = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };

/// Standard deviation of what `result` makes of normal draws about these values with these standard uncertainties.
fn simulated<const N: usize>(inputs: [(f64, f64); N], result: impl Fn([f64; N]) -> f64) -> f64 {
    let mut random = StdRng::seed_from_u64(20_260_101);
    let normals =
        inputs.map(|(value, uncertainty)| Normal::new(value, uncertainty).expect("a positive spread"));
    let draws: Vec<f64> =
        (0..DRAWS).map(|_| result(normals.map(|normal| normal.sample(&mut random)))).collect();
    let mean = draws.iter().sum::<f64>() / DRAWS as f64;
    (draws.iter().map(|draw| (draw - mean).powi(2)).sum::<f64>() / (DRAWS - 1) as f64).sqrt()
}

fn difference(quantity: Quantity, before: &Bike<f64>, steps: &[Step<f64>]) -> f64 {
    evaluate(&before.after(steps), None)[quantity as usize] - evaluate(before, None)[quantity as usize]
}

/// Inputs of the tyre swap: ratio of height to width (shared by all tyres), widths of the front, rear and new tyre.
const RATIO: (f64, f64) = (1.0, 0.03);
const WIDTH: (f64, f64) = (61.0, 0.75);

fn tyre_swap(new: f64) -> (Bike<Uncertain>, [Step<Uncertain>; 1]) {
    let (_, bike) = bikes::bikes()[0];
    let mut bike = bike.map(|&value| Uncertain::exact(value));
    let radius = |own: usize| Uncertain {
        value: 311.0 + WIDTH.0,
        moves: vec![(0, WIDTH.0 * RATIO.1), (own, WIDTH.1)],
    };
    (bike.front_radius, bike.rear_radius) = (radius(1), radius(2));
    bike.section_ratio = Uncertain { value: RATIO.0, moves: vec![(0, RATIO.1)] };
    let steps = [Step::Tyre {
        wheel: Wheel::Front,
        bead_seat_radius: Uncertain::exact(311.0),
        width: Uncertain { value: new, moves: vec![(3, WIDTH.1)] },
    }];
    (bike, steps)
}

fn simulated_tyre_swap(new: f64) -> f64 {
    let (_, bike) = bikes::bikes()[0];
    simulated([RATIO, WIDTH, WIDTH, (new, WIDTH.1)], |[ratio, front, rear, width]| {
        let mut bike = bike;
        bike.section_ratio = ratio;
        bike.front_radius = 311.0 + section_height(front, ratio);
        bike.rear_radius = 311.0 + section_height(rear, ratio);
        let swap = Step::Tyre { wheel: Wheel::Front, bead_seat_radius: 311.0, width };
        difference(Quantity::Wheelbase, &bike, &[swap])
    })
}

#[test]
fn wheelbase_after_a_tyre_swap() {
    for new in [61.0, 61.1, 62.0, 64.0, 57.0] {
        let (bike, steps) = tyre_swap(new);
        let result = assess(&bike, Given { linkage: None, steps: &steps }, &ALLOW, 4);
        let row = Quantity::Wheelbase as usize;
        let (computed, drawn) = (result.difference.standard_uncertainty(row), simulated_tyre_swap(new));
        assert!((computed / drawn - 1.0).abs() < 0.03, "{new}: {computed} {drawn}");
        // Equal wheels stand at the top of a curve: without curvature another tyre of the same marking would seem ten
        // times and more too sure.
        let slope = result.difference.contributions(row).iter().map(|by| by * by).sum::<f64>().sqrt();
        if (new - 61.0).abs() < 0.2 {
            assert!(slope * 5.0 < drawn, "{new}: {slope} {drawn}");
        }
    }
}

#[test]
fn four_curved_inputs_are_all_that_a_tyre_swap_has() {
    let (bike, steps) = tyre_swap(61.0);
    let comparison = Comparison::new(&bike, Given { linkage: None, steps: &steps }, &ALLOW);
    let row = 2 * Quantity::COUNT + Quantity::Wheelbase as usize;
    let with = |estimates: knockon_engine::tolerance::Estimates| estimates.standard_uncertainty(row);
    let numbers = comparison.given.numbers(&bike);
    let (four, eight) = (
        with(propagate_curved::<_, 4>(&comparison, &numbers, 4)),
        with(propagate_curved::<_, 8>(&comparison, &numbers, 4)),
    );
    assert!((four / eight - 1.0).abs() < 1e-12);
}

/// A longer fork on a bike whose head angle, old and new fork, wheels and rear end are known with their rounding.
#[test]
fn head_angle_after_a_fork_change() {
    let (_, bike) = bikes::bikes()[0];
    let inputs = [
        (Parameter::HeadAngle, 0.3_f64.to_radians()),
        (Parameter::AxleToCrown, 1.0),
        (Parameter::ForkOffset, 1.0),
        (Parameter::Chainstay, 2.0),
        (Parameter::FrontRadius, 2.0),
        (Parameter::Reach, 5.0),
    ];
    let mut uncertain = bike.map(|&value| Uncertain::exact(value));
    for (input, (parameter, uncertainty)) in inputs.iter().enumerate() {
        uncertain.get_mut(*parameter).moves.push((input, *uncertainty));
    }
    let steps = [Step::Set(
        Parameter::AxleToCrown,
        Uncertain { value: bike.axle_to_crown + 20.0, moves: vec![(6, 1.0)] },
    )];
    let result = assess(&uncertain, Given { linkage: None, steps: &steps }, &ALLOW, 7);
    let spread = inputs.map(|(parameter, uncertainty)| (*bike.get(parameter), uncertainty));
    let [a, b, c, d, e, f] = spread;
    for quantity in [Quantity::HeadAngle, Quantity::Trail, Quantity::Wheelbase, Quantity::GripReach] {
        let drawn = simulated([a, b, c, d, e, f, (bike.axle_to_crown + 20.0, 1.0)], |drawn| {
            let mut bike = bike;
            for ((parameter, _), value) in inputs.iter().zip(drawn) {
                *bike.get_mut(*parameter) = value;
            }
            difference(quantity, &bike, &[Step::Set(Parameter::AxleToCrown, drawn[6])])
        });
        let computed = result.difference.standard_uncertainty(quantity as usize);
        assert!((computed / drawn - 1.0).abs() < 0.02, "{}: {computed} {drawn}", quantity.id());
    }
    // Two forks that are each known to 1 mm, over a wheelbase of 1222 mm: √2·sin 64.5°/1222 rad = 0.06°.
    let head_angle = result.difference.standard_uncertainty(Quantity::HeadAngle as usize).to_degrees();
    assert!((head_angle - 0.06).abs() < 0.005, "{head_angle}");
}
