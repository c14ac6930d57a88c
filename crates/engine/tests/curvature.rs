//! Second derivatives are taken in four inputs only; here against second derivatives in all of them.

mod bikes;

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::{Step, Wheel};
use knockon_engine::comparison::{Comparison, Given};
use knockon_engine::quantity::{Dimension, Quantity};
use knockon_engine::requirement::Allowances;
use knockon_engine::tolerance::{Uncertain, propagate, propagate_curved};

const ALLOW: Allowances = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };
/// Inputs of the bike; each step brings one more.
const INPUTS: [(Parameter, f64); 20] = [
    (Parameter::Stack, 0.3),
    (Parameter::Reach, 0.3),
    (Parameter::HeadAngle, 0.0005),
    (Parameter::SeatAngle, 0.0005),
    (Parameter::HeadTube, 0.3),
    (Parameter::Chainstay, 0.3),
    (Parameter::BottomBracketDrop, 0.3),
    (Parameter::AxleToCrown, 0.5),
    (Parameter::ForkOffset, 0.3),
    (Parameter::LowerStack, 0.3),
    (Parameter::UpperStack, 0.5),
    (Parameter::SpacersBelow, 0.5),
    (Parameter::StemLength, 0.3),
    (Parameter::StemAngle, 0.0087),
    (Parameter::BarRise, 0.3),
    (Parameter::BarRoll, 0.052),
    (Parameter::BarBackSweep, 0.0087),
    (Parameter::HandInset, 10.0),
    (Parameter::SaddleHeight, 1.0),
    (Parameter::SaddleSetback, 1.5),
];

fn uncertain(bike: &Bike<f64>) -> Bike<Uncertain> {
    let mut bike = bike.map(|&value| Uncertain::exact(value));
    for (input, (parameter, uncertainty)) in INPUTS.iter().enumerate() {
        bike.get_mut(*parameter).moves.push((input, *uncertainty));
    }
    // One ratio of height to width moves both wheels, and each has a width of its own.
    for (own, radius) in [(21, &mut bike.front_radius), (22, &mut bike.rear_radius)] {
        radius.moves.extend([(20, 60.0 * 0.03), (own, 0.75)]);
    }
    bike.section_ratio.moves.push((20, 0.03));
    bike
}

fn new(value: f64, input: usize, uncertainty: f64) -> Uncertain {
    Uncertain { value, moves: vec![(input, uncertainty)] }
}

/// A bike of numbers with 26 second derivatives each takes half a megabyte, several times over on the stack.
const STACK: usize = 64 << 20;

#[test]
fn four_curved_inputs_give_the_tolerance_of_all() {
    let thread = std::thread::Builder::new().stack_size(STACK).spawn(compare_few_with_all);
    thread.expect("a thread").join().expect("the comparison holds");
}

fn compare_few_with_all() {
    let questions: [&[Step<Uncertain>]; 4] = [
        &[
            Step::By(Parameter::AxleToCrown, new(20.0, 23, 0.5)),
            Step::By(Parameter::SpacersBelow, new(-15.0, 24, 0.3)),
            Step::By(Parameter::BarRise, new(15.0, 25, 0.3)),
        ],
        &[Step::Tyre {
            wheel: Wheel::Front,
            bead_seat_radius: Uncertain::exact(311.0),
            width: new(64.0, 23, 0.75),
        }],
        &[Step::By(Parameter::HeadsetAngle, new(-0.026, 23, 0.002))],
        &[
            Step::Set(Parameter::StemLength, new(35.0, 23, 0.3)),
            Step::By(Parameter::BarRoll, new(0.17, 24, 0.02)),
        ],
    ];
    let [(_, trail), _, (_, hardtail)] = bikes::bikes();
    let mut apart: Vec<(f64, String)> = Vec::new();
    for (name, bike) in [("trail", trail), ("hardtail", hardtail)] {
        let bike = uncertain(&bike);
        for (question, steps) in questions.iter().enumerate() {
            let comparison = Comparison::new(&bike, Given { linkage: None, steps }, &ALLOW);
            let numbers = comparison.given.numbers(&bike);
            let few = propagate(&comparison, &numbers, 26);
            let all = propagate_curved::<_, 26>(&comparison, &numbers, 26);
            for row in 0..3 * Quantity::COUNT {
                let (some, every) = (few.standard_uncertainty(row), all.standard_uncertainty(row));
                // A thousandth of a millimetre or of a milliradian is the same to anybody.
                let quantity = Quantity::ALL[row % Quantity::COUNT];
                let nothing = if quantity.dimension() == Dimension::Length { 1e-3 } else { 1e-6 };
                let off = (some - every).abs() - nothing;
                let part = ["before", "after", "difference"][row / Quantity::COUNT];
                let id = quantity.id();
                apart.push((off / every.max(1e-9), format!("{name} {question} {part} {id}: {some} {every}")));
            }
        }
    }
    let off: Vec<&String> = apart.iter().filter(|(off, _)| *off > 0.02).map(|(_, text)| text).collect();
    assert!(off.is_empty(), "{off:#?}");
}
