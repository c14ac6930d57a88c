//! Sag against a closed form, against the minimum of the potential energy, and in the corners: rigid ends, stops, missing
//! numbers.

mod bikes;
mod linkages;

use knockon_engine::bike::Bike;
use knockon_engine::geometry::Stance;
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::suspension::curve::{Curve, position};
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::suspension::rear::{RearAxle, stroke};
use knockon_engine::suspension::sag::{
    BottomOut, Frequencies, GRAVITY, Sag, coil_rate_for, fork_coil_rate_for, fork_pressure_for, pressure_for,
    sag,
};
use knockon_engine::suspension::spring;
use linkages::{examples, reference_a};
use proptest::prelude::*;

const UNKNOWN: f64 = f64::NAN;

/// Reference linkage A: arm 430 mm about the bottom bracket at 184°, shock eye on it at 180 mm and −35°, frame eye (60, 190).
/// With 80 N/mm, no preload and 750 N at the axle it comes to rest at 174.437291° (computed elsewhere with forty digits, and from
/// velocities; not published). The front is rigid and as high as lets the frame stand level just there.
fn reference() -> (Bike<f64>, Linkage<f64>) {
    let (sin, cos) = 174.437_291_f64.to_radians().sin_cos();
    let (rear_x, rear_y) = (430.0 * cos, 430.0 * sin);
    let mut bike = Bike::unknown();
    (bike.head_angle, bike.reach, bike.fork_offset) = (90_f64.to_radians(), 700.0, 100.0);
    (bike.head_tube, bike.lower_stack, bike.axle_to_crown) = (100.0, 10.0, 490.0);
    bike.stack = 600.0 + rear_y;
    (bike.front_radius, bike.rear_radius, bike.fork_travel) = (360.0, 360.0, 0.0);
    (bike.chainstay, bike.bottom_bracket_drop) = (430.0, 430.0 * 184_f64.to_radians().sin());
    (bike.shock_stroke, bike.shock_spacer) = (50.0, 0.0);
    (bike.coil_rate, bike.coil_preload) = (80.0, 0.0);
    (bike.rider_mass, bike.kit_mass, bike.bike_mass) = (82.0, 2.0, 16.0);
    (bike.front_unsprung, bike.rear_unsprung) = (3.0, 5.0);
    // Moments about the rear contact: front load · wheelbase = weight · distance. 750 N on the spring, 5 kg beside it.
    let front = 100.0 * GRAVITY - 750.0 - 5.0 * GRAVITY;
    (bike.mass_ahead, bike.mass_above) = (rear_x + front / (100.0 * GRAVITY) * (800.0 - rear_x), 600.0);
    (bike, reference_a(184.0))
}

#[test]
fn reference_linkage_under_a_coil() {
    let (bike, linkage) = reference();
    let result = sag(&bike, Some(&linkage)).unwrap();
    assert!(result.rear_by_spring && !result.fork_by_spring);
    assert!((result.shock - 25.508_861_1).abs() < 1e-6, "{}", result.shock);
    assert_eq!(result.fork, 0.0);
    assert!((result.rear_load - 750.0 - 5.0 * GRAVITY).abs() < 1e-5);
    assert!((result.rear_load + result.front_load - 100.0 * GRAVITY).abs() < 1e-9);
    let curves = position(&bike, Some(&linkage), result.shock, result.fork).unwrap();
    assert!((curves[Curve::Travel as usize] - 71.677_388_8).abs() < 1e-5);
    assert!((curves[Curve::Leverage as usize] - 2.720_945_19).abs() < 1e-7);
    let wanted = coil_rate_for(&bike, Some(&linkage), 25.508_861_1 / 50.0).unwrap();
    assert!((wanted - 80.0).abs() < 1e-5, "{wanted}");
}

