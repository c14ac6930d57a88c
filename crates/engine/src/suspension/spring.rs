//! Springs of shock and fork: coil and air.
//!
//! Compression is counted from full extension, mm; forces are newtons, pressures inside N/mm² (1 bar = 0.1 N/mm²).
//! Friction, bushings, bump stops and damping are left out.

use num_dual::DualStruct;

use crate::Scalar;
use crate::bike::Bike;

/// Pressure of the atmosphere, N/mm². Source: the standard atmosphere, 101 325 Pa (10th CGPM, 1954, Resolution 4; from
/// memory).
pub const ATMOSPHERE: f64 = 0.101_325;
/// One bar, N/mm². Source: its definition, 10⁵ Pa.
pub const BAR: f64 = 0.1;
/// One pound-force per inch, N/mm: 4.448 221 615 260 5 N / 25.4 mm. Source: NIST SP 811, appendix B.
pub const POUND_PER_INCH: f64 = 4.448_221_615_260_5 / 25.4;
/// Step in which coil springs are sold, N/mm: 25 lbf/in. Source: common practice, no source.
pub const RATE_STEP: f64 = 25.0 * POUND_PER_INCH;

/// A shock's or a fork's spring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spring<T> {
    /// A coil: `F = k·(s + preload)`.
    Coil {
        /// Rate `k`, N/mm.
        rate: T,
        /// How far it is pressed together at full extension, mm.
        preload: T,
    },
    /// Air over a piston, which the air of a negative chamber may push the other way:
    /// `F = A·(p₀·(L/(L − s))ⁿ − p_atm) − A_n·(p₀·(L_n/(L_n + s))ⁿ − p_atm)`, `p₀` absolute.
    ///
    /// At full extension both chambers are taken to have the same pressure (common practice, no source: a transfer port
    /// opens there). Its range is that of an ideal gas: up to some tens of bar.
    Air {
        /// Area of the piston, mm².
        area: T,
        /// Length of the chamber at full extension, volume over area, mm; spacers taken off.
        length: T,
        /// Pressure at full extension above that of the atmosphere, N/mm².
        pressure: T,
        /// Area (mm²) and length (mm) of the negative chamber at full extension.
        negative: Option<(T, T)>,
        /// Polytropic exponent `n`, a plain number: 1 where the air keeps its temperature, 1.4 where it keeps its heat.
        exponent: T,
    },
}

/// The shock's spring as the record has it; `None` where the record does not suffice.
///
/// A coil whose rate is known goes before air. A negative chamber counts only where both its numbers are known; an area of 0
/// says that there is none.
///
/// ```
/// use knockon_engine::{bike::Bike, suspension::spring};
/// let mut bike = Bike::unknown();
/// assert_eq!(spring::shock(&bike), None);
/// (bike.coil_rate, bike.coil_preload) = (80.0, 1.0);
/// assert_eq!(spring::shock(&bike).unwrap().force(10.0), 880.0); // 80 · (10 + 1)
/// ```
pub fn shock<T: Scalar>(bike: &Bike<T>) -> Option<Spring<T>> {
    if bike.coil_rate > T::from(0.0) {
        return coil(bike.coil_rate, bike.coil_preload);
    }
    shock_air(bike, bike.shock_pressure)
}

/// The shock's air spring at another pressure, bar, whether the shock has a coil or not.
pub(super) fn shock_air<T: Scalar>(bike: &Bike<T>, pressure: T) -> Option<Spring<T>> {
    let chamber = (bike.shock_air_area, bike.shock_air_length, bike.shock_volume_spacer);
    let negative = (bike.shock_negative_area, bike.shock_negative_length);
    air(chamber, pressure, negative, bike.air_exponent)
}

/// The fork's spring, along its legs, in the way of [`shock`].
///
/// ```
/// use knockon_engine::{bike::Bike, suspension::spring};
/// let mut bike = Bike::unknown();
/// (bike.fork_pressure, bike.fork_air_area, bike.fork_air_length) = (5.0, 600.0, 200.0);
/// (bike.fork_volume_spacer, bike.air_exponent) = (12.0, 1.0);
/// // 12 cm³ over 600 mm² take 20 mm off the chamber; 5 bar on 600 mm² are 300 N.
/// let fork = spring::fork(&bike).unwrap();
/// assert!((fork.force(0.0) - 300.0).abs() < 1e-9);
/// assert!((fork.force(90.0) - (2.0 * (300.0 + 60.795) - 60.795)).abs() < 1e-9); // half the volume
/// ```
pub fn fork<T: Scalar>(bike: &Bike<T>) -> Option<Spring<T>> {
    if bike.fork_coil_rate > T::from(0.0) {
        return coil(bike.fork_coil_rate, bike.fork_coil_preload);
    }
    fork_air(bike, bike.fork_pressure)
}

