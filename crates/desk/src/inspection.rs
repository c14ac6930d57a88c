//! Inspections: what somebody found by a protocol, answer by answer, each with who and when.
//!
//! Every answer is kept as soon as it is given. A signed inspection changes no more until somebody opens it again.

use knockon_trade::inspection::script::LONGEST_NOTE;
use knockon_trade::inspection::{Given, Grade, Inspected, Observation, Protocol, Step, protocol};
use knockon_trade::record::edit;
use rusqlite::{Connection, Row, Transaction, params};

use crate::error::{broken, missing};
use crate::stamp::moment;
use crate::{BikeId, Desk, DeskError, InspectionId, QuestionId, Result, Stamp, question};

/// An inspection.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspection {
    /// Its number.
    pub id: InspectionId,
    /// The question that it belongs to.
    pub question: QuestionId,
    /// Name of its protocol.
    pub protocol: String,
    /// Edition of the protocol when it was begun.
    pub edition: u32,
    /// The part, in words.
    pub part: String,
    /// Who closed it with their name, and when.
    pub signed: Option<Stamp>,
    /// What was found.
    pub answers: Vec<InspectionAnswer>,
    /// Who touched it last, and when.
    pub stamp: Stamp,
}

/// One answer, as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct InspectionAnswer {
    /// Name of the step.
    pub step: String,
    /// The answer as a file of answers has it.
    pub answer: String,
    /// What was written down.
    pub note: String,
    /// Who found it, and when.
    pub stamp: Stamp,
}

impl Inspection {
    /// Its protocol; `None` for one that this program does not have.
    pub fn known(&self) -> Option<&'static Protocol> {
        protocol(&self.protocol)
    }

    /// As a question carries it; `None` where this program does not have the protocol. An answer that the protocol no longer knows
    /// counts as one that nobody could tell.
    pub fn inspected(&self) -> Option<Inspected> {
        let protocol = self.known()?;
        let observed = |kept: &InspectionAnswer| {
            let step = protocol.step(&kept.step)?;
            let given = Given::read(step, &kept.answer).unwrap_or(Given::CannotTell);
            Some(Observation { step: kept.step.clone(), given, note: kept.note.clone() })
        };
        Some(Inspected {
            number: self.id.to_string(),
            part: self.part.clone(),
            protocol,
            edition: self.edition,
            observations: self.answers.iter().filter_map(observed).collect(),
            signed: self.signed.as_ref().map(signed).unwrap_or_default(),
        })
    }
}

/// "Sam, 3 Mar 2026".
fn signed(stamp: &Stamp) -> String {
    let date = stamp.at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%-d %b %Y");
    format!("{}, {date}", stamp.who)
}

/// Longest words for a part or a name, in characters.
const LONGEST_WORDS: usize = 200;

/// Most inspections of one question.
const MOST_INSPECTIONS: i64 = 40;

const READ: &str = "SELECT id, question, protocol, edition, part, signed_at, signed_by, at, who FROM inspection WHERE id = ?1";
const OF_QUESTION: &str = "SELECT id FROM inspection WHERE question = ?1 ORDER BY id";
const NEWEST: &str = "SELECT id FROM inspection ORDER BY at DESC, id DESC LIMIT ?1";
const COUNT: &str = "SELECT count(*) FROM inspection WHERE question = ?1";
const ANSWERS: &str =
    "SELECT step, answer, note, at, who FROM inspection_answer WHERE inspection = ?1 ORDER BY step";
const ADD: &str =
    "INSERT INTO inspection (id, question, protocol, edition, part, signed_at, signed_by, at, who)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
const ANSWER: &str =
    "INSERT INTO inspection_answer (inspection, step, answer, note, at, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
    ON CONFLICT (inspection, step) DO UPDATE SET answer = ?3, note = ?4, at = ?5, who = ?6";
const TOUCH: &str = "UPDATE inspection SET at = ?2, who = ?3 WHERE id = ?1";
const DESCRIBE: &str = "UPDATE inspection SET part = ?2, at = ?3, who = ?4 WHERE id = ?1";
const SIGN: &str = "UPDATE inspection SET signed_by = ?2, signed_at = ?3, at = ?4, who = ?5 WHERE id = ?1";
const REMOVE: &str = "DELETE FROM inspection WHERE id = ?1";

