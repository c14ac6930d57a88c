//! What is wanted of one quantity, and by how much a value misses it.

use crate::quantity::Quantity;

/// A wanted range of one quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim {
    /// Which one.
    pub quantity: Quantity,
    /// Least and most that is wanted, in the engine's units; infinite where one side is open.
    pub range: [f64; 2],
    /// How far outside the range counts as a miss of 1, in the engine's units; above 0. A weight divides it by its square root.
    pub scale: f64,
}

impl Aim {
    /// How far a value lies outside the range, over the scale; 0 within it, infinite for a value that is none.
    ///
    /// ```
    /// use knockon_engine::{quantity::Quantity, search::Aim};
    /// let aim = Aim { quantity: Quantity::GripStack, range: [640.0, 646.0], scale: 5.0 };
    /// assert_eq!((aim.miss(643.0), aim.miss(651.0), aim.miss(635.0)), (0.0, 1.0, 1.0));
    /// assert_eq!(aim.miss(f64::NAN), f64::INFINITY);
    /// ```
    #[inline]
    pub fn miss(&self, value: f64) -> f64 {
        let [least, most] = self.range;
        if value.is_nan() { f64::INFINITY } else { (least - value).max(value - most).max(0.0) / self.scale }
    }

    /// How far a value lies from the middle of the range, over the scale; of an open range, how far outside it.
    #[inline]
    pub(super) fn off_middle(&self, value: f64) -> f64 {
        let [least, most] = self.range;
        let middle = f64::midpoint(least, most);
        if middle.is_finite() { (value - middle).abs() / self.scale } else { self.miss(value) }
    }

    /// The least of both over all values of an interval.
    #[inline]
    pub(super) fn least_over(&self, [low, high]: [f64; 2]) -> Off {
        // A bike of which too little is known has no interval, and nothing is ruled out by it.
        let nearest = |to: f64| to.max(low).min(high);
        let [least, most] = self.range;
        let miss = (least - high).max(low - most).max(0.0) / self.scale;
        let middle = f64::midpoint(least, most);
        let middle = if middle.is_finite() { (nearest(middle) - middle).abs() / self.scale } else { miss };
        Off { miss: miss * miss, middle: middle * middle }
    }

    #[inline]
    pub(super) fn off(&self, value: f64) -> Off {
        let (miss, middle) = (self.miss(value), self.off_middle(value));
        Off { miss: miss * miss, middle: middle * middle }
    }
}

/// Squares, summed over aims: of what lies outside the ranges, and of the distance from their middles.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Off {
    pub miss: f64,
    pub middle: f64,
}

impl std::ops::Add for Off {
    type Output = Off;

    #[inline]
    fn add(self, other: Off) -> Off {
        Off { miss: self.miss + other.miss, middle: self.middle + other.middle }
    }
}
