//! The curves over the travel with their tolerance.

use crate::Scalar;
use crate::bike::Bike;
use crate::comparison::Given;
use crate::tolerance::{Estimates, Formula, Uncertain, propagate_linear};

use super::curve::{Curve, Position, trace};

/// How many steps lie between two positions whose tolerance is computed; in between it is drawn straight. A tolerance is
/// a smooth curve that nobody reads to its last digit, and costs more than all values together.
const STRIDE: usize = 4;

/// Every curve at equal steps of the shock's compression, with its tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Traced {
    values: Vec<Position<f64>>,
    estimates: Estimates,
}

impl Traced {
    /// Value of a curve at a position; NaN where the bike does not suffice.
    pub fn value(&self, position: usize, curve: Curve) -> f64 {
        self.values[position][curve as usize]
    }

    /// ± of that value, two standard uncertainties.
    pub fn plus_minus(&self, position: usize, curve: Curve) -> f64 {
        let (before, part) = (position / STRIDE, position % STRIDE);
        let at = |place: usize| self.estimates.plus_minus(row(place, curve));
        if part == 0 {
            return at(before);
        }
        let part = part as f64 / STRIDE as f64;
        at(before) * (1.0 - part) + at(before + 1) * part
    }
}

impl Traced {
    /// Inputs by their share of that value's variance, largest first; told where a tolerance is computed, at or before the
    /// position.
    pub fn variance_shares(&self, position: usize, curve: Curve) -> Vec<(usize, f64)> {
        self.estimates.variance_shares(row(position / STRIDE, curve))
    }
}

fn row(place: usize, curve: Curve) -> usize {
    place * Curve::COUNT + curve as usize
}

/// Traces the curves of the bike after the given steps at `strides·4 + 1` positions from full extension to full travel, to first
/// order in all `inputs`. Where the linkage cannot go through the whole stroke every value is NaN.
pub fn traced(before: &Bike<Uncertain>, given: Given<'_>, strides: usize, inputs: usize) -> Traced {
    let numbers = given.numbers(before);
    let estimates = propagate_linear(&Tracing { given, count: strides + 1 }, &numbers, inputs);
    let plain: Vec<f64> = numbers.iter().map(|number| number.value).collect();
    let all = Tracing { given, count: strides * STRIDE + 1 }.results(&plain);
    let values = all.chunks_exact(Curve::COUNT).map(|row| std::array::from_fn(|at| row[at])).collect();
    Traced { values, estimates }
}

struct Tracing<'a> {
    given: Given<'a>,
    count: usize,
}

impl Formula for Tracing<'_> {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let (bike, linkage, steps) = self.given.taken_from(numbers);
        let (bike, linkage) = bike.after_on(linkage.as_ref(), &steps);
        match trace(&bike, linkage.as_ref(), self.count) {
            Ok(positions) => positions.into_iter().flatten().collect(),
            Err(_) => vec![T::from(f64::NAN); self.count * Curve::COUNT],
        }
    }
}
