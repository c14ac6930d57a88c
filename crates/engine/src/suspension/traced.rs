//! The curves over the travel with their tolerance.

use crate::Scalar;
use crate::bike::Bike;
use crate::comparison::Given;
use crate::tolerance::{Estimates, Formula, Uncertain, propagate_linear};

use super::curve::{Curve, trace};

/// Every curve at equal steps of the shock's compression, with its tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Traced {
    estimates: Estimates,
    count: usize,
}

impl Traced {
    /// How many positions there are, full extension and full travel included.
    pub fn count(&self) -> usize {
        self.count
    }

    /// Value of a curve at a position; NaN where the bike does not suffice.
    pub fn value(&self, position: usize, curve: Curve) -> f64 {
        self.estimates.value(row(position, curve))
    }

    /// ± of that value, two standard uncertainties.
    pub fn plus_minus(&self, position: usize, curve: Curve) -> f64 {
        self.estimates.plus_minus(row(position, curve))
    }

    /// The input with the largest share of its variance, and that share: what to measure next.
    pub fn measure_next(&self, position: usize, curve: Curve) -> Option<(usize, f64)> {
        self.estimates.variance_shares(row(position, curve)).first().copied()
    }
}

fn row(position: usize, curve: Curve) -> usize {
    position * Curve::COUNT + curve as usize
}

/// Traces the curves of the bike after the given steps, `count` positions from full extension to full travel, to first
/// order in all `inputs`. Where the linkage cannot go through the whole stroke every value is NaN.
pub fn traced(before: &Bike<Uncertain>, given: Given<'_>, count: usize, inputs: usize) -> Traced {
    let estimates = propagate_linear(&Tracing { given, count }, &given.numbers(before), inputs);
    Traced { estimates, count }
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