/// The fork's air spring at another pressure, bar, whether the fork has a coil or not.
pub(super) fn fork_air<T: Scalar>(bike: &Bike<T>, pressure: T) -> Option<Spring<T>> {
    let chamber = (bike.fork_air_area, bike.fork_air_length, bike.fork_volume_spacer);
    let negative = (bike.fork_negative_area, bike.fork_negative_length);
    air(chamber, pressure, negative, bike.air_exponent)
}

fn coil<T: Scalar>(rate: T, preload: T) -> Option<Spring<T>> {
    preload.re().is_finite().then_some(Spring::Coil { rate, preload })
}

fn air<T: Scalar>(
    (area, whole_length, spacer): (T, T, T),
    pressure: T,
    negative: (T, T),
    exponent: T,
) -> Option<Spring<T>> {
    const CUBIC_CENTIMETRE: f64 = 1000.0;
    let zero = T::from(0.0);
    let length = whole_length - spacer * CUBIC_CENTIMETRE / area;
    let pressure = pressure * BAR;
    let negative = (negative.0 > zero && negative.1 > zero).then_some(negative);
    let known = [area, length, exponent].iter().all(|it| *it > zero) && pressure.re() > -ATMOSPHERE;
    known.then_some(Spring::Air { area, length, pressure, negative, exponent })
}

impl<T> Spring<T> {
    /// The same spring with its numbers converted.
    pub fn map<U>(&self, mut convert: impl FnMut(&T) -> U) -> Spring<U> {
        match self {
            Spring::Coil { rate, preload } => Spring::Coil { rate: convert(rate), preload: convert(preload) },
            Spring::Air { area, length, pressure, negative, exponent } => Spring::Air {
                area: convert(area),
                length: convert(length),
                pressure: convert(pressure),
                negative: negative.as_ref().map(|(area, length)| (convert(area), convert(length))),
                exponent: convert(exponent),
            },
        }
    }
}

impl<T: Scalar> Spring<T> {
    /// Force with which the spring pushes apart, N, at a compression, mm. NaN where air would have no room left.
    ///
    /// ```
    /// use knockon_engine::suspension::spring::Spring;
    /// // 490 mm² and 100 mm at 10 bar: 490 N; half the volume at the same temperature: twice the absolute pressure.
    /// let air = Spring::Air { area: 490.0_f64, length: 100.0, pressure: 1.0, negative: None, exponent: 1.0 };
    /// assert!((air.force(0.0) - 490.0).abs() < 1e-9);
    /// assert!((air.force(50.0) - 490.0 * (2.0 * 1.101325 - 0.101325)).abs() < 1e-9);
    /// assert!(air.force(100.0).is_nan());
    /// ```
    pub fn force(&self, compression: T) -> T {
        match *self {
            Spring::Coil { rate, preload } => rate * (compression + preload),
            Spring::Air { .. } => {
                let (main, against) = self.in_chambers(compression, Chamber::force);
                main - against
            }
        }
    }

    /// Rate at a compression, N/mm: the exact derivative of [`Spring::force`]. NaN where that is.
    ///
    /// ```
    /// use knockon_engine::suspension::spring::Spring;
    /// // At full extension n·A·p/L: 1.4 · 490 mm² · 1.101325 N/mm² / 100 mm.
    /// let air = Spring::Air { area: 490.0_f64, length: 100.0, pressure: 1.0, negative: None, exponent: 1.4 };
    /// assert!((air.rate(0.0) - 7.55508950).abs() < 1e-8);
    /// ```
    pub fn rate(&self, compression: T) -> T {
        match *self {
            Spring::Coil { rate, .. } => rate,
            Spring::Air { .. } => {
                let (main, against) = self.in_chambers(compression, Chamber::rate);
                main + against
            }
        }
    }

    /// Energy that the spring takes up from full extension to a compression, N·mm: the integral of [`Spring::force`] in
    /// closed form. NaN where that is.
    ///
    /// ```
    /// use knockon_engine::suspension::spring::Spring;
    /// let coil = Spring::Coil { rate: 80.0, preload: 1.0 };
    /// assert_eq!(coil.energy(10.0), 4800.0); // 80 · 10²/2 + 80 · 10
    /// ```
    pub fn energy(&self, compression: T) -> T {
        match *self {
            Spring::Coil { rate, preload } => rate * compression * (compression * 0.5 + preload),
            Spring::Air { .. } => {
                let (main, against) = self.in_chambers(compression, Chamber::energy);
                main + against
            }
        }
    }

