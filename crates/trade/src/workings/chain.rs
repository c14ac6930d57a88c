//! The chain: how long it has to be, what the derailleur takes up, how far it is worn.

use knockon_engine::drivetrain::chain_length::{self, even};
use knockon_engine::quantity::{Quantity, evaluate};

use serde::Serialize;

use super::{Given, known};

/// The chain before and after. Pieces are half an inch each.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChainWork {
    /// Pieces that the chain has after the changes.
    pub pieces: Option<f64>,
    /// Pieces that largest ring and largest cog ask for, before and after, not rounded.
    pub needed: [Option<f64>; 2],
    /// The same, rounded up to an even number.
    pub order: [Option<f64>; 2],
    /// Growth of the chain's way over the travel that is counted in, mm; `None` where nobody knows.
    pub growth: Option<f64>,
    /// Whether growth is only a placeholder, so that the pieces are too few for certain use.
    pub growth_is_untold: bool,
    /// Teeth that the derailleur has to take up, before and after.
    pub capacity_needed: [Option<f64>; 2],
    /// Teeth that it takes up.
    pub capacity: Option<f64>,
    /// Largest cog, and the largest that the derailleur takes.
    pub largest_cog: Option<f64>,
    /// See above.
    pub largest_cog_allowed: Option<f64>,
    /// Wear, percent of a new chain's length, and ±.
    pub wear: Option<(f64, f64)>,
}

/// Wear at which a chain is replaced, percent, by the number of cogs: narrow chains earlier.
///
/// Source: workshop pages name 0.5 % for 11 cogs and more, 0.75 % for 5 to 10, 1 % for one (from memory, unverified).
///
/// ```
/// use knockon_trade::workings::chain::replaced_at;
/// assert_eq!([replaced_at(Some(12)), replaced_at(Some(9)), replaced_at(Some(1)), replaced_at(None)], [0.5, 0.75, 1.0, 0.5]);
/// ```
pub fn replaced_at(cogs: Option<usize>) -> f64 {
    match cogs {
        Some(1) => 1.0,
        Some(2..=10) => 0.75,
        _ => 0.5,
    }
}

pub(super) fn chain(given: &Given<'_>) -> Option<ChainWork> {
    let [before, after] = given.bikes;
    let of = |quantity: Quantity| {
        [(before, given.linkages[0]), (after, given.linkages[1])]
            .map(|(bike, linkage)| known(evaluate(bike, linkage)[quantity as usize]))
    };
    let untold =
        |key: &str| given.build.inputs.iter().any(|input| input.key == key && input.is_placeholder());
    let growth_is_untold = given.linkages[1].is_none() && untold("drivetrain.chain_growth");
    let needed = of(Quantity::ChainNeeded);
    let worn = given.fitting.figure("drivetrain.chain_24");
    let wear = worn.map(|length| {
        let new = chain_length::wear(length.value, WORN_OVER) * 100.0;
        (new, 2.0 * length.uncertainty / (WORN_OVER * knockon_engine::suspension::chain::PITCH) * 100.0)
    });
    let work = ChainWork {
        pieces: known(after.chain_pieces),
        needed,
        order: needed.map(|pieces| pieces.map(even)),
        growth: if given.linkages[1].is_some() {
            of(Quantity::ChainGrowth)[1]
        } else {
            known(after.chain_growth)
        },
        growth_is_untold,
        capacity_needed: of(Quantity::CapacityNeeded),
        capacity: known(after.derailleur_capacity),
        largest_cog: known(after.cog_largest),
        largest_cog_allowed: known(after.derailleur_cog_most),
        wear,
    };
    let told = work.needed[1].is_some() || work.wear.is_some() || work.capacity_needed[1].is_some();
    told.then_some(work)
}

/// Pieces that a worn chain is measured over: 12 inch.
const WORN_OVER: f64 = 24.0;
