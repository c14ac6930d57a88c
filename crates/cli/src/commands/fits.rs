//! `knockon fits`: do these parts go on this bike?

use knockon_engine::requirement::Outcome;
use knockon_sheet::report;
use knockon_trade::demo;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::shelf::{Shelf, offers};

use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(record: &str, parts: &[String], json: bool, printer: &Printer) -> Result<Ended, BadInput> {
    let record = files::record(record, printer)?;
    let read = read_changes(parts).map_err(|problems| {
        printer.problems(&problems);
        BadInput
    })?;
    printer.problems(&read.warnings);
    let question = Question { asked: String::new(), record, changes: read.changes, inspections: Vec::new() };
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

/// Every part of a table.
pub(crate) fn list(record: &str, list: &str, json: bool, printer: &Printer) -> Result<Ended, BadInput> {
    let text = match list {
        "demo:stock" => demo::stock().to_owned(),
        path => files::read(path, printer)?,
    };
    let record = files::record(record, printer)?;
    let read = offers(files::shown(list), &text).map_err(|problem| {
        printer.problems(&[problem]);
        BadInput
    })?;
    printer.problems(&read.problems);
    let mut shelf = Shelf::new(&record).map_err(|error| printer.fail(&error.to_string(), &error.help()))?;
    let ranked = shelf.rank(&read.offers);
    let title = record.title();
    if json {
        printer.out(&format!("{}\n", report::shelf::shelf_json(&title, &read, &ranked)));
    } else {
        printer.out(&report::shelf::shelf(&title, &read, &ranked, printer.width, printer.style));
    }
    // Parts that could not be read are missing from the answer.
    if read.problems.iter().any(|problem| !problem.warning) {
        return Err(BadInput);
    }
    let some = ranked.iter().any(|part| part.outcome != Outcome::DoesNotFit || !part.needs.is_empty());
    Ok(if some { Ended::Answered } else { Ended::DoesNotFit })
}
