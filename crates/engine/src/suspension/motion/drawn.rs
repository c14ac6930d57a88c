//! A linkage as drawn, sorted into a tree: where its coordinates put the bodies, and the equations that they must meet.

use crate::Scalar;
use crate::geometry::point::{FramePoint, FrameVector};
use crate::suspension::linkage::{Linkage, MOST_BODIES, Placement, Pose, Stuck};

use super::matrix::Matrix;
use super::proper::{Span, idle_link};
use super::tree::{MOST, Tree};

/// A linkage's numbers in the order in which the solver meets them.
///
/// A coordinate is a turn in radians, or a slide in units of [`Drawn::size`]; an equation is in mm. So a coordinate's
/// velocity and an entry of the Jacobian mean about the same for turns and slides, and pivoting by size is fair.
#[derive(Clone, Copy, Debug)]
pub struct Drawn<T> {
    /// Its joints, sorted.
    pub tree: Tree,
    /// Widest extent of joints and eyes, mm.
    pub size: f64,
    /// Farthest coordinate of joints and eyes, mm: what rounding is proportional to.
    pub far: f64,
    /// How many joints there are.
    pub joints: usize,
    /// The shock's length, mm.
    pub shock: T,
    branches: [Spot<T>; MOST],
    closures: [Spot<T>; MOST],
    eyes: [(usize, FramePoint<T>); 2],
    axle: (usize, FramePoint<T>),
}

/// A joint's point and, where it slides, its line's direction.
#[derive(Clone, Copy, Debug)]
struct Spot<T> {
    point: FramePoint<T>,
    line: FrameVector<T>,
}

/// Where the coordinates put the bodies.
#[derive(Clone, Copy, Debug)]
pub struct State<T> {
    turns: [(T, T); MOST_BODIES],
    shifts: [FrameVector<T>; MOST_BODIES],
    /// Per coordinate the velocity, per unit of it, of a point that what it moves has at the frame's origin.
    twists: [FrameVector<T>; MOST],
}

impl<T: Scalar> Drawn<T> {
    /// Sorts `linkage`.
    ///
    /// # Errors
    /// Where the layout is no linkage, a number is not finite, or places coincide that must not.
    pub fn new(linkage: &Linkage<T>) -> Result<Self, Stuck> {
        let layout = &*linkage.layout;
        let tree = Tree::new(layout)?;
        let zero = T::from(0.0);
        let nowhere = Spot { point: FramePoint { x: zero, y: zero }, line: FrameVector { x: zero, y: zero } };
        let mut span = Span::default();
        let mut spot = |joint: usize, point: usize, slide: Option<usize>| {
            let misplaced = Stuck::Misplaced { joint: Some(joint) };
            let point = *linkage.points.get(point).ok_or(misplaced)?;
            let line = match slide {
                None => nowhere.line,
                Some(direction) => {
                    let angle = linkage.directions.get(direction).ok_or(misplaced)?;
                    if !angle.re().is_finite() {
                        return Err(misplaced);
                    }
                    let (sin, cos) = angle.sin_cos();
                    FrameVector { x: cos, y: sin }
                }
            };
            if span.take(&point) { Ok(Spot { point, line }) } else { Err(misplaced) }
        };
        let (mut branches, mut closures) = ([nowhere; MOST], [nowhere; MOST]);
        for (place, branch) in branches.iter_mut().zip(tree.branches()) {
            *place = spot(branch.joint, branch.point, branch.slide)?;
        }
        for (place, closure) in closures.iter_mut().zip(tree.closures()) {
            *place = spot(closure.joint, closure.point, closure.slide)?;
        }
        let nameless = Stuck::Misplaced { joint: None };
        let mut eyes = [(0, nowhere.point); 2];
        for (place, eye) in eyes.iter_mut().zip(&layout.eyes) {
            *place = (eye.body, *linkage.points.get(eye.point).ok_or(nameless)?);
            if !span.take(&place.1) {
                return Err(nameless);
            }
        }
        let shock = linkage.drawn_shock();
        let finite = linkage.axle.x.re().is_finite() && linkage.axle.y.re().is_finite();
        let (size, far) = span.size();
        let apart = shock.re() > 1e-9 * size.max(far * 1e-3);
        if !finite || !size.is_finite() || !apart {
            return Err(nameless);
        }
        idle_link(linkage, size)?;
        let axle = (layout.axle, linkage.axle);
        let joints = layout.joints.len();
        Ok(Drawn { tree, size, far, joints, shock, branches, closures, eyes, axle })
    }