impl Desk {
    /// Begins an inspection for a question.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] for a question or a protocol that is not there, [`DeskError::Refused`] when the question has too many.
    pub fn begin_inspection(
        &self,
        question: QuestionId,
        name: &str,
        part: &str,
        stamp: &Stamp,
    ) -> Result<InspectionId> {
        let protocol =
            protocol(name).ok_or_else(|| DeskError::NotFound { what: "protocol", id: name.to_owned() })?;
        let found = Inspected::new(protocol, part, Vec::new());
        self.keep_inspection(question, &found, stamp).map(|kept| kept.id)
    }

    /// Keeps an inspection with all of its answers, or nothing of it.
    ///
    /// # Errors
    /// As [`Desk::begin_inspection`] and [`Desk::observe`].
    pub fn keep_inspection(
        &self,
        question: QuestionId,
        found: &Inspected,
        stamp: &Stamp,
    ) -> Result<Inspection> {
        let too_long = found.observations.iter().find(|it| it.note.chars().count() > LONGEST_NOTE);
        if let Some(long) = too_long {
            return Err(DeskError::refused(
                format!("the note at {} has more than {LONGEST_NOTE} characters", long.step),
                "shorten it",
            ));
        }
        check_words("the part", &found.part)?;
        let new = new(question, found, stamp);
        self.write(|tx| {
            question::exists(tx, question)?;
            check_room(tx, question)?;
            let id = add(tx, None, &new)?;
            read(tx, id)
        })
    }

    /// An inspection.
    pub fn inspection(&self, id: InspectionId) -> Result<Inspection> {
        self.read(|connection| read(connection, id))
    }

    /// The inspections of a question, in the order in which they were begun.
    pub fn inspections(&self, question: QuestionId) -> Result<Vec<Inspection>> {
        self.read(|connection| of_question(connection, question))
    }

