//! Press fits against published examples, and against the equations of elasticity solved here step by step.

use knockon_engine::press_fit::{Material, PressFit, interference};
use num_dual::{Dual2_64, Dual64};
use proptest::prelude::*;

const STEEL: Material<f64> = Material { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
const BRONZE: Material<f64> = Material { youngs_modulus: 105_000.0, poissons_ratio: 0.3 };
const ALUMINIUM: Material<f64> = Material { youngs_modulus: 70_000.0, poissons_ratio: 0.33 };
const SOFT: Material<f64> = Material { youngs_modulus: 2_500.0, poissons_ratio: 0.45 };

fn fit([cup_inner, contact, tube_outer]: [f64; 3], cup: Material<f64>, tube: Material<f64>) -> PressFit<f64> {
    PressFit { cup_inner, contact, tube_outer, cup, tube }
}

fn near(computed: f64, expected: f64, relative: f64) {
    assert!((computed / expected - 1.0).abs() < relative, "{computed} instead of {expected}");
}

/// A bronze bush of 40 and 60 mm in a steel cylinder of 120 mm, 0.05 mm on the radius, 105 and 210 GPa, ν = 0.3 (seen as solution
/// text, qammunity.org/10378823): 53.3 MPa; 88.8 MPa at the steel's bore, −191.9 MPa at the bronze's.
#[test]
fn bronze_bush() {
    let fit = fit([20.0, 30.0, 60.0], BRONZE, STEEL);
    let pressure = fit.pressure(interference(60.1, 60.0));
    assert!((pressure - 53.3).abs() < 0.05, "{pressure}");
    assert!((fit.tube_hoop_stress(pressure) - 88.8).abs() < 0.05);
    assert!((fit.cup_hoop_stress(pressure) + 191.9).abs() < 0.05);
}

/// A solid shaft of 100 mm in a sleeve of 150 mm, 0.1 mm on the diameter, 210 GPa, 50 mm long, μ = 0.15 (seen at
/// novasolver.jp/en/tools/shrink-fit-stress.html): 58.3 MPa, 151.7 MPa at the bore, −58.3 MPa in the shaft, and 6.87 kN·m, which is
/// the force times the radius.
#[test]
fn shaft_in_sleeve() {
    let fit = fit([0.0, 50.0, 75.0], STEEL, STEEL);
    let pressure = fit.pressure(0.1);
    assert!((pressure - 58.3).abs() < 0.05, "{pressure}");
    assert!((fit.tube_hoop_stress(pressure) - 151.7).abs() < 0.05);
    assert!((fit.cup_hoop_stress(pressure) + 58.3).abs() < 0.05);
    assert!((fit.force(pressure, 0.15, 50.0) * 0.05 - 6_870.0).abs() < 5.0);
}

/// A solid shaft of 50 mm in a hub of 80 mm, 210 GPa, 40 mm long, μ = 0.12 (seen at aionlinecalculator.com/press-fit-calculator.html):
/// 25.6, 51.2 and 76.8 MPa for 0.02, 0.04 and 0.06 mm on the diameter; for 0.04 mm 38.6 kN and 117 MPa.
#[test]
fn shaft_in_hub() {
    let fit = fit([0.0, 25.0, 40.0], STEEL, STEEL);
    for (interference, pressure) in [(0.02, 25.6), (0.04, 51.2), (0.06, 76.8)] {
        assert!((fit.pressure(interference) - pressure).abs() < 0.05);
    }
    let pressure = fit.pressure(0.04);
    assert!((fit.force(pressure, 0.12, 40.0) - 38_600.0).abs() < 50.0);
    assert!((fit.tube_hoop_stress(pressure) - 117.0).abs() < 0.5);
}

/// Shigley's Mechanical Engineering Design, 9th edition, page 116, equation 3-57 (seen as page text), for one material, δ on the radius:
/// p = E·δ/(2R³) · (r_o² − R²)(R² − r_i²)/(r_o² − r_i²). For a solid shaft that is E·δ/(2R) · (r_o² − R²)/r_o². Poisson's ratio has
/// no say.
#[test]
fn one_material() {
    for [inner, contact, outer] in [[0.0, 20.0, 25.0], [1.0, 20.0, 60.0], [16.0, 22.0, 24.0]] {
        let (delta, modulus) = (0.04_f64, 70_000.0);
        let walls = (outer * outer - contact * contact) * (contact * contact - inner * inner)
            / (outer * outer - inner * inner);
        let expected = modulus * delta / (2.0 * contact * contact * contact) * walls;
        for poissons_ratio in [0.0, 0.33, 0.5] {
            let material = Material { youngs_modulus: modulus, poissons_ratio };
            near(fit([inner, contact, outer], material, material).pressure(2.0 * delta), expected, 1e-12);
        }
        if inner == 0.0 {
            let solid = modulus * delta / (2.0 * contact) * (1.0 - contact * contact / (outer * outer));
            near(expected, solid, 1e-12);
        }
    }
}

/// Displacement u and radial stress of a ring at its other face, by Runge and Kutta's fourth order from one face to the other.
///
/// Equilibrium dσ_r/dr = (σ_θ − σ_r)/r, Hooke's law in plane stress, strains u/r and du/dr: nothing of a closed solution is in it.
fn across(material: Material<f64>, from: f64, to: f64, start: [f64; 2]) -> [f64; 2] {
    const STEPS: u32 = 4_000;
    let slope = |r: f64, [u, radial]: [f64; 2]| {
        let hoop = hoop(material, r, [u, radial]);
        [(radial - material.poissons_ratio * hoop) / material.youngs_modulus, (hoop - radial) / r]
    };
    let step = (to - from) / f64::from(STEPS);
    let mut state = start;
    for count in 0..STEPS {
        let r = from + step * f64::from(count);
        let moved =
            |by: f64, slope: [f64; 2]| [state[0] + by * step * slope[0], state[1] + by * step * slope[1]];
        let a = slope(r, state);
        let b = slope(r + step / 2.0, moved(0.5, a));
        let c = slope(r + step / 2.0, moved(0.5, b));
        let d = slope(r + step, moved(1.0, c));
        for it in 0..2 {
            state[it] += step / 6.0 * (a[it] + 2.0 * b[it] + 2.0 * c[it] + d[it]);
        }
    }
    state
}

/// Hooke's law along the hoop: E·u/r = σ_θ − ν·σ_r.
fn hoop(material: Material<f64>, r: f64, [u, radial]: [f64; 2]) -> f64 {
    material.youngs_modulus * u / r + material.poissons_ratio * radial
}

/// Pressure and both hoop stresses from shooting: each ring from its free face to the contact, scaled so that both press equally and
/// their displacements make up the interference.
fn shot(fit: &PressFit<f64>, interference: f64) -> [f64; 3] {
    let (cup, tube, contact) = (fit.cup, fit.tube, fit.contact);
    let (face, cup_start) = if fit.cup_inner == 0.0 {
        // The equations are singular in the middle. By symmetry σ_r = σ_θ there, which a small core has all over.
        let r = contact / 100.0;
        (r, [r, cup.youngs_modulus / (1.0 - cup.poissons_ratio)])
    } else {
        (fit.cup_inner, [1.0, 0.0])
    };
    let [cup_moves, cup_stress] = across(cup, face, contact, cup_start);
    let [tube_moves, tube_stress] = across(tube, fit.tube_outer, contact, [1.0, 0.0]);
    let pressure = interference / 2.0 / (cup_moves / cup_stress - tube_moves / tube_stress);
    let (cup_scale, tube_scale) = (-pressure / cup_stress, -pressure / tube_stress);
    [
        pressure,
        hoop(tube, contact, [tube_scale * tube_moves, -pressure]),
        cup_scale * hoop(cup, face, cup_start),
    ]
}

#[test]
fn elasticity_step_by_step() {
    let radii =
        [[20.0, 22.0, 24.5], [16.0, 20.0, 25.0], [2.0, 20.0, 80.0], [21.5, 22.0, 22.4], [0.0, 20.0, 25.0]];
    for radii in radii {
        for (cup, tube) in [(STEEL, STEEL), (ALUMINIUM, STEEL), (STEEL, ALUMINIUM), (SOFT, ALUMINIUM)] {
            let fit = fit(radii, cup, tube);
            let [pressure, tube_hoop, cup_hoop] = shot(&fit, 0.05);
            let computed = fit.pressure(0.05);
            near(computed, pressure, 1e-6);
            near(fit.tube_hoop_stress(computed), tube_hoop, 1e-6);
            near(fit.cup_hoop_stress(computed), cup_hoop, 1e-6);
        }
    }
}

/// Half a thin ring cut open: σ·t = p·r. And the two rings' changes of radius, p·r²/(E·t), make up the interference. Both hold up to
/// some multiple of t/r.
#[test]
fn thin_rings() {
    let (r, share) = (20.0, 1e-5);
    let (cup_wall, tube_wall) = (r * share, 2.0 * r * share);
    let fit = fit([r - cup_wall, r, r + tube_wall], STEEL, ALUMINIUM);
    let pressure = fit.pressure(0.05);
    near(fit.tube_hoop_stress(pressure), pressure * r / tube_wall, 1e-4);
    near(fit.cup_hoop_stress(pressure), -pressure * r / cup_wall, 1e-4);
    let yields = 1.0 / (210_000.0 * cup_wall) + 1.0 / (70_000.0 * tube_wall);
    near(pressure, 0.05 / 2.0 / (r * r * yields), 1e-4);
}

/// The smallest hole doubles the stress of a solid part (from the limit of Lamé's solution; also Kirsch's for equal tension all
/// round, from memory) but not the pressure.
#[test]
fn smallest_hole() {
    let solid = fit([0.0, 20.0, 25.0], ALUMINIUM, STEEL);
    let drilled = PressFit { cup_inner: 1e-4, ..solid };
    near(drilled.pressure(0.05), solid.pressure(0.05), 1e-9);
    near(drilled.cup_hoop_stress(10.0), 2.0 * solid.cup_hoop_stress(10.0), 1e-9);
}

#[test]
fn loose_is_without_pressure() {
    let fit = fit([16.0, 20.0, 25.0], STEEL, ALUMINIUM);
    for loose in [interference(43.9, 44.0), 0.0, -1e-12] {
        let pressure = fit.pressure(loose);
        assert_eq!(pressure, 0.0);
        assert_eq!(fit.tube_hoop_stress(pressure), 0.0);
        assert_eq!(fit.cup_hoop_stress(pressure), 0.0);
        assert_eq!(fit.force(pressure, 0.15, 10.0), 0.0);
    }
}

#[test]
fn unsound_rings_give_nan() {
    let sound = fit([16.0, 20.0, 25.0], STEEL, ALUMINIUM);
    let with = |youngs_modulus: f64, poissons_ratio: f64| Material { youngs_modulus, poissons_ratio };
    let unsound = [
        PressFit { cup_inner: -1.0, ..sound },
        PressFit { cup_inner: 20.0, ..sound },
        PressFit { contact: 25.0, ..sound },
        PressFit { contact: 0.0, cup_inner: 0.0, ..sound },
        PressFit { tube_outer: f64::INFINITY, ..sound },
        PressFit { tube_outer: f64::NAN, ..sound },
        PressFit { cup: with(0.0, 0.3), ..sound },
        PressFit { cup: with(210_000.0, -1.0), ..sound },
        PressFit { tube: with(-1.0, 0.3), ..sound },
        PressFit { tube: with(f64::INFINITY, 0.3), ..sound },
        PressFit { tube: with(70_000.0, 0.51), ..sound },
        PressFit { tube: with(70_000.0, f64::NAN), ..sound },
    ];
    for fit in unsound {
        // Loose or tight: what is not known to be a ring says nothing.
        assert!(fit.pressure(0.05).is_nan() && fit.pressure(-0.05).is_nan(), "{fit:?}");
        assert!(fit.tube_hoop_stress(10.0).is_nan() && fit.cup_hoop_stress(10.0).is_nan(), "{fit:?}");
        assert!(fit.force(10.0, 0.1, 10.0).is_nan(), "{fit:?}");
    }
    assert!(sound.pressure(f64::NAN).is_nan());
    assert!(sound.tube_hoop_stress(-1.0).is_nan() && sound.cup_hoop_stress(f64::NAN).is_nan());
    assert!(sound.force(10.0, -0.1, 10.0).is_nan() && sound.force(10.0, 0.1, -10.0).is_nan());
}

/// The rings' eight numbers from inside to outside, cup before tube, interference last.
fn pressure_of<T: knockon_engine::Scalar>(numbers: [T; 8]) -> T {
    let [cup_inner, contact, tube_outer, cup_modulus, cup_ratio, tube_modulus, tube_ratio, interference] =
        numbers;
    let cup = Material { youngs_modulus: cup_modulus, poissons_ratio: cup_ratio };
    let tube = Material { youngs_modulus: tube_modulus, poissons_ratio: tube_ratio };
    PressFit { cup_inner, contact, tube_outer, cup, tube }.pressure(interference)
}

#[test]
fn derivatives_match_differences() {
    let numbers = [16.0, 20.0, 25.0, 210_000.0, 0.3, 70_000.0, 0.33, 0.05];
    for which in 0..numbers.len() {
        let mut dual = numbers.map(Dual64::from);
        dual[which] = dual[which].derivative();
        let step = numbers[which] * 1e-5;
        let moved = |by: f64| {
            let mut moved = numbers;
            moved[which] += by;
            pressure_of(moved)
        };
        let difference = (moved(step) - moved(-step)) / (2.0 * step);
        near(pressure_of(dual).eps, difference, 1e-6);
    }
}

/// In proportion to the interference while tight, with nothing of second order; none at all while loose; at 0 that of the tight side.
#[test]
fn derivative_by_interference() {
    let fit = PressFit {
        cup_inner: Dual2_64::from(16.0),
        contact: Dual2_64::from(20.0),
        tube_outer: Dual2_64::from(25.0),
        cup: Material { youngs_modulus: Dual2_64::from(70_000.0), poissons_ratio: Dual2_64::from(0.33) },
        tube: Material { youngs_modulus: Dual2_64::from(70_000.0), poissons_ratio: Dual2_64::from(0.33) },
    };
    // 70 000 N/mm² / (40 mm · 82/9), by hand.
    let slope = 70_000.0 / 40.0 * 9.0 / 82.0;
    for interference in [0.0, 0.041] {
        let pressure = fit.pressure(Dual2_64::from(interference).derivative());
        near(pressure.v1, slope, 1e-12);
        assert!(pressure.v2.abs() < 1e-9);
    }
    assert_eq!(fit.pressure(Dual2_64::from(-0.041).derivative()).v1, 0.0);
}

fn material() -> impl Strategy<Value = Material<f64>> {
    (1_000.0..400_000.0, -0.5..0.5_f64)
        .prop_map(|(youngs_modulus, poissons_ratio)| Material { youngs_modulus, poissons_ratio })
}

/// From solid to a foil, both ways.
fn any_fit() -> impl Strategy<Value = PressFit<f64>> {
    let hole = prop_oneof![1 => Just(0.0), 4 => 0.0..0.999];
    (hole, 5.0..40.0, 1.001..5.0, material(), material()).prop_map(|(hole, contact, wall, cup, tube)| {
        PressFit { cup_inner: hole * contact, contact, tube_outer: wall * contact, cup, tube }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn pressure_grows_with_interference(fit in any_fit(), tight in 0.0..0.2, more in 1e-6..0.2) {
        prop_assert!(fit.pressure(tight) >= 0.0);
        prop_assert!(fit.pressure(tight + more) > fit.pressure(tight));
    }

    /// A stiffer or thicker partner never makes a fit softer.
    #[test]
    fn pressure_grows_with_either_wall(fit in any_fit(), by in 1.01..2.0) {
        let pressure = fit.pressure(0.05);
        let tube = Material { youngs_modulus: fit.tube.youngs_modulus * by, ..fit.tube };
        let cup = Material { youngs_modulus: fit.cup.youngs_modulus * by, ..fit.cup };
        let firmer = [
            PressFit { tube, ..fit },
            PressFit { cup, ..fit },
            PressFit { tube_outer: fit.tube_outer * by, ..fit },
        ];
        for fit in firmer {
            prop_assert!(fit.pressure(0.05) > pressure);
        }
        let thicker = PressFit { cup_inner: fit.cup_inner / by, ..fit };
        prop_assert!(thicker.pressure(0.05) >= pressure);
    }

    #[test]
    fn hoop_stress_is_at_least_the_pressure(fit in any_fit(), pressure in 0.0..500.0) {
        prop_assert!(fit.tube_hoop_stress(pressure) >= pressure);
        prop_assert!(fit.cup_hoop_stress(pressure) <= -pressure);
    }

    /// Everything twice as large: the same stresses, four times the force.
    #[test]
    fn size_has_no_say_in_stress(fit in any_fit(), interference in 0.001..0.2) {
        let PressFit { cup_inner, contact, tube_outer, cup, tube } = fit;
        let twice = PressFit { cup_inner: 2.0 * cup_inner, contact: 2.0 * contact, tube_outer: 2.0 * tube_outer, cup, tube };
        let (small, large) = (fit.pressure(interference), twice.pressure(2.0 * interference));
        prop_assert!((large / small - 1.0).abs() < 1e-12);
        prop_assert!((twice.force(large, 0.1, 20.0) / fit.force(small, 0.1, 10.0) - 4.0).abs() < 1e-11);
    }
}
