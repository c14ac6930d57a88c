//! `knockon backup` and `knockon restore`: a workshop as one file.

use std::path::Path;

use knockon_desk::Desk;

use crate::arguments::{Backup, Restore};
use crate::printer::Printer;
use crate::progress::Progress;
use crate::{BadInput, Ended, workshop};

pub(crate) fn backup(arguments: &Backup, printer: &Printer) -> Result<Ended, BadInput> {
    if arguments.file.exists() {
        return Err(printer.fail(
            &format!("{} is already there; nothing was written", arguments.file.display()),
            "name a new file",
        ));
    }
    let desk = workshop::open(&arguments.workshop, printer)?;
    let mut progress = Progress::new("backup", "pages", printer);
    let copied = desk.backup(&arguments.file, |done, total| progress.step(done, total));
    drop(progress);
    copied.map_err(|error| workshop::refuse(&error, printer))?;
    printer.out(&format!("wrote {} ({})\n", arguments.file.display(), size(&arguments.file)));
    Ok(Ended::Answered)
}

pub(crate) fn restore(arguments: &Restore, printer: &Printer) -> Result<Ended, BadInput> {
    if !arguments.file.exists() {
        return Err(printer.fail(
            &format!("there is no file {}", arguments.file.display()),
            "name a file that `knockon backup` wrote",
        ));
    }
    if arguments.workshop.exists() && !arguments.replace {
        return Err(printer.fail(
            &format!("{} is already there; nothing was written", arguments.workshop.display()),
            "name a new file, or say --replace to lose what is in it",
        ));
    }
    let mut progress = Progress::new("restore", "pages", printer);
    let copied = Desk::restore(&arguments.file, &arguments.workshop, arguments.replace, |done, total| {
        progress.step(done, total);
    });
    drop(progress);
    copied.map_err(|error| workshop::refuse(&error, printer))?;
    printer.out(&format!("restored {} from {}\n", arguments.workshop.display(), arguments.file.display()));
    Ok(Ended::Answered)
}

/// A file's size in words.
fn size(path: &Path) -> String {
    let bytes = std::fs::metadata(path).map_or(0, |about| about.len());
    if bytes < 1_000_000 {
        format!("{} kB", bytes.div_ceil(1000))
    } else {
        format!("{:.1} MB", bytes as f64 / 1e6)
    }
}
