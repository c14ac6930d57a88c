//! Who does something, and when.

use jiff::Timestamp;
use rusqlite::Row;

use crate::Result;
use crate::error::broken;

/// Who does something, and when. The desk keeps whole milliseconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// When.
    pub at: Timestamp,
    /// Who, by the name that is shown.
    pub who: String,
}

impl Stamp {
    /// Who it is when nobody gave a name.
    pub const UNNAMED: &'static str = "the desk";

    /// Now. This is the one place of the desk with a clock.
    pub fn now(who: impl Into<String>) -> Stamp {
        let now = Timestamp::now();
        // What is kept and read again is then the same.
        Stamp { at: Timestamp::from_millisecond(now.as_millisecond()).unwrap_or(now), who: who.into() }
    }

    pub(crate) fn millis(&self) -> i64 {
        self.at.as_millisecond()
    }

    /// From two columns of a row: milliseconds and name.
    pub(crate) fn read(row: &Row<'_>, at: usize) -> Result<Stamp> {
        Ok(Stamp { at: moment(row.get(at)?)?, who: row.get(at + 1)? })
    }
}

/// A moment as it is kept.
pub(crate) fn moment(millis: i64) -> Result<Timestamp> {
    Timestamp::from_millisecond(millis).map_err(|_| broken("a time out of range"))
}
