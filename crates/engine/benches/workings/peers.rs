//! Peers of the brake's own steps: the same equation by a general solver from the registry, and by the classical Runge–Kutta method.

use knockon_engine::brake::descent::{Descent, braking_power};
use knockon_engine::brake::heat::{Rotor, STEFAN_BOLTZMANN};
use ode_solvers::{Dopri5, System, Vector1};

/// Heating, K/s, of a rotor on one stretch: `m·c·dT/dt = P − hA(T − Tₐ) − εσA(T⁴ − Tₐ⁴)`.
struct Stretch {
    power: f64,
    cooling: f64,
    radiating: f64,
    capacity: f64,
    air: f64,
}

impl Stretch {
    fn heating(&self, temperature: f64) -> f64 {
        let radiated = self.radiating * (temperature.powi(4) - self.air.powi(4));
        (self.power - self.cooling * (temperature - self.air) - radiated) / self.capacity
    }
}

impl System<f64, Vector1<f64>> for &Stretch {
    fn system(&self, _: f64, y: &Vector1<f64>, dy: &mut Vector1<f64>) {
        dy[0] = self.heating(y[0]);
    }
}

/// Every stretch as its equation, and how long it lasts, s.
fn stretches(
    rotor: &Rotor<f64>,
    share: f64,
    descent: &Descent<f64>,
    air: f64,
) -> impl Iterator<Item = (Stretch, f64)> {
    descent.stretches.iter().map(move |it| {
        let stretch = Stretch {
            power: share * braking_power(descent.mass, it.gradient, it.speed, &descent.resistance),
            cooling: rotor.convection.at(it.speed) * rotor.area,
            radiating: rotor.emissivity * STEFAN_BOLTZMANN * rotor.area,
            capacity: rotor.capacity(),
            air,
        };
        (stretch, it.duration())
    })
}

/// Temperatures every second by Dormand and Prince's adaptive method, to a relative 1e-6.
pub fn dormand_prince(rotor: &Rotor<f64>, share: f64, descent: &Descent<f64>, air: f64) -> Vec<f64> {
    let mut all = vec![air];
    for (stretch, duration) in stretches(rotor, share, descent, air) {
        let start = Vector1::new(all[all.len() - 1]);
        let mut solver = Dopri5::new(&stretch, 0.0, duration, 1.0, start, 1e-6, 1e-6);
        solver.integrate().expect("a smooth equation");
        all.extend(solver.y_out().iter().skip(1).map(|y| y[0]));
    }
    all
}

/// Temperatures every second by the classical Runge–Kutta method.
pub fn runge_kutta(rotor: &Rotor<f64>, share: f64, descent: &Descent<f64>, air: f64) -> Vec<f64> {
    let mut all = vec![air];
    for (stretch, duration) in stretches(rotor, share, descent, air) {
        let mut temperature = all[all.len() - 1];
        for _ in 0..duration.round() as usize {
            let a = stretch.heating(temperature);
            let b = stretch.heating(temperature + a / 2.0);
            let c = stretch.heating(temperature + b / 2.0);
            let d = stretch.heating(temperature + c);
            temperature += (a + 2.0 * b + 2.0 * c + d) / 6.0;
            all.push(temperature);
        }
    }
    all
}
