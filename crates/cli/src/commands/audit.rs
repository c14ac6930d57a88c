//! `knockon audit`: what a chart disagrees about.

use knockon_sheet::report;
use knockon_trade::question::Question;

use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(record: &str, printer: &Printer) -> Result<Ended, BadInput> {
    let record = files::record(record, printer)?;
    let findings = super::findings(
        Question { asked: String::new(), record, changes: Vec::new(), inspections: Vec::new() },
        printer,
    )?;
    printer.out(&report::audit(&findings, printer.width, printer.style));
    Ok(Ended::Answered)
}
