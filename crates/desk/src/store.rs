//! The workshop's file: one writer, a few readers.
//!
//! SQLite takes one writer at a time; here that is a connection behind a lock, so that writers wait for each other in memory
//! instead of running into each other in the file. Readers see the last committed state and wait for nobody. A write is
//! acknowledged when its function returns, and then it is on the disk (`synchronous = FULL`).

use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};
use rusqlite_migration::{M, Migrations};

use crate::{DeskError, Result};

/// Says in the file's head that it is a workshop's: "knok" in ASCII.
const APPLICATION: i32 = 0x6b6e_6f6b;

/// Every form of the file that there ever was, oldest first.
const MIGRATIONS: &[M<'_>] = &[
    M::up(include_str!("migrations/0001-workshop.sql")),
    M::up(include_str!("migrations/0002-inspections.sql")),
];

/// Most readers at the same time; a further one waits. Each may hold 2 MB of pages.
const READERS: usize = 6;

/// How long to wait for another program that writes the same file.
const PATIENCE: Duration = Duration::from_secs(5);

/// A workshop's file, open. Copies are the same desk.
#[derive(Clone)]
pub struct Desk {
    store: Arc<Store>,
}

struct Store {
    path: PathBuf,
    writer: Mutex<Connection>,
    readers: Mutex<Readers>,
    reader_free: Condvar,
    /// Held while a photo is decoded: one at a time bounds the memory.
    darkroom: Mutex<()>,
}

#[derive(Default)]
struct Readers {
    idle: Vec<Connection>,
    open: usize,
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Desk").field("path", &self.store.path).finish_non_exhaustive()
    }
}

impl Desk {
    /// Opens a workshop's file, or makes one where there is none.
    ///
    /// # Errors
    /// [`DeskError::Newer`] for a file of a newer program, [`DeskError::NotAWorkshop`] for any other file; neither is
    /// changed.
    pub fn open(path: &Path) -> Result<Desk> {
        keep_private(path)?;
        let mut writer = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)?;
        check(&writer, path)?;
        writer.pragma_update(None, "journal_mode", "WAL")?;
        writer.pragma_update(None, "synchronous", "FULL")?;
        // After a burst of writes the log shrinks back to this.
        writer.pragma_update(None, "journal_size_limit", 16 * 1024 * 1024)?;
        migrate(&mut writer)?;
        Ok(Desk {
            store: Arc::new(Store {
                path: path.to_owned(),
                writer: Mutex::new(writer),
                readers: Mutex::default(),
                reader_free: Condvar::new(),
                darkroom: Mutex::new(()),
            }),
        })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.store.path
    }

    /// Does all of it or nothing; when it returns, it is on the disk.
    pub(crate) fn write<T>(&self, act: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let mut writer = lock(&self.store.writer);
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = act(&transaction)?;
        transaction.commit()?;
        Ok(done)
    }

    /// Reads one state of the workshop, whatever is written meanwhile.
    pub(crate) fn read<T>(&self, look: impl FnOnce(&Connection) -> Result<T>) -> Result<T> {
        let reader = self.reader()?;
        let transaction = reader.connection().unchecked_transaction()?;
        let seen = look(&transaction)?;
        transaction.finish()?;
        Ok(seen)
    }

    /// The place where photos are decoded, one at a time.
    pub(crate) fn darkroom(&self) -> MutexGuard<'_, ()> {
        lock(&self.store.darkroom)
    }

    fn reader(&self) -> Result<Reader<'_>> {
        let mut readers = lock(&self.store.readers);
        while readers.idle.is_empty() && readers.open >= READERS {
            readers = self.store.reader_free.wait(readers).unwrap_or_else(PoisonError::into_inner);
        }
        if let Some(connection) = readers.idle.pop() {
            return Ok(Reader { store: &self.store, connection: Some(connection) });
        }
        readers.open += 1;
        drop(readers);
        // From here on the place is given back whatever happens.
        let mut reader = Reader { store: &self.store, connection: None };
        let connection = connect(&self.store.path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        connection.pragma_update(None, "query_only", true)?;
        reader.connection = Some(connection);
        Ok(reader)
    }
}

/// A reader on loan.
struct Reader<'a> {
    store: &'a Store,
    connection: Option<Connection>,
}

impl Reader<'_> {
    fn connection(&self) -> &Connection {
        self.connection.as_ref().unwrap_or_else(|| unreachable!("a reader is lent with its connection"))
    }
}

impl Drop for Reader<'_> {
    fn drop(&mut self) {
        let mut readers = lock(&self.store.readers);
        match self.connection.take() {
            Some(connection) => readers.idle.push(connection),
            None => readers.open -= 1,
        }
        self.store.reader_free.notify_one();
    }
}

/// A lock whose holder panicked is as good as any: a transaction that was not committed is undone when it is dropped.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes an empty file that only its owner may read, if there is none: a workshop holds riders' names and password hashes.
/// `SQLite` gives its log the same rights.
pub(crate) fn keep_private(path: &Path) -> Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    match options.open(path) {
        Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => Err(DeskError::file(path)(error)),
        _ => Ok(()),
    }
}

/// A connection that trusts nothing in the file.
pub(crate) fn connect(path: &Path, flags: OpenFlags) -> Result<Connection> {
    let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(PATIENCE)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    let set_up = |connection: &Connection| {
        connection.pragma_update(None, "foreign_keys", true)?;
        connection.pragma_update(None, "temp_store", "MEMORY")
    };
    set_up(&connection).map_err(|error| not_a_database(error, path))?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// Whether a file is a workshop's, or an empty one that can become it, and not of a newer program.
pub(crate) fn check(connection: &Connection, path: &Path) -> Result<()> {
    let read = |sql: &str| {
        connection.query_row(sql, [], |row| row.get::<_, i64>(0)).map_err(|error| not_a_database(error, path))
    };
    let (application, form) = (read("PRAGMA application_id")?, read("PRAGMA user_version")?);
    let known = i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX);
    if application == i64::from(APPLICATION) {
        if form > known {
            return Err(DeskError::Newer { found: form as u32, known: known as u32 });
        }
        return Ok(());
    }
    let empty = read("SELECT count(*) FROM sqlite_schema")? == 0;
    if application == 0 && form == 0 && empty {
        return Ok(());
    }
    Err(DeskError::NotAWorkshop(path.to_owned()))
}

/// Whether a file is a workshop's already, and not merely empty.
pub(crate) fn check_written(connection: &Connection, path: &Path) -> Result<()> {
    check(connection, path)?;
    let form: i64 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    if form == 0 { Err(DeskError::NotAWorkshop(path.to_owned())) } else { Ok(()) }
}

fn migrate(writer: &mut Connection) -> Result<()> {
    Migrations::from_slice(MIGRATIONS).to_latest(writer).map_err(|error| match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => DeskError::Database(err),
        other => DeskError::Damaged(other.to_string()),
    })
}

fn not_a_database(error: rusqlite::Error, path: &Path) -> DeskError {
    match error.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => DeskError::NotAWorkshop(path.to_owned()),
        _ => DeskError::Database(error),
    }
}
