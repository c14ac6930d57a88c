//! Everything that a working page shows of the two ways, read in one go.

use knockon_desk::{Answered, Desk, DeskError, Question, QuestionId};
use knockon_sheet::sheet::{MissingRow, Sheet};

use super::changes::{self, Line};
use super::draft;
use super::state::{Side, Ways};

/// A question with its two ways answered.
pub struct Working {
    /// The question.
    pub question: Question,
    /// Name of its bike.
    pub bike: Option<String>,
    /// The lines that are shown.
    pub ways: Ways,
    /// True when they are the saved draft.
    pub is_saved: bool,
    /// The first way.
    pub first: Way,
    /// The second, where somebody compares.
    pub instead: Option<Way>,
}

/// One way, answered as far as its lines can be read.
pub struct Way {
    /// The lines.
    pub lines: Vec<Line>,
    /// The answer to those that can be read.
    pub outcome: Outcome,
}

/// What came of the readable lines.
pub enum Outcome {
    /// An answer.
    Sheet(Box<Sheet>),
    /// Nobody said which bike it is, and nothing of it was inspected.
    NoBike,
    /// The record and the changes describe no possible bike.
    Cannot {
        /// Why.
        why: String,
        /// How to mend it.
        help: String,
    },
}

impl Way {
    /// The sheet, where there is one.
    pub fn sheet(&self) -> Option<&Sheet> {
        match &self.outcome {
            Outcome::Sheet(sheet) => Some(sheet),
            _ => None,
        }
    }

    /// How many lines cannot be read.
    pub fn bad_lines(&self) -> usize {
        self.lines.iter().filter(|line| line.problem().is_some()).count()
    }
}

impl Working {
    /// Reads and answers. `ways` gives the lines to show, from the saved ones.
    pub fn read<E>(
        desk: &Desk,
        id: QuestionId,
        ways: impl FnOnce(&Ways) -> Result<Ways, E>,
    ) -> Result<Result<Self, E>, DeskError> {
        let question = desk.question(id)?;
        let saved = draft::saved(&question);
        let ways = match ways(&saved) {
            Ok(ways) => ways,
            Err(refused) => return Ok(Err(refused)),
        };
        let (first, mut bike) = answer(desk, &question, &ways.first)?;
        let instead = match &ways.instead {
            Some(lines) => Some(answer(desk, &question, lines)?.0),
            None => None,
        };
        if let (None, Some(id)) = (&bike, question.bike) {
            bike = Some(desk.bike(id)?.record()?.title());
        }
        Ok(Ok(Self { is_saved: ways == saved, question, bike, ways, first, instead }))
    }

    /// Both ways with their sides.
    pub fn all(&self) -> impl Iterator<Item = (Side, &Way)> {
        [(Side::First, Some(&self.first)), (Side::Instead, self.instead.as_ref())]
            .into_iter()
            .filter_map(|(side, way)| Some((side, way?)))
    }

    /// The sheets of both ways, as far as they have one.
    pub fn sheets(&self) -> impl Iterator<Item = (Side, &Sheet)> {
        self.all().filter_map(|(side, way)| Some((side, way.sheet()?)))
    }

    /// Facts that either way lacks, each once.
    pub fn missing(&self) -> Vec<&MissingRow> {
        let mut all: Vec<&MissingRow> = Vec::new();
        for row in self.sheets().flat_map(|(_, sheet)| &sheet.missing) {
            if !all.iter().any(|known| known.ask == row.ask) {
                all.push(row);
            }
        }
        all
    }
}

/// Answers what can be read of the lines; names the bike where it was read on the way.
fn answer(desk: &Desk, question: &Question, texts: &[String]) -> Result<(Way, Option<String>), DeskError> {
    let mut lines = changes::read(texts);
    if question.bike.is_none() && desk.inspections(question.id)?.is_empty() {
        return Ok((Way { lines, outcome: Outcome::NoBike }, None));
    }
    loop {
        match desk.answer_of(question.id, &changes::good(&lines)) {
            Ok(Answered { findings, sheet, .. }) => {
                changes::letter(&mut lines, &findings.revisions);
                let bike = findings.question.record.title();
                return Ok((Way { lines, outcome: Outcome::Sheet(Box::new(sheet)) }, Some(bike)));
            }
            // Each turn takes a line out, so this ends.
            Err(DeskError::Answer(error)) if changes::refuse(&mut lines, &error) => {}
            Err(DeskError::Answer(error)) => {
                let outcome = Outcome::Cannot { why: error.to_string(), help: error.help() };
                return Ok((Way { lines, outcome }, None));
            }
            Err(error) => return Err(error),
        }
    }
}
