//! A way down and the power that the brakes take on it.
//!
//! Lengths of road are m, speeds m/s, masses kg, powers W, energies J. A gradient is rise over run, positive downhill.

use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;
use crate::road::Resistance;

/// A piece of road with one gradient, ridden at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch<T> {
    /// Length along the road, m of at least 0.
    pub length: T,
    /// Gradient, rise over run, a plain number, positive downhill: 0.1 for 10 %.
    pub gradient: T,
    /// Speed, m/s above 0.
    pub speed: T,
}

/// A way down: who rides it, and its pieces in the order in which they are ridden.
///
/// From piece to piece the speed changes at once. Where it falls, the brakes take the difference of the energy of motion; where
/// it rises, nothing is braked and the energy that it takes is left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Descent<T> {
    /// Mass of rider, bike and all that they carry, kg of at least 0.
    pub mass: T,
    /// What else slows them.
    pub resistance: Resistance<T>,
    /// The pieces.
    pub stretches: Vec<Stretch<T>>,
}

/// Power that all brakes together take to hold a speed, W, at least 0: of a mass, kg of at least 0, down a gradient, rise over
/// run, at a speed, m/s of at least 0. NaN where a number is unknown or out of its range.
///
/// `v·(m·g·sin β − C_rr·m·g·cos β − ½·ρ·CdA·v²)` with `tan β` the gradient. 0, without derivative, where that is negative: the
/// rider has to pedal. Source: Martin, Milliken, Cobb, McFadden and Coggan, J. Appl. Biomech. 14 (1998) 276–291, without wind,
/// bearings and drivetrain.
///
/// ```
/// use knockon_engine::{brake::descent::braking_power, road::Resistance};
/// let resistance = Resistance { rolling: 0.01, drag_area: 0.5, air_density: 1.2 };
/// // A gradient of 3 in 4: sin β 0.6, cos β 0.8. 10 m/s · (100 kg · 9.80665 · (0.6 − 0.008) − 0.3 · 100 N)
/// let power = braking_power(100.0_f64, 0.75, 10.0, &resistance);
/// assert!((power - 10.0 * (980.665 * 0.592 - 30.0)).abs() < 1e-9);
/// assert_eq!(braking_power(100.0, -0.05, 10.0, &resistance), 0.0); // uphill
/// ```
pub fn braking_power<T: Scalar>(mass: T, gradient: T, speed: T, resistance: &Resistance<T>) -> T {
    let Resistance { rolling, drag_area, air_density } = *resistance;
    let sound = none_negative(&[mass, speed, rolling, drag_area, air_density]) && gradient.re().is_finite();
    only_if(sound, || {
        let power = -(resistance.force(speed, -gradient.atan(), mass) * speed);
        if power.re() > 0.0 { power } else { T::from(0.0) }
    })
}

impl<T: Scalar> Stretch<T> {
    /// Time that it takes, s.
    ///
    /// ```
    /// use knockon_engine::brake::descent::Stretch;
    /// assert_eq!(Stretch { length: 100.0, gradient: 0.1, speed: 8.0 }.duration(), 12.5);
    /// ```
    pub fn duration(&self) -> T {
        let sound = none_negative(&[self.length]) && all_above_zero(&[self.speed]);
        only_if(sound, || self.length / self.speed)
    }
}

impl<T: Scalar> Descent<T> {
    /// Power of all brakes on a piece, W: [`braking_power`].
    pub(super) fn power(&self, stretch: &Stretch<T>) -> T {
        braking_power(self.mass, stretch.gradient, stretch.speed, &self.resistance)
    }

    /// Energy that all brakes take between two pieces, J.
    pub(super) fn energy_between(&self, before: &Stretch<T>, after: &Stretch<T>) -> T {
        if after.speed.re() >= before.speed.re() {
            return T::from(0.0);
        }
        self.mass * (before.speed * before.speed - after.speed * after.speed) * 0.5
    }

