//! `--json`: its keys, and its numbers against arithmetic by hand.

use serde_json::Value;

use crate::run::{difference, one, run};

/// Solved head angles differ from the chart's by hundredths of a degree, which is hundredths of a millimetre here.
const SOLVED: f64 = 0.05;
/// Head angle of the Larch 150's chart.
const HEAD_ANGLE: f64 = 64.5;

fn larch(changes: &[&str]) -> Value {
    let arguments = [&["what-if", "demo:larch-150"], changes, &["--json"]].concat();
    let ran = run(&arguments);
    assert!(ran.status < 2, "{}", ran.err);
    ran.json()
}

#[track_caller]
fn close(answer: &Value, quantity: &str, by_hand: f64) {
    let ours = difference(answer, quantity);
    assert!((ours - by_hand).abs() <= SOLVED, "{quantity}: {ours} is not {by_hand}");
}

/// Sine and cosine of the head angle.
fn axis() -> (f64, f64) {
    HEAD_ANGLE.to_radians().sin_cos()
}

#[test]
fn it_holds_the_keys_that_programs_read() {
    let answer = larch(&["fork axle-to-crown 576", "spacers below 5", "bar rise 40"]);
    for key in ["question", "bike", "revisions", "knock_ons", "verdicts", "missing", "cautions", "sources"] {
        assert!(answer.get(key).is_some(), "{key}");
    }
    for quantity in [
        "head_angle",
        "seat_angle",
        "stack",
        "reach",
        "wheelbase",
        "front_centre",
        "bottom_bracket_height",
        "trail",
        "mechanical_trail",
        "wheel_flop",
        "grip_stack",
        "grip_reach",
        "saddle_to_grip_drop",
        "saddle_setback",
        "pedal_to_ground_clearance",
    ] {
        assert!(one(&answer, "knock_ons", "quantity", quantity)["difference"].is_number(), "{quantity}");
    }
}

#[test]
fn it_keeps_to_its_schema() {
    let schema: Value = serde_json::from_str(knockon_sheet::json::SCHEMA).unwrap();
    let answer = larch(&["fork travel 170", "front tyre 64-622", "crank length 165"]);
    if let Err(error) = jsonschema::validate(&schema, &answer) {
        panic!("{error} at {}", error.instance_path());
    }
}

/// Spacers taken from below the stem let it slide down the steering axis. Common practice, no source.
#[test]
fn spacers_move_the_hands_along_the_steering_axis() {
    let answer = larch(&["spacers below by -15"]);
    let (sin, cos) = axis();
    close(&answer, "grip_reach", 15.0 * cos);
    close(&answer, "grip_stack", -15.0 * sin);
    close(&answer, "saddle_to_grip_reach", 15.0 * cos);
    close(&answer, "saddle_to_grip_drop", 15.0 * sin);
    for still in ["head_angle", "wheelbase", "bottom_bracket_height", "grip_width", "saddle_setback"] {
        assert!(difference(&answer, still).abs() < 1e-9, "{still} moved");
    }
    // 190 mm of steerer against 1 + 115 + 12 + 5 + 40 + 5 − 3 mm stacked on it.
    let steerer = one(&answer, "verdicts", "requirement", "steerer_length");
    assert_eq!(steerer["outcome"], "fits");
    assert!((steerer["margin"].as_f64().unwrap() - 15.0).abs() < 0.2, "{steerer}");
    let revision = &answer["revisions"][0];
    assert_eq!((&revision["before"], &revision["after"]), (&"20".into(), &"5".into()));
}

/// A shorter stem at 0° draws the hands back square to the steering axis. Common practice, no source.
#[test]
fn a_stem_moves_the_hands_square_to_the_steering_axis() {
    let answer = larch(&["stem length 40"]);
    let (sin, cos) = axis();
    close(&answer, "grip_reach", -10.0 * sin);
    close(&answer, "grip_stack", -10.0 * cos);
}

/// The Larch's bar stands with its rise straight up. Common practice, no source.
#[test]
fn rise_lifts_the_hands_straight_up() {
    let answer = larch(&["bar rise 40"]);
    close(&answer, "grip_reach", 0.0);
    close(&answer, "grip_stack", 15.0);
}

/// (saddle height + crank) and (bottom bracket − crank). Common practice, no source.
#[test]
fn shorter_cranks_shorten_the_leg_and_clear_the_ground() {
    let answer = larch(&["crank length 165"]);
    close(&answer, "saddle_to_pedal", -5.0);
    close(&answer, "pedal_to_ground_clearance", 5.0);
    close(&answer, "bottom_bracket_height", 0.0);
}

/// r·cos HA − offset, with r = 622/2 + 61 for a 61-622 tyre (ISO 5775) and an offset of 44: within its own ±.
#[test]
fn mechanical_trail_is_that_of_the_formula() {
    let answer = larch(&["stem length 40"]);
    let (sin, cos) = axis();
    let mechanical = (311.0 + 61.0) * cos - 44.0;
    for (quantity, by_hand) in [("mechanical_trail", mechanical), ("trail", mechanical / sin)] {
        let row = one(&answer, "knock_ons", "quantity", quantity);
        let (value, pm) = (row["before"].as_f64().unwrap(), row["before_pm"].as_f64().unwrap());
        assert!((value - by_hand).abs() <= pm && pm < 2.0, "{quantity}: {value} ±{pm} is not {by_hand}");
    }
}

#[test]
fn shares_add_up_to_the_difference() {
    let answer = larch(&[
        "fork axle-to-crown 576",
        "spacers below 5",
        "bar rise 40",
        "front tyre 64-622",
        "bar roll 8",
    ]);
    let mut told = 0;
    for row in answer["knock_ons"].as_array().unwrap() {
        let Some(difference) = row["difference"].as_f64() else { continue };
        let shares = row["shares"].as_object().unwrap();
        assert_eq!(shares.len(), 5, "{row}");
        let sum: f64 = shares.values().map(|share| share.as_f64().expect("a number")).sum();
        assert!((sum - difference).abs() < 1e-9, "{row}");
        told += 1;
    }
    assert!(told > 15, "only {told} quantities are known");
}

#[test]
fn after_is_before_and_the_difference() {
    let answer = larch(&["fork axle-to-crown 566", "bar rise 40"]);
    let mut both = 0;
    for row in answer["knock_ons"].as_array().unwrap() {
        if let (Some(before), Some(after)) = (row["before"].as_f64(), row["after"].as_f64()) {
            assert!((after - before - row["difference"].as_f64().unwrap()).abs() < 1e-9, "{row}");
            both += 1;
        }
    }
    assert!(both > 15, "only {both} quantities are known");
}

#[test]
fn no_outcome_but_does_not_fit_sets_the_status() {
    for (change, outcome, status) in [
        ("bar clamp 35.0", "does_not_fit", 1),
        ("bar clamp 31.8", "fits", 0),
        ("fork axle-to-crown 541", "cannot_say", 0),
        ("steerer length 190.2 ± 1", "measure_first", 0),
    ] {
        let ran = run(&["what-if", "demo:larch-150", change, "--json"]);
        let answer = ran.json();
        assert_eq!(answer["verdicts"][0]["outcome"], outcome, "{change}");
        assert_eq!(ran.status, status, "{change}");
    }
}
