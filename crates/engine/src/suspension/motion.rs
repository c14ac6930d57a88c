//! Solving for a linkage's position, and differentiating it exactly.
//!
//! What lives here: the calls that others use. Beneath, in reading order: `tree`, which joints carry the bodies and which
//! close loops; `proper`, what is refused; `drawn`, the coordinates and their equations; `walk`, Newton's iteration by
//! continuation; `lift`, the derivatives; `matrix`, the small factorisation that they share.
//!
//! # The equations
//!
//! Common textbook kinematics of plane mechanisms (loop closure, joint coordinates), no single source. The joints span a tree
//! from the front triangle; each joint of the tree has one coordinate `q`: the turn of its body about the pivot, or its
//! displacement along the line. What is left is as many equations as coordinates, where the linkage can move in one way:
//!
//! - a pivot that closes a loop: its point is in the same place on both bodies (two equations);
//! - a slide that closes a loop: the point of its second body lies on the line of its first, and the two have turned alike
//!   (two equations);
//! - the shock: its eyes are as far apart as drawn, less the compression `c` (one equation).
//!
//! With `r(q, c) = 0` for all of them and `J = ∂r/∂q`, the velocities per mm of compression follow from the same `J`,
//! factorised: `J·q′ = −∂r/∂c`. Where the determinant of `J` vanishes the shock does not decide where the linkage goes.
//!
//! # Derivatives
//!
//! Of any order that the scalar carries, exactly, by the implicit function theorem; see [`Linkage::lift`].

mod drawn;
mod lift;
mod matrix;
mod proper;
pub(super) mod tree;
mod walk;

use crate::Scalar;
use crate::geometry::point::{FramePoint, FrameVector};

use super::linkage::{JointKind, Layout, Linkage, MOST_BODIES, Placement, Pose, Stuck};
use drawn::Drawn;
use tree::Tree;
use walk::Walk;

/// Calls a function for as many coordinates as there are: always an odd number, since two equations per loop and the
/// shock's are as many.
macro_rules! for_count {
    ($count:expr, $function:ident($($argument:expr),*)) => {
        match $count {
            1 => $function::<1>($($argument),*),
            3 => $function::<3>($($argument),*),
            5 => $function::<5>($($argument),*),
            _ => $function::<7>($($argument),*),
        }
    };
}

impl Layout {
    /// Whether the shock alone can decide where the linkage goes.
    ///
    /// With `n` moving bodies and `j` joints, `3n − 2j` must be 1 (the mobility of a plane mechanism, a textbook's count), every
    /// body must hang on the front triangle, no two joints may join the same pair of bodies, and the shock must join two.
    ///
    /// ```
    /// use knockon_engine::suspension::linkage::{Joint, JointKind, Layout, Mount, Stuck};
    ///
    /// let pivot = |one, two| Joint { bodies: [one, two], point: 0, kind: JointKind::Pivot };
    /// let eyes = [Mount { body: 0, point: 1 }, Mount { body: 1, point: 2 }];
    /// let mut layout = Layout {
    ///     bodies: 2, joints: vec![pivot(0, 1)], eyes, axle: 1, caliper: None, idlers: vec![],
    /// };
    /// assert_eq!(layout.check(), Ok(()));
    /// // One more body on the swing arm: two ways to move.
    /// layout.bodies = 3;
    /// layout.joints.push(pivot(1, 2));
    /// assert_eq!(layout.check(), Err(Stuck::Freedoms { freedoms: 2 }));
    /// ```
    ///
    /// # Errors
    /// [`Stuck::TooMany`], [`Stuck::Misplaced`] for a joint, eye, axle, caliper or idler on a body that is not there or a joint
    /// that joins what is joined, [`Stuck::Loose`], [`Stuck::Freedoms`]; the first that applies.
    pub fn check(&self) -> Result<(), Stuck> {
        Tree::new(self).map(drop)
    }
}