    /// Heat that all brakes together take on the whole way, J. NaN where a number is unknown or out of its range.
    ///
    /// ```
    /// use knockon_engine::{brake::descent::{Descent, Stretch}, road::Resistance};
    /// let resistance = Resistance { rolling: 0.0, drag_area: 0.0, air_density: 1.2 };
    /// // 125 m of 3 in 4 are 75 m down; then a flat, and 10 instead of 20 m/s.
    /// let stretches = vec![
    ///     Stretch { length: 125.0, gradient: 0.75, speed: 20.0 },
    ///     Stretch { length: 50.0, gradient: 0.0, speed: 10.0 },
    /// ];
    /// let descent = Descent { mass: 100.0_f64, resistance, stretches };
    /// assert!((descent.heat() - (100.0 * 9.80665 * 75.0 + 50.0 * (400.0 - 100.0))).abs() < 1e-9);
    /// ```
    pub fn heat(&self) -> T {
        let ridden = self.stretches.iter().map(|it| self.power(it) * it.duration());
        let dropped = self.stretches.windows(2).map(|pair| self.energy_between(&pair[0], &pair[1]));
        let all = ridden.chain(dropped).fold(T::from(0.0), |sum, it| sum + it);
        only_if(none_negative(&[self.mass]), || all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::suspension::sag::GRAVITY;
    use num_dual::Dual2_64;
    use proptest::prelude::*;

    const AIR_ONLY: Resistance<f64> = Resistance { rolling: 0.0, drag_area: 0.5, air_density: 1.2 };

    fn lifted(it: &Resistance<f64>) -> Resistance<Dual2_64> {
        let [rolling, drag_area, air_density] =
            [it.rolling, it.drag_area, it.air_density].map(Dual2_64::from);
        Resistance { rolling, drag_area, air_density }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Published: most heat at 58 % of the speed that a bike reaches without brakes, v_T/√3, and there 2/(3√3)·m·g·sin
        /// β·v_T.
        #[test]
        fn most_heat_is_at_terminal_speed_over_root_three(mass in 50.0..200.0_f64, gradient in 0.02..0.3) {
            let weight_along: f64 = mass * GRAVITY * f64::sin(f64::atan(gradient));
            let terminal = (weight_along / (0.5 * 1.2 * 0.5)).sqrt();
            prop_assert!(braking_power(mass, gradient, terminal, &AIR_ONLY) < 1e-9 * weight_along * terminal);
            let speed = Dual2_64::from(terminal / 3.0_f64.sqrt()).derivative();
            let most = braking_power(mass.into(), gradient.into(), speed, &lifted(&AIR_ONLY));
            prop_assert!(most.v1.abs() < 1e-9 * weight_along && most.v2 < 0.0);
            let published = 2.0 / (3.0 * 3.0_f64.sqrt()) * weight_along * terminal;
            prop_assert!((most.re / published - 1.0).abs() < 1e-12);
        }
    }

    /// Martin's terms for 10 m/s, CdA + F_w 0.2544 m², C_rr 0.0032, 90 kg: 152.640 W air; rolling 28.2528 W at g = 9.81.
    #[test]
    fn resistance_is_that_of_the_road_load_model() {
        let resistance = Resistance { rolling: 0.0032, drag_area: 0.2544, air_density: 1.2 };
        let gradient: f64 = 0.2;
        let gross = 90.0 * GRAVITY * gradient.atan().sin() * 10.0;
        let rolling = 28.2528 * GRAVITY / 9.81 * gradient.atan().cos();
        let left = braking_power(90.0, gradient, 10.0, &resistance);
        assert!((left - (gross - 152.640 - rolling)).abs() < 1e-9);
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        assert!(braking_power(-1.0, 0.1, 5.0, &AIR_ONLY).is_nan());
        assert!(braking_power(80.0, f64::NAN, 5.0, &AIR_ONLY).is_nan());
        assert!(braking_power(80.0, 0.1, 5.0, &Resistance { drag_area: f64::NAN, ..AIR_ONLY }).is_nan());
        let standing = Stretch { length: 10.0_f64, gradient: 0.1, speed: 0.0 };
        assert!(standing.duration().is_nan());
        let descent = Descent { mass: 80.0, resistance: AIR_ONLY, stretches: vec![standing] };
        assert!(descent.heat().is_nan());
        assert_eq!(Descent { stretches: Vec::new(), ..descent }.heat(), 0.0);
    }
}