    /// Compression at which the spring has this force, mm: the inverse of [`Spring::force`].
    ///
    /// Negative where the force is less than at full extension: in a shock or fork the top-out holds it there, at 0. NaN where
    /// no compression gives it (less than vacuum would).
    ///
    /// ```
    /// use knockon_engine::suspension::spring::Spring;
    /// let air = Spring::Air { area: 490.0_f64, length: 100.0, pressure: 1.0, negative: None, exponent: 1.0 };
    /// // 1 − 1.101325 / (800/490 + 0.101325) of the chamber's length
    /// assert!((air.compression_under(800.0) - 36.4856439).abs() < 1e-6);
    /// ```
    pub fn compression_under(&self, force: T) -> T {
        match *self {
            Spring::Coil { rate, preload } => force / rate - preload,
            Spring::Air { area, length, pressure, negative: None, exponent } => {
                let ratio = (force / area + ATMOSPHERE) / (pressure + ATMOSPHERE);
                -((-(ratio.ln() / exponent)).exp_m1() * length)
            }
            Spring::Air { negative: Some(_), .. } => {
                let mut compression = T::from(self.map(DualStruct::re).solve(force.re()));
                // Each step in dual numbers makes one more order of derivatives exact.
                for _ in 0..T::NDERIV {
                    compression -= (self.force(compression) - force) / self.rate(compression);
                }
                compression
            }
        }
    }

    /// Gauge pressure at full extension that gives this force (N) at this compression (mm), N/mm²; the spring's own pressure
    /// does not matter. NaN for a coil, and where air would have no room left.
    ///
    /// Negative where even no pressure pushes harder: such a spring cannot be had.
    ///
    /// ```
    /// use knockon_engine::suspension::spring::Spring;
    /// let air = Spring::Air { area: 500.0_f64, length: 100.0, pressure: 0.0, negative: None, exponent: 1.0 };
    /// // (1000 N / 500 mm² + 0.101325) · ½ − 0.101325
    /// assert!((air.pressure_for(1000.0, 50.0) - 0.9493375).abs() < 1e-12);
    /// ```
    pub fn pressure_for(&self, force: T, compression: T) -> T {
        let Spring::Air { area, length, negative, exponent, .. } = *self else {
            return T::from(f64::NAN);
        };
        // Force is linear in the absolute pressure: what one N/mm² would give, and what the atmosphere takes off.
        let one = |area: T, length: T, compression: T| {
            area * Chamber { area, length, pressure: T::from(1.0), exponent }.growth(compression)
        };
        let (with, outside) = match negative {
            None => (one(area, length, compression), area),
            Some((against, its_length)) => {
                (one(area, length, compression) - one(against, its_length, -compression), area - against)
            }
        };
        (force + outside * ATMOSPHERE) / with - ATMOSPHERE
    }

    /// What holds in the chamber that is pressed together, and in the negative one, whose compression is the opposite.
    fn in_chambers(&self, compression: T, of: fn(&Chamber<T>, T) -> T) -> (T, T) {
        let Spring::Air { area, length, pressure, negative, exponent } = *self else {
            return (T::from(f64::NAN), T::from(f64::NAN));
        };
        let pressure = pressure + ATMOSPHERE;
        let main = of(&Chamber { area, length, pressure, exponent }, compression);
        let against = negative.map_or(T::from(0.0), |(area, length)| {
            of(&Chamber { area, length, pressure, exponent }, -compression)
        });
        (main, against)
    }
}

impl Spring<f64> {
    /// [`Spring::compression_under`] for air with a negative chamber: Newton's steps, and halves of the interval that
    /// still holds the answer where they leave it. The force rises from −∞ to ∞ over that interval.
    fn solve(&self, force: f64) -> f64 {
        const MOST_STEPS: usize = 200;
        const SETTLED: f64 = 1e-14;
        let Spring::Air { length, negative: Some((_, its_length)), .. } = *self else { return f64::NAN };
        let (mut least, mut most) = (-its_length, length);
        let mut compression = 0.0;
        for _ in 0..MOST_STEPS {
            let off = self.force(compression) - force;
            if off > 0.0 {
                most = compression;
            } else {
                least = compression;
            }
            let newton = compression - off / self.rate(compression);
            let next = if newton > least && newton < most { newton } else { (least + most) * 0.5 };
            let step = next - compression;
            compression = next;
            if step.abs() <= SETTLED * (length + its_length) {
                return compression;
            }
            // A force that is not a number never settles.
            if step.is_nan() {
                break;
            }
        }
        f64::NAN
    }
}

/// Air under one piston; `pressure` is absolute.
struct Chamber<T> {
    area: T,
    length: T,
    pressure: T,
    exponent: T,
}