    /// The inspections that were touched last.
    pub fn newest_inspections(&self, limit: u32) -> Result<Vec<Inspection>> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(NEWEST)?;
            let ids =
                statement.query_map([limit], |row| row.get(0))?.collect::<rusqlite::Result<Vec<_>>>()?;
            ids.into_iter().map(|id| read(connection, id)).collect()
        })
    }

    /// Keeps one answer; an earlier one to the same step goes.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for an answer that the step does not have, and for a signed inspection.
    pub fn observe(
        &self,
        id: InspectionId,
        step: &str,
        answer: &str,
        note: &str,
        stamp: &Stamp,
    ) -> Result<()> {
        let note = note.trim();
        if note.chars().count() > LONGEST_NOTE {
            return Err(DeskError::refused(
                format!("the note has more than {LONGEST_NOTE} characters"),
                "shorten it",
            ));
        }
        self.write(|tx| {
            let (inspection, protocol) = open(tx, id)?;
            let step = step_of(protocol, step)?;
            let given =
                Given::read(step, answer).map_err(|fault| DeskError::refused(fault.why, fault.help))?;
            let answer = given.written(step);
            let row = params![inspection.id, step.id, answer, note, stamp.millis(), stamp.who];
            tx.prepare_cached(ANSWER)?.execute(row)?;
            touch(tx, id, stamp)
        })
    }

    /// Says in words which part it is.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for a signed inspection, or words beyond reason.
    pub fn describe_inspection(&self, id: InspectionId, part: &str, stamp: &Stamp) -> Result<()> {
        check_words("the part", part)?;
        self.write(|tx| {
            open(tx, id)?;
            tx.prepare_cached(DESCRIBE)?.execute(params![id, part.trim(), stamp.millis(), stamp.who])?;
            Ok(())
        })
    }

    /// Closes an inspection with somebody's name.
    ///
    /// # Errors
    /// [`DeskError::Refused`] while a question is open, without a name, and when it is signed already.
    pub fn sign_inspection(&self, id: InspectionId, name: &str, stamp: &Stamp) -> Result<()> {
        check_words("the name", name)?;
        if name.trim().is_empty() {
            return Err(DeskError::refused("nobody signs", "write the name of who looked at it"));
        }
        self.write(|tx| {
            let (inspection, _) = open(tx, id)?;
            let next = inspection.inspected().and_then(|it| it.judgement().next);
            if let Some(step) = next {
                return Err(DeskError::refused(
                    format!("a question is open: {}", step.ask),
                    "answer it; “cannot tell” is an answer too",
                ));
            }
            let row = params![id, name.trim(), stamp.millis(), stamp.millis(), stamp.who];
            tx.prepare_cached(SIGN)?.execute(row)?;
            Ok(())
        })
    }

    /// Opens a signed inspection again; the signature goes.
    pub fn open_inspection(&self, id: InspectionId, stamp: &Stamp) -> Result<()> {
        self.write(|tx| {
            read(tx, id)?;
            let nobody: Option<&str> = None;
            let never: Option<i64> = None;
            tx.prepare_cached(SIGN)?.execute(params![id, nobody, never, stamp.millis(), stamp.who])?;
            Ok(())
        })
    }

    /// Writes what came out into the record of the question's bike: the condition of the parts that the protocol is about, "damaged" for
    /// "do not ride", "doubtful" for "have it inspected". The bike gets a new version. Returns the bike.
    ///
    /// # Errors
    /// [`DeskError::Refused`] when nothing bad came out, no bike was chosen, or a record has no such part.
    pub fn note_condition(&self, id: InspectionId, stamp: &Stamp) -> Result<BikeId> {
        let (kept, bike) = self.read(|connection| {
            let kept = read(connection, id)?;
            let bike = question::read(connection, kept.question)?.bike;
            Ok((kept, bike))
        })?;
        let inspected = kept.inspected().ok_or_else(|| no_protocol(&kept.protocol))?;
        let bike = bike.ok_or_else(|| {
            DeskError::refused("no bike was chosen for this question", "choose one on the question's page")
        })?;
        let (key, word) = condition(&inspected).ok_or_else(|| {
            DeskError::refused(
                "there is nothing to write into a record",
                "only what is damaged or doubtful is written there",
            )
        })?;
        let newest = self.bike(bike)?;
        let text = edit::set(&newest.text, key, Some(&edit::Entry::new(word)))
            .map_err(|problem| DeskError::Record(vec![problem]))?;
        let why = format!("inspection {id}: {}", inspected.protocol.title);
        self.save_bike(bike, &text, &why, newest.number, stamp)?;
        Ok(bike)
    }

    /// Removes an inspection that is not signed; its photos stay with the question.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for a signed one.
    pub fn remove_inspection(&self, id: InspectionId) -> Result<QuestionId> {
        self.write(|tx| {
            let inspection = read(tx, id)?;
            unsigned(&inspection)?;
            tx.prepare_cached(REMOVE)?.execute([id])?;
            Ok(inspection.question)
        })
    }
}

/// An inspection that is not in the file yet.
pub(crate) fn new(question: QuestionId, found: &Inspected, stamp: &Stamp) -> Inspection {
    let answers = found.observations.iter().filter_map(|observation| {
        let step = found.protocol.step(&observation.step)?;
        Some(InspectionAnswer {
            step: observation.step.clone(),
            answer: observation.given.written(step),
            note: observation.note.trim().to_owned(),
            stamp: stamp.clone(),
        })
    });
    Inspection {
        id: InspectionId(0),
        question,
        protocol: found.protocol.id.clone(),
        edition: found.edition,
        part: found.part.clone(),
        signed: None,
        answers: answers.collect(),
        stamp: stamp.clone(),
    }
}

fn check_room(tx: &Transaction<'_>, question: QuestionId) -> Result<()> {
    let count: i64 = tx.prepare_cached(COUNT)?.query_row([question], |row| row.get(0))?;
    if count >= MOST_INSPECTIONS {
        return Err(DeskError::refused(
            format!("this question has {MOST_INSPECTIONS} inspections already"),
            "remove those that were begun by mistake",
        ));
    }
    Ok(())
}

/// What an inspection says of a bike's record: the key of a condition and its word. Only what came to its end is written down.
pub fn condition(inspected: &Inspected) -> Option<(&'static str, &'static str)> {
    let judgement = inspected.judgement();
    let key = inspected.protocol.conditions.first()?;
    match judgement.grade {
        _ if !judgement.is_finished() => None,
        Grade::DoNotRide => Some((key, "damaged")),
        Grade::Inspect => Some((key, "doubtful")),
        Grade::RideWithCheck | Grade::Cosmetic => None,
    }
}

