//! The brakes' knock-ons, from the parameters of a bike.

use crate::Scalar;
use crate::bike::Bike;
use crate::quantity::{Quantities, Quantity};

use super::leverage::effective_radius;
use super::stop::Load;

/// Fills in what the bike suffices for; the rest stays NaN. `load` is the centre of mass of bike and rider on level ground.
pub(crate) fn put<T: Scalar>(bike: &Bike<T>, load: &Load<T>, quantities: &mut Quantities<T>) {
    let leverage = |rotor: T, wheel: T| effective_radius(rotor, bike.pad_height) / wheel;
    quantities[Quantity::FrontRotorLeverage as usize] = leverage(bike.front_rotor, bike.front_radius);
    quantities[Quantity::RearRotorLeverage as usize] = leverage(bike.rear_rotor, bike.rear_radius);
    quantities[Quantity::TipOver as usize] = load.tip_over(T::from(0.0));
}