    /// Puts the bodies where the coordinates say.
    pub fn placed<const N: usize>(&self, coordinates: &[T; N]) -> State<T> {
        let (zero, one) = (T::from(0.0), T::from(1.0));
        let still = FrameVector { x: zero, y: zero };
        let mut state =
            State { turns: [(one, zero); MOST_BODIES], shifts: [still; MOST_BODIES], twists: [still; MOST] };
        self.place(coordinates, &mut state);
        state
    }

    /// The same, into a state of this linkage.
    #[inline]
    pub fn place<const N: usize>(&self, coordinates: &[T; N], state: &mut State<T>) {
        self.arrange(coordinates, coordinates, state, |angle, _| {
            let (sin, cos) = angle.sin_cos();
            (cos, sin)
        });
    }

    /// The same, from a state that is off by small `changes` of the coordinates: below 1e-4 the series is exact to rounding,
    /// and sines and cosines are what placing costs most.
    #[inline]
    pub fn nudge<const N: usize>(&self, coordinates: &[T; N], changes: &[T; N], state: &mut State<T>) {
        self.arrange(coordinates, changes, state, |angle, (cos, sin)| {
            let square = angle * angle;
            let (less, across) = (square * 0.5, angle - angle * square * (1.0 / 6.0));
            (cos - cos * less - sin * across, sin - sin * less + cos * across)
        });
    }

    /// Puts the bodies where the coordinates say. `turned` gives a body's cosine and sine from the sum of `turns` along its
    /// chain and what it had.
    #[inline]
    fn arrange<const N: usize>(
        &self,
        coordinates: &[T; N],
        turns: &[T; N],
        state: &mut State<T>,
        turned: impl Fn(T, (T, T)) -> (T, T),
    ) {
        let mut angles = [T::from(0.0); MOST_BODIES];
        for (index, branch) in self.tree.branches().iter().enumerate().take(N) {
            let Spot { point, line } = self.branches[index];
            let here = state.at(branch.parent, point);
            if branch.slide.is_some() {
                let turn = state.turns[branch.parent];
                let unit = if branch.outward { self.size } else { -self.size };
                let along = line.turned(turn.0, turn.1);
                let twist = FrameVector { x: along.x * unit, y: along.y * unit };
                let shift = state.shifts[branch.parent];
                angles[branch.body] = angles[branch.parent];
                state.turns[branch.body] = turn;
                state.shifts[branch.body] = FrameVector {
                    x: shift.x + twist.x * coordinates[index],
                    y: shift.y + twist.y * coordinates[index],
                };
                state.twists[index] = twist;
            } else {
                let angle = angles[branch.parent] + turns[index];
                let (cos, sin) = turned(angle, state.turns[branch.body]);
                let arm = FrameVector { x: point.x, y: point.y }.turned(cos, sin);
                angles[branch.body] = angle;
                state.turns[branch.body] = (cos, sin);
                state.shifts[branch.body] = FrameVector { x: here.x - arm.x, y: here.y - arm.y };
                state.twists[index] = FrameVector { x: here.y, y: -here.x };
            }
        }
    }

