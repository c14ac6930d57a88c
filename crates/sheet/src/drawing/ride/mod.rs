//! The suspension drawn: charts over the travel, the linkage in motion, the axle's path enlarged.
//!
//! In reading order: one curve (`chart`) by way of the charting library (`backend`); a link's outline (`body`), the chain's
//! way (`chain`), the linkage (`linkage`), the axle's path (`path`), both on one figure (`figure`).

mod backend;
mod body;
pub(crate) mod chain;
mod chart;
mod figure;
mod linkage;
mod path;

pub use self::chart::chart_svg;
pub use self::figure::linkage_svg;

#[cfg(test)]
mod tests;
