//! The rear linkage: bodies joined to each other and to the front triangle, driven by the shock.

use std::sync::Arc;

use super::rear::stroke;
use crate::Scalar;
use crate::bike::Bike;
use crate::change::LinkagePoint;
use crate::geometry::point::{FramePoint, FrameVector};

/// Most bodies of a linkage, the front triangle included.
pub const MOST_BODIES: usize = 9;

/// Which bodies a linkage has and what joins them. Bodies are counted from 0, which is the front triangle; points and
/// directions are places in a [`Linkage`]'s lists.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// How many bodies there are, the front triangle included.
    pub bodies: usize,
    /// What joins them.
    pub joints: Vec<Joint>,
    /// The shock's two ends.
    pub eyes: [Mount; 2],
    /// The body that carries the rear axle.
    pub axle: usize,
    /// The body that carries the brake's caliper; `None` where nobody said.
    pub caliper: Option<usize>,
    /// Idlers that the chain's tight run passes, from the ring to the cog.
    pub idlers: Vec<Idler>,
}

/// A joint of two bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The bodies that it joins.
    pub bodies: [usize; 2],
    /// Its point: the axis of a pivot, or a point of the second body that slides along a line of the first.
    pub point: usize,
    /// How it lets them move.
    pub kind: JointKind,
}

/// How a joint lets its bodies move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JointKind {
    /// They turn about the point.
    Pivot,
    /// They slide along a line that is fixed to the first body, without turning against each other.
    Slide {
        /// Place of the line's angle in [`Linkage::directions`].
        direction: usize,
    },
}

/// A point of one body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mount {
    /// The body.
    pub body: usize,
    /// Its point.
    pub point: usize,
}

/// A pulley that guides the chain's tight run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idler {
    /// Where its axis is.
    pub mount: Mount,
    /// Its teeth.
    pub teeth: f64,
    /// True when the chain passes over it and it turns as the ring does; false when the chain passes below.
    pub over: bool,
}

/// A linkage as it is drawn: in the chart pose, the shock that it was drawn with fully extended.
#[derive(Clone, Debug, PartialEq)]
pub struct Linkage<T> {
    /// Which bodies it has and what joins them.
    pub layout: Arc<Layout>,
    /// The points, in frame axes.
    pub points: Vec<FramePoint<T>>,
    /// Lines of the sliding joints: counter-clockwise from forward, radians.
    pub directions: Vec<T>,
    /// The rear axle, in frame axes.
    pub axle: FramePoint<T>,
}

impl<T> Linkage<T> {
    /// The same linkage with its numbers converted.
    pub fn map<U>(&self, mut convert: impl FnMut(&T) -> U) -> Linkage<U> {
        let point = |point: &FramePoint<T>, convert: &mut dyn FnMut(&T) -> U| FramePoint {
            x: convert(&point.x),
            y: convert(&point.y),
        };
        Linkage {
            layout: Arc::clone(&self.layout),
            points: self.points.iter().map(|it| point(it, &mut convert)).collect(),
            directions: self.directions.iter().map(&mut convert).collect(),
            axle: point(&self.axle, &mut convert),
        }
    }

    /// Its numbers, in the order in which [`Linkage::map`] meets them.
    pub fn numbers(&self) -> Vec<&T> {
        let points = self.points.iter().flat_map(|point| [&point.x, &point.y]);
        points.chain(&self.directions).chain([&self.axle.x, &self.axle.y]).collect()
    }
}

impl<T: Scalar> Linkage<T> {
    /// The same linkage with constants for values: no derivatives.
    pub fn constant(linkage: &Linkage<f64>) -> Self {
        linkage.map(|&value| T::from(value))
    }

    /// The shock's length as drawn, mm: the distance of its eyes.
    pub fn drawn_shock(&self) -> T {
        let [a, b] = self.layout.eyes.map(|eye| self.points[eye.point]);
        let (x, y) = (b.x - a.x, b.y - a.y);
        (x * x + y * y).sqrt()
    }
}

impl<T: Scalar> Linkage<T> {
    /// Moves a point in the drawn pose, and returns by how much the shock is then longer than drawn, less than before, mm:
    /// what has to be added to the compression at which it is fully extended.
    pub fn moved(&mut self, point: LinkagePoint, x: T, y: T) -> T {
        let before = self.drawn_shock();
        let place = match point {
            LinkagePoint::Listed(index) => &mut self.points[index],
            LinkagePoint::Axle => &mut self.axle,
        };
        place.x += x;
        place.y += y;
        self.drawn_shock() - before
    }

