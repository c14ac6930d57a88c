//! Tolerance by identity of the inputs (JCGM 100:2008, the GUM).
//!
//! Every number is a value that *moves* with named inputs. An input shared by "before" and "after" is the same random
//! variable in both, so the tolerance of a difference comes out as small as it really is: before minus before is 0 ± 0.

use std::borrow::Borrow;
use std::ops::Range;
use std::sync::Arc;

use nalgebra::{RowSVector, SVector};
use num_dual::{Derivative, Dual2SVec64, DualSVec64};

use crate::Scalar;

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

    /// A number of this value that moves `slope` times as far as each of the given ones does: to first order, what any
    /// formula of them with these derivatives is.
    ///
    /// ```
    /// use knockon_engine::tolerance::Uncertain;
    /// let (a, b) = (Uncertain { value: 5.0, moves: vec![(0, 0.2)] }, Uncertain { value: 3.0, moves: vec![(0, 0.2), (1, 0.1)] });
    /// let difference = Uncertain::combined(2.0, [(&a, 1.0), (&b, -1.0)]);
    /// assert_eq!(difference.moves, vec![(0, 0.0), (1, -0.1)]);
    /// ```
    pub fn combined<'a>(value: f64, terms: impl IntoIterator<Item = (&'a Uncertain, f64)>) -> Self {
        let mut moves: Vec<(usize, f64)> = Vec::new();
        for (term, slope) in terms.into_iter().filter(|(_, slope)| *slope != 0.0) {
            for (input, by) in &term.moves {
                match moves.iter_mut().find(|(known, _)| known == input) {
                    Some((_, sum)) => *sum += by * slope,
                    None => moves.push((*input, by * slope)),
                }
            }
        }
        Uncertain { value, moves }
    }

    /// Its standard uncertainty; its inputs are independent.
    pub fn standard_uncertainty(&self) -> f64 {
        self.moves.iter().fold(0.0, |sum: f64, (_, by)| sum.hypot(*by))
    }
}

/// Something that is computed from uncertain numbers, written once for every scalar.
pub trait Formula {
    /// The results for these numbers. Their count does not depend on the scalar.
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T>;

    /// The step in which movement of a result is counted when inputs are ranked by how much they move; `None` when the
    /// result does not count.
    fn unit(&self, _row: usize) -> Option<f64> {
        Some(1.0)
    }
}

/// Results with what each input contributes to them.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimates {
    all: Arc<All>,
    /// Which of all the rows these are.
    rows: Range<usize>,
}

#[derive(Clone, Debug, PartialEq)]
struct All {
    values: Vec<f64>,
    contributions: Vec<f64>,
    second_order: Vec<f64>,
    inputs: usize,
}

impl All {
    fn contributions(&self, row: usize) -> &[f64] {
        &self.contributions[row * self.inputs..(row + 1) * self.inputs]
    }
}

impl Estimates {
    /// Best value of result `row`.
    pub fn value(&self, row: usize) -> f64 {
        self.all.values[self.rows.clone()][row]
    }

    /// What each input contributes to result `row`: derivative times standard uncertainty, signed.
    pub fn contributions(&self, row: usize) -> &[f64] {
        self.all.contributions(self.rows.start + row)
    }

    /// Variance that curvature adds to result `row` (JCGM 100:2008, 5.1.2 note).
    pub fn second_order(&self, row: usize) -> f64 {
        self.all.second_order[self.rows.clone()][row]
    }

