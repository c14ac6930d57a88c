//! The suspension drawn: charts over the travel, the linkage in motion, the axle's path enlarged.
//!
//! In reading order: one curve (`chart`) by way of the charting library (`backend`); a link's outline (`body`), the linkage
//! (`linkage`), the axle's path (`path`), both on one figure (`figure`); the
//! whole bike on the ground (`standing`).

pub(super) mod backend;
mod body;
mod chart;
mod figure;
mod linkage;
mod path;
mod standing;

pub use self::chart::chart_svg;
pub(super) use self::chart::{SIZE as CHART, compose as chart_scene};
pub use self::figure::linkage_svg;
pub(super) use self::figure::within as linkage_within;
pub use self::standing::standing_svg;

#[cfg(test)]
mod tests;