    /// By how much each equation is missed, mm: two per loop, the shock's last.
    ///
    /// A pivot's two points coincide; a slide's point stays on its line, and its bodies do not turn against each other;
    /// the eyes are as far apart as the drawn length less `compression`.
    #[inline]
    pub fn residual<const N: usize>(&self, state: &State<T>, compression: T) -> [T; N] {
        let mut result = [T::from(0.0); N];
        for (index, closure) in self.tree.closures().iter().enumerate().take(N / 2) {
            let Spot { point, line } = self.closures[index];
            let [first, second] = closure.bodies;
            let gap = between(state.at(first, point), state.at(second, point));
            let pair = match closure.slide {
                None => [gap.x, gap.y],
                Some(_) => {
                    let (along, (_, sin)) = (state.direction(first, line), state.turn_between(first, second));
                    [along.x * gap.y - along.y * gap.x, sin * self.size]
                }
            };
            result[2 * index] = pair[0];
            result[2 * index + 1] = pair[1];
        }
        let eyes = self.eyes.map(|(body, point)| state.at(body, point));
        let line = between(eyes[0], eyes[1]);
        result[N - 1] = length(line) - self.shock + compression;
        result
    }

    /// Derivatives of the equations by the coordinates.
    #[inline]
    #[allow(clippy::needless_range_loop, reason = "a matrix is read by row and column")]
    pub fn jacobian<const N: usize>(&self, state: &State<T>) -> Matrix<T, N> {
        let mut result = [[T::from(0.0); N]; N];
        for (index, closure) in self.tree.closures().iter().enumerate().take(N / 2) {
            let Spot { point, line } = self.closures[index];
            let [first, second] = closure.bodies;
            let [start, end] = closure.bodies.map(|body| state.at(body, point));
            let along = state.direction(first, line);
            let gap = between(start, end);
            for column in 0..N {
                let [with, to] = closure.bodies.map(|body| self.tree.path[body] >> column & 1 == 1);
                if !with && !to {
                    continue;
                }
                let velocity = self.opening(state, column, [(with, start), (to, end)]);
                let pair = if closure.slide.is_none() {
                    [velocity.x, velocity.y]
                } else {
                    let mut across = along.x * velocity.y - along.y * velocity.x;
                    let mut turning = T::from(0.0);
                    if self.turns(column) {
                        let (cos, _) = state.turn_between(first, second);
                        if with {
                            across -= along.x * gap.x + along.y * gap.y;
                            turning -= cos * self.size;
                        }
                        if to {
                            turning += cos * self.size;
                        }
                    }
                    [across, turning]
                };
                result[2 * index][column] = pair[0];
                result[2 * index + 1][column] = pair[1];
            }
        }
        let [start, end] = self.eyes.map(|(body, point)| state.at(body, point));
        let line = between(start, end);
        let inverse = length(line).recip();
        let unit = FrameVector { x: line.x * inverse, y: line.y * inverse };
        for column in 0..N {
            let [with, to] = self.eyes.map(|(body, _)| self.tree.path[body] >> column & 1 == 1);
            if with || to {
                let velocity = self.opening(state, column, [(with, start), (to, end)]);
                result[N - 1][column] = unit.x * velocity.x + unit.y * velocity.y;
            }
        }
        result
    }

    /// What is asked of the equations per mm of compression: the loops stay closed, the shock gets shorter.
    pub fn driven<const N: usize>() -> [T; N] {
        let mut result = [T::from(0.0); N];
        result[N - 1] = T::from(-1.0);
        result
    }

    /// The pose, by the coordinates' `rates` per mm of compression.
    #[inline]
    pub fn pose<const N: usize>(&self, state: &State<T>, rates: &[T; N], compression: T) -> Pose<T> {
        let mut bodies = [Placement::at_rest(); MOST_BODIES];
        let zero = T::from(0.0);
        let mut fields = [(zero, FrameVector { x: zero, y: zero }); MOST_BODIES];
        for (index, branch) in self.tree.branches().iter().enumerate().take(N) {
            let (mut spin, mut field) = fields[branch.parent];
            if branch.slide.is_none() {
                spin += rates[index];
            }
            field.x += state.twists[index].x * rates[index];
            field.y += state.twists[index].y * rates[index];
            fields[branch.body] = (spin, field);
            let shift = state.shifts[branch.body];
            bodies[branch.body] = Placement {
                turn_cos_sin: state.turns[branch.body],
                shift,
                spin,
                drift: FrameVector { x: field.x - spin * shift.y, y: field.y + spin * shift.x },
            };
        }
        let carrier = &bodies[self.axle.0];
        let (axle, axle_velocity) = (carrier.place(self.axle.1), carrier.velocity(self.axle.1));
        Pose { compression, bodies, axle, axle_velocity }
    }

