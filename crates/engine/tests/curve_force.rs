//! Forces, travel and rates along the stroke, against integrals and differences.

mod chains;

use chains::{bike, close, examples, on_air};
use knockon_engine::bike::Bike;
use knockon_engine::suspension::curve::{Curve, Position, position, trace};
use knockon_engine::suspension::linkage::Linkage;

fn of(row: &Position<f64>, curve: Curve) -> f64 {
    row[curve as usize]
}

/// Composite Simpson over equally spaced rows, an even number of steps.
fn simpson(rows: &[Position<f64>], value: impl Fn(&Position<f64>) -> f64) -> f64 {
    let step = of(&rows[1], Curve::Compression) - of(&rows[0], Curve::Compression);
    let inner: f64 = rows[1..rows.len() - 1]
        .iter()
        .enumerate()
        .map(|(place, row)| value(row) * if place % 2 == 0 { 4.0 } else { 2.0 })
        .sum();
    (value(&rows[0]) + inner + value(&rows[rows.len() - 1])) * step / 3.0
}

type Named = (&'static str, Bike<f64>, Option<Linkage<f64>>);

/// With and without a linkage, coil and air.
fn every_bike() -> Vec<Named> {
    let mut every = vec![("travel and stroke", bike(), None), ("travel and stroke, air", on_air(), None)];
    for (name, linkage) in examples() {
        every.push((name, bike(), Some(linkage.clone())));
        every.push((name, on_air(), Some(linkage)));
    }
    every
}

#[test]
fn leverage_adds_up_to_travel_and_speed_to_path() {
    for (name, bike, linkage) in every_bike() {
        let rows = trace(&bike, linkage.as_ref(), 401).unwrap();
        let last = rows.last().unwrap();
        close(simpson(&rows, |row| of(row, Curve::Leverage)), of(last, Curve::Travel), 1e-6, name);
        // The path as short chords: each falls short by (turn of the direction)²/24 of its length, far less than 1 µm here.
        let chords: f64 = rows
            .windows(2)
            .map(|pair| {
                let ahead = of(&pair[1], Curve::AxleForward) - of(&pair[0], Curve::AxleForward);
                ahead.hypot(of(&pair[1], Curve::Travel) - of(&pair[0], Curve::Travel))
            })
            .sum();
        close(of(last, Curve::PathTravel), chords, 1e-3, name);
        assert!(of(last, Curve::PathTravel) > of(last, Curve::Travel), "{name}");
    }
}

/// What goes into the spring at the shock comes in at the wheel. Here the wheel's part is summed over travel with the
/// wheel rate as the force's derivative (corrected trapezoid), so that travel, wheel force and wheel rate must all be right.
#[test]
fn work_at_the_wheel_is_work_at_the_shock() {
    for (name, bike, linkage) in every_bike() {
        let rows = trace(&bike, linkage.as_ref(), 401).unwrap();
        let shock = simpson(&rows, |row| of(row, Curve::ShockForce));
        let wheel: f64 = rows
            .windows(2)
            .map(|pair| {
                let [a, b] = [&pair[0], &pair[1]];
                let step = of(b, Curve::Travel) - of(a, Curve::Travel);
                let mean = f64::midpoint(of(a, Curve::WheelForce), of(b, Curve::WheelForce));
                step * mean + step * step * (of(a, Curve::WheelRate) - of(b, Curve::WheelRate)) / 12.0
            })
            .sum();
        assert!(shock > 10_000.0, "{name}: {shock}");
        close(wheel / shock, 1.0, 1e-6, name);
    }
}

/// The coil's energy in closed form: 85 N/mm over 2 to 52 mm, ½·85·(52² − 2²) = 114 750 N·mm.
#[test]
fn the_spring_takes_up_its_own_energy() {
    let linkage = examples().swap_remove(1).1;
    let rows = trace(&bike(), Some(&linkage), 101).unwrap();
    close(simpson(&rows, |row| of(row, Curve::ShockForce)), 114_750.0, 1e-6, "energy");
}

/// Six-point central differences of the wheel force over travel along a straight line in the compression: both are
/// functions of the compression, so that dF/dy is the quotient of their differences; error with the sixth power of 0.05 mm.
#[test]
fn wheel_rate_is_the_slope_of_wheel_force_over_travel() {
    for (name, bike, linkage) in every_bike() {
        for compression in [1.0, 12.0, 31.0, 49.0] {
            let at = |by: f64| position(&bike, linkage.as_ref(), compression + by, 0.0).unwrap();
            let slope = |curve: Curve| {
                let pair = |by: f64| of(&at(by), curve) - of(&at(-by), curve);
                let by = 0.05;
                (45.0 * pair(by) - 9.0 * pair(2.0 * by) + pair(3.0 * by)) / (60.0 * by)
            };
            let found = of(&at(0.0), Curve::WheelRate);
            close(found, slope(Curve::WheelForce) / slope(Curve::Travel), 1e-6 * found.abs().max(1.0), name);
            close(of(&at(0.0), Curve::Leverage), slope(Curve::Travel), 1e-8, name);
        }
    }
}

/// A constant leverage ratio: the wheel rate is the coil's over the ratio's square, and the wheel force the shock's over
/// the ratio.
#[test]
fn a_straight_leverage_curve_is_the_textbooks_formula() {
    let mut bike = bike();
    (bike.leverage_at_start, bike.leverage_at_end) = (1.0, 1.0);
    for row in trace(&bike, None, 11).unwrap() {
        let ratio = 140.0 / 50.0;
        close(of(&row, Curve::Leverage), ratio, 1e-12, "ratio");
        close(of(&row, Curve::WheelRate), 85.0 / ratio / ratio, 1e-9, "rate");
        close(
            of(&row, Curve::WheelForce),
            85.0 * (of(&row, Curve::Compression) + 2.0) / ratio,
            1e-9,
            "force",
        );
    }
}

#[test]
fn one_position_is_the_traces() {
    for (name, bike, linkage) in every_bike() {
        let rows = trace(&bike, linkage.as_ref(), 101).unwrap();
        for row in rows.iter().step_by(20) {
            let alone = position(&bike, linkage.as_ref(), of(row, Curve::Compression), 0.0).unwrap();
            for (curve, (value, expected)) in Curve::ALL.iter().zip(alone.iter().zip(row)) {
                // Two quadratures of the same path.
                let within = if *curve == Curve::PathTravel { 0.01 } else { 1e-8 * expected.abs().max(1.0) };
                let both = value.is_nan() && expected.is_nan();
                assert!(
                    both || (value - expected).abs() <= within,
                    "{name}: {}: {value} {expected}",
                    curve.id()
                );
            }
        }
    }
}

/// The error goes with the step's fourth power: half the step, a sixteenth of the error, more or less.
#[test]
fn the_path_converges_with_the_fourth_power() {
    let linkage = examples().swap_remove(1).1;
    let path =
        |count: usize| of(trace(&bike(), Some(&linkage), count).unwrap().last().unwrap(), Curve::PathTravel);
    let exact = path(2001);
    let (coarse, fine) = ((path(11) - exact).abs(), (path(21) - exact).abs());
    assert!(coarse < 1e-3, "{coarse}");
    assert!(coarse / fine > 10.0, "{coarse} {fine}");
}

/// A shock that is drawn longer than the one in the bike: the same curves, started later.
#[test]
fn another_shock_starts_the_same_curves_later() {
    let linkage = examples().swap_remove(1).1;
    let mut shorter = bike();
    (shorter.shock_start, shorter.shock_stroke, shorter.shock_spacer) = (10.0, 45.0, 5.0);
    let (all, rest) =
        (trace(&bike(), Some(&linkage), 51).unwrap(), trace(&shorter, Some(&linkage), 41).unwrap());
    for (whole, part) in all[10..].iter().zip(&rest) {
        for curve in
            [Curve::Leverage, Curve::AntiSquat, Curve::AntiRise, Curve::Trail, Curve::BottomBracketHeight]
        {
            close(of(part, curve), of(whole, curve), 1e-9, curve.id());
        }
        for curve in
            [Curve::Compression, Curve::Travel, Curve::PathTravel, Curve::TightRun, Curve::ChainGrowth]
        {
            close(of(part, curve), of(whole, curve) - of(&all[10], curve), 1e-6, curve.id());
        }
    }
}

/// What the ground asks for, by hand: the axles level at the drawn pose (wheels of one size, no turn), 28 mm of drop below
/// 372 mm wheels. Compressed by 140 mm at the back the frame leans back by atan(140/W).
#[test]
fn the_bike_leans_back_as_the_rear_goes_down() {
    let linkage = examples().swap_remove(0).1;
    let rows = trace(&bike(), Some(&linkage), 2).unwrap();
    close(of(&rows[0], Curve::BottomBracketHeight), 344.0, 1e-9, "bottom bracket");
    close(of(&rows[0], Curve::HeadAngle), 64.5_f64.to_radians(), 1e-12, "head angle");
    let run = of(&rows[0], Curve::Wheelbase) - of(&rows[1], Curve::AxleForward);
    let lean = (of(&rows[1], Curve::Travel) / run).atan();
    close(of(&rows[1], Curve::HeadAngle), 64.5_f64.to_radians() - lean, 1e-12, "head angle");
    close(of(&rows[1], Curve::Wheelbase), run.hypot(of(&rows[1], Curve::Travel)), 1e-9, "wheelbase");
    let steering = 372.0 * of(&rows[1], Curve::HeadAngle).cos() - 44.0;
    close(of(&rows[1], Curve::Trail), steering / of(&rows[1], Curve::HeadAngle).sin(), 1e-9, "trail");
    // A fork pressed together as well brings it forward again.
    let dived = position(&bike(), Some(&linkage), 50.0, 80.0).unwrap();
    assert!(of(&dived, Curve::HeadAngle) > of(&rows[1], Curve::HeadAngle));
    close(of(&dived, Curve::Travel), of(&rows[1], Curve::Travel), 1e-9, "travel");
}

#[test]
fn what_is_not_known_is_not_a_number() {
    use Curve as C;
    let unlinked = [C::AntiSquat, C::AntiRise, C::Kickback, C::TightRun, C::ChainGrowth];
    for row in trace(&bike(), None, 5).unwrap() {
        for curve in C::ALL {
            assert_eq!(of(&row, *curve).is_nan(), unlinked.contains(curve), "{}", curve.id());
        }
    }
    let linkage = examples().swap_remove(0).1;
    let lost = |change: fn(&mut Bike<f64>), missing: &[Curve]| {
        let mut bike = bike();
        change(&mut bike);
        for row in trace(&bike, Some(&linkage), 3).unwrap() {
            for curve in C::ALL {
                assert_eq!(of(&row, *curve).is_nan(), missing.contains(curve), "{}", curve.id());
            }
        }
    };
    lost(|bike| bike.coil_rate = f64::NAN, &[C::ShockForce, C::WheelForce, C::WheelRate]);
    lost(|bike| bike.cog = f64::NAN, &[C::AntiSquat, C::Kickback, C::TightRun, C::ChainGrowth]);
    lost(|bike| bike.mass_above = f64::NAN, &[C::AntiSquat, C::AntiRise]);
    lost(|bike| bike.stem_length = f64::NAN, &[C::GripStack, C::GripReach]);
    assert!(trace(&bike(), Some(&linkage), 0).unwrap().is_empty());
    assert_eq!(trace(&bike(), Some(&linkage), 1).unwrap().len(), 1);
    let mut unsprung = bike();
    (unsprung.shock_stroke, unsprung.rear_travel) = (f64::NAN, f64::NAN);
    let row = position(&unsprung, None, 0.0, 0.0).unwrap();
    assert!(of(&row, C::Wheelbase).is_finite() && of(&row, C::Leverage).is_nan());
}
