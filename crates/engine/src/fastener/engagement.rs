//! How deep a bolt must go into its thread, so that it breaks rather than strips.
//!
//! Taken from basic or limiting diameters, static load, every turn of the thread bearing its part: long engagements bear less than
//! this says, as the first turns take most (from memory, unverified). Chamfers and incomplete turns count as no engagement.

use std::f64::consts::PI;

use super::thread::{minor_diameter, pitch_diameter, stress_area};
use super::where_above_zero;
use crate::Scalar;

/// Rule of thumb, engagement over diameter, of a steel bolt in steel. Source: common practice (seen in several places).
pub const IN_STEEL: f64 = 1.0;
/// Rule of thumb, engagement over diameter, of a steel bolt in cast iron or brass. Source: common practice (seen in several places).
pub const IN_CAST_IRON: f64 = 1.5;
/// Rule of thumb, engagement over diameter, of a steel bolt in aluminium: 1.5 to 2 are named, the cautious one here. Source: common
/// practice (seen in several places).
pub const IN_ALUMINIUM: f64 = 2.0;

/// Tangent of half the angle between flanks: of 30°.
const TAN_FLANK: f64 = 0.577_350_269_189_625_8;

/// A bolt's thread in a nut's or a tapped part's: the diameters that decide where it shears. Lengths in mm, above 0.
///
/// For the weakest pair that a tolerance allows: least diameters of the bolt, largest of the nut. Where a number is out of its range,
/// every result is NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mating<T> {
    /// Nominal diameter.
    pub diameter: T,
    /// Pitch.
    pub pitch: T,
    /// Major (outer) diameter of the bolt's thread.
    pub bolt_major: T,
    /// Pitch diameter of the bolt's thread.
    pub bolt_pitch: T,
    /// Pitch diameter of the nut's thread.
    pub nut_pitch: T,
    /// Minor (inner) diameter of the nut's thread.
    pub nut_minor: T,
}

impl<T: Scalar> Mating<T> {
    /// The basic profile, without tolerances: from M5 to M10 it has 27 to 38 % more area than the weakest pair of the usual tolerance
    /// (6H/6g), which is what to leave in hand. Source: ISO 724 (from memory).
    ///
    /// ```
    /// use knockon_engine::fastener::engagement::Mating;
    /// let basic = Mating::basic(6.0_f64, 1.0);
    /// assert!((basic.nut_minor - 4.917).abs() < 0.0005 && (basic.bolt_pitch - 5.350).abs() < 0.0005); // ISO 724
    /// ```
    pub fn basic(diameter: T, pitch: T) -> Self {
        let middle = pitch_diameter(diameter, pitch);
        let nut_minor = minor_diameter(diameter, pitch);
        Mating { diameter, pitch, bolt_major: diameter, bolt_pitch: middle, nut_pitch: middle, nut_minor }
    }

    /// Area, mm², that shears where the bolt's thread strips, over a length of engagement, mm, above 0.
    ///
    /// `π·L/P·D₁·(P/2 + tan 30°·(d₂ − D₁))`. Source: FED-STD-H28/2B and Machinery's Handbook (seen in its form for the
    /// engagement); gives the areas of J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th edition (table seen).
    ///
    /// ```
    /// use knockon_engine::fastener::engagement::Mating;
    /// // M6 at the limits of 6H/6g (from memory), over 6 mm: 51.875 mm² in that table.
    /// let m6 = Mating { diameter: 6.0_f64, pitch: 1.0, bolt_major: 5.794, bolt_pitch: 5.212, nut_pitch: 5.5, nut_minor: 5.153 };
    /// assert!((m6.bolt_shear_area(6.0) - 51.875).abs() < 0.001);
    /// ```
    pub fn bolt_shear_area(&self, length: T) -> T {
        self.shear_area(self.nut_minor, self.bolt_pitch - self.nut_minor, length)
    }

    /// Area, mm², that shears where the nut's thread strips, over a length of engagement, mm, above 0.
    ///
    /// `π·L/P·d·(P/2 + tan 30°·(d − D₂))`. Source: as for [`Mating::bolt_shear_area`].
    ///
    /// ```
    /// use knockon_engine::fastener::engagement::Mating;
    /// // See `bolt_shear_area`: 73.145 mm².
    /// let m6 = Mating { diameter: 6.0_f64, pitch: 1.0, bolt_major: 5.794, bolt_pitch: 5.212, nut_pitch: 5.5, nut_minor: 5.153 };
    /// assert!((m6.nut_shear_area(6.0) - 73.145).abs() < 0.001);
    /// ```
    pub fn nut_shear_area(&self, length: T) -> T {
        self.shear_area(self.bolt_major, self.bolt_major - self.nut_pitch, length)
    }

    /// Least length of engagement, mm, at which the bolt breaks before either thread strips, from the tensile strengths of bolt and of
    /// the part it goes into, N/mm², both above 0.
    ///
    /// The strength in shear is taken as half the tensile strength: the area in shear is twice the stress area, and more where the nut is
    /// the weaker one, `L·J`, `J = A_bolt·R_bolt/(A_nut·R_nut)` above 1. Source: FED-STD-H28/2B and Machinery's Handbook, 24th edition
    /// (seen as quoted; `J` in words).
    ///
    /// ```
    /// use knockon_engine::fastener::engagement::Mating;
    /// // Equal strengths, basic profile: the shear area per mm is π·D₁·3/4, so 2 · 20.123 / (π · 4.9175 · 0.75) for M6.
    /// assert!((Mating::basic(6.0_f64, 1.0).engagement_least(800.0, 800.0) - 3.4735).abs() < 0.001);
    /// ```
    pub fn engagement_least(&self, bolt_tensile: T, nut_tensile: T) -> T {
        where_above_zero(&[bolt_tensile, nut_tensile], || {
            let one = T::from(1.0);
            let (bolt, nut) = (self.bolt_shear_area(one), self.nut_shear_area(one));
            let length = stress_area(self.diameter, self.pitch) * 2.0 / bolt;
            let j = bolt * bolt_tensile / (nut * nut_tensile);
            // The nut's thread must be known even where it is the stronger one.
            if j.re() > 1.0 { length * j } else { length + j * 0.0 }
        })
    }

