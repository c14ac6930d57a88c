//! From the drawn pose to another, a step at a time, without ever changing to another way to assemble the parts.

use crate::suspension::linkage::{Pose, Stuck};

use super::drawn::{Drawn, State};
use super::matrix::{Factors, Matrix};

/// Farthest that a coordinate goes in one step, radians: well within the reach of the iteration.
const REACH: f64 = 0.15;
/// Smallest step of the compression, mm. One that fails at that length has come to a point that it cannot pass.
const FLOOR: f64 = 1e-7;
/// A coordinate that moves by this many mm per mm of compression is at a dead point; the leverage of a bike is below 5.
const RUNAWAY: f64 = 1e4;
/// Eyes that move by less than this share of the coordinate that moves most stand still.
const STILL: f64 = 3e-3;
/// Most steps to one position. No linkage that stays together needs as many.
const MOST_STEPS: usize = 2000;
/// A correction whose turns, a chain of them added up, are small enough for a short series.
const SMALL: f64 = 1e-5;
/// Most iterations of a step. They double the number of good digits each time.
const MOST_ITERATIONS: usize = 12;

/// A position that has been reached.
#[derive(Clone, Copy)]
struct Place<const N: usize> {
    compression: f64,
    coordinates: [f64; N],
    /// Velocities of the coordinates per mm of compression.
    rates: [f64; N],
    /// Sign of the Jacobian's determinant.
    positive: bool,
}

/// Why a step failed.
struct Fault {
    /// The determinant has changed its sign, or the rates run away.
    dead: bool,
    /// The equation that is missed by most.
    widest: usize,
}

/// A walk of a linkage.
pub struct Walk<'a, const N: usize> {
    drawn: &'a Drawn<f64>,
    here: Place<N>,
    before: Option<Place<N>>,
    state: State<f64>,
    next: State<f64>,
}

impl<'a, const N: usize> Walk<'a, N> {
    /// Begins at the drawn pose.
    ///
    /// # Errors
    /// Where the drawn pose is a dead point.
    pub fn new(drawn: &'a Drawn<f64>) -> Result<Self, Stuck> {
        let coordinates = [0.0; N];
        let state = drawn.placed(&coordinates);
        let factors = Factors::new(drawn.jacobian(&state));
        let rates = factors.solve(&Drawn::driven());
        let here = Place { compression: 0.0, coordinates, rates, positive: factors.positive };
        let walk = Walk { drawn, here, before: None, state, next: state };
        if factors.singular || walk.runs_away(&rates) { Err(walk.limit(0.0)) } else { Ok(walk) }
    }

    /// Goes on to a compression.
    ///
    /// # Errors
    /// Where the linkage cannot get there.
    pub fn to(&mut self, target: f64) -> Result<(), Stuck> {
        if !target.is_finite() {
            return Err(Stuck::Misplaced { joint: None });
        }
        for _ in 0..MOST_STEPS {
            let left = target - self.here.compression;
            if left == 0.0 {
                return Ok(());
            }
            let most = REACH / self.fastest();
            let mut step = left.clamp(-most, most);
            loop {
                let aim = if step == left { target } else { self.here.compression + step };
                match self.step(aim) {
                    Ok(()) => break,
                    Err(_) if step.abs() > FLOOR => step *= 0.5,
                    Err(fault) if fault.dead || self.runs_away(&self.here.rates) => {
                        return Err(self.limit(aim));
                    }
                    Err(fault) => return Err(self.cannot_close(fault.widest, aim)),
                }
            }
        }
        Err(self.cannot_close(N - 1, target))
    }

    /// Where it is now.
    pub fn pose(&self) -> Pose<f64> {
        self.drawn.pose(&self.state, &self.here.rates, self.here.compression)
    }

    /// Newton's iteration from where the curve so far points to. It must contract, and end on this side of dead points.
    #[inline]
    fn step(&mut self, aim: f64) -> Result<(), Fault> {
        let drawn = self.drawn;
        let mut coordinates = self.ahead(aim);
        let mut before = REACH;
        drawn.place(&coordinates, &mut self.next);
        for _ in 0..MOST_ITERATIONS {
            let residual = drawn.residual(&self.next, aim);
            let (widest, open) = widest(&residual);
            let factors = Factors::new(drawn.jacobian(&self.next));
            let correction = factors.solve(&residual);
            let size = largest(&correction);
            let scale = drawn.size.max(drawn.far);
            // Rounding may keep a residual from getting any smaller than that.
            let closed = open <= 2e-14 * scale || (open <= 1e-12 * scale && size > 0.5 * before);
            if closed {
                let rates = factors.solve(&Drawn::driven());
                if factors.singular || factors.positive != self.here.positive || self.runs_away(&rates) {
                    return Err(Fault { dead: true, widest });
                }
                let here = Place { compression: aim, coordinates, rates, positive: factors.positive };
                self.before = Some(self.here);
                self.here = here;
                self.state = self.next;
                return Ok(());
            }
            // Also where it is not a number.
            let contracts = size <= 0.5 * before;
            if !contracts {
                return Err(Fault { dead: false, widest });
            }
            before = size;
            let changes = correction.map(|it| -it);
            for (coordinate, change) in coordinates.iter_mut().zip(&changes) {
                *coordinate += change;
            }
            if size < SMALL {
                drawn.nudge(&coordinates, &changes, &mut self.next);
            } else {
                drawn.place(&coordinates, &mut self.next);
            }
        }
        Err(Fault { dead: false, widest: N - 1 })
    }

