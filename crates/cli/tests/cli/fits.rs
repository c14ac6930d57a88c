//! `fits`: do these parts go on this bike?

use crate::run::run;

#[test]
fn what_goes_together_does_so_with_status_0() {
    let ran = run(&["fits", "demo:bulrush-150"]).fine();
    assert!(
        ran.out.contains("What is known goes together.") && ran.out.contains("rear axle; "),
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
    let things = object["shopping"].as_array().expect("a list");
    assert!(
        things.iter().any(|thing| thing["what"].as_str().is_some_and(|what| what.contains("5 mm a side")))
    );
    assert!(things.iter().any(|thing| thing["what"] == "another stem: for a bar of 35 mm"), "{things:?}");
    assert!(object["cautions"].as_array().is_some_and(|cautions| cautions.len() > 1));
}

#[test]
fn a_part_that_is_none_is_an_error() {
    let ran = run(&["fits", "demo:bulrush-150", "fork axle 15x111"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("did you mean `15 × 110`?"), "{}", ran.err);
}

#[test]
fn a_list_is_ranked_with_every_caution() {
    let ran = run(&["fits", "demo:bulrush-150", "--list", "demo:stock"]).fine();
    for words in [
        "Fits (",
        "Fits with something in between (",
        "Does not fit (",
        "a shim from 27.2 to 31.6",
        "can come out",
    ] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let object = run(&["fits", "demo:bulrush-150", "--list", "demo:stock", "--json"]).fine().json();
    let parts = object["parts"].as_array().expect("a list");
    assert_eq!(parts[0]["outcome"], "fits");
    assert!(parts.len() > 30 && object["cautions"].as_array().is_some_and(|cautions| cautions.len() > 5));
}

#[test]
fn a_list_with_a_bad_line_tells_the_others_and_ends_with_status_2() {
    let list = std::env::temp_dir().join(format!("knockon-list-{}.csv", std::process::id()));
    std::fs::write(&list, "part,fork axle\nGood,15 × 110\nBad,15 × 111\n").expect("a file");
    let ran = run(&["fits", "demo:bulrush-150", "--list", list.to_str().expect("a path")]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert!(ran.out.contains("Good") && !ran.out.contains("Bad"), "{}", ran.out);
    assert!(ran.err.contains("cannot be `15 × 111`") && ran.err.contains("15 × 110"), "{}", ran.err);
    std::fs::remove_file(list).expect("its removal");
}
