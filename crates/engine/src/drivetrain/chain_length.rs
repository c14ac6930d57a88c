//! How long the chain has to be, what a derailleur has to take up, and how far a chain has worn.
//!
//! A chain is counted in *pieces*: one pitch of half an inch each, inner and outer plates in turn, so that a closed chain with an
//! ordinary joining link has an even number of them.

use std::f64::consts::{PI, TAU};

use crate::Scalar;
use crate::suspension::chain::{PITCH, pitch_radius};

/// Pieces that are put to the shortest chain around the largest ring and the largest cog, so that it can be closed and the
/// cage is not stretched: 2, one inch. Common practice, no source; some makers ask for another number, and theirs wins.
pub const SPARE_PIECES: f64 = 2.0;

/// Length of a chain stretched around a ring and a cog, mm, their axles `centres` mm apart: two tangents, and on each wheel the
/// teeth that it covers times the pitch. NaN where the wheels overlap.
///
/// Source: the exact length of an open drive, as in Machinery's Handbook and ANSI B29.1 (attribution from memory).
///
/// ```
/// use knockon_engine::drivetrain::chain_length::around;
/// // Mott, Machine Elements in Mechanical Design, example 7-3: 65 and 17 teeth, 30 pitches apart; 102.9 pitches.
/// assert!((around(65.0_f64, 17.0, 30.0 * 12.7) / 12.7 - 102.9).abs() < 0.06);
/// ```
pub fn around<T: Scalar>(ring: T, cog: T, centres: T) -> T {
    let (large, small) = (pitch_radius(ring), pitch_radius(cog));
    if (centres - large - small).re() <= 0.0 {
        return T::from(f64::NAN);
    }
    let lean = ((large - small) / centres).asin();
    let covered = ring * (lean * 2.0 + PI) + cog * (-lean * 2.0 + PI);
    lean.cos() * centres * 2.0 + covered * (PITCH / TAU)
}

/// Distance between the axles, mm, at which a chain of `pieces` lies taut around ring and cog: the inverse of [`around`], by
/// Newton. NaN where there is none.
///
/// ```
/// use knockon_engine::drivetrain::chain_length::centres;
/// // Mott, example 7-3: a chain of 104 pitches puts the axles 15.272 inch apart.
/// assert!((centres(65.0, 17.0, 104.0) / 25.4 - 15.272).abs() < 0.005);
/// ```
pub fn centres(ring: f64, cog: f64, pieces: f64) -> f64 {
    let wanted = pieces * PITCH;
    // The usual short form of the same length, as a start.
    let mut centres = (wanted - f64::midpoint(ring, cog) * PITCH) / 2.0;
    for _ in 0..NEWTON_STEPS {
        let lean = ((pitch_radius(ring) - pitch_radius(cog)) / centres).asin();
        let slope = 2.0 * lean.cos();
        centres -= (around(ring, cog, centres) - wanted) / slope;
    }
    centres
}

/// The length is nearly straight in the distance; each step more than doubles the digits.
const NEWTON_STEPS: usize = 6;

/// Pieces that a chain needs whose loop is `length` mm long where it is longest: on the largest ring and the largest cog, the
/// suspension where the chain's way is longest. Not rounded: round up to the next even number, which [`even`] does.
///
/// ```
/// use knockon_engine::drivetrain::chain_length::{even, needed};
/// assert_eq!(needed(1397.0), 112.0); // 110 pieces around, and 2
/// assert_eq!(even(112.0), 112.0);
/// assert_eq!(even(112.3), 114.0);
/// ```
pub fn needed<T: Scalar>(length: T) -> T {
    length / PITCH + SPARE_PIECES
}

/// The next even number of pieces. A hair above an even number is still that number: the teeth's polygons are worth as much.
pub fn even(pieces: f64) -> f64 {
    ((pieces - POLYGON) / 2.0).ceil() * 2.0
}

/// 0.1 mm, the error of [`around`] by the teeth's polygons, in pieces.
const POLYGON: f64 = 0.1 / PITCH;

