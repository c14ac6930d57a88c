//! The workshop's own settings.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, Transaction, params};

use crate::error::broken;
use crate::{Desk, DeskError, Result, Stamp};

pub use knockon_sheet::units::{Language, LengthUnit};

/// The workshop's own settings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Name of the workshop, for the title block.
    pub workshop: String,
    /// Who draws, where nobody is logged in.
    pub drawn_by: String,
    /// Unit of lengths.
    pub length: LengthUnit,
    /// Language of the units' labels.
    pub label_language: Language,
    /// Tools whose tolerance differs from the usual: ± in the unit that is shown, by the names of
    /// [`knockon_trade::fact::tool_settings`].
    pub tolerances: BTreeMap<String, f64>,
}

/// Longest name of a workshop or person, in characters.
const LONGEST_NAME: usize = 200;

const READ: &str = "SELECT workshop, drawn_by, length, label_language FROM setting WHERE id = 1";
const READ_TOLERANCES: &str = "SELECT tool, pm FROM tolerance ORDER BY tool";
const WRITE: &str = "INSERT INTO setting (id, workshop, drawn_by, length, label_language, at, who)
    VALUES (1, ?1, ?2, ?3, ?4, ?5, ?6)
    ON CONFLICT (id) DO UPDATE SET workshop = ?1, drawn_by = ?2, length = ?3, label_language = ?4, at = ?5, who = ?6";
const WRITE_TOLERANCE: &str = "INSERT INTO tolerance (tool, pm) VALUES (?1, ?2)";

impl Desk {
    /// The workshop's settings; the usual ones where nobody saved any.
    pub fn settings(&self) -> Result<Settings> {
        self.read(read)
    }

    /// Saves the workshop's settings.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for a tool that nobody knows, a tolerance that is none, or a name beyond reason.
    pub fn save_settings(&self, settings: &Settings, stamp: &Stamp) -> Result<()> {
        self.write(|tx| write(tx, settings, stamp))
    }
}

pub(crate) fn read(connection: &Connection) -> Result<Settings> {
    let row = connection
        .prepare_cached(READ)?
        .query_row([], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get::<_, String>(2)?, row.get::<_, String>(3)?))
        })
        .optional()?;
    let mut settings = Settings::default();
    if let Some((workshop, drawn_by, length, language)) = row {
        settings.workshop = workshop;
        settings.drawn_by = drawn_by;
        settings.length = length_of(&length).ok_or_else(|| broken("an unknown unit of length"))?;
        settings.label_language = language_of(&language).ok_or_else(|| broken("an unknown language"))?;
    }
    let mut tolerances = connection.prepare_cached(READ_TOLERANCES)?;
    let rows = tolerances.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    settings.tolerances = rows.collect::<rusqlite::Result<_>>()?;
    Ok(settings)
}

pub(crate) fn write(tx: &Transaction<'_>, settings: &Settings, stamp: &Stamp) -> Result<()> {
    check(settings)?;
    tx.execute(
        WRITE,
        params![
            settings.workshop.trim(),
            settings.drawn_by.trim(),
            settings.length.key(),
            settings.label_language.key(),
            stamp.millis(),
            stamp.who
        ],
    )?;
    tx.execute("DELETE FROM tolerance", [])?;
    for (tool, pm) in &settings.tolerances {
        tx.execute(WRITE_TOLERANCE, params![tool, pm])?;
    }
    Ok(())
}

fn check(settings: &Settings) -> Result<()> {
    for (what, name) in
        [("the workshop's name", &settings.workshop), ("the name of who draws", &settings.drawn_by)]
    {
        if name.chars().count() > LONGEST_NAME {
            return Err(DeskError::refused(
                format!("{what} has more than {LONGEST_NAME} characters"),
                "shorten it",
            ));
        }
    }
    let tools = knockon_trade::fact::tool_settings();
    for (name, pm) in &settings.tolerances {
        if !tools.iter().any(|tool| tool.name == *name) {
            let known: Vec<&str> = tools.iter().map(|tool| tool.name.as_str()).collect();
            return Err(DeskError::refused(
                format!("no tool is called `{name}`"),
                format!("known are {}", known.join(", ")),
            ));
        }
        if !pm.is_finite() || *pm < 0.0 || *pm > 1000.0 {
            return Err(DeskError::refused(
                format!("±{pm} is no tolerance of `{name}`"),
                "give a number from 0 to 1000, or none for the usual one",
            ));
        }
    }
    Ok(())
}

pub(crate) fn length_of(key: &str) -> Option<LengthUnit> {
    LengthUnit::ALL.into_iter().find(|unit| unit.key() == key)
}

pub(crate) fn language_of(key: &str) -> Option<Language> {
    Language::ALL.into_iter().find(|language| language.key() == key)
}
