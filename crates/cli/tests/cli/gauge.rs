//! `gauge`: what do I have?

use serde_json::Value;

use crate::run::run;

#[test]
fn one_reading_lists_what_it_can_be_and_asks_for_the_next() {
    let ran = run(&["gauge", "axle 15"]).fine();
    assert!(
        ran.out.contains("15 × 110") && ran.out.contains("Measure next: over-locknut dimension"),
        "{}",
        ran.out
    );
    let ran = run(&["gauge", "axle 15", "hub width 110 ± 0.5"]).fine();
    assert!(ran.out.starts_with("Front axle and hub: 15 × 110"), "{}", ran.out);
    assert!(!ran.out.contains("Measure next"), "{}", ran.out);
}

#[test]
fn without_a_reading_everything_that_can_be_measured_is_listed() {
    let ran = run(&["gauge"]).fine();
    for measure in knockon_trade::tables::measures() {
        assert!(ran.out.contains(&measure.say[0]), "{}", measure.id);
    }
}

#[test]
fn every_faulty_reading_is_told_and_nothing_else() {
    let ran = run(&["gauge", "axel 15", "post 900", "bar 31.8"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("did you mean `axle`?") && ran.err.contains("cannot be 900 mm"), "{}", ran.err);
    assert!(ran.out.is_empty(), "{}", ran.out);
}

#[test]
fn json_has_the_same_in_figures() {
    let ran = run(&["gauge", "post 31.65", "--json"]).fine();
    let object: Value = serde_json::from_str(&ran.out).expect("JSON");
    let matches = object["matches"].as_array().expect("a list");
    assert_eq!(matches[0]["standard"], "31.6");
    let share: f64 = matches.iter().map(|it| it["share"].as_f64().expect("a number")).sum();
    assert!((share - 1.0).abs() < 1e-9);
    assert_eq!(object["readings"][0]["measure"], "post_diameter");
}
