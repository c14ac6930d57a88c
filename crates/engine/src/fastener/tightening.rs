//! Torque on a bolt's head, preload in its shank, and the friction that takes most of the torque.
//!
//! Most of a torque goes into friction, so the preload is known no better than the friction is: a torque wrench leaves it
//! within about ±30 % (common practice, seen). Ten equal lubricated bolts at 90 N·m had 30.3 to 40.5 kN (Shigley's Mechanical
//! Engineering Design, 9th edition, table 8-14). Ask for a range ([`Joint::range_of_preload`]) rather than for one number.

use std::f64::consts::PI;

use super::thread::{pitch_diameter, root_diameter, stress_area};
use super::where_above_zero;
use crate::Scalar;

/// Millimetres in a metre: N·mm in N·m.
const MILLIMETRES: f64 = 1000.0;
/// Cosine of half the angle between flanks: of 30°.
const COS_FLANK: f64 = 0.866_025_403_784_438_6;

/// Torque, N·m, that gives this preload, N, by a nut factor (a plain number) and the nominal diameter, mm, all above 0.
///
/// Nut factors: 0.30 for black bolts, 0.20 zinc-plated or unknown, 0.18 lubricated, 0.16 cadmium-plated, 0.12 with anti-seize paste.
/// Source: `T = K·d·F` and the factors, Shigley's Mechanical Engineering Design, 9th edition, equation 8-27 and table 8-15.
///
/// ```
/// use knockon_engine::fastener::tightening::torque;
/// assert!((torque(0.2_f64, 6.0, 10_000.0) - 12.0).abs() < 1e-9); // 0.2 · 0.006 m · 10 kN
/// ```
pub fn torque<T: Scalar>(nut_factor: T, diameter: T, preload: T) -> T {
    where_above_zero(&[nut_factor, diameter, preload], || nut_factor * diameter * preload / MILLIMETRES)
}

/// Preload, N, from a torque, N·m: [`torque`] solved for it, with the same source and ranges.
///
/// ```
/// use knockon_engine::fastener::tightening::preload;
/// assert!((preload(12.0_f64, 0.2, 6.0) - 10_000.0).abs() < 1e-9); // 12 N·m / (0.2 · 0.006 m)
/// ```
pub fn preload<T: Scalar>(torque: T, nut_factor: T, diameter: T) -> T {
    where_above_zero(&[torque, nut_factor, diameter], || torque * MILLIMETRES / (nut_factor * diameter))
}

/// Diameter at which the friction under a head works, mm, from the outer diameter of its bearing face and the hole's, mm, the outer
/// one being the larger, both above 0.
///
/// Source: VDI 2230, `D_Km = (d_w + d_h)/2` (from memory).
///
/// ```
/// use knockon_engine::fastener::tightening::bearing_diameter;
/// assert_eq!(bearing_diameter(10.0, 6.5), 8.25);
/// ```
pub fn bearing_diameter<T: Scalar>(outer: T, hole: T) -> T {
    where_above_zero(&[outer, hole, outer - hole], || (outer + hole) * 0.5)
}

/// A bolt of a 60° thread and how it rubs.
///
/// Friction counts to 1; above that, or where a number is not above 0 (frictions may be 0), every result is NaN. Coefficients of
/// friction: 0.08 to 0.12 greased, 0.12 to 0.18 dry or plated steel, 0.2 and far above for stainless on stainless (from memory, unverified).
/// Left out: the torque of a locking element, which comes on top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint<T> {
    /// Nominal diameter of the thread, mm.
    pub diameter: T,
    /// Pitch, mm.
    pub pitch: T,
    /// Coefficient of friction in the thread.
    pub thread_friction: T,
    /// Coefficient of friction under the head or nut that turns.
    pub head_friction: T,
    /// Diameter at which the latter works, mm: see [`bearing_diameter`].
    pub bearing_diameter: T,
}

impl<T: Scalar> Joint<T> {
    /// Nut factor, a plain number: what [`torque`] needs to be the same as [`Joint::torque`].
    ///
    /// `K = (d₂·tan(φ + ρ′) + D·µ_k)/(2d)`, `tan φ = P/(π·d₂)`, `tan ρ′ = µ/cos 30°`. Source: Shigley's Mechanical Engineering Design,
    /// 9th edition, section 8-8 (equation 8-26), with the pitch diameter for the thread's mean; VDI 2230 and ISO 16047 split the torque
    /// the same way.
    ///
    /// ```
    /// use knockon_engine::fastener::tightening::Joint;
    /// // ¾-16 UNF, 0.15, a collar of 1.25 d: 3551 lbf·in at 25 000 lbf (Shigley, problem; answer recomputed, attribution from memory).
    /// let joint = Joint { diameter: 0.75, pitch: 0.0625, thread_friction: 0.15, head_friction: 0.15, bearing_diameter: 0.9375_f64 };
    /// assert!((joint.nut_factor() * 0.75 * 25_000.0 - 3551.0).abs() < 1.0);
    /// ```
    pub fn nut_factor(&self) -> T {
        let (frictions, sizes) =
            ([self.thread_friction, self.head_friction], [self.diameter, self.pitch, self.bearing_diameter]);
        if !frictions.iter().all(|it| (0.0..=1.0).contains(&it.re())) {
            return T::from(f64::NAN);
        }
        where_above_zero(&sizes, || {
            let middle = pitch_diameter(self.diameter, self.pitch);
            let climb = (self.pitch / (middle * PI)).atan() + (self.thread_friction / COS_FLANK).atan();
            (middle * climb.tan() + self.bearing_diameter * self.head_friction) / (self.diameter * 2.0)
        })
    }

