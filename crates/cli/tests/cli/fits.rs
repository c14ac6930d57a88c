//! `fits`: do these parts go on this bike?

use crate::run::run;

#[test]
fn what_goes_together_does_so_with_status_0() {
    let ran = run(&["fits", "demo:bulrush-150"]).fine();
    assert!(
        ran.out.contains("What is known goes together.") && ran.out.contains("Rear axle: fits"),
        "{}",
        ran.out
    );
    // A caution is never left out.
    assert!(ran.out.contains("it clears no damaged part"), "{}", ran.out);
}

#[test]
fn what_takes_an_adapter_lists_it_with_status_1() {
    let ran = run(&["fits", "demo:bulrush-150", "front hub 15x100", "seat post 27.2"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    for words in ["Not as it is: it takes what is listed below.", "It takes", "a shim from 27.2 to 31.6"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    assert!(ran.out.contains("can come out"), "the caution about wheels: {}", ran.out);
    let ran = run(&["fits", "demo:bulrush-150", "seat post 34.9"]);
    assert_eq!(ran.status, 1);
    assert!(ran.out.contains("It does not go together.") && !ran.out.contains("It takes"), "{}", ran.out);
}

#[test]
fn what_is_not_known_is_asked_for() {
    let ran = run(&["fits", "demo:yarrow", "front hub 12x100"]).fine();
    assert!(ran.out.contains("It cannot be said yet.") && ran.out.contains("Which axle does the fork take?"));
}

#[test]
fn json_says_the_same() {
    let ran = run(&["fits", "demo:bulrush-150", "front hub 15x100", "bar clamp 35", "--json"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    let object = ran.json();
    let outcome = |name: &str| {
        let all = object["verdicts"].as_array().expect("a list");
        all.iter().find(|verdict| verdict["requirement"] == name).expect(name)["outcome"].clone()
    };
    assert_eq!((outcome("front_axle"), outcome("bar_clamp")), ("does_not_fit".into(), "does_not_fit".into()));
    assert_eq!(outcome("rear_axle"), "fits");
    assert_eq!(object["needs"].as_array().map(Vec::len), Some(1));
    assert!(object["cautions"].as_array().is_some_and(|cautions| cautions.len() > 1));
}

#[test]
fn a_part_that_is_none_is_an_error() {
    let ran = run(&["fits", "demo:bulrush-150", "fork axle 15x111"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("did you mean `15 × 110`?"), "{}", ran.err);
}
