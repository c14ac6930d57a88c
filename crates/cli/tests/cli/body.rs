//! `body`: where to begin, from measures of a rider.

use crate::run::{Folder, finish, flat, run};
use crate::words;

/// 0.883 · 830 = 732.89 and, on a crank of 170 mm, 1.09 · 830 − 170 = 734.7: factors as quoted by Peveler et al., J. Exerc. Physiol.
/// online 8(1):51–55, 2005. The demo's Alder has its saddle at 28.5 in = 723.9 mm.
#[test]
fn measures_and_a_record_give_starting_points() {
    let ran = run(&["body", "inseam 830", "shoulder width 400", "--on", "demo:alder-e"]).fine();
    let text = flat(&ran.out);
    assert!(text.starts_with("Starting points, no fitting and no medical advice."), "{text}");
    assert!(text.contains("733 mm ± 9") && text.contains("735 mm ± 11"), "{text}");
    assert!(text.contains("The record has 724 mm ± 2: 9 mm less"), "{text}");
    assert!(text.contains("agree on a crank of 171.8 mm"), "{text}");
    words!(ran);
}

#[test]
fn without_a_crank_the_pedal_is_as_far_as_a_rule_goes() {
    let ran = run(&["body", "inseam 32.7 in ± 0.2", "thigh 420", "lower leg 480", "--bar", "drop"]).fine();
    assert!(ran.out.contains("Pedal axle to top of saddle"), "{}", ran.out);
    words!(ran);
}

#[test]
fn without_a_measure_everything_that_can_be_measured_is_listed() {
    let ran = run(&["body"]).fine();
    for measure in knockon_trade::tables::body_measures() {
        assert!(ran.out.contains(&measure.reading()), "{}", measure.id);
    }
    words!(ran);
}

#[test]
fn a_record_without_a_rider_asks_for_one() {
    let folder = Folder::new();
    folder.write("empty.toml", "");
    let ran = folder.run(&["body", "--on", "empty.toml"]).fine();
    assert!(ran.out.contains("No rule takes these measures alone."), "{}", ran.out);
}

#[test]
fn every_faulty_measure_is_told_and_nothing_else() {
    let ran = run(&["body", "insaem 830", "tibia 3800", "inseam 830", "inside leg 840"]).refused();
    for says in ["did you mean `inseam`?", "cannot be 3800 mm", "was told before"] {
        assert!(ran.err.contains(says), "{says}: {}", ran.err);
    }
}

#[test]
fn json_has_the_same_in_figures() {
    let object = run(&["body", "inseam 830", "--on", "demo:larch-150", "--json"]).fine().json();
    assert!(object["is"].as_str().is_some_and(|is| is.starts_with("Starting points")));
    let points = object["starting_points"].as_array().expect("a list");
    assert_eq!(points[0]["what"], "saddle_height");
    let near = |value: &serde_json::Value, expected: f64| {
        assert!((value.as_f64().expect("a number") - expected).abs() < 1e-9, "{value} is not {expected}");
    };
    // 0.883 · 830, 1.09 · 830 and 0.207 · 830; the demo's Larch has its saddle at 735 mm.
    near(&points[0]["value"], 732.89);
    near(&points[0]["record"]["more"], 2.11);
    near(&points[1]["target"]["value"], 904.7);
    assert_eq!(points[1]["target"]["quantity"], "saddle_to_pedal");
    near(&object["apart"][0]["agree_on_crank"], 171.81);
    for point in points {
        for key in ["source", "weakness", "says"] {
            assert!(point[key].as_str().is_some_and(|text| text.len() > 6), "{point}");
        }
    }
}

/// Cautions stand before the first figure, whole, at any width, in text and JSON.
#[test]
fn cautions_go_before_everything() {
    let folder = Folder::new();
    let asked =
        ["body", "inseam 830", "thigh 420", "lower leg 480", "shoulders 400", "--on", "demo:larch-150"];
    let object = folder.run(&[&asked[..], &["--json"]].concat()).json();
    let cautions = object["cautions"].as_array().expect("a list");
    assert!(cautions.len() > 4, "{cautions:?}");
    for columns in ["20", "33", "80"] {
        let mut command = folder.command(&asked);
        command.env("COLUMNS", columns);
        let text = flat(&finish(command, None).out);
        let first = text.find("Larch").expect("the bike");
        let mut rest = &text[..first];
        for caution in cautions {
            let caution = flat(caution.as_str().expect("a text"));
            let (_, after) =
                rest.split_once(&caution).unwrap_or_else(|| panic!("{columns}: lacks {caution}"));
            rest = after;
        }
    }
}