/// The wheel rate there from the arm's own trigonometry: spring force over leverage against height, between two near angles.
#[test]
fn frequency_of_the_reference_linkage() {
    let (bike, linkage) = reference();
    let at = |degrees: f64| {
        let theta = degrees.to_radians();
        let eye = theta - 35_f64.to_radians();
        let shock = (180.0 * eye.cos() - 60.0).hypot(180.0 * eye.sin() - 190.0);
        // −430 cos θ·s/(|F|·180·sin(θ − 35° − arg F))
        let (far, toward) = (60_f64.hypot(190.0), 190_f64.atan2(60.0));
        let leverage = -430.0 * theta.cos() * shock / (far * 180.0 * (eye - toward).sin());
        (430.0 * theta.sin(), shock, leverage)
    };
    let full = at(184.0).1;
    let ends = [at(174.437_291 + 1e-4), at(174.437_291 - 1e-4)];
    let [low, high] = ends.map(|(height, shock, leverage)| (height, 80.0 * (full - shock) / leverage));
    let rate = (high.1 - low.1) / (high.0 - low.0);
    let by_hand = (rate * 1000.0 / (750.0 / GRAVITY)).sqrt() / std::f64::consts::TAU;
    let result = sag(&bike, Some(&linkage)).unwrap();
    let computed = Frequencies::at(&bike, Some(&linkage), &result).unwrap();
    assert!((computed.rear / by_hand - 1.0).abs() < 1e-6, "{} {by_hand}", computed.rear);
    assert!(computed.front.is_nan(), "rigid in front");
}

/// A bike whose numbers are all known, with a coil behind and air in front.
fn sprung() -> Bike<f64> {
    let mut bike = bikes::bikes()[0].1;
    (bike.kit_mass, bike.shock_spacer) = (2.0, 0.0);
    (bike.coil_rate, bike.coil_preload) = (85.0, 1.0);
    (bike.fork_pressure, bike.fork_air_area, bike.fork_air_length) = (5.5, 700.0, 210.0);
    (bike.fork_volume_spacer, bike.fork_negative_area, bike.fork_negative_length) = (10.0, 640.0, 30.0);
    bike
}

fn with_air(mut bike: Bike<f64>, pressure: f64) -> Bike<f64> {
    bike.coil_rate = UNKNOWN;
    (bike.shock_pressure, bike.shock_air_area, bike.shock_air_length) = (pressure, 1400.0, 85.0);
    (bike.shock_volume_spacer, bike.shock_negative_area, bike.shock_negative_length) = (8.0, 1100.0, 14.0);
    bike
}

/// Energy of springs and height at two compressions, N·mm.
fn potential(bike: &Bike<f64>, linkage: Option<&Linkage<f64>>, shock: f64, fork: f64) -> f64 {
    let axle = RearAxle::at(bike, linkage, shock).unwrap();
    let stance = Stance::compressed(bike, fork, axle.place);
    let height = stance.on_ground(FramePoint { x: bike.mass_ahead, y: bike.mass_above }).y;
    let weight = (bike.rider_mass + bike.kit_mass + bike.bike_mass) * GRAVITY;
    let [rear, front] = [spring::shock(bike).unwrap(), spring::fork(bike).unwrap()];
    rear.energy(shock) + front.energy(fork) + weight * height
}

/// At rest the potential energy of masses and springs has its minimum, whatever forces and levers say; the unsprung masses,
/// which do not sink, left out. Slopes by central differences: they vanish within 10⁻³ of the forces.
fn is_at_the_minimum(bike: &Bike<f64>, linkage: Option<&Linkage<f64>>, result: &Sag<f64>) {
    let at = |shock: f64, fork: f64| potential(bike, linkage, result.shock + shock, result.fork + fork);
    let slopes = [at(1e-3, 0.0) - at(-1e-3, 0.0), at(0.0, 1e-3) - at(0.0, -1e-3)].map(|rise| rise / 2e-3);
    assert!(slopes[0].abs() < 1e-2 && slopes[1].abs() < 1e-2, "{slopes:?} {result:?}");
    for (shock, fork) in [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.1), (0.0, -0.1), (0.1, -0.1), (0.1, 0.1)] {
        assert!(at(shock, fork) > at(0.0, 0.0), "{shock} {fork}");
    }
}

