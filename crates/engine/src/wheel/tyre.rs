//! A tyre on its rim and under its load.
//!
//! The casing is taken as a skin that is round, does not stretch and resists no bending: air alone carries the load. So thick or
//! reinforced tyres stand higher than this says, and a tread that is not round is out of range.

use std::f64::consts::{PI, SQRT_2, TAU};

use crate::suspension::spring::BAR;
use crate::{Scalar, all_above_zero};

/// How much wider a tyre gets for every millimetre of the rim's inner width, mm per mm.
///
/// Source: derived. A round casing of fixed length, `w·θ` with `θ = π − asin(i/w)`, has the slope `1/(sin θ − θ·cos θ)`: 0.37 on a
/// rim of 55 % of the tyre's width, 0.40 at 65 %, 0.44 at 75 %. The trade's rule is 0.4 as well (common practice, no source). The few
/// measured tyres that were found published say 0.6 to 1.0.
pub const WIDTH_PER_RIM: f64 = 0.4;
/// Largest drop, as a share of the tyre's width, for which [`load`] was compared with the whole cross-section.
pub const MOST_DROP: f64 = 0.4;

/// Inner width of the rim that a tyre's marking holds for, mm, for a marked width, mm, above 0.
///
/// 65 % below 30 mm, 55 % from there on; the rule jumps by 3 mm at 30. Source: ISO 5775-1 (older edition, as summarised in public
/// encyclopaedias). Newer editions have tables instead; tyres that are marked by them were measured on rims some millimetres wider
/// (from memory, unverified).
///
/// ```
/// use knockon_engine::wheel::tyre::design_rim;
/// assert!((design_rim(20.0_f64) - 13.0).abs() < 1e-12); // 65 %
/// assert!((design_rim(60.0_f64) - 33.0).abs() < 1e-12); // 55 %
/// ```
pub fn design_rim<T: Scalar>(marked: T) -> T {
    if !all_above_zero(&[marked]) {
        return T::from(f64::NAN);
    }
    marked * if marked.re() < 30.0 { 0.65 } else { 0.55 }
}

/// Width of an inflated tyre, mm, from its marked width and the inner width of its rim, mm, both above 0: the marked width on
/// [`design_rim`], and [`WIDTH_PER_RIM`] more for every millimetre that the rim is wider.
///
/// Within 0.3 mm of a round casing of fixed length for rims up to 5 mm off the design rim. Not in that: makers' tolerances
/// (±1 mm or more), stretching in the first weeks, and the rim that the marking was measured on (see [`design_rim`]), which is worth
/// a millimetre. A calliper is better.
///
/// ```
/// use knockon_engine::wheel::tyre::inflated_width;
/// assert!((inflated_width(40.0_f64, 22.0) - 40.0).abs() < 1e-12); // the design rim: 55 %
/// assert!((inflated_width(40.0_f64, 27.0) - 42.0).abs() < 1e-12); // 5 mm · 0.4
/// ```
pub fn inflated_width<T: Scalar>(marked: T, rim_inner: T) -> T {
    if !all_above_zero(&[marked, rim_inner]) {
        return T::from(f64::NAN);
    }
    marked + (rim_inner - design_rim(marked)) * WIDTH_PER_RIM
}

/// Load, N, under which a tyre drops by this much: the inverse of [`drop`].
///
/// Drop (at least 0), inflated width, inner width of the rim (less than the tyre's; 0 for a tyre sewn round and glued on) and
/// outer radius of the tyre are mm; the pressure is bar, above 0. NaN also for a drop of more than [`MOST_DROP`] of the width.
///
/// `F = p·k·(4√2/3)·√R·δ^1.5·(1 − δ/(2w))`, the pressure times the area that is flat on the ground. `k`, the width of that area over
/// the drop at small drops, is `2·(s − θc)/(2 − 2c − s·θ)`, `θ = π − asin(i/w)`, `s = sin θ`, `c = cos θ`: π/2 without a rim, 2.6
/// at 65 %. Source: the power 1.5 for walls that do not stretch is that of J. Renart and P. Roura-Grabulosa, "Deformation of an
/// inflated bicycle tire when loaded", American Journal of Physics 87 (2019) 102, which found it on two tyres (seen as abstract);
/// `k` is derived here from arcs that meet the ground without a kink; the last factor is fitted to the exact cross-section, and is
/// within 1.5 % of it for rims of 0 to 75 % of the width and every drop allowed here.
///
/// A casing without stiffness is too soft: see [`super::pressure::suggestion`] for how far measured tyres are off. Where walls could
/// not bulge, the flat area would be the ellipse that the ground cuts off the unloaded tyre, which is less than half of this.
///
/// ```
/// use knockon_engine::wheel::tyre::load;
/// // Without a rim: 5 bar = 0.5 N/mm², π/2, √324 = 18, 4^1.5 = 8, 1 − 4/(2·32): 0.5 · 2π√2/3 · 18 · 8 · 0.9375
/// assert!((load(4.0_f64, 5.0, 32.0, 0.0, 324.0) - 199.930).abs() < 0.001);
/// ```
pub fn load<T: Scalar>(drop: T, pressure: T, width: T, rim_inner: T, radius: T) -> T {
    let known = all_above_zero(&[pressure, width, radius]) && rim_inner.re() >= 0.0;
    if !known || rim_inner.re() >= width.re() || !(0.0..=width.re() * MOST_DROP).contains(&drop.re()) {
        return T::from(f64::NAN);
    }
    pressure * per_pressure(width, rim_inner, radius) * shape(drop, width)
}

