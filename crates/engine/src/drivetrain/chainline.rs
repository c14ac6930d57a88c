//! Where rings and cogs lie across the bike, and how askew the chain runs between them.

use crate::Scalar;

/// A row of chainwheels side by side, seen from above: the rings of a crank, the cogs of a cassette.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row<T> {
    /// Distance of the row's middle from the frame's middle plane, mm, toward the drive side: the chainline.
    pub line: T,
    /// Distance between neighbours, middle to middle, mm.
    pub spacing: T,
    /// How many there are.
    pub count: T,
}

impl<T: Scalar> Row<T> {
    /// Distance of one of them from the frame's middle plane, mm; `place` counts from 0 at the innermost, which is the smallest
    /// ring of a crank and the largest cog of a cassette.
    ///
    /// ```
    /// use knockon_engine::drivetrain::chainline::Row;
    /// let cassette = Row { line: 45.0, spacing: 4.0, count: 11.0 };
    /// assert_eq!(cassette.at(0.0), 25.0);
    /// assert_eq!(cassette.at(5.0), 45.0);
    /// assert_eq!(cassette.at(10.0), 65.0);
    /// ```
    pub fn at(&self, place: T) -> T {
        self.line + (place - (self.count - 1.0) * 0.5) * self.spacing
    }
}

/// Angle between chain and the bike's long axis, radians, positive where the chain runs outward to the rear: lateral offset over
/// `centres`, the distance from bottom bracket to rear axle seen from above, mm. Source: plane geometry, common practice.
///
/// ```
/// use knockon_engine::drivetrain::chainline::angle;
/// assert!((angle(45.0_f64, 45.0, 430.0)).abs() < 1e-12);
/// // 20 mm over 430 mm: 2.66°.
/// assert!((angle(45.0_f64, 65.0, 430.0).to_degrees() - 2.663).abs() < 1e-3);
/// ```
pub fn angle<T: Scalar>(ring_line: T, cog_line: T, centres: T) -> T {
    ((cog_line - ring_line) / centres).atan()
}

/// The largest angle, radians, that the chain can be shifted to: the innermost ring with the outermost cog, or the other way.
/// Never negative.
///
/// ```
/// use knockon_engine::drivetrain::chainline::{Row, worst};
/// let ring = Row { line: 49.0_f64, spacing: 0.0, count: 1.0 };
/// let cassette = Row { line: 45.0, spacing: 4.0, count: 11.0 };
/// // To the largest cog, which lies innermost: 24 mm over 430 mm.
/// assert!((worst(&ring, &cassette, 430.0) - (24.0_f64 / 430.0).atan()).abs() < 1e-12);
/// ```
pub fn worst<T: Scalar>(rings: &Row<T>, cogs: &Row<T>, centres: T) -> T {
    let zero = T::from(0.0);
    let outward = cogs.at(cogs.count - 1.0) - rings.at(zero);
    let inward = rings.at(rings.count - 1.0) - cogs.at(zero);
    let most = if inward.re() > outward.re() { inward } else { outward };
    (most / centres).atan()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The worst of all pairs, tried one by one.
        #[test]
        fn worst_is_the_worst_of_all(
            line in 42.0..56.0, spacing in 3.0..9.0, rings in 1..4_i32, rear in 40.0..56.0, pitch in 3.0..6.0, cogs in 1..13_i32,
        ) {
            let front = Row { line, spacing, count: f64::from(rings) };
            let back = Row { line: rear, spacing: pitch, count: f64::from(cogs) };
            let mut most = 0.0_f64;
            for ring in 0..rings {
                for cog in 0..cogs {
                    most = most.max(angle(front.at(f64::from(ring)), back.at(f64::from(cog)), 430.0).abs());
                }
            }
            prop_assert!((worst(&front, &back, 430.0) - most).abs() < 1e-12);
        }
    }
}
