//! What holds of every spring.

use knockon_engine::bike::Bike;
use knockon_engine::suspension::spring::{Spring, fork, shock};
use num_dual::{Dual2_64, Dual64};
use proptest::prelude::*;

fn coil() -> impl Strategy<Value = Spring<f64>> {
    (20.0..150.0, 0.0..5.0).prop_map(|(rate, preload)| Spring::Coil { rate, preload })
}

/// From shock to fork, from a hand pump's start to its end, exponents around 1 included.
fn air() -> impl Strategy<Value = Spring<f64>> {
    let exponent = prop_oneof![Just(1.0), 1.0 - 1e-6..1.0 + 1e-6, 0.9..1.67];
    let negative = prop::option::of((0.1..0.95, 5.0..60.0));
    (300.0..1500.0, 60.0..250.0, 0.1..2.5, negative, exponent).prop_map(
        |(area, length, pressure, negative, exponent)| Spring::Air {
            area,
            length,
            pressure,
            negative: negative.map(|(share, its_length)| (share * area, its_length)),
            exponent,
        },
    )
}

fn any_spring() -> impl Strategy<Value = Spring<f64>> {
    prop_oneof![1 => coil(), 4 => air()]
}

/// Most compression that is tried: 90 % of an air chamber.
fn room(spring: &Spring<f64>) -> f64 {
    match spring {
        Spring::Coil { .. } => 75.0,
        Spring::Air { length, .. } => length * 0.9,
    }
}

/// ∫ over 0..`end` by Gauss–Legendre of five points on many pieces; nodes and weights from Abramowitz and Stegun, table 25.4.
fn integral(end: f64, of: impl Fn(f64) -> f64) -> f64 {
    const NODES: [(f64, f64); 5] = [
        (0.0, 0.568_888_888_888_889),
        (0.538_469_310_105_683, 0.478_628_670_499_366),
        (-0.538_469_310_105_683, 0.478_628_670_499_366),
        (0.906_179_845_938_664, 0.236_926_885_056_189),
        (-0.906_179_845_938_664, 0.236_926_885_056_189),
    ];
    const PIECES: usize = 200;
    let half = end / PIECES as f64 / 2.0;
    (0..PIECES)
        .flat_map(|piece| NODES.map(|(node, weight)| weight * of(half * (2.0 * piece as f64 + 1.0 + node))))
        .sum::<f64>()
        * half
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn energy_is_the_integral_of_force(spring in any_spring(), share in 0.0..1.0) {
        let end = share * room(&spring);
        let (energy, summed) = (spring.energy(end), integral(end, |s| spring.force(s)));
        prop_assert!((energy - summed).abs() <= 1e-9 * (1.0 + summed.abs()), "{energy} {summed}");
    }

    #[test]
    fn rate_is_the_slope_of_force(spring in any_spring(), share in 0.0..1.0) {
        let at = share * room(&spring);
        let step = 1e-4;
        let slope = (spring.force(at + step) - spring.force(at - step)) / (2.0 * step);
        let rate = spring.rate(at);
        prop_assert!((rate / slope - 1.0).abs() < 1e-5, "{rate} {slope}");
        prop_assert!(rate > 0.0);
    }

    #[test]
    fn compression_under_inverts_force(spring in any_spring(), share in 0.0..1.0) {
        let at = share * room(&spring);
        let back = spring.compression_under(spring.force(at));
        prop_assert!((back - at).abs() < 1e-8, "{at} {back}");
        let force = spring.force(at) * 0.7;
        prop_assert!((spring.force(spring.compression_under(force)) - force).abs() < 1e-6 * force.abs().max(1.0));
    }

    #[test]
    fn pressure_that_gives_a_force_gives_it(spring in air(), share in 0.0..1.0, factor in 0.5..2.0) {
        let at = share * room(&spring);
        let wanted = spring.force(at) * factor;
        let Spring::Air { area, length, negative, exponent, .. } = spring else { unreachable!() };
        let pressure = spring.pressure_for(wanted, at);
        let other = Spring::Air { area, length, pressure, negative, exponent };
        prop_assert!((other.force(at) - wanted).abs() < 1e-7 * wanted.abs().max(1.0));
    }

    /// One formula on both sides of n = 1: with energy read as the integral, a tiny change of n moves it by a tiny amount.
    #[test]
    fn energy_is_smooth_where_the_exponent_is_one(share in 0.01..1.0, off in -1e-3..1e-3_f64) {
        let with = |exponent: f64| Spring::Air { area: 490.0, length: 100.0, pressure: 1.0, negative: None, exponent };
        let end = share * 90.0;
        let (here, summed) = (with(1.0 + off).energy(end), integral(end, |s| with(1.0 + off).force(s)));
        prop_assert!((here / summed - 1.0).abs() < 1e-10, "{here} {summed}");
        // ∂E/∂n at n = 1 is A·p·L·t²/2 with t = ln L/(L − s): the second term of the exponential's series.
        let t = -(-end / 100.0).ln_1p();
        let exponent = Dual64::from(1.0).derivative();
        let one = Dual64::from;
        let dual = Spring::Air { area: one(490.0), length: one(100.0), pressure: one(1.0), negative: None, exponent };
        let by_hand = 490.0 * 1.101_325 * 100.0 * t * t / 2.0;
        prop_assert!((dual.energy(one(end)).eps / by_hand - 1.0).abs() < 1e-9);
    }

    /// First and second derivatives of the inverse, exactly: for F(s(F)) = F they are 1/F′ and −F″/F′³, F″ from differences.
    #[test]
    fn derivatives_of_the_inverse(spring in any_spring(), share in 0.05..0.95) {
        let at = share * room(&spring);
        let force = Dual2_64::from(spring.force(at)).derivative();
        let inverse = spring.map(|number| Dual2_64::from(*number)).compression_under(force);
        let slope = spring.rate(at);
        prop_assert!((inverse.v1 * slope - 1.0).abs() < 1e-7, "{} {slope}", inverse.v1);
        let step = 1e-3;
        let bend = (spring.rate(at + step) - spring.rate(at - step)) / (2.0 * step);
        let second = -bend / slope.powi(3);
        prop_assert!((inverse.v2 - second).abs() <= 1e-4 * second.abs() + 1e-10, "{} {second}", inverse.v2);
    }

    /// Whatever numbers a record has, no spring panics, and a spring that there is has a force at full extension.
    #[test]
    fn any_numbers(numbers in prop::collection::vec(prop_oneof![
        Just(f64::NAN), Just(0.0), Just(-1.0), -1e6..1e6, 0.1..300.0], 10), at in -50.0..300.0) {
        let mut bike = Bike::unknown();
        bike.coil_rate = numbers[0];
        bike.coil_preload = numbers[1];
        bike.shock_pressure = numbers[2];
        bike.shock_air_area = numbers[3];
        bike.shock_air_length = numbers[4];
        bike.shock_volume_spacer = numbers[5];
        bike.shock_negative_area = numbers[6];
        bike.shock_negative_length = numbers[7];
        bike.air_exponent = numbers[8];
        if let Some(spring) = shock(&bike) {
            prop_assert!(spring.force(0.0).is_finite());
            prop_assert_eq!(spring.energy(0.0), 0.0);
            let _ = (spring.rate(at), spring.energy(at), spring.compression_under(numbers[9]));
            let (force, start) = (spring.force(at), spring.force(0.0));
            let rises = if at < 0.0 { force <= start } else { force >= start };
            prop_assert!(force.is_nan() || rises, "{start} {force}");
        }
    }
}