    /// The coordinates where the curve through the last two positions and their velocities points to.
    #[inline]
    fn ahead(&self, aim: f64) -> [f64; N] {
        let Place { compression, mut coordinates, rates, .. } = self.here;
        let step = aim - compression;
        for (coordinate, rate) in coordinates.iter_mut().zip(&rates) {
            *coordinate += rate * step;
        }
        let Some(before) = &self.before else { return coordinates };
        let last = compression - before.compression;
        // The cubic magnifies rounding where it is carried far beyond the positions that it knows.
        if step.abs() > 4.0 * last.abs() {
            return coordinates;
        }
        let inverse = last.recip();
        for (index, coordinate) in coordinates.iter_mut().enumerate() {
            let mean = (self.here.coordinates[index] - before.coordinates[index]) * inverse;
            let second = (rates[index] - mean) * inverse;
            let third = (second - (mean - before.rates[index]) * inverse) * inverse;
            *coordinate += step * step * (second + third * (step + last));
        }
        coordinates
    }

    fn fastest(&self) -> f64 {
        largest(&self.here.rates).max(f64::MIN_POSITIVE)
    }

    fn runs_away(&self, rates: &[f64; N]) -> bool {
        // Also where they are not numbers.
        let calm = largest(rates) * self.drawn.size < RUNAWAY;
        !calm
    }

    /// Why the walk ends here, where the Jacobian is singular or next to it.
    ///
    /// The direction that it annuls is how the linkage could go on with the shock held. Where that takes an eye along, the
    /// shock does not decide any more: a dead point, at the joint that moves most. Where the eyes stand still, a loop
    /// beyond them is stretched or folded straight and would not close any further on: it opens at the joint whose
    /// equations weigh most in the combination that no coordinate changes (the direction that the transposed annuls). Where
    /// the shock has no part in that combination the loop can go on in two ways instead: a dead point as well.
    fn limit(&self, aim: f64) -> Stuck {
        let tree = &self.drawn.tree;
        let jacobian: Matrix<f64, N> = self.drawn.jacobian(&self.state);
        let way = annulled(jacobian);
        let closed = 2 * tree.closures().len();
        let mut transposed = jacobian;
        for (row, line) in transposed.iter_mut().enumerate() {
            for (column, entry) in line.iter_mut().enumerate() {
                *entry = jacobian[column][row];
            }
        }
        let needed = annulled(transposed);
        let still = self.drawn.eyes_move(&self.state, &way) < STILL * self.drawn.size;
        if still && needed[closed].abs() > STILL {
            return self.cannot_close(widest(&needed[..closed]).0, aim);
        }
        let (coordinate, _) = widest(&way);
        Stuck::DeadPoint { joint: tree.branches()[coordinate].joint, compression: self.here.compression }
    }

    fn cannot_close(&self, equation: usize, compression: f64) -> Stuck {
        let closure = self.drawn.tree.closures().get(equation / 2);
        Stuck::CannotClose { joint: closure.map_or(self.drawn.joints, |it| it.joint), compression }
    }
}

/// The direction that a nearly singular matrix annuls, its largest entry 1: by inverse iteration.
fn annulled<const N: usize>(matrix: Matrix<f64, N>) -> [f64; N] {
    let factors = Factors::new(matrix);
    let mut way = [1.0; N];
    for _ in 0..3 {
        way = factors.solve(&way);
        let inverse = largest(&way).recip();
        way = way.map(|it| it * inverse);
    }
    way
}

/// Largest magnitude; not a number where one of them is not.
#[inline]
fn largest<const N: usize>(column: &[f64; N]) -> f64 {
    let mut most = 0.0_f64;
    for value in column {
        let size = value.abs();
        if size > most || size.is_nan() {
            most = size;
        }
    }
    most
}

/// The place of the largest magnitude, and that magnitude.
#[inline]
fn widest(column: &[f64]) -> (usize, f64) {
    let mut found = (0, 0.0);
    for (place, value) in column.iter().enumerate() {
        if value.abs() > found.1 || value.is_nan() {
            found = (place, value.abs());
        }
    }
    found
}
