//! Tensions of spokes: balance of the two sides, stretch, evenness, tone.

use std::f64::consts::PI;

use super::spoke::{Rim, Side};
use crate::{Scalar, all_above_zero};

/// Tension of a left spoke over that of a right one, a plain number, in a wheel whose rim stands in the middle. The rim's offset is
/// counted toward the left.
///
/// The pulls of both sides across the wheel cancel: `n_l·T_l·sin β_l = n_r·T_r·sin β_r`, with the bracing angles β. So the share of
/// spokes per side has its say, and the tensions' level has none. NaN where a number is out of its range, and where the spokes of one
/// side do not pull to it: nothing then holds the rim in the middle. Source: statics.
///
/// ```
/// use knockon_engine::wheel::{spoke::{Rim, Side}, tension::tension_ratio};
/// let left = Side { flange_radius: 26.0_f64, flange_offset: 33.0, hole: 2.6, spokes: 16.0, crosses: 2.0 };
/// let right = Side { flange_offset: 13.0, ..left };
/// // 10 mm of rim offset make both 23 mm: equal tension. Half the spokes on the left then: double tension there.
/// let rim = Rim { effective_diameter: 580.0, offset: 10.0 };
/// assert!((tension_ratio(&left, &right, &rim) - 1.0).abs() < 1e-12);
/// let left = Side { spokes: 8.0, crosses: 1.0, ..left };
/// assert!((tension_ratio(&left, &right, &rim) - 2.0).abs() < 1e-12);
/// ```
pub fn tension_ratio<T: Scalar>(left: &Side<T>, right: &Side<T>, rim: &Rim<T>) -> T {
    let across = |side: &Side<T>, rim: &Rim<T>| side.bracing_angle(rim).sin() * side.spokes;
    let (left, right) = (across(left, rim), across(right, &rim.from_other_side()));
    if all_above_zero(&[left, right]) { right / left } else { T::from(f64::NAN) }
}

/// How much a spoke stretches, mm, under a tension, N, at least 0, for its length and diameter, mm, and Young's modulus, N/mm², all above
/// 0. NaN elsewhere. Of a butted spoke add up the parts.
///
/// Drawn stainless steel has about 180 000 to 196 000 N/mm² (ISO 6931-1, as cited elsewhere), plain steel 205 000 to 210 000. Bends and
/// heads bed in on top of this. Source: Hooke's law, `T·L/(A·E)`.
///
/// ```
/// use knockon_engine::wheel::tension::elongation;
/// // 300 mm of 2 mm at 630 N: 0.29 mm (McMahon and Graham, "The Bicycle & the Walkman", 1992).
/// assert!((elongation(630.0_f64, 300.0, 2.0, 210_000.0) - 0.29).abs() < 0.005);
/// ```
pub fn elongation<T: Scalar>(tension: T, length: T, diameter: T, youngs_modulus: T) -> T {
    if !(all_above_zero(&[length, diameter, youngs_modulus]) && tension.re() >= 0.0) {
        return T::from(f64::NAN);
    }
    tension * length * 4.0 / (diameter * diameter * youngs_modulus * PI)
}

/// Mean of tensions, N. NaN where there is none, or one that is not known.
///
/// ```
/// use knockon_engine::wheel::tension::average;
/// assert_eq!(average(&[900.0, 1000.0, 1100.0]), 1000.0);
/// assert!(average::<f64>(&[]).is_nan());
/// ```
pub fn average<T: Scalar>(tensions: &[T]) -> T {
    tensions.iter().fold(T::from(0.0), |sum, tension| sum + *tension) / tensions.len() as f64
}

/// Largest deviation of a tension from the mean of its side, as a share of that mean, at least 0. NaN where [`average`] is not above 0.
///
/// Within 0.2 is the usual limit of a side, 0.1 good work (from memory, unverified).
///
/// ```
/// use knockon_engine::wheel::tension::spread;
/// assert!((spread(&[900.0_f64, 1000.0, 1000.0, 1100.0]) - 0.1).abs() < 1e-12);
/// ```
pub fn spread<T: Scalar>(tensions: &[T]) -> T {
    let mean = average(tensions);
    if !all_above_zero(&[mean]) {
        return T::from(f64::NAN);
    }
    let off = tensions.iter().map(|tension| (*tension - mean).abs() / mean);
    off.fold(T::from(0.0), |most, it| if it.re() > most.re() { it } else { most })
}

