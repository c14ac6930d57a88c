//! What is left of a part that wears: pad, rotor, rim.

use super::only_if;
use crate::Scalar;

/// Share of the wear material that is left, a plain number: 1 new, 0 at the limit, negative beyond it.
///
/// From the measured thickness, the new one and the least that is allowed, in any one unit. The least is what the part's maker
/// marks on it; where a pad's backing is measured along with it, it has to be in all three. Above 1 where the part is
/// thicker than new. NaN where a number is unknown, and where the new thickness is not above the least.
///
/// `(measured − least)/(new − least)`. Source: common practice, no source.
///
/// ```
/// use knockon_engine::brake::wear::left;
/// // A rotor of 2 mm that may wear to 1.5 mm: at 1.75 mm half of it is left, at 1.375 mm it is a quarter beyond.
/// assert_eq!(left(1.75, 2.0, 1.5), 0.5);
/// assert_eq!(left(1.375, 2.0, 1.5), -0.25);
/// assert!(left(1.75_f64, 1.5, 1.5).is_nan());
/// ```
pub fn left<T: Scalar>(measured: T, new: T, least: T) -> T {
    only_if(new.re() > least.re(), || (measured - least) / (new - least))
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    #[test]
    fn unknown_stays_unknown() {
        for place in 0..3 {
            let mut numbers = [1.75, 2.0, 1.5];
            numbers[place] = f64::NAN;
            assert!(left(numbers[0], numbers[1], numbers[2]).is_nan());
        }
    }

    #[test]
    fn a_tenth_of_a_millimetre_is_a_tenth_over_the_wear_material() {
        let at = left(Dual64::from(1.75).derivative(), Dual64::from(2.0), Dual64::from(1.5));
        assert_eq!((at.re, at.eps), (0.5, 2.0)); // 1/(2 − 1.5)
    }
}
