//! Numbers in, numbers out: what a bike's measures say about its geometry and its rider's position, what a
//! change knocks on to, and how sure that is.
//!
//! What lives here, in reading order:
//!
//! - [`bike`]: the parameters of one bike, generic over the scalar;
//! - [`geometry`]: the frame's points, the pose on the ground, steering geometry;
//! - [`cockpit`]: stem, bar and hands; [`rider`]: contact points and joint angles, where to begin from body measures;
//! - [`drivetrain`]: gears and chain; [`road`]: what it takes to ride; [`brake`]: from the hand to the tyre, how fast it stops, how hot it gets;
//! - [`wheel`]: tyres, pressure, spokes; [`fastener`]: what a torque does to a bolt;
//! - [`suspension`]: the rear linkage through its travel, chain, springs, sag;
//! - [`quantity`]: every quantity that can be a knock-on, and their joint evaluation;
//! - [`requirement`]: limits and their margins; [`press_fit`]: what holds a pressed part; [`change`]: what one step does to a bike;
//! - [`comparison`]: before and after; [`tolerance`]: first- and second-order propagation, by identity of the inputs;
//! - [`attribution`]: which change did what; [`chart`]: solving and auditing a geometry chart;
//! - [`search`]: backwards, from what is wanted to the parts that give it.
//!
//! What may not: files, clocks, threads, randomness, text for people. Lengths are millimetres, angles radians.
//! Axes: x forward, y up, z to the rider's right; angles counter-clockwise seen from the right, except the
//! trade's own head and seat angle, which are measured from the ground. Everything is generic over
//! [`Scalar`], so that the same formula gives values (`f64`) and exact derivatives (dual numbers).

pub mod attribution;
pub mod bike;
pub mod brake;
pub mod change;
pub mod chart;
pub mod cockpit;
pub mod comparison;
pub mod drivetrain;
pub mod fastener;
pub mod geometry;
mod named;
pub mod press_fit;
pub mod quantity;
pub mod requirement;
pub mod rider;
pub mod road;
pub mod search;
pub mod suspension;
pub mod tolerance;
pub mod wheel;

use num_dual::DualNum;

/// A number that formulas are written for: `f64`, or a dual number that carries exact derivatives.
pub trait Scalar: DualNum<Primitive = f64> + Copy {}
impl<T: DualNum<Primitive = f64> + Copy> Scalar for T {}

/// Whether all numbers are known and above 0.
fn all_above_zero<T: Scalar>(numbers: &[T]) -> bool {
    numbers.iter().all(|it| it.re() > 0.0 && it.re().is_finite())
}
