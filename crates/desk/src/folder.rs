//! The workshop as plain files that a person can read, keep in git, and take in again.
//!
//! ```text
//! workshop.toml                  settings
//! bikes/larch-150-size-m.toml    the newest version of a record, as it was written
//! bikes/larch-150-size-m/        history.toml: who saved which version, when and why; 0001.toml …: the earlier ones
//! questions/0042.toml            a question with its changes, notes, inspections, and photos' captions and marks
//! photos/0007.jpg                a photo, by its number
//! sheets/k7m2x9pq/1.html …       a published sheet in every format; 1.toml: what it is; 1.record.toml: its bike
//! ```
//!
//! Not in there: accounts and sessions, for a folder is easily passed on, and the steps that undo goes back to. A folder that
//! was taken in and written again is the same folder.
//!
//! In reading order: `forms`, what the files hold; `write`, the way out; `read`, the files on the way in, with the place of
//! each fault; `take_in`, from files to rows.

mod forms;
mod read;
mod take_in;
mod write;

use std::path::Path;

use rusqlite::Connection;

use crate::{Desk, DeskError, Result, Stamp};

/// Names of the folders within the folder.
const BIKES: &str = "bikes";
const QUESTIONS: &str = "questions";
const PHOTOS: &str = "photos";
const SHEETS: &str = "sheets";
/// Name of the file with the settings.
const WORKSHOP: &str = "workshop.toml";
/// Name of the file with a bike's versions.
const HISTORY: &str = "history.toml";

impl Desk {
    /// Writes the whole workshop as plain files. A folder that holds an earlier export is brought up to date; other files in
    /// it stay.
    ///
    /// # Errors
    /// [`DeskError::Refused`] when the folder holds something else.
    pub fn export(&self, folder: &Path, progress: impl FnMut(u64, u64)) -> Result<()> {
        self.read(|connection| write::all(connection, folder, progress))
    }

    /// Takes in a folder that [`Desk::export`] wrote, or that somebody wrote by hand: everything or nothing. Bikes and
    /// questions keep their numbers. The stamp is for what says nothing of its own.
    ///
    /// # Errors
    /// [`DeskError::Refused`] when there is something in the workshop already; [`DeskError::Folder`] with every fault, its
    /// file, line and column.
    pub fn import_folder(&self, folder: &Path, stamp: &Stamp, progress: impl FnMut(u64, u64)) -> Result<()> {
        let found = read::all(folder)?;
        self.write(|tx| {
            if !is_empty(tx)? {
                return Err(DeskError::refused(
                    "there is something in this workshop already",
                    "take the folder in to a new workshop",
                ));
            }
            take_in::all(self, tx, &found, stamp, progress)
        })
    }
}

/// Whether there is neither a bike nor a question.
pub(crate) fn is_empty(connection: &Connection) -> Result<bool> {
    let anything = "SELECT EXISTS (SELECT 1 FROM bike) OR EXISTS (SELECT 1 FROM question)";
    Ok(!connection.query_row(anything, [], |row| row.get::<_, bool>(0))?)
}
