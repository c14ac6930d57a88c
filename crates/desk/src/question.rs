//! Questions: what came in, and how far it has come.

use jiff::Timestamp;
use knockon_trade::urgent::words_in;
use rusqlite::{Connection, OptionalExtension, Transaction, params};

use crate::error::{broken, missing};
use crate::stamp::moment;
use crate::{BikeId, Desk, DeskError, Draft, QuestionId, Result, Stamp, bike, draft, search};

/// How far a question has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum State {
    /// Nobody has looked at it.
    #[default]
    New,
    /// Something must come from the rider first.
    Waiting,
    /// A sheet was published.
    Answered,
    /// It needs no answer.
    SetAside,
}

impl State {
    /// Every state, in the order in which a question goes through them.
    pub const ALL: [State; 4] = [State::New, State::Waiting, State::Answered, State::SetAside];

    /// In words: "waiting for the rider".
    pub fn word(self) -> &'static str {
        match self {
            State::New => "new",
            State::Waiting => "waiting for the rider",
            State::Answered => "answered",
            State::SetAside => "set aside",
        }
    }

    /// As an address and the file have it: "waiting".
    pub fn key(self) -> &'static str {
        match self {
            State::New => "new",
            State::Waiting => "waiting",
            State::Answered => "answered",
            State::SetAside => "set-aside",
        }
    }

    /// The state of a key.
    pub fn of_key(key: &str) -> Option<State> {
        State::ALL.into_iter().find(|state| state.key() == key)
    }
}

/// A question.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Its number.
    pub id: QuestionId,
    /// What was asked, in the rider's words.
    pub asked: String,
    /// Who asked: a name, or how to reach them; empty when nobody said.
    pub rider: String,
    /// The bike, once it is known.
    pub bike: Option<BikeId>,
    /// How far it has come.
    pub state: State,
    /// The technician's own notes.
    pub notes: String,
    /// When it came in.
    pub came: Timestamp,
    /// Safety words in what was asked.
    pub urgent: Vec<String>,
    /// The changes that are tried.
    pub draft: Draft,
    /// Whether there is a draft to go back to.
    pub can_undo: bool,
    /// Whether there is a draft to go forward to.
    pub can_redo: bool,
    /// Grows with every edit; drafts do not count.
    pub version: u32,
    /// Who edited it last, and when.
    pub stamp: Stamp,
}

/// A question that comes in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NewQuestion {
    /// What was asked.
    pub asked: String,
    /// Who asked; may be empty.
    pub rider: String,
    /// The bike, when it is known.
    pub bike: Option<BikeId>,
    /// Changes to begin with, one a line; may be empty.
    pub changes: String,
}

/// What can be edited of a question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct QuestionEdit {
    /// What was asked.
    pub asked: String,
    /// Who asked.
    pub rider: String,
    /// The bike.
    pub bike: Option<BikeId>,
    /// The technician's own notes.
    pub notes: String,
    /// How far it has come.
    pub state: State,
}

/// Longest text that a question takes, in bytes.
const LONGEST: usize = 64 * 1024;

const READ: &str = "SELECT question.id, asked, rider, bike, state, notes, came, urgent, version,
        question.at, question.who, draft.number, changes, instead, draft.at, draft.who
    FROM question JOIN draft ON draft.question = question.id AND draft.number = question.draft
    WHERE question.id = ?1";
const ADD: &str =
    "INSERT INTO question (id, asked, rider, bike, state, notes, came, urgent, draft, version, at, who, pressing)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, 1, 1, ?9, ?10, ?8 <> '' AND ?5 IN ('new', 'waiting'))";
const EDIT: &str = "UPDATE question
    SET asked = ?2, rider = ?3, bike = ?4, notes = ?5, state = ?6, urgent = ?7, at = ?8, who = ?9,
        pressing = ?7 <> '' AND ?6 IN ('new', 'waiting'), version = version + 1
    WHERE id = ?1";
const SET_STATE: &str = "UPDATE question SET state = ?2, at = ?3, who = ?4,
        pressing = urgent <> '' AND ?2 IN ('new', 'waiting'), version = version + 1
    WHERE id = ?1";
const VERSION: &str = "SELECT version FROM question WHERE id = ?1";

impl Desk {
    /// Takes a question in.
    ///
    /// # Errors
    /// [`DeskError::Refused`] when nothing was asked and no change is named; [`DeskError::NotFound`] for a bike that is not
    /// there.
    pub fn ask(&self, new: &NewQuestion, stamp: &Stamp) -> Result<QuestionId> {
        self.write(|tx| ask(tx, new, stamp))
    }

    /// Takes many questions in, all or none.
    pub fn ask_all(&self, new: &[(NewQuestion, Stamp)]) -> Result<Vec<QuestionId>> {
        self.write(|tx| new.iter().map(|(new, stamp)| ask(tx, new, stamp)).collect())
    }

    /// A question.
    pub fn question(&self, id: QuestionId) -> Result<Question> {
        self.read(|connection| read(connection, id))
    }

