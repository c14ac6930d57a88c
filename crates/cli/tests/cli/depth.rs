//! `gears`, `chain`, `brakes`, `wheel` and `torque`: one thing in depth, and its JSON.

use crate::run::run;

#[test]
fn every_gear_of_a_bike() {
    let ran = run(&["gears", "demo:yarrow"]).fine();
    for words in ["22 gears", "30 × 36", "46 × 11", "502 %", "Turned over", "Caution"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    // What is not of this part is not told, and every number in brackets leads to a source.
    assert!(!ran.out.contains("boil") && !ran.out.contains("Spokes"), "{}", ran.out);
    let object = run(&["gears", "demo:yarrow", "rings 28-44", "--json"]).fine().json();
    let gears = &object["in_depth"]["gears"];
    assert_eq!(gears["after"].as_array().map(Vec::len), Some(22));
    assert_eq!((&gears["before"][0]["ring"], &gears["after"][0]["ring"]), (&30.0.into(), &28.0.into()));
    assert!(!object["cautions"].as_array().unwrap().is_empty());
}

#[test]
fn a_chain_with_its_growth() {
    let ran = run(&["chain", "demo:guelder-160"]).fine();
    assert!(ran.out.contains("pieces") && ran.out.contains("growth of its way"), "{}", ran.out);
    let ran = run(&["chain", "demo:yarrow"]).fine();
    assert!(ran.out.contains("It has worn by 0.26"), "{}", ran.out);
}

#[test]
fn brakes_on_a_way_down() {
    let ran =
        run(&["brakes", "demo:bulrush-150", "front rotor 203", "--gradient", "12", "--length", "6"]).fine();
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["Down 12 % for 6.0 km", "180 → 203 mm", "clears no brake", "good to a third at best"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let ran = run(&["brakes", "demo:yarrow", "--speed", "0"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("a speed of 0 km/h is out of range") && ran.out.is_empty(), "{}", ran.err);
    let ran = run(&["gears", "demo:sedge"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("does not say enough") && ran.err.contains("ring_teeth"), "{}", ran.err);
}

#[test]
fn wheels_with_their_spokes() {
    let ran = run(&["wheel", "demo:yarrow"]).fine();
    for words in ["28 spokes", "295.2", "Begin with", "always wins"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let object = run(&["wheel", "demo:yarrow", "rear rim offset 0", "--json"]).fine().json();
    let ratio = object["in_depth"]["wheels"][1]["spokes"]["left_over_right"].as_f64().unwrap();
    // Without the rim's offset the left side pulls less: 19.4 over 36.5 mm.
    assert!((50.0..56.0).contains(&ratio), "{ratio}");
}

#[test]
fn torques_of_joints_and_bolts_with_every_caution() {
    let ran = run(&["torque", "faceplate"]).fine();
    for words in ["Stem faceplate", "4 to 6", "always wins", "Carbon:", "check by hand"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let all = run(&["torque"]).fine();
    assert!(all.out.contains("Pedals") && all.out.contains("left-hand"), "{}", all.out);
    let ran = run(&["torque", "facplate"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("did you mean") && ran.err.contains("faceplate"), "{}", ran.err);
    let bolt = ["torque", "--thread", "M5", "--class", "8.8", "--torque", "20", "--makers", "5", "--json"];
    let object = run(&bolt).fine().json();
    assert_eq!(object["bolt"]["torque"], 5.0);
    assert_eq!(object["cautions"].as_array().map(Vec::len), Some(4));
    let ran = run(&["torque", "--thread", "M99"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("M12 × 1.5"), "{}", ran.err);
}