    /// Torque, N·m, that gives this preload, N, above 0. Source: see [`Joint::nut_factor`].
    ///
    /// ```
    /// use knockon_engine::fastener::tightening::Joint;
    /// // Without friction a turn of 2π lifts by the pitch: 10 kN · 1 mm / 2π.
    /// let joint = Joint { diameter: 6.0_f64, pitch: 1.0, thread_friction: 0.0, head_friction: 0.0, bearing_diameter: 8.0 };
    /// assert!((joint.torque(10_000.0) - 10.0 / std::f64::consts::TAU).abs() < 1e-9);
    /// ```
    pub fn torque(&self, preload: T) -> T {
        torque(self.nut_factor(), self.diameter, preload)
    }

    /// Preload, N, that a torque, N·m, above 0, gives. Source: see [`Joint::nut_factor`].
    ///
    /// ```
    /// use knockon_engine::fastener::tightening::Joint;
    /// let joint = Joint { diameter: 6.0_f64, pitch: 1.0, thread_friction: 0.0, head_friction: 0.0, bearing_diameter: 8.0 };
    /// assert!((joint.preload(10.0 / std::f64::consts::TAU) - 10_000.0).abs() < 1e-6); // see `torque`
    /// ```
    pub fn preload(&self, torque: T) -> T {
        preload(torque, self.nut_factor(), self.diameter)
    }

    /// Least and largest preload, N, that a torque, N·m, gives where the friction, in the thread and under the head alike, is somewhere
    /// between two coefficients. Both NaN where the lower one is above the higher one. Source: see [`Joint::nut_factor`].
    ///
    /// ```
    /// use knockon_engine::fastener::tightening::Joint;
    /// let joint = Joint { diameter: 6.0_f64, pitch: 1.0, thread_friction: 0.0, head_friction: 0.0, bearing_diameter: 8.0 };
    /// let (least, most) = joint.range_of_preload(10.0 / std::f64::consts::TAU, 0.0, 0.15);
    /// assert!((most - 10_000.0).abs() < 1e-6 && least < most); // see `preload`
    /// ```
    pub fn range_of_preload(&self, torque: T, friction_low: T, friction_high: T) -> (T, T) {
        if !(friction_low.re()..).contains(&friction_high.re()) {
            return (T::from(f64::NAN), T::from(f64::NAN));
        }
        let with = |it| Joint { thread_friction: it, head_friction: it, ..*self }.preload(torque);
        (with(friction_high), with(friction_low))
    }

