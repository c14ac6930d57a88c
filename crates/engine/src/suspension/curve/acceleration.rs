//! How the rear axle's velocity changes along the stroke: the second derivative of the linkage's position over the
//! compression of the shock, from the velocities that a pose already has.
//!
//! Differentiating a joint's closure twice leaves the unknown accelerations, linear, on one side and products of known
//! velocities on the other. The unknowns are one number per joint of a tree that hangs every body on the front triangle: the
//! turning of a pivot, the sliding of a slide. What is left over, the joints that close loops and the shock's steady
//! shortening, gives as many equations: three for a four-bar, five for six bars.

use crate::Scalar;
use crate::geometry::point::{FramePoint, FrameVector};

use super::super::linkage::{Joint, JointKind, Linkage, MOST_BODIES, Pose};
use super::super::motion::tree::Tree;

/// A number that depends on `N` unknowns linearly: their factors, and what is left without them.
#[derive(Clone, Copy)]
struct Affine<T, const N: usize> {
    factors: [T; N],
    known: T,
}

/// A body's second derivatives: its turn's, and that of the point which the frame's origin was on it.
#[derive(Clone, Copy)]
struct Motion<T, const N: usize> {
    spin: Affine<T, N>,
    x: Affine<T, N>,
    y: Affine<T, N>,
}

impl<T: Scalar, const N: usize> Affine<T, N> {
    fn known(known: T) -> Self {
        Affine { factors: [T::from(0.0); N], known }
    }

    /// `self + other·by`.
    #[inline]
    fn plus(&self, other: &Self, by: T) -> Self {
        let mut sum = *self;
        for (mine, theirs) in sum.factors.iter_mut().zip(&other.factors) {
            *mine += *theirs * by;
        }
        sum.known += other.known * by;
        sum
    }
}

/// Second derivative of the rear axle's place over the compression, per mm. NaN at a dead point.
pub(super) fn of_axle<T: Scalar>(tree: &Tree, linkage: &Linkage<T>, pose: &Pose<T>) -> FrameVector<T> {
    // Every loop takes two freedoms and gives two equations: the unknowns are odd in number. Their number is known when the
    // program is built, so that its loops over them are unrolled.
    let found = match tree.count {
        1 => solved::<T, 1>(tree, linkage, pose),
        3 => solved::<T, 3>(tree, linkage, pose),
        5 => solved::<T, 5>(tree, linkage, pose),
        _ => solved::<T, 7>(tree, linkage, pose),
    };
    let unknown = T::from(f64::NAN);
    found.unwrap_or(FrameVector { x: unknown, y: unknown })
}

fn solved<T: Scalar, const N: usize>(
    tree: &Tree,
    linkage: &Linkage<T>,
    pose: &Pose<T>,
) -> Option<FrameVector<T>> {
    let zero = Affine::<T, N>::known(T::from(0.0));
    let joint = |index: usize| &linkage.layout.joints[index];
    let mut motions = [Motion { spin: zero, x: zero, y: zero }; MOST_BODIES];
    for (unknown, branch) in tree.branches().iter().enumerate() {
        let bodies = [branch.parent, branch.body];
        motions[branch.body] =
            hung(linkage, pose, &motions[branch.parent], joint(branch.joint), bodies, unknown);
    }
    let mut rows = [zero; N];
    for (place, closing) in tree.closures().iter().enumerate() {
        let [one, other] = closure(linkage, pose, &motions, joint(closing.joint));
        (rows[2 * place], rows[2 * place + 1]) = (one, other);
    }
    rows[N - 1] = shock(linkage, pose, &motions);
    let solved = solve(&mut rows)?;
    let carrier = linkage.layout.axle;
    let value = |it: &Affine<T, N>| {
        it.factors.iter().zip(&solved).fold(it.known, |sum, (factor, value)| sum + *factor * *value)
    };
    let motion = &motions[carrier];
    let arm = arm(pose, carrier, linkage.axle);
    let (spin, rate) = (value(&motion.spin), pose.bodies[carrier].spin);
    let inward = rate * rate;
    Some(FrameVector {
        x: value(&motion.x) - spin * arm.y - inward * arm.x,
        y: value(&motion.y) + spin * arm.x - inward * arm.y,
    })
}

