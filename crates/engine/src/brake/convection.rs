//! What moving air takes off a rotor.

use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;

/// What air takes off a rotor: `h = still + per_speed·v^exponent`, W/(m² K).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Convection<T> {
    /// At a standstill, W/(m² K), at least 0: 3 to 5 for car discs (Topouris et al., Strojniški vestnik 66 (2020) 15–28).
    pub still: T,
    /// What comes on top at 1 m/s, W/(m² K), at least 0.
    pub per_speed: T,
    /// Exponent of the speed, a plain number above 0: 0.5 for laminar to 0.8 for turbulent flow (textbook, from memory).
    pub exponent: f64,
}

impl<T: Scalar> Convection<T> {
    /// An estimate for a solid rotor of this outer diameter, mm above 0: 4 W/(m² K) at a standstill, and
    /// `0.70·(k/D)·(v·D/ν)^0.55` of the speed. Good to ±40 % at best: nobody was found to have published one for bicycles.
    ///
    /// Air at 100 °C: `k` 0.0314 W/(m K), `ν` 23.1·10⁻⁶ m²/s. For `v·D/ν` below 240 000, which bicycles keep to. That air at
    /// rest cools as much while riding is a simplification. Source: Limpert, Brake Design and Safety, for solid car rotors
    /// (from memory, unverified); the figure at a standstill is the middle of [`Convection::still`]'s.
    ///
    /// ```
    /// use knockon_engine::brake::convection::Convection;
    /// // v·D/ν = 11.55 · 0.2 / 23.1e-6 = 10⁵, and 0.70 · 0.0314/0.2 · 10^2.75 = 61.80
    /// let rotor = Convection::of_solid_rotor(200.0);
    /// assert!((rotor.at(11.55_f64) - (4.0 + 61.801)).abs() < 0.001);
    /// assert_eq!(rotor.at(0.0), 4.0);
    /// ```
    pub fn of_solid_rotor(diameter: T) -> Self {
        const STILL: f64 = 4.0;
        const FACTOR: f64 = 0.70;
        const EXPONENT: f64 = 0.55;
        const CONDUCTIVITY: f64 = 0.0314;
        const VISCOSITY: f64 = 23.1e-6;
        const MM_PER_M: f64 = 1000.0;
        let per_speed = only_if(all_above_zero(&[diameter]), || {
            (diameter / MM_PER_M).powf(EXPONENT - 1.0) * (FACTOR * CONDUCTIVITY * VISCOSITY.powf(-EXPONENT))
        });
        Convection { still: T::from(STILL), per_speed, exponent: EXPONENT }
    }

    /// Coefficient at a speed, m/s of at least 0: W/(m² K). NaN where a number is unknown or out of its range.
    ///
    /// At a standstill it has no derivative by the speed: below an exponent of 1 that would be infinite.
    ///
    /// ```
    /// use knockon_engine::brake::convection::Convection;
    /// let convection = Convection { still: 4.0, per_speed: 10.0, exponent: 0.5 };
    /// assert_eq!(convection.at(9.0), 34.0);
    /// ```
    pub fn at(&self, speed: T) -> T {
        let sound = none_negative(&[self.still, self.per_speed, speed])
            && self.exponent > 0.0
            && self.exponent.is_finite();
        only_if(sound, || {
            if speed.re() == 0.0 {
                return self.still;
            }
            self.still + self.per_speed * speed.powf(self.exponent)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    /// Rotors of 180 mm at 10, 20, 30, 45 and 60 km/h, as computed apart from this code: without what air takes at rest.
    #[test]
    fn solid_rotor_as_computed_elsewhere() {
        for (speed, forced) in [(10.0, 30.0), (20.0, 43.0), (30.0, 54.0), (45.0, 68.0), (60.0, 79.0)] {
            let at: f64 = Convection::of_solid_rotor(180.0).at(speed / 3.6);
            assert!((at - 4.0 - forced).abs() < 0.6);
        }
    }

    #[test]
    fn speed_and_diameter_are_differentiated() {
        let convection = Convection::of_solid_rotor(Dual64::from(180.0).derivative());
        let at = convection.at(Dual64::from(8.0));
        // h − still goes with D^−0.45.
        assert!((at.eps + 0.45 * (at.re - 4.0) / 180.0).abs() < 1e-12);
        let still = Convection::of_solid_rotor(Dual64::from(180.0)).at(Dual64::from(0.0).derivative());
        assert_eq!((still.re, still.eps), (4.0, 0.0));
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        let convection = Convection { still: 4.0_f64, per_speed: 10.0, exponent: 0.5 };
        assert!(convection.at(-1.0).is_nan() && convection.at(f64::NAN).is_nan());
        assert!(Convection { still: f64::NAN, ..convection }.at(1.0).is_nan());
        assert!(Convection { exponent: 0.0, ..convection }.at(1.0).is_nan());
        assert!(Convection::of_solid_rotor(0.0_f64).at(5.0).is_nan());
    }
}