/// How much a tyre drops under a load (N, at least 0), mm: the inverse of [`load`], which has the formula, its source and its range.
///
/// NaN also where the drop would be more than [`MOST_DROP`] of the width, which is near the rim. At no load it is 0 without any
/// derivative, as the first newton moves a tyre infinitely fast in this model.
///
/// ```
/// use knockon_engine::wheel::tyre::drop;
/// assert!((drop(199.930_f64, 5.0, 32.0, 0.0, 324.0) - 4.0).abs() < 1e-4); // see `load`
/// assert!(drop(2e4_f64, 5.0, 32.0, 20.0, 324.0).is_nan()); // it would lie on the rim
/// ```
pub fn drop<T: Scalar>(load: T, pressure: T, width: T, rim_inner: T, radius: T) -> T {
    // From the left the steps settle to rounding in four; dual numbers take one more for every order of derivatives.
    const STEPS: usize = 8;
    let most = self::load(width * MOST_DROP, pressure, width, rim_inner, radius);
    if load.re() == 0.0 && most.re() > 0.0 {
        return T::from(0.0);
    }
    if !(load.re() > 0.0 && load.re() <= most.re()) {
        return T::from(f64::NAN);
    }
    let wanted = load / (pressure * per_pressure(width, rim_inner, radius));
    let mut drop = wanted.powf(2.0 / 3.0);
    for _ in 0..STEPS {
        let slope = drop.sqrt() * (-(drop / width) * 1.25 + 1.5);
        drop -= (shape(drop, width) - wanted) / slope;
    }
    drop
}

/// Pressure, bar, at which a tyre drops by this much (mm, above 0) under this load (N, above 0): [`load`] solved for it, with the same
/// source and range.
///
/// ```
/// use knockon_engine::wheel::tyre::pressure_for;
/// assert!((pressure_for(4.0_f64, 199.930, 32.0, 0.0, 324.0) - 5.0).abs() < 1e-4); // see `load`
/// ```
pub fn pressure_for<T: Scalar>(drop: T, load: T, width: T, rim_inner: T, radius: T) -> T {
    if !all_above_zero(&[drop, load]) {
        return T::from(f64::NAN);
    }
    load / self::load(drop, T::from(1.0), width, rim_inner, radius)
}

/// Height of the axle above the ground, mm: outer radius of the unloaded tyre less its drop, both mm. NaN where one is.
///
/// Source: the definition of the term.
///
/// ```
/// use knockon_engine::wheel::tyre::loaded_radius;
/// assert_eq!(loaded_radius(340.0, 4.5), 335.5);
/// ```
pub fn loaded_radius<T: Scalar>(outer_radius: T, drop: T) -> T {
    outer_radius - drop
}

/// How far the wheel rolls in one turn, mm, for a rolling radius, mm, above 0.
///
/// The rolling radius is close to the loaded one and may lie a little above it, as the tread is pressed together where it touches
/// (from memory, unverified); a marked turn on the floor measures it. Source: `2π·r`.
///
/// ```
/// use knockon_engine::wheel::tyre::circumference;
/// assert!((circumference(335.0_f64) - 2104.867).abs() < 0.001); // 670 · π
/// // A 25 mm tyre that sank by some 5 mm under its rider rolled 2124 instead of 2155 mm (one person's report, seen).
/// let shorter = circumference(343.0_f64) - circumference(338.0);
/// assert!((shorter - (2155.0 - 2124.0)).abs() < 1.0);
/// ```
pub fn circumference<T: Scalar>(rolling_radius: T) -> T {
    if all_above_zero(&[rolling_radius]) { rolling_radius * TAU } else { T::from(f64::NAN) }
}

/// Load per bar and per unit of [`shape`].
fn per_pressure<T: Scalar>(width: T, rim_inner: T, radius: T) -> T {
    let angle = -(rim_inner / width).asin() + PI;
    let (s, c) = (angle.sin(), angle.cos());
    let flat_per_drop = (s - angle * c) * 2.0 / (-(c * 2.0) - s * angle + 2.0);
    flat_per_drop * radius.sqrt() * (BAR * 4.0 * SQRT_2 / 3.0)
}

/// `δ^1.5·(1 − δ/(2w))`. Not by `powf`, whose derivatives are lost at 0.
fn shape<T: Scalar>(drop: T, width: T) -> T {
    drop * drop.sqrt() * (-(drop / width) * 0.5 + 1.0)
}