/// A point of a body as seen from the point which the frame's origin was on it, by its drawn place.
fn arm<T: Scalar>(pose: &Pose<T>, body: usize, drawn: FramePoint<T>) -> FrameVector<T> {
    let (cos, sin) = pose.bodies[body].turn_cos_sin;
    FrameVector { x: drawn.x, y: drawn.y }.turned(cos, sin)
}

impl<T: Scalar, const N: usize> Motion<T, N> {
    /// Acceleration of a point with that arm on a body that turns at `rate`; with −1 for `sign`, what the origin's
    /// acceleration is when this motion's `x` and `y` are those of the point.
    #[inline]
    fn carried(&self, arm: FrameVector<T>, rate: T, sign: f64) -> (Affine<T, N>, Affine<T, N>) {
        let inward = rate * rate * sign;
        let mut x = self.x.plus(&self.spin, -arm.y * sign);
        let mut y = self.y.plus(&self.spin, arm.x * sign);
        x.known -= inward * arm.x;
        y.known -= inward * arm.y;
        (x, y)
    }
}

/// A slide at one position: its line, and how far and fast the second body's point has gone along it.
struct Slid<T> {
    line: FrameVector<T>,
    gone: T,
    speed: T,
    rate: T,
}

impl<T: Scalar> Slid<T> {
    fn new(linkage: &Linkage<T>, pose: &Pose<T>, joint: &Joint, direction: usize) -> Self {
        let [first, second] = joint.bodies.map(|body| &pose.bodies[body]);
        let drawn = linkage.points[joint.point];
        let (sin, cos) = linkage.directions[direction].sin_cos();
        let (turn_cos, turn_sin) = first.turn_cos_sin;
        let line = FrameVector { x: cos, y: sin }.turned(turn_cos, turn_sin);
        let (from, to) = (first.place(drawn), second.place(drawn));
        let (slow, fast) = (first.velocity(drawn), second.velocity(drawn));
        let gone = (to.x - from.x) * line.x + (to.y - from.y) * line.y;
        let speed = (fast.x - slow.x) * line.x + (fast.y - slow.y) * line.y;
        Slid { line, gone, speed, rate: first.spin }
    }
}

/// The motion of a body that hangs on another by a joint, the unknown counted as `unknown`.
#[inline]
fn hung<T: Scalar, const N: usize>(
    linkage: &Linkage<T>,
    pose: &Pose<T>,
    on: &Motion<T, N>,
    joint: &Joint,
    [parent, child]: [usize; 2],
    unknown: usize,
) -> Motion<T, N> {
    let drawn = linkage.points[joint.point];
    let (mut x, mut y) = on.carried(arm(pose, parent, drawn), pose.bodies[parent].spin, 1.0);
    let spin = match joint.kind {
        JointKind::Pivot => {
            let mut spin = Affine::<T, N>::known(T::from(0.0));
            spin.factors[unknown] = T::from(1.0);
            spin
        }
        JointKind::Slide { direction } => {
            // With the line t turning at ω and its normal n: τ̈·t + 2τ̇ω·n + τ(ω̇·n − ω²·t), from the line's body to the other.
            let slid = Slid::new(linkage, pose, joint, direction);
            let sign = if joint.bodies[1] == child { 1.0 } else { -1.0 };
            let (line, gone) = (slid.line, slid.gone * sign);
            let (across, along) = (slid.speed * slid.rate * (2.0 * sign), -(gone * slid.rate * slid.rate));
            x = x.plus(&on.spin, -line.y * gone);
            y = y.plus(&on.spin, line.x * gone);
            x.known += line.x * along - line.y * across;
            y.known += line.y * along + line.x * across;
            x.factors[unknown] += line.x * sign;
            y.factors[unknown] += line.y * sign;
            on.spin
        }
    };
    let (x, y) = Motion { spin, x, y }.carried(arm(pose, child, drawn), pose.bodies[child].spin, -1.0);
    Motion { spin, x, y }
}

