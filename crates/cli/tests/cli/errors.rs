//! Bad input: exit status 2, nothing on standard output, and on standard error what, where and how to mend it.

use crate::run::{Folder, Ran, run};
use crate::words;

#[track_caller]
fn says(ran: &Ran, parts: &[&str]) {
    for part in parts {
        assert!(ran.err.contains(part), "no {part:?} in\n{}", ran.err);
    }
}

/// Asks a question of a record's text; the file is called `bike.toml`.
fn of_record(text: impl AsRef<[u8]>) -> Ran {
    let folder = Folder::new();
    folder.write("bike.toml", text);
    folder.run(&["what-if", "bike.toml", "stem length 40"]).refused()
}

fn of_change(change: &str) -> Ran {
    run(&["what-if", "demo:larch-150", change]).refused()
}

#[test]
fn a_misspelt_change() {
    let ran = of_change("stem lenght 40");
    says(&ran, &["change:1:1", "stem lenght", "did you mean `stem length`?"]);
    words!(ran);
}

#[test]
fn a_wrong_unit() {
    let ran = of_change("bar rise 4 kg");
    says(&ran, &["change:1:12", "`kg`", "mm, cm, m or in"]);
    words!(ran);
}

#[test]
fn every_bad_change_is_told_at_once() {
    let ran = run(&["what-if", "demo:larch-150", "stem lenght 40", "bar rise 40", "bar rize 41"]).refused();
    says(&ran, &["stem lenght", "bar rize"]);
}

#[test]
fn a_value_that_cannot_be() {
    for change in ["stem length 300", "stem length -40", "head angle 64", "spacers below 2 m"] {
        says(&of_change(change), &["help:", "change:1:"]);
    }
}

#[test]
fn numbers_that_are_none() {
    for change in
        ["stem length NaN", "stem length inf", "stem length 1e999", "stem length 4.0.0", "stem length --4"]
    {
        of_change(change);
    }
}

#[test]
fn words_of_another_alphabet() {
    says(&of_change("ステム 40"), &["change:1:1", "ステム"]);
    says(&of_change("🚲 40"), &["🚲"]);
    of_change("stem\u{0301} length 40");
    of_change("stem\u{202e} length 40");
    of_change(&"x".repeat(10_000));
}

#[test]
fn a_change_that_the_shell_took_to_pieces() {
    let ran = run(&["what-if", "demo:larch-150", "stem", "length", "40"]).refused();
    says(&ran, &["put a change in quotes: \"stem length 40\""]);
}

#[test]
fn the_same_thing_changed_twice() {
    let ran = run(&["what-if", "demo:larch-150", "stem length 40", "stem length 50"]).refused();
    says(&ran, &["stem length 40", "stem length 50", "change the same thing"]);
}

#[test]
fn too_many_changes() {
    let mut arguments = vec!["what-if", "demo:larch-150"];
    arguments.extend(["saddle height by 1"; 20]);
    says(&run(&arguments).refused(), &["at most 16 changes"]);
}

#[test]
fn very_many_changes_are_refused_without_delay_or_flood() {
    let folder = Folder::new();
    folder.write("steps.txt", "saddle height by 1\n".repeat(100_000));
    folder.write("noise.txt", "noise\n".repeat(100_000));
    for name in ["steps.txt", "noise.txt"] {
        let ran = folder.run(&["what-if", "demo:larch-150", "--changes-from", name]).refused();
        assert!(ran.err.lines().count() < 200, "{name}: {} lines", ran.err.lines().count());
    }
}

#[test]
fn bad_lines_of_a_file_are_told_with_their_numbers() {
    let folder = Folder::new();
    folder.write("wishes.txt", "# wishes\nstem length 40\n\nbar rize 40\nstem angle 5 kg\n");
    let ran = folder.run(&["what-if", "demo:larch-150", "--changes-from", "wishes.txt"]).refused();
    says(
        &ran,
        &["wishes.txt, line 4:", "bar rize", "did you mean `bar rise`?", "wishes.txt, line 5:", "`kg`"],
    );
    words!(ran);
}

