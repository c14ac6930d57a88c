//! Temperature of a rotor on its way down, step by step.
//!
//! Temperatures are kelvins, times seconds.

use super::descent::Descent;
use super::heat::{Losses, Rotor, Surroundings};
use super::none_negative;
use crate::Scalar;
use crate::all_above_zero;
use crate::suspension::spring::mean_growth;

/// Most seconds that are integrated at once. The error of a step comes from radiation alone and goes with its cube; a test
/// holds what remains.
const LONGEST_STEP: f64 = 1.0;
/// Most steps that are worked out, far more than a day's: a bound for numbers that were mistyped.
const MOST_STEPS: f64 = 1e6;
/// Part of a step that is rounding and makes no temperature of its own.
const ROUNDING: f64 = 1e-9;

/// Temperatures of a rotor on a way down, K: at its start, every `step_s` seconds (above 0), and at its end.
///
/// The rotor begins as warm as the air and takes this share of the heat of all brakes, a plain number from 0 to 1. Where the
/// speed falls, it takes the energy at once; a temperature of that very moment is the one after. One NaN where a number is
/// unknown or out of its range, and where the way would take more than a million steps.
///
/// `m·c·dT/dt = share·P − hA·(T − T_a) − εσA·(T⁴ − T_a⁴)`, in exponential steps of at most a second with the radiation made
/// linear about the temperature at hand: exact without radiation, else of second order. Source: Hochbruck and Ostermann,
/// Exponential integrators, Acta Numerica 19 (2010), the exponential Rosenbrock–Euler method (from memory).
///
/// ```
/// use knockon_engine::{brake::descent::{Descent, Stretch}, road::Resistance};
/// use knockon_engine::brake::{convection::Convection, heat::{Rotor, Surroundings}};
/// use knockon_engine::brake::warming::temperatures;
/// let resistance = Resistance { rolling: 0.0, drag_area: 0.0, air_density: 1.2 };
/// let stretches = vec![Stretch { length: 125.0, gradient: 0.75, speed: 10.0 }];
/// let descent = Descent { mass: 100.0, resistance, stretches };
/// let convection = Convection { still: 0.0, per_speed: 0.0, exponent: 0.8 };
/// let rotor = Rotor { mass: 0.2, specific_heat: 500.0, area: 0.03, emissivity: 0.0, convection };
/// // Nothing cools: half of 100 kg · g · 75 m, in 12.5 s.
/// let all = temperatures(&rotor, 0.5_f64, &descent, &Surroundings { air: 300.0 }, 5.0);
/// assert_eq!(all.len(), 4); // at 0, 5, 10 and 12.5 s
/// assert!((all[3] - 300.0 - 0.5 * 100.0 * 9.80665 * 75.0 / 100.0).abs() < 1e-9);
/// ```
pub fn temperatures<T: Scalar>(
    rotor: &Rotor<T>,
    share: T,
    descent: &Descent<T>,
    around: &Surroundings<T>,
    step_s: f64,
) -> Vec<T> {
    let Some(pieces) = pieces(rotor, share, descent, around, step_s) else {
        return vec![T::from(f64::NAN)];
    };
    let rounding = step_s * ROUNDING;
    let mut temperature = around.air;
    let mut all = Vec::new();
    // A piece that ends within a step leaves the rest of that step to the next one; a temperature that is due at its very end,
    // too.
    let mut to_next = T::from(0.0);
    for piece in &pieces {
        temperature += piece.jump;
        let mut left = piece.duration;
        while left.re() > to_next.re() + rounding {
            temperature = piece.flow.after(temperature, to_next);
            all.push(temperature);
            left -= to_next;
            to_next = T::from(step_s);
        }
        temperature = piece.flow.after(temperature, left);
        to_next -= left;
    }
    if to_next.re() < step_s - rounding {
        all.push(temperature);
    }
    all
}

/// A stretch as the rotor feels it.
struct Piece<T> {
    /// Rise at its beginning, K.
    jump: T,
    /// How long it lasts, s.
    duration: T,
    flow: Flow<T>,
}

