//! What a bolt bears: property classes, proof load, and what a load from outside adds to the preload.

use super::where_above_zero;
use crate::Scalar;

/// Least strengths of a property class, N/mm².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Class {
    /// Tensile strength.
    pub tensile: f64,
    /// Yield strength: the lower yield stress or the 0.2 % proof stress.
    pub yields: f64,
    /// Stress under proof load, which leaves no lasting stretch.
    pub proof: f64,
}

impl Class {
    /// 4.6. Source: EN ISO 898-1:2013, as tabulated (seen).
    pub const C4_6: Class = Class { tensile: 400.0, yields: 240.0, proof: 225.0 };
    /// 8.8 up to M16. Source: EN ISO 898-1:2013, as tabulated (seen).
    pub const C8_8: Class = Class { tensile: 800.0, yields: 640.0, proof: 580.0 };
    /// 10.9. Source: EN ISO 898-1:2013, as tabulated (seen).
    pub const C10_9: Class = Class { tensile: 1040.0, yields: 940.0, proof: 830.0 };
    /// 12.9. Source: EN ISO 898-1:2013, as tabulated (seen).
    pub const C12_9: Class = Class { tensile: 1220.0, yields: 1100.0, proof: 970.0 };
}

/// Share of the proof load that a joint is tightened to which is taken apart again: 0.75. Source: Shigley's Mechanical Engineering
/// Design, section 8-11 (as quoted elsewhere, seen).
pub const REUSED: f64 = 0.75;
/// Share of the proof load that a joint is tightened to which stays closed: 0.9. Source: as for [`REUSED`] (from memory, unverified).
pub const PERMANENT: f64 = 0.9;

/// Proof load, N, of a stress area, mm², and a proof stress, N/mm², both above 0.
///
/// The standard tabulates it from rounded areas, which makes up to 0.5 %. Source: ISO 898-1.
///
/// ```
/// use knockon_engine::fastener::{strength::{Class, proof_load}, thread::stress_area};
/// let load = proof_load(stress_area(8.0_f64, 1.25), Class::C8_8.proof);
/// assert!((load / 21_200.0 - 1.0).abs() < 0.005); // table of ISO 898-1
/// ```
pub fn proof_load<T: Scalar>(stress_area: T, proof_stress: T) -> T {
    where_above_zero(&[stress_area, proof_stress], || stress_area * proof_stress)
}

/// Share of the proof load that a preload takes, a plain number; both N, above 0. See [`REUSED`]. Above 1 the bolt may be stretched
/// for good. Source: the definition of the term.
///
/// ```
/// use knockon_engine::fastener::strength::preload_share_of_proof;
/// assert_eq!(preload_share_of_proof(15_900.0, 21_200.0), 0.75);
/// ```
pub fn preload_share_of_proof<T: Scalar>(preload: T, proof_load: T) -> T {
    where_above_zero(&[preload, proof_load], || preload / proof_load)
}

/// Tensile stress, N/mm², of a load, N, at least 0, on a stress area, mm², above 0; without the twist of tightening. Source: its
/// definition.
///
/// ```
/// use knockon_engine::fastener::strength::stress;
/// // Shigley's Mechanical Engineering Design, 9th edition, example 8-3, in kip and in²: 67.02 kpsi.
/// assert!((stress(25.0_f64, 0.373) - 67.02).abs() < 0.005);
/// ```
pub fn stress<T: Scalar>(load: T, stress_area: T) -> T {
    if load.re() >= 0.0 { where_above_zero(&[stress_area], || load / stress_area) } else { T::from(f64::NAN) }
}

/// Share of a load from outside that the bolt feels, a plain number from 0 to 1, from the stiffness of the bolt and of what it clamps,
/// both N/mm, above 0; the rest unloads the clamped parts, as long as they touch.
///
/// Source: Shigley's Mechanical Engineering Design, 9th edition, section 8-7, `C = k_b/(k_b + k_m)`.
///
/// ```
/// use knockon_engine::fastener::strength::bolt_share;
/// assert!((bolt_share(6.5_f64, 13.8) - 0.320).abs() < 0.0005); // there, example 8-3
/// ```
pub fn bolt_share<T: Scalar>(bolt_stiffness: T, member_stiffness: T) -> T {
    where_above_zero(&[bolt_stiffness, member_stiffness], || {
        bolt_stiffness / (bolt_stiffness + member_stiffness)
    })
}

