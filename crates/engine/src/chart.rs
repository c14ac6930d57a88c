//! Solving a geometry chart, and auditing it.
//!
//! A chart is a set of observations of one geometry, usually with too many rows and some missing. It is solved by
//! weighted least squares (Gauss–Newton) under one hard condition: the bike that the chart describes stands level on
//! its own fork and wheels. What the rows then disagree about is the audit's matter.

use nalgebra::{DMatrix, DVector, SVector};
use num_dual::{Derivative, DualSVec64};

use crate::Scalar;
use crate::bike::{Bike, Parameter};
use crate::change::section_height;
use crate::geometry::FramePoints;
use crate::quantity::Quantity;
use crate::quantity::standing;

/// The parameters that a chart determines.
pub const UNKNOWNS: [Parameter; 13] = [
    Parameter::Stack,
    Parameter::Reach,
    Parameter::HeadAngle,
    Parameter::SeatAngle,
    Parameter::HeadTube,
    Parameter::LowerStack,
    Parameter::AxleToCrown,
    Parameter::ForkOffset,
    Parameter::Chainstay,
    Parameter::BottomBracketDrop,
    Parameter::FrontRadius,
    Parameter::RearRadius,
    Parameter::SectionRatio,
];

/// What one row of a chart observes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Observes {
    /// One of the [`UNKNOWNS`] itself.
    Parameter(Parameter),
    /// A quantity of the bike in the chart pose, such as wheelbase or trail.
    Quantity(Quantity),
    /// Crown race seat to axle measured straight: √(axle to crown² + offset²).
    AxleToCrownStraight,
    /// The nominal width of a tyre on a rim with this bead seat radius, mm, seen through the wheel's radius.
    FrontTyre {
        /// Bead seat radius, mm.
        bead_seat_radius: f64,
    },
    /// The same at the rear.
    RearTyre {
        /// Bead seat radius, mm.
        bead_seat_radius: f64,
    },
}

/// One observation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// What is observed.
    pub observes: Observes,
    /// Its value, mm or radians (a plain number for the section ratio).
    pub value: f64,
    /// Its standard uncertainty, in the same unit; positive.
    pub uncertainty: f64,
}

/// A solved chart.
#[derive(Clone, Debug)]
pub struct Solved {
    /// Value of each of the [`UNKNOWNS`].
    pub values: [f64; UNKNOWNS.len()],
    /// `movement[(unknown, row)]`: how far the unknown moves per standard uncertainty of the row.
    pub movement: DMatrix<f64>,
    /// One check per row, in the rows' order.
    pub checks: Vec<Check>,
    /// Sum of squared weighted residuals.
    pub chi_squared: f64,
    /// Number of conditions that the rows over-determine.
    pub redundancy: f64,
    residual_cofactors: DMatrix<f64>,
}

/// What the solution says of one row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// The value that the solved chart gives for the row.
    pub fitted: f64,
    /// Observed minus fitted.
    pub residual: f64,
    /// Share of an error in the row that would show in its residual, 0 to 1: the row's redundancy number.
    pub redundancy: f64,
    /// Residual over its own standard deviation (Baarda's w); `None` when no other row checks this one.
    pub normalised: Option<f64>,
}

/// Why a chart cannot be solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChartError {
    /// Nothing, not even a prior, says how large this parameter is.
    #[error("no row and no prior determines {0:?}")]
    Undetermined(Parameter),
    /// The rows contradict each other so strongly that no geometry comes near them.
    #[error("the rows describe no possible bike")]
    Impossible,
}

/// Two-sided critical value of the normal distribution at α = 0.001, for Baarda's data snooping.
/// Source: the quantile itself; its use: Baarda, "A testing procedure for use in geodetic networks", 1968 (citation
/// from memory).
pub const CRITICAL: f64 = 3.290_526_731_491_9;

/// Rows whose residuals correlate beyond this cannot be told apart.
const ALIKE: f64 = 0.995;
/// Most Gauss–Newton steps.
const MOST_STEPS: usize = 80;
/// An unknown has settled when it moves by no more than this part of its standard uncertainty.
const SETTLED: f64 = 1e-8;
/// After this many steps the end of a slow way is near enough when a step is this short: rows that contradict each other
/// strongly bend it so that it is approached by ever the same small part.
const PATIENCE: usize = 30;
/// See [`PATIENCE`].
const NEARLY: f64 = 0.02;
/// What two sums of squares may differ by for nothing but rounding.
const ROUNDING: f64 = 1e-9;
/// Least damping that is tried, as a share of the normal matrix's diagonal.
const STIFF: f64 = 1e-4;
/// With more damping than this a step leads nowhere.
const STIFFEST: f64 = 1e12;
/// A row with less redundancy than this is checked by nothing.
const UNCHECKED: f64 = 1e-6;