/// All stretches, `None` where a number is unknown or out of its range.
fn pieces<T: Scalar>(
    rotor: &Rotor<T>,
    share: T,
    descent: &Descent<T>,
    around: &Surroundings<T>,
    step_s: f64,
) -> Option<Vec<Piece<T>>> {
    let sound = rotor.is_sound()
        && all_above_zero(&[around.air, T::from(step_s)])
        && none_negative(&[share, -share + 1.0, descent.mass]);
    if !sound {
        return None;
    }
    let capacity = rotor.capacity();
    let mut steps = 0.0;
    let mut before = None;
    let mut pieces = Vec::with_capacity(descent.stretches.len());
    for stretch in &descent.stretches {
        let energy = before.map_or(T::from(0.0), |it| descent.energy_between(it, stretch));
        let losses = rotor.losses(stretch.speed);
        let piece = Piece {
            jump: share * energy / capacity,
            duration: stretch.duration(),
            flow: Flow {
                heating: share * descent.power(stretch) / capacity,
                losses: Losses {
                    convected: losses.convected / capacity,
                    radiated: losses.radiated / capacity,
                },
                air: around.air,
            },
        };
        let numbers = [piece.jump, piece.duration, piece.flow.heating, piece.flow.losses.convected];
        steps += piece.duration.re() / step_s.min(LONGEST_STEP);
        if !none_negative(&numbers) || steps > MOST_STEPS {
            return None;
        }
        pieces.push(piece);
        before = Some(stretch);
    }
    Some(pieces)
}

/// What happens to the temperature while nothing changes outside: all per heat capacity of the rotor.
struct Flow<T> {
    /// K/s.
    heating: T,
    /// 1/s, and 1/(s K³).
    losses: Losses<T>,
    air: T,
}

impl<T: Scalar> Flow<T> {
    /// Temperature after this time, in steps of at most [`LONGEST_STEP`].
    fn after(&self, temperature: T, time: T) -> T {
        let steps = (time.re() / LONGEST_STEP).ceil().max(1.0);
        let step = time / steps;
        (0..steps as usize).fold(temperature, |it, _| self.step(it, step))
    }

    fn step(&self, temperature: T, time: T) -> T {
        let rate = self.heating - self.losses.power(temperature, self.air);
        temperature + rate * time * mean_growth(-(self.losses.slope(temperature) * time))
    }
}

#[cfg(test)]
mod tests {
    use super::super::convection::Convection;
    use super::super::descent::Stretch;
    use super::super::heat::STEFAN_BOLTZMANN;
    use super::*;
    use crate::road::Resistance;

    const AIR: Surroundings<f64> = Surroundings { air: 293.15 };

    fn rotor(emissivity: f64) -> Rotor<f64> {
        let convection = Convection { still: 4.0, per_speed: 15.0, exponent: 0.55 };
        Rotor { mass: 0.12, specific_heat: 460.0, area: 0.024, emissivity, convection }
    }

    fn descent(pieces: &[(f64, f64, f64)]) -> Descent<f64> {
        let resistance = Resistance { rolling: 0.005, drag_area: 0.5, air_density: 1.2 };
        let stretches =
            pieces.iter().map(|&(length, gradient, speed)| Stretch { length, gradient, speed }).collect();
        Descent { mass: 95.0, resistance, stretches }
    }

    fn last(all: &[f64]) -> f64 {
        *all.last().unwrap()
    }

    /// Classical Runge–Kutta steps of the equation as it stands in the documentation.
    fn runge_kutta(rotor: &Rotor<f64>, power: f64, speed: f64, time: f64, steps: usize) -> f64 {
        let rate = |hot: f64| {
            let convected = rotor.convection.at(speed) * rotor.area * (hot - AIR.air);
            let radiated = rotor.emissivity * STEFAN_BOLTZMANN * rotor.area * (hot.powi(4) - AIR.air.powi(4));
            (power - convected - radiated) / (rotor.mass * rotor.specific_heat)
        };
        let step = time / steps as f64;
        (0..steps).fold(AIR.air, |hot, _| {
            let first = rate(hot);
            let second = rate(hot + first * step / 2.0);
            let third = rate(hot + second * step / 2.0);
            let fourth = rate(hot + third * step);
            hot + step / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
        })
    }

