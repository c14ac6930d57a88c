//! The four grades of an inspection.

use serde::{Deserialize, Serialize};

/// How an inspection comes out; the greater, the worse.
///
/// ```
/// use knockon_trade::inspection::Grade;
/// assert!(Grade::DoNotRide > Grade::Inspect && Grade::Inspect > Grade::RideWithCheck);
/// assert_eq!(Grade::RideWithCheck.key(), "ride-with-check");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Nothing that was looked for was found; what is there is for the eye alone.
    Cosmetic,
    /// It may be used, and is looked at again at an interval.
    RideWithCheck,
    /// It is not used before somebody qualified has inspected it.
    Inspect,
    /// It is not used again before it was replaced or repaired by somebody who may.
    DoNotRide,
}

impl Grade {
    /// Every grade, mildest first.
    pub const ALL: [Grade; 4] = [Grade::Cosmetic, Grade::RideWithCheck, Grade::Inspect, Grade::DoNotRide];

    /// As files, addresses and JSON have it.
    pub fn key(self) -> &'static str {
        match self {
            Grade::Cosmetic => "cosmetic",
            Grade::RideWithCheck => "ride-with-check",
            Grade::Inspect => "inspect",
            Grade::DoNotRide => "do-not-ride",
        }
    }

    /// The grade of a key.
    pub fn of_key(key: &str) -> Option<Grade> {
        Grade::ALL.into_iter().find(|grade| grade.key() == key)
    }

    /// In words, for a heading.
    pub fn words(self) -> &'static str {
        match self {
            Grade::Cosmetic => "Cosmetic",
            Grade::RideWithCheck => "Ride with a check",
            Grade::Inspect => "Stop and have it inspected",
            Grade::DoNotRide => "Do not ride",
        }
    }
}
