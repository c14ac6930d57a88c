//! The pose on the ground.

use crate::Scalar;
use crate::bike::Bike;

use super::frame::FramePoints;
use super::point::{FramePoint, FrameVector, GroundPoint};

/// A bike standing on level ground: by how much the frame has turned from the chart pose, and where things are.
#[derive(Clone, Copy, Debug)]
pub struct Stance<T> {
    /// Turn of the frame, radians, counter-clockwise positive: nose up.
    pub turn: T,
    /// Front axle in frame axes.
    pub front_axle: FramePoint<T>,
    /// Rear axle in frame axes.
    pub rear_axle: FramePoint<T>,
    turn_cos: T,
    turn_sin: T,
    rear_radius: T,
}

impl<T: Scalar> Stance<T> {
    /// Stands `bike` on its wheels with the fork compressed by `fork_compression` mm.
    ///
    /// With `d` from rear to front axle, `D = |d|`, `α` the angle of `d`: the frame turns by
    /// `asin((r_f − r_r)/D) − α`, which puts both wheels on the ground. No iteration.
    #[inline]
    pub fn new(bike: &Bike<T>, fork_compression: T) -> Self {
        let points = FramePoints::new(bike, fork_compression);
        Self::on(bike, points.front_axle, points.rear_axle)
    }

    /// Stands `bike` on its wheels with the rear suspension compressed as well: the rear axle lies at `rear_axle`.
    #[inline]
    pub fn compressed(bike: &Bike<T>, fork_compression: T, rear_axle: FramePoint<T>) -> Self {
        Self::on(bike, FramePoints::new(bike, fork_compression).front_axle, rear_axle)
    }

    /// Stands `bike` on its wheels, its axles being placed already.
    #[inline]
    pub fn on(bike: &Bike<T>, front_axle: FramePoint<T>, rear_axle: FramePoint<T>) -> Self {
        let dx = front_axle.x - rear_axle.x;
        let dy = front_axle.y - rear_axle.y;
        let squared = dx * dx + dy * dy;
        let rise = bike.front_radius - bike.rear_radius;
        let run = (squared - rise * rise).sqrt();
        // Sine and cosine of the difference of two angles whose sines and cosines are ratios over D.
        let inverse = squared.recip();
        let turn_sin = (rise * dx - run * dy) * inverse;
        let turn_cos = (run * dx + rise * dy) * inverse;
        let (turn, rear_radius) = (turn_sin.atan2(turn_cos), bike.rear_radius);
        Stance { turn, front_axle, rear_axle, turn_cos, turn_sin, rear_radius }
    }

    /// A direction in frame axes, as it stands on the ground.
    #[inline]
    pub fn direction(&self, vector: FrameVector<T>) -> FrameVector<T> {
        vector.turned(self.turn_cos, self.turn_sin)
    }

    /// A displacement from the bottom bracket, as it stands on the ground: level forward, and up, mm.
    #[inline]
    pub fn from_bottom_bracket(&self, point: FramePoint<T>) -> FrameVector<T> {
        FrameVector { x: point.x, y: point.y }.turned(self.turn_cos, self.turn_sin)
    }

    /// Height of the bottom bracket above the ground, mm.
    #[inline]
    pub fn bottom_bracket_height(&self) -> T {
        self.rear_radius - self.from_bottom_bracket(self.rear_axle).y
    }

    /// Level distance between the axles, mm.
    #[inline]
    pub fn wheelbase(&self) -> T {
        self.from_bottom_bracket(self.front_axle).x - self.from_bottom_bracket(self.rear_axle).x
    }

    /// A frame point in ground axes.
    pub fn on_ground(&self, point: FramePoint<T>) -> GroundPoint<T> {
        let here = self.from_bottom_bracket(point);
        let rear = self.from_bottom_bracket(self.rear_axle);
        GroundPoint { x: here.x - rear.x, y: here.y - rear.y + self.rear_radius }
    }
}
