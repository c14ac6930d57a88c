//! Bikes: records as their texts, and every version that there ever was.

use knockon_trade::record::{Record, parse};
use rusqlite::{Connection, Row, Transaction, params};

use crate::error::missing;
use crate::{BikeId, Desk, DeskError, Result, Stamp, search};

/// A bike in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct BikeRow {
    /// Its number.
    pub id: BikeId,
    /// Name and size.
    pub title: String,
    /// What kind of bike, where the record says it.
    pub kind: Option<String>,
    /// Number of the newest version.
    pub version: u32,
    /// How many questions there are about it.
    pub questions: u32,
    /// Who saved the newest version, and when.
    pub stamp: Stamp,
}

/// One version of a bike's record.
#[derive(Clone, Debug, PartialEq)]
pub struct BikeVersion {
    /// The bike.
    pub bike: BikeId,
    /// From 1.
    pub number: u32,
    /// The record, as it was written.
    pub text: String,
    /// Why it was saved; empty when nobody said.
    pub why: String,
    /// Who saved it, and when.
    pub stamp: Stamp,
}

impl BikeVersion {
    /// The record, read.
    ///
    /// # Errors
    /// [`DeskError::Record`] when the text was saved under older rules and can no longer be read.
    pub fn record(&self) -> Result<Record> {
        read_record(&format!("bike {}, version {}", self.bike, self.number), &self.text)
    }
}

/// Longest text of a record, in bytes. A record with every fact and a note on each is a tenth of it.
pub const LONGEST: usize = 256 * 1024;

const ROW: &str = "SELECT id, title, kind, version,
        (SELECT count(*) FROM question WHERE question.bike = bike.id), at, who
    FROM bike WHERE id = ?1";
const LIST: &str = "SELECT id FROM bike ORDER BY at DESC, id DESC LIMIT ?1 OFFSET ?2";
const FIND: &str = "SELECT bike.id FROM bike_words JOIN bike ON bike.id = bike_words.rowid
    WHERE bike_words MATCH ?3 ORDER BY bike.at DESC, bike.id DESC LIMIT ?1 OFFSET ?2";
const VERSION: &str =
    "SELECT bike, number, text, why, at, who FROM bike_version WHERE bike = ?1 AND number = ?2";
const NEWEST: &str = "SELECT bike, number, text, why, bike_version.at, bike_version.who
    FROM bike JOIN bike_version ON bike_version.bike = bike.id AND number = version WHERE bike.id = ?1";
const HISTORY: &str =
    "SELECT bike, number, text, why, at, who FROM bike_version WHERE bike = ?1 ORDER BY number DESC";
const ADD: &str = "INSERT INTO bike (title, kind, version, at, who) VALUES (?1, ?2, 1, ?3, ?4)";
const UPDATE: &str = "UPDATE bike SET title = ?2, kind = ?3, version = ?4, at = ?5, who = ?6 WHERE id = ?1";
const ADD_VERSION: &str =
    "INSERT INTO bike_version (bike, number, text, why, at, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
const QUESTIONS: &str = "SELECT id FROM question WHERE bike = ?1";

impl Desk {
    /// Adds a bike.
    ///
    /// # Errors
    /// [`DeskError::Record`] with every fault of the text; nothing is stored then.
    pub fn add_bike(&self, text: &str, why: &str, stamp: &Stamp) -> Result<BikeId> {
        let record = read_record("record", text)?;
        self.write(|tx| add(tx, &record, text, why, stamp))
    }

    /// Adds several bikes, all or none.
    ///
    /// # Errors
    /// [`DeskError::Record`] with every fault of the first text that cannot be read.
    pub fn add_bikes(&self, texts: &[String], why: &str, stamp: &Stamp) -> Result<Vec<BikeId>> {
        let records = texts.iter().map(|text| read_record("record", text)).collect::<Result<Vec<_>>>()?;
        let both = records.iter().zip(texts);
        self.write(|tx| both.map(|(record, text)| add(tx, record, text, why, stamp)).collect())
    }

    /// Saves a bike as a new version and returns its number. The same text saves nothing.
    ///
    /// # Errors
    /// [`DeskError::Record`] with every fault of the text; [`DeskError::Conflict`] when `after`, the version that was edited,
    /// is not the newest. Nothing is stored then.
    pub fn save_bike(&self, id: BikeId, text: &str, why: &str, after: u32, stamp: &Stamp) -> Result<u32> {
        let record = read_record("record", text)?;
        self.write(|tx| {
            let newest = newest(tx, id)?;
            if newest.text == text {
                return Ok(newest.number);
            }
            if newest.number != after {
                return Err(DeskError::Conflict { what: "bike", now: newest.number });
            }
            save(tx, id, newest.number + 1, &record, text, why, stamp)
        })
    }

    /// Makes an earlier version the newest again, as a version of its own.
    pub fn restore_bike(&self, id: BikeId, number: u32, stamp: &Stamp) -> Result<u32> {
        let earlier = self.bike_version(id, number)?;
        let record = earlier.record()?;
        self.write(|tx| {
            let newest = newest(tx, id)?;
            if newest.text == earlier.text {
                return Ok(newest.number);
            }
            let why = format!("version {number} restored");
            save(tx, id, newest.number + 1, &record, &earlier.text, &why, stamp)
        })
    }

