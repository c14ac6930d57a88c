//! What a gear is worth: ratio, development, gain ratio, speed, and how gears follow each other.

use std::f64::consts::PI;

use crate::Scalar;

/// One gear: a ring, a cog, and what a hub gear or gearbox makes of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gear<T> {
    /// Teeth of the ring.
    pub ring: T,
    /// Teeth of the cog.
    pub cog: T,
    /// Turns that a hub gear or gearbox gives the wheel (or the ring) for one of its input; 1 without one.
    pub inner: T,
}

impl<T: Scalar> Gear<T> {
    /// Turns of the rear wheel for one of the cranks: `ring/cog · inner`. Exact. Source: definition, common practice.
    ///
    /// ```
    /// use knockon_engine::drivetrain::gear::Gear;
    /// assert_eq!(Gear { ring: 48.0, cog: 16.0, inner: 1.0 }.ratio(), 3.0);
    /// assert_eq!(Gear { ring: 48.0, cog: 16.0, inner: 0.75 }.ratio(), 2.25);
    /// ```
    pub fn ratio(&self) -> T {
        self.ring / self.cog * self.inner
    }
}

/// Way that the bike goes in one turn of the cranks, mm: ratio times the rolling circumference of the rear wheel of this
/// outer radius, mm. A loaded tyre rolls a little less far, about 1 % (from memory, unverified). Source: definition, common practice.
///
/// ```
/// use knockon_engine::drivetrain::gear::development;
/// // 48 × 16 on a wheel of 27 inch: 81 inch of gear, 6.4635 m.
/// assert!((development(3.0_f64, 27.0 * 25.4 / 2.0) / 1000.0 - 6.463_513).abs() < 1e-6);
/// ```
pub fn development<T: Scalar>(ratio: T, wheel_radius: T) -> T {
    ratio * wheel_radius * (2.0 * PI)
}

/// Way of the bike over way of the foot, a plain number: `ratio · wheel radius / crank length`, both mm. It takes the crank into
/// account, which development leaves out. Source: definition after S. Brown (attribution from memory).
///
/// ```
/// use knockon_engine::drivetrain::gear::gain_ratio;
/// assert!((gain_ratio(53.0_f64 / 19.0, 340.0, 170.0) - 5.58).abs() < 0.005);
/// ```
pub fn gain_ratio<T: Scalar>(ratio: T, wheel_radius: T, crank_length: T) -> T {
    ratio * wheel_radius / crank_length
}

/// Speed, m/s, of a development, mm, at a cadence, turns of the cranks per second.
///
/// ```
/// use knockon_engine::drivetrain::gear::speed;
/// // 6.67 m at 60 turns a minute: 24.012 km/h, the test speed of 16 CFR 1512.5 (wording from memory).
/// assert!((speed(6670.0_f64, 1.0) * 3.6 - 24.012).abs() < 1e-9);
/// ```
pub fn speed<T: Scalar>(development: T, cadence: T) -> T {
    development * cadence * 1e-3
}

/// From one gear to another, as a part of the first: 0.1 is a step of 10 %. Source: definition, common practice.
///
/// ```
/// assert_eq!(knockon_engine::drivetrain::gear::step(2.0_f64, 2.5), 0.25);
/// ```
pub fn step<T: Scalar>(ratio: T, next: T) -> T {
    next / ratio - 1.0
}

/// Highest gear over lowest, a plain number: 5.1 is what the trade calls 510 %. Source: definition, common practice.
///
/// ```
/// // A cassette from 10 to 51 teeth behind one ring.
/// let range = knockon_engine::drivetrain::gear::range(32.0_f64 / 51.0, 32.0 / 10.0);
/// assert!((range - 5.1).abs() < 1e-12);
/// ```
pub fn range<T: Scalar>(lowest: T, highest: T) -> T {
    highest / lowest
}

/// Every gear of a bike: rings by cogs by inner gears, in the order in which they are given.
///
/// ```
/// use knockon_engine::drivetrain::gear::gears;
/// assert_eq!(gears(&[34.0, 50.0], &[11.0, 13.0, 15.0], &[1.0]).count(), 6);
/// ```
pub fn gears<'a>(
    rings: &'a [f64],
    cogs: &'a [f64],
    inner: &'a [f64],
) -> impl Iterator<Item = Gear<f64>> + 'a {
    rings.iter().flat_map(move |&ring| {
        cogs.iter().flat_map(move |&cog| inner.iter().map(move |&inner| Gear { ring, cog, inner }))
    })
}

/// How many of these ratios a rider cannot tell from the next lower one: those less than `same` above it, as a part (0.03 is
/// 3 %). NaN counts as nothing. The order does not matter.
///
/// ```
/// use knockon_engine::drivetrain::gear::overlapping;
/// assert_eq!(overlapping(&[1.0, 1.5, 1.51, 2.0], 0.03), 1);
/// ```
pub fn overlapping(ratios: &[f64], same: f64) -> usize {
    let mut sorted: Vec<f64> = ratios.iter().copied().filter(|ratio| ratio.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    sorted.windows(2).filter(|pair| step(pair[0], pair[1]) < same).count()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// 16 CFR 1512.5, footnote 3: a development of 6.67 m is 21.9 ft.
    #[test]
    fn the_only_published_pair_of_developments() {
        let [metres, feet] = [6.67_f64, 21.9 * 0.3048];
        assert!((metres - feet).abs() < 0.05 * 0.3048);
        // And 52 × 14 on a roll-out of 2.135 m is 7.93 m, the old limit for juniors on the road (from memory).
        let radius = 2135.0 / (2.0 * PI);
        assert!((development(52.0 / 14.0, radius) / 1000.0 - 7.93).abs() < 0.005);
    }

    /// One inch of gear is 0.079 796 453 4 m (arithmetic: π · 25.4 mm).
    #[test]
    fn an_inch_of_gear() {
        assert!((development(1.0_f64, 12.7) - 79.796_453_4).abs() < 1e-7);
    }

    #[test]
    fn every_gear_once() {
        let all: Vec<Gear<f64>> = gears(&[22.0, 32.0], &[11.0, 34.0], &[0.75, 1.0, 4.0 / 3.0]).collect();
        assert_eq!(all.len(), 12);
        assert_eq!(all[0], Gear { ring: 22.0, cog: 11.0, inner: 0.75 });
        assert!(all.iter().enumerate().all(|(at, gear)| !all[..at].contains(gear)));
    }

    proptest! {
        /// Work at the foot is work at the road: force times way on both sides, whatever the gear.
        #[test]
        fn gain_ratio_keeps_energy(ring in 20.0..60.0, cog in 9.0..52.0, radius in 200.0..380.0, crank in 90.0..190.0) {
            let ratio = Gear { ring, cog, inner: 1.0 }.ratio();
            let foot = 2.0 * PI * crank;
            prop_assert!((foot * gain_ratio(ratio, radius, crank) - development(ratio, radius)).abs() < 1e-6);
        }

        #[test]
        fn a_larger_cog_is_a_lower_gear(ring in 20.0..60.0, cog in 9.0..50.0, more in 1.0..5.0) {
            let gear = |cog| Gear { ring, cog, inner: 1.0 }.ratio();
            prop_assert!(gear(cog + more) < gear(cog));
        }
    }
}
