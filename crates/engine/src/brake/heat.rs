//! A rotor as one lump of metal: what heats it, what cools it.
//!
//! Temperatures are kelvins, areas m², masses kg, energies J, powers W, speeds m/s. One lump: pads, hub and carrier take no
//! heat, and the metal has one temperature throughout. A rotor with a carrier of its own goes in with the mass of its ring.

use super::convection::Convection;
use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;
use crate::suspension::spring::mean_growth;

/// Stefan–Boltzmann constant, W/(m² K⁴). Source: CODATA 2018.
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// What is around the rotor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings<T> {
    /// Temperature of the air, and of all that the rotor radiates to, K above 0.
    pub air: T,
}

/// A brake rotor, or a rim that is braked on.
///
/// Where a number is unknown (NaN) or out of its range, results are NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rotor<T> {
    /// Mass that gets hot, kg above 0.
    pub mass: T,
    /// Specific heat, J/(kg K) above 0: 460 for stainless steel of grade 410 (ASM data sheet of 410S), 897 for aluminium
    /// (element data).
    pub specific_heat: T,
    /// Area that cools, both sides, m² of at least 0.
    pub area: T,
    /// Emissivity, a plain number from 0 to 1: about 0.2 for cold-rolled, 0.8 for oxidised steel (emissivity table of a thermal
    /// camera's manual).
    pub emissivity: T,
    /// What the air takes.
    pub convection: Convection<T>,
}

impl<T: Scalar> Rotor<T> {
    /// Heat that the rotor takes up per kelvin, J/K.
    ///
    /// ```
    /// use knockon_engine::brake::{convection::Convection, heat::Rotor};
    /// let convection = Convection { still: 60.0, per_speed: 0.0, exponent: 0.8 };
    /// let rotor = Rotor { mass: 0.125, specific_heat: 480.0, area: 0.024, emissivity: 0.0, convection };
    /// assert_eq!(rotor.capacity(), 60.0);
    /// ```
    pub fn capacity(&self) -> T {
        only_if(self.is_sound(), || self.mass * self.specific_heat)
    }

    /// Temperature, K, after this time, s of at least 0, under an even power into the rotor, W of at least 0, at an even speed,
    /// m/s of at least 0, starting from the air's temperature. Without radiation: too hot by what that takes.
    ///
    /// `T_a + P/(hA)·(1 − e^{−hAt/(mc)})`; what cools nothing warms by `P·t/(mc)`. Source: lumped capacitance, any textbook of
    /// heat transfer.
    ///
    /// ```
    /// use knockon_engine::brake::{convection::Convection, heat::{Rotor, Surroundings}};
    /// // 200 W into 0.15 kg of 480 J/(kg K), hA 1.5 W/K: a time constant of 48 s and 133.3 K in the end.
    /// let convection = Convection { still: 50.0, per_speed: 0.0, exponent: 0.8 };
    /// let rotor = Rotor { mass: 0.15, specific_heat: 480.0, area: 0.03, emissivity: 0.0, convection };
    /// let air = Surroundings { air: 293.15_f64 };
    /// let after = rotor.drag_temperature(200.0, 8.0, &air, 48.0);
    /// assert!((after - 293.15 - 400.0 / 3.0 * 0.632_120_559).abs() < 1e-6); // 1 − 1/e
    /// ```
    pub fn drag_temperature(&self, power: T, speed: T, around: &Surroundings<T>, time: T) -> T {
        let sound = self.is_sound() && all_above_zero(&[around.air]) && none_negative(&[power, time]);
        only_if(sound, || {
            let per_capacity = time / self.capacity();
            let cooled = self.area * self.convection.at(speed) * per_capacity;
            around.air + power * per_capacity * mean_growth(-cooled)
        })
    }

