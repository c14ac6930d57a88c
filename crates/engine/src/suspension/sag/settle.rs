//! Finding where a bike comes to rest, in plain numbers.

use nalgebra::{Matrix2, Vector2};
use num_dual::{Derivative, DualSVec64};

use crate::bike::Bike;

use super::super::linkage::{Linkage, Stuck};
use super::super::placed::Placed;
use super::{Problem, Settled, held};

/// A number with its derivatives by both compressions.
type Moved = DualSVec64<2>;

impl Problem<'_, f64> {
    /// Newton's steps within the strokes. A step that leads to no smaller surplus is halved.
    ///
    /// Where a linkage has several balances this finds one; which, is for nobody to say who does not know how the rider sat down.
    pub(super) fn settle(&self) -> Result<Settled, Stuck> {
        const MOST_STEPS: usize = 60;
        const MOST_HALVES: usize = 10;
        const SETTLED: f64 = 1e-12;
        let by_spring = self.in_balance()?;
        let mut x = self.start(by_spring);
        let mut settled = Settled { compressions: x, by_spring, jacobian: Matrix2::identity() };
        if by_spring == [false; 2] {
            return Ok(settled);
        }
        let bike = Bike::<Moved>::constant(self.placed.bike);
        let linkage = self.placed.linkage.map(Linkage::<Moved>::constant);
        let placed = Placed::new(&bike, linkage.as_ref());
        let moved = Problem {
            placed: &placed,
            rigid_rear: self.rigid_rear,
            springs: self
                .springs
                .map(|spring| spring.map(|spring| spring.map(|&number| Moved::from(number)))),
            told: self.told.map(Moved::from),
            limits: self.limits.map(Moved::from),
        };
        for _ in 0..MOST_STEPS {
            let (surplus, jacobian) = moved.differentiated(x, by_spring)?;
            settled = Settled { compressions: x, by_spring, jacobian };
            let free: [bool; 2] = std::array::from_fn(|end| by_spring[end] && !self.stopped(end, x, surplus));
            let held = held(jacobian, free);
            // Where the leverage rises faster than the spring stiffens nothing rests: on, down the slope, at the spring's pace.
            let rests = held[(0, 0)] > 0.0 && held[(1, 1)] > 0.0 && held.determinant() > 0.0;
            let slope = if rests { held } else { Matrix2::from_diagonal(&self.rates(x).into()) };
            let Some(inverse) = slope.try_inverse() else { break };
            let push = Vector2::from_fn(|end, _| if free[end] { surplus[end] } else { 0.0 });
            let step = inverse * push;
            let moved_by = |part: f64| -> [f64; 2] {
                std::array::from_fn(|end| {
                    if by_spring[end] {
                        (x[end] - step[end] * part).clamp(0.0, self.limits[end])
                    } else {
                        x[end]
                    }
                })
            };
            let full = moved_by(1.0);
            let short = |end: usize| (full[end] - x[end]).abs() <= SETTLED * self.limits[end];
            if !step.iter().all(|it| it.is_finite()) {
                break;
            }
            if (0..2).all(|end| !by_spring[end] || short(end)) {
                settled.compressions = full;
                return Ok(settled);
            }
            let before = self.unrest(x, surplus);
            let mut next = full;
            let mut part = 1.0;
            for _ in 0..if rests { MOST_HALVES } else { 0 } {
                if self.unrest(next, self.surplus(next, by_spring)?) < before {
                    break;
                }
                part *= 0.5;
                next = moved_by(part);
            }
            x = next;
        }
        // A balance that is just about to vanish: Newton may step to and fro over it.
        settled.compressions = self.sink(by_spring)?;
        if settled.compressions.iter().all(|it| it.is_finite()) {
            settled.jacobian = moved.differentiated(settled.compressions, by_spring)?.1;
        }
        Ok(settled)
    }

    /// Lets one end after the other sink from full extension to its first rest, until both rest. Slow and sure: a deeper rear takes
    /// load from the front and the other way round, so that neither goes to and fro. NaN where that does not end either.
    fn sink(&self, by_spring: [bool; 2]) -> Result<[f64; 2], Stuck> {
        const MOST_ROUNDS: usize = 200;
        const SETTLED: f64 = 1e-13;
        let mut x = self.start(by_spring);
        for _ in 0..MOST_ROUNDS {
            let before = x;
            for end in (0..2).filter(|end| by_spring[*end]) {
                x[end] = self.first_rest(end, x, by_spring)?;
            }
            if (0..2).all(|end| !by_spring[end] || (x[end] - before[end]).abs() <= SETTLED * self.limits[end])
            {
                return Ok(x);
            }
        }
        Ok([f64::NAN; 2])
    }

    /// Least compression of one end at which its spring holds, the other end staying; the limit where it never does.
    fn first_rest(&self, end: usize, mut x: [f64; 2], by_spring: [bool; 2]) -> Result<f64, Stuck> {
        const PLACES: usize = 64;
        const HALVES: usize = 52;
        let limit = self.limits[end];
        let mut gives_way = |place: f64| {
            x[end] = place;
            self.surplus(x, by_spring).map(|surplus| surplus[end] < 0.0)
        };
        let (mut low, mut high) = (0.0, 0.0);
        while gives_way(high)? {
            if high >= limit {
                return Ok(limit);
            }
            (low, high) = (high, (high + limit / PLACES as f64).min(limit));
        }
        for _ in 0..HALVES {
            let middle = (low + high) * 0.5;
            if gives_way(middle)? {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(high)
    }

    /// Which ends have a spring and a load that are known.
    fn in_balance(&self) -> Result<[bool; 2], Stuck> {
        let mut by_spring = [0, 1].map(|end| self.springs[end].is_some() && self.limits[end] > 0.0);
        // Without a spring there is nothing to balance, and loads need not be known.
        while by_spring != [false; 2] {
            let forces = self.balance(self.start(by_spring))?.forces;
            let known = [0, 1].map(|end| by_spring[end] && forces[end].is_finite());
            if known == by_spring {
                break;
            }
            by_spring = known;
        }
        Ok(by_spring)
    }

    fn start(&self, by_spring: [bool; 2]) -> [f64; 2] {
        // About where springs settle.
        const GUESS: f64 = 0.25;
        [0, 1].map(|end| if by_spring[end] { self.limits[end] * GUESS } else { self.told[end] })
    }

    /// Rates of the springs, N/mm; 1 where there is none.
    fn rates(&self, x: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|end| self.springs[end].map_or(1.0, |spring| spring.rate(x[end])))
    }

    /// Whether an end rests on its top-out or its bump stop.
    fn stopped(&self, end: usize, x: [f64; 2], surplus: [f64; 2]) -> bool {
        (x[end] <= 0.0 && surplus[end] > 0.0) || (x[end] >= self.limits[end] && surplus[end] < 0.0)
    }

    /// How far from balance, N: what no stop takes up.
    fn unrest(&self, x: [f64; 2], surplus: [f64; 2]) -> f64 {
        (0..2).filter(|end| !self.stopped(*end, x, surplus)).map(|end| surplus[end].abs()).sum()
    }
}

impl Problem<'_, Moved> {
    fn differentiated(
        &self,
        compressions: [f64; 2],
        by_spring: [bool; 2],
    ) -> Result<([f64; 2], Matrix2<f64>), Stuck> {
        let at = std::array::from_fn(|end| Moved::from(compressions[end]).derivative(end));
        let surplus = self.surplus(at, by_spring)?;
        let row = |number: Moved| match number.eps {
            Derivative(Some(lanes), ..) => lanes.transpose(),
            Derivative(None, ..) => Vector2::zeros().transpose(),
        };
        Ok((surplus.map(|number| number.re), Matrix2::from_rows(&surplus.map(row))))
    }
}
