//! Exact derivatives of every curve against central differences, in the bike's and in the linkage's numbers.

mod chains;

use chains::{any_example, bike, examples, on_air};
use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::suspension::curve::{Curve, Position, position, trace};
use knockon_engine::suspension::linkage::Linkage;
use num_dual::{Dual2_64, Dual64, DualNum};
use proptest::prelude::*;

/// What a number is moved by: a hundredth of a millimetre, 0.1 milliradian.
fn step(parameter: Parameter) -> f64 {
    match parameter {
        Parameter::HeadAngle
        | Parameter::StemAngle
        | Parameter::BarRoll
        | Parameter::HeadsetTurn
        | Parameter::LeverageAtStart
        | Parameter::LeverageAtEnd
        | Parameter::AirExponent => 1e-4,
        _ => 1e-2,
    }
}

/// One of the numbers of bike and linkage moved.
fn moved<T: DualNum<Primitive = f64> + Copy>(
    bike: &Bike<f64>,
    linkage: Option<&Linkage<f64>>,
    number: usize,
    by: T,
) -> (Bike<T>, Option<Linkage<T>>) {
    let mut bike: Bike<T> = Bike::constant(bike);
    let mut linkage: Option<Linkage<T>> = linkage.map(Linkage::constant);
    match Parameter::ALL.get(number) {
        Some(parameter) => *bike.get_mut(*parameter) += by,
        None => {
            let mut place = Parameter::ALL.len();
            linkage = linkage.map(|linkage| {
                linkage.map(|value| {
                    place += 1;
                    if place == number + 1 { *value + by } else { *value }
                })
            });
        }
    }
    (bike, linkage)
}

/// All derivatives at one compression. With idlers concentric to nothing and calipers on the axle's body every curve is smooth.
fn check(
    name: &str,
    bike: &Bike<f64>,
    linkage: Option<&Linkage<f64>>,
    compression: f64,
) -> Result<(), TestCaseError> {
    let values = |number: usize, by: f64| -> Result<Position<f64>, TestCaseError> {
        let (bike, linkage) = moved(bike, linkage, number, by);
        position(&bike, linkage.as_ref(), compression, 5.0)
            .map_err(|stuck| TestCaseError::reject(stuck.to_string()))
    };
    let numbers = Parameter::ALL.len() + linkage.map_or(0, |linkage| linkage.numbers().len());
    for number in 0..numbers {
        if Parameter::ALL.get(number).is_some_and(|parameter| bike.get(*parameter).is_nan()) {
            continue;
        }
        let (dual, dual_linkage) = moved(bike, linkage, number, Dual64::new(0.0, 1.0));
        let exact = position(&dual, dual_linkage.as_ref(), Dual64::from(compression), Dual64::from(5.0))
            .map_err(|stuck| TestCaseError::reject(stuck.to_string()))?;
        let by = Parameter::ALL.get(number).map_or(1e-2, |parameter| step(*parameter));
        let [far_less, less, more, far_more] = [
            values(number, -2.0 * by)?,
            values(number, -by)?,
            values(number, by)?,
            values(number, 2.0 * by)?,
        ];
        for curve in Curve::ALL {
            let at = *curve as usize;
            let near = more[at] - less[at];
            let difference = (8.0 * near - (far_more[at] - far_less[at])) / (12.0 * by);
            let derivative = exact[at].eps;
            // A floating brake's arm stops turning about the axle when one of the two is moved alone: then nothing is said.
            if far_more[at].is_nan() && Parameter::ALL.get(number).is_none() {
                continue;
            }
            let room = 2e-6 * derivative.abs().max(1e-3) + 1e-11 * more[at].abs().max(1.0) / by;
            prop_assert!(
                (difference - derivative).abs() <= room || more[at].is_nan() && exact[at].re.is_nan(),
                "{name}: ∂{}/∂{number}: {derivative} {difference}",
                curve.id()
            );
        }
    }
    Ok(())
}

#[test]
fn every_curve_in_every_number() {
    for (name, linkage) in examples() {
        for bike in [bike(), on_air()] {
            check(name, &bike, Some(&linkage), 18.0).unwrap();
        }
    }
    check("travel and stroke", &bike(), None, 18.0).unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_linkage_is_differentiated_exactly((bike, linkage) in any_example(), part in 0.05..0.9_f64) {
        check("any", &bike, Some(&linkage), part * bike.shock_stroke)?;
    }

    /// Every curve that can be computed is, all along the stroke, and is a proper number.
    #[test]
    fn any_linkage_that_moves_has_every_curve((bike, linkage) in any_example(), count in 2_usize..40) {
        let rows = trace(&bike, Some(&linkage), count);
        prop_assume!(rows.is_ok());
        for row in rows.unwrap() {
            for curve in Curve::ALL {
                prop_assert!(row[*curve as usize].is_finite(), "{}: {:?}", curve.id(), row);
            }
            // No path is shorter than how far it rises, however coarsely it is passed.
            let (path, rise) = (row[Curve::PathTravel as usize], row[Curve::Travel as usize]);
            prop_assert!(path >= rise - 1e-9, "{count} positions: a path of {path} rises by {rise}");
        }
    }
}

/// Along the compression itself: leverage is the derivative of travel, and second derivatives hold too.
#[test]
fn derivatives_along_the_stroke() {
    for (name, linkage) in examples() {
        let (bike, moving) = chains::constants::<Dual2_64>(&bike(), &linkage);
        let at =
            position(&bike, Some(&moving), Dual2_64::from(22.0).derivative(), Dual2_64::from(0.0)).unwrap();
        let of = |curve: Curve| at[curve as usize];
        chains::close(of(Curve::Travel).v1, of(Curve::Leverage).re, 1e-9, name);
        chains::close(of(Curve::Travel).v2, of(Curve::Leverage).v1, 1e-9, name);
        chains::close(of(Curve::WheelForce).v1, of(Curve::WheelRate).re * of(Curve::Leverage).re, 1e-8, name);
        chains::close(of(Curve::ShockForce).v1, 85.0, 1e-9, name);
    }
}

/// A trace in dual numbers has the values of the plain one and the derivatives of its positions.
#[test]
fn a_trace_carries_derivatives() {
    let linkage = examples().swap_remove(1).1;
    let (mut dual, moving) = chains::constants::<Dual64>(&bike(), &linkage);
    dual.shock_stroke.eps = 1.0;
    let (rows, plain) = (trace(&dual, Some(&moving), 6).unwrap(), trace(&bike(), Some(&linkage), 6).unwrap());
    for (place, (row, plain)) in rows.iter().zip(&plain).enumerate() {
        let part = place as f64 / 5.0;
        let alone = position(&dual, Some(&moving), dual.shock_stroke * part, Dual64::from(0.0)).unwrap();
        for curve in Curve::ALL {
            let at = *curve as usize;
            chains::close(row[at].re, plain[at], 1e-9 * plain[at].abs().max(1.0), curve.id());
            let within = if *curve == Curve::PathTravel { 1e-3 } else { 1e-8 };
            chains::close(row[at].eps, alone[at].eps, within * alone[at].eps.abs().max(1.0), curve.id());
        }
    }
}
