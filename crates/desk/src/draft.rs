//! Drafts: the changes that somebody tries for a question, with undo and redo.
//!
//! A draft is text, faults and all: nothing that was typed is lost because it could not be read.

use rusqlite::{Connection, Row, Transaction, params};

use crate::error::missing;
use crate::{Desk, DeskError, QuestionId, Result, Stamp, search};

/// The changes that somebody tries for a question.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// From 1, in the order of saving.
    pub number: u32,
    /// The changes, one a line.
    pub changes: String,
    /// A second way to compare with, one change a line.
    pub instead: Option<String>,
    /// Who saved it, and when.
    pub stamp: Stamp,
}

/// Steps that can be undone. A slider saves one each time it comes to rest.
const KEPT: u32 = 500;

/// Longest changes, in bytes; a question takes a few lines.
const LONGEST: usize = 64 * 1024;

const READ: &str = "SELECT draft.number, changes, instead, draft.at, draft.who
    FROM question JOIN draft ON draft.question = question.id AND draft.number = question.draft
    WHERE question.id = ?1";
const IS_THERE: &str = "SELECT EXISTS (SELECT 1 FROM draft WHERE question = ?1 AND number = ?2)";
const POINT: &str = "UPDATE question SET draft = ?2 WHERE id = ?1";
const ADD: &str =
    "INSERT INTO draft (question, number, changes, instead, at, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
const DROP_LATER: &str = "DELETE FROM draft WHERE question = ?1 AND number > ?2";
const DROP_OLD: &str = "DELETE FROM draft WHERE question = ?1 AND number <= ?2";

impl Desk {
    /// Saves the changes that are tried, as a step that can be undone; what had been undone before is dropped. The same
    /// changes as the current draft's save nothing.
    pub fn save_draft(
        &self,
        id: QuestionId,
        changes: &str,
        instead: Option<&str>,
        stamp: &Stamp,
    ) -> Result<Draft> {
        check(changes)?;
        check(instead.unwrap_or_default())?;
        self.write(|tx| {
            let now = current(tx, id)?;
            if now.changes == changes && now.instead.as_deref() == instead {
                return Ok(now);
            }
            let number = now.number + 1;
            tx.prepare_cached(DROP_LATER)?.execute(params![id, now.number])?;
            tx.prepare_cached(DROP_OLD)?.execute(params![id, number.saturating_sub(KEPT)])?;
            add(tx, id, number, changes, instead, stamp)?;
            point(tx, id, number)
        })
    }

    /// Goes back by one draft; stays where there is none before.
    pub fn undo(&self, id: QuestionId) -> Result<Draft> {
        self.write(|tx| {
            let now = current(tx, id)?;
            if is_there(tx, id, now.number.saturating_sub(1))? {
                point(tx, id, now.number - 1)
            } else {
                Ok(now)
            }
        })
    }

    /// Goes forward again by one draft; stays where nothing was undone.
    pub fn redo(&self, id: QuestionId) -> Result<Draft> {
        self.write(|tx| {
            let now = current(tx, id)?;
            if is_there(tx, id, now.number + 1)? { point(tx, id, now.number + 1) } else { Ok(now) }
        })
    }
}

/// The draft that counts.
pub(crate) fn current(connection: &Connection, id: QuestionId) -> Result<Draft> {
    let mut statement = connection.prepare_cached(READ)?;
    let mut rows = statement.query([id])?;
    match rows.next()? {
        Some(row) => read(row, 0),
        None => Err(missing("question", &id)(rusqlite::Error::QueryReturnedNoRows)),
    }
}

/// A draft from five columns of a row.
pub(crate) fn read(row: &Row<'_>, at: usize) -> Result<Draft> {
    Ok(Draft {
        number: row.get(at)?,
        changes: row.get(at + 1)?,
        instead: row.get(at + 2)?,
        stamp: Stamp::read(row, at + 3)?,
    })
}

pub(crate) fn is_there(connection: &Connection, id: QuestionId, number: u32) -> Result<bool> {
    Ok(connection.prepare_cached(IS_THERE)?.query_row(params![id, number], |row| row.get(0))?)
}

pub(crate) fn add(
    tx: &Transaction<'_>,
    id: QuestionId,
    number: u32,
    changes: &str,
    instead: Option<&str>,
    stamp: &Stamp,
) -> Result<()> {
    tx.prepare_cached(ADD)?.execute(params![id, number, changes, instead, stamp.millis(), stamp.who])?;
    Ok(())
}

/// Refuses changes beyond reason.
pub(crate) fn check(changes: &str) -> Result<()> {
    if changes.len() > LONGEST {
        return Err(DeskError::refused(
            "the changes are longer than any question",
            "ask in several questions",
        ));
    }
    Ok(())
}

fn point(tx: &Transaction<'_>, id: QuestionId, number: u32) -> Result<Draft> {
    tx.prepare_cached(POINT)?.execute(params![id, number])?;
    search::mirror_question(tx, id)?;
    current(tx, id)
}
