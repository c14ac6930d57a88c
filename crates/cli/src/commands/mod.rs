//! One command a file.

pub(crate) mod account;
pub(crate) mod audit;
pub(crate) mod backup;
pub(crate) mod body;
pub(crate) mod changes;
pub(crate) mod clean;
pub(crate) mod completions;
pub(crate) mod depth;
pub(crate) mod explain;
pub(crate) mod fits;
pub(crate) mod gauge;
pub(crate) mod inspect;
pub(crate) mod open;
pub(crate) mod openapi;
pub(crate) mod plain_files;
pub(crate) mod reach_for;
pub(crate) mod read_table;
pub(crate) mod show;
pub(crate) mod what_if;

use knockon_trade::findings::{Findings, answer};
use knockon_trade::question::Question;

use crate::BadInput;
use crate::printer::Printer;

/// Answers a question, or says why the record does not allow it.
fn findings(question: Question, printer: &Printer) -> Result<Findings, BadInput> {
    answer(question).map_err(|error| printer.fail(&error.to_string(), &error.help()))
}

/// Today's date as the title block writes it.
fn today() -> String {
    jiff::ZonedDateTime::now().strftime("%-d %b %Y").to_string()
}
