//! Copies of the whole file, made while the desk is at work, and the way back.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, ErrorCode, OpenFlags};

use crate::store::{check_written, connect, keep_private};
use crate::{Desk, DeskError, Result};

/// Pages that are copied in one go: 4 MB. Progress is told after each.
const STEP: i32 = 1024;

/// Pause when somebody else holds the file.
const PAUSE: Duration = Duration::from_millis(20);

impl Desk {
    /// Copies the workshop, as it is at this moment, into a file of its own, while others go on writing.
    ///
    /// # Errors
    /// [`DeskError::Refused`] when there is a file already; nothing is written over.
    pub fn backup(&self, to: &Path, progress: impl FnMut(u64, u64)) -> Result<()> {
        if to.try_exists().map_err(DeskError::file(to))? {
            return Err(DeskError::refused(
                format!("{} is there already; nothing was written", to.display()),
                "name a file that is not there yet",
            ));
        }
        let beside = beside(to)?;
        // One reading transaction over all steps: they see one state, and no writer makes them begin anew.
        self.read(|source| {
            source.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0))?;
            copy(source, &beside, progress)
        })?;
        beside.settle(to)
    }

    /// Puts a backup in the place of a workshop's file. The backup is checked as a whole before anything is touched.
    ///
    /// # Errors
    /// [`DeskError::NotAWorkshop`], [`DeskError::Newer`] or [`DeskError::Damaged`] for a file that cannot be used;
    /// [`DeskError::Refused`] when there is a workshop already and `replace` is false, or when a program has it open.
    pub fn restore(from: &Path, to: &Path, replace: bool, progress: impl FnMut(u64, u64)) -> Result<()> {
        let there = to.try_exists().map_err(DeskError::file(to))?;
        if there && !replace {
            return Err(DeskError::refused(
                format!("{} is there already; nothing was written", to.display()),
                "name another file, or say that it is to be replaced",
            ));
        }
        if !from.try_exists().map_err(DeskError::file(from))? {
            let error = std::io::Error::from(std::io::ErrorKind::NotFound);
            return Err(DeskError::File { path: from.to_owned(), error });
        }
        let source = connect(from, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        check_written(&source, from)?;
        check_whole(&source)?;
        let beside = beside(to)?;
        copy(&source, &beside, progress)?;
        if there {
            let_go(to)?;
        }
        beside.settle(to)
    }
}

/// A file under way, removed again unless it is settled.
struct Beside {
    path: PathBuf,
}

fn beside(to: &Path) -> Result<Beside> {
    let Some(name) = to.file_name() else {
        return Err(DeskError::refused(format!("{} names no file", to.display()), "name a file"));
    };
    let mut name = name.to_owned();
    name.push(".part");
    let path = to.with_file_name(name);
    // What a copy that was broken off left behind.
    remove(&path)?;
    Ok(Beside { path })
}

impl Beside {
    /// Gives the file its name, once it is on the disk.
    fn settle(self, to: &Path) -> Result<()> {
        fs::File::open(&self.path).and_then(|file| file.sync_all()).map_err(DeskError::file(&self.path))?;
        fs::rename(&self.path, to).map_err(DeskError::file(to))?;
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        // Not every system lets a folder be opened; where it does, the new name is on the disk after this.
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.path);
    }
}

/// Copies a database in steps.
fn copy(source: &Connection, beside: &Beside, mut progress: impl FnMut(u64, u64)) -> Result<()> {
    keep_private(&beside.path)?;
    let mut target = Connection::open(&beside.path)?;
    {
        let backup = Backup::new(source, &mut target)?;
        loop {
            let step = backup.step(STEP)?;
            let seen = backup.progress();
            let total = u64::from(seen.pagecount.unsigned_abs());
            progress(total - u64::from(seen.remaining.unsigned_abs()).min(total), total);
            match step {
                StepResult::Done => break,
                StepResult::More => {}
                _ => std::thread::sleep(PAUSE),
            }
        }
    }
    // A copy is one file: without this, whoever opens it would find a log beside it.
    target.pragma_update(None, "journal_mode", "DELETE")?;
    check_whole(&target)?;
    target.close().map_err(|(_, error)| error.into())
}

/// Whether every page, index and reference of a database is sound.
fn check_whole(connection: &Connection) -> Result<()> {
    let said: rusqlite::Result<String> =
        connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0));
    let fault = match said {
        Ok(said) if said == "ok" => None,
        Ok(said) => Some(said),
        Err(error) if is_damage(&error) => Some(error.to_string()),
        Err(error) => return Err(error.into()),
    };
    if let Some(fault) = fault {
        return Err(DeskError::Damaged(fault));
    }
    let broken = connection.prepare("PRAGMA foreign_key_check")?.exists([])?;
    if broken { Err(DeskError::Damaged("a row refers to one that is not there".to_owned())) } else { Ok(()) }
}

fn is_damage(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase))
}

/// Makes sure that nobody has a workshop open that is to be replaced, and that no log of it stays behind: the new file would
/// otherwise be read together with the old one's log.
fn let_go(path: &Path) -> Result<()> {
    let open = || {
        let connection = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        connection.busy_timeout(Duration::ZERO)?;
        // Succeeds only for the one connection that is left, and removes the log.
        connection.query_row("PRAGMA journal_mode = DELETE", [], |row| row.get::<_, String>(0))?;
        connection.close().map_err(|(_, error)| error)
    };
    let held = |error: &rusqlite::Error| {
        matches!(error.sqlite_error_code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked))
    };
    // Any other error: what is to be replaced may be damaged or something else, and that is no reason not to replace it.
    if open().is_err_and(|error| held(&error)) {
        return Err(DeskError::refused(
            format!("{} is open in another program; nothing was replaced", path.display()),
            "end that program first",
        ));
    }
    for ending in ["-wal", "-shm", "-journal"] {
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        remove(Path::new(&name))?;
    }
    Ok(())
}

/// Removes a file that may not be there.
fn remove(path: &Path) -> Result<()> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(DeskError::file(path)(error)),
        _ => Ok(()),
    }
}
