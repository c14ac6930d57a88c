//! The rear axle over the shock's stroke: from a linkage, or from travel and stroke where nobody measured one.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::frame::rear_axle;
use crate::geometry::point::{FramePoint, FrameVector};

use super::linkage::{Linkage, Pose, Stuck};

/// The rear axle at one compression of the shock, in frame axes.
#[derive(Clone, Copy, Debug)]
pub struct RearAxle<T> {
    /// Where it is.
    pub place: FramePoint<T>,
    /// Its velocity, mm per mm of the shock's compression; its upward part is the leverage ratio.
    pub velocity: FrameVector<T>,
    /// How its velocity changes, per mm of compression. Of a linkage that takes a solution of its own, and it is NaN here.
    pub acceleration: FrameVector<T>,
    /// The linkage there; `None` where nobody measured one.
    pub pose: Option<Pose<T>>,
}

/// Stroke that the shock has with its inner spacer in, mm.
pub fn stroke<T: Scalar>(bike: &Bike<T>) -> T {
    bike.shock_stroke - bike.shock_spacer
}

/// Height of the rear axle above the bottom bracket in frame axes with the shock fully compressed, mm.
pub fn highest<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>) -> T {
    match linkage {
        Some(linkage) => {
            linkage.pose(bike.shock_start + stroke(bike)).map_or(T::from(f64::NAN), |pose| pose.axle.y)
        }
        None => bike.bottom_bracket_drop + bike.rear_axle_lift + bike.rear_travel,
    }
}

/// Stroke at which the rear axle has risen by `travel` mm, from a linkage; NaN where it never does.
///
/// Newton on the linkage's own leverage ratio, from the mean ratio of the whole stroke; then as many steps in `T` as make
/// its derivatives exact.
pub fn stroke_for_travel<T: Scalar>(bike: &Bike<T>, linkage: &Linkage<T>, travel: T) -> T {
    let unknown = T::from(f64::NAN);
    let Ok(start) = linkage.pose(bike.shock_start) else { return unknown };
    let mut stroke = travel / start.axle_velocity.y;
    for _ in 0..NEWTON_STEPS {
        let Ok(pose) = linkage.pose(bike.shock_start + stroke) else { return unknown };
        let step = (pose.axle.y - start.axle.y - travel) / pose.axle_velocity.y;
        stroke -= step;
    }
    stroke
}

/// Each step doubles the digits; the first guess is within a fifth.
const NEWTON_STEPS: usize = 6;

impl<T: Scalar> RearAxle<T> {
    /// The rear axle of `bike` with its shock compressed by `compression` mm from its own full extension.
    ///
    /// Without a linkage the leverage ratio is taken to be a parabola over the stroke that begins and ends at the bike's
    /// leverage at start and end and whose mean is travel over stroke, and the axle rises at constant chainstay.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub fn at(bike: &Bike<T>, linkage: Option<&Linkage<T>>, compression: T) -> Result<Self, Stuck> {
        if let Some(linkage) = linkage {
            return Ok(RearAxle::of_pose(linkage.pose(compression + bike.shock_start)?));
        }
        let place = rear_axle(bike);
        let (stroke, start, end) = (stroke(bike), bike.leverage_at_start, bike.leverage_at_end);
        let mean = bike.rear_travel / stroke;
        let x = compression / stroke;
        // ratio/mean = start + b·x + c·x², where start + b + c = end and start + b/2 + c/3 = 1.
        let c = (start + end - 2.0) * 3.0;
        let b = end - start - c;
        let ratio = mean * (start + b * x + c * x * x);
        let rise = mean * compression * (start + b * x * 0.5 + c * x * x / 3.0);
        if compression == T::from(0.0) && !stroke.re().is_finite() {
            // Fully extended, or not sprung at all: the axle is where the frame has it.
            return Ok(RearAxle { place, velocity: unknown(), acceleration: unknown(), pose: None });
        }
        let radius = (bike.chainstay * bike.chainstay - place.y * place.y).sqrt();
        let y = place.y + rise;
        let arc = (bike.chainstay * bike.chainstay - y * y).sqrt();
        // Along the circle x = −arc, so x′ = y·y′/arc, and that once more.
        let (slope, bend) = (ratio * y / arc, mean * (b + c * x * 2.0) / stroke);
        Ok(RearAxle {
            place: FramePoint { x: place.x + radius - arc, y },
            velocity: FrameVector { x: slope, y: ratio },
            acceleration: FrameVector { x: (bend * y + ratio * ratio + slope * slope) / arc, y: bend },
            pose: None,
        })
    }

    /// The rear axle of a linkage in a pose.
    pub fn of_pose(pose: Pose<T>) -> Self {
        RearAxle { place: pose.axle, velocity: pose.axle_velocity, acceleration: unknown(), pose: Some(pose) }
    }
}

fn unknown<T: Scalar>() -> FrameVector<T> {
    FrameVector { x: T::from(f64::NAN), y: T::from(f64::NAN) }
}
