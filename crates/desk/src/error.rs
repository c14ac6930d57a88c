//! What can go wrong at the desk, and what to do about it.

use std::path::{Path, PathBuf};

use knockon_trade::findings::AnswerError;
use knockon_trade::problem::Problem;

/// What the desk returns.
pub type Result<T> = std::result::Result<T, DeskError>;

/// What can go wrong at the desk.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DeskError {
    /// Nothing is kept under this number or name.
    #[error("there is no {what} {id}")]
    NotFound {
        /// What was looked for: "bike", "question".
        what: &'static str,
        /// Its number or name.
        id: String,
    },
    /// The file was written by a newer program.
    #[error(
        "the workshop was written by a newer version of this program (form {found}; this program knows up to {known})"
    )]
    Newer {
        /// Number of the file's form.
        found: u32,
        /// Newest form that this program knows.
        known: u32,
    },
    /// The file is something else.
    #[error("{} is not a workshop's file", .0.display())]
    NotAWorkshop(PathBuf),
    /// Faults of a bike record; nothing was stored.
    #[error("the record cannot be used: {}", first(.0))]
    Record(Vec<Problem>),
    /// Faults of the lines of changes.
    #[error("the changes cannot be used: {}", first(.0))]
    Changes(Vec<Problem>),
    /// Faults of the marks on a photo; nothing was stored.
    #[error("the marks cannot be used: {}", first(.0))]
    Marks(Vec<Problem>),
    /// Faults of the files of a folder; nothing was taken in.
    #[error("the folder cannot be taken in: {}", first(.0))]
    Folder(Vec<Problem>),
    /// The question cannot be answered.
    #[error(transparent)]
    Answer(#[from] AnswerError),
    /// Somebody saved a newer version in the meantime.
    #[error("the {what} was changed by somebody else in the meantime; it is at version {now} now")]
    Conflict {
        /// What was to be saved: "bike", "question".
        what: &'static str,
        /// The version that is there now.
        now: u32,
    },
    /// What was asked for cannot be done.
    #[error("{why}")]
    Refused {
        /// Why, in a sentence without a full stop.
        why: String,
        /// What to do instead.
        help: String,
    },
    /// The database failed.
    #[error("the workshop's file cannot be read or written: {0}")]
    Database(#[from] rusqlite::Error),
    /// A file failed.
    #[error("{}: {error}", path.display())]
    File {
        /// Which one.
        path: PathBuf,
        /// What the system says.
        error: std::io::Error,
    },
    /// The file holds what no version of this program writes.
    #[error("the workshop's file is damaged: {0}")]
    Damaged(String),
}

/// The first of some problems, with its place.
fn first(problems: &[Problem]) -> String {
    let Some(problem) = problems.first() else { return "no reason given".to_owned() };
    let (line, column) = problem.line_column();
    let more = match problems.len() {
        1 => String::new(),
        2 => ", and 1 more fault".to_owned(),
        count => format!(", and {} more faults", count - 1),
    };
    format!("{}, line {line}, column {column}: {problem}{more}", problem.source_name())
}

impl DeskError {
    /// What to do about it.
    pub fn help(&self) -> String {
        match self {
            DeskError::NotFound { what, .. } => format!("look for the {what} in its list"),
            DeskError::Newer { .. } => "open it with the newer program; nothing was changed".to_owned(),
            DeskError::NotAWorkshop(_) => {
                "name a workshop's file, or a path where there is no file yet; nothing was changed".to_owned()
            }
            DeskError::Record(problems)
            | DeskError::Changes(problems)
            | DeskError::Marks(problems)
            | DeskError::Folder(problems) => problems
                .first()
                .and_then(|problem| problem.help.clone())
                .unwrap_or_else(|| "mend the text and save it again; nothing was stored".to_owned()),
            DeskError::Answer(error) => error.help(),
            DeskError::Conflict { .. } => {
                "look at what is there now, and make your change again on top of it".to_owned()
            }
            DeskError::Refused { help, .. } => help.clone(),
            DeskError::Database(error) => database_help(error).to_owned(),
            DeskError::File { .. } => {
                "check that the path exists, that it may be written, and that the disk is not full".to_owned()
            }
            DeskError::Damaged(_) => "restore the newest backup with `knockon restore`".to_owned(),
        }
    }

    /// That something is not to be done.
    pub(crate) fn refused(why: impl Into<String>, help: impl Into<String>) -> DeskError {
        DeskError::Refused { why: why.into(), help: help.into() }
    }

    /// That a file failed.
    pub(crate) fn file(path: &Path) -> impl FnOnce(std::io::Error) -> DeskError {
        let path = path.to_owned();
        move |error| DeskError::File { path, error }
    }
}

fn database_help(error: &rusqlite::Error) -> &'static str {
    use rusqlite::ErrorCode;
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
            "another program holds the file; end it or try again in a moment"
        }
        Some(ErrorCode::DiskFull) => {
            "the disk is full: make room, then try again; nothing half-done was kept"
        }
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            "check that the file and its folder may be read and written"
        }
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
            "the file is damaged: restore the newest backup with `knockon restore`"
        }
        _ => "try again; if it stays, keep the file and restore the newest backup beside it",
    }
}

/// What no version of this program writes.
pub(crate) fn broken(what: &str) -> DeskError {
    DeskError::Damaged(what.to_owned())
}

/// That a row is not there.
pub(crate) fn missing(what: &'static str, id: &impl ToString) -> impl FnOnce(rusqlite::Error) -> DeskError {
    let id = id.to_string();
    move |error| match error {
        rusqlite::Error::QueryReturnedNoRows => DeskError::NotFound { what, id },
        other => DeskError::Database(other),
    }
}