#[test]
fn no_change() {
    says(&run(&["what-if", "demo:larch-150"]).refused(), &["at least one change", "help:", "stem length 40"]);
    for nothing in ["", " ; ", "# only a comment"] {
        says(&of_change(nothing), &["at least one change"]);
    }
}

#[test]
fn a_misspelt_key_of_a_record() {
    let ran = of_record("[chart]\nreach = 450\nstak = 616\n");
    says(&ran, &["bike.toml:3:1", "chart.stak", "did you mean `stack`?"]);
    words!(ran);
}

#[test]
fn a_record_that_is_no_toml() {
    says(&of_record("[chart]\nreach = \n"), &["bike.toml:2:", "not TOML"]);
    says(&of_record("reach: 450\nstack: 616\n"), &["bike.toml:1:", "not TOML"]);
}

#[test]
fn a_record_with_a_wrong_unit_or_kind() {
    says(&of_record("[chart]\nstack = 616\nreach = \"450 kg\"\n"), &["bike.toml:3:", "kg"]);
    says(&of_record("[chart]\nreach = true\n"), &["bike.toml:2:"]);
    says(&of_record("kind = \"unicycle\"\n"), &["bike.toml:1:", "unicycle"]);
}

#[test]
fn a_record_from_standard_input_is_named_so() {
    let ran =
        Folder::new().run_with_input(&["what-if", "-", "stem length 40"], "[chart]\nstak = 616\n").refused();
    says(&ran, &["standard input:2:1"]);
}

#[test]
fn a_record_nested_or_long_beyond_reason() {
    of_record(format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000)));
    of_record(format!("{} = 1", vec!["a"; 100_000].join(".")));
    says(&of_record("# filler\n".repeat(600_000)), &["larger than 4 MiB"]);
}

#[test]
fn a_file_that_is_not_there() {
    let ran = run(&["what-if", "missing.toml", "stem length 40"]).refused();
    says(&ran, &["cannot read missing.toml", "help:"]);
    let ran = run(&["what-if", "demo:larch-150", "--changes-from", "missing.txt"]).refused();
    says(&ran, &["cannot read missing.txt"]);
    says(&run(&["what-if", "larch-150", "stem length 40"]).refused(), &["did you mean demo:larch-150?"]);
}

#[test]
fn a_file_that_is_not_utf_8() {
    says(
        &of_record(b"name = \"L\xe4rche\"\n"),
        &["bike.toml is not UTF-8 text (byte 9)", "save it as UTF-8"],
    );
    // As some editors save "Unicode": UTF-16 with a mark.
    says(&of_record(b"\xff\xfe[\0c\0"), &["bike.toml is not UTF-8 text"]);
}

#[test]
fn a_folder_instead_of_a_file() {
    let folder = Folder::new();
    for command in [&["what-if", ".", "stem length 40"][..], &["show", "."], &["audit", "."]] {
        says(&folder.run(command).refused(), &["cannot read ."]);
    }
}

#[test]
fn a_demo_bike_that_there_is_not() {
    let ran = run(&["what-if", "demo:lrach-150", "stem length 40"]).refused();
    says(&ran, &["no bike `lrach-150`", "did you mean demo:larch-150?"]);
    let ran = run(&["show", "demo:qqq"]).refused();
    says(&ran, &["no bike `qqq`", "hornbeam-170"]);
}

#[test]
fn standard_input_asked_for_twice() {
    let ran =
        Folder::new().run_with_input(&["what-if", "-", "--changes-from", "-"], "stem length 40").refused();
    says(&ran, &["cannot both come from standard input"]);
}

#[test]
fn a_command_or_option_that_there_is_not() {
    says(&run(&["whatif", "demo:larch-150"]).refused(), &["whatif", "what-if"]);
    says(&run(&["what-if", "demo:larch-150", "stem length 40", "--pdf", "a.pdf"]).refused(), &["--pdf"]);
    says(&run(&["what-if"]).refused(), &["RECORD"]);
    says(&run(&["completions", "abacus"]).refused(), &["bash"]);
}