/// The record's units and its order of preference.
#[test]
fn what_a_record_says() {
    let mut bike = Bike::unknown();
    (bike.shock_pressure, bike.shock_air_area, bike.shock_air_length) = (10.0, 490.0, 100.0);
    bike.air_exponent = 1.0;
    assert!(shock(&bike).is_none(), "nobody said how much the spacers take");
    bike.shock_volume_spacer = 4.9; // 4900 mm³ over 490 mm²: 10 mm
    let air = Spring::Air { area: 490.0, length: 90.0, pressure: 1.0, negative: None, exponent: 1.0 };
    assert_eq!(shock(&bike), Some(air));
    (bike.shock_negative_area, bike.shock_negative_length) = (0.0, 30.0);
    assert_eq!(shock(&bike), Some(air), "an area of 0 says that there is none");
    bike.shock_negative_area = 300.0;
    let Some(Spring::Air { negative, .. }) = shock(&bike) else { panic!("air") };
    assert_eq!(negative, Some((300.0, 30.0)));
    bike.coil_rate = 80.0;
    assert_eq!(shock(&bike), None, "a coil of unknown preload is no air spring");
    bike.coil_preload = 2.0;
    assert_eq!(shock(&bike), Some(Spring::Coil { rate: 80.0, preload: 2.0 }));
    assert_eq!(fork(&bike), None);
}

#[test]
fn no_room_left() {
    let air = Spring::Air { area: 490.0_f64, length: 100.0, pressure: 1.0, negative: None, exponent: 1.3 };
    for at in [100.0, 100.1, 500.0] {
        assert!(air.force(at).is_nan() && air.rate(at).is_nan() && air.energy(at).is_nan());
    }
    // A piston is pulled out of its cylinder by less than the atmosphere on it: 490 · 0.101325 = 49.6 N.
    assert!(air.compression_under(-50.0).is_nan());
    assert!(air.compression_under(-49.0) < 0.0);
    assert!(Spring::Coil { rate: 80.0_f64, preload: 0.0 }.pressure_for(100.0, 5.0).is_nan());
}