    /// Load, N, at which the weaker thread strips, over a length of engagement, mm, from the tensile strengths, N/mm², all above 0. The
    /// strength in shear is taken as half of that, the source being the same, as for [`Mating::engagement_least`].
    ///
    /// ```
    /// use knockon_engine::fastener::engagement::Mating;
    /// // See `bolt_shear_area` and `nut_shear_area`: 51.875 · 800/2 N against 73.145 · 300/2 N.
    /// let m6 = Mating { diameter: 6.0_f64, pitch: 1.0, bolt_major: 5.794, bolt_pitch: 5.212, nut_pitch: 5.5, nut_minor: 5.153 };
    /// assert!((m6.stripping_load(6.0, 800.0, 300.0) - 10_972.0).abs() < 1.0);
    /// assert!((m6.stripping_load(6.0, 800.0, 800.0) - 20_750.0).abs() < 1.0);
    /// ```
    pub fn stripping_load(&self, length: T, bolt_tensile: T, nut_tensile: T) -> T {
        where_above_zero(&[bolt_tensile, nut_tensile], || {
            let bolt = self.bolt_shear_area(length) * bolt_tensile * 0.5;
            let nut = self.nut_shear_area(length) * nut_tensile * 0.5;
            // An area that is not known must not pass for the stronger one.
            if bolt.re() <= nut.re() || bolt.re().is_nan() { bolt } else { nut }
        })
    }

    fn shear_area(&self, at: T, overlap: T, length: T) -> T {
        let depth = self.pitch * 0.5 + overlap * TAN_FLANK;
        where_above_zero(&[self.diameter, self.pitch, at, depth, length], || {
            length / self.pitch * at * depth * PI
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Least and largest diameters of 6H/6g (ISO 965, from memory; they reproduce the areas of the table).
    fn weakest() -> [Mating<f64>; 4] {
        [
            (5.0, 0.8, 4.826, 4.361, 4.605, 4.334),
            (6.0, 1.0, 5.794, 5.212, 5.5, 5.153),
            (8.0, 1.25, 7.760, 7.042, 7.348, 6.912),
            (10.0, 1.5, 9.732, 8.862, 9.206, 8.676),
        ]
        .map(|(diameter, pitch, bolt_major, bolt_pitch, nut_pitch, nut_minor)| Mating {
            diameter,
            pitch,
            bolt_major,
            bolt_pitch,
            nut_pitch,
            nut_minor,
        })
    }

    /// Source: J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th edition, as tabulated at
    /// engineersedge.com (seen): mm² over one diameter, 6H/6g.
    #[test]
    fn areas_of_a_table() {
        let areas = [(35.366, 49.994), (51.875, 73.145), (97.290, 134.63), (155.80, 214.77)];
        for (mating, (bolt, nut)) in weakest().into_iter().zip(areas) {
            assert!((mating.bolt_shear_area(mating.diameter) - bolt).abs() < 0.006);
            assert!((mating.nut_shear_area(mating.diameter) - nut).abs() < 0.006);
            let basic = Mating::basic(mating.diameter, mating.pitch);
            for more in
                [basic.bolt_shear_area(mating.diameter) / bolt, basic.nut_shear_area(mating.diameter) / nut]
            {
                assert!((1.26..1.39).contains(&more), "{more}");
            }
        }
    }

    /// The rules of thumb keep to the safe side for equal steel, and for 8.8 in aluminium of 300 N/mm².
    #[test]
    fn rules_of_thumb_suffice() {
        for mating in weakest() {
            let share = |nut| mating.engagement_least(800.0, nut) / mating.diameter;
            assert!((0.7..IN_STEEL).contains(&share(800.0)), "{}", share(800.0));
            assert!((IN_STEEL..IN_ALUMINIUM).contains(&share(300.0)), "{}", share(300.0));
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        let unknown = Mating { nut_pitch: f64::NAN, ..Mating::basic(6.0, 1.0) };
        assert!(unknown.nut_shear_area(6.0).is_nan() && unknown.engagement_least(800.0, 800.0).is_nan());
        assert!(unknown.stripping_load(6.0, 800.0, 300.0).is_nan());
        let unknown = Mating { bolt_pitch: f64::NAN, ..Mating::basic(6.0, 1.0) };
        assert!(unknown.stripping_load(6.0, 800.0, 300.0).is_nan());
        assert!(Mating::basic(6.0_f64, 0.0).bolt_shear_area(6.0).is_nan());
        assert!(Mating::basic(6.0_f64, 1.0).engagement_least(-1.0, 300.0).is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// At the least engagement the weaker thread bears just what breaks the bolt.
        #[test]
        fn least_engagement_holds_what_breaks_the_bolt(bolt in 400.0..1300.0_f64, nut in 100.0..1300.0_f64, which in 0_usize..4) {
            let mating = weakest()[which];
            let length = mating.engagement_least(bolt, nut);
            let breaks = bolt * stress_area(mating.diameter, mating.pitch);
            prop_assert!((mating.stripping_load(length, bolt, nut) / breaks - 1.0).abs() < 1e-9);
            prop_assert!(mating.engagement_least(bolt, nut * 0.9) >= length);
        }
    }
}