#[cfg(test)]
mod tests {
    use num_dual::Dual64;
    use proptest::prelude::*;

    use super::*;

    /// Root of a function that grows, between two numbers.
    fn root(mut least: f64, mut most: f64, growing: impl Fn(f64) -> f64) -> f64 {
        for _ in 0..80 {
            let middle = f64::midpoint(least, most);
            if growing(middle) < 0.0 { least = middle } else { most = middle }
        }
        least
    }

    /// Width of the flat part of one cross-section: two arcs of radius ρ and angle t that meet the ground without a kink, end at the
    /// rim's edges and have together with the flat part the casing's length. Solved for t by halving.
    fn flat(width: f64, rim: f64, drop: f64) -> f64 {
        let angle = PI - (rim / width).asin();
        let (half, height) = (width / 2.0 * angle, width / 2.0 * (1.0 - angle.cos()));
        let wanted = (height - drop) / (half - rim / 2.0);
        let t = root(angle * 0.3, TAU, |t| wanted - (1.0 - t.cos()) / (t - t.sin()));
        2.0 * (half - (half - rim / 2.0) / (t - t.sin()) * t)
    }

    #[test]
    fn load_is_that_of_the_whole_cross_section() {
        const SLICES: usize = 400;
        for (width, rim) in
            [(28.0, 0.0), (28.0, 18.2), (28.0, 21.0), (37.0, 19.0), (60.0, 30.0), (60.0, 36.0)]
        {
            for share in [0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4] {
                let (radius, drop) = (340.0_f64, width * share);
                let reach = (2.0 * radius * drop - drop * drop).sqrt();
                let step = 2.0 * reach / SLICES as f64;
                let area: f64 = (0..SLICES)
                    .map(|slice| (slice as f64 + 0.5) * step - reach)
                    .map(|x| step * flat(width, rim, drop - (radius - (radius * radius - x * x).sqrt())))
                    .sum();
                let ratio = load(drop, 4.0, width, rim, radius) / (area * 0.4);
                assert!((ratio - 1.0).abs() < 0.015, "{width} on {rim}, {share}: {ratio}");
            }
        }
    }

    #[test]
    fn width_is_that_of_a_casing_of_fixed_length() {
        for marked in [23.0, 25.0, 28.0, 32.0, 40.0, 50.0, 60.0] {
            let length = |width: f64, rim: f64| width * (PI - (rim / width).asin());
            for off in [-5.0, -2.0, 2.0, 5.0] {
                let (design, rim) = (design_rim(marked), design_rim(marked) + off);
                let exact = root(rim, 2.0 * marked, |width| length(width, rim) - length(marked, design));
                assert!((inflated_width(marked, rim) - exact).abs() < 0.3, "{marked} on {rim}: {exact}");
            }
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        assert!(design_rim(-1.0_f64).is_nan() && inflated_width(f64::NAN, 20.0).is_nan());
        assert!(
            load(1.0_f64, 0.0, 30.0, 20.0, 340.0).is_nan() && load(1.0_f64, 3.0, 30.0, 30.0, 340.0).is_nan()
        );
        assert!(
            drop(-1.0_f64, 3.0, 30.0, 20.0, 340.0).is_nan()
                && drop(f64::NAN, 3.0, 30.0, 20.0, 340.0).is_nan()
        );
        assert!(pressure_for(0.0_f64, 400.0, 30.0, 20.0, 340.0).is_nan() && circumference(0.0_f64).is_nan());
        assert_eq!(drop(0.0_f64, 3.0, 30.0, 20.0, 340.0), 0.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn drop_and_load_undo_each_other(
            width in 20.0..65.0_f64, rim in 0.0..0.75, share in 0.005..0.399_f64, pressure in 0.5..9.0, radius in 200.0..380.0,
        ) {
            let rim = rim * width;
            let under = load(share * width, pressure, width, rim, radius);
            let dropped: Dual64 = drop(Dual64::from(under).derivative(), pressure.into(), width.into(), rim.into(), radius.into());
            prop_assert!((dropped.re / width - share).abs() < 1e-9);
            // The derivative of the inverse is one over the derivative.
            let slope: Dual64 = load(Dual64::from(dropped.re).derivative(), pressure.into(), width.into(), rim.into(), radius.into());
            prop_assert!((dropped.eps * slope.eps - 1.0).abs() < 1e-7);
            prop_assert!((pressure_for(share * width, under, width, rim, radius) / pressure - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_load_drops_further_and_more_pressure_less(share in 0.01..0.3, width in 20.0..65.0_f64, pressure in 0.5..9.0) {
            let under = load(share * width, pressure, width, 0.6 * width, 340.0);
            prop_assert!(drop(under * 1.1, pressure, width, 0.6 * width, 340.0) > share * width);
            prop_assert!(drop(under, pressure * 1.1, width, 0.6 * width, 340.0) < share * width);
        }
    }
}
