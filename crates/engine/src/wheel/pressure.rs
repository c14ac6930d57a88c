//! A tyre pressure to begin with, and the limits of tyre and rim, which win over it.

use crate::suspension::spring::{BAR, POUND_PER_INCH};
use crate::{Scalar, all_above_zero};

/// One pound-force per square inch, bar: [`POUND_PER_INCH`] over 25.4 mm. Source: NIST SP 811, appendix B.
pub const POUND_PER_SQUARE_INCH: f64 = POUND_PER_INCH / 25.4 / BAR;
/// One pound-force, N. Source: NIST SP 811, appendix B.
const POUND: f64 = POUND_PER_INCH * 25.4;

/// Highest pressure of a tyre on a road rim without hooks, bar, whatever the tyre's own marking says. Source: ETRTO, as cited by
/// the trade (seen there; the standard itself was not).
pub const MOST_WITHOUT_HOOKS: f64 = 5.0;

/// Pressure, bar, at which a tyre drops by some 15 % of its height, for the load on the wheel, N, and the tyre's width, mm, both
/// above 0. A place to begin, not a limit: what the tyre and the rim allow goes through [`within`].
///
/// `p = 153.6·L/w^1.5785 − 7.1685` with `p` in lbf/in², `L` in lbf, `w` in mm, up to 37 mm; from there on the pressure falls as
/// `w^−1.5`, which is the law of [`super::tyre::load`] for the same share of the width. Source: D. Adams' fit, seen on a club's page
/// and in public code, of F. Berto's chart of measured tyres (J. Heine, "Optimizing Your Tire Pressure for Your Weight", Bicycle
/// Quarterly; its points were not readable). Range of the chart: 20 to 37 mm, 300 to 700 N, 700C, said to apply to other sizes;
/// rims of some 19 mm inside (the code's remark). Wider tyres are extrapolation.
///
/// Take it as ±0.7 bar: from 23 to 37 mm two other published fits of that chart are up to 0.45 bar (`600·L/w² + 0.75·w − 25`) and up
/// to 0.75 bar (`120·L/w^1.5`) off. The air-only model of [`super::tyre::pressure_for`] for 15 % of the height is 3 % below to
/// 11 % above up to 25 mm, and 20 to 58 % above from 28 to 37 mm: most where the pressure is low, as the casing then carries its part.
///
/// NaN where the fit has nothing left: less than some 20 N on 20 mm, 60 N from 37 mm on.
///
/// ```
/// use knockon_engine::wheel::pressure::{POUND_PER_SQUARE_INCH, suggestion};
/// // 100 lbf on 28 mm: 153.6 · 100 / 192.5 − 7.17 = 72.6 lbf/in², or 5.01 bar.
/// assert!((suggestion(444.822_f64, 28.0) / POUND_PER_SQUARE_INCH - 72.6).abs() < 0.1);
/// // 58.73 mm is 37 · 4^(1/3), so half of what 37 mm get: (153.6 · 100 / 298.9 − 7.17) / 2 = 22.1 lbf/in².
/// assert!((suggestion(444.822_f64, 58.734) / POUND_PER_SQUARE_INCH - 22.1).abs() < 0.1);
/// ```
pub fn suggestion<T: Scalar>(load: T, width: T) -> T {
    const FACTOR: f64 = 153.6;
    const POWER: f64 = 1.5785;
    const CASING: f64 = 7.1685;
    const WIDEST: f64 = 37.0;
    if !all_above_zero(&[load, width]) {
        return T::from(f64::NAN);
    }
    let beyond = width.re() > WIDEST;
    let in_chart = if beyond { T::from(WIDEST) } else { width };
    let mut pressure = (load * (FACTOR / POUND) / in_chart.powf(POWER) - CASING) * POUND_PER_SQUARE_INCH;
    if beyond {
        pressure *= (in_chart / width).powf(1.5);
    }
    if pressure.re() > 0.0 { pressure } else { T::from(f64::NAN) }
}

/// What made a pressure as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ruled {
    /// The suggestion keeps to both limits.
    Suggestion,
    /// It was too low: the lower limit.
    Least,
    /// It was too high: the upper limit.
    Most,
    /// The limits leave nothing: the lower one is above the upper one.
    Nothing,
    /// A number is not known.
    Unknown,
}