    /// Combined standard uncertainty of result `row`.
    pub fn standard_uncertainty(&self, row: usize) -> f64 {
        let linear: f64 = self.contributions(row).iter().map(|c| c * c).sum();
        (linear + self.second_order(row)).sqrt()
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

    /// The results of some rows on their own.
    #[must_use]
    pub fn rows(&self, rows: Range<usize>) -> Estimates {
        let start = self.rows.start;
        Estimates { all: Arc::clone(&self.all), rows: start + rows.start..start + rows.end }
    }
}

/// How many inputs are differentiated for in one pass. Few, because inputs that stand together (a chart's rows, then
/// the cockpit's) move the same formulas: in most passes half of them have no derivative to carry.
const LANES: usize = 8;
/// How many inputs get second derivatives: those that move the results most. The rest curve too little to matter,
/// because what curvature adds goes with the square of the movement; a test holds this against all inputs.
const CURVED: usize = 4;

/// Propagates the tolerance of independent inputs through a formula, to first order from exact derivatives in all
/// `inputs`, and to second order in the few that move the results most.
///
/// ```
/// use knockon_engine::{Scalar, tolerance::{Formula, Uncertain, propagate}};
/// struct Difference;
/// impl Formula for Difference {
///     fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
///         vec![numbers[1] - numbers[0]]
///     }
/// }
/// // Two lengths by the same tape (input 0, 1 mm) and each with its own reading (0.5 mm): the tape cancels.
/// let numbers = [
///     Uncertain { value: 556.0, moves: vec![(0, 1.0), (1, 0.5)] },
///     Uncertain { value: 576.0, moves: vec![(0, 1.0), (2, 0.5)] },
/// ];
/// let estimates = propagate(&Difference, &numbers, 3);
/// assert_eq!(estimates.value(0), 20.0);
/// assert!((estimates.standard_uncertainty(0) - 0.5_f64.sqrt()).abs() < 1e-12);
/// ```
pub fn propagate<F: Formula>(formula: &F, numbers: &[impl Borrow<Uncertain>], inputs: usize) -> Estimates {
    propagate_curved::<F, CURVED>(formula, numbers, inputs)
}

/// [`propagate`] with second derivatives in the `N` inputs that move the results most.
pub fn propagate_curved<F: Formula, const N: usize>(
    formula: &F,
    numbers: &[impl Borrow<Uncertain>],
    inputs: usize,
) -> Estimates {
    let numbers: Vec<&Uncertain> = numbers.iter().map(Borrow::borrow).collect();
    let mut all = first_order(formula, &numbers, inputs);
    second_order::<F, N>(formula, &numbers, &mut all);
    all.into()
}

/// [`propagate`] to first order alone, for long lists of results that no derivative vanishes for.
pub fn propagate_linear<F: Formula>(
    formula: &F,
    numbers: &[impl Borrow<Uncertain>],
    inputs: usize,
) -> Estimates {
    let numbers: Vec<&Uncertain> = numbers.iter().map(Borrow::borrow).collect();
    first_order(formula, &numbers, inputs).into()
}

impl From<All> for Estimates {
    fn from(all: All) -> Self {
        let rows = 0..all.values.len();
        Estimates { all: Arc::new(all), rows }
    }
}

fn first_order<F: Formula>(formula: &F, numbers: &[&Uncertain], inputs: usize) -> All {
    let plain: Vec<f64> = numbers.iter().map(|number| number.value).collect();
    let values = formula.results(&plain);
    let rows = values.len();
    let mut all =
        All { values, contributions: vec![0.0; rows * inputs], second_order: vec![0.0; rows], inputs };
    // Inputs that move no number have no derivative to find.
    let mut moves = vec![false; inputs];
    for (input, _) in numbers.iter().flat_map(|number| &number.moves) {
        moves[*input] = true;
    }
    let moving: Vec<usize> = (0..inputs).filter(|input| moves[*input]).collect();
    let mut lanes = vec![None; inputs];
    for chosen in moving.chunks(LANES) {
        for (lane, input) in chosen.iter().enumerate() {
            lanes[*input] = Some(lane);
        }
        pass(formula, numbers, chosen, &lanes, &mut all);
        for input in chosen {
            lanes[*input] = None;
        }
    }
    all
}

/// The first derivatives in as many inputs as one pass takes; `lane_of` has the place of each of them.
fn pass<F: Formula>(
    formula: &F,
    numbers: &[&Uncertain],
    chosen: &[usize],
    lane_of: &[Option<usize>],
    estimates: &mut All,
) {
    let seeded: Vec<DualSVec64<LANES>> = numbers
        .iter()
        .map(|number| {
            let mut lanes: Option<SVector<f64, LANES>> = None;
            for &(input, by) in &number.moves {
                if let Some(lane) = lane_of[input] {
                    lanes.get_or_insert_with(SVector::zeros)[lane] += by;
                }
            }
            DualSVec64::new(number.value, Derivative::new(lanes))
        })
        .collect();
    for (row, result) in formula.results(&seeded).iter().enumerate() {
        if let Some(lanes) = &result.eps.0 {
            let start = row * estimates.inputs;
            for (input, by) in chosen.iter().zip(lanes.as_slice()) {
                estimates.contributions[start + input] = *by;
            }
        }
    }
}

/// Adds ½ Σᵢⱼ (∂²f/∂xᵢ∂xⱼ)² uᵢ² uⱼ², the part of JCGM 100:2008 5.1.2 that does not vanish with the first derivative.
fn second_order<F: Formula, const N: usize>(formula: &F, numbers: &[&Uncertain], estimates: &mut All) {
    let inputs = most_moving_inputs(formula, estimates, N);
    let seeded: Vec<Dual2SVec64<N>> = numbers
        .iter()
        .map(|number| {
            let mut lanes: Option<RowSVector<f64, N>> = None;
            for &(input, by) in &number.moves {
                if let Some(lane) = inputs.iter().position(|chosen| *chosen == input) {
                    lanes.get_or_insert_with(RowSVector::zeros)[lane] += by;
                }
            }
            Dual2SVec64::new(number.value, Derivative::new(lanes), Derivative::none())
        })
        .collect();
    for (row, result) in formula.results(&seeded).iter().enumerate() {
        estimates.second_order[row] = result.v2.0.map_or(0.0, |hessian| 0.5 * hessian.norm_squared());
    }
}

/// The inputs that move some result most, counted in each result's own unit.
fn most_moving_inputs<F: Formula>(formula: &F, estimates: &All, count: usize) -> Vec<usize> {
    let mut movement = vec![0.0_f64; estimates.inputs];
    for row in 0..estimates.values.len() {
        let Some(unit) = formula.unit(row) else { continue };
        for (most, by) in movement.iter_mut().zip(estimates.contributions(row)) {
            // A result that is not known has NaN contributions: f64::max passes over them.
            *most = most.max(by.abs() / unit);
        }
    }
    // An input whose first derivative vanishes comes last and is not left out: it may move a result by its curvature.
    let mut order: Vec<usize> = (0..movement.len()).collect();
    order.sort_by(|a, b| movement[*b].total_cmp(&movement[*a]));
    order.truncate(count);
    order
}