#[test]
fn rest_is_the_minimum_of_energy_on_every_linkage() {
    for example in examples() {
        let mut bike = Bike { front_unsprung: 0.0, rear_unsprung: 0.0, ..sprung() };
        bike.shock_stroke = example.stroke;
        // The spring that its leverage asks for; the told sag is the wanted one.
        bike.coil_rate = coil_rate_for(&bike, Some(&example.linkage), 0.3).unwrap();
        let result = sag(&bike, Some(&example.linkage)).unwrap();
        assert!(result.rear_by_spring && result.fork_by_spring, "{}", example.name);
        assert!((5.0..80.0).contains(&result.fork), "{}: {result:?}", example.name);
        is_at_the_minimum(&bike, Some(&example.linkage), &result);
    }
}

/// What the wanted spring was computed for is what it gives, both ends, coil and air; the other end by told sag and by spring.
#[test]
fn the_wanted_spring_gives_the_wanted_sag() {
    let all = examples();
    let linkage = Some(&all[1].linkage);
    for share in [0.15, 0.3, 0.4] {
        let mut bike = Bike { shock_stroke: 55.0, ..sprung() };
        bike.coil_rate = coil_rate_for(&bike, linkage, share).unwrap();
        assert!((sag(&bike, linkage).unwrap().shock / 55.0 - share).abs() < 1e-9);

        let mut bike = with_air(bike, UNKNOWN);
        bike.shock_pressure = pressure_for(&bike, linkage, share).unwrap();
        assert!((2.0..30.0).contains(&bike.shock_pressure), "{}", bike.shock_pressure);
        assert!((sag(&bike, linkage).unwrap().shock / 55.0 - share).abs() < 1e-9);

        bike.fork_pressure = fork_pressure_for(&bike, linkage, share).unwrap();
        assert!((sag(&bike, linkage).unwrap().fork / bike.fork_travel - share).abs() < 1e-9);

        (bike.fork_pressure, bike.fork_coil_preload) = (UNKNOWN, 3.0);
        bike.fork_coil_rate = fork_coil_rate_for(&bike, linkage, share).unwrap();
        assert!((sag(&bike, linkage).unwrap().fork / bike.fork_travel - share).abs() < 1e-9);
    }
    for share in [0.0, -0.1, UNKNOWN] {
        assert!(coil_rate_for(&sprung(), linkage, share).unwrap().is_nan());
    }
    let massless = Bike { rider_mass: UNKNOWN, ..sprung() };
    assert!(coil_rate_for(&massless, linkage, 0.3).unwrap().is_nan());
    assert!(pressure_for(&massless, linkage, 0.3).unwrap().is_nan());
}

/// Told sags: shares of stroke and travel, each by itself.
#[test]
fn told_sags_do_not_depend_on_each_other() {
    let told = Bike { coil_rate: UNKNOWN, fork_pressure: UNKNOWN, ..sprung() };
    let result = sag(&told, None).unwrap();
    assert!((result.shock - 0.29 * 55.0).abs() < 1e-12 && (result.fork - 0.2 * 160.0).abs() < 1e-12);
    assert!(!result.rear_by_spring && !result.fork_by_spring && result.rear_load.is_finite());

    let rear = sag(&Bike { fork_sag: UNKNOWN, ..told }, None).unwrap();
    assert!((rear.shock - 0.29 * 55.0).abs() < 1e-12 && rear.fork.is_nan() && rear.rear_load.is_nan());
    let all = examples();
    let front = sag(&Bike { shock_sag: UNKNOWN, ..told }, Some(&all[0].linkage)).unwrap();
    assert!((front.fork - 32.0).abs() < 1e-12 && front.shock.is_nan() && front.front_load.is_nan());
}

