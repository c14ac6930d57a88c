//! A bearing cup pressed into a tube: pressure between them, what it does to both walls, force to press it in.
//!
//! Lengths are millimetres, forces newtons, pressures, stresses and moduli N/mm² (MPa). Tension is positive.
//!
//! Both parts are taken as round, smooth, equally long rings of one isotropic material each that stay elastic and are free to
//! change their length (plane stress). So a laid-up tube is out of range, and so is a wall whose stress comes out above its
//! yield strength. Left out: roughness, which the pressing flattens and which takes some micrometres off the interference
//! (common practice, no source); a cup or tube that goes on beyond the contact, which makes its ends press harder than this
//! (from memory, unverified); temperature.

use crate::Scalar;

/// How a material gives way under load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material<T> {
    /// Young's modulus, N/mm², above 0: around 70 000 for aluminium, 205 000 for steel (common practice, no source).
    pub youngs_modulus: T,
    /// Poisson's ratio, a plain number above −1 and at most 0.5, the range that any isotropic material keeps to: around 0.3
    /// for metals (common practice, no source).
    pub poissons_ratio: T,
}

/// Two rings, one in the other: a cup in the bore of a shell or a head tube.
///
/// Where a number is out of its range or unknown (NaN), or the radii do not grow from inside to outside, every result is NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressFit<T> {
    /// Radius of the cup's inner face, mm: 0 for a solid part, such as a plug or a shaft, else less than
    /// [`PressFit::contact`].
    pub cup_inner: T,
    /// Radius at which both parts touch, mm: half the bore's or half the cup's outer diameter. Which of them is of no
    /// consequence, as they differ by a thousandth.
    pub contact: T,
    /// Radius of the tube's outside, mm, above [`PressFit::contact`]. Of a shell that is not round, the smallest is the
    /// cautious one: it gives the least pressure and the most stress at the bore.
    pub tube_outer: T,
    /// Material of the cup.
    pub cup: Material<T>,
    /// Material of the tube.
    pub tube: Material<T>,
}

/// Interference, mm on the diameter: how much larger the cup is than its bore, both diameters in mm. Negative for a loose
/// fit; NaN where a diameter is.
///
/// Source: the definition of the term (ISO 286-1, from memory).
///
/// ```
/// use knockon_engine::press_fit::interference;
/// assert_eq!(interference(44.0625, 44.0), 0.0625);
/// assert_eq!(interference(43.75, 44.0), -0.25); // falls out
/// ```
pub fn interference<T: Scalar>(cup_diameter: T, bore_diameter: T) -> T {
    cup_diameter - bore_diameter
}

impl<T: Scalar> PressFit<T> {
    /// Pressure between cup and tube, N/mm², under an interference, mm on the diameter (see [`interference`]).
    ///
    /// 0 where the interference is negative: nothing touches, and no derivative is left either. At 0 itself the derivative is
    /// that of the tight side. NaN where the interference is, and where the rings are not sound (see [`PressFit`]).
    ///
    /// `p = (δ/d) / ((C_t + ν_t)/E_t + (C_c − ν_c)/E_c)`, with `C = (1 + q²)/(1 − q²)` and `q` the smaller over the larger
    /// radius of each ring. Source: Lamé's thick-walled cylinders, as in Shigley's Mechanical Engineering Design, 9th edition,
    /// section 3-16, equation 3-56.
    ///
    /// ```
    /// use knockon_engine::press_fit::{Material, PressFit};
    /// let aluminium = Material { youngs_modulus: 70_000.0_f64, poissons_ratio: 0.33 };
    /// let fit = PressFit { cup_inner: 16.0, contact: 20.0, tube_outer: 25.0, cup: aluminium, tube: aluminium };
    /// // Both walls: C = (1 + 0.64)/(1 − 0.64) = 41/9. One material: ν cancels. 0.041/40 · 70 000 / (82/9).
    /// assert!((fit.pressure(0.041) - 7.875).abs() < 1e-9);
    /// assert_eq!(fit.pressure(-0.01), 0.0);
    /// assert!(PressFit { tube_outer: 19.0, ..fit }.pressure(0.041).is_nan());
    /// ```
    pub fn pressure(&self, interference: T) -> T {
        if !self.is_sound() || interference.re().is_nan() {
            return T::from(f64::NAN);
        }
        if interference.re() < 0.0 {
            return T::from(0.0);
        }
        let tube =
            (spread(self.contact / self.tube_outer) + self.tube.poissons_ratio) / self.tube.youngs_modulus;
        let cup = (spread(self.cup_inner / self.contact) - self.cup.poissons_ratio) / self.cup.youngs_modulus;
        interference / (self.contact * 2.0) / (tube + cup)
    }