type Dual = DualSVec64<{ UNKNOWNS.len() }>;
const N: usize = UNKNOWNS.len();

/// Solves the chart.
///
/// Every unknown needs a row of its own, which may be a wide prior.
///
/// # Errors
/// When an unknown has no row, or the iteration does not settle.
pub fn solve(rows: &[Row]) -> Result<Solved, ChartError> {
    let mut x = level(first_guess(rows)?);
    let mut system = System::at(&x, rows);
    let mut damping = 0.0;
    for patience in (0..MOST_STEPS).map(|step: usize| PATIENCE.saturating_sub(step)) {
        let (step, cofactors) = system.step(damping).ok_or(ChartError::Impossible)?;
        // The longest move of an unknown, in its own standard uncertainties.
        let longest =
            (0..N).map(|i| step[i].abs() / cofactors[(i, i)].max(0.0).sqrt().max(1e-9)).fold(0.0, f64::max);
        let settled = damping < STIFF && longest <= SETTLED;
        let next = level(std::array::from_fn(|i| x[i] + step[i]));
        let there = System::at(&next, rows);
        let cost = system.cost();
        if there.cost() <= cost * (1.0 + ROUNDING) + ROUNDING {
            (x, system) = (next, there);
            damping = if damping < STIFF { 0.0 } else { damping * 0.2 };
            if settled || (patience == 0 && longest <= NEARLY) {
                return system.conclude(x, rows).ok_or(ChartError::Impossible);
            }
        } else {
            // Rows that contradict each other bend the way: a shorter step, nearer to the steepest way down.
            damping = (damping * 5.0).max(STIFF);
            if damping > STIFFEST {
                break;
            }
        }
    }
    // As near as it gets. Only rows that contradict each other wildly end here, and the suspects will say which.
    if system.cost().is_finite() {
        system.conclude(x, rows).ok_or(ChartError::Impossible)
    } else {
        Err(ChartError::Impossible)
    }
}

/// The same unknowns with the stack that lets the bike stand level. All solutions do, so that steps between such bikes
/// have nothing but the rows to mind.
fn level(mut x: [f64; N]) -> [f64; N] {
    let mut bike = Bike::unknown();
    for (parameter, value) in UNKNOWNS.iter().zip(&x) {
        *bike.get_mut(*parameter) = *value;
    }
    // The stack is the first of the unknowns, and lifts the front axle one for one.
    x[0] -= off_level(&bike);
    x
}

/// How much too high the front axle lies for a bike that stands level: above the rear axle by more than the front wheel is
/// larger.
fn off_level<T: Scalar>(bike: &Bike<T>) -> T {
    let points = FramePoints::new(bike, T::from(0.0));
    points.front_axle.y - points.rear_axle.y - (bike.front_radius - bike.rear_radius)
}

/// A row that the others speak against.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// Index of the row.
    pub row: usize,
    /// Its normalised residual when it was found.
    pub normalised: f64,
    /// What the rows that remain without it say the value should be, and that value's standard uncertainty.
    pub expected: (f64, f64),
    /// Rows whose residuals are as large and cannot be told apart from this one's.
    pub alike: Vec<usize>,
}

/// Names the rows beyond [`CRITICAL`], one at a time, the largest first: each is set aside before the next is looked
/// for. Nothing is dropped from the solution.
pub fn suspects(rows: &[Row]) -> Result<Vec<Suspect>, ChartError> {
    let mut kept: Vec<usize> = (0..rows.len()).collect();
    let mut found = Vec::new();
    loop {
        let current: Vec<Row> = kept.iter().map(|row| rows[*row]).collect();
        let solved = solve(&current)?;
        let worst = (0..current.len())
            .filter_map(|row| Some((row, solved.checks[row].normalised?)))
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let Some((worst, normalised)) = worst.filter(|(_, w)| w.abs() > CRITICAL) else {
            return Ok(found);
        };
        let alike = solved.alike(worst).into_iter().map(|row| kept[row]).collect();
        let row = kept.remove(worst);
        let mut without: Vec<Row> = kept.iter().map(|row| rows[*row]).collect();
        // The row stays in with hardly any weight, so that an unknown which only it observes keeps a value.
        without.push(Row { uncertainty: rows[row].uncertainty * 1e4, ..rows[row] });
        let rest = solve(&without)?;
        let expected =
            (rest.checks[without.len() - 1].fitted, rest.fitted_uncertainty(&without, without.len() - 1));
        found.push(Suspect { row, normalised, expected, alike });
        if kept.len() < N || determined_alone(rows, row, &kept) {
            return Ok(found);
        }
    }
}

