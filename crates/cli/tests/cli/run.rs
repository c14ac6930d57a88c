//! Runs of the real binary, each in a folder of its own and in a known environment.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// How a run ended and what it said.
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// The run went well and complained about nothing.
    #[track_caller]
    pub fn fine(self) -> Ran {
        assert_eq!((self.status, self.err.as_str()), (0, ""), "{}", self.out);
        self
    }

    /// Bad input: exit status 2, and nothing on standard output that could be taken for an answer.
    #[track_caller]
    pub fn refused(self) -> Ran {
        assert_eq!((self.status, self.out.as_str()), (2, ""), "{}", self.err);
        assert!(!self.err.contains("panicked"), "{}", self.err);
        self
    }

    /// Standard output as JSON.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}{}", self.out, self.err))
    }
}

/// A folder to run in, gone afterwards.
pub struct Folder(TempDir);

impl Folder {
    pub fn new() -> Folder {
        Folder(tempfile::tempdir().expect("a folder"))
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        fs::write(&path, text).expect("a file");
        path
    }

    #[track_caller]
    pub fn read(&self, name: &str) -> String {
        let path = self.path(name);
        fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
    }

    /// Names of the files in it, in order.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.0.path())
            .expect("the folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// The command, to be run here: 100 columns, no wish about colour.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = knockon(arguments);
        command.current_dir(self.0.path());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        finish(self.command(arguments), None)
    }

    pub fn run_with_input(&self, arguments: &[&str], input: &str) -> Ran {
        finish(self.command(arguments), Some(input))
    }
}

fn knockon(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_knockon"));
    command.args(arguments).env("COLUMNS", "100");
    for name in ["NO_COLOR", "TERM", "CLICOLOR", "CLICOLOR_FORCE", "FORCE_COLOR"] {
        command.env_remove(name);
    }
    command
}

/// Runs a command to its end.
pub fn finish(mut command: Command, input: Option<&str>) -> Ran {
    let stdin = if input.is_some() { Stdio::piped() } else { Stdio::null() };
    let mut child = command
        .stdin(stdin)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts");
    if let Some(input) = input {
        // A command that does not read its input closes it; that is its own matter.
        let _ = child.stdin.take().expect("its input").write_all(input.as_bytes());
    }
    let output = child.wait_with_output().expect("the command ends");
    Ran {
        status: output.status.code().expect("an exit status, not a signal"),
        out: String::from_utf8(output.stdout).expect("UTF-8"),
        err: String::from_utf8(output.stderr).expect("UTF-8"),
    }
}

/// A run for which the folder does not matter.
pub fn run(arguments: &[&str]) -> Ran {
    Folder::new().run(arguments)
}

/// Exit status, standard output and standard error in one text, for a snapshot of words. Dates and ports are filtered.
#[macro_export]
macro_rules! words {
    ($ran:expr) => {{
        let ran = &$ran;
        let text = format!(
            "exit status {}\n----- standard output\n{}----- standard error\n{}",
            ran.status, ran.out, ran.err
        );
        let mut settings = insta::Settings::clone_current();
        settings.set_omit_expression(true);
        settings.set_prepend_module_to_snapshot(false);
        settings.add_filter(r"127\.0\.0\.1:\d{4,5}\b", "127.0.0.1:[port]");
        settings.add_filter(r"\b\d{1,2} [A-Z][a-z]{2} \d{4}\b", "[date]");
        settings.bind(|| insta::assert_snapshot!(text));
    }};
}

/// All text with its white space made single, to find sentences that were broken into lines.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The rows of a JSON list whose `key` is `name`; there must be exactly one.
#[track_caller]
pub fn one<'a>(answer: &'a Value, list: &str, key: &str, name: &str) -> &'a Value {
    let rows = answer[list].as_array().unwrap_or_else(|| panic!("no list {list}: {answer:#}"));
    let mut found = rows.iter().filter(|row| row[key] == name);
    let row = found.next().unwrap_or_else(|| panic!("{list} has no {key} {name}"));
    assert!(found.next().is_none(), "{list} has two {name}");
    row
}

/// The difference of a quantity.
#[track_caller]
pub fn difference(answer: &Value, quantity: &str) -> f64 {
    let row = one(answer, "knock_ons", "quantity", quantity);
    row["difference"].as_f64().unwrap_or_else(|| panic!("{quantity} is not known"))
}

/// Whether `path` is a folder or file that is there.
pub fn there(path: &Path) -> bool {
    path.exists()
}
