//! `knockon what-if`: exit status, where input comes from, warnings.

use crate::run::{Folder, difference, run};
use crate::words;

const LARCH: &str = include_str!("../../../../demo/bikes/larch-150.toml");

#[test]
fn a_change_that_fits_exits_0() {
    let ran = run(&["what-if", "demo:larch-150", "spacers below by -15"]).fine();
    assert!(ran.out.contains("Fits"), "{}", ran.out);
    words!(ran);
}

#[test]
fn a_change_that_does_not_fit_exits_1() {
    // 576 mm against the 566 mm that the record says the frame's maker allows.
    let ran = run(&["what-if", "demo:larch-150", "fork axle-to-crown 576"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    assert!(ran.out.contains("Does not fit"), "{}", ran.out);
}

#[test]
fn measure_first_and_cannot_say_are_answers() {
    // The front gap of this bike is not in its record.
    let ran = run(&["what-if", "demo:larch-150", "front tyre 64-622", "--json"]).fine();
    assert!(ran.out.contains("cannot_say"));
    // A gap of 9.5 ± 2 mm less 3 mm against 6 mm.
    let ran = run(&["what-if", "demo:larch-150", "rear tyre 64-622", "--json"]).fine();
    assert!(ran.out.contains("measure_first"));
}

#[test]
fn changes_come_from_a_file_with_comments() {
    let folder = Folder::new();
    folder.write(
        "wishes.txt",
        "# the rider's wishes\n\nspacers below by -15\r\n  # and then\nbar rise by +15\n",
    );
    let ran = folder.run(&["what-if", "demo:larch-150", "--changes-from", "wishes.txt", "--json"]).fine();
    let answer = ran.json();
    let letters: Vec<&str> =
        answer["revisions"].as_array().unwrap().iter().filter_map(|row| row["letter"].as_str()).collect();
    assert_eq!(letters, ["A", "B"]);
    let typed =
        run(&["what-if", "demo:larch-150", "spacers below by -15", "bar rise by +15", "--json"]).fine();
    assert_eq!(ran.out, typed.out, "from a file or typed, it is the same question");
}

#[test]
fn changes_typed_come_before_those_from_a_file() {
    let folder = Folder::new();
    folder.write("wishes.txt", "bar rise 40");
    let arguments = ["what-if", "demo:larch-150", "stem length 40", "--changes-from", "wishes.txt", "--json"];
    let answer = folder.run(&arguments).fine().json();
    assert_eq!(answer["revisions"][0]["change"], "stem length 40");
    assert_eq!(answer["revisions"][1]["change"], "bar rise 40");
}

#[test]
fn changes_come_from_standard_input() {
    let ran = Folder::new().run_with_input(
        &["what-if", "demo:larch-150", "--changes-from", "-", "--json"],
        "spacers below by -15\n",
    );
    assert_eq!(ran.fine().json()["revisions"][0]["change"], "spacers below by -15");
}

#[test]
fn a_record_comes_from_a_file_or_standard_input() {
    let folder = Folder::new();
    folder.write("larch.toml", LARCH);
    let from_demo = folder.run(&["what-if", "demo:larch-150", "stem length 40", "--json"]).fine();
    let from_file = folder.run(&["what-if", "larch.toml", "stem length 40", "--json"]).fine();
    let from_input = folder.run_with_input(&["what-if", "-", "stem length 40", "--json"], LARCH).fine();
    assert_eq!(from_file.out, from_demo.out);
    assert_eq!(from_input.out, from_demo.out);
}

#[test]
fn a_record_as_windows_editors_save_it_is_read() {
    let folder = Folder::new();
    folder.write("larch.toml", format!("\u{feff}{}", LARCH.replace('\n', "\r\n")));
    let answer = folder.run(&["what-if", "larch.toml", "spacers below by -15", "--json"]).fine().json();
    assert_eq!(answer["bike"]["name"], "Larch 150");
    assert!(difference(&answer, "grip_stack") < -13.0);
}

#[test]
fn an_unusual_value_is_warned_about_and_used() {
    let ran = run(&["what-if", "demo:larch-150", "stem length 145", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("unusual") && ran.err.contains("change:1:13"), "{}", ran.err);
    assert_eq!(ran.json()["revisions"][0]["after"], "145", "the warning is not in the JSON");
}

#[test]
fn the_title_block_says_what_it_was_told() {
    let told = ["--asked", "Too long?", "--workshop", "Weir Street", "--sheet", "0007 / 2"];
    let ran = run(&[&["what-if", "demo:larch-150", "stem length 40"], &told[..]].concat()).fine();
    for words in ["Too long?", "Weir Street", "0007 / 2", "Larch 150, size M"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
}

#[test]
fn the_order_of_changes_does_not_matter_to_the_sum() {
    let one_way = run(&["what-if", "demo:larch-150", "stem length 40", "bar roll 5", "--json"]).fine().json();
    let other = run(&["what-if", "demo:larch-150", "bar roll 5", "stem length 40", "--json"]).fine().json();
    for quantity in ["grip_stack", "grip_reach", "saddle_to_grip_drop"] {
        assert!((difference(&one_way, quantity) - difference(&other, quantity)).abs() < 1e-9, "{quantity}");
    }
}
