//! From a stored question to its answer. This is the one way: pages, the interface for programs and published sheets all
//! come through here.

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::sheet::Sheet;
use knockon_sheet::units::Units;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::problem::Problem;
use knockon_trade::question::{Question as Asked, read_changes};
use rusqlite::Connection;

use crate::{BikeVersion, Desk, DeskError, Question, QuestionId, Result, Settings, bike, question, settings};

/// An answer to a stored question.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question, as it was answered.
    pub question: Asked,
    /// The answer in numbers.
    pub findings: Findings,
    /// The answer in words, ready to be drawn.
    pub sheet: Sheet,
    /// Values that are possible but out of the usual.
    pub warnings: Vec<Problem>,
}

/// What an answer is made from.
pub(crate) struct Basis {
    pub(crate) question: Question,
    pub(crate) bike: BikeVersion,
    pub(crate) settings: Settings,
}

impl Desk {
    /// Answers a stored question with these changes, on its bike as it is now, with the workshop's settings.
    ///
    /// # Errors
    /// [`DeskError::Changes`] with every fault of the lines, [`DeskError::Answer`] when the bike or the changes are
    /// impossible, [`DeskError::Refused`] when no bike was chosen yet.
    pub fn answer_of(&self, id: QuestionId, changes: &str) -> Result<Answered> {
        let basis = self.read(|connection| Basis::read(connection, id))?;
        basis.answer(changes, &format!("{id:04}"), String::new())
    }
}

impl Basis {
    pub(crate) fn read(connection: &Connection, id: QuestionId) -> Result<Basis> {
        let question = question::read(connection, id)?;
        let Some(bike) = question.bike else {
            return Err(DeskError::refused(
                "no bike was chosen for this question yet",
                "choose one of the workshop's bikes, or add the rider's",
            ));
        };
        Ok(Basis { question, bike: bike::newest(connection, bike)?, settings: settings::read(connection)? })
    }

    pub(crate) fn answer(&self, changes: &str, sheet: &str, drawn: String) -> Result<Answered> {
        let lines: Vec<&str> = changes.lines().collect();
        let read = read_changes(&lines).map_err(DeskError::Changes)?;
        let record = self.bike.record()?.with_tolerances(&self.settings.tolerances);
        let question = Asked {
            asked: self.question.asked.clone(),
            record,
            changes: read.changes,
            inspections: Vec::new(),
        };
        let findings = answer(question.clone())?;
        let settings = &self.settings;
        let heading = Heading {
            workshop: settings.workshop.clone(),
            drawn,
            sheet: sheet.to_owned(),
            units: Units { length: settings.length, language: settings.label_language },
        };
        let sheet = compose(&findings, &heading);
        Ok(Answered { question, findings, sheet, warnings: read.warnings })
    }
}
