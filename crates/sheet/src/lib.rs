//! From findings to an answer: words, drawing, tables, notes, and the writers that put them out.
//!
//! What lives here: one description of the answer ([`sheet::Sheet`]), the drawing's finished content
//! ([`picture::Picture`]), the words, and one writer per format. What may not: geometry of bikes,
//! limits, parsing of records or changes (those are `engine` and `trade`), files, clocks, networks.

pub mod backwards;
pub mod compose;
pub mod drawing;
mod figure;
#[cfg(test)]
mod fixture;
pub mod html;
pub mod inspection;
pub mod json;
pub mod lettering;
pub mod markdown;
pub mod part;
pub mod picture;
mod printable;
pub mod report;
pub mod ride;
pub mod sheet;
pub mod text;
mod tie;
mod tone;
pub mod units;