/// The two conditions of a joint that closes a loop, each a sum that must vanish.
#[inline]
fn closure<T: Scalar, const N: usize>(
    linkage: &Linkage<T>,
    pose: &Pose<T>,
    motions: &[Motion<T, N>; MOST_BODIES],
    joint: &Joint,
) -> [Affine<T, N>; 2] {
    let [first, second] = joint.bodies;
    let drawn = linkage.points[joint.point];
    let carried = |body: usize| motions[body].carried(arm(pose, body, drawn), pose.bodies[body].spin, 1.0);
    let (from, to) = (carried(first), carried(second));
    let less = T::from(-1.0);
    let (x, y) = (to.0.plus(&from.0, less), to.1.plus(&from.1, less));
    match joint.kind {
        JointKind::Pivot => [x, y],
        JointKind::Slide { direction } => {
            let slid = Slid::new(linkage, pose, joint, direction);
            let spin = &motions[first].spin;
            let mut across = Affine::known(slid.speed * slid.rate * -2.0);
            across = across.plus(&x, -slid.line.y).plus(&y, slid.line.x).plus(spin, -slid.gone);
            [across, motions[second].spin.plus(spin, less)]
        }
    }
}

/// The shock shortens steadily: with its eyes `d` apart, `d·d̈ + ḋ·ḋ − 1` vanishes.
#[inline]
fn shock<T: Scalar, const N: usize>(
    linkage: &Linkage<T>,
    pose: &Pose<T>,
    motions: &[Motion<T, N>; MOST_BODIES],
) -> Affine<T, N> {
    let [from, to] = linkage.layout.eyes.map(|eye| {
        let (body, drawn) = (&pose.bodies[eye.body], linkage.points[eye.point]);
        let second = motions[eye.body].carried(arm(pose, eye.body, drawn), body.spin, 1.0);
        (body.place(drawn), body.velocity(drawn), second)
    });
    let (dx, dy) = (to.0.x - from.0.x, to.0.y - from.0.y);
    let (vx, vy) = (to.1.x - from.1.x, to.1.y - from.1.y);
    let sum = Affine::known(vx * vx + vy * vy - 1.0);
    let (x, y) = (&to.2.0, &to.2.1);
    let sum = sum.plus(x, dx).plus(y, dy);
    sum.plus(&from.2.0, -dx).plus(&from.2.1, -dy)
}

/// Gauss with row pivots; `None` for a singular system.
fn solve<T: Scalar, const N: usize>(rows: &mut [Affine<T, N>; N]) -> Option<[T; N]> {
    for column in 0..N {
        let size = |row: &Affine<T, N>| row.factors[column].re().abs();
        let mut pivot = column;
        for row in column + 1..N {
            if size(&rows[row]) > size(&rows[pivot]) {
                pivot = row;
            }
        }
        rows.swap(column, pivot);
        let top = rows[column];
        if size(&top) == 0.0 || size(&top).is_nan() {
            return None;
        }
        let inverse = top.factors[column].recip();
        for row in &mut rows[column + 1..] {
            *row = row.plus(&top, -row.factors[column] * inverse);
        }
    }
    let mut solved = [T::from(0.0); N];
    for place in (0..N).rev() {
        let row = &rows[place];
        let known = (place + 1..N).fold(row.known, |sum, at| sum + row.factors[at] * solved[at]);
        solved[place] = -known * row.factors[place].recip();
    }
    Some(solved)
}
