//! Brakes: from the hand to the tyre, what stops a bike, how hot that gets, what is worn.
//!
//! What lives here, in reading order:
//!
//! - [`leverage`]: force and travel from the hand to the pads and on to the tyre;
//! - [`stop`]: decelerations at which a bike tips over or slides; [`distance`]: how far it goes until it stands;
//! - [`convection`]: what moving air takes; [`heat`]: a rotor as one lump of metal, what heats and what cools it;
//! - [`descent`]: the power that the brakes take on a way down; [`warming`]: the rotor's temperature on that way;
//! - [`wear`]: how much of a pad, rotor or rim is left.
//!
//! Lengths are millimetres, angles radians; ways down a road and areas that cool are in metres, as each item says.
//! Temperatures are kelvins.

pub mod convection;
pub mod descent;
pub mod distance;
pub mod heat;
pub mod leverage;
pub(crate) mod quantities;
pub mod stop;
pub mod warming;
pub mod wear;

use crate::Scalar;

/// The result where its numbers are such as exist; else NaN.
fn only_if<T: Scalar>(sound: bool, result: impl FnOnce() -> T) -> T {
    if sound { result() } else { T::from(f64::NAN) }
}

/// Whether all are numbers of at least 0.
fn none_negative<T: Scalar>(numbers: &[T]) -> bool {
    numbers.iter().all(|it| it.re() >= 0.0 && it.re().is_finite())
}
