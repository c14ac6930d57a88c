//! Exact derivatives of positions and velocities, against differences of the plain solver and against closed forms.

mod linkages;

use knockon_engine::suspension::linkage::{Linkage, Pose};
use linkages::{examples, reference_a};
use nalgebra::SVector;
use num_dual::{Derivative, Dual2, Dual2_64, Dual64, DualSVec64, HyperDual64};

/// What a pose says: the axle, its velocity, and every body's placement.
fn told<T: Copy>(pose: &Pose<T>, bodies: usize) -> Vec<T> {
    let mut told = vec![pose.axle.x, pose.axle.y, pose.axle_velocity.x, pose.axle_velocity.y];
    for body in &pose.bodies[..bodies] {
        let (cos, sin) = body.turn_cos_sin;
        told.extend([cos, sin, body.shift.x, body.shift.y, body.spin, body.drift.x, body.drift.y]);
    }
    told
}

fn count(linkage: &Linkage<f64>) -> usize {
    linkage.numbers().len()
}

/// The linkage with one of its numbers moved.
fn moved(linkage: &Linkage<f64>, number: usize, by: f64) -> Linkage<f64> {
    let mut at = 0;
    linkage.map(|value| {
        at += 1;
        value + if at == number + 1 { by } else { 0.0 }
    })
}

/// Every number of every example: five-point central differences, whose error goes with the fourth power of the step;
/// rounding of the plain solver, some 1e-12 mm, over a step of 0.02 mm.
#[test]
fn first_derivatives_match_differences() {
    for example in examples() {
        let linkage = &example.linkage;
        let bodies = linkage.layout.bodies;
        let compression = 0.55 * example.stroke;
        // The last is the compression itself.
        for number in 0..=count(linkage) {
            let is_angle = (2 * linkage.points.len()..2 * linkage.points.len() + linkage.directions.len())
                .contains(&number);
            let step = if is_angle { 1e-4 } else { 0.02 };
            let at = |by: f64| {
                let own = number == count(linkage);
                let (linkage, more) =
                    if own { (linkage.clone(), by) } else { (moved(linkage, number, by), 0.0) };
                told(&linkage.pose(compression + more).expect("a small change"), bodies)
            };
            let [far_less, less, more, far_more] = [-2.0 * step, -step, step, 2.0 * step].map(at);
            let mut place = 0;
            let dual = linkage.map(|value| {
                place += 1;
                Dual64::new(*value, f64::from(u8::from(place == number + 1)))
            });
            let by = Dual64::new(compression, f64::from(u8::from(number == count(linkage))));
            let exact = told(&dual.pose(by).expect("the same position"), bodies);
            for row in 0..exact.len() {
                let difference =
                    (8.0 * (more[row] - less[row]) - (far_more[row] - far_less[row])) / (12.0 * step);
                let room =
                    1e-8 * (1.0 + exact[row].eps.abs()) / step.min(1.0) * 0.02 + 1e-7 * exact[row].eps.abs();
                assert!(
                    (exact[row].eps - difference).abs() <= room,
                    "{}, number {number}, row {row}: {} is not {difference}",
                    example.name,
                    exact[row].eps
                );
            }
        }
    }
}

/// The loops stay closed to the second order: nothing of a residual has a derivative.
#[test]
fn residuals_have_no_derivatives() {
    for example in examples() {
        let mut place = 0;
        // Every number moves at once, each its own way.
        let dual: Linkage<Dual2_64> = example.linkage.map(|value| {
            place += 1;
            Dual2::new(*value, 0.5 + 0.37 * f64::from(place % 5), 0.0)
        });
        let compression = Dual2::new(0.7 * example.stroke, 0.4, 0.0);
        let pose = dual.pose(compression).expect("it is within the stroke");
        for (index, residual) in dual.residuals(&pose).iter().enumerate() {
            let parts = [residual.re, residual.v1, residual.v2];
            assert!(
                parts.iter().all(|part| part.abs() < 1e-8),
                "{} residual {index}: {parts:?}",
                example.name
            );
        }
    }
}

/// Second derivatives along a direction in all numbers: `Dual2` against central differences of first derivatives along it.
#[test]
fn second_derivatives_match_differences_of_first() {
    for example in examples() {
        let bodies = example.linkage.layout.bodies;
        let compression = 0.4 * example.stroke;
        let way = |place: i32| f64::from(place % 7 - 3) * 0.2;
        let angles = 2 * example.linkage.points.len()
            ..2 * example.linkage.points.len() + example.linkage.directions.len();
        let scaled =
            |place: i32| way(place) * if angles.contains(&(place as usize - 1)) { 0.01 } else { 1.0 };
        let mut place = 0;
        let second: Linkage<Dual2_64> = example.linkage.map(|value| {
            place += 1;
            Dual2::new(*value, scaled(place), 0.0)
        });
        let exact = told(&second.pose(Dual2::new(compression, 0.3, 0.0)).expect("within the stroke"), bodies);
        let first = |by: f64| {
            let mut place = 0;
            let dual: Linkage<Dual64> = example.linkage.map(|value| {
                place += 1;
                Dual64::new(value + by * scaled(place), scaled(place))
            });
            told(&dual.pose(Dual64::new(compression + 0.3 * by, 0.3)).expect("within the stroke"), bodies)
        };
        let step = 0.02;
        let [far_less, less, more, far_more] = [-2.0 * step, -step, step, 2.0 * step].map(first);
        for (row, exact) in exact.iter().enumerate() {
            let centre = f64::midpoint(less[row].eps, more[row].eps);
            assert!((exact.v1 - centre).abs() < 1e-3 * (1.0 + centre.abs()), "{} row {row}", example.name);
            let near = more[row].eps - less[row].eps;
            let difference = (8.0 * near - (far_more[row].eps - far_less[row].eps)) / (12.0 * step);
            let room = 1e-7 * (1.0 + exact.v2.abs());
            assert!(
                (exact.v2 - difference).abs() < room,
                "{} row {row}: {} is not {difference}",
                example.name,
                exact.v2
            );
        }
    }
}