/// A spring whose load is not known balances nothing: the told sag stands, and says that it is told.
#[test]
fn springs_without_loads() {
    for bike in [
        Bike { rider_mass: UNKNOWN, ..sprung() },
        Bike { mass_ahead: UNKNOWN, ..sprung() },
        Bike { front_radius: UNKNOWN, ..sprung() },
    ] {
        let result = sag(&bike, None).unwrap();
        assert!(!result.rear_by_spring && !result.fork_by_spring);
        assert!((result.shock - 0.29 * 55.0).abs() < 1e-12 && (result.fork - 32.0).abs() < 1e-12);
    }
    let half = sag(&Bike { rear_unsprung: UNKNOWN, ..sprung() }, None).unwrap();
    assert!(!half.rear_by_spring && half.fork_by_spring && half.rear_load.is_finite());
    // The fork's balance asks where the rear axle is.
    let lost = sag(&Bike { coil_rate: UNKNOWN, shock_sag: UNKNOWN, ..sprung() }, None).unwrap();
    assert!(lost.shock.is_nan() && !lost.fork_by_spring && (lost.fork - 32.0).abs() < 1e-12);
    assert!(sag(&Bike::unknown(), None).unwrap().shock.is_nan());
}

/// A hardtail has no shock: its rear axle stays where the frame has it, and its fork still finds its balance.
#[test]
fn rigid_ends() {
    let mut bike = bikes::bikes()[2].1;
    (bike.shock_stroke, bike.rear_travel, bike.shock_sag, bike.kit_mass) = (UNKNOWN, UNKNOWN, 0.0, 0.0);
    (bike.fork_coil_rate, bike.fork_coil_preload) = (8.0, 5.0);
    let result = sag(&bike, None).unwrap();
    assert_eq!(result.shock, 0.0);
    assert!(result.fork_by_spring && result.fork > 5.0 && result.fork < 60.0, "{result:?}");
    // Along the legs: (front load − unsprung)·sin(head angle), both in this pose.
    let stance = Stance::new(&bike, result.fork);
    let head_angle = bike.head_angle - stance.turn;
    let asked = (result.front_load - bike.front_unsprung * GRAVITY) * head_angle.sin();
    assert!((8.0 * (result.fork + 5.0) - asked).abs() < 1e-8);
    let rigid = sag(&Bike { fork_travel: 0.0, fork_sag: UNKNOWN, ..bike }, None).unwrap();
    assert_eq!((rigid.shock, rigid.fork), (0.0, 0.0));
    assert!(rigid.front_load.is_finite());
    assert!(Frequencies::at(&bike, None, &result).unwrap().rear.is_nan());
}

/// Constant leverage 4 and an upright fork keep the arithmetic visible: k = 80/16 and k_f = 9 N/mm.
#[test]
fn frequencies_by_hand() {
    let mut bike = sprung();
    (bike.rear_travel, bike.shock_stroke) = (160.0, 40.0);
    (bike.leverage_at_start, bike.leverage_at_end) = (1.0, 1.0);
    (bike.coil_rate, bike.fork_coil_rate, bike.fork_coil_preload) = (80.0, 9.0, 0.0);
    let result = Sag {
        shock: 10.0,
        fork: 0.0,
        rear_load: 60.0 * GRAVITY,
        front_load: 40.0 * GRAVITY,
        rear_by_spring: true,
        fork_by_spring: true,
    };
    let at = Frequencies::at(&bike, None, &result).unwrap();
    let tau = std::f64::consts::TAU;
    assert!((at.rear - (5000.0_f64 / (60.0 - 4.5)).sqrt() / tau).abs() < 1e-9);
    let axle = RearAxle::at(&bike, None, 10.0).unwrap();
    let sine = (bike.head_angle - Stance::compressed(&bike, 0.0, axle.place).turn).sin();
    assert!((at.front - (9000.0 / sine.powi(2) / (40.0 - 3.5)).sqrt() / tau).abs() < 1e-9);
}

