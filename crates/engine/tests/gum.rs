//! Propagation against two worked examples of the guide to the expression of uncertainty, JCGM 100:2008, appendix H
//! (attribution from memory; the figures have been recomputed independently).

use knockon_engine::Scalar;
use knockon_engine::tolerance::{Formula, Uncertain, propagate, propagate_curved};

fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

/// H.1: length of an end gauge, nm, from that of a standard, their difference, expansion coefficients and temperatures.
struct EndGauge;

impl Formula for EndGauge {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let &[standard, difference, expansion, temperature, expansion_gap, temperature_gap] = numbers else {
            panic!("six numbers")
        };
        vec![standard + difference - standard * (expansion_gap * temperature + expansion * temperature_gap)]
    }
}

/// The inputs of H.1: standard 0; difference 1 to 3; expansion 4; temperature 5 (mean) and 6 (cycle); difference of the
/// expansions 7; difference of the temperatures 8. Half-widths become standard uncertainties by √3 (rectangular) and √2
/// (arc sine).
fn end_gauge() -> [Uncertain; 6] {
    let number = |value, moves: &[(usize, f64)]| Uncertain { value, moves: moves.to_vec() };
    [
        number(50_000_623.0, &[(0, 25.0)]),
        number(215.0, &[(1, 5.8), (2, 3.9), (3, 6.7)]),
        number(11.5e-6, &[(4, 2e-6 / 3_f64.sqrt())]),
        number(-0.1, &[(5, 0.2), (6, 0.5 / 2_f64.sqrt())]),
        number(0.0, &[(7, 1e-6 / 3_f64.sqrt())]),
        number(0.0, &[(8, 0.05 / 3_f64.sqrt())]),
    ]
}

#[test]
fn end_gauge_to_first_order() {
    let result = propagate_curved::<_, 1>(&EndGauge, &end_gauge(), 9);
    close(result.value(0), 50_000_838.0, 0.5);
    let by = result.contributions(0);
    close(by[0], 25.0, 0.05);
    close(by[1].hypot(by[2]).hypot(by[3]), 9.68, 0.005);
    // At 20 °C and equal expansion the expansion and the temperature themselves drop out.
    assert_eq!((by[4], by[5], by[6]), (0.0, 0.0, 0.0));
    close(by[7].abs(), 2.89, 0.005);
    close(by[8].abs(), 16.60, 0.005);
    close(by.iter().map(|by| by * by).sum::<f64>().sqrt(), 31.7, 0.05);
}

#[test]
fn end_gauge_to_second_order() {
    // H.1.7: the products of uncertainties add terms of 11.7 nm and 1.7 nm, and the 32 nm become 34 nm.
    let result = propagate_curved::<_, 9>(&EndGauge, &end_gauge(), 9);
    close(result.second_order(0).sqrt(), 11.7_f64.hypot(1.7), 0.1);
    close(result.standard_uncertainty(0), 34.0, 0.5);
}

/// H.3: temperatures of a thermometer's calibration, and the corrections found there, °C.
const TEMPERATURES: [f64; 11] =
    [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
const CORRECTIONS: [f64; 11] =
    [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];

/// Least-squares line through the corrections over t − 20 °C: intercept, slope, and the correction at 30 °C.
struct CalibrationLine;

impl Formula for CalibrationLine {
    fn results<T: Scalar>(&self, corrections: &[T]) -> Vec<T> {
        let n = corrections.len() as f64;
        let mean = TEMPERATURES.iter().map(|t| t - 20.0).sum::<f64>() / n;
        let spread: f64 = TEMPERATURES.iter().map(|t| (t - 20.0 - mean).powi(2)).sum();
        let (mut height, mut slope) = (T::from(0.0), T::from(0.0));
        for (t, correction) in TEMPERATURES.iter().zip(corrections) {
            height += *correction / n;
            slope += *correction * ((t - 20.0 - mean) / spread);
        }
        let intercept = height - slope * mean;
        vec![intercept, slope, intercept + slope * 10.0]
    }
}

#[test]
fn calibration_line() {
    let line = CalibrationLine.results(&CORRECTIONS);
    let squares: f64 = TEMPERATURES
        .iter()
        .zip(CORRECTIONS)
        .map(|(t, correction)| (correction - line[0] - line[1] * (t - 20.0)).powi(2))
        .sum();
    let s = (squares / 9.0).sqrt();
    close(s, 0.0035, 5e-5);
    let corrections: Vec<Uncertain> = CORRECTIONS
        .iter()
        .enumerate()
        .map(|(i, value)| Uncertain { value: *value, moves: vec![(i, s)] })
        .collect();
    let result = propagate(&CalibrationLine, &corrections, 11);
    for (row, value, uncertainty, digit) in
        [(0, -0.1712, 0.0029, 1e-4), (1, 0.00218, 0.00067, 1e-5), (2, -0.1494, 0.0041, 1e-4)]
    {
        close(result.value(row), value, digit / 2.0);
        close(result.standard_uncertainty(row), uncertainty, digit / 2.0);
        // A line is linear in what was observed.
        assert_eq!(result.second_order(row), 0.0);
    }
    // Correlation of intercept and slope, −0.930.
    let dot: f64 = result.contributions(0).iter().zip(result.contributions(1)).map(|(a, b)| a * b).sum();
    close(dot / (result.standard_uncertainty(0) * result.standard_uncertainty(1)), -0.930, 5e-4);
    assert_eq!(result.variance_shares(0).len(), 11);
}