    /// Temperature, K, that an even power into the rotor, W of at least 0, leads to at an even speed, m/s of at least 0: where
    /// air and radiation take as much. NaN, too, where nothing cools.
    ///
    /// `P = hA·(T − T_a) + εσA·(T⁴ − T_a⁴)`, solved by Newton's method. Source: balance of heat, Stefan–Boltzmann.
    ///
    /// ```
    /// use knockon_engine::brake::{convection::Convection, heat::{Rotor, STEFAN_BOLTZMANN, Surroundings}};
    /// let convection = Convection { still: 50.0, per_speed: 0.0, exponent: 0.8 };
    /// let rotor = Rotor { mass: 0.15, specific_heat: 480.0, area: 0.04, emissivity: 0.5, convection };
    /// // From 300 to 500 K air takes 2 W/K · 200 K, radiation 0.02 m² · σ · (625 − 81)·10⁸ K⁴.
    /// let power = 400.0 + 0.02 * STEFAN_BOLTZMANN * 544e8;
    /// assert!((rotor.steady(power, 8.0, &Surroundings { air: 300.0_f64 }) - 500.0).abs() < 1e-9);
    /// ```
    pub fn steady(&self, power: T, speed: T, around: &Surroundings<T>) -> T {
        if !(self.is_sound() && all_above_zero(&[around.air]) && none_negative(&[power])) {
            return T::from(f64::NAN);
        }
        let losses = self.losses(speed);
        let mut temperature = T::from(losses.map_re().steady(power.re(), around.air.re()));
        // Each step in dual numbers makes one more order of derivatives exact.
        for _ in 0..T::NDERIV {
            temperature -= (losses.power(temperature, around.air) - power) / losses.slope(temperature);
        }
        temperature
    }

    /// What cools the rotor at a speed.
    pub(super) fn losses(&self, speed: T) -> Losses<T> {
        Losses {
            convected: self.area * self.convection.at(speed),
            radiated: self.area * self.emissivity * STEFAN_BOLTZMANN,
        }
    }

    pub(super) fn is_sound(&self) -> bool {
        all_above_zero(&[self.mass, self.specific_heat])
            && none_negative(&[self.area, self.emissivity])
            && self.emissivity.re() <= 1.0
    }
}

/// What cools a rotor at one speed: per kelvin, and per kelvin to the fourth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Losses<T> {
    pub(super) convected: T,
    pub(super) radiated: T,
}

impl<T: Scalar> Losses<T> {
    /// Power that leaves at a temperature, W.
    pub(super) fn power(&self, temperature: T, air: T) -> T {
        // Factored, because fourth powers of like temperatures would cancel.
        let warmer = temperature - air;
        let radiated = self.radiated * (temperature * temperature + air * air) * (temperature + air);
        (self.convected + radiated) * warmer
    }

    /// Its derivative by the temperature, W/K.
    pub(super) fn slope(&self, temperature: T) -> T {
        self.convected + self.radiated * temperature.powi(3) * 4.0
    }

    fn map_re(&self) -> Losses<f64> {
        Losses { convected: self.convected.re(), radiated: self.radiated.re() }
    }
}

impl Losses<f64> {
    fn steady(&self, power: f64, air: f64) -> f64 {
        const MOST_STEPS: usize = 100;
        const SETTLED: f64 = 1e-15;
        // Either loss alone gives an upper bound. From above, Newton's steps come down to the answer without passing it, as the
        // losses curve upwards.
        let by_air = air + power / self.convected;
        let by_radiation = (air.powi(4) + power / self.radiated).powf(0.25);
        let mut temperature = by_air.min(by_radiation);
        if !temperature.is_finite() {
            return f64::NAN;
        }
        for _ in 0..MOST_STEPS {
            let step = (self.power(temperature, air) - power) / self.slope(temperature);
            temperature -= step;
            if step.abs() <= SETTLED * temperature {
                break;
            }
        }
        temperature
    }
}