/// An inspection that may still change, with its protocol.
fn open(tx: &Transaction<'_>, id: InspectionId) -> Result<(Inspection, &'static Protocol)> {
    let inspection = read(tx, id)?;
    unsigned(&inspection)?;
    let protocol = inspection.known().ok_or_else(|| no_protocol(&inspection.protocol))?;
    Ok((inspection, protocol))
}

pub(crate) fn no_protocol(name: &str) -> DeskError {
    DeskError::refused(
        format!("this program has no protocol `{name}`"),
        "use the program that it was begun with, or a newer one",
    )
}

pub(crate) fn unsigned(inspection: &Inspection) -> Result<()> {
    match &inspection.signed {
        None => Ok(()),
        Some(stamp) => Err(DeskError::refused(
            format!("{} has signed this inspection", stamp.who),
            "open it again first; the signature goes then",
        )),
    }
}

fn step_of(protocol: &'static Protocol, id: &str) -> Result<&'static Step> {
    protocol.step(id).ok_or_else(|| DeskError::NotFound { what: "step", id: id.to_owned() })
}

fn touch(tx: &Transaction<'_>, id: InspectionId, stamp: &Stamp) -> Result<()> {
    tx.prepare_cached(TOUCH)?.execute(params![id, stamp.millis(), stamp.who])?;
    Ok(())
}

pub(crate) fn check_words(what: &str, words: &str) -> Result<()> {
    if words.chars().count() > LONGEST_WORDS {
        return Err(DeskError::refused(
            format!("{what} has more than {LONGEST_WORDS} characters"),
            "shorten it",
        ));
    }
    Ok(())
}

/// Adds an inspection with its answers.
pub(crate) fn add(tx: &Transaction<'_>, id: Option<InspectionId>, new: &Inspection) -> Result<InspectionId> {
    let signed = new.signed.as_ref();
    tx.prepare_cached(ADD)?.execute(params![
        id,
        new.question,
        new.protocol,
        new.edition,
        new.part,
        signed.map(Stamp::millis),
        signed.map(|stamp| &stamp.who),
        new.stamp.millis(),
        new.stamp.who
    ])?;
    let id = InspectionId(tx.last_insert_rowid());
    for kept in &new.answers {
        let row = params![id, kept.step, kept.answer, kept.note, kept.stamp.millis(), kept.stamp.who];
        tx.prepare_cached(ANSWER)?.execute(row)?;
    }
    Ok(id)
}

pub(crate) fn of_question(connection: &Connection, question: QuestionId) -> Result<Vec<Inspection>> {
    let mut statement = connection.prepare_cached(OF_QUESTION)?;
    let ids = statement.query_map([question], |row| row.get(0))?.collect::<rusqlite::Result<Vec<_>>>()?;
    ids.into_iter().map(|id| read(connection, id)).collect()
}

pub(crate) fn read(connection: &Connection, id: InspectionId) -> Result<Inspection> {
    let mut statement = connection.prepare_cached(READ)?;
    let mut rows = statement.query([id])?;
    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows).map_err(missing("inspection", &id))?;
    let signed_at: Option<i64> = row.get(5)?;
    let signed = match (signed_at, row.get::<_, Option<String>>(6)?) {
        (Some(at), Some(who)) => Some(Stamp { at: moment(at)?, who }),
        (None, None) => None,
        _ => return Err(broken("a signature without its time")),
    };
    let mut statement = connection.prepare_cached(ANSWERS)?;
    let mut rows = statement.query([id])?;
    let mut answers = Vec::new();
    while let Some(row) = rows.next()? {
        answers.push(answer(row)?);
    }
    Ok(Inspection {
        id: row.get(0)?,
        question: row.get(1)?,
        protocol: row.get(2)?,
        edition: row.get(3)?,
        part: row.get(4)?,
        signed,
        answers,
        stamp: Stamp::read(row, 7)?,
    })
}

fn answer(row: &Row<'_>) -> Result<InspectionAnswer> {
    Ok(InspectionAnswer {
        step: row.get(0)?,
        answer: row.get(1)?,
        note: row.get(2)?,
        stamp: Stamp::read(row, 3)?,
    })
}