/// Vectors of derivatives, pairs of them and single ones say the same.
#[test]
fn kinds_of_dual_numbers_agree() {
    for example in examples() {
        let compression = 0.5 * example.stroke;
        let mut place = 0;
        let vector: Linkage<DualSVec64<8>> = example.linkage.map(|value| {
            place += 1;
            let mut eps = SVector::<f64, 8>::zeros();
            if place <= 8 {
                eps[place - 1] = 1.0;
            }
            DualSVec64::new(*value, Derivative::some(eps))
        });
        let all = vector.pose(DualSVec64::from_re(compression)).expect("within the stroke");
        let eps = all.axle_velocity.y.eps.unwrap_generic(nalgebra::Const::<8>, nalgebra::Const::<1>);
        for number in 0..8.min(count(&example.linkage)) {
            let mut place = 0;
            let pair: Linkage<HyperDual64> = example.linkage.map(|value| {
                place += 1;
                HyperDual64::new(
                    *value,
                    f64::from(u8::from(place == number + 1)),
                    f64::from(u8::from(place == 1)),
                    0.0,
                )
            });
            let one = pair.pose(HyperDual64::from(compression)).expect("within the stroke");
            assert!(
                (one.axle_velocity.y.eps1 - eps[number]).abs() < 1e-10,
                "{} number {number}",
                example.name
            );
            assert!((one.axle_velocity.y.eps2 - eps[0]).abs() < 1e-10, "{} number {number}", example.name);
        }
    }
}

/// A position that is lifted is the one that is solved.
#[test]
fn lifting_a_sweep_is_solving_each() {
    for example in examples() {
        let dual: Linkage<Dual64> = example.linkage.map(|value| Dual64::new(*value, 0.1 + value.sin()));
        for plain in example.linkage.sweep(0.0, example.stroke, 9).expect("within the stroke") {
            let compression = Dual64::new(plain.compression, 0.2);
            let (lifted, solved) =
                (dual.lift(&plain, compression), dual.pose(compression).expect("within the stroke"));
            for (a, b) in told(&lifted, 9).iter().zip(told(&solved, 9)) {
                assert!((a.re - b.re).abs() < 1e-9 && (a.eps - b.eps).abs() < 1e-7 * (1.0 + b.eps.abs()));
            }
        }
    }
}

/// A single pivot in closed form: the arm's angle follows from the eyes' distance by the law of cosines. `sin φ·F·e·dφ/ds = s`
/// with φ the angle between the two arms; the leverage is `430·cos θ·dφ/dc`, and its derivative by compression follows with
/// `d²φ/dc² = (1 − F·e·cos φ·(dφ/dc)²)/(F·e·sin φ)`, `ds = −dc`.
#[test]
fn single_pivot_in_closed_form() {
    let linkage = reference_a(184.0);
    let product = 60.0_f64.hypot(190.0) * 180.0;
    let squares = 60.0_f64.powi(2) + 190.0_f64.powi(2) + 180.0_f64.powi(2);
    let pose =
        Linkage::<Dual2_64>::constant(&linkage).pose(Dual2::new(30.0, 1.0, 0.0)).expect("within the stroke");
    let s = linkage.drawn_shock() - 30.0;
    let phi = ((squares - s * s) / (2.0 * product)).acos();
    let theta = phi + 35.0_f64.to_radians() + 190.0_f64.atan2(60.0);
    // The arm turns clockwise as the shock gets shorter.
    let by_compression = -s / (product * phi.sin());
    let second = (1.0 - product * phi.cos() * by_compression.powi(2)) / (product * phi.sin());
    let third = {
        // (F·e·sin φ)·φ″ = 1 − F·e·cos φ·φ′², differentiated once more.
        let (sin, cos) = phi.sin_cos();
        (product * sin * by_compression.powi(3) - 3.0 * product * cos * by_compression * second)
            / (product * sin)
    };
    let y = 430.0 * theta.sin();
    let first_y = 430.0 * theta.cos() * by_compression;
    let second_y = 430.0 * (theta.cos() * second - theta.sin() * by_compression.powi(2));
    let third_y = 430.0
        * (theta.cos() * third
            - 3.0 * theta.sin() * by_compression * second
            - theta.cos() * by_compression.powi(3));
    let close =
        |found: f64, expected: f64| assert!((found - expected).abs() < 1e-10, "{found} is not {expected}");
    close(pose.axle.y.re, y);
    close(pose.axle.y.v1, first_y);
    close(pose.axle.y.v2, second_y);
    close(pose.axle_velocity.y.re, first_y);
    close(pose.axle_velocity.y.v1, second_y);
    close(pose.axle_velocity.y.v2, third_y);
}
