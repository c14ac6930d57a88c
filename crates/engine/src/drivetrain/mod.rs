//! The drivetrain: what a gear does to a bike, how the chain lies and how long it has to be, what it pulls and what it loses.
//!
//! - [`gear`]: ratio, development, gain ratio, speed, steps and range;
//! - [`chainline`]: where rings and cogs lie across the bike, and how askew the chain runs;
//! - [`chain_length`]: how many pieces of chain, how much a derailleur has to take up, wear;
//! - [`layout`]: tension, wraps and losses of one way to lay the chain, to compare it with another.
//!
//! Rings and cogs are counted in teeth; lengths are mm, forces N.

pub mod chain_length;
pub mod chainline;
pub mod gear;
pub mod layout;
pub(crate) mod quantities;
