//! Inspection: the questions that no formula answers, by protocol.
//!
//! A [`Protocol`] is a short list of observations, each with how to look and what every answer means; it is data, in
//! `data/protocols/`, one file a protocol. [`judge`] walks it with what somebody found and returns a [`Judgement`]: one of four
//! grades, why, what to do, what to write down, every caution, and what was not checked. [`given`] is what somebody found, as they type
//! it; [`script`] a file of answers; [`inspected`] an inspection as a question
//! carries it; [`mark`] what is drawn on its photos; [`suggest`] the protocols that a rider's words suggest.
//!
//! Three rules hold whatever a protocol says, and tests walk every protocol exhaustively for them:
//!
//! - The grade is that of the worst answer still possible. "Cannot tell", a question that was not asked and a reading whose tolerance reaches
//!   across a limit all leave several answers possible, and never the milder one alone.
//! - A worse observation never leads to a milder grade.
//! - What carries, steers or stops the bike is never merely cosmetic without every observation that allows it, the last of them that
//!   somebody qualified had the part in hand. The judgement is that person's: the program clears nothing.

pub mod given;
pub mod grade;
pub mod inspected;
pub mod mark;
pub mod protocol;
pub mod script;
pub mod suggest;
pub mod walk;

pub use given::{Given, Observation};
pub use grade::Grade;
pub use inspected::Inspected;
pub use protocol::{Protocol, Step, protocol, protocols};
pub use walk::{Judgement, judge};