    #[test]
    fn without_radiation_it_is_the_closed_form() {
        let way = descent(&[(3000.0, 0.12, 8.0)]);
        let power = 0.6 * way.power(&way.stretches[0]);
        for step in [0.7, 1.0, 30.0] {
            let all = temperatures(&rotor(0.0), 0.6, &way, &AIR, step);
            for (place, hot) in all.iter().enumerate() {
                let time = (place as f64 * step).min(375.0);
                let exact = rotor(0.0).drag_temperature(power, 8.0, &AIR, time);
                assert!((hot - exact).abs() < 1e-9, "{step} s: {hot} not {exact} after {time} s");
            }
        }
    }

    #[test]
    fn with_radiation_it_agrees_with_fine_runge_kutta() {
        let way = descent(&[(3000.0, 0.12, 8.0)]);
        let power = 0.6 * way.power(&way.stretches[0]);
        let all = temperatures(&rotor(0.9), 0.6, &way, &AIR, 1.0);
        let most = (1..=375)
            .map(|time| (all[time] - runge_kutta(&rotor(0.9), power, 8.0, time as f64, time * 20)).abs())
            .fold(0.0, f64::max);
        assert!(most < 0.01, "{most} K off");
        assert!((last(&all) - rotor(0.9).steady(power, 8.0, &AIR)).abs() < 1.0);
    }

    /// Half the step, a quarter of the error.
    #[test]
    fn steps_are_of_second_order() {
        let losses = rotor(0.9).losses(8.0);
        let capacity = rotor(0.9).capacity();
        let losses = Losses { convected: losses.convected / capacity, radiated: losses.radiated / capacity };
        let flow = Flow { heating: 600.0 / capacity, losses, air: AIR.air };
        let exact = runge_kutta(&rotor(0.9), 600.0, 8.0, 40.0, 40_000);
        let error = |steps: usize| {
            let step = 40.0 / steps as f64;
            ((0..steps).fold(AIR.air, |it, _| flow.step(it, step)) - exact).abs()
        };
        for steps in [20, 40, 80, 160] {
            let order = (error(steps) / error(2 * steps)).log2();
            assert!((order - 2.0).abs() < 0.1, "{order} at {steps} steps");
        }
    }

    #[test]
    fn a_drop_of_speed_is_a_stop_at_once() {
        // Flat, so that nothing else is braked; 95 kg from 12 to 7 m/s after a whole step and after half of one.
        let rise = 0.8 * 95.0 / 2.0 * (144.0 - 49.0) / 55.2;
        for first in [12.0, 6.0] {
            let way = descent(&[(first, 0.0, 12.0), (0.0, 0.0, 7.0)]);
            let all = temperatures(&rotor(0.5), 0.8, &way, &AIR, 1.0);
            assert_eq!((all.len(), all[0]), (2, AIR.air));
            assert!((last(&all) - AIR.air - rise).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_unknown_or_absurd_is_one_nan() {
        let way = descent(&[(300.0, 0.12, 8.0)]);
        let lone = |all: Vec<f64>| all.len() == 1 && all[0].is_nan();
        assert!(lone(temperatures(&rotor(f64::NAN), 0.5, &way, &AIR, 1.0)));
        assert!(lone(temperatures(&rotor(0.3), 1.1, &way, &AIR, 1.0)));
        assert!(lone(temperatures(&rotor(0.3), 0.5, &way, &Surroundings { air: -1.0 }, 1.0)));
        for step in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
            assert!(lone(temperatures(&rotor(0.3), 0.5, &way, &AIR, step)));
        }
        for piece in [(f64::NAN, 0.1, 8.0), (300.0, f64::NAN, 8.0), (300.0, 0.1, 0.0), (1e12, 0.1, 8.0)] {
            assert!(lone(temperatures(&rotor(0.3), 0.5, &descent(&[piece]), &AIR, 1.0)));
        }
        assert_eq!(temperatures(&rotor(0.3), 0.5, &descent(&[]), &AIR, 1.0), vec![AIR.air]);
    }
}
