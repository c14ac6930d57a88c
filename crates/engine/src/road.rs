//! What the road asks for: the force of air, tyres and a slope, the power to ride against it, and the steepest slope that a power
//! rides up. A slope is an angle, radians, positive uphill.
//!
//! Source: Martin, Milliken, Cobb, McFadden and Coggan, Validation of a mathematical model for road cycling power, J. Appl.
//! Biomech. 14(3), 1998: measured against modelled power R² 0.97, standard error 2.7 W (from the abstract). Its constants are as
//! several later public works restate them; the paper's text was not seen.

use crate::Scalar;
use crate::suspension::sag::GRAVITY;

/// Drag area that the spokes of both wheels add by turning, m²: 0.0044 (Martin et al. 1998, as restated in later public work).
pub const SPOKE_DRAG: f64 = 0.0044;

/// What holds a rider back on the level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistance<T> {
    /// Rolling resistance over load, a plain number: 0.003 on asphalt to 0.02 on grass.
    pub rolling: T,
    /// Drag coefficient times frontal area, m²: 0.25 in the drops to 0.6 upright.
    pub drag_area: T,
    /// Density of the air, kg/m³: 1.2 at 20 °C and sea level.
    pub air_density: T,
}

/// Density of the air, kg/m³, at 15 °C and sea level. Source: ISO 2533, the standard atmosphere.
pub const AIR_DENSITY: f64 = 1.225;

/// What a clean derailleur drive lets through of the pedalling power, a plain number. Source: Martin et al. 1998 (as restated in
/// later public work).
pub const CHAIN_EFFICIENCY: f64 = 0.976;

impl<T: Scalar> Resistance<T> {
    /// Power at the rear wheel, W, to ride at `speed`, m/s, through still air up a slope of `angle`, radians, with a total `mass`,
    /// kg. Negative where the slope gives more than is lost.
    ///
    /// `½ρ(C_dA + F_w)v³ + C_rr·m·g·cos β·v + (0.091 + 0.0087·v)·v + m·g·sin β·v`; the third term is the wheels' bearings. At the
    /// cranks it is more by what the drive loses: divided by [`CHAIN_EFFICIENCY`].
    ///
    /// ```
    /// use knockon_engine::road::Resistance;
    /// let flat = Resistance { rolling: 0.0032, drag_area: 0.25, air_density: 1.2 };
    /// // 90 kg at 10 m/s, with g 9.81 instead of the standard value: 187.16 W at the cranks.
    /// assert!((flat.power(10.0_f64, 0.0, 90.0 * 9.81 / 9.806_65) / 0.976 - 187.164_754).abs() < 1e-5);
    /// ```
    pub fn power(&self, speed: T, angle: T, mass: T) -> T {
        (self.force(speed, angle, mass) + self.wheels(speed)) * speed
    }

    /// What air, tyres and slope hold back with, N, negative where the slope drives: `m·g·(sin β + C_rr·cos β) + ½ρ·C_dA·v²`. The
    /// wheels' own share, bearings and spokes in the air, is left out; [`Resistance::power`] has it.
    ///
    /// ```
    /// use knockon_engine::road::Resistance;
    /// let none = Resistance { rolling: 0.0, drag_area: 0.0, air_density: 1.2 };
    /// // 100 kg on a slope of 3 in 4: six tenths of the weight.
    /// assert!((none.force(5.0_f64, 0.75_f64.atan(), 100.0) - 588.399).abs() < 1e-9);
    /// ```
    pub fn force(&self, speed: T, angle: T, mass: T) -> T {
        let air = self.drag_area * self.air_density * speed * speed * 0.5;
        mass * GRAVITY * (angle.cos() * self.rolling + angle.sin()) + air
    }

    /// What bearings and spokes of both wheels hold back with, N.
    fn wheels(&self, speed: T) -> T {
        self.air_density * SPOKE_DRAG * speed * speed * 0.5 + speed * 0.0087 + 0.091
    }

    /// The steepest slope, radians, that `power`, W at the rear wheel, rides up at `speed`, m/s, with a total `mass`, kg: the root of
    /// [`Resistance::power`] in closed form. NaN where no slope is steep enough to use the power up.
    ///
    /// ```
    /// use knockon_engine::road::Resistance;
    /// let flat = Resistance { rolling: 0.0032, drag_area: 0.25, air_density: 1.2 };
    /// let slope = flat.steepest(200.0_f64, 2.0, 85.0);
    /// assert!((flat.power(2.0, slope, 85.0) - 200.0).abs() < 1e-9);
    /// ```
    pub fn steepest(&self, power: T, speed: T, mass: T) -> T {
        let air = self.drag_area * self.air_density * speed * speed * 0.5;
        let left = power / speed - self.wheels(speed) - air;
        // C·cos β + sin β = √(1 + C²)·sin(β + atan C)
        let grip = (self.rolling * self.rolling + 1.0).sqrt();
        (left / (mass * GRAVITY * grip)).asin() - self.rolling.atan()
    }
}

