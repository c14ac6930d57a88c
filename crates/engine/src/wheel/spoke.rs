//! Spokes: how long, and at which angle.
//!
//! A spoke is taken as a straight line from the middle of its hole in the flange to the rim, and the rim as stiff and true. Straight-pull
//! hubs, whose spokes do not leave a flange's hole, are out of range, and so is a lacing with spokes of one side that differ.

use std::f64::consts::TAU;

use crate::{Scalar, all_above_zero};

/// The spokes of one side and the flange that they hang on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side<T> {
    /// Radius of the circle through the middles of the flange's holes, mm, above 0.
    pub flange_radius: T,
    /// From the middle between the locknuts to the middle of the flange, mm; negative beyond the middle.
    pub flange_offset: T,
    /// Diameter of a hole, mm, at least 0. 2.6 mm is usual (common practice, no source).
    pub hole: T,
    /// How many spokes hang on this flange, above 0.
    pub spokes: T,
    /// How many spokes of its side each one crosses, 0 to half of [`Side::spokes`].
    pub crosses: T,
}

/// What the spokes end in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rim<T> {
    /// Effective diameter, mm, above 0: of the circle on which the spokes' ends shall lie, usually the bottom of the nipples' slots.
    pub effective_diameter: T,
    /// How far the spoke holes lie off the rim's middle toward the side in question, mm; negative away from it, 0 for a rim that is
    /// not offset. See [`Rim::from_other_side`].
    pub offset: T,
}

impl<T: Scalar> Rim<T> {
    /// The same rim as the other side's spokes have it.
    #[must_use]
    pub fn from_other_side(self) -> Self {
        Rim { offset: -self.offset, ..self }
    }
}

impl<T: Scalar> Side<T> {
    /// Length of a spoke, mm, from the inside of its bend to its end, unstretched: [`super::tension::elongation`] is what its tension
    /// adds.
    ///
    /// `√(R² + r² + w² − 2·R·r·cos(2π·k/n)) − hole/2` with `w` the flange's offset less that of the rim. Half the hole comes off because
    /// the spoke lies against its edge; some take off 1 mm. An error of 1 mm in the rim's diameter is one of 0.5 mm here. NaN where a
    /// number is out of its range. Source: geometry; the formula is common practice and was seen with two worked examples.
    ///
    /// ```
    /// use knockon_engine::wheel::spoke::{Rim, Side};
    /// let side = Side { flange_radius: 29.0_f64, flange_offset: 39.0, hole: 2.6, spokes: 18.0, crosses: 3.0 };
    /// let rim = Rim { effective_diameter: 555.0, offset: 0.0 };
    /// assert!((side.length(&rim) - 265.8).abs() < 0.05); // worked note at tristable.net/bike/spoke_length.txt
    /// ```
    pub fn length(&self, rim: &Rim<T>) -> T {
        self.run(rim) - self.hole * 0.5
    }

    /// Bracing angle, radians: between the spoke and the plane of the rim. Negative where the spokes pull the rim away from their own
    /// side. NaN where a number is out of its range.
    ///
    /// Source: geometry, `asin(w/L)` with the names of [`Side::length`].
    ///
    /// ```
    /// use knockon_engine::wheel::spoke::{Rim, Side};
    /// let side = Side { flange_radius: 26.0_f64, flange_offset: 23.0, hole: 2.6, spokes: 16.0, crosses: 0.0 };
    /// let rim = Rim { effective_diameter: 580.0, offset: 0.0 };
    /// // Radial: a right triangle of 23, 290 − 26 = 264 and 265 mm.
    /// assert!((side.bracing_angle(&rim).sin() - 23.0 / 265.0).abs() < 1e-12);
    /// ```
    pub fn bracing_angle(&self, rim: &Rim<T>) -> T {
        ((self.flange_offset - rim.offset) / self.run(rim)).asin()
    }

