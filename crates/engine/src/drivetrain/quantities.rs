//! The drivetrain's knock-ons, from the parameters of a bike.

use crate::Scalar;
use crate::bike::Bike;
use crate::quantity::{Quantities, Quantity};
use crate::road::{AIR_DENSITY, CHAIN_EFFICIENCY, Resistance};
use crate::suspension::chain::Pulleys;
use crate::suspension::linkage::Linkage;
use crate::suspension::rear::stroke;

use super::chain_length::{self, around};
use super::chainline::{self, Row};
use super::gear::{self, Gear};

/// Fills in what the bike suffices for; the rest stays NaN.
pub(crate) fn put<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>, quantities: &mut Quantities<T>) {
    if !(bike.ring_largest.re().is_finite() && bike.cog_largest.re().is_finite()) {
        return;
    }
    let mut put = |quantity: Quantity, value: T| quantities[quantity as usize] = value;
    let [lowest, highest] = ends(bike);
    let development = gear::development(lowest, bike.rear_radius);
    put(Quantity::LowestDevelopment, development);
    put(Quantity::HighestDevelopment, gear::development(highest, bike.rear_radius));
    put(Quantity::LowestGainRatio, gear::gain_ratio(lowest, bike.rear_radius, bike.crank_length));
    put(Quantity::GearRange, gear::range(lowest, highest));
    put(Quantity::CapacityNeeded, capacity(bike));
    put(Quantity::ChainNeeded, chain_needed(bike, linkage));
    put(Quantity::SteepestClimb, steepest(bike, development));
    let rings = Row { line: bike.front_chainline, spacing: bike.ring_spacing, count: bike.ring_count };
    let cogs = Row { line: bike.rear_chainline, spacing: bike.cog_spacing, count: bike.cog_count };
    put(Quantity::ChainlineAngle, chainline::worst(&rings, &cogs, bike.chainstay));
}

/// Ratio of the lowest and of the highest gear.
fn ends<T: Scalar>(bike: &Bike<T>) -> [T; 2] {
    let gear = |ring, cog, inner| Gear { ring, cog, inner }.ratio();
    [
        gear(bike.ring_smallest, bike.cog_largest, bike.inner_lowest),
        gear(bike.ring_largest, bike.cog_smallest, bike.inner_highest),
    ]
}

/// The steepest slope, rise over level run, that the rider's power climbs with the given development, mm.
fn steepest<T: Scalar>(bike: &Bike<T>, development: T) -> T {
    let resistance =
        Resistance { rolling: bike.rolling, drag_area: bike.drag_area, air_density: T::from(AIR_DENSITY) };
    let mass = bike.bike_mass + bike.rider_mass + bike.kit_mass;
    let speed = gear::speed(development, bike.climbing_cadence);
    resistance.steepest(bike.rider_power * CHAIN_EFFICIENCY, speed, mass).tan()
}

/// Teeth that the derailleur has to take up.
pub(crate) fn capacity<T: Scalar>(bike: &Bike<T>) -> T {
    chain_length::capacity([bike.ring_smallest, bike.ring_largest], [bike.cog_smallest, bike.cog_largest])
}

/// Pieces of chain that the largest ring and the largest cog ask for, not rounded, with the suspension where the chain's way is
/// longest. Without a linkage that is what somebody has told, on top of the way at full extension.
pub(crate) fn chain_needed<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>) -> T {
    if !(bike.ring_largest.re().is_finite() && bike.cog_largest.re().is_finite()) {
        return T::from(f64::NAN);
    }
    let longest = match linkage {
        Some(linkage) => longest(bike, linkage),
        None => around(bike.ring_largest, bike.cog_largest, bike.chainstay) + bike.chain_growth,
    };
    chain_length::needed(longest)
}

/// Where over the stroke the chain's way is looked at; a way that peaks between two of them is missed by a hair.
const PLACES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Length of the loop around the largest wheels where it is longest, mm; idlers included.
fn longest<T: Scalar>(bike: &Bike<T>, linkage: &Linkage<T>) -> T {
    let unknown = T::from(f64::NAN);
    let crossed = Bike { ring: bike.ring_largest, cog: bike.cog_largest, ..*bike };
    let pulleys = Pulleys::new(&crossed, linkage);
    let stroke = stroke(bike);
    let mut longest = unknown;
    for place in PLACES {
        let Ok(pose) = linkage.pose(bike.shock_start + stroke * place) else { return unknown };
        let length = pulleys.chain(linkage, &pose).loop_length();
        if longest.re().is_nan() || length.re() > longest.re() {
            longest = length;
        }
    }
    longest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::evaluate;

    /// A gravel bike's worth of drivetrain; every expected figure below is arithmetic.
    fn bike() -> Bike<f64> {
        let mut bike = Bike::unknown();
        (bike.ring_smallest, bike.ring_largest, bike.ring_count, bike.ring_spacing) = (30.0, 46.0, 2.0, 8.0);
        (bike.cog_smallest, bike.cog_largest, bike.cog_count, bike.cog_spacing) = (11.0, 34.0, 11.0, 3.8);
        (bike.inner_lowest, bike.inner_highest) = (1.0, 1.0);
        (bike.rear_radius, bike.crank_length, bike.chainstay, bike.chain_growth) = (350.0, 175.0, 430.0, 0.0);
        (bike.front_chainline, bike.rear_chainline) = (46.0, 45.0);
        bike
    }

    #[test]
    fn what_two_rings_and_a_cassette_make() {
        let quantities = evaluate(&bike(), None);
        let of = |quantity: Quantity| quantities[quantity as usize];
        let tau = std::f64::consts::TAU;
        assert!((of(Quantity::LowestDevelopment) - 30.0 / 34.0 * 350.0 * tau).abs() < 1e-9);
        assert!((of(Quantity::HighestDevelopment) - 46.0 / 11.0 * 350.0 * tau).abs() < 1e-9);
        assert!((of(Quantity::LowestGainRatio) - 30.0 / 34.0 * 2.0).abs() < 1e-12);
        assert!((of(Quantity::GearRange) - 46.0 * 34.0 / 11.0 / 30.0).abs() < 1e-12);
        assert_eq!(of(Quantity::CapacityNeeded), 39.0);
        // Outer ring (50 mm) to innermost cog (45 − 19 = 26 mm): 24 mm; inner ring (42) to outermost cog (64): 22 mm.
        assert!((of(Quantity::ChainlineAngle) - (24.0_f64 / 430.0).atan()).abs() < 1e-12);
        assert!(of(Quantity::SteepestClimb).is_nan(), "nobody has told what rider and bike weigh");
    }

    #[test]
    fn growth_that_somebody_told_is_more_chain() {
        let (plain, mut sprung) = (bike(), bike());
        sprung.chain_growth = 12.7 * 3.0;
        let [plain, sprung] = [plain, sprung].map(|bike| chain_needed(&bike, None));
        assert!((sprung - plain - 3.0).abs() < 1e-12);
    }
}
