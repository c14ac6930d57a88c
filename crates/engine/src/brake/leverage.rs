//! From the hand to the tyre: force, and the travel that it costs.
//!
//! Forces are newtons, lengths millimetres, torques N·m. Left out: friction of cables, seals and pivots, and what housing, hose
//! and pads give way. Both take from the hand: real brakes need more force and more travel than these.

use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;

/// Radius at which a rotor's pads act, mm, from its outer diameter and the height of the swept band (pad height), mm:
/// the mean radius of the band.
///
/// The band is taken to begin at the rotor's edge and to be pressed evenly. NaN where a number is negative or unknown, and
/// where the pad would reach over the centre.
///
/// `r = D/2 − b/2`. Source: Shigley's Mechanical Engineering Design, disk brakes under uniform wear, whose effective radius is
/// the mean one (from memory, unverified).
///
/// ```
/// use knockon_engine::brake::leverage::effective_radius;
/// assert_eq!(effective_radius(160.0, 14.0), 73.0); // between 66 and 80 mm
/// ```
pub fn effective_radius<T: Scalar>(rotor_diameter: T, pad_height: T) -> T {
    let sound = none_negative(&[rotor_diameter, pad_height]) && pad_height.re() * 2.0 <= rotor_diameter.re();
    only_if(sound, || (rotor_diameter - pad_height) * 0.5)
}

/// The way from the hand to the tyre.
///
/// Where a number is unknown (NaN), negative, or 0 where it divides, results are NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path<T> {
    /// Ratio of the hand lever, a plain number above 0: force on the cable or the master piston over that of the hand.
    /// Around 3 to 7 (from memory, unverified); it differs with where on the lever the finger pulls.
    pub hand_lever: T,
    /// Force on each pad over that on the cable or the master piston, a plain number above 0: the piston area ratio of a
    /// hydraulic brake ([`piston_ratio`]), the mechanical advantage of a cable one.
    pub transmission: T,
    /// Coefficient of friction between pad and rotor or rim, a plain number of at least 0. About 0.3 to 0.5 (from memory,
    /// unverified), less when hot, wet or oily: the least certain number here.
    pub friction: T,
    /// Radius at which the pads act, mm of at least 0: [`effective_radius`] of a rotor, for rim brakes that of the rim's brake
    /// track.
    pub radius: T,
    /// Radius of the loaded wheel, mm above 0, from axle to ground.
    pub wheel_radius: T,
}

impl<T: Scalar> Path<T> {
    /// Force at the tyre per force of the hand, a plain number (N/N).
    ///
    /// As far as the tyre grips. `hand_lever · transmission · 2 · µ · radius/wheel_radius`: two pads. Source: statics.
    ///
    /// ```
    /// use knockon_engine::brake::leverage::Path;
    /// let path = Path { hand_lever: 4.0, transmission: 5.0, friction: 0.5, radius: 75.0, wheel_radius: 300.0 };
    /// assert_eq!(path.gain(), 5.0); // 4 · 5 · 2 · 0.5 / 4
    /// ```
    pub fn gain(&self) -> T {
        only_if(self.is_sound(), || self.rub() * self.radius / self.wheel_radius)
    }

    /// Torque of the brake, N·m, under a force of the hand, N of at least 0.
    ///
    /// The radius of the wheel does not enter, but has to be known. Source: statics.
    ///
    /// ```
    /// # use knockon_engine::brake::leverage::Path;
    /// # let path = Path { hand_lever: 4.0, transmission: 5.0, friction: 0.5, radius: 75.0, wheel_radius: 300.0 };
    /// assert_eq!(path.torque(40.0), 60.0); // 40 N · 4 · 5 · 2 · 0.5 = 800 N at 0.075 m
    /// ```
    pub fn torque(&self, hand_force: T) -> T {
        const MM_PER_M: f64 = 1000.0;
        only_if(self.is_sound() && none_negative(&[hand_force]), || {
            hand_force * self.rub() * self.radius / MM_PER_M
        })
    }