impl Linkage<f64> {
    /// The positions at `count` compressions from one to the other, mm, equally spaced and each reached from the last; the first
    /// from the drawn pose, which is compression 0. With a count of 1, the first alone.
    ///
    /// Every joint closes to less than 1e-9 mm on a linkage of a bike's size.
    ///
    /// # Errors
    /// As [`Linkage::pose`], for the first position that cannot be reached.
    pub fn sweep(&self, from: f64, to: f64, count: usize) -> Result<Vec<Pose<f64>>, Stuck> {
        let drawn = Drawn::new(self)?;
        for_count!(drawn.tree.count, sweep(&drawn, from, to, count))
    }
}

impl<T: Scalar> Linkage<T> {
    /// The position at one compression from the drawn pose, mm, negative where the shock is longer than drawn.
    ///
    /// Newton's iteration from the drawn pose, a step at a time, each from where the positions before point to; a step that does
    /// not converge the faster the closer it gets, or that ends beyond a dead point, is halved. So the parts never change to
    /// another way in which they could be assembled as well.
    ///
    /// A single pivot whose arm and shock make a right angle: 100 mm from pivot to eye, 400 mm to the axle straight behind, so
    /// the axle rises four times as fast as the shock gets shorter.
    ///
    /// ```
    /// use std::sync::Arc;
    /// use knockon_engine::geometry::point::FramePoint;
    /// use knockon_engine::suspension::linkage::{Joint, JointKind, Layout, Linkage, Mount};
    ///
    /// let layout = Layout {
    ///     bodies: 2,
    ///     joints: vec![Joint { bodies: [0, 1], point: 0, kind: JointKind::Pivot }],
    ///     eyes: [Mount { body: 0, point: 1 }, Mount { body: 1, point: 2 }],
    ///     axle: 1, caliper: Some(1), idlers: vec![],
    /// };
    /// let at = |x: f64, y: f64| FramePoint { x, y };
    /// let linkage = Linkage {
    ///     layout: Arc::new(layout),
    ///     points: vec![at(0.0, 50.0), at(200.0, 150.0), at(0.0, 150.0)],
    ///     directions: vec![],
    ///     axle: at(-400.0, 50.0),
    /// };
    /// let drawn = linkage.pose(0.0)?;
    /// assert!((drawn.axle_velocity.y - 4.0).abs() < 1e-12 && drawn.axle_velocity.x.abs() < 1e-12);
    /// // Compressed by 50 mm the eyes are 150 mm apart instead of 200.
    /// let pose = linkage.pose(50.0)?;
    /// let eye = pose.bodies[1].place(at(0.0, 150.0));
    /// assert!(((eye.x - 200.0).hypot(eye.y - 150.0) - 150.0).abs() < 1e-9);
    /// # Ok::<(), knockon_engine::suspension::linkage::Stuck>(())
    /// ```
    ///
    /// # Errors
    /// As [`Layout::check`]; [`Stuck::Misplaced`] also for a number that is not finite, a point that is not there, eyes that
    /// coincide, or a link whose two pivots do; [`Stuck::DeadPoint`] and [`Stuck::CannotClose`] where the linkage ends before.
    pub fn pose(&self, compression: T) -> Result<Pose<T>, Stuck> {
        let plain = self.plain();
        let drawn = Drawn::new(&plain)?;
        let pose = for_count!(drawn.tree.count, reached(&drawn, compression.re()))?;
        Ok(lifted(&Drawn::new(self)?, &drawn, &pose, compression))
    }

    /// The exact derivatives of a position that has been solved in plain numbers at the same compression, `plain` from
    /// [`Linkage::sweep`] or [`Linkage::pose`].
    ///
    /// By the implicit function theorem: where `r(q, x) = 0` holds, `dq/dx = −J⁻¹·∂r/∂x`; the same again for the velocities
    /// and for second derivatives. The values are those of `plain`, to rounding.
    ///
    /// A linkage that has no position gives not-a-number.
    pub fn lift(&self, plain: &Pose<f64>, compression: T) -> Pose<T> {
        match (Drawn::new(self), Drawn::new(&self.plain())) {
            (Ok(drawn), Ok(flat)) => lifted(&drawn, &flat, plain, compression),
            _ => unknown(compression),
        }
    }

