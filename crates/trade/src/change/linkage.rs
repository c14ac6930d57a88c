//! The words of changes that speak of a record's own names: points of the linkage, places of its chip.
//!
//! A line is read without its record, so whether there is such a point is seen when the question is answered.

use super::normal;

/// Which way a point moves in the drawn pose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Axis {
    /// Level, forward positive.
    Forward,
    /// Upward positive.
    Up,
}

impl Axis {
    /// The word in a change.
    pub fn word(self) -> &'static str {
        match self {
            Axis::Forward => "forward",
            Axis::Up => "up",
        }
    }
}

/// What the phrase of a change says of a point: "point main pivot forward".
///
/// ```
/// use knockon_trade::change::{Axis, Change, parse};
/// let read = parse("point Main pivot up by -3").unwrap().change;
/// let Change::Point { name, axis, amount } = read else { panic!() };
/// assert_eq!((name.as_str(), axis, amount.value), ("main pivot", Axis::Up, -3.0));
/// ```
pub(super) fn point(phrase: &str) -> Option<(&str, Axis)> {
    let rest = phrase.strip_prefix("point ")?;
    [Axis::Forward, Axis::Up].into_iter().find_map(|axis| {
        let name = rest.strip_suffix(axis.word())?.strip_suffix(' ')?.trim();
        (!name.is_empty()).then_some((name, axis))
    })
}

/// The place that a line says a chip sits in: "chip low", "chip to low".
pub(super) fn chip(line: &str) -> Option<String> {
    let line = normal(&line.replace("->", " ").replace(['→', '='], " "));
    let rest = line.strip_prefix("chip")?;
    let rest = rest.strip_prefix(' ').unwrap_or(rest);
    let place = rest.strip_prefix("to ").unwrap_or(rest).trim();
    (rest.len() < line.len() && (rest.is_empty() || line.starts_with("chip "))).then(|| place.to_owned())
}
