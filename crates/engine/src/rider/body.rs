//! Where to begin: saddle height, crank length and bar width from measures of a body.
//!
//! These are starting points and no more. A rule looks at one or two bones of a rider; it knows nothing of the rest of the
//! body, the shoes, the saddle or the riding, and nothing of pain. Every function says what is known against its rule.

use crate::Scalar;

/// Saddle height over inseam, bottom bracket to top of saddle along the seat line. Factor as compared with others by
/// Peveler et al., J. Exerc. Physiol. online 8(1):51–55, 2005.
pub const BRACKET_TO_SADDLE: f64 = 0.883;

/// Pedal axle to top of saddle over inseam, the pedal at its farthest. Hamley & Thomas, J. Physiol. 191:55P–57P, 1967, as
/// quoted by Peveler et al., J. Exerc. Physiol. online 8(1):51–55, 2005.
pub const PEDAL_TO_SADDLE: f64 = 1.09;

/// Least and most knee flexion at the bottom of the stroke, degrees from a straight leg. Holmes et al., 1994, as quoted by
/// Peveler et al., J. Exerc. Physiol. online 8(1):51–55, 2005.
pub const KNEE_FLEXION: [f64; 2] = [25.0, 35.0];

/// Crank length over leg length. Martin & Spirduso, Eur. J. Appl. Physiol. 84:413–418, 2001: from memory, unverified.
pub const CRANK_TO_LEG: f64 = 0.2;

/// Crank length over tibia length. Martin & Spirduso, Eur. J. Appl. Physiol. 84:413–418, 2001: from memory, unverified.
pub const CRANK_TO_TIBIA: f64 = 0.41;

/// Least and most width of a flat bar over shoulder width: from memory, unverified, and as wide as the trade's opinions.
pub const FLAT_BAR_TO_SHOULDERS: [f64; 2] = [1.5, 2.0];

/// Saddle height, bottom bracket to top of saddle along the seat line, mm, from the inseam, mm: 0.883 × inseam.
///
/// Known against it: the crank does not come into it, so a rider on a longer crank sits further from the pedal. Source:
/// [`BRACKET_TO_SADDLE`].
///
/// ```
/// use knockon_engine::rider::body::saddle_height_by_inseam;
/// assert!((saddle_height_by_inseam(830.0_f64) - 732.89).abs() < 1e-9); // 0.883 · 830
/// ```
#[inline]
pub fn saddle_height_by_inseam<T: Scalar>(inseam: T) -> T {
    inseam * BRACKET_TO_SADDLE
}

/// Pedal axle to top of saddle, mm, the pedal at its farthest, from the inseam, mm: 1.09 × inseam.
///
/// Known against it: shoe, foot and the way of pedalling do not come into it. Source: [`PEDAL_TO_SADDLE`].
///
/// ```
/// use knockon_engine::rider::body::pedal_to_saddle_by_inseam;
/// assert!((pedal_to_saddle_by_inseam(830.0_f64) - 904.7).abs() < 1e-9); // 1.09 · 830
/// ```
#[inline]
pub fn pedal_to_saddle_by_inseam<T: Scalar>(inseam: T) -> T {
    inseam * PEDAL_TO_SADDLE
}

/// The crank length, mm, on which both rules of the inseam, mm, put the saddle at the same height: 1.09 − 0.883 = 0.207 ×
/// inseam. On a shorter crank [`pedal_to_saddle_by_inseam`] puts it higher, on a longer one lower, by the difference of the
/// cranks.
///
/// ```
/// use knockon_engine::rider::body::crank_on_which_inseam_rules_agree;
/// assert!((crank_on_which_inseam_rules_agree(830.0_f64) - 171.81).abs() < 1e-9); // 0.207 · 830
/// ```
#[inline]
pub fn crank_on_which_inseam_rules_agree<T: Scalar>(inseam: T) -> T {
    pedal_to_saddle_by_inseam(inseam) - saddle_height_by_inseam(inseam)
}