    /// Bikes whose record has all of these words, or all bikes; the last touched first.
    pub fn bikes(&self, words: &str, offset: u32, limit: u32) -> Result<Vec<BikeRow>> {
        self.read(|connection| {
            let id = |row: &Row<'_>| row.get::<_, BikeId>(0);
            let ids: Vec<BikeId> = if words.trim().is_empty() {
                let mut list = connection.prepare_cached(LIST)?;
                list.query_map(params![limit, offset], id)?.collect::<rusqlite::Result<_>>()?
            } else {
                let Some(query) = search::typed(words) else { return Ok(Vec::new()) };
                let mut find = connection.prepare_cached(FIND)?;
                find.query_map(params![limit, offset, query], id)?.collect::<rusqlite::Result<_>>()?
            };
            let mut row = connection.prepare_cached(ROW)?;
            ids.into_iter()
                .map(|id| {
                    let mut rows = row.query([id])?;
                    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows)?;
                    Ok(BikeRow {
                        id: row.get(0)?,
                        title: row.get(1)?,
                        kind: row.get(2)?,
                        version: row.get(3)?,
                        questions: row.get(4)?,
                        stamp: Stamp::read(row, 5)?,
                    })
                })
                .collect()
        })
    }

    /// The newest version of a bike.
    pub fn bike(&self, id: BikeId) -> Result<BikeVersion> {
        self.read(|connection| newest(connection, id))
    }

    /// One version of a bike.
    pub fn bike_version(&self, id: BikeId, number: u32) -> Result<BikeVersion> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(VERSION)?;
            let mut rows = statement.query(params![id, number])?;
            match rows.next()? {
                Some(row) => version(row),
                None => Err(DeskError::NotFound { what: "bike", id: format!("{id}, version {number}") }),
            }
        })
    }

    /// Every version of a bike, newest first.
    pub fn bike_history(&self, id: BikeId) -> Result<Vec<BikeVersion>> {
        self.read(|connection| history(connection, id))
    }
}

/// Reads the text of a record.
pub(crate) fn read_record(name: &str, text: &str) -> Result<Record> {
    if text.len() > LONGEST {
        return Err(DeskError::refused(
            format!("the record has {} bytes, at most {LONGEST} are kept", text.len()),
            "shorten its notes",
        ));
    }
    parse(name, text).map(|parsed| parsed.record).map_err(DeskError::Record)
}

/// Every version of a bike, newest first.
pub(crate) fn history(connection: &Connection, id: BikeId) -> Result<Vec<BikeVersion>> {
    let mut statement = connection.prepare_cached(HISTORY)?;
    let mut rows = statement.query([id])?;
    let mut versions = Vec::new();
    while let Some(row) = rows.next()? {
        versions.push(version(row)?);
    }
    if versions.is_empty() {
        return Err(DeskError::NotFound { what: "bike", id: id.to_string() });
    }
    Ok(versions)
}

/// The newest version of a bike.
pub(crate) fn newest(connection: &Connection, id: BikeId) -> Result<BikeVersion> {
    let mut statement = connection.prepare_cached(NEWEST)?;
    let mut rows = statement.query([id])?;
    match rows.next()? {
        Some(row) => version(row),
        None => Err(missing("bike", &id)(rusqlite::Error::QueryReturnedNoRows)),
    }
}

fn version(row: &Row<'_>) -> Result<BikeVersion> {
    Ok(BikeVersion {
        bike: row.get(0)?,
        number: row.get(1)?,
        text: row.get(2)?,
        why: row.get(3)?,
        stamp: Stamp::read(row, 4)?,
    })
}

/// Adds a bike with its first version.
pub(crate) fn add(
    tx: &Transaction<'_>,
    record: &Record,
    text: &str,
    why: &str,
    stamp: &Stamp,
) -> Result<BikeId> {
    let kind = record.kind.map(knockon_trade::record::Kind::word);
    tx.prepare_cached(ADD)?.execute(params![record.title(), kind, stamp.millis(), stamp.who])?;
    let id = BikeId(tx.last_insert_rowid());
    add_version(tx, id, 1, text, why, stamp)?;
    search::mirror_bike(tx, id, record)?;
    Ok(id)
}

/// Adds the row of a version.
pub(crate) fn add_version(
    tx: &Transaction<'_>,
    id: BikeId,
    number: u32,
    text: &str,
    why: &str,
    stamp: &Stamp,
) -> Result<()> {
    let row = params![id, number, text, why.trim(), stamp.millis(), stamp.who];
    tx.prepare_cached(ADD_VERSION)?.execute(row)?;
    Ok(())
}

/// Adds a version; its questions are found under the bike's new title from then on.
pub(crate) fn save(
    tx: &Transaction<'_>,
    id: BikeId,
    number: u32,
    record: &Record,
    text: &str,
    why: &str,
    stamp: &Stamp,
) -> Result<u32> {
    let (title, kind) = (record.title(), record.kind.map(knockon_trade::record::Kind::word));
    let old = title_of(tx, id)?;
    tx.prepare_cached(UPDATE)?.execute(params![id, title, kind, number, stamp.millis(), stamp.who])?;
    add_version(tx, id, number, text, why, stamp)?;
    search::mirror_bike(tx, id, record)?;
    if old != title {
        let mut questions = tx.prepare_cached(QUESTIONS)?;
        let ids = questions.query_map([id], |row| row.get(0))?.collect::<rusqlite::Result<Vec<_>>>()?;
        for question in ids {
            search::mirror_question(tx, question)?;
        }
    }
    Ok(number)
}

/// Name and size of a bike.
pub(crate) fn title_of(connection: &Connection, id: BikeId) -> Result<String> {
    let mut statement = connection.prepare_cached("SELECT title FROM bike WHERE id = ?1")?;
    statement.query_row([id], |row| row.get(0)).map_err(missing("bike", &id))
}
