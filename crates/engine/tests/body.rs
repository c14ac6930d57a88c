//! Starting points from body measures, against published figures and triangles worked out by hand.

use knockon_engine::bike::Bike;
use knockon_engine::rider::body::{
    KNEE_FLEXION, crank_on_which_inseam_rules_agree, pedal_to_saddle_by_inseam, pedal_to_saddle_by_knee,
    saddle_height_by_inseam, saddle_height_on_crank,
};
use knockon_engine::rider::knee_flexion;
use num_dual::Dual64;

#[track_caller]
fn close(value: f64, expected: f64, off: f64) {
    assert!((value - expected).abs() <= off, "{value} is not {expected}");
}

/// Factors as quoted by Peveler et al., J. Exerc. Physiol. online 8(1):51–55, 2005; products by hand for an inseam of 830 mm:
/// 0.883 · 830 = 732.89, 1.09 · 830 = 904.7, their difference 171.81 = 0.207 · 830.
#[test]
fn the_inseam_rules_at_830_mm() {
    close(saddle_height_by_inseam(830.0), 732.89, 1e-9);
    close(pedal_to_saddle_by_inseam(830.0), 904.7, 1e-9);
    close(crank_on_which_inseam_rules_agree(830.0), 171.81, 1e-9);
}

/// By the definition of that crank: the saddle stands at one height by both rules, and on a crank 10 mm longer the rule from
/// the pedal puts it 10 mm lower.
#[test]
fn the_inseam_rules_agree_on_one_crank() {
    for inseam in [600.0, 830.0, 950.0] {
        let crank = crank_on_which_inseam_rules_agree(inseam);
        let from_pedal = |crank: f64| saddle_height_on_crank(pedal_to_saddle_by_inseam(inseam), crank);
        close(from_pedal(crank), saddle_height_by_inseam(inseam), 1e-9);
        close(from_pedal(crank + 10.0), saddle_height_by_inseam(inseam) - 10.0, 1e-9);
    }
}

/// Triangles whose sides and angle are known without a computer:
/// a straight leg 420 + 480; a right angle 5–12–13 (times 40); 60° of flexion leaves an angle of 120°, and sides 3 and 5 with
/// 120° between them have the third side 7 (9 + 25 + 15 = 49); 120° of flexion leaves 60°, and 5 and 8 have 7 (25 + 64 − 40 = 49).
#[test]
fn the_knee_rule_by_triangles_of_whole_numbers() {
    let far =
        |thigh, lower_leg, flexion: f64| pedal_to_saddle_by_knee(thigh, lower_leg, flexion.to_radians());
    close(far(420.0, 480.0, 0.0), 900.0, 1e-9);
    close(far(200.0, 480.0, 90.0), 520.0, 1e-9);
    close(far(300.0, 500.0, 60.0), 700.0, 1e-9);
    close(far(500.0, 800.0, 120.0), 700.0, 1e-9);
}

/// By hand, with cosines from a four-figure table (cos 25° = 0.9063, cos 30° = 0.8660, cos 35° = 0.8192): thigh 420 and lower leg
/// 480 have 420² + 480² = 406 800 and 2 · 420 · 480 = 403 200, so the third side is √772 220 = 878.76, √755 971 = 869.47 and
/// √737 101 = 858.55. The table's last digit is worth 403 200 · 0.00005 / (2 · 858) = 0.012 mm.
#[test]
fn the_knee_rule_over_its_range() {
    let far = |flexion: f64| pedal_to_saddle_by_knee(420.0, 480.0, flexion.to_radians());
    close(far(25.0), 878.76, 0.02);
    close(far(30.0), 869.47, 0.02);
    close(far(35.0), 858.55, 0.02);
    assert_eq!(KNEE_FLEXION, [25.0, 35.0]);
}

/// The engine's own knee flexion, which has tests of its own, undone.
#[test]
fn the_knee_rule_undoes_knee_flexion() {
    let mut bike = Bike::unknown();
    for (thigh, lower_leg, crank) in [(420.0, 480.0, 170.0), (380.0, 510.0, 155.0), (470.0, 440.0, 180.0)] {
        for flexion in [1.0_f64, 25.0, 30.0, 35.0, 90.0, 120.0] {
            let far = pedal_to_saddle_by_knee(thigh, lower_leg, flexion.to_radians());
            (bike.thigh, bike.lower_leg, bike.crank_length) = (thigh, lower_leg, crank);
            bike.saddle_height = saddle_height_on_crank(far, crank);
            close(knee_flexion(&bike).to_degrees(), flexion, 1e-6);
        }
    }
}

/// A knee does not bend beyond straight in this model, and not by more than half a turn.
#[test]
fn a_flexion_that_no_knee_has_gives_no_height() {
    for flexion in [-0.1, 3.2, f64::NAN, f64::INFINITY] {
        assert!(pedal_to_saddle_by_knee(420.0, 480.0, flexion).is_nan(), "{flexion}");
    }
}

/// Derivative by hand at a right angle: d² = t² + l² + 2tl cos k, so ∂d/∂t = (t + l cos k) / d = 200 / 520 there.
#[test]
fn the_derivative_in_the_thigh_at_a_right_angle() {
    let thigh = Dual64::from(200.0).derivative();
    let right = Dual64::from(std::f64::consts::FRAC_PI_2);
    let far = pedal_to_saddle_by_knee(thigh, Dual64::from(480.0), right);
    close(far.re, 520.0, 1e-9);
    close(far.eps, 200.0 / 520.0, 1e-9);
}
