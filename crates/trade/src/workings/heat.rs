//! How hot a rotor gets on a way down, with what the estimate is worth.

use knockon_engine::Scalar;
use knockon_engine::brake::convection::Convection;
use knockon_engine::brake::descent::{Descent, Stretch};
use knockon_engine::brake::heat::{Rotor, Surroundings};
use knockon_engine::brake::warming::temperatures;
use knockon_engine::road::{AIR_DENSITY, Resistance};
use knockon_engine::tolerance::{Formula, Uncertain, propagate_linear};

use super::braking::Way;
use super::{Given, own};

/// Specific heat of the rotor's steel, J/(kg K): AISI 410 below 100 °C. Source: a public data sheet (seen); a few per cent more when hot.
const STEEL: f64 = 460.0;

/// Emissivity of a rotor that has been in use, a plain number. From memory, unverified.
const EMISSIVITY: f64 = 0.4;

/// Two standard uncertainties of what is only estimated, as parts: convection, the ring's mass and area from the table, share of the
/// front brake, rolling and air. From memory, unverified; convection after the spread of correlations for discs.
const CONVECTION: f64 = 0.4;
const RING: f64 = 0.2;
const SHARE: f64 = 0.15;

const KELVIN: f64 = 273.15;

/// How many samples a curve is told with.
const SAMPLES: usize = 49;

/// The ring that the pads run on.
#[derive(Clone, Copy)]
pub(super) struct Ring {
    /// Its mass, kg, and whether the record told it.
    pub(super) mass: f64,
    pub(super) is_told: bool,
    /// Area that cools, m².
    pub(super) area: f64,
    /// Diameter of the rotor, mm.
    pub(super) diameter: f64,
}

/// Minutes and °C before the changes, and minutes, °C and ± after them; the first is empty where nothing changed.
pub(super) fn curves(
    given: &Given<'_>,
    way: &Way,
    front: bool,
    rings: [Option<Ring>; 2],
) -> (Vec<[f64; 2]>, Vec<[f64; 3]>) {
    let share = if front { way.front_share } else { 100.0 - way.front_share } / 100.0;
    let curve = |at: usize| {
        let ring = rings[at]?;
        let mut inputs = 0;
        let numbers = numbers(given, at, ring, share, &mut inputs);
        let formula = Warming { way: *way, diameter: ring.diameter };
        let all = propagate_linear(&formula, &numbers, inputs);
        let last = way.length / way.speed * 60.0;
        let samples = (0..SAMPLES).map(|row| {
            let minutes = last * row as f64 / (SAMPLES - 1) as f64;
            [minutes, all.value(row) - KELVIN, all.plus_minus(row)]
        });
        Some(samples.collect::<Vec<[f64; 3]>>()).filter(|all| all.iter().flatten().all(|it| it.is_finite()))
    };
    let after = curve(1).unwrap_or_default();
    let before = curve(0).filter(|before| *before != after).unwrap_or_default();
    (before.into_iter().map(|[minutes, celsius, _]| [minutes, celsius]).collect(), after)
}

/// What a rotor's temperature hangs on, in the order in which [`Warming`] takes it.
fn numbers(given: &Given<'_>, at: usize, ring: Ring, share: f64, inputs: &mut usize) -> Vec<Uncertain> {
    let (bike, plain) = (&given.build.bike, given.bikes[at]);
    let sum = plain.bike_mass + plain.rider_mass + plain.kit_mass;
    let spread = [&bike.bike_mass, &bike.rider_mass, &bike.kit_mass].map(Uncertain::standard_uncertainty);
    let spread = spread.into_iter().fold(0.0, f64::hypot);
    let told = if ring.is_told { 0.02 } else { RING };
    let part = |value: f64, pm: f64| (value, value * pm / 2.0);
    [
        (sum, spread),
        part(share, SHARE),
        part(ring.mass, told),
        part(ring.area, RING),
        part(1.0, CONVECTION),
        (plain.rolling, bike.rolling.standard_uncertainty()),
        (plain.drag_area, bike.drag_area.standard_uncertainty()),
    ]
    .into_iter()
    .map(|(value, uncertainty)| own(inputs, value, uncertainty))
    .collect()
}

/// Temperature of a rotor on the way, K, at [`SAMPLES`] times.
struct Warming {
    way: Way,
    diameter: f64,
}

impl Formula for Warming {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let [mass, share, ring, area, blown, rolling, drag_area] = numbers else { return Vec::new() };
        let convection = Convection::of_solid_rotor(T::from(self.diameter));
        let convection = Convection {
            still: convection.still * *blown,
            per_speed: convection.per_speed * *blown,
            ..convection
        };
        let rotor = Rotor {
            mass: *ring,
            specific_heat: T::from(STEEL),
            area: *area,
            emissivity: T::from(EMISSIVITY),
            convection,
        };
        let descent = Descent {
            mass: *mass,
            resistance: Resistance {
                rolling: *rolling,
                drag_area: *drag_area,
                air_density: T::from(AIR_DENSITY),
            },
            stretches: vec![Stretch {
                length: T::from(self.way.length * 1000.0),
                gradient: T::from(self.way.gradient / 100.0),
                speed: T::from(self.way.speed / 3.6),
            }],
        };
        let around = Surroundings { air: T::from(self.way.air + KELVIN) };
        let seconds = self.way.length * 1000.0 / (self.way.speed / 3.6);
        let all = temperatures(&rotor, *share, &descent, &around, seconds / (SAMPLES - 1) as f64);
        let unknown = T::from(f64::NAN);
        (0..SAMPLES).map(|at| all.get(at).copied().unwrap_or(unknown)).collect()
    }
}
