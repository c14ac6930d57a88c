//! One command a file.

pub(crate) mod audit;
pub(crate) mod changes;
pub(crate) mod completions;
pub(crate) mod demo;
pub(crate) mod explain;
pub(crate) mod import;
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
