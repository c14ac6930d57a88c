//! Points and directions in the side plane. Frame axes and ground axes are different types, so that a
//! height above the ground cannot be read off a frame point by mistake.

use crate::Scalar;

/// A point in frame axes: origin at the bottom-bracket centre, level in the chart pose, x forward, y up, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FramePoint<T> {
    /// Forward of the bottom bracket, mm.
    pub x: T,
    /// Above the bottom bracket, mm.
    pub y: T,
}

/// A point in ground axes: origin where the rear tyre touches the ground, x forward, y up, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundPoint<T> {
    /// Forward of the rear contact, mm.
    pub x: T,
    /// Above the ground, mm.
    pub y: T,
}

/// A direction or displacement in frame axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrameVector<T> {
    /// Forward, mm (or 1 for a unit vector).
    pub x: T,
    /// Upward, mm (or 1 for a unit vector).
    pub y: T,
}

impl<T: Scalar> FramePoint<T> {
    /// The bottom-bracket centre.
    pub fn bottom_bracket() -> Self {
        FramePoint { x: T::from(0.0), y: T::from(0.0) }
    }

    /// The point that lies `distance` from this one along `direction`.
    #[must_use]
    #[inline]
    pub fn along(self, direction: FrameVector<T>, distance: T) -> Self {
        FramePoint { x: self.x + direction.x * distance, y: self.y + direction.y * distance }
    }
}

impl<T: Scalar> FrameVector<T> {
    /// The vector turned counter-clockwise by the angle whose cosine and sine are given.
    #[must_use]
    #[inline]
    pub fn turned(self, cos: T, sin: T) -> Self {
        FrameVector { x: self.x * cos - self.y * sin, y: self.x * sin + self.y * cos }
    }
}