/// Whether the row was the last row of its own that its unknown had.
fn determined_alone(rows: &[Row], row: usize, kept: &[usize]) -> bool {
    let unknown = rows[row].observes.unknown();
    unknown.is_some() && !kept.iter().any(|other| rows[*other].observes.unknown() == unknown)
}

impl Observes {
    /// The unknown that the row is a row of its own for.
    pub fn unknown(&self) -> Option<Parameter> {
        match self {
            Observes::Parameter(parameter) => Some(*parameter),
            Observes::AxleToCrownStraight => Some(Parameter::AxleToCrown),
            Observes::FrontTyre { .. } => Some(Parameter::FrontRadius),
            Observes::RearTyre { .. } => Some(Parameter::RearRadius),
            Observes::Quantity(_) => None,
        }
    }

    /// What a bike in the chart pose would show in this row, which says `given`.
    fn predict<T: Scalar>(&self, given: f64, bike: &Bike<T>, quantities: &[T; Quantity::COUNT]) -> T {
        // Inverse of `section_height`. Two widths may have one height (26 and 28.5 mm, say); the marking says which.
        let above_marking = section_height(given, 1.0) - given;
        let width = |radius: T, bead_seat_radius: f64| {
            (radius - bead_seat_radius) / bike.section_ratio - above_marking
        };
        match self {
            Observes::Parameter(parameter) => *bike.get(*parameter),
            Observes::Quantity(quantity) => quantities[*quantity as usize],
            Observes::AxleToCrownStraight => {
                (bike.axle_to_crown * bike.axle_to_crown + bike.fork_offset * bike.fork_offset).sqrt()
            }
            Observes::FrontTyre { bead_seat_radius } => width(bike.front_radius, *bead_seat_radius),
            Observes::RearTyre { bead_seat_radius } => width(bike.rear_radius, *bead_seat_radius),
        }
    }
}

fn first_guess(rows: &[Row]) -> Result<[f64; N], ChartError> {
    let mut x = [0.0; N];
    for (slot, parameter) in x.iter_mut().zip(UNKNOWNS) {
        *slot = rows
            .iter()
            .find(|row| row.observes.unknown() == Some(parameter))
            .map(|row| match row.observes {
                Observes::FrontTyre { bead_seat_radius } | Observes::RearTyre { bead_seat_radius } => {
                    bead_seat_radius + section_height(row.value, 1.0)
                }
                _ => row.value,
            })
            .ok_or(ChartError::Undetermined(parameter))?;
    }
    Ok(x)
}

/// The linearised problem at one point.
struct System {
    design: DMatrix<f64>,
    misclosure: DVector<f64>,
    weights: DVector<f64>,
    condition: SVector<f64, N>,
    condition_misclosure: f64,
    fitted: DVector<f64>,
}

impl System {
    fn at(x: &[f64; N], rows: &[Row]) -> Self {
        let mut bike = Bike::<Dual>::constant(&Bike::unknown());
        for (index, (parameter, value)) in UNKNOWNS.iter().zip(x).enumerate() {
            *bike.get_mut(*parameter) = Dual::from(*value).derivative(index);
        }
        let quantities = standing(&bike);
        let count = rows.len();
        let mut design = DMatrix::zeros(count, N);
        let mut fitted = DVector::zeros(count);
        for (index, row) in rows.iter().enumerate() {
            let predicted = row.observes.predict(row.value, &bike, &quantities);
            fitted[index] = predicted.re;
            design.row_mut(index).copy_from(&gradient(&predicted).transpose());
        }
        let level = off_level(&bike);
        System {
            misclosure: DVector::from_iterator(
                count,
                rows.iter().zip(fitted.iter()).map(|(row, f)| row.value - f),
            ),
            weights: DVector::from_iterator(count, rows.iter().map(|row| row.uncertainty.powi(-2))),
            condition: gradient(&level),
            condition_misclosure: -level.re,
            design,
            fitted,
        }
    }