    /// From the middle of a hole in the flange to the rim.
    fn run(&self, rim: &Rim<T>) -> T {
        let (crosses, half) = (self.crosses.re(), self.spokes.re() * 0.5);
        let known = all_above_zero(&[self.flange_radius, self.spokes, rim.effective_diameter]);
        if !known || !(0.0..=half).contains(&crosses) || !(0.0..).contains(&self.hole.re()) {
            return T::from(f64::NAN);
        }
        let (r, rim_radius) = (self.flange_radius, rim.effective_diameter * 0.5);
        let w = self.flange_offset - rim.offset;
        let angle = self.crosses * TAU / self.spokes;
        (rim_radius * rim_radius + r * r + w * w - rim_radius * r * angle.cos() * 2.0).sqrt()
    }
}

/// How far the middle between the flanges lies left of the middle between the locknuts, mm: what the wheel is dished by. NaN where an
/// offset is. Source: the definition of the term.
///
/// ```
/// use knockon_engine::wheel::spoke::dish;
/// assert_eq!(dish(35.0, 18.0), 8.5); // a hub with its right flange moved in
/// ```
pub fn dish<T: Scalar>(left_offset: T, right_offset: T) -> T {
    (left_offset - right_offset) * 0.5
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const FRONT: Side<f64> =
        Side { flange_radius: 22.5, flange_offset: 35.0, hole: 2.6, spokes: 16.0, crosses: 3.0 };

    fn rim(effective_diameter: f64, offset: f64) -> Rim<f64> {
        Rim { effective_diameter, offset }
    }

    /// Computed twice elsewhere, by the formula and by the distance of two points: a check between implementations, not published.
    #[test]
    fn lengths_computed_elsewhere() {
        for (offset, crosses, length) in
            [(35.0, 3.0, 293.909_761), (17.0, 3.0, 292.320_168), (35.0, 0.0, 279.390_666)]
        {
            let side = Side { flange_offset: offset, crosses, ..FRONT };
            assert!((side.length(&rim(602.0, 0.0)) - length).abs() < 1e-6);
        }
    }

    /// Quoted in bikeforums.net post 10752838: 36 spokes, 3 crosses, 259.11 and 257.44 mm. It takes 1 mm off for the hole.
    #[test]
    fn lengths_of_unequal_flanges() {
        for (diameter, offset, length) in [(44.0, 35.30, 259.11), (45.0, 22.10, 257.44)] {
            let side = Side {
                flange_radius: diameter / 2.0,
                flange_offset: offset,
                hole: 2.0,
                spokes: 18.0,
                crosses: 3.0,
            };
            assert!((side.length(&rim(536.0, 0.0)) - length).abs() < 0.005);
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        let rim = rim(602.0, 0.0);
        for side in [
            Side { flange_radius: 0.0, ..FRONT },
            Side { spokes: f64::NAN, ..FRONT },
            Side { crosses: -1.0, ..FRONT },
            Side { crosses: 9.0, ..FRONT },
            Side { hole: f64::NAN, ..FRONT },
            Side { flange_offset: f64::NAN, ..FRONT },
        ] {
            assert!(side.length(&rim).is_nan());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// A spoke's line from its flange's hole to the rim's hole that lies as many of its side's holes further.
        #[test]
        fn length_is_the_distance_of_two_points(
            radius in 15.0..35.0_f64, flange_offset in 10.0..40.0, spokes in 8_u32..20, share in 0.0..1.0_f64, offset in -5.0..5.0,
        ) {
            let spokes = f64::from(spokes);
            let side = Side { flange_radius: radius, flange_offset, hole: 2.6, spokes, crosses: (share * spokes / 4.0).round() };
            let rim = rim(560.0, offset);
            let turn = side.crosses * TAU / spokes;
            let line = nalgebra::Vector3::new(280.0 * turn.cos() - radius, 280.0 * turn.sin(), offset - flange_offset);
            prop_assert!((line.norm() - 1.3 - side.length(&rim)).abs() < 1e-9);
            prop_assert!((line.norm() * side.bracing_angle(&rim).sin() + line.z).abs() < 1e-9);
        }

        #[test]
        fn more_crosses_are_longer(crosses in 0.0..3.0_f64, radius in 15.0..35.0) {
            let side = Side { flange_radius: radius, crosses, ..FRONT };
            let more = Side { crosses: crosses + 1.0, ..side };
            prop_assert!(more.length(&rim(602.0, 0.0)) > side.length(&rim(602.0, 0.0)));
        }
    }
}
