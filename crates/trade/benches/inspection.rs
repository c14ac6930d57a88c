//! Walking a protocol: with sets of answers, against trying every completion one by one. Both are run on the same runs.
//!
//! `cargo bench -p knockon-trade --bench inspection`

use divan::{Bencher, black_box};
use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::suggest::suggest;
use knockon_trade::inspection::{Given, Grade, Observation, Protocol, judge, protocol, protocols};

fn main() {
    divan::main();
}

/// The first `told` steps of a protocol by their mildest answers.
fn run(protocol: &Protocol, told: usize) -> Vec<Observation> {
    let given = |kind| if kind == Kind::Photo { Given::Photo } else { Given::Choice(0) };
    protocol
        .steps
        .iter()
        .take(told)
        .map(|step| Observation { step: step.id.clone(), given: given(step.kind), note: String::new() })
        .collect()
}

/// The worst grade that is still possible, every completion tried by itself; without the shortcut that ends at the worst one.
fn one_by_one(protocol: &Protocol, at: usize, grade: Grade, observed: &[Observation]) -> Grade {
    let Some(step) = protocol.steps.get(at) else { return grade };
    let place = |answer: &knockon_trade::inspection::protocol::Answer| match answer.next.as_deref() {
        None => at + 1,
        Some("end") => protocol.steps.len(),
        Some(id) => protocol.steps.iter().position(|step| step.id == id).unwrap_or(protocol.steps.len()),
    };
    let follow = |index: usize| {
        let answer = &step.answers[index];
        one_by_one(protocol, place(answer), grade.max(answer.grade), observed)
    };
    match observed.iter().find(|it| it.step == step.id).map(|it| &it.given) {
        _ if step.kind == Kind::Photo => one_by_one(protocol, at + 1, grade, observed),
        Some(Given::Choice(index)) => follow(*index),
        _ => (0..step.answers.len()).map(follow).max().unwrap_or(grade),
    }
}

/// Steps told of a carbon frame's ten.
const TOLD: [usize; 4] = [0, 3, 6, 10];

#[divan::bench(args = TOLD)]
fn with_sets(bencher: Bencher, told: usize) {
    let protocol = protocol("carbon-frame").expect("it is there");
    let observed = run(protocol, told);
    bencher.bench(|| judge(black_box(protocol), black_box(&observed)).grade);
}

#[divan::bench(args = TOLD)]
fn peer_every_completion(bencher: Bencher, told: usize) {
    let protocol = protocol("carbon-frame").expect("it is there");
    let observed = run(protocol, told);
    assert_eq!(one_by_one(protocol, 0, protocol.mildest, &observed), judge(protocol, &observed).grade);
    bencher.bench(|| one_by_one(black_box(protocol), 0, protocol.mildest, black_box(&observed)));
}

#[divan::bench]
fn every_protocol_with_nothing_told() -> usize {
    protocols().iter().map(|protocol| judge(protocol, &[]).unchecked.len()).sum()
}

#[divan::bench]
fn suggestions_for_a_question() -> usize {
    suggest(black_box(
        "Crashed on Sunday, now there is a thin line in the carbon down tube of the frame, is it a crack?",
    ))
    .len()
}
