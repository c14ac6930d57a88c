//! How far a bike goes until it stands, and the energy that is in its way.
//!
//! Speeds are m/s, distances on the road m, times s, masses kg.

use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;

/// Way until a bike stands, m, from its speed, m/s of at least 0, an even deceleration, m/s² above 0, and the time until it
/// begins, s of at least 0. NaN where a number is out of its range: with no deceleration it never stands.
///
/// `v·t + v²/(2a)`. Source: uniform motion, then uniform deceleration.
///
/// ```
/// use knockon_engine::brake::distance::stopping_distance;
/// assert_eq!(stopping_distance(10.0, 5.0, 0.0), 10.0);
/// assert_eq!(stopping_distance(10.0, 5.0, 1.5), 25.0);
/// ```
pub fn stopping_distance<T: Scalar>(speed: T, deceleration: T, reaction_time: T) -> T {
    let sound = none_negative(&[speed, reaction_time]) && all_above_zero(&[deceleration]);
    only_if(sound, || speed * reaction_time + speed * speed / (deceleration * 2.0))
}

/// Even deceleration that stops a bike from a speed, m/s of at least 0, within a distance, m above 0: m/s².
///
/// `v²/(2s)`. Source: uniform deceleration.
///
/// ```
/// use knockon_engine::brake::distance::mean_deceleration;
/// // 16 CFR 1512.5: within 15 ft, from 15 mph (the speed from memory): (22 ft/s)²/(30 ft) of 0.3048 m.
/// assert!((mean_deceleration(22.0_f64 * 0.3048, 15.0 * 0.3048) - 4.917_44).abs() < 1e-12);
/// ```
pub fn mean_deceleration<T: Scalar>(speed: T, distance: T) -> T {
    only_if(none_negative(&[speed]) && all_above_zero(&[distance]), || speed * speed / (distance * 2.0))
}

/// Stopping distance as it would have been from the speed that was meant, m, from the measured distance, m of at least 0, and
/// both speeds, in any one unit: the meant one at least 0, the measured one above 0. NaN where a number is out of its range.
///
/// `S_c = (V_s/V_m)²·S_m`. Source: EN 14766:2005, 4.6.7.5.1.9.
///
/// ```
/// use knockon_engine::brake::distance::corrected_distance;
/// let corrected = corrected_distance(6.1_f64, 25.0, 24.2); // km/h: 6.1 m · 625/585.64
/// assert!((corrected - 6.509_97).abs() < 5e-6);
/// ```
pub fn corrected_distance<T: Scalar>(measured: T, meant_speed: T, measured_speed: T) -> T {
    let sound = none_negative(&[measured, meant_speed]) && all_above_zero(&[measured_speed]);
    only_if(sound, || measured * (meant_speed / measured_speed).powi(2))
}

/// Energy of motion, J, of a mass, kg of at least 0, at a speed, m/s. What spins in the wheels comes on top: about 1 % (from
/// memory, unverified).
///
/// `m·v²/2`. Source: mechanics.
///
/// ```
/// use knockon_engine::brake::distance::energy;
/// assert_eq!(energy(100.0, 10.0), 5000.0);
/// ```
pub fn energy<T: Scalar>(mass: T, speed: T) -> T {
    only_if(none_negative(&[mass]), || mass * speed * speed * 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 16 CFR 1512.5 at 10 mph, computed by hand in another unit: (44/3 ft/s)²/(2 · 15 ft) = 7.170 37 ft/s².
    #[test]
    fn distance_and_deceleration_are_inverse() {
        let deceleration: f64 = mean_deceleration(44.0 / 3.0 * 0.3048, 15.0 * 0.3048);
        assert!((deceleration - 2.185_53).abs() < 5e-6);
        assert!((stopping_distance(44.0 / 3.0 * 0.3048, deceleration, 0.0) - 4.572).abs() < 1e-12);
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        assert!(
            stopping_distance(10.0_f64, 0.0, 1.0).is_nan() && stopping_distance(f64::NAN, 1.0, 1.0).is_nan()
        );
        assert!(corrected_distance(6.0_f64, 25.0, 0.0).is_nan() && mean_deceleration(1.0_f64, 0.0).is_nan());
        assert!(energy(-1.0_f64, 5.0).is_nan() && energy(100.0, f64::NAN).is_nan());
    }
}
