//! Tolerance by identity of the inputs (JCGM 100:2008, the GUM).
//!
//! Every number is a value that *moves* with named inputs. An input shared by "before" and "after" is the same random
//! variable in both, so the tolerance of a difference comes out as small as it really is: before minus before is 0 ± 0.

use nalgebra::{RowSVector, SVector};
use num_dual::{Derivative, Dual2SVec64, DualSVec64};

use crate::Scalar;
use crate::bike::Bike;
use crate::change::Step;
use crate::quantity::{Dimension, Quantities, Quantity, evaluate};
use crate::requirement::{Allowances, Requirement, margins};

/// A number and how it moves with the inputs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Uncertain {
    /// Best value; NaN when unknown.
    pub value: f64,
    /// `(input, by)`: how far the value moves per standard uncertainty of that input. Inputs are independent.
    pub moves: Vec<(usize, f64)>,
}

impl Uncertain {
    /// A number that nothing moves.
    pub fn exact(value: f64) -> Self {
        Uncertain { value, moves: Vec::new() }
    }
}

/// Results with what each input contributes to them.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimates {
    values: Vec<f64>,
    contributions: Vec<f64>,
    second_order: Vec<f64>,
    inputs: usize,
}

impl Estimates {
    fn new(values: Vec<f64>, inputs: usize) -> Self {
        let rows = values.len();
        Estimates { values, contributions: vec![0.0; rows * inputs], second_order: vec![0.0; rows], inputs }
    }

    /// Best value of result `row`.
    pub fn value(&self, row: usize) -> f64 {
        self.values[row]
    }

    /// What each input contributes to result `row`: derivative times standard uncertainty, signed.
    pub fn contributions(&self, row: usize) -> &[f64] {
        &self.contributions[row * self.inputs..(row + 1) * self.inputs]
    }

    /// Variance that curvature adds to result `row` (JCGM 100:2008, 5.1.2 note).
    pub fn second_order(&self, row: usize) -> f64 {
        self.second_order[row]
    }

    /// Combined standard uncertainty of result `row`.
    pub fn standard_uncertainty(&self, row: usize) -> f64 {
        let linear: f64 = self.contributions(row).iter().map(|c| c * c).sum();
        (linear + self.second_order[row]).sqrt()
    }

    /// "±" of result `row`: two standard uncertainties, about 95 %.
    pub fn plus_minus(&self, row: usize) -> f64 {
        2.0 * self.standard_uncertainty(row)
    }

    /// Inputs by their share of the variance of result `row`, largest first; empty when nothing moves it.
    pub fn variance_shares(&self, row: usize) -> Vec<(usize, f64)> {
        let variance = self.standard_uncertainty(row).powi(2);
        if variance.is_nan() || variance <= 0.0 {
            return Vec::new();
        }
        let mut shares: Vec<(usize, f64)> = self
            .contributions(row)
            .iter()
            .enumerate()
            .filter(|(_, c)| **c != 0.0)
            .map(|(input, c)| (input, c * c / variance))
            .collect();
        shares.sort_by(|a, b| b.1.total_cmp(&a.1));
        shares
    }
}

/// Before, after, their difference, and the margins of the limits, each with its tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// One row per [`Quantity`].
    pub before: Estimates,
    /// One row per [`Quantity`].
    pub after: Estimates,
    /// After minus before, one row per [`Quantity`].
    pub difference: Estimates,
    /// One row per [`Requirement`].
    pub margins: Estimates,
}

/// Every quantity before and after `steps`, and every margin after them.
pub fn compare<T: Scalar>(
    before: &Bike<T>,
    steps: &[Step<T>],
    allow: &Allowances,
) -> (Quantities<T>, Quantities<T>, [T; Requirement::COUNT]) {
    let after = before.after(steps);
    (evaluate(before), evaluate(&after), margins(before, &after, allow))
}

/// How many inputs are differentiated for in one pass.
const LANES: usize = 24;
/// How many inputs get second derivatives: those that move some quantity most. The rest curve too little to matter,
/// because what curvature adds goes with the square of the movement.
const CURVED: usize = 8;

/// Propagates the tolerance of `inputs` independent inputs through a comparison, to first order from exact derivatives,
/// and to second order in the inputs that matter most.
///
/// ```
/// # use knockon_engine::{bike::{Bike, Parameter}, change::Step, quantity::Quantity, requirement::Allowances};
/// # use knockon_engine::tolerance::{Uncertain, assess};
/// let mut bike = Bike::unknown().map(|&value| Uncertain::exact(value));
/// bike.saddle_height = Uncertain { value: 735.0, moves: vec![(0, 0.5)] };
/// bike.crank_length = Uncertain { value: 170.0, moves: vec![(1, 0.1)] };
/// let crank = Uncertain { value: 165.0, moves: vec![(2, 0.1)] };
/// let result = assess(&bike, &[Step::Set(Parameter::CrankLength, crank)], &Allowances { same_clamp: 0.1, tyre_gap: 6.0 }, 3);
/// let row = Quantity::SaddleToPedal as usize;
/// assert_eq!(result.difference.value(row), -5.0);
/// // The saddle's own uncertainty is in both and cancels; the two cranks remain: √(0.1² + 0.1²).
/// assert!((result.difference.standard_uncertainty(row) - 0.02_f64.sqrt()).abs() < 1e-12);
/// ```
pub fn assess(
    before: &Bike<Uncertain>,
    steps: &[Step<Uncertain>],
    allow: &Allowances,
    inputs: usize,
) -> Assessment {
    let values = before.map(|parameter| parameter.value);
    let value_steps: Vec<Step<f64>> = steps.iter().map(|step| step.map(|number| number.value)).collect();
    let (b, a, m) = compare(&values, &value_steps, allow);
    let difference = b.iter().zip(&a).map(|(b, a)| a - b).collect();
    let mut result = Assessment {
        before: Estimates::new(b.to_vec(), inputs),
        after: Estimates::new(a.to_vec(), inputs),
        difference: Estimates::new(difference, inputs),
        margins: Estimates::new(m.to_vec(), inputs),
    };
    for first in (0..inputs).step_by(LANES) {
        first_order(before, steps, allow, first, &mut result);
    }
    second_order(before, steps, allow, &mut result);
    result
}