/// Pedal axle to top of saddle, mm, for a wanted knee flexion from a straight leg, radians, the pedal at its farthest: the
/// third side of the triangle of thigh and lower leg, mm (law of cosines). The inverse of [`super::knee_flexion`], with the
/// same simplifications: hip at the top of the saddle, lower leg from the knee to the pedal axle. NaN for a flexion outside
/// 0 to π.
///
/// Known against it: the hip's joint lies above the top of the saddle, so the triangle puts the saddle too high by that much;
/// and the ankle is taken to be stiff. The flexion that is wanted: [`KNEE_FLEXION`].
///
/// ```
/// use knockon_engine::rider::body::pedal_to_saddle_by_knee;
/// // A right-angled knee: thigh 300, lower leg 400, hip to pedal 500.
/// let far = pedal_to_saddle_by_knee(300.0, 400.0, 90_f64.to_radians());
/// assert!((far - 500.0).abs() < 1e-9);
/// ```
#[inline]
pub fn pedal_to_saddle_by_knee<T: Scalar>(thigh: T, lower_leg: T, flexion: T) -> T {
    if !(0.0..=std::f64::consts::PI).contains(&flexion.re()) {
        return T::from(f64::NAN);
    }
    (thigh * thigh + lower_leg * lower_leg + thigh * lower_leg * flexion.cos() * 2.0).sqrt()
}

/// Saddle height, mm, that keeps a pedal as far from the top of the saddle on a crank, both mm: crank in line with the seat
/// line, as [`super::knee_flexion`] takes it.
///
/// ```
/// use knockon_engine::rider::body::saddle_height_on_crank;
/// assert_eq!(saddle_height_on_crank(904.5, 172.5), 732.0);
/// ```
#[inline]
pub fn saddle_height_on_crank<T: Scalar>(pedal_to_saddle: T, crank: T) -> T {
    pedal_to_saddle - crank
}

/// Crank length, mm, from the leg's length, mm: 20 % of it, clamped to nothing that is sold.
///
/// Known against it: in the study it comes from, power hardly changed between cranks of 120 and 220 mm. Source:
/// [`CRANK_TO_LEG`].
///
/// ```
/// use knockon_engine::rider::body::crank_by_leg;
/// assert!((crank_by_leg(830.0_f64) - 166.0).abs() < 1e-9); // 0.2 · 830
/// ```
#[inline]
pub fn crank_by_leg<T: Scalar>(leg: T) -> T {
    leg * CRANK_TO_LEG
}

/// Crank length, mm, from the tibia's length, mm: 41 % of it, clamped to nothing that is sold.
///
/// Known against it: as [`crank_by_leg`]. Source: [`CRANK_TO_TIBIA`].
///
/// ```
/// use knockon_engine::rider::body::crank_by_tibia;
/// assert!((crank_by_tibia(400.0_f64) - 164.0).abs() < 1e-9); // 0.41 · 400
/// ```
#[inline]
pub fn crank_by_tibia<T: Scalar>(tibia: T) -> T {
    tibia * CRANK_TO_TIBIA
}

/// Width of a drop bar between the middles of the hoods, mm, from the shoulder width between the acromia, mm: the same.
/// Common practice, no source.
///
/// Known against it: no study is known to us that shows it; narrower and wider bars are ridden on purpose.
///
/// ```
/// assert_eq!(knockon_engine::rider::body::drop_bar_by_shoulders(400.0), 400.0);
/// ```
#[inline]
pub fn drop_bar_by_shoulders<T: Scalar>(shoulders: T) -> T {
    shoulders
}

/// Least and most width of a flat bar, end to end, mm, from the shoulder width between the acromia, mm.
///
/// Known against it: from memory, unverified; what is ridden, where, and the length of arms and stem count for more.
///
/// ```
/// assert_eq!(knockon_engine::rider::body::flat_bar_by_shoulders(400.0), [600.0, 800.0]); // 1.5 and 2 · 400
/// ```
#[inline]
pub fn flat_bar_by_shoulders<T: Scalar>(shoulders: T) -> [T; 2] {
    FLAT_BAR_TO_SHOULDERS.map(|factor| shoulders * factor)
}