    /// Force of the hand, N, that gives this force at the tyre, N of at least 0. NaN, too, where nothing rubs.
    ///
    /// ```
    /// # use knockon_engine::brake::leverage::Path;
    /// # let path = Path { hand_lever: 4.0, transmission: 5.0, friction: 0.5, radius: 75.0, wheel_radius: 300.0 };
    /// assert_eq!(path.hand_force_for(500.0), 100.0); // a gain of 5, as above
    /// ```
    pub fn hand_force_for(&self, tyre_force: T) -> T {
        let gain = self.gain();
        only_if(gain.re() > 0.0 && none_negative(&[tyre_force]), || tyre_force / gain)
    }

    /// Travel of the lever where the hand pulls, mm, that moves each pad by this much, mm of at least 0.
    ///
    /// `2 · hand_lever · transmission · pad_travel`: what is gained in force is paid in travel. A caliper with one moving pad
    /// comes to the same: that pad moves by both gaps. Source: conservation of energy.
    ///
    /// ```
    /// # use knockon_engine::brake::leverage::Path;
    /// # let path = Path { hand_lever: 4.0, transmission: 5.0, friction: 0.5, radius: 75.0, wheel_radius: 300.0 };
    /// assert_eq!(path.lever_travel(0.25), 10.0); // 2 · 4 · 5 · 0.25
    /// ```
    pub fn lever_travel(&self, pad_travel: T) -> T {
        only_if(self.is_sound(), || cable_pull(pad_travel, self.transmission) * self.hand_lever)
    }

    /// Friction of both pads over the force of the hand.
    fn rub(&self) -> T {
        self.hand_lever * self.transmission * self.friction * 2.0
    }

    fn is_sound(&self) -> bool {
        all_above_zero(&[self.hand_lever, self.transmission, self.wheel_radius])
            && none_negative(&[self.friction, self.radius])
    }
}

/// Cable that a brake takes up, mm, until each of its two pads has moved by this much, mm of at least 0.
///
/// The mechanical advantage is a plain number above 0: force on each pad over that on the cable. For a brake whose cable pulls
/// two arms together it is the arm's length to the cable over that to the pad. NaN where a number is out of range.
///
/// `2 · advantage · pad_travel`: force × travel is alike on both sides. Source: conservation of energy.
///
/// ```
/// use knockon_engine::brake::leverage::cable_pull;
/// // Arms of 100 mm with the pads at 25 mm from their pivots: 2 mm at the pad are 8 mm at the cable, on both sides.
/// assert_eq!(cable_pull(2.0, 100.0 / 25.0), 16.0);
/// ```
pub fn cable_pull<T: Scalar>(pad_travel: T, mechanical_advantage: T) -> T {
    let sound = none_negative(&[pad_travel]) && all_above_zero(&[mechanical_advantage]);
    only_if(sound, || pad_travel * mechanical_advantage * 2.0)
}

/// Reach that a rim brake needs, mm: how far below its bolt the pads' middle has to be.
///
/// From the distance of the bolt to the wheel's axle and the radius of the rim at the middle of its brake track, mm above 0.
/// Negative where the bolt is lower than the track. NaN where a number is out of range.
///
/// Source: the definition of the term (common practice, no source).
///
/// ```
/// use knockon_engine::brake::leverage::pad_reach;
/// // Rims whose bead seat measures 622 instead of 630 mm: the pads go 4 mm further down.
/// assert_eq!(pad_reach(360.0, 622.0 / 2.0) - pad_reach(360.0, 630.0 / 2.0), 4.0);
/// ```
pub fn pad_reach<T: Scalar>(bolt_to_axle: T, rim_radius: T) -> T {
    only_if(all_above_zero(&[bolt_to_axle, rim_radius]), || bolt_to_axle - rim_radius)
}

