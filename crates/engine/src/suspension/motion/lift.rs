//! Derivatives of a position that is known in plain numbers.

use crate::Scalar;
use crate::suspension::linkage::{MOST_BODIES, Pose};

use super::drawn::Drawn;
use super::matrix::{Factors, Matrix};

/// The pose at `compression` with the derivatives of its numbers, from the one already solved.
///
/// Both the coordinates' equations `r(q, x) = 0` and their velocities' `J(q, x)·q′ = b` hold at the plain numbers, where
/// nothing has a derivative yet. A correction by `J⁻¹` of the plain numbers leaves an error of one order more: the part of
/// `J` that it ignores has no plain value. So as many corrections as there are orders are exact, not iterations.
pub fn lift<T: Scalar, const N: usize>(
    drawn: &Drawn<T>,
    plain: &Drawn<f64>,
    pose: &Pose<f64>,
    compression: T,
) -> Pose<T> {
    let known: [f64; N] = coordinates(plain, pose);
    let inverse = Factors::new(plain.jacobian(&plain.placed(&known))).inverse();
    let mut coordinates = known.map(T::from);
    for _ in 0..T::NDERIV {
        let residual = drawn.residual(&drawn.placed(&coordinates), compression);
        correct(&mut coordinates, &inverse, &residual);
    }
    let state = drawn.placed(&coordinates);
    let jacobian: Matrix<T, N> = drawn.jacobian(&state);
    let driven = Drawn::<T>::driven::<N>();
    let mut rates = [T::from(0.0); N];
    // The first gives the plain rates.
    for _ in 0..=T::NDERIV {
        let mut missed = [T::from(0.0); N];
        for row in 0..N {
            missed[row] = -driven[row];
            for column in 0..N {
                missed[row] += jacobian[row][column] * rates[column];
            }
        }
        correct(&mut rates, &inverse, &missed);
    }
    drawn.pose(&state, &rates, compression)
}

fn correct<T: Scalar, const N: usize>(values: &mut [T; N], inverse: &Matrix<f64, N>, missed: &[T; N]) {
    for (value, row) in values.iter_mut().zip(inverse) {
        for (miss, factor) in missed.iter().zip(row) {
            *value -= *miss * *factor;
        }
    }
}

/// The tree's coordinates of a pose.
fn coordinates<const N: usize>(drawn: &Drawn<f64>, pose: &Pose<f64>) -> [f64; N] {
    let mut result = [0.0; N];
    let mut angles = [0.0; MOST_BODIES];
    for (index, branch) in drawn.tree.branches().iter().enumerate() {
        let (body, parent) = (&pose.bodies[branch.body], &pose.bodies[branch.parent]);
        if branch.slide.is_some() {
            angles[branch.body] = angles[branch.parent];
            result[index] = drawn.slid(index, parent.turn_cos_sin, parent.shift, body.shift);
        } else {
            let (cos, sin) = body.turn_cos_sin;
            angles[branch.body] = sin.atan2(cos);
            result[index] = angles[branch.body] - angles[branch.parent];
        }
    }
    result
}
