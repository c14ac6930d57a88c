//! Trail and wheel flop.

use crate::Scalar;

/// Steering geometry of a front wheel on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steering<T> {
    /// Contact patch behind the steering axis, measured on the ground, mm.
    pub trail: T,
    /// Contact patch behind the steering axis, square to it, mm.
    pub mechanical_trail: T,
    /// Arm with which the front wheel's load turns the bars, per radian of steer, mm.
    pub wheel_flop: T,
}

impl<T: Scalar> Steering<T> {
    /// Steering geometry from head angle (from the ground, radians), wheel radius and fork offset (mm).
    ///
    /// `t_m = r·cos HA − offset`, `t = t_m / sin HA`, `f = t·sin HA·cos HA`. Steering angles up to a few degrees.
    /// Source: the trail of Meijaard, Papadopoulos, Ruina and Schwab, Proc. R. Soc. A 463 (2007), Table 1,
    /// is this expression (λ = 90° − HA); flop as mm per radian is common practice, no source.
    ///
    /// ```
    /// use knockon_engine::geometry::steering::Steering;
    /// // 29 inch trail bike: 371·cos 65° − 44 = 156.8 − 44 = 112.8 mm
    /// let s = Steering::new(65_f64.to_radians(), 371.0, 44.0);
    /// assert!((s.mechanical_trail - 112.8).abs() < 0.05);
    /// ```
    #[inline]
    pub fn new(head_angle: T, front_radius: T, fork_offset: T) -> Self {
        let (sin, cos) = head_angle.sin_cos();
        let mechanical_trail = front_radius * cos - fork_offset;
        Steering { trail: mechanical_trail / sin, mechanical_trail, wheel_flop: mechanical_trail * cos }
    }
}
