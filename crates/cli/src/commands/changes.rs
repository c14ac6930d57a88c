//! `knockon changes`: the change language.

use knockon_sheet::report;

use crate::printer::Printer;
use crate::{BadInput, Ended};

#[allow(clippy::unnecessary_wraps)] // every command ends the same way
pub(crate) fn run(printer: &Printer) -> Result<Ended, BadInput> {
    printer.out(&report::changes(printer.width, printer.style));
    Ok(Ended::Answered)
}