    /// Sum of the weighted squares of the residuals, which a step must not raise.
    fn cost(&self) -> f64 {
        self.misclosure.iter().zip(&self.weights).map(|(off, weight)| off * off * weight).sum()
    }

    /// The Gauss–Newton step, damped after Levenberg and Marquardt, and the cofactor matrix of the unknowns; that is theirs
    /// without damping only.
    fn step(&self, damping: f64) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let weighted = DMatrix::from_fn(self.design.nrows(), N, |r, c| self.design[(r, c)] * self.weights[r]);
        let normal = self.design.tr_mul(&weighted);
        // Scaling to a unit diagonal keeps radians and millimetres, sharp rows and wide priors, apart from the
        // inversion's rounding.
        let scale: Vec<f64> = (0..N).map(|i| normal[(i, i)].sqrt().recip()).collect();
        let mut kkt = DMatrix::zeros(N + 1, N + 1);
        for i in 0..N {
            for j in 0..N {
                kkt[(i, j)] = normal[(i, j)] * scale[i] * scale[j];
            }
            kkt[(i, i)] += damping;
        }
        let condition: Vec<f64> = (0..N).map(|i| self.condition[i] * scale[i]).collect();
        let size = condition.iter().map(|c| c * c).sum::<f64>().sqrt();
        for (i, value) in condition.iter().enumerate() {
            kkt[(i, N)] = value / size;
            kkt[(N, i)] = value / size;
        }
        let inverse = kkt.try_inverse()?;
        let right = weighted.tr_mul(&self.misclosure);
        let step = DVector::from_fn(N, |i, _| {
            let free: f64 = (0..N).map(|j| inverse[(i, j)] * right[j] * scale[j]).sum();
            scale[i] * (free + inverse[(i, N)] * self.condition_misclosure / size)
        });
        let cofactors = DMatrix::from_fn(N, N, |i, j| inverse[(i, j)] * scale[i] * scale[j]);
        Some((step, cofactors))
    }

    fn conclude(self, values: [f64; N], rows: &[Row]) -> Option<Solved> {
        let (_, cofactors) = self.step(0.0)?;
        let count = rows.len();
        let explained = &self.design * &cofactors * self.design.transpose();
        let residual_cofactors = DMatrix::from_fn(count, count, |i, j| {
            let own = if i == j { rows[i].uncertainty.powi(2) } else { 0.0 };
            own - explained[(i, j)]
        });
        let gain = &cofactors * self.design.transpose();
        let movement =
            DMatrix::from_fn(N, count, |i, j| gain[(i, j)] * self.weights[j] * rows[j].uncertainty);
        let mut redundancy = 0.0;
        let mut chi_squared = 0.0;
        let checks = (0..count)
            .map(|i| {
                let share = residual_cofactors[(i, i)] / rows[i].uncertainty.powi(2);
                redundancy += share;
                chi_squared += self.misclosure[i].powi(2) * self.weights[i];
                let checked = share > UNCHECKED;
                Check {
                    fitted: self.fitted[i],
                    residual: self.misclosure[i],
                    redundancy: share,
                    normalised: checked.then(|| self.misclosure[i] / residual_cofactors[(i, i)].sqrt()),
                }
            })
            .collect();
        Some(Solved { values, movement, checks, chi_squared, redundancy, residual_cofactors })
    }
}

impl Solved {
    /// The value of one unknown.
    pub fn value(&self, parameter: Parameter) -> Option<f64> {
        UNKNOWNS.iter().position(|unknown| *unknown == parameter).map(|index| self.values[index])
    }

    /// Rows whose residuals are tied to this row's, so that an error in one shows equally in all of them.
    pub fn alike(&self, row: usize) -> Vec<usize> {
        let q = &self.residual_cofactors;
        (0..q.nrows())
            .filter(|other| *other != row && self.checks[*other].normalised.is_some())
            .filter(|other| (q[(row, *other)] / (q[(row, row)] * q[(*other, *other)]).sqrt()).abs() > ALIKE)
            .collect()
    }

    /// Standard uncertainty of the value that the solution gives for a row.
    fn fitted_uncertainty(&self, rows: &[Row], row: usize) -> f64 {
        (rows[row].uncertainty.powi(2) - self.residual_cofactors[(row, row)]).max(0.0).sqrt()
    }
}

fn gradient(number: &Dual) -> SVector<f64, N> {
    match number.eps {
        Derivative(Some(lanes), ..) => lanes,
        Derivative(None, ..) => SVector::zeros(),
    }
}