/// Load in a bolt, N, with a preload and a load that pulls the joint apart, N, at least 0, of which it feels a share (see
/// [`bolt_share`]). Where the load overcomes the preload, the joint opens and the bolt bears the whole load.
///
/// Source: Shigley's Mechanical Engineering Design, 9th edition, equation 8-24, `F_b = C·P + F_i`, while the parts touch.
///
/// ```
/// use knockon_engine::fastener::strength::{bolt_load, stress};
/// // There, example 8-3: 6 kip on 25 kip, a share of 0.320, 0.373 in²: 72.17 kpsi.
/// assert!((stress(bolt_load(25.0_f64, 6.0, 0.320), 0.373) - 72.17).abs() < 0.01);
/// assert_eq!(bolt_load(5.0, 20.0, 0.25), 20.0); // 0.75 · 20 > 5: open
/// ```
pub fn bolt_load<T: Scalar>(preload: T, load: T, bolt_share: T) -> T {
    let share = bolt_share.re();
    if !(preload.re() >= 0.0 && load.re() >= 0.0 && (0.0..=1.0).contains(&share)) {
        return T::from(f64::NAN);
    }
    if load.re() * (1.0 - share) > preload.re() { load } else { preload + load * bolt_share }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fastener::thread::stress_area;

    /// Source: table of ISO 898-1 (seen), N, rounded there to three digits from rounded areas: 1 %.
    #[test]
    fn proof_loads_of_the_table() {
        for (diameter, pitch, loads) in [
            (3.0, 0.5, [2920.0, 4180.0, 4880.0]),
            (4.0, 0.7, [5100.0, 7290.0, 8520.0]),
            (5.0, 0.8, [8230.0, 11_800.0, 13_800.0]),
            (6.0, 1.0, [11_600.0, 16_700.0, 19_500.0]),
            (8.0, 1.25, [21_200.0, 30_400.0, 35_500.0]),
            (10.0, 1.5, [33_700.0, 48_100.0, 56_300.0]),
            (12.0, 1.75, [48_900.0, 70_000.0, 81_800.0]),
        ] {
            for (class, load) in [Class::C8_8, Class::C10_9, Class::C12_9].iter().zip(loads) {
                let ours = proof_load(stress_area(diameter, pitch), class.proof);
                assert!((ours / load - 1.0_f64).abs() < 0.01, "M{diameter}: {ours} instead of {load}");
            }
        }
    }

    #[test]
    fn classes_are_in_order() {
        for class in [Class::C4_6, Class::C8_8, Class::C10_9, Class::C12_9] {
            assert!(class.proof < class.yields && class.yields < class.tensile);
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        assert!(proof_load(0.0_f64, 580.0).is_nan() && preload_share_of_proof(f64::NAN, 1.0).is_nan());
        assert!(stress(-1.0_f64, 20.0).is_nan() && bolt_share(0.0_f64, 1.0).is_nan());
        assert!(bolt_load(1.0_f64, 1.0, 1.5).is_nan() && bolt_load(f64::NAN, 1.0, 0.5).is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// The bolt never bears less than the preload or the load, and nothing jumps where the joint opens.
        #[test]
        fn bolt_bears_both(preload in 0.0..1e4_f64, load in 0.0..2e4_f64, share in 0.0..0.99) {
            let bears = bolt_load(preload, load, share);
            prop_assert!(bears >= preload.max(load) * (1.0 - 1e-12));
            let opens = preload / (1.0 - share);
            prop_assert!((bolt_load(preload, opens * (1.0 + 1e-9), share) - opens).abs() <= 1e-6 * opens + 1e-9);
        }
    }
}
