//! `knockon what-if`: the main job.

use std::path::Path;

use knockon_engine::requirement::Outcome;
use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::{drawing, html, json, markdown, text};
use knockon_trade::change;
use knockon_trade::findings::Findings;
use knockon_trade::question::{Question, read_changes};

use crate::arguments::WhatIf;
use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(what_if: &WhatIf, printer: &Printer) -> Result<Ended, BadInput> {
    if what_if.record == "-" && what_if.changes_from.as_deref() == Some(Path::new("-")) {
        return Err(printer.fail(
            "record and changes cannot both come from standard input",
            "give the path of a file for one of them",
        ));
    }
    let record = files::record(&what_if.record, printer)?;
    let mut lines = what_if.changes.clone();
    if let Some(path) = &what_if.changes_from {
        lines.extend(files::read(&path.to_string_lossy(), printer)?.lines().map(str::to_owned));
    }
    let read = read_changes(&lines).map_err(|problems| {
        printer.problems(&problems);
        unquoted(&what_if.changes, printer);
        BadInput
    })?;
    if read.changes.is_empty() {
        return Err(printer.fail(
            "what-if needs at least one change",
            "say for example \"stem length 40\"; `knockon changes` lists what a change can name, `knockon show` prints a record as it stands",
        ));
    }
    printer.problems(&read.warnings);
    let question = Question { asked: what_if.asked.clone(), record, changes: read.changes };
    let findings = super::findings(question, printer)?;
    let heading =
        Heading { workshop: what_if.workshop.clone(), drawn: super::today(), sheet: what_if.sheet.clone() };
    let sheet = compose(&findings, &heading);
    let outputs = [
        (&what_if.html, html::html as fn(&_) -> String),
        (&what_if.svg, drawing::sheet_svg),
        (&what_if.markdown, markdown::markdown),
    ];
    for (path, writer) in outputs {
        if let Some(path) = path {
            files::write(path, &writer(&sheet), printer)?;
            printer.note(&format!("wrote {}", path.display()));
        }
    }
    if what_if.json {
        printer.out(&json::json(&findings));
    } else {
        printer.out(&text::text(&sheet, printer.width, printer.style));
    }
    Ok(ended(&findings))
}

/// One change that the shell took to pieces looks like several that mean nothing.
fn unquoted(arguments: &[String], printer: &Printer) {
    let whole = arguments.join(" ");
    if arguments.len() > 1 && change::parse(&whole).is_ok() {
        printer.note(&format!("  help: put a change in quotes: \"{whole}\""));
    }
}

/// "Does not fit" is an answer with an exit status of its own.
pub(super) fn ended(findings: &Findings) -> Ended {
    if findings.verdicts.iter().any(|verdict| verdict.outcome == Outcome::DoesNotFit) {
        Ended::DoesNotFit
    } else {
        Ended::Answered
    }
}