/// Tension of a spoke, N, from the frequency of its lowest tone, Hz, the length that swings freely, mm, and its mass per length, g/m,
/// all above 0; NaN elsewhere. 2.0 mm of steel have some 24.7 g/m, 1.8 mm some 20 (7.85 g/cm³).
///
/// A spoke that leans on another one swings only up to there. Its stiffness against bending raises the tone, so that the tension
/// comes out too high: by some 2 % for 280 mm of 2 mm with hinged ends, up to a fifth where the ends are held firmly.
///
/// `T = 4·L²·f²·m`. Source: the string equation, as in J. S. Allen, "Why correct musical pitch depends on spoke length and not on
/// thickness" (1997).
///
/// ```
/// use knockon_engine::wheel::tension::tension_from_pitch;
/// assert!((tension_from_pitch(400.0_f64, 250.0, 25.0) - 1000.0).abs() < 1e-9); // (2 · 0.25 m · 400 Hz)² · 0.025 kg/m
/// ```
pub fn tension_from_pitch<T: Scalar>(frequency: T, free_length: T, mass_per_length: T) -> T {
    const MILLI: f64 = 1e-3;
    if !all_above_zero(&[frequency, free_length, mass_per_length]) {
        return T::from(f64::NAN);
    }
    let speed = frequency * free_length * (2.0 * MILLI);
    speed * speed * mass_per_length * MILLI
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use proptest::prelude::*;

    use super::*;

    const FRONT: Side<f64> =
        Side { flange_radius: 22.5, flange_offset: 35.0, hole: 2.6, spokes: 16.0, crosses: 3.0 };

    fn rim(effective_diameter: f64, offset: f64) -> Rim<f64> {
        Rim { effective_diameter, offset }
    }

    /// All spokes of a side, from hub to rim: from hole `at` of the flange, to the hole of
    /// the rim that lies `crosses` holes of its side further, forward for one half of the spokes and back for the other.
    fn spokes(side: &Side<f64>, rim: &Rim<f64>) -> Vec<[f64; 3]> {
        let count = side.spokes as usize;
        (0..count)
            .map(|at| {
                let start = at as f64 * TAU / side.spokes;
                let turn = side.crosses * TAU / side.spokes * if at % 2 == 0 { 1.0 } else { -1.0 };
                let (hub, out) = (side.flange_radius, rim.effective_diameter / 2.0);
                let end = start + turn;
                [
                    out * end.cos() - hub * start.cos(),
                    out * end.sin() - hub * start.sin(),
                    rim.offset - side.flange_offset,
                ]
            })
            .collect()
    }

    fn size(it: [f64; 3]) -> f64 {
        it.iter().map(|it| it * it).sum::<f64>().sqrt()
    }

    /// A worked reply (reddit r/wheelbuild 120dpa3, seen): offsets of 32 and 16 mm, spokes of 287.6 and 285.6 mm: 0.5. The rim's
    /// diameter is chosen here to give those lengths; the flanges there differ a little.
    #[test]
    fn ratio_of_a_dished_wheel() {
        let left = Side { flange_offset: 32.0, hole: 0.0, ..FRONT };
        let right = Side { flange_offset: 16.0, ..left };
        let rim = rim(587.3, 0.0);
        assert!((left.length(&rim) - 287.6).abs() < 0.3 && (right.length(&rim) - 285.6).abs() < 0.8);
        let expected = (287.6 / 32.0) / (285.6 / 16.0);
        assert!((tension_ratio(&left, &right, &rim) - expected).abs() < 0.002);
    }

    /// globike.net topic 374472 (seen): 280 mm of 2 mm at 1250 N, 0.53 mm.
    #[test]
    fn stretch_of_a_spoke() {
        assert!((elongation(1250.0, 280.0, 2.0, 210_000.0_f64) - 0.53).abs() < 0.005);
    }

    /// Ten preloads in Shigley's Mechanical Engineering Design, 9th edition, table 8-14, kN: mean 34.18.
    #[test]
    fn mean_of_a_published_list() {
        let list = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5_f64];
        assert!((average(&list) - 34.18).abs() < 1e-9);
        assert!((spread(&list) - (40.5 / 34.18 - 1.0)).abs() < 1e-9);
    }

    /// A beam model published as a note (reddit r/cycling 1pp0zfw, seen): 279 mm of 2 mm of steel at 100 kgf swing at about 360 Hz.
    #[test]
    fn pitch_of_a_spoke() {
        let mass = 7.85 * PI; // g/cm³ · mm² = g/m
        assert!((tension_from_pitch(360.0, 279.0, mass) / 980.665 - 1.0).abs() < 0.03);
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        let rim = rim(602.0, 0.0);
        assert!(tension_ratio(&FRONT, &Side { flange_offset: -5.0, ..FRONT }, &rim).is_nan());
        assert!(elongation(-1.0_f64, 280.0, 2.0, 2e5).is_nan() && spread(&[0.0_f64]).is_nan());
        assert!(average(&[1.0, f64::NAN]).is_nan() && tension_from_pitch(0.0_f64, 280.0, 25.0).is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Tensions in the ratio leave no force across the rim, summed over all spokes in space.
        #[test]
        fn sides_are_in_balance(
            left in (15.0..35.0_f64, 10.0..40.0, 4_u32..10, 0.0..1.0),
            right in (15.0..35.0_f64, 10.0..40.0, 4_u32..10, 0.0..1.0),
            diameter in 350.0..620.0_f64, offset in -5.0..5.0,
        ) {
            let side = |(flange_radius, flange_offset, pairs, share): (f64, f64, u32, f64)| {
                let spokes = f64::from(2 * pairs);
                Side { flange_radius, flange_offset, hole: 2.6, spokes, crosses: (share * spokes / 4.0).round() }
            };
            let (left, right) = (side(left), side(right));
            let rim = rim(diameter, offset);
            let lines = [spokes(&left, &rim), spokes(&right, &rim.from_other_side())];
            let ratio = tension_ratio(&left, &right, &rim);
            let across = |lines: &[[f64; 3]]| -> f64 { lines.iter().map(|line| line[2] / size(*line)).sum() };
            prop_assert!((ratio * across(&lines[0]) - across(&lines[1])).abs() < 1e-9);
        }

        /// The more the right flange is moved in, the less the left spokes have.
        #[test]
        fn more_dish_is_less_even(offset in 12.0..30.0_f64) {
            let ratio = |offset| tension_ratio(&FRONT, &Side { flange_offset: offset, ..FRONT }, &rim(602.0, 0.0));
            prop_assert!(ratio(offset) > ratio(offset - 1.0) && ratio(offset) < 1.0);
        }
    }
}
