//! The wheel: what carries it on the ground and what holds its rim.
//!
//! What lives here, in reading order:
//!
//! - [`tyre`]: its width on a rim, how far it gives under a load, how far a turn rolls;
//! - [`pressure`]: a pressure to begin with, and the limits that it must keep to;
//! - [`spoke`]: lengths and angles of the spokes; [`tension`]: how tight they are.
//!
//! Lengths are millimetres, forces newtons, pressures of tyres bar above that of the atmosphere. Where a number is out of its range
//! or unknown (NaN), the result is NaN.

pub mod pressure;
pub(crate) mod quantities;
pub mod spoke;
pub mod tension;
pub mod tyre;
