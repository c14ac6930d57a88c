//! What gears, chain and a hot brake cost.
//!
//! `cargo bench -p knockon-engine --bench workings`. Peers run beside them in the same run: the brake's equation by a general solver
//! of differential equations from the registry, with the accuracy that the program's own steps have.

mod peers;

use std::hint::black_box;

use divan::Bencher;
use knockon_engine::brake::convection::Convection;
use knockon_engine::brake::descent::{Descent, Stretch};
use knockon_engine::brake::heat::{Rotor, Surroundings};
use knockon_engine::brake::warming::temperatures;
use knockon_engine::drivetrain::chain_length::{around, capacity, even, needed};
use knockon_engine::drivetrain::chainline::{self, Row};
use knockon_engine::drivetrain::gear::{development, gain_ratio, gears, overlapping, speed, step};
use knockon_engine::drivetrain::layout::{Joints, Layout, Wheel};
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::road::Resistance;

fn main() {
    divan::main();
}

const RINGS: [f64; 2] = [30.0, 46.0];
const COGS: [f64; 12] = [10.0, 11.0, 12.0, 13.0, 15.0, 17.0, 19.0, 21.0, 24.0, 28.0, 32.0, 36.0];

/// One gear as a table shows it.
struct Told {
    ratio: f64,
    development: f64,
    speed: f64,
    gain: f64,
    step: f64,
    askew: f64,
}

/// Every gear, sorted, with its step and the chain's angle; how many are double; pieces, capacity, the most askew.
fn gears_and_chain(wheel: f64, crank: f64, chainstay: f64) -> (Vec<Told>, usize, [f64; 4]) {
    let rings = Row { line: 46.0, spacing: 8.0, count: RINGS.len() as f64 };
    let cogs = Row { line: 45.0, spacing: 3.6, count: COGS.len() as f64 };
    let mut all: Vec<Told> = gears(&RINGS, &COGS, &[1.0])
        .map(|gear| {
            let ratio = gear.ratio();
            let way = development(ratio, wheel);
            let ring = RINGS.iter().position(|teeth| *teeth == gear.ring).unwrap_or(0);
            let cog = COGS.iter().position(|teeth| *teeth == gear.cog).unwrap_or(0);
            let (front, rear) = (rings.at(ring as f64), cogs.at((COGS.len() - 1 - cog) as f64));
            Told {
                ratio,
                development: way,
                speed: speed(way, 1.5),
                gain: gain_ratio(ratio, wheel, crank),
                step: 0.0,
                askew: chainline::angle(front, rear, chainstay),
            }
        })
        .collect();
    all.sort_by(|a, b| a.ratio.total_cmp(&b.ratio));
    for at in 1..all.len() {
        all[at].step = step(all[at - 1].ratio, all[at].ratio);
    }
    let ratios: Vec<f64> = all.iter().map(|told| told.ratio).collect();
    let pieces = needed(around(RINGS[1], COGS[11], chainstay));
    let chain = [
        pieces,
        even(pieces),
        capacity(RINGS, [COGS[0], COGS[11]]),
        chainline::worst(&rings, &cogs, chainstay),
    ];
    let double = overlapping(&ratios, 0.03);
    black_box(all.iter().map(|told| told.development + told.speed + told.gain + told.askew).sum::<f64>());
    (all, double, chain)
}

/// All 24 gears of a bike and its chain. Aim: at most 20 µs.
#[divan::bench]
fn all_gears_and_the_chain(bencher: Bencher) {
    bencher.bench(|| gears_and_chain(black_box(356.0), black_box(172.5), black_box(430.0)));
}

/// One way to lay the chain: tensions, wraps, losses.
#[divan::bench]
fn one_layout(bencher: Bencher) {
    let wheel = |x, y, teeth, with_ring| Wheel { centre: FramePoint { x, y }, teeth, with_ring };
    let layout = Layout {
        ring: wheel(0.0, 0.0, 32.0, true),
        tight: vec![wheel(-35.0, 165.0, 16.0, true)],
        cog: wheel(-438.0, 30.0, 51.0, true),
        slack: vec![wheel(-432.0, -105.0, 12.0, false), wheel(-404.0, -185.0, 12.0, true)],
        cranks_per_ring: 1.0,
        inner_efficiency: 1.0,
    };
    bencher
        .bench(|| black_box(&layout).laid(black_box(130.0), 20.0, &Joints { friction: 0.09, radius: 1.8 }));
}

/// An hour down a pass: 60 stretches of a minute, gradients and speeds that change.
pub(crate) fn pass() -> Descent<f64> {
    let stretches = (0..60)
        .map(|at| {
            let speed = 5.0 + f64::from(at % 7);
            Stretch { length: speed * 60.0, gradient: 0.04 + 0.01 * f64::from(at % 9), speed }
        })
        .collect();
    let resistance = Resistance { rolling: 0.006, drag_area: 0.45, air_density: 1.2 };
    Descent { mass: 95.0, resistance, stretches }
}

pub(crate) fn rotor() -> Rotor<f64> {
    Rotor {
        mass: 0.105,
        specific_heat: 460.0,
        area: 0.0132,
        emissivity: 0.4,
        convection: Convection::of_solid_rotor(180.0),
    }
}

/// An hour's descent at steps of 1 s, radiation and all. Aim: at most 1 ms.
#[divan::bench]
fn an_hours_descent(bencher: Bencher) {
    let (rotor, pass) = (rotor(), pass());
    bencher
        .bench(|| temperatures(black_box(&rotor), 0.6, black_box(&pass), &Surroundings { air: 293.15 }, 1.0));
}

/// Peer: the same hour by a general solver (Dormand and Prince, adaptive, to a relative 1e-6), stretch by stretch, told every second.
#[divan::bench]
fn peer_general_solver(bencher: Bencher) {
    let (rotor, pass) = (rotor(), pass());
    bencher.bench(|| peers::dormand_prince(black_box(&rotor), 0.6, black_box(&pass), 293.15));
}

/// Peer: the same hour by the classical Runge–Kutta method at steps of 1 s.
#[divan::bench]
fn peer_runge_kutta(bencher: Bencher) {
    let (rotor, pass) = (rotor(), pass());
    bencher.bench(|| peers::runge_kutta(black_box(&rotor), 0.6, black_box(&pass), 293.15));
}
