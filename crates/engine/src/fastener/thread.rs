//! Diameters and areas of a metric or unified thread, whose flanks stand at 60°.

use std::f64::consts::FRAC_PI_4;

use super::where_above_zero;
use crate::Scalar;

/// Height of the sharp triangle over the pitch: √3/2. Source: ISO 68-1 (from memory); geometry of a 60° triangle.
const HEIGHT: f64 = 0.866_025_403_784_438_6;

/// Basic pitch diameter, mm, of a thread with this nominal diameter and pitch, mm, both above 0.
///
/// `d₂ = d − 2·(3/8)·H = d − 0.64952·P`. Source: ISO 724 (from memory).
///
/// ```
/// use knockon_engine::fastener::thread::pitch_diameter;
/// assert!((pitch_diameter(6.0_f64, 1.0) - 5.350).abs() < 0.0005); // table value of ISO 724
/// ```
pub fn pitch_diameter<T: Scalar>(diameter: T, pitch: T) -> T {
    above_zero(&[diameter, pitch], diameter - pitch * (HEIGHT * 0.75))
}

/// Basic minor diameter of the nut's thread, mm, for a nominal diameter and a pitch, mm, both above 0: about the hole to tap.
///
/// `D₁ = d − 2·(5/8)·H = d − 1.08253·P`. Source: ISO 724 (from memory).
///
/// ```
/// use knockon_engine::fastener::thread::minor_diameter;
/// assert!((minor_diameter(6.0_f64, 1.0) - 4.917).abs() < 0.0005); // table value of ISO 724; drilled 5.0
/// ```
pub fn minor_diameter<T: Scalar>(diameter: T, pitch: T) -> T {
    above_zero(&[diameter, pitch], diameter - pitch * (HEIGHT * 1.25))
}

/// Diameter at the rounded root of the bolt's thread, mm, for a nominal diameter and a pitch, mm, both above 0.
///
/// `d₃ = d − 2·(17/24)·H = d − 1.22687·P`. Source: ISO 898-1 (from memory).
///
/// ```
/// use knockon_engine::fastener::thread::root_diameter;
/// assert!((root_diameter(6.0_f64, 1.0) - 4.773).abs() < 0.0005); // 6 − 1.22687
/// ```
pub fn root_diameter<T: Scalar>(diameter: T, pitch: T) -> T {
    above_zero(&[diameter, pitch], diameter - pitch * (HEIGHT * 17.0 / 12.0))
}

/// Area, mm², of the round bar that breaks like the thread, for a nominal diameter and a pitch, mm, both above 0.
///
/// `A_s = π/4·((d₂ + d₃)/2)² = π/4·(d − 0.9382·P)²`. Source: ISO 898-1 (formula from memory, its table seen).
///
/// ```
/// use knockon_engine::fastener::thread::stress_area;
/// assert!((stress_area(6.0_f64, 1.0) - 20.1).abs() < 0.05); // table of ISO 898-1
/// ```
pub fn stress_area<T: Scalar>(diameter: T, pitch: T) -> T {
    let mean = (pitch_diameter(diameter, pitch) + root_diameter(diameter, pitch)) * 0.5;
    mean * mean * FRAC_PI_4
}

/// The result where it and the numbers it comes from are above 0: a pitch too coarse for its diameter leaves none.
fn above_zero<T: Scalar>([diameter, pitch]: &[T; 2], result: T) -> T {
    where_above_zero(&[*diameter, *pitch, result], || result)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: table of EN ISO 898-1 (coarse) and a table after ISO 724 (fine), both seen; mm².
    #[test]
    fn areas_of_the_tables() {
        for (diameter, pitch, area, last_digit) in [
            (3.0_f64, 0.5, 5.03, 0.01),
            (4.0, 0.7, 8.78, 0.01),
            (5.0, 0.8, 14.2, 0.1),
            (6.0, 1.0, 20.1, 0.1),
            (8.0, 1.25, 36.6, 0.1),
            (10.0, 1.5, 58.0, 0.1),
            (12.0, 1.75, 84.3, 0.1),
            (8.0, 1.0, 39.2, 0.1),
            (10.0, 1.25, 61.2, 0.1),
            (10.0, 1.0, 64.5, 0.1),
            (12.0, 1.5, 88.1, 0.1),
        ] {
            assert!((stress_area(diameter, pitch) - area).abs() < last_digit * 0.51, "{diameter} × {pitch}");
        }
    }

    /// Source: a table of bolt dimensions (ux.uis.no/~hirpa/6KdB/ME/StressArea.htm, seen): pitch diameters and areas at the root.
    #[test]
    fn diameters_of_a_table() {
        for (diameter, pitch, middle, root) in
            [(4.0_f64, 0.7, 3.5453, 7.7496), (8.0, 1.25, 7.1881, 32.841), (12.0, 1.75, 10.863, 76.247)]
        {
            assert!((pitch_diameter(diameter, pitch) - middle).abs() < 5e-4);
            let area = root_diameter(diameter, pitch).powi(2) * FRAC_PI_4;
            assert!((area / root - 1.0).abs() < 1e-4);
        }
    }

    #[test]
    fn what_is_out_of_range_is_nan() {
        for (diameter, pitch) in [(0.0_f64, 1.0), (6.0, 0.0), (6.0, f64::NAN), (1.0, 1.0)] {
            assert!(stress_area(diameter, pitch).is_nan() && root_diameter(diameter, pitch).is_nan());
        }
    }
}