    /// Preload, N, at which tension and twist of the tightening together come to a stress, N/mm², above 0: 90 % of the yield strength
    /// is what tables of torques go by.
    ///
    /// `F = σ·A_s/√(1 + 3·(3/2·d₂/d₀·tan(φ + ρ′))²)`, `d₀ = (d₂ + d₃)/2`. Source: VDI 2230 (form from memory; within 0.5 % of a
    /// table after its 2001 edition, seen).
    ///
    /// ```
    /// use knockon_engine::fastener::tightening::Joint;
    /// let joint = Joint { diameter: 8.0_f64, pitch: 1.0, thread_friction: 0.12, head_friction: 0.12, bearing_diameter: 10.7 };
    /// assert!((joint.preload_at(0.9 * 640.0) - 20_200.0).abs() < 100.0); // that table, M8 × 1 in 8.8
    /// ```
    pub fn preload_at(&self, stress: T) -> T {
        let bare = Joint { head_friction: T::from(0.0), ..*self };
        let middle = pitch_diameter(self.diameter, self.pitch);
        let core = (middle + root_diameter(self.diameter, self.pitch)) * 0.5;
        // What the thread alone takes: d₂·tan(φ + ρ′).
        let twist = bare.nut_factor() * self.diameter * 2.0 / core * 1.5;
        let both = (twist * twist * 3.0 + 1.0).sqrt();
        where_above_zero(&[stress, both], || stress * stress_area(self.diameter, self.pitch) / both)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn joint(diameter: f64, pitch: f64, friction: f64, bearing_diameter: f64) -> Joint<f64> {
        Joint { diameter, pitch, thread_friction: friction, head_friction: friction, bearing_diameter }
    }

    /// Shigley, ¾-16 UNF at 25 kip: 3750 lbf·in for K = 0.2, 3551 for 0.15 everywhere (problem; answers recomputed, attribution from
    /// memory). In mm and N here.
    #[test]
    fn three_quarter_inch() {
        const INCH_POUND: f64 = 0.112_984_829;
        let (diameter, preload) = (19.05, 25_000.0 * 4.448_221_615);
        assert!((torque(0.2, diameter, preload) / INCH_POUND - 3750.0).abs() < 0.1);
        let full = joint(diameter, 25.4 / 16.0, 0.15, 1.25 * diameter).torque(preload);
        assert!((full / INCH_POUND - 3551.0).abs() < 1.0, "{full}");
    }

    /// A table of fine threads in 8.8 after VDI 2230 (2001 edition; seen at mastik.pt, p. 685): preload kN and torque N·m at 90 % of
    /// yield. It does not say which heads: 95 % of the width across flats and the medium hole are taken here, hence 4 % of torque.
    #[test]
    fn fine_threads_of_a_table() {
        for (diameter, pitch, friction, flats, hole, preload, torque) in [
            (8.0, 1.0, 0.12, 13.0, 9.0, 20.2, 26.1),
            (10.0, 1.25, 0.12, 16.0, 11.0, 31.6, 51.0),
            (12.0, 1.25, 0.12, 18.0, 13.5, 48.0, 90.0),
            (8.0, 1.0, 0.10, 13.0, 9.0, 20.7, 22.8),
            (10.0, 1.25, 0.10, 16.0, 11.0, 32.4, 44.0),
            (8.0, 1.0, 0.14, 13.0, 9.0, 19.7, 29.2),
            (10.0, 1.25, 0.14, 16.0, 11.0, 30.8, 57.0),
        ] {
            let joint = joint(diameter, pitch, friction, bearing_diameter(0.95 * flats, hole));
            let force = joint.preload_at(0.9 * 640.0);
            assert!((force / (preload * 1000.0) - 1.0).abs() < 0.005, "{diameter} × {pitch}: {force}");
            assert!((joint.torque(force) / torque - 1.0).abs() < 0.04, "{diameter} × {pitch}: {force}");
        }
    }

    /// JIS B 1083 (seen): K = (P/π + µ_s·d₂/cos α′ + µ_w·D_w)/(2d). It leaves out a product of two small angles: 1 %.
    #[test]
    fn near_the_sum_of_three_parts() {
        for (diameter, pitch) in [(5.0, 0.8), (6.0, 1.0), (8.0, 1.25), (10.0, 1.5)] {
            for friction in [0.08, 0.12, 0.15, 0.2] {
                let bearing = 1.3 * diameter;
                let middle = pitch_diameter(diameter, pitch);
                let sum = pitch / PI + friction * (middle / (PI / 6.0).cos() + bearing);
                let ratio = joint(diameter, pitch, friction, bearing).nut_factor() / (sum / (2.0 * diameter));
                assert!((ratio - 1.0).abs() < 0.01, "{ratio}");
            }
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        let sound = joint(6.0, 1.0, 0.15, 8.0);
        assert!(torque(0.2_f64, -6.0, 1e4).is_nan() && preload(f64::NAN, 0.2, 6.0).is_nan());
        assert!(bearing_diameter(6.0_f64, 7.0).is_nan() && sound.torque(0.0).is_nan());
        assert!(
            joint(6.0, 1.0, -0.1, 8.0).nut_factor().is_nan()
                && joint(6.0, 1.0, 1.1, 8.0).preload(5.0).is_nan()
        );
        assert!(
            joint(6.0, f64::NAN, 0.1, 8.0).preload_at(500.0).is_nan() && sound.preload_at(f64::NAN).is_nan()
        );
        assert!(sound.range_of_preload(5.0, 0.2, 0.1).0.is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn more_friction_leaves_less_preload(friction in 0.0..0.5, torque in 1.0..50.0_f64, diameter in 3.0..12.0) {
            let (slick, dry) = (joint(diameter, 0.8, friction, 1.3 * diameter), joint(diameter, 0.8, friction + 0.01, 1.3 * diameter));
            prop_assert!(dry.preload(torque) < slick.preload(torque));
            prop_assert!(dry.preload_at(576.0) < slick.preload_at(576.0));
            let (least, most) = slick.range_of_preload(torque, friction, friction + 0.01);
            prop_assert!((least, most) == (dry.preload(torque), slick.preload(torque)));
            prop_assert!((slick.torque(slick.preload(torque)) / torque - 1.0).abs() < 1e-12);
        }
    }
}