#[test]
fn stops() {
    // 5000 mm of preload hold any rider up; 1 N/mm holds nobody.
    let stiff = sag(&Bike { coil_preload: 5000.0, ..sprung() }, None).unwrap();
    assert!(stiff.rear_by_spring && stiff.shock == 0.0 && stiff.fork > 0.0);
    let soft = sag(&Bike { coil_rate: 1.0, ..sprung() }, None).unwrap();
    assert!(soft.rear_by_spring && soft.shock == stroke(&sprung()) && soft.fork > 0.0);
    let flat = sag(&Bike { fork_pressure: 0.0, ..sprung() }, None).unwrap();
    assert!(flat.fork_by_spring && flat.fork > 100.0);
}

#[test]
fn bottom_out() {
    // 85·(55² /2 + 55·1) N·mm and 85·56 N, by hand.
    let shock = BottomOut::shock(&sprung());
    assert!((shock.energy - 133.2375).abs() < 1e-9 && (shock.force - 4760.0).abs() < 1e-9);
    assert!(BottomOut::fork(&sprung()).energy > 50.0);
    assert!(BottomOut::fork(&Bike::unknown()).force.is_nan());
}

/// A coil on a linkage whose leverage doubles, loaded to just where resting turns into sinking through (the first case is one that
/// the random riders below once found): at rest or on the stop, and on the stop only once too heavy.
#[test]
fn a_balance_about_to_vanish() {
    let all = examples();
    let linkage = Some(&all[4].linkage);
    let mut deepest = 0.0;
    for tenth in -50..200 {
        let bike = Bike {
            rider_mass: 103.259_082_841_619_72 + 0.1 * f64::from(tenth),
            mass_ahead: -34.965_886_296_853_98,
            fork_pressure: 11.426_804_956_388_333,
            coil_rate: 94.583_278_576_031_87,
            coil_preload: 8.263_250_992_214_768,
            front_unsprung: 0.0,
            rear_unsprung: 0.0,
            shock_stroke: all[4].stroke,
            ..sprung()
        };
        let result = sag(&bike, linkage).unwrap();
        assert!(result.shock >= deepest, "{tenth}: {result:?}");
        deepest = result.shock;
        if result.shock < all[4].stroke {
            let slope = |by: f64| potential(&bike, linkage, result.shock + by, result.fork);
            assert!((slope(1e-3) - slope(-1e-3)).abs() < 2e-5, "{tenth}: {result:?}");
        }
    }
    assert_eq!(deepest, all[4].stroke);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_rider_comes_to_rest(
        rider in 30.0..130.0, rate in 20.0..200.0, preload in 0.0..10.0, pressure in 1.0..25.0, fork in 0.5..12.0,
        (ahead, coil, example) in (-100.0..250.0, any::<bool>(), 0..10_usize),
    ) {
        let mut bike = Bike { rider_mass: rider, fork_pressure: fork, mass_ahead: ahead, ..sprung() };
        (bike.front_unsprung, bike.rear_unsprung) = (0.0, 0.0);
        let bike = if coil {
            Bike { coil_rate: rate, coil_preload: preload, ..bike }
        } else {
            with_air(bike, pressure)
        };
        let all = examples();
        let example = all.get(example);
        let linkage = example.map(|it| &it.linkage);
        let bike = Bike { shock_stroke: example.map_or(55.0, |it| it.stroke), ..bike };
        let result = sag(&bike, linkage).unwrap();
        prop_assert!(result.rear_by_spring && result.fork_by_spring);
        prop_assert!((0.0..=bike.shock_stroke).contains(&result.shock), "{result:?}");
        prop_assert!((0.0..=bike.fork_travel).contains(&result.fork), "{result:?}");
        if result.shock > 0.2 && result.shock < bike.shock_stroke - 0.2
            && result.fork > 0.2 && result.fork < bike.fork_travel - 0.2 {
            is_at_the_minimum(&bike, linkage, &result);
        }
    }
}