    /// By how much a pose misses the joints, mm, two per joint in their order, and then the shock's length: zero where all is
    /// closed, derivatives included. Reads the placements alone, and every joint alike, so that it checks a solution
    /// independently of how that was found.
    ///
    /// Of a slide: the point's distance from the line; and how far apart the two bodies' directions are at the end of a line as
    /// long as the drawn shock.
    ///
    /// # Panics
    /// Where [`Linkage::pose`] is an error because a point, direction or body is not there.
    pub fn residuals(&self, pose: &Pose<T>) -> Vec<T> {
        let mut result = Vec::with_capacity(2 * self.layout.joints.len() + 1);
        for joint in &self.layout.joints {
            let [first, second] = joint.bodies.map(|body| &pose.bodies[body]);
            let point = self.points[joint.point];
            let (from, to) = (first.place(point), second.place(point));
            let (x, y) = (to.x - from.x, to.y - from.y);
            match joint.kind {
                JointKind::Pivot => result.extend([x, y]),
                JointKind::Slide { direction } => {
                    let (sin, cos) = self.directions[direction].sin_cos();
                    let ((a, b), (c, d)) = (first.turn_cos_sin, second.turn_cos_sin);
                    let line = FrameVector { x: cos, y: sin }.turned(a, b);
                    result.extend([line.x * y - line.y * x, (d * a - c * b) * self.drawn_shock()]);
                }
            }
        }
        let [a, b] = self.layout.eyes.map(|eye| pose.bodies[eye.body].place(self.points[eye.point]));
        let (x, y) = (b.x - a.x, b.y - a.y);
        result.push((x * x + y * y).sqrt() - self.drawn_shock() + pose.compression);
        result
    }

    fn plain(&self) -> Linkage<f64> {
        self.map(T::re)
    }
}

fn sweep<const N: usize>(
    drawn: &Drawn<f64>,
    from: f64,
    to: f64,
    count: usize,
) -> Result<Vec<Pose<f64>>, Stuck> {
    let mut walk = Walk::<N>::new(drawn)?;
    let mut poses = Vec::with_capacity(count);
    for index in 0..count {
        let share = if count > 1 { index as f64 / (count - 1) as f64 } else { 0.0 };
        walk.to(from + (to - from) * share)?;
        poses.push(walk.pose());
    }
    Ok(poses)
}

fn reached<const N: usize>(drawn: &Drawn<f64>, compression: f64) -> Result<Pose<f64>, Stuck> {
    let mut walk = Walk::<N>::new(drawn)?;
    walk.to(compression)?;
    Ok(walk.pose())
}

fn lifted<T: Scalar>(drawn: &Drawn<T>, plain: &Drawn<f64>, pose: &Pose<f64>, compression: T) -> Pose<T> {
    match drawn.tree.count {
        1 => lift::lift::<T, 1>(drawn, plain, pose, compression),
        3 => lift::lift::<T, 3>(drawn, plain, pose, compression),
        5 => lift::lift::<T, 5>(drawn, plain, pose, compression),
        _ => lift::lift::<T, 7>(drawn, plain, pose, compression),
    }
}

fn unknown<T: Scalar>(compression: T) -> Pose<T> {
    let nan = T::from(f64::NAN);
    let vector = FrameVector { x: nan, y: nan };
    let lost = Placement { turn_cos_sin: (nan, nan), shift: vector, spin: nan, drift: vector };
    let axle = FramePoint { x: nan, y: nan };
    Pose { compression, bodies: [lost; MOST_BODIES], axle, axle_velocity: vector }
}
