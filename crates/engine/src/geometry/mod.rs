//! Where the frame's points lie, how the bike stands on the ground, and how it steers.

pub mod frame;
pub mod point;
pub mod stance;
pub mod steering;

pub use frame::FramePoints;
pub use point::{FramePoint, GroundPoint};
pub use stance::Stance;