impl<T: Scalar> Chamber<T> {
    /// Logarithm of the whole length over the one that is left.
    fn shortening(&self, compression: T) -> T {
        if compression < self.length { -((-(compression / self.length)).ln_1p()) } else { T::from(f64::NAN) }
    }

    /// Absolute pressure over the one at full extension.
    fn growth(&self, compression: T) -> T {
        (self.shortening(compression) * self.exponent).exp()
    }

    fn force(&self, compression: T) -> T {
        self.area * (self.pressure * self.growth(compression) - ATMOSPHERE)
    }

    fn rate(&self, compression: T) -> T {
        self.area * self.exponent * self.pressure * self.growth(compression) / (self.length - compression)
    }

    /// `A·p·L·((L/(L − s))ⁿ⁻¹ − 1)/(n − 1) − A·p_atm·s`, written so that n = 1 is nothing special.
    fn energy(&self, compression: T) -> T {
        let shortening = self.shortening(compression);
        let work = self.pressure * self.length * shortening * mean_growth(shortening * (self.exponent - 1.0));
        self.area * (work - compression * ATMOSPHERE)
    }
}

/// `1/(k+1)!`, the coefficients of [`mean_growth`].
const MEAN_GROWTH: [f64; 16] = {
    let mut terms = [1.0; 16];
    let mut at = 1;
    while at < terms.len() {
        terms[at] = terms[at - 1] / (at + 1) as f64;
        at += 1;
    }
    terms
};

/// `(eᶻ − 1)/z`, 1 at z = 0, where its derivatives are right as well.
pub(crate) fn mean_growth<T: Scalar>(z: T) -> T {
    // Below these bounds the series Σ zᵏ/(k+1)! is exact to rounding after so many terms.
    const SERIES: [(f64, usize); 2] = [(0.05, 8), (0.5, 16)];
    let size = z.re().abs();
    match SERIES.into_iter().find(|(bound, _)| size <= *bound) {
        Some((_, terms)) => {
            MEAN_GROWTH[..terms].iter().rev().fold(T::from(0.0), |inner, term| z * inner + *term)
        }
        None => z.exp_m1() / z,
    }
}

/// Rate of a coil that has this force (N) at this compression (mm) with this preload (mm), N/mm.
///
/// ```
/// use knockon_engine::suspension::spring::coil_rate_under;
/// assert_eq!(coil_rate_under(1600.0, 15.0, 1.0), 100.0);
/// ```
pub fn coil_rate_under<T: Scalar>(force: T, compression: T, preload: T) -> T {
    force / (compression + preload)
}

/// Rate of a coil spring from its wire, N/mm: `G·d⁴/(8·D³·N)`, with wire diameter `d` and mean coil diameter `D` (mm), `N`
/// active coils and shear modulus `G` (N/mm²; about 80 000 for spring steel).
///
/// For round wire and D/d of about 4 to 12; a tenth of a millimetre of wire is some 4 to 8 % of the rate.
/// Source: Shigley's Mechanical Engineering Design, 10th edition, eq. 10-9.
///
/// ```
/// use knockon_engine::suspension::spring::coil_rate_of_wire;
/// // Problem 10-3 there: 2.5 mm music wire, 31 mm outside, 13 active coils: 1.314 N/mm.
/// assert!((coil_rate_of_wire(2.5_f64, 28.5, 13.0, 81_000.0) - 1.314).abs() < 0.0005);
/// ```
pub fn coil_rate_of_wire<T: Scalar>(wire: T, coil: T, active: T, shear_modulus: T) -> T {
    shear_modulus * wire.powi(4) / (coil.powi(3) * active * 8.0)
}

/// The rates next to this one in which coils are sold, N/mm: below and above; twice the same where it is one of them.
/// See [`RATE_STEP`].
///
/// ```
/// use knockon_engine::suspension::spring::{POUND_PER_INCH, rates_sold};
/// let (below, above) = rates_sold(80.0); // 456.8 lbf/in
/// assert!((below - 450.0 * POUND_PER_INCH).abs() < 1e-9);
/// assert!((above - 475.0 * POUND_PER_INCH).abs() < 1e-9);
/// ```
pub fn rates_sold(rate: f64) -> (f64, f64) {
    // A rate that was converted to N/mm and back is off by rounding only.
    const ROUNDING: f64 = 1e-6;
    let steps = rate / RATE_STEP;
    let nearest = steps.round();
    let (below, above) =
        if (steps - nearest).abs() < ROUNDING { (nearest, nearest) } else { (steps.floor(), steps.ceil()) };
    (below * RATE_STEP, above * RATE_STEP)
}