/// The suggestion between the limits of tyre and rim, all bar and at least 0, and what ruled. The limits always win.
///
/// `least` is the highest lower limit, `most` the lowest upper one, of tyre and rim together. Where there is none, say so with 0 or
/// infinity: one that is not known (NaN) could be anything, so that nothing can be told, NaN. NaN also where the limits contradict
/// each other, and for a suggestion that is infinite. The limit's own derivatives come along where it rules.
///
/// Source: common practice, no source.
///
/// ```
/// use knockon_engine::wheel::pressure::{Ruled, within};
/// assert_eq!(within(4.2, 3.0, 5.0), (4.2, Ruled::Suggestion));
/// assert_eq!(within(6.1, 3.0, 5.0), (5.0, Ruled::Most));
/// assert_eq!(within(2.2, 3.0, f64::INFINITY), (3.0, Ruled::Least));
/// assert_eq!(within(4.2, 5.5, 5.0).1, Ruled::Nothing);
/// assert_eq!(within(4.2, 3.0, f64::NAN).1, Ruled::Unknown);
/// ```
pub fn within<T: Scalar>(suggestion: T, least: T, most: T) -> (T, Ruled) {
    let (value, low, high) = (suggestion.re(), least.re(), most.re());
    if !(value.is_finite() && low >= 0.0 && high >= 0.0) {
        return (T::from(f64::NAN), Ruled::Unknown);
    }
    if low > high || low.is_infinite() {
        return (T::from(f64::NAN), Ruled::Nothing);
    }
    if value < low {
        (least, Ruled::Least)
    } else if value > high {
        (most, Ruled::Most)
    } else {
        (suggestion, Ruled::Suggestion)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::change::section_height;
    use crate::wheel::tyre::{design_rim, pressure_for};

    /// Wheel loads of the chart, lbf.
    const LOADS: [f64; 9] = [66.0, 77.0, 88.0, 100.0, 110.0, 121.0, 132.0, 143.0, 154.0];

    /// Source: 600·L/W² + 0.75·W − 25, "A Constant-Deflection Model for Road and Gravel Tire Pressure" (2026, seen as page text),
    /// there said to be within 2 lbf/in² of Berto's chart; 120·L·W^−1.5 from a public forum, 2013 (seen as page text).
    #[test]
    fn near_two_other_fits_of_the_same_chart() {
        for width in [23.0_f64, 25.0, 28.0, 32.0, 35.0, 37.0] {
            for load in LOADS {
                let other = (600.0 * load / (width * width) + 0.75 * width - 25.0) * POUND_PER_SQUARE_INCH;
                let third = 120.0 * load / width.powf(1.5) * POUND_PER_SQUARE_INCH;
                let ours = suggestion(load * POUND, width);
                assert!(
                    (ours - other).abs() < 0.45 && (ours - third).abs() < 0.75,
                    "{load} on {width}: {ours}"
                );
            }
        }
    }

    /// The shares that the documentation names.
    #[test]
    fn as_far_from_the_model_without_a_casing_as_documented() {
        for (width, least, most) in [
            (20.0, 0.97, 1.03),
            (23.0, 1.01, 1.08),
            (25.0, 1.03, 1.11),
            (28.0, 1.20, 1.32),
            (32.0, 1.33, 1.49),
            (37.0, 1.36, 1.58),
        ] {
            for load in LOADS {
                let height = section_height(width, 1.0);
                let (load, radius) = (load * POUND, 311.0 + height);
                let model = pressure_for(0.15 * height, load, width, design_rim(width), radius);
                let ratio = model / suggestion(load, width);
                assert!((least..most).contains(&ratio), "{load} N on {width}: {ratio}");
            }
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        for (load, width) in [(0.0, 28.0), (400.0, 0.0), (f64::NAN, 28.0), (400.0, f64::NAN), (20.0, 60.0)] {
            assert!(suggestion(load, width).is_nan());
        }
        for (least, most) in
            [(f64::NAN, 5.0), (3.0, f64::NAN), (6.0, 5.0), (f64::INFINITY, f64::INFINITY), (-1.0, 5.0)]
        {
            assert!(within(4.0, least, most).0.is_nan());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn more_load_needs_more_and_more_width_less(load in 300.0..800.0, width in 20.0..70.0_f64) {
            prop_assert!(suggestion(load * 1.01, width) > suggestion(load, width));
            prop_assert!(suggestion(load, width * 1.01) < suggestion(load, width));
        }

        #[test]
        fn limits_win(suggested in 0.0..15.0_f64, least in 0.0..8.0_f64, more in 0.0..8.0_f64) {
            let (value, ruled) = within(suggested, least, least + more);
            prop_assert!(least <= value && value <= least + more);
            prop_assert_eq!(ruled == Ruled::Suggestion, value == suggested);
        }
    }
}