    /// How fast the eye moves that moves most, mm per unit, where the coordinates go `way`.
    pub fn eyes_move<const N: usize>(&self, state: &State<T>, way: &[T; N]) -> f64 {
        let speed = |(body, point): (usize, FramePoint<T>)| {
            let at = state.at(body, point);
            let mut sum = FrameVector { x: T::from(0.0), y: T::from(0.0) };
            for (column, by) in way.iter().enumerate() {
                if self.tree.path[body] >> column & 1 == 1 {
                    let velocity = self.opening(state, column, [(false, at), (true, at)]);
                    sum.x += velocity.x * *by;
                    sum.y += velocity.y * *by;
                }
            }
            length(sum).re()
        };
        let [one, two] = self.eyes.map(speed);
        one.max(two)
    }

    /// The coordinate of a slide whose parent and body are shifted and turned so.
    pub fn slid(&self, index: usize, turn: (T, T), parent: FrameVector<T>, body: FrameVector<T>) -> T {
        let along = self.branches[index].line.turned(turn.0, turn.1);
        let slid = (along.x * (body.x - parent.x) + along.y * (body.y - parent.y)) / self.size;
        if self.tree.branches()[index].outward { slid } else { -slid }
    }

    fn turns(&self, column: usize) -> bool {
        self.tree.branches()[column].slide.is_none()
    }

    /// Velocity of a gap's second end against its first, per unit of a coordinate that moves those that are marked.
    #[inline]
    fn opening(&self, state: &State<T>, column: usize, ends: [(bool, FramePoint<T>); 2]) -> FrameVector<T> {
        let turns = self.turns(column);
        let twist = state.twists[column];
        let velocity = |point: FramePoint<T>| {
            if turns { FrameVector { x: twist.x - point.y, y: twist.y + point.x } } else { twist }
        };
        match ends {
            [(false, _), (true, end)] => velocity(end),
            [(true, start), (false, _)] => {
                let back = velocity(start);
                FrameVector { x: -back.x, y: -back.y }
            }
            [(_, start), (_, end)] => {
                let (from, to) = (velocity(start), velocity(end));
                FrameVector { x: to.x - from.x, y: to.y - from.y }
            }
        }
    }
}

impl<T: Scalar> State<T> {
    #[inline]
    fn at(&self, body: usize, drawn: FramePoint<T>) -> FramePoint<T> {
        let arm = self.direction(body, FrameVector { x: drawn.x, y: drawn.y });
        FramePoint { x: arm.x + self.shifts[body].x, y: arm.y + self.shifts[body].y }
    }

    #[inline]
    fn direction(&self, body: usize, drawn: FrameVector<T>) -> FrameVector<T> {
        drawn.turned(self.turns[body].0, self.turns[body].1)
    }

    /// Cosine and sine of a body's turn against another.
    #[inline]
    fn turn_between(&self, from: usize, to: usize) -> (T, T) {
        let ((a, b), (c, d)) = (self.turns[from], self.turns[to]);
        (c * a + d * b, d * a - c * b)
    }
}

#[inline]
pub fn between<T: Scalar>(from: FramePoint<T>, to: FramePoint<T>) -> FrameVector<T> {
    FrameVector { x: to.x - from.x, y: to.y - from.y }
}

#[inline]
fn length<T: Scalar>(vector: FrameVector<T>) -> T {
    (vector.x * vector.x + vector.y * vector.y).sqrt()
}