/// Teeth that a derailleur has to take up between the tightest and the slackest gear: spread of the rings and spread of the
/// cogs. Source: definition, common practice.
///
/// ```
/// use knockon_engine::drivetrain::chain_length::capacity;
/// assert_eq!(capacity([34.0, 50.0], [11.0, 34.0]), 39.0);
/// ```
pub fn capacity<T: Scalar>([least_ring, most_ring]: [T; 2], [least_cog, most_cog]: [T; 2]) -> T {
    most_ring - least_ring + most_cog - least_cog
}

/// How far a chain is worn, a plain number: what `pieces` of it measure, mm, over what they measured new, less 1. 0.005 is what
/// the trade calls half a per cent. Chains wear in their joints; the plates do not stretch.
///
/// ```
/// use knockon_engine::drivetrain::chain_length::wear;
/// // 24 pieces, 304.8 mm new: a sixteenth of an inch more is 0.52 %.
/// assert!((wear(304.8_f64 + 25.4 / 16.0, 24.0) - 0.0052).abs() < 1e-4);
/// ```
pub fn wear<T: Scalar>(length: T, pieces: T) -> T {
    length / (pieces * PITCH) - 1.0
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The short form of Machinery's Handbook and Shigley, equation 17-34, in pitches.
    fn short_form(large: f64, small: f64, centres: f64) -> f64 {
        2.0 * centres + f64::midpoint(large, small) + ((large - small) / TAU).powi(2) / centres
    }

    /// Mott, Machine Elements in Mechanical Design, 4th edition, example 7-3: 102.9 pitches, the exact form 102.956 09. Shigley,
    /// example 17-5 (17 and 34 teeth, 25 pitches; result from memory): 75.79, the exact form 75.793 103.
    #[test]
    fn worked_examples() {
        for (large, small, apart, short, exact) in
            [(65.0, 17.0, 30.0, 102.945_37, 102.956_09), (34.0, 17.0, 25.0, 75.792_818, 75.793_103)]
        {
            assert!((short_form(large, small, apart) - short).abs() < 1e-5);
            // Both published forms take arcs of the pitch circles' pitch for teeth: the same as here.
            let here = around(large, small, apart * PITCH) / PITCH;
            assert!((here - exact).abs() < 1e-5, "{here}");
        }
    }

    /// 145 rows of a published table of pitch diameters are within 0.005 mm of the formula that `around` rests on: eight of them.
    #[test]
    fn pitch_diameters_of_a_table_for_one_inch() {
        for (teeth, diameter) in [(10.0_f64, 41.0981), (16.0, 65.0981), (32.0, 129.5692), (52.0, 210.3398)] {
            assert!((2.0 * pitch_radius(teeth) - diameter).abs() < 1e-4);
        }
    }

    #[test]
    fn wheels_cannot_overlap() {
        assert!(around(50.0_f64, 34.0, 160.0).is_nan());
    }

    proptest! {
        #[test]
        fn centres_are_the_inverse(ring in 22.0..56.0, cog in 9.0..52.0, apart in 380.0..520.0) {
            let pieces = around(ring, cog, apart) / PITCH;
            prop_assert!((centres(ring, cog, pieces) - apart).abs() < 1e-8);
        }

        #[test]
        fn a_tooth_or_a_millimetre_more_is_a_longer_chain(ring in 22.0..56.0, cog in 9.0..50.0, apart in 390.0..500.0) {
            let length = around(ring, cog, apart);
            prop_assert!(around(ring + 1.0, cog, apart) > length);
            prop_assert!(around(ring, cog + 1.0, apart) > length);
            prop_assert!(around(ring, cog, apart + 1.0) > length);
        }

        #[test]
        fn an_even_number_that_is_enough(pieces in 80.0..130.0_f64) {
            let even = even(pieces);
            prop_assert!((even % 2.0).abs() < 1e-12 && even > pieces - 0.01 && even < pieces + 2.0);
        }
    }
}
