//! Bolts and threads: how tight, how strong, how deep.
//!
//! What lives here, in reading order:
//!
//! - [`thread`]: diameters and areas of a 60° thread;
//! - [`tightening`]: torque and preload, and the friction between them;
//! - [`strength`]: property classes, what share of them a preload takes, what a load adds;
//! - [`engagement`]: how deep a bolt must go into its thread so as not to strip it.
//!
//! Lengths are millimetres, areas mm², forces newtons, torques N·m, stresses and strengths N/mm² (MPa). Where a number is out of
//! its range or unknown (NaN), the result is NaN. A part's own marking governs; this says what it comes to.

pub mod engagement;
pub mod strength;
pub mod thread;
pub mod tightening;

use crate::{Scalar, all_above_zero};

/// The result, or NaN where one of the numbers is not above 0 or unknown.
fn where_above_zero<T: Scalar>(numbers: &[T], result: impl FnOnce() -> T) -> T {
    if all_above_zero(numbers) { result() } else { T::from(f64::NAN) }
}