/// Rise of temperature, K, of a mass, kg above 0, of a specific heat, J/(kg K) above 0, that takes up an energy, J: the most
/// that a stop can do, as nothing cools meanwhile.
///
/// `ΔT = E/(m·c)`. Source: the definition of specific heat.
///
/// ```
/// use knockon_engine::brake::heat::rise_of_stop;
/// // 100 kg from 10 m/s, 5000 J, into 150 g of steel: "67 degrees" (a public question and answer on bicycle brakes).
/// assert!((rise_of_stop(5000.0_f64, 0.150, 500.0) - 66.7).abs() < 0.05);
/// ```
pub fn rise_of_stop<T: Scalar>(energy: T, mass: T, specific_heat: T) -> T {
    only_if(all_above_zero(&[mass, specific_heat]), || energy / (mass * specific_heat))
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    fn rotor() -> Rotor<f64> {
        let convection = Convection { still: 60.0, per_speed: 0.0, exponent: 0.8 };
        Rotor { mass: 0.12, specific_heat: 460.0, area: 0.024, emissivity: 0.0, convection }
    }

    /// Machine-element problem, brakes and clutches 881: 800 000 ft·lbf, 150 °F, 101 ft·lbf/(lb °F), 0.253 lb/in³ make 208.7
    /// in³.
    #[test]
    fn drum_of_the_published_problem() {
        let rise: f64 = rise_of_stop(800_000.0, 208.7 * 0.253, 101.0);
        assert!((rise - 150.0).abs() < 0.02);
        let in_kelvins: f64 = rise_of_stop(1_084_654.0, 23.952, 543.41);
        assert!((in_kelvins - 250.0 / 3.0).abs() < 0.01);
    }

    /// The public answer's second case: 9751 J down 100 m of a 1-in-10 slope make 130 K.
    #[test]
    fn slope_of_the_published_answer() {
        assert!((rise_of_stop(100.0_f64 * 9.8 * 9.95, 0.150, 500.0) - 130.0).abs() < 0.05);
    }

    /// Computed apart from this code, in another language.
    #[test]
    fn dragging_warms_as_computed_elsewhere() {
        let air = Surroundings { air: 293.15 };
        for (time, celsius) in [
            (10.0, 67.8372),
            (30.0, 133.0809),
            (60.0, 184.7828),
            (120.0, 219.2294),
            (300.0, 228.2502),
            (600.0, 228.3333),
        ] {
            assert!((rotor().drag_temperature(300.0, 0.0, &air, time) - 273.15 - celsius).abs() < 5e-5);
        }
        assert!((rotor().steady(300.0, 0.0, &air) - 293.15 - 300.0 / 1.44).abs() < 1e-9);
    }

    #[test]
    fn nothing_that_cools_is_no_special_case() {
        let bare = Rotor { area: 0.0, ..rotor() };
        let air = Surroundings { air: 293.15 };
        assert!((bare.drag_temperature(55.2, 5.0, &air, 30.0) - 323.15).abs() < 1e-9); // 1 K/s
        assert!(bare.steady(55.2, 5.0, &air).is_nan());
    }

    /// `dT/dP` of the balance is one over its slope, here of radiation alone: `T⁴ = T_a⁴ + P/(εσA)`.
    #[test]
    fn steady_is_exactly_differentiated() {
        let lift = |it: f64| Dual64::from(it);
        let convection = Convection { still: lift(0.0), per_speed: lift(0.0), exponent: 0.8 };
        let rotor = Rotor {
            mass: lift(0.12),
            specific_heat: lift(460.0),
            area: lift(0.024),
            emissivity: lift(0.5),
            convection,
        };
        let air = Surroundings { air: lift(293.15) };
        let found = rotor.steady(lift(60.0).derivative(), lift(5.0), &air);
        let radiated = 0.024 * 0.5 * STEFAN_BOLTZMANN;
        let hot = (293.15_f64.powi(4) + 60.0 / radiated).powf(0.25);
        assert!((found.re - hot).abs() < 1e-9);
        assert!((found.eps * 4.0 * radiated * hot.powi(3) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        let air = Surroundings { air: 293.15 };
        for bad in [
            Rotor { mass: 0.0, ..rotor() },
            Rotor { specific_heat: f64::NAN, ..rotor() },
            Rotor { emissivity: 1.5, ..rotor() },
            Rotor { convection: Convection { still: -1.0, ..rotor().convection }, ..rotor() },
        ] {
            assert!(bad.drag_temperature(300.0, 5.0, &air, 10.0).is_nan());
            assert!(bad.steady(300.0, 5.0, &air).is_nan());
        }
        assert!(rotor().steady(-1.0, 5.0, &air).is_nan() && rotor().steady(f64::NAN, 5.0, &air).is_nan());
        assert!(rotor().drag_temperature(1.0, -5.0, &air, 10.0).is_nan());
        assert!(rise_of_stop(1.0_f64, 0.0, 1.0).is_nan());
    }
}
