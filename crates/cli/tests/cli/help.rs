//! Help, version, completions.

use crate::run::run;
use crate::words;

#[test]
fn help_shows_commands_and_examples() {
    let ran = run(&["--help"]).fine();
    for command in [
        "open",
        "backup",
        "restore",
        "export",
        "import",
        "account",
        "openapi",
        "show",
        "audit",
        "what-if",
        "changes",
        "read-table",
        "explain",
        "body",
        "inspect",
        "clean",
        "completions",
    ] {
        assert!(ran.out.lines().any(|line| line.trim_start().starts_with(command)), "{command}");
    }
    assert!(ran.out.contains("Examples:") && ran.out.contains("knockon what-if larch.toml"));
    assert!(ran.out.contains("Exit status"));
    words!(ran);
}

#[test]
fn help_of_what_if_shows_examples() {
    let ran = run(&["what-if", "--help"]).fine();
    assert!(ran.out.contains("Examples:"));
    for option in ["--html", "--svg", "--markdown", "--json", "--changes-from", "--no-color"] {
        assert!(ran.out.contains(option), "{option}");
    }
    words!(ran);
}

/// Every change between quotes in an example line of help must be one.
#[test]
fn changes_in_the_examples_are_changes() {
    let mut tried = 0;
    for help in [run(&["--help"]), run(&["what-if", "--help"])] {
        for line in help.out.lines().filter(|line| line.trim_start().starts_with("knockon what-if")) {
            for change in line.split('"').skip(1).step_by(2) {
                let read = knockon_trade::change::parse(change);
                assert!(read.is_ok_and(|read| read.warning.is_none()), "{change}");
                tried += 1;
            }
        }
    }
    assert!(tried >= 8, "{tried} changes");
}

#[test]
fn every_command_has_help() {
    for command in [
        "open",
        "backup",
        "restore",
        "export",
        "import",
        "account",
        "account add",
        "account remove",
        "account password",
        "account list",
        "openapi",
        "show",
        "audit",
        "changes",
        "read-table",
        "explain",
        "body",
        "inspect",
        "clean",
        "completions",
    ] {
        let arguments: Vec<&str> = command.split(' ').chain(["--help"]).collect();
        let ran = run(&arguments).fine();
        assert!(ran.out.contains("Usage: knockon"), "{command}");
    }
}

#[test]
fn version_is_the_packages() {
    let ran = run(&["--version"]).fine();
    assert_eq!(ran.out, format!("knockon {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn completions_for_shells() {
    for (shell, says) in
        [("bash", "complete -F"), ("zsh", "#compdef knockon"), ("fish", "complete -c knockon")]
    {
        let ran = run(&["completions", shell]).fine();
        assert!(ran.out.contains(says), "{shell}");
        assert!(ran.out.contains("what-if") && ran.out.contains("changes-from"), "{shell}");
    }
}
