//! Colour, width, and readers that go away.

use std::io::Read;
use std::process::Stdio;

use crate::run::{Folder, finish, run};

const ASK: [&str; 3] = ["what-if", "demo:larch-150", "fork axle-to-crown 576"];

#[test]
fn no_escape_sequences_when_nothing_is_a_terminal() {
    for arguments in [
        &ASK[..],
        &["backup", "missing.db", "copy.db"],
        &["show", "demo:larch-150"],
        &["audit", "demo:bramble"],
        &["changes"],
        &["explain", "trail"],
        &["--help"],
        &["what-if", "demo:larch-150", "stem lenght 40"],
        &["what-if", "demo:larch-150", "stem length 145"],
        &["nonsense"],
    ] {
        let ran = run(arguments);
        assert!(!ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'), "{arguments:?}");
    }
}

#[test]
fn escape_sequences_in_the_input_do_not_reach_the_terminal() {
    let folder = Folder::new();
    folder.write("bike.toml", "name = \"\\u001b[31mred\\u0007\"\n[stem]\nlength = 50\n");
    for arguments in [
        &["show", "bike.toml"][..],
        &["audit", "bike.toml"],
        &["what-if", "bike.toml", "stem length 40", "--asked", "\u{1b}[2Jgone?"],
    ] {
        let ran = folder.run(arguments);
        assert!(!ran.out.contains(['\u{1b}', '\u{7}']), "{arguments:?}: {:?}", ran.out);
    }
    folder.write("raw.toml", "name = \"\u{1b}[31mred\u{202e}\"\n");
    for arguments in [
        &["show", "raw.toml"][..],
        &["show", "\u{1b}[31mred.toml"],
        &["explain", "\u{1b}[31mred"],
        &["what-if", "demo:larch-150", "\u{1b}[31mstem\u{7} 40"],
    ] {
        let ran = folder.run(arguments).refused();
        assert!(!ran.err.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{arguments:?}: {:?}", ran.err);
    }
}

#[test]
fn no_color_is_accepted_as_variable_and_as_option() {
    let folder = Folder::new();
    let plain = folder.run(&ASK);
    let mut with_variable = folder.command(&ASK);
    with_variable.env("NO_COLOR", "1");
    let with_variable = finish(with_variable, None);
    let before = folder.run(&[&["--no-color"], &ASK[..]].concat());
    let after = folder.run(&[&ASK[..], &["--no-color"]].concat());
    for ran in [with_variable, before, after] {
        assert_eq!((ran.status, &ran.out, &ran.err), (plain.status, &plain.out, &plain.err));
    }
}

#[test]
fn a_narrow_terminal_gets_short_lines() {
    let folder = Folder::new();
    for columns in [40, 60, 80] {
        let mut command = folder.command(&ASK);
        command.env("COLUMNS", columns.to_string());
        let ran = finish(command, None);
        let widest = ran.out.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= columns, "{widest} of {columns}");
    }
}

#[test]
fn odd_widths_are_survived() {
    let folder = Folder::new();
    for columns in ["0", "1", "-5", "99999999999999999999", "wide", ""] {
        let mut command = folder.command(&ASK);
        command.env("COLUMNS", columns);
        assert_eq!(finish(command, None).status, 1, "{columns:?}");
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let folder = Folder::new();
    for arguments in [
        &["what-if", "demo:larch-150", "spacers below by -15"][..],
        &["what-if", "demo:larch-150", "spacers below by -15", "--json"],
        &["show", "demo:larch-150"],
        &["changes"],
        &["completions", "zsh"],
        &["openapi"],
    ] {
        let mut command = folder.command(arguments);
        let mut child =
            command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut said = String::new();
        child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        assert_eq!(child.wait().unwrap().code(), Some(0), "{arguments:?}: {said}");
        assert_eq!(said, "", "{arguments:?}");
    }
}

/// Output that was lost must not look like success to a script.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error() {
    let folder = Folder::new();
    let mut command = folder.command(&["what-if", "demo:larch-150", "spacers below by -15", "--json"]);
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = command.stdin(Stdio::null()).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("cannot write to standard output"));
}
