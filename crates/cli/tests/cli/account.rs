//! `knockon account`: who may use a workshop that other machines reach.

use crate::run::{Folder, Ran};
use crate::words;

const PASSWORD: &str = "four words in a row";

fn with_workshop() -> Folder {
    let folder = Folder::new();
    folder.open(&["workshop.db", "--no-browser"]).signal("TERM");
    folder
}

fn add(folder: &Folder, name: &str, password: &str, more: &[&str]) -> Ran {
    let arguments = [&["account", "add", "workshop.db", name, "--password-stdin"], more].concat();
    folder.run_with_input(&arguments, &format!("{password}\n"))
}

#[test]
fn accounts_are_added_listed_and_removed() {
    let folder = with_workshop();
    words!(folder.run(&["account", "list", "workshop.db"]).fine());
    add(&folder, "sam", PASSWORD, &[]).fine();
    let ran = add(&folder, "counter", PASSWORD, &["--role", "read"]).fine();
    assert_eq!(ran.out, "added counter, who may read\n");
    let listed = folder.run(&["account", "list", "workshop.db"]).fine();
    assert!(
        listed.out.contains("sam may answer, since ") && listed.out.contains("counter may read, since "),
        "{}",
        listed.out
    );
    assert!(!listed.out.contains(PASSWORD));
    folder.run(&["account", "remove", "workshop.db", "sam"]).fine();
    let listed = folder.run(&["account", "list", "workshop.db"]).fine();
    assert!(!listed.out.contains("sam"), "{}", listed.out);
    let ran = folder.run(&["account", "remove", "workshop.db", "sam"]).refused();
    assert!(ran.err.contains("sam"), "{}", ran.err);
}

#[test]
fn a_name_is_taken_once() {
    let folder = with_workshop();
    add(&folder, "sam", PASSWORD, &[]).fine();
    let ran = add(&folder, "sam", "another long password", &["--role", "read"]).refused();
    assert!(ran.err.contains("sam") && ran.err.contains("help:"), "{}", ran.err);
    assert!(folder.run(&["account", "list", "workshop.db"]).fine().out.contains("sam may answer"));
}

#[test]
fn a_short_password_is_refused_with_the_reason() {
    let folder = with_workshop();
    let ran = add(&folder, "sam", "ninechars", &[]);
    words!(ran);
    // Characters, not bytes.
    add(&folder, "sam", "éééééééééé", &[]).fine();
    let ran =
        folder.run_with_input(&["account", "password", "workshop.db", "sam", "--password-stdin"], "short\n");
    assert_eq!((ran.refused().status), 2);
}

#[test]
fn a_new_password_ends_the_old_one() {
    let folder = with_workshop();
    add(&folder, "sam", PASSWORD, &[]).fine();
    let ran = folder
        .run_with_input(
            &["account", "password", "workshop.db", "sam", "--password-stdin"],
            "five words in a longer row\n",
        )
        .fine();
    assert!(ran.out.contains("sam"), "{}", ran.out);
    let desk = knockon_desk::Desk::open(&folder.path("workshop.db")).unwrap();
    let now = knockon_desk::Stamp::now("test").at;
    assert!(desk.log_in("sam", PASSWORD, now).unwrap().is_none());
    assert!(desk.log_in("sam", "five words in a longer row", now).unwrap().is_some());
    let ran = folder.run_with_input(
        &["account", "password", "workshop.db", "kim", "--password-stdin"],
        "four words in a row\n",
    );
    assert!(ran.refused().err.contains("kim"));
}

/// Nobody sits at a terminal here, so nobody can be asked.
#[cfg(target_os = "linux")]
#[test]
fn without_a_terminal_the_password_comes_from_standard_input_or_not_at_all() {
    let folder = with_workshop();
    let mut command = std::process::Command::new("setsid");
    command.arg("--wait").arg(env!("CARGO_BIN_EXE_knockon")).args(["account", "add", "workshop.db", "sam"]);
    command.current_dir(folder.path("."));
    let ran = crate::run::finish(command, None).refused();
    assert!(ran.err.contains("--password-stdin"), "{}", ran.err);
}

#[test]
fn accounts_are_of_a_workshop_that_is_there() {
    let folder = Folder::new();
    for arguments in [
        &["account", "list", "missing.db"][..],
        &["account", "remove", "missing.db", "sam"],
        &["account", "add", "missing.db", "sam", "--password-stdin"],
    ] {
        let ran = folder.run_with_input(arguments, "four words in a row\n").refused();
        assert!(
            ran.err.contains("there is no workshop missing.db") && ran.err.contains("knockon open"),
            "{}",
            ran.err
        );
    }
    assert!(folder.names().is_empty(), "{:?}", folder.names());
}
