//! Limits: each with a margin that is positive when the limit is kept; in millimetres, where a limit does not say otherwise.

use std::cmp::Ordering;

use crate::Scalar;
use crate::bike::{Bike, Parameter};
use crate::cockpit::steerer_needed;
use crate::drivetrain::quantities::{capacity, chain_needed};
use crate::suspension::linkage::Linkage;
use crate::suspension::rear::{highest, stroke};

/// A limit that a change can touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Requirement {
    /// The fork is not longer than the frame's maker permits.
    AxleToCrownMost,
    /// The fork is not shorter than the frame's maker permits.
    AxleToCrownLeast,
    /// The steerer is long enough for what is stacked on it.
    SteererLength,
    /// No more spacers below the stem than the fork's maker permits.
    SpacersBelow,
    /// The stem's bar clamp and the bar have the same diameter.
    BarClamp,
    /// The front tyre keeps its distance from fork and mudguard.
    FrontClearance,
    /// The rear tyre keeps its distance from the frame.
    RearClearance,
    /// The shock's stroke is no longer than the frame's maker permits.
    ShockStroke,
    /// With the rear suspension fully compressed, tyre and links keep their distance from the frame.
    BottomClearance,
    /// The derailleur takes up what lies between the tightest and the slackest gear, teeth.
    Capacity,
    /// The derailleur goes around the largest cog, teeth.
    LargestCog,
    /// The chain reaches around the largest ring and the largest cog, pieces.
    ChainLength,
}

impl Requirement {
    /// Every requirement, in the order of [`margins`].
    pub const ALL: &'static [Requirement] = &[
        Requirement::AxleToCrownMost,
        Requirement::AxleToCrownLeast,
        Requirement::SteererLength,
        Requirement::SpacersBelow,
        Requirement::BarClamp,
        Requirement::FrontClearance,
        Requirement::RearClearance,
        Requirement::ShockStroke,
        Requirement::BottomClearance,
        Requirement::Capacity,
        Requirement::LargestCog,
        Requirement::ChainLength,
    ];
    /// How many there are.
    pub const COUNT: usize = Requirement::ALL.len();

    /// Whether some margin of a bike without a linkage reads a parameter: the tolerance of all others can be left out where only
    /// margins are wanted.
    pub fn reads(parameter: Parameter) -> bool {
        use Parameter as P;
        matches!(
            parameter,
            P::AxleToCrown
                | P::AxleToCrownLeast
                | P::AxleToCrownMost
                | P::LowerStack
                | P::UpperStack
                | P::HeadTube
                | P::SteererLength
                | P::SpacersBelow
                | P::SpacersAbove
                | P::SpacersAllowed
                | P::StemClampHeight
                | P::TopCapGap
                | P::StemBarClamp
                | P::BarClamp
                | P::FrontClearance
                | P::RearClearance
                | P::FrontRadius
                | P::RearRadius
                | P::FrontTyreWidth
                | P::RearTyreWidth
                | P::SectionRatio
                | P::ShockStroke
                | P::ShockSpacer
                | P::ShockStrokeMost
                | P::RearBottomClearance
                | P::RearTravel
                | P::RearAxleLift
                | P::BottomBracketDrop
                | P::RingSmallest
                | P::RingLargest
                | P::CogSmallest
                | P::CogLargest
                | P::DerailleurCapacity
                | P::DerailleurCogMost
                | P::ChainPieces
                | P::ChainGrowth
                | P::Chainstay
        )
    }
}

/// The figures that the limits themselves carry, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowances {
    /// Most difference between a bar's and a clamp's diameter that still counts as the same size.
    pub same_clamp: f64,
    /// Least gap around a tyre.
    pub tyre_gap: f64,
    /// Least gap between tyre, links and frame with the rear suspension fully compressed.
    pub bottom_gap: f64,
}

/// Margin of every [`Requirement`], mm (teeth and pieces of chain where it says so); NaN where the bike does not suffice.
///
/// A lower headset part that grew by some millimetres lengthens the fork by as much, as far as the frame is concerned,
/// so the axle-to-crown margins count it. A tyre's growth is the larger of its growth in radius and in half its width,
/// because nobody said where the smallest gap is. At full compression the axle's further rise is counted whole for the same
/// reason: tyre and links come nearer to the frame by that at most.
pub fn margins<T: Scalar>(
    (before, linkage_before): (&Bike<T>, Option<&Linkage<T>>),
    (after, linkage_after): (&Bike<T>, Option<&Linkage<T>>),
    allow: &Allowances,
) -> [T; Requirement::COUNT] {
    let length = after.axle_to_crown + (after.lower_stack - before.lower_stack);
    let clearance = |gap: T, radius: (T, T), width: (T, T)| {
        let (up, out) = (radius.1 - radius.0, (width.1 - width.0) * 0.5);
        // A wheel known by its radius alone has no width to compare: its growth is NaN and compares with nothing.
        let growth = if up.partial_cmp(&out) == Some(Ordering::Less) { out } else { up };
        gap - growth - allow.tyre_gap
    };
    [
        after.axle_to_crown_most - length,
        length - after.axle_to_crown_least,
        after.steerer_length - steerer_needed(after),
        after.spacers_allowed - after.spacers_below,
        -(after.stem_bar_clamp - after.bar_clamp).abs() + allow.same_clamp,
        clearance(
            after.front_clearance,
            (before.front_radius, after.front_radius),
            (before.front_tyre_width, after.front_tyre_width),
        ),
        clearance(
            after.rear_clearance,
            (before.rear_radius, after.rear_radius),
            (before.rear_tyre_width, after.rear_tyre_width),
        ),
        after.shock_stroke_most - stroke(after),
        after.rear_bottom_clearance
            - (highest(after, linkage_after) - highest(before, linkage_before))
            - (after.rear_radius - before.rear_radius)
            - allow.bottom_gap,
        after.derailleur_capacity - capacity(after),
        after.derailleur_cog_most - after.cog_largest,
        after.chain_pieces - chain_needed(after, linkage_after),
    ]
}

/// How a limit comes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// The margin is at least its tolerance.
    Fits,
    /// The tolerance reaches across the limit.
    MeasureFirst,
    /// Something needed is unknown.
    CannotSay,
    /// The margin is negative by more than its tolerance.
    DoesNotFit,
}

impl Outcome {
    /// Judges a margin `m ± u`: fits when `m − u ≥ 0`, does not fit when `m + u < 0`, otherwise measure first. A margin
    /// that could not be computed cannot be judged: it is never guessed into a "fits".
    ///
    /// ```
    /// use knockon_engine::requirement::Outcome;
    /// assert_eq!(Outcome::judge(2.0, 1.0), Outcome::Fits);
    /// assert_eq!(Outcome::judge(0.5, 1.0), Outcome::MeasureFirst);
    /// assert_eq!(Outcome::judge(-2.0, 1.0), Outcome::DoesNotFit);
    /// assert_eq!(Outcome::judge(f64::NAN, 1.0), Outcome::CannotSay);
    /// ```
    pub fn judge(margin: f64, plus_minus: f64) -> Outcome {
        if margin - plus_minus >= 0.0 {
            Outcome::Fits
        } else if margin + plus_minus < 0.0 {
            Outcome::DoesNotFit
        } else if margin.is_finite() && plus_minus.is_finite() {
            Outcome::MeasureFirst
        } else {
            Outcome::CannotSay
        }
    }
}