    /// Edits a question and returns its new version.
    ///
    /// # Errors
    /// [`DeskError::Conflict`] when `after`, the version that was edited, is not the newest.
    pub fn edit_question(
        &self,
        id: QuestionId,
        edit: &QuestionEdit,
        after: u32,
        stamp: &Stamp,
    ) -> Result<u32> {
        check(&edit.asked, &edit.rider, &edit.notes)?;
        self.write(|tx| {
            let now: u32 = tx
                .prepare_cached(VERSION)?
                .query_row([id], |row| row.get(0))
                .map_err(missing("question", &id))?;
            if now != after {
                return Err(DeskError::Conflict { what: "question", now });
            }
            if let Some(bike) = edit.bike {
                bike::title_of(tx, bike)?;
            }
            tx.prepare_cached(EDIT)?.execute(params![
                id,
                edit.asked.trim(),
                edit.rider.trim(),
                edit.bike,
                edit.notes,
                edit.state.key(),
                words_in(&edit.asked).join("\n"),
                stamp.millis(),
                stamp.who
            ])?;
            search::mirror_question(tx, id)?;
            Ok(now + 1)
        })
    }

    /// Says how far a question has come.
    pub fn set_state(&self, id: QuestionId, state: State, stamp: &Stamp) -> Result<()> {
        self.write(|tx| set_state(tx, id, state, stamp))
    }
}

fn ask(tx: &Transaction<'_>, new: &NewQuestion, stamp: &Stamp) -> Result<QuestionId> {
    if new.asked.trim().is_empty() && new.changes.trim().is_empty() {
        return Err(DeskError::refused(
            "nothing was asked",
            "write down what was asked, or at least the changes",
        ));
    }
    check(&new.asked, &new.rider, "")?;
    draft::check(&new.changes)?;
    if let Some(bike) = new.bike {
        bike::title_of(tx, bike)?;
    }
    let edit = QuestionEdit {
        asked: new.asked.clone(),
        rider: new.rider.clone(),
        bike: new.bike,
        notes: String::new(),
        state: State::New,
    };
    let id = add(tx, None, &edit, stamp.at, stamp)?;
    draft::add(tx, id, 1, &new.changes, None, stamp)?;
    search::mirror_question(tx, id)?;
    Ok(id)
}

/// Adds the row of a question, whose first draft and words are still to be added.
pub(crate) fn add(
    tx: &Transaction<'_>,
    id: Option<QuestionId>,
    edit: &QuestionEdit,
    came: Timestamp,
    stamp: &Stamp,
) -> Result<QuestionId> {
    tx.prepare_cached(ADD)?.execute(params![
        id,
        edit.asked.trim(),
        edit.rider.trim(),
        edit.bike,
        edit.state.key(),
        edit.notes,
        came.as_millisecond(),
        words_in(&edit.asked).join("\n"),
        stamp.millis(),
        stamp.who
    ])?;
    Ok(QuestionId(tx.last_insert_rowid()))
}

/// Refuses texts beyond reason.
pub(crate) fn check(asked: &str, rider: &str, notes: &str) -> Result<()> {
    for (what, text) in [("what was asked", asked), ("who asked", rider), ("the notes", notes)] {
        if text.len() > LONGEST {
            return Err(DeskError::refused(
                format!("{what} has {} bytes, at most {LONGEST} are kept", text.len()),
                "shorten it",
            ));
        }
    }
    Ok(())
}

pub(crate) fn read(connection: &Connection, id: QuestionId) -> Result<Question> {
    let mut statement = connection.prepare_cached(READ)?;
    let mut rows = statement.query([id])?;
    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows).map_err(missing("question", &id))?;
    let draft = draft::read(row, 11)?;
    let state: String = row.get(4)?;
    Ok(Question {
        id: row.get(0)?,
        asked: row.get(1)?,
        rider: row.get(2)?,
        bike: row.get(3)?,
        state: State::of_key(&state).ok_or_else(|| broken("an unknown state"))?,
        notes: row.get(5)?,
        came: moment(row.get(6)?)?,
        urgent: lines(&row.get::<_, String>(7)?),
        version: row.get(8)?,
        stamp: Stamp::read(row, 9)?,
        can_undo: draft::is_there(connection, id, draft.number.saturating_sub(1))?,
        can_redo: draft::is_there(connection, id, draft.number + 1)?,
        draft,
    })
}

/// Says how far a question has come.
pub(crate) fn set_state(tx: &Transaction<'_>, id: QuestionId, state: State, stamp: &Stamp) -> Result<()> {
    let changed =
        tx.prepare_cached(SET_STATE)?.execute(params![id, state.key(), stamp.millis(), stamp.who])?;
    if changed == 0 {
        return Err(DeskError::NotFound { what: "question", id: id.to_string() });
    }
    search::mirror_question(tx, id)
}

/// The safety words of a row.
pub(crate) fn lines(text: &str) -> Vec<String> {
    text.lines().map(str::to_owned).collect()
}

/// Whether there is such a question.
pub(crate) fn exists(connection: &Connection, id: QuestionId) -> Result<()> {
    let found = connection.prepare_cached(VERSION)?.query_row([id], |_| Ok(())).optional()?;
    found.ok_or_else(|| DeskError::NotFound { what: "question", id: id.to_string() })
}