    /// The same linkage with the chain straight from ring to cog.
    #[must_use]
    pub fn without_idlers(self) -> Self {
        let layout = Layout { idlers: Vec::new(), ..(*self.layout).clone() };
        Linkage { layout: Arc::new(layout), ..self }
    }

    /// Vertical travel of the rear axle over the whole stroke of the bike's shock, mm; NaN where it is not reached.
    pub fn travel(&self, bike: &Bike<T>) -> T {
        let height = |compression: T| {
            self.pose(bike.shock_start + compression).map_or(T::from(f64::NAN), |pose| pose.axle.y)
        };
        height(stroke(bike)) - height(T::from(0.0))
    }
}

/// Where a body has gone from the drawn pose, and how fast it goes on, per mm of the shock's compression.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement<T> {
    /// Cosine and sine of its turn, counter-clockwise.
    pub turn_cos_sin: (T, T),
    /// Where the origin of the frame axes, taken as a point of this body, has gone, mm.
    pub shift: FrameVector<T>,
    /// Turn, counter-clockwise, radians per mm of compression.
    pub spin: T,
    /// Velocity of that same point of the body, mm per mm of compression.
    pub drift: FrameVector<T>,
}

impl<T: Scalar> Placement<T> {
    /// A body that has not moved and does not.
    pub fn at_rest() -> Self {
        let (zero, one) = (T::from(0.0), T::from(1.0));
        let still = FrameVector { x: zero, y: zero };
        Placement { turn_cos_sin: (one, zero), shift: still, spin: zero, drift: still }
    }

    /// Where a point of the body has gone from its `drawn` place.
    #[inline]
    pub fn place(&self, drawn: FramePoint<T>) -> FramePoint<T> {
        let (cos, sin) = self.turn_cos_sin;
        let arm = FrameVector { x: drawn.x, y: drawn.y }.turned(cos, sin);
        FramePoint { x: arm.x + self.shift.x, y: arm.y + self.shift.y }
    }

    /// Velocity of a point of the body by its `drawn` place, mm per mm of the shock's compression.
    #[inline]
    pub fn velocity(&self, drawn: FramePoint<T>) -> FrameVector<T> {
        let (cos, sin) = self.turn_cos_sin;
        let arm = FrameVector { x: drawn.x, y: drawn.y }.turned(cos, sin);
        FrameVector { x: self.drift.x - self.spin * arm.y, y: self.drift.y + self.spin * arm.x }
    }
}

/// A linkage at one compression of the shock, in frame axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose<T> {
    /// Compression of the shock from the drawn pose, mm; negative where it is longer than drawn.
    pub compression: T,
    /// Where each body is; those beyond the layout's count are at rest.
    pub bodies: [Placement<T>; MOST_BODIES],
    /// The rear axle.
    pub axle: FramePoint<T>,
    /// Its velocity, mm per mm of compression.
    pub axle_velocity: FrameVector<T>,
}

/// Why a linkage has no position. Joints are places in [`Layout::joints`].
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Stuck {
    /// The joints leave the bodies more or fewer ways to move than the shock's one.
    #[error("the linkage can move in {freedoms} ways, and must in one")]
    Freedoms {
        /// How many ways it can move, the shock taken away.
        freedoms: i64,
    },
    /// A body hangs on nothing.
    #[error("body {body} is not joined to the front triangle")]
    Loose {
        /// The body.
        body: usize,
    },
    /// More bodies than [`MOST_BODIES`].
    #[error("a linkage has at most {MOST_BODIES} bodies, this one {bodies}")]
    TooMany {
        /// How many.
        bodies: usize,
    },
    /// A number is not finite, or two joints or the shock's eyes that must lie apart do not.
    #[error("joint {joint:?} has no proper place")]
    Misplaced {
        /// The joint; `None` for the shock.
        joint: Option<usize>,
    },
    /// The parts do not reach each other.
    #[error("joint {joint} cannot close with the shock compressed by {compression} mm")]
    CannotClose {
        /// The joint that stays open widest; an index beyond the list stands for the shock.
        joint: usize,
        /// Compression from the drawn pose, mm.
        compression: f64,
    },
    /// The shock no longer decides where the linkage goes: a dead point.
    #[error("the linkage has a dead point at joint {joint} with the shock compressed by {compression} mm")]
    DeadPoint {
        /// The joint that could go either way.
        joint: usize,
        /// Compression from the drawn pose, mm.
        compression: f64,
    },
}
