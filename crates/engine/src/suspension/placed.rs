//! A bike whose frame has been placed: worked out once for everything that is asked of it.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::FramePoints;

use super::linkage::Linkage;

/// A bike, its linkage where somebody measured one, and the frame's points with the fork fully extended.
#[derive(Debug)]
pub(crate) struct Placed<'a, T> {
    pub bike: &'a Bike<T>,
    pub linkage: Option<&'a Linkage<T>>,
    pub points: FramePoints<T>,
}

impl<'a, T: Scalar> Placed<'a, T> {
    #[inline]
    pub fn new(bike: &'a Bike<T>, linkage: Option<&'a Linkage<T>>) -> Self {
        Placed { bike, linkage, points: FramePoints::new(bike, T::from(0.0)) }
    }
}
