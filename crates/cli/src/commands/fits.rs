//! `knockon fits`: do these parts go on this bike?

use knockon_engine::requirement::Outcome;
use knockon_sheet::report;
use knockon_trade::question::{Question, read_changes};

use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(record: &str, parts: &[String], json: bool, printer: &Printer) -> Result<Ended, BadInput> {
    let record = files::record(record, printer)?;
    let read = read_changes(parts).map_err(|problems| {
        printer.problems(&problems);
        BadInput
    })?;
    printer.problems(&read.warnings);
    let question = Question { asked: String::new(), record, changes: read.changes };
    let findings = super::findings(question, printer)?;
    if json {
        printer.out(&format!("{}\n", report::fits::fits_json(&findings)));
    } else {
        printer.out(&report::fits::fits(&findings, printer.width, printer.style));
    }
    let fits = findings.fits.iter().map(|judged| &judged.verdict);
    let broken = findings.verdicts.iter().chain(fits).any(|it| it.outcome == Outcome::DoesNotFit);
    Ok(if broken { Ended::DoesNotFit } else { Ended::Answered })
}
