//! What a record has where a starting point says where to begin.

use super::{Bar, StartingPoint, What};
use crate::record::Record;

/// A record's own figure beside a starting point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// What the record has, mm.
    pub value: f64,
    /// Its "±", two standard uncertainties, mm.
    pub pm: f64,
    /// By how much it has more than the starting point, mm.
    pub more: f64,
    /// "±" of that, two standard uncertainties, mm.
    pub more_pm: f64,
}

/// What a record has beside a starting point: none where it does not say, or says the length of another thing.
///
/// ```
/// use knockon_trade::{body::{beside, measured, starting_points}, record::parse};
/// let record = parse("bike", "[saddle]\nheight = { value = 735, tolerance = 2 }").unwrap().record;
/// let points = starting_points(&[measured("inseam 830 ± 0").unwrap()], None);
/// let found = beside(&points[0], &record).unwrap();
/// assert!((found.more - 2.11).abs() < 1e-9); // 735 − 0.883 · 830
/// ```
pub fn beside(point: &StartingPoint, record: &Record) -> Option<Beside> {
    let fact = |key: &str| record.fact(key).map(|fact| (fact.value, fact.uncertainty));
    let (value, uncertainty) = match point.what {
        What::SaddleHeight | What::CrankLength => fact(point.what.key())?,
        What::FlatBar if bar_of(record) == Bar::Flat => fact(point.what.key())?,
        What::DropBar if bar_of(record) == Bar::Drop => {
            let ((width, of_width), (inset, of_inset)) = (fact("bar.width")?, fact("bar.hand_inset")?);
            (width - 2.0 * inset, of_width.hypot(2.0 * of_inset))
        }
        What::PedalToSaddle | What::DropBar | What::FlatBar => return None,
    };
    let more_uncertainty = uncertainty.hypot(point.value.standard_uncertainty());
    Some(Beside {
        value,
        pm: 2.0 * uncertainty,
        more: value - point.value.value,
        more_pm: 2.0 * more_uncertainty,
    })
}

/// Hands of a drop bar rest further ahead of the clamp than this, mm: far from both 0 of a flat bar and the 60 mm and more of a
/// drop bar. Common practice, no source.
const DROP_REACH: f64 = 40.0;

/// Which kind of bar a record has: a drop bar tells how far ahead of the clamp the hands rest, and a silent record is taken for
/// one with a flat bar, as everywhere.
pub fn bar_of(record: &Record) -> Bar {
    match record.fact("bar.reach") {
        Some(reach) if reach.value > DROP_REACH => Bar::Drop,
        _ => Bar::Flat,
    }
}