type Linear = DualSVec64<LANES>;

fn first_order(
    before: &Bike<Uncertain>,
    steps: &[Step<Uncertain>],
    allow: &Allowances,
    first: usize,
    result: &mut Assessment,
) {
    let seed = |number: &Uncertain| -> Linear {
        let mut lanes: Option<SVector<f64, LANES>> = None;
        for &(input, by) in &number.moves {
            if let Some(lane) = input.checked_sub(first).filter(|lane| *lane < LANES) {
                lanes.get_or_insert_with(SVector::zeros)[lane] += by;
            }
        }
        Linear::new(number.value, Derivative::new(lanes))
    };
    let bike = before.map(seed);
    let steps: Vec<Step<Linear>> = steps.iter().map(|step| step.map(seed)).collect();
    let (b, a, m) = compare(&bike, &steps, allow);
    let store = |estimates: &mut Estimates, row: usize, number: &Linear, sign: f64| {
        let Some(lanes) = &number.eps.0 else { return };
        let start = row * estimates.inputs + first;
        let count = LANES.min(estimates.inputs - first);
        for (slot, by) in estimates.contributions[start..start + count].iter_mut().zip(lanes.iter()) {
            *slot += sign * by;
        }
    };
    for row in 0..Quantity::COUNT {
        store(&mut result.before, row, &b[row], 1.0);
        store(&mut result.after, row, &a[row], 1.0);
        store(&mut result.difference, row, &a[row], 1.0);
        store(&mut result.difference, row, &b[row], -1.0);
    }
    for (row, margin) in m.iter().enumerate() {
        store(&mut result.margins, row, margin, 1.0);
    }
}

type Curved = Dual2SVec64<CURVED>;

/// Adds ½ Σᵢⱼ (∂²f/∂xᵢ∂xⱼ)² uᵢ² uⱼ², the part of JCGM 100:2008 5.1.2 that does not vanish with the first derivative.
fn second_order(
    before: &Bike<Uncertain>,
    steps: &[Step<Uncertain>],
    allow: &Allowances,
    result: &mut Assessment,
) {
    let inputs = most_moving_inputs(result);
    let seed = |number: &Uncertain| -> Curved {
        let mut lanes: Option<RowSVector<f64, CURVED>> = None;
        for &(input, by) in &number.moves {
            if let Some(lane) = inputs.iter().position(|chosen| *chosen == input) {
                lanes.get_or_insert_with(RowSVector::zeros)[lane] += by;
            }
        }
        Curved::new(number.value, Derivative::new(lanes), Derivative::none())
    };
    let bike = before.map(seed);
    let steps: Vec<Step<Curved>> = steps.iter().map(|step| step.map(seed)).collect();
    let (b, a, m) = compare(&bike, &steps, allow);
    let half_square = |number: &Curved| number.v2.0.map_or(0.0, |hessian| 0.5 * hessian.norm_squared());
    for row in 0..Quantity::COUNT {
        result.before.second_order[row] = half_square(&b[row]);
        result.after.second_order[row] = half_square(&a[row]);
        result.difference.second_order[row] = half_square(&(a[row] - b[row]));
    }
    for (row, margin) in m.iter().enumerate() {
        result.margins.second_order[row] = half_square(margin);
    }
}

/// The inputs that move some quantity most, measured in units of 1 mm, 0.1° or 1 %.
fn most_moving_inputs(result: &Assessment) -> Vec<usize> {
    let mut movement = vec![0.0_f64; result.before.inputs];
    for (row, quantity) in Quantity::ALL.iter().enumerate() {
        let unit = match quantity.dimension() {
            Dimension::Length => 1.0,
            Dimension::Angle => 0.1_f64.to_radians(),
            Dimension::Share => 0.01,
        };
        for estimates in [&result.before, &result.after] {
            for (most, by) in movement.iter_mut().zip(estimates.contributions(row)) {
                let size = by.abs() / unit;
                // NaN contributions belong to quantities that are not known: f64::max passes over them.
                *most = most.max(size);
            }
        }
    }
    let mut order: Vec<usize> = (0..movement.len()).filter(|input| movement[*input] > 0.0).collect();
    order.sort_by(|a, b| movement[*b].total_cmp(&movement[*a]));
    order.truncate(CURVED);
    order
}
