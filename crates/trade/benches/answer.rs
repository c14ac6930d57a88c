//! What an answer costs, on the demo's first question (three changes, every fact of the record).
//!
//! `cargo bench -p knockon-trade`. Peers run beside it in the same run: the gradient by central differences over the
//! same formulas, which is what exact derivatives replace.

use std::hint::black_box;

use divan::Bencher;
use knockon_engine::attribution::shapley;
use knockon_engine::bike::Bike;
use knockon_engine::change::Step;
use knockon_engine::comparison::{Given, assess, compare};
use knockon_engine::quantity::evaluate;
use knockon_engine::suspension::curve::trace;
use knockon_engine::suspension::traced::traced;
use knockon_engine::tolerance::Uncertain;
use knockon_trade::build::{Build, held_still};
use knockon_trade::demo;
use knockon_trade::findings::{allowances, answer, steps};
use knockon_trade::question::Question;

fn main() {
    divan::main();
}

fn question() -> Question {
    demo::question(demo::questions()[0].0)
}

struct Case {
    build: Build,
    steps: Vec<Step<Uncertain>>,
}

fn case() -> Case {
    let question = question();
    let mut build = Build::new(&question.record).expect("the demo's chart solves");
    let steps = steps(&mut build, &question).expect("the demo's changes are possible");
    Case { build, steps }
}

fn plain(case: &Case) -> (Bike<f64>, Vec<Step<f64>>) {
    (
        case.build.bike.map(|number| number.value),
        case.steps.iter().map(|step| step.map(|n| n.value)).collect(),
    )
}

/// Every knock-on and margin before and after, plain numbers. Aim: at most 1 µs.
#[divan::bench]
fn before_after(bencher: Bencher) {
    let (bike, steps) = plain(&case());
    let allow = allowances();
    bencher.bench(|| compare(black_box(&bike), None, black_box(&steps), &allow));
}

/// The same with full tolerance: first order in every input, second order in those that matter. Aim: at most 50 µs.
#[divan::bench]
fn before_after_with_tolerance(bencher: Bencher) {
    let case = case();
    let allow = allowances();
    let inputs = case.build.inputs.len();
    let given = Given { linkage: None, steps: &case.steps };
    let bike = held_still(&case.build.bike, &case.steps);
    bencher.bench(|| assess(black_box(&bike), black_box(given), &allow, inputs));
}

/// Peer: first-order tolerance by central differences, one input at a time, over the same plain formulas.
#[divan::bench]
fn peer_first_order_by_differences(bencher: Bencher) {
    let case = case();
    let allow = allowances();
    bencher.bench(|| {
        let shifted = |input: usize, by: f64| {
            let shift = |number: &Uncertain| {
                let moves = number.moves.iter().filter(|(index, _)| *index == input);
                number.value + by * moves.map(|(_, amount)| amount).sum::<f64>()
            };
            let steps: Vec<Step<f64>> = case.steps.iter().map(|step| step.map(shift)).collect();
            compare(&case.build.bike.map(shift), None, &steps, &allow)
        };
        (0..case.build.inputs.len())
            .map(|input| (shifted(input, 1e-3), shifted(input, -1e-3)))
            .collect::<Vec<_>>()
    });
}

/// Shapley shares of ten changes: 1024 bikes.
#[divan::bench]
fn shares_of_ten_changes(bencher: Bencher) {
    let (bike, steps) = plain(&case());
    let ten: Vec<Step<f64>> = steps.iter().cycle().take(10).copied().collect();
    bencher.bench(|| {
        shapley(ten.len(), |mask| {
            let part: Vec<Step<f64>> =
                ten.iter().enumerate().filter(|(i, _)| mask >> i & 1 == 1).map(|(_, s)| *s).collect();
            evaluate(&black_box(&bike).after(&part), None)
        })
    });
}

/// A record completed to numbers: the chart solved and audited.
#[divan::bench]
fn build(bencher: Bencher) {
    let record = question().record;
    bencher.bench(|| Build::new(black_box(&record)));
}

/// The whole way from a question to its findings.
#[divan::bench]
fn question_to_findings(bencher: Bencher) {
    bencher.with_inputs(question).bench_values(|question| answer(question).is_ok());
}

/// The same for a bike with a measured linkage: curves with their tolerance at 21 positions, before and after.
#[divan::bench(args = ["22-longer-stroke", "20-longer-fork-than-rear"])]
fn question_about_a_linkage(bencher: Bencher, stem: &str) {
    bencher.with_inputs(|| demo::question(stem)).bench_values(|question| answer(question).is_ok());
}

/// A demo bike with four bars, completed to numbers.
fn four_bar() -> Build {
    Build::new(&demo::bike("bulrush-150").expect("a demo bike")).expect("a possible bike")
}

/// 101 positions of a four-bar with every curve, plain numbers. Aim: at most 100 µs.
#[divan::bench]
fn curves_of_a_four_bar(bencher: Bencher) {
    let build = four_bar();
    let bike = build.bike.map(|number| number.value);
    let linkage = build.linkage.expect("a linkage").linkage.map(|number| number.value);
    bencher.bench(|| trace(black_box(&bike), Some(black_box(&linkage)), 101).is_ok());
}

/// The same 101 positions with their tolerance, first order in every input at every fourth. Aim: at most 5 ms.
#[divan::bench]
fn curves_of_a_four_bar_with_tolerance(bencher: Bencher) {
    let build = four_bar();
    let linkage = &build.linkage.as_ref().expect("a linkage").linkage;
    let given = Given { linkage: Some(linkage), steps: &[] };
    bencher.bench(|| traced(black_box(&build.bike), given, 25, build.inputs.len()));
}
