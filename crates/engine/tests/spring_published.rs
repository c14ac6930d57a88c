//! Springs against published problems and against numbers that were computed apart from this program.

use knockon_engine::suspension::spring::{
    ATMOSPHERE, POUND_PER_INCH, RATE_STEP, Spring, coil_rate_of_wire, coil_rate_under, rates_sold,
};

/// Shigley's Mechanical Engineering Design, 10th edition, problem 10-3 (seen as solution text): music wire of 2.5 mm, 31 mm
/// outside, so 28.5 mm mean, 81.0 GPa, 13 active coils; k = 1.314 N/mm, four digits. Solid at F_s = 167.9 N with free
/// and solid length 162.8 and 35 mm: the same rate within 0.1 %, which is what the rounded intermediates leave.
#[test]
fn music_wire() {
    let rate: f64 = coil_rate_of_wire(2.5, 28.5, 13.0, 81_000.0);
    assert!((rate - 1.314).abs() < 0.0005, "{rate}");
    let coil = Spring::Coil { rate, preload: 0.0_f64 };
    assert!((coil.force(162.8 - 35.0) / 167.9 - 1.0).abs() < 1e-3);
    assert!((coil_rate_under(167.9, 162.8 - 35.0, 0.0) / rate - 1.0).abs() < 1e-3);
}

/// Shigley, 7th edition, problem 10-3 (seen as solution text): 0.105 in wire, 1.120 in mean, 11.75 Mpsi, 11 active coils; 11.55
/// lbf/in. Inches and pounds-force per square inch go in unconverted and give lbf/in.
#[test]
fn inch_wire() {
    let rate: f64 = coil_rate_of_wire(0.105, 1.120, 11.0, 11.75e6);
    assert!((rate - 11.55).abs() < 0.005, "{rate}");
    // 11.552030 · 4.4482216152605 / 25.4, by hand.
    assert!((rate * POUND_PER_INCH - 2.023_071).abs() < 1e-6);
}

/// NIST SP 811, appendix B: 1 lbf/in = 1.751 268 E+02 N/m.
#[test]
fn pound_per_inch() {
    assert!((POUND_PER_INCH * 1000.0 - 175.126_8).abs() < 5e-5);
}

fn air(exponent: f64) -> Spring<f64> {
    Spring::Air { area: 490.0, length: 100.0, pressure: 1.0, negative: None, exponent }
}

/// Cross-check, not published: 490 mm², 100 mm, 10 bar above 101 325 Pa, computed with forty digits elsewhere.
#[test]
fn air_force() {
    let places = [0.0, 10.0, 25.0, 50.0, 75.0, 80.0];
    let rows = [
        (1.0, [490.0, 549.961_028, 669.883_083, 1_029.649_250, 2_108.947_750, 2_648.597_000]),
        (1.3, [490.0, 569.216_311, 734.740_546, 1_279.123_069, 3_222.171_983, 4_323.281_335]),
        (1.4, [490.0, 575.771_181, 757.633_754, 1_374.493_659, 3_708.686_419, 5_086.877_851]),
    ];
    for (exponent, forces) in rows {
        for (place, force) in places.into_iter().zip(forces) {
            let computed = air(exponent).force(place);
            assert!((computed - force).abs() < 1e-6, "{exponent} {place}: {computed} {force}");
        }
    }
}

/// Cross-check, not published: rate n·A·p/L at the start, energy over half the chamber, compression under 800 N.
#[test]
fn air_rate_energy_and_compression() {
    for (exponent, rate) in [(1.0, 5.396_492_5), (1.3, 7.015_440_25), (1.4, 7.555_089_5)] {
        assert!((air(exponent).rate(0.0) - rate).abs() < 1e-9);
    }
    assert!((air(1.3).energy(50.0) - 39_096.507_267_8).abs() < 1e-6);
    assert!((air(1.0).compression_under(800.0) - 36.485_643_9).abs() < 1e-7);
    assert!((air(1.3).compression_under(800.0) - 29.471_767_6).abs() < 1e-7);
}

/// The work that a gas takes up at constant temperature is p·V·ln(V₁/V₂), in any text on thermodynamics; the atmosphere behind the
/// piston gives p_atm·A·s of it.
#[test]
fn isothermal_work() {
    let work = 1.101_325 * 490.0 * 100.0 * 4.0_f64.ln() - ATMOSPHERE * 490.0 * 75.0;
    assert!((air(1.0).energy(75.0) - work).abs() < 1e-8);
}

/// By hand: both chambers at 10 bar; 600 mm² against 200 mm² leave 400 N. After 20 mm the main chamber of 100 mm has 80 mm left and the
/// negative one of 20 mm has 40 mm, with n = 1: 600·(1.101325/0.8 − 0.101325) − 200·(1.101325/2 − 0.101325).
#[test]
fn negative_chamber() {
    let spring = Spring::Air {
        area: 600.0_f64,
        length: 100.0,
        pressure: 1.0,
        negative: Some((200.0, 20.0)),
        exponent: 1.0,
    };
    assert!((spring.force(0.0) - 400.0).abs() < 1e-9);
    let force = 825.993_75 - 60.795 - (110.132_5 - 20.265);
    assert!((spring.force(20.0) - force).abs() < 1e-9);
    assert!((spring.compression_under(force) - 20.0).abs() < 1e-9);
    assert!((spring.pressure_for(force, 20.0) - 1.0).abs() < 1e-12);
}

#[test]
fn coils_in_steps_of_twenty_five_pounds_per_inch() {
    let in_pounds = |rate: f64| {
        let (below, above) = rates_sold(rate * POUND_PER_INCH);
        ((below / POUND_PER_INCH * 1e6).round() / 1e6, (above / POUND_PER_INCH * 1e6).round() / 1e6)
    };
    assert_eq!(in_pounds(460.0), (450.0, 475.0));
    assert_eq!(in_pounds(475.0), (475.0, 475.0));
    assert_eq!(in_pounds(450.0 + 1e-9), (450.0, 450.0));
    assert_eq!(in_pounds(10.0), (0.0, 25.0));
    assert!(rates_sold(f64::NAN).0.is_nan());
    assert!((RATE_STEP - 4.378_170_9).abs() < 1e-7); // 25 · 0.175126835
}