/// Piston area ratio of a hydraulic brake, a plain number: force on each pad over that on the master piston.
///
/// From both pistons' diameters, mm above 0, and the number of pistons that push on *one* pad, above 0: 1 for a caliper with
/// two pistons that face each other, 2 for one with four. Pistons of two sizes go in as one number with the diameter
/// `√((d₁² + d₂²)/2)`.
///
/// `n · (caliper/master)²`. Source: the same pressure throughout (Pascal).
///
/// ```
/// use knockon_engine::brake::leverage::piston_ratio;
/// assert_eq!(piston_ratio(10.0, 20.0, 1.0), 4.0);
/// assert_eq!(piston_ratio(10.0, 15.0, 2.0), 4.5);
/// ```
pub fn piston_ratio<T: Scalar>(master_diameter: T, caliper_diameter: T, pistons: T) -> T {
    only_if(all_above_zero(&[master_diameter, caliper_diameter, pistons]), || {
        (caliper_diameter / master_diameter).powi(2) * pistons
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn path() -> impl Strategy<Value = Path<f64>> {
        (1.0..10.0, 0.5..20.0, 0.05..0.8, 40.0..320.0, 150.0..380.0).prop_map(
            |(hand_lever, transmission, friction, radius, wheel_radius)| Path {
                hand_lever,
                transmission,
                friction,
                radius,
                wheel_radius,
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// The work of the hand is the work on both pads: the friction on a pad is µ times what presses it.
        #[test]
        fn energy_is_conserved(path in path(), hand_force in 1.0..300.0, pad_travel in 0.01..3.0) {
            let pad_force = path.torque(hand_force) * 1000.0 / path.radius / path.friction / 2.0;
            let hand = hand_force * path.lever_travel(pad_travel);
            prop_assert!((hand / (2.0 * pad_force * pad_travel) - 1.0).abs() < 1e-12);
            let cable_force = hand_force * path.hand_lever;
            let cable = cable_force * cable_pull(pad_travel, path.transmission);
            prop_assert!((cable / hand - 1.0).abs() < 1e-12);
        }

        /// The fluid that leaves the master is the fluid that comes to the pistons on both sides.
        #[test]
        fn volume_is_conserved(
            path in path(), master in 8.0..14.0, caliper in 12.0..25.0, pistons in 1u8..=3, pad_travel in 0.05..1.0,
        ) {
            let area = |diameter: f64| std::f64::consts::FRAC_PI_4 * diameter * diameter;
            let pistons = f64::from(pistons);
            let path = Path { transmission: piston_ratio(master, caliper, pistons), ..path };
            let left = area(master) * path.lever_travel(pad_travel) / path.hand_lever;
            let came = 2.0 * pistons * area(caliper) * pad_travel;
            prop_assert!((left / came - 1.0).abs() < 1e-12);
        }

        #[test]
        fn tyre_and_torque_and_hand_agree(path in path(), hand_force in 1.0..300.0_f64) {
            let tyre = path.gain() * hand_force;
            prop_assert!((path.hand_force_for(tyre) / hand_force - 1.0).abs() < 1e-12);
            prop_assert!((path.torque(hand_force) / (tyre * path.wheel_radius / 1000.0) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        let path =
            Path { hand_lever: 4.0, transmission: 5.0, friction: 0.5, radius: 75.0, wheel_radius: 300.0 };
        assert!(Path { hand_lever: f64::NAN, ..path }.gain().is_nan());
        assert!(Path { wheel_radius: 0.0, ..path }.gain().is_nan());
        assert!(Path { friction: 0.0, ..path }.hand_force_for(100.0).is_nan());
        assert!(path.torque(-1.0).is_nan());
        assert!(effective_radius(160.0_f64, 90.0).is_nan());
        assert!(effective_radius(f64::NAN, 10.0).is_nan());
        assert!(cable_pull(1.0_f64, 0.0).is_nan());
        assert!(piston_ratio(0.0_f64, 20.0, 1.0).is_nan());
        assert!(pad_reach(f64::NAN, 311.0).is_nan());
    }
}
