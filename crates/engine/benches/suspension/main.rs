//! What solving for a linkage's positions costs.
//!
//! `cargo bench -p knockon-engine`. A peer runs beside it in the same run: the same positions and velocities from
//! the equations that a general solver gets (three coordinates per body, two equations per joint, one for the shock), by
//! Newton's iteration with a general matrix library.

#[path = "../../tests/linkages/mod.rs"]
mod linkages;
mod peers;

use std::hint::black_box;

use divan::Bencher;
use knockon_engine::suspension::linkage::Linkage;
use linkages::{carriage, four_bar, push_link, single_pivot, two_loops};
use nalgebra::SVector;
use num_dual::{Derivative, DualSVec64};

fn main() {
    divan::main();
}

fn sweep(bencher: Bencher, linkage: &Linkage<f64>, stroke: f64) {
    bencher.bench(|| black_box(linkage).sweep(0.0, black_box(stroke), 101).expect("within the stroke"));
}

/// 101 positions with velocities. Aim: at most 45 µs.
#[divan::bench]
fn sweep_four_bar(bencher: Bencher) {
    sweep(bencher, &four_bar(), 55.0);
}

#[divan::bench]
fn sweep_single_pivot(bencher: Bencher) {
    sweep(bencher, &single_pivot(), 55.0);
}

#[divan::bench]
fn sweep_rocker_and_push_link(bencher: Bencher) {
    sweep(bencher, &push_link(), 50.0);
}

#[divan::bench]
fn sweep_sliding_carriage(bencher: Bencher) {
    sweep(bencher, &carriage(), 28.0);
}

/// Two loops: five coordinates.
#[divan::bench]
fn sweep_two_loops(bencher: Bencher) {
    sweep(bencher, &two_loops(), 34.0);
}

/// Peer: the same 101 positions, all coordinates of every body, a general matrix's factorisation.
#[divan::bench]
fn peer_four_bar_by_general_matrix(bencher: Bencher) {
    let linkage = four_bar();
    bencher.bench(|| peers::newton(black_box(&linkage), black_box(55.0), 101));
}

/// One position far from the drawn pose.
#[divan::bench]
fn pose_four_bar(bencher: Bencher) {
    let linkage = four_bar();
    bencher.bench(|| black_box(&linkage).pose(black_box(40.0)));
}

fn dual(linkage: &Linkage<f64>) -> Linkage<DualSVec64<8>> {
    let mut place = 0;
    linkage.map(|value| {
        place += 1;
        let eps = SVector::from_fn(|row, _| f64::from(u8::from(row == place % 8)));
        DualSVec64::new(*value, Derivative::some(eps))
    })
}

/// One position with eight derivatives.
#[divan::bench]
fn pose_four_bar_with_eight_derivatives(bencher: Bencher) {
    let linkage = dual(&four_bar());
    bencher.bench(|| black_box(&linkage).pose(black_box(DualSVec64::from_re(40.0))));
}

/// The same from a position already solved.
#[divan::bench]
fn lift_four_bar_with_eight_derivatives(bencher: Bencher) {
    let plain = four_bar().pose(40.0).expect("within the stroke");
    let linkage = dual(&four_bar());
    bencher.bench(|| black_box(&linkage).lift(black_box(&plain), black_box(DualSVec64::from_re(40.0))));
}
