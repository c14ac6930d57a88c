//! The suspension: where the rear linkage goes, what the chain and the brake do to it, what carries the rider.
//!
//! What lives here, in reading order:
//!
//! - [`linkage`]: bodies, joints and points of a rear linkage, and where they are at one shock compression;
//! - [`motion`]: solving for that position, exactly differentiated; [`network`]: its points from tape distances;
//!   `chip`: a pivot whose hole has moved in one of its parts;
//! - [`rear`]: the rear axle over the shock's stroke, from a linkage or, where nobody measured one, from travel and stroke;
//! - [`chain`]: ring, idlers and cog; [`effect`]: anti-squat and anti-rise;
//! - [`curve`]: everything that is drawn over the travel; [`traced`]: the same with its tolerance;
//! - [`spring`]: coil and air; [`sag`]: springs and weights in balance; [`ride`]: what that makes of the quantities.
//!
//! Compression is that of the shock, mm, counted from its full extension and positive when it is shorter.

pub mod chain;
mod chip;
pub mod curve;
pub mod effect;
pub mod linkage;
pub mod motion;
pub mod network;
pub(crate) mod placed;
pub mod rear;
pub mod ride;
pub mod sag;
pub mod spring;
pub mod traced;