impl Resistance<f64> {
    /// The speed, m/s, that `power`, W at the rear wheel, holds on a slope of `angle`, radians, with a total `mass`, kg: the inverse of
    /// [`Resistance::power`]. NaN for a power that is not above 0, or where a number is unknown.
    ///
    /// ```
    /// use knockon_engine::road::Resistance;
    /// let road = Resistance { rolling: 0.0032, drag_area: 0.25, air_density: 1.2 };
    /// let speed = road.speed(200.0, 0.05, 85.0);
    /// assert!((road.power(speed, 0.05, 85.0) - 200.0).abs() < 1e-9);
    /// ```
    pub fn speed(&self, power: f64, angle: f64, mass: f64) -> f64 {
        let missing = |speed: f64| self.power(speed, angle, mass) - power;
        if !(power > 0.0 && missing(FASTEST) > 0.0) {
            return f64::NAN;
        }
        // Power grows with speed wherever it is above 0, so there is one root between standing still and this.
        let (mut slow, mut fast) = (0.0, FASTEST);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(slow, fast);
            if missing(middle) > 0.0 { fast = middle } else { slow = middle }
        }
        f64::midpoint(slow, fast)
    }
}

/// Faster than any bicycle is pedalled on a road, m/s.
const FASTEST: f64 = 60.0;

/// So many halvings leave no more of the range than rounding does.
const HALVINGS: usize = 60;

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn road() -> Resistance<f64> {
        Resistance { rolling: 0.0032, drag_area: 0.25, air_density: 1.2 }
    }

    /// The parts of the worked power: air 152.640, rolling 28.2528, bearings 1.7800 W at the wheel. Computed from the
    /// published form outside of this project; the constants are from memory.
    #[test]
    fn parts_of_the_power_on_the_flat() {
        let (speed, mass) = (10.0, 90.0 * 9.81 / GRAVITY);
        let without =
            |rolling, drag_area| Resistance { rolling, drag_area, ..road() }.power(speed, 0.0, mass);
        let all = without(0.0032, 0.25);
        assert!((all - without(0.0, 0.25) - 28.2528).abs() < 1e-4);
        assert!((without(0.0, 0.25) - without(0.0, -SPOKE_DRAG) - 152.640).abs() < 1e-4);
        assert!((without(0.0, -SPOKE_DRAG) - 1.78).abs() < 1e-9);
    }

    /// Level, still air, 90 kg, C_dA 0.2565, C_rr 0.0032, ρ 1.2234, g 9.81: computed outside of this project from the model's
    /// constants as later public work restates them.
    #[test]
    fn three_speeds_on_the_level() {
        let road = Resistance { rolling: 0.0032, drag_area: 0.2565, air_density: 1.2234 };
        for (speed, rider) in [(5.0, 35.602), (10.0, 194.288), (12.0, 319.697)] {
            let power = road.power(speed, 0.0, 90.0 * 9.81 / GRAVITY) / CHAIN_EFFICIENCY;
            assert!((power - rider).abs() < 2e-3, "{speed}: {power}");
        }
    }

    #[test]
    fn no_power_is_too_much_for_a_wall() {
        assert!(road().steepest(5000.0, 1.0, 80.0).is_nan());
    }

    proptest! {
        #[test]
        fn steepest_is_the_root_of_power(power in 50.0..400.0, speed in 0.8..4.0, mass in 50.0..160.0) {
            let slope = road().steepest(power, speed, mass);
            prop_assume!(slope.is_finite());
            prop_assert!((road().power(speed, slope, mass) - power).abs() < 1e-8);
        }

        #[test]
        fn more_weight_means_less_slope(power in 60.0..300.0, speed in 1.0..3.0, mass in 60.0..140.0, more in 0.5..30.0) {
            let slope = |mass| road().steepest(power, speed, mass);
            prop_assume!(slope(mass).is_finite());
            prop_assert!(slope(mass + more) < slope(mass));
        }

        #[test]
        fn faster_takes_more_power(speed in 0.5..18.0, more in 0.1..4.0, angle in 0.0..0.2) {
            prop_assert!(road().power(speed + more, angle, 85.0) > road().power(speed, angle, 85.0));
        }
    }
}