    /// Hoop stress at the tube's bore, N/mm², under a pressure, N/mm² of at least 0: tension, the largest stress in the tube's
    /// wall and never less than the pressure. NaN for a negative pressure, and where the rings are not sound.
    ///
    /// `σ = p·(1 + q²)/(1 − q²)`. Source: Lamé, as in Shigley, 9th edition, section 3-16, from equation 3-49.
    ///
    /// ```
    /// # use knockon_engine::press_fit::{Material, PressFit};
    /// # let aluminium = Material { youngs_modulus: 70_000.0_f64, poissons_ratio: 0.33 };
    /// # let fit = PressFit { cup_inner: 16.0, contact: 20.0, tube_outer: 25.0, cup: aluminium, tube: aluminium };
    /// assert!((fit.tube_hoop_stress(7.875) - 35.875).abs() < 1e-9); // 7.875 · 41/9, at radii of 20 and 25 mm
    /// ```
    pub fn tube_hoop_stress(&self, pressure: T) -> T {
        self.where_sound(&[pressure], || pressure * spread(self.contact / self.tube_outer))
    }

    /// Hoop stress at the cup's inner face, N/mm², under a pressure, N/mm² of at least 0: compression, so negative, and the
    /// largest stress in the cup's wall. NaN for a negative pressure, and where the rings are not sound.
    ///
    /// `σ = −2p/(1 − q²)`. A solid part has no inner face and is under `−p` throughout. That is half of what the smallest hole
    /// would bring, so the derivative by [`PressFit::cup_inner`] means nothing at 0. Source: Lamé, as in Shigley, 9th edition,
    /// section 3-16, from equation 3-49.
    ///
    /// ```
    /// # use knockon_engine::press_fit::{Material, PressFit};
    /// # let aluminium = Material { youngs_modulus: 70_000.0_f64, poissons_ratio: 0.33 };
    /// # let fit = PressFit { cup_inner: 16.0, contact: 20.0, tube_outer: 25.0, cup: aluminium, tube: aluminium };
    /// assert!((fit.cup_hoop_stress(7.875) + 43.75).abs() < 1e-9); // −2 · 7.875 / (1 − 0.64), at radii of 16 and 20 mm
    /// assert_eq!(PressFit { cup_inner: 0.0, ..fit }.cup_hoop_stress(7.875), -7.875);
    /// ```
    pub fn cup_hoop_stress(&self, pressure: T) -> T {
        self.where_sound(&[pressure], || {
            if self.cup_inner.re() == 0.0 {
                return -pressure;
            }
            let q = self.cup_inner / self.contact;
            -(pressure * 2.0) / (-(q * q) + 1.0)
        })
    }

    /// Force to press the cup in, N, at the end of its way, under a pressure (N/mm²), a coefficient of friction (a plain number)
    /// and a length of contact (mm), each at least 0. NaN where one is negative, and where the rings are not sound.
    ///
    /// It is the force to press it out again, too, as far as the friction stays the same. Dry metal has a coefficient of 0.1 to
    /// 0.2, greased metal half of that (common practice, no source): the least certain number here.
    ///
    /// `F = μ·p·π·d·L`, friction on the whole contact. Source: common practice, no source.
    ///
    /// ```
    /// # use knockon_engine::press_fit::{Material, PressFit};
    /// # let aluminium = Material { youngs_modulus: 70_000.0_f64, poissons_ratio: 0.33 };
    /// # let fit = PressFit { cup_inner: 16.0, contact: 20.0, tube_outer: 25.0, cup: aluminium, tube: aluminium };
    /// let force = fit.force(7.875, 0.1, 10.0); // 0.1 · 7.875 · π · 40 · 10, at a contact radius of 20 mm
    /// assert!((force - 315.0 * std::f64::consts::PI).abs() < 1e-9);
    /// ```
    pub fn force(&self, pressure: T, friction: T, length: T) -> T {
        self.where_sound(&[pressure, friction, length], || {
            friction * pressure * self.contact * length * std::f64::consts::TAU
        })
    }

    /// Whether the radii grow from inside to outside and the materials are such as exist.
    fn is_sound(&self) -> bool {
        let [inner, contact, outer] = [self.cup_inner, self.contact, self.tube_outer].map(|it| it.re());
        let radii = 0.0 <= inner && inner < contact && contact < outer && outer.is_finite();
        radii && self.cup.is_sound() && self.tube.is_sound()
    }

    /// The result; NaN where the rings are not sound or one of the loads is negative or unknown.
    fn where_sound(&self, loads: &[T], result: impl FnOnce() -> T) -> T {
        if self.is_sound() && loads.iter().all(|it| it.re() >= 0.0) { result() } else { T::from(f64::NAN) }
    }
}

impl<T: Scalar> Material<T> {
    fn is_sound(&self) -> bool {
        let (modulus, ratio) = (self.youngs_modulus.re(), self.poissons_ratio.re());
        modulus > 0.0 && modulus.is_finite() && -1.0 < ratio && ratio <= 0.5
    }
}

/// Hoop stress over pressure at the loaded face of a ring, `(1 + q²)/(1 − q²)`; `q` is its smaller radius over its larger one.
/// Written with the ratio, because a solid part is then nothing special: `q` is 0.
fn spread<T: Scalar>(q: T) -> T {
    (q * q + 1.0) / (-(q * q) + 1.0)
}
