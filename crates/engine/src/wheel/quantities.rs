//! The wheels' knock-ons, from the parameters of a bike.

use crate::Scalar;
use crate::bike::Bike;
use crate::quantity::{Quantities, Quantity};
use crate::suspension::sag::GRAVITY;

use super::pressure::{suggestion, within};

/// Fills in what the bike suffices for; the rest stays NaN. The share of the load on the front wheel is read from the quantities.
pub(crate) fn put<T: Scalar>(bike: &Bike<T>, quantities: &mut Quantities<T>) {
    if !bike.rider_mass.re().is_finite() {
        return;
    }
    let load = (bike.bike_mass + bike.rider_mass + bike.kit_mass) * GRAVITY;
    let front = load * quantities[Quantity::FrontLoadShare as usize];
    let pressure = |load: T, width: T, least: T, most: T| {
        // A limit that nobody has told is none.
        let told = |limit: T, none: f64| if limit.re().is_nan() { T::from(none) } else { limit };
        let suggested = suggestion(load, width) * bike.pressure_rule;
        within(suggested, told(least, 0.0), told(most, f64::INFINITY)).0
    };
    quantities[Quantity::FrontPressureSuggested as usize] =
        pressure(front, bike.front_tyre_width, bike.front_pressure_least, bike.front_pressure_most);
    quantities[Quantity::RearPressureSuggested as usize] =
        pressure(load - front, bike.rear_tyre_width, bike.rear_pressure_least, bike.rear_pressure_most);
}
