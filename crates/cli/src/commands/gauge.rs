//! `knockon gauge`: what do I have?

use knockon_sheet::report::gauge as report;
use knockon_trade::interface::gauge::gauge;
use knockon_trade::interface::taken::taken;

use crate::printer::Printer;
use crate::{BadInput, Ended};

pub(crate) fn run(readings: &[String], json: bool, printer: &Printer) -> Result<Ended, BadInput> {
    if readings.is_empty() {
        printer.out(&report::measures(printer.width, printer.style));
        return Ok(Ended::Answered);
    }
    let (mut read, mut problems) = (Vec::new(), Vec::new());
    for reading in readings {
        match taken(reading) {
            Ok(reading) => read.push(reading),
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        printer.problems(&problems);
        return Err(BadInput);
    }
    let gauged = gauge(&read);
    if json {
        printer.out(&format!("{}\n", report::gauge_json(&read, &gauged)));
    } else {
        printer.out(&report::gauge(&read, &gauged, printer.width, printer.style));
    }
    Ok(Ended::Answered)
}
