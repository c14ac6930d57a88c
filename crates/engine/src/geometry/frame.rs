//! The frame and fork in frame axes.

use crate::Scalar;
use crate::bike::Bike;

use super::point::{FramePoint, FrameVector};

/// The points that frame, headset, fork and wheels put in place, in frame axes.
///
/// Source of the conventions: common practice, no source (stack, reach and axle to crown as charts use them).
#[derive(Clone, Copy, Debug)]
pub struct FramePoints<T> {
    /// Top end of the head tube, on the frame's own steering axis. Stack and reach are measured to it.
    pub head_tube_top: FramePoint<T>,
    /// Where the steerer leaves the head tube at the top; differs from `head_tube_top` by an angled headset only.
    pub steerer_top: FramePoint<T>,
    /// Where the steerer leaves the head tube at the bottom.
    pub steerer_bottom: FramePoint<T>,
    /// Crown race seat.
    pub crown: FramePoint<T>,
    /// Front axle.
    pub front_axle: FramePoint<T>,
    /// Rear axle.
    pub rear_axle: FramePoint<T>,
    /// Unit vector down the steering axis.
    pub axis_down: FrameVector<T>,
    /// Unit vector square to the steering axis, forward.
    pub axis_forward: FrameVector<T>,
}

impl<T: Scalar> FramePoints<T> {
    /// Places the points of `bike`, the fork compressed by `fork_compression` mm along the steering axis.
    ///
    /// An angled headset turns the steering axis about the middle of the head tube (a two-cup kit).
    ///
    /// ```
    /// # use knockon_engine::{bike::Bike, geometry::FramePoints};
    /// let mut bike = Bike::unknown();
    /// (bike.stack, bike.reach) = (600.0, 400.0);
    /// bike.head_angle = 90_f64.to_radians(); // an upright axis keeps the arithmetic visible
    /// (bike.head_tube, bike.lower_stack, bike.axle_to_crown, bike.fork_offset) = (100.0, 10.0, 490.0, 40.0);
    /// (bike.chainstay, bike.bottom_bracket_drop) = (500.0, 300.0);
    /// let points = FramePoints::new(&bike, 0.0);
    /// assert!((points.front_axle.x - 440.0).abs() < 1e-9); // reach + offset
    /// assert!((points.front_axle.y - 0.0).abs() < 1e-9);   // 600 − 100 − 10 − 490
    /// assert!((points.rear_axle.x + 400.0).abs() < 1e-9);  // 3-4-5 triangle
    /// ```
    #[inline]
    pub fn new(bike: &Bike<T>, fork_compression: T) -> Self {
        let (sin, cos) = bike.head_angle.sin_cos();
        let frame_axis = FrameVector { x: cos, y: -sin };
        let head_tube_top = FramePoint { x: bike.reach, y: bike.stack };
        let (steerer_top, axis_down) = if bike.headset_turn == T::from(0.0) && T::NDERIV == 0 {
            (head_tube_top, frame_axis)
        } else {
            let half = bike.head_tube * 0.5;
            let middle = head_tube_top.along(frame_axis, half);
            // A slacker axis (negative turn) leans back: counter-clockwise.
            let (turn_sin, turn_cos) = (-bike.headset_turn).sin_cos();
            let axis = frame_axis.turned(turn_cos, turn_sin);
            (middle.along(axis, -half), axis)
        };
        let axis_forward = FrameVector { x: -axis_down.y, y: axis_down.x };
        let steerer_bottom = steerer_top.along(axis_down, bike.head_tube);
        let crown = steerer_bottom.along(axis_down, bike.lower_stack);
        let front_axle = crown
            .along(axis_down, bike.axle_to_crown - fork_compression)
            .along(axis_forward, bike.fork_offset);
        FramePoints {
            head_tube_top,
            steerer_top,
            steerer_bottom,
            crown,
            front_axle,
            rear_axle: rear_axle(bike),
            axis_down,
            axis_forward,
        }
    }

    /// The front axle with the fork compressed by this many mm more.
    #[inline]
    pub fn front_axle_after(&self, fork_compression: T) -> FramePoint<T> {
        self.front_axle.along(self.axis_down, -fork_compression)
    }
}

/// Rear axle from chainstay and drop. A shorter shock lifts the axle at constant chainstay, which is what a main
/// pivot near the bottom bracket does (common practice, no source); a measured linkage says how far from that arc.
#[inline]
pub fn rear_axle<T: Scalar>(bike: &Bike<T>) -> FramePoint<T> {
    let drop = bike.bottom_bracket_drop + bike.rear_axle_lift;
    let arc = -(bike.chainstay * bike.chainstay - drop * drop).sqrt();
    FramePoint { x: arc + bike.rear_axle_shift, y: drop }
}
