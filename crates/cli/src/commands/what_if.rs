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
    if let Some(path) = clash(what_if) {
        return Err(printer.fail(
            &format!("{} is named twice; nothing was written", path.display()),
            "give each sheet a file of its own",
        ));
    }
    let record = files::record(&what_if.record, printer)?;
    let mut lines = what_if.changes.clone();
    if let Some(path) = &what_if.changes_from {
        lines.extend(lines_of(&path.to_string_lossy(), printer)?);
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
    let question =
        Question { asked: what_if.asked.clone(), record, changes: read.changes, inspections: Vec::new() };
    let findings = super::findings(question, printer)?;
    let heading = Heading {
        workshop: what_if.workshop.clone(),
        drawn: super::today(),
        sheet: what_if.sheet.clone(),
        ..Heading::default()
    };
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

/// Most bad lines of a file that are told at once.
const MOST_BAD_LINES: usize = 10;
/// Most lines of a file that are looked at one by one; a question takes far fewer changes.
const MOST_LINES: usize = 1000;

/// The lines of a file of changes. A line that says no change is told with its number.
fn lines_of(path: &str, printer: &Printer) -> Result<Vec<String>, BadInput> {
    let text = files::read(path, printer)?;
    let bad = (1..)
        .zip(text.lines().take(MOST_LINES))
        .filter_map(|(number, line)| Some((number, read_changes(&[line]).err()?)));
    let mut told = 0;
    for (number, problems) in bad.take(MOST_BAD_LINES) {
        printer.note(&format!("error: {}, line {number}:", files::shown(path)));
        printer.problems(&problems);
        told += 1;
    }
    if told == 0 { Ok(text.lines().map(str::to_owned).collect()) } else { Err(BadInput) }
}

/// A file to write that is also read, or is to be written twice.
fn clash(what_if: &WhatIf) -> Option<&Path> {
    let read = [Some(Path::new(&what_if.record)), what_if.changes_from.as_deref()];
    let written = [&what_if.html, &what_if.svg, &what_if.markdown].map(|path| path.as_deref());
    let named: Vec<&Path> = read.into_iter().chain(written).flatten().collect();
    // A device, such as /dev/null, may be named as often as you like.
    let file = |path: &Path| {
        let place = path.canonicalize().or_else(|_| std::path::absolute(path)).ok();
        place.filter(|place| place.is_file() || !place.exists())
    };
    written.into_iter().flatten().find(|path| {
        let place = file(path);
        place.is_some() && named.iter().filter(|other| file(other) == place).count() > 1
    })
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
