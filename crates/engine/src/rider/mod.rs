//! The rider's contact points, joint angles and weight, by plane geometry in the side view. [`body`]: starting points for a bike
//! from the rider's measures.

pub mod body;

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::point::{FramePoint, FrameVector};

/// Top of the saddle on the effective seat line, in frame axes: where the sit bones are taken to be.
#[inline]
pub fn saddle_top<T: Scalar>(bike: &Bike<T>) -> FramePoint<T> {
    let (sin, cos) = bike.seat_angle.sin_cos();
    FramePoint { x: -(bike.saddle_height * cos), y: bike.saddle_height * sin }
}

/// The saddle's reference point (nose or sit bones, as the record says): level with its top, `setback` behind the
/// bottom bracket. Common practice, no source.
#[inline]
pub fn saddle_reference<T: Scalar>(bike: &Bike<T>) -> FramePoint<T> {
    FramePoint { x: -bike.saddle_setback, y: bike.saddle_height * bike.seat_angle.sin() }
}

/// Interior angle, radians, between sides `a` and `b` of a triangle whose third side is `c` (law of cosines).
/// NaN when no such triangle exists: the limbs do not reach.
#[inline]
pub(crate) fn angle_between<T: Scalar>(a: T, b: T, c: T) -> T {
    ((a * a + b * b - c * c) / (a * b * 2.0)).acos()
}

/// Knee flexion from a straight leg, radians, with the crank in line with the seat line at the bottom of the stroke:
/// hip at the top of the saddle, `d = saddle height + crank`.
///
/// ```
/// # use knockon_engine::{bike::Bike, rider::knee_flexion};
/// let mut bike = Bike::unknown();
/// // A right-angled knee: thigh 300, lower leg 400, hip to pedal 500.
/// (bike.thigh, bike.lower_leg, bike.saddle_height, bike.crank_length) = (300.0, 400.0, 330.0, 170.0);
/// assert!((knee_flexion(&bike).to_degrees() - 90.0).abs() < 1e-9);
/// ```
#[inline]
pub fn knee_flexion<T: Scalar>(bike: &Bike<T>) -> T {
    let reach = bike.saddle_height + bike.crank_length;
    -(angle_between(bike.thigh, bike.lower_leg, reach)) + std::f64::consts::PI
}

/// Angle between torso and thigh, radians, at the top of the stroke (crank in line with the seat line), for a torso
/// that keeps its lean. `seat_angle` is the one on the ground.
#[inline]
pub fn hip_angle<T: Scalar>(bike: &Bike<T>, seat_angle: T) -> T {
    let reach = bike.saddle_height - bike.crank_length;
    bike.torso_lean + seat_angle - angle_between(bike.thigh, reach, bike.lower_leg)
}

/// The shoulder, seen from where `hip` is seen from, for a torso that keeps its lean.
#[inline]
pub(crate) fn shoulder<T: Scalar>(bike: &Bike<T>, hip: FrameVector<T>) -> FrameVector<T> {
    let (sin, cos) = bike.torso_lean.sin_cos();
    FrameVector { x: hip.x + bike.torso * cos, y: hip.y + bike.torso * sin }
}

/// Interior elbow angle, radians (π is a straight arm), for a torso that keeps its lean. `hip` and `grip` are
/// displacements from the bottom bracket on the ground. Arms are taken in the side plane.
#[inline]
pub fn elbow_angle<T: Scalar>(bike: &Bike<T>, hip: FrameVector<T>, grip: FrameVector<T>) -> T {
    let shoulder = shoulder(bike, hip);
    let (dx, dy) = (shoulder.x - grip.x, shoulder.y - grip.y);
    angle_between(bike.upper_arm, bike.forearm, (dx * dx + dy * dy).sqrt())
}

/// Share of the weight on the front wheel, standing still on level ground: the centre of mass ahead of the rear
/// contact over the wheelbase (moments about the rear contact).
#[inline]
pub fn front_load_share<T: Scalar>(mass_ahead_of_rear: T, wheelbase: T) -> T {
    mass_ahead_of_rear / wheelbase
}
