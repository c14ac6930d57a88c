//! Opening a workshop's file, and saying why it cannot be done.

use std::path::Path;

use knockon_desk::{Desk, DeskError};

use crate::BadInput;
use crate::printer::Printer;

/// Opens a workshop; makes it when it is not there.
pub(crate) fn open_or_make(path: &Path, printer: &Printer) -> Result<Desk, BadInput> {
    Desk::open(path).map_err(|error| refuse(&error, printer))
}

/// Opens a workshop that must be there.
pub(crate) fn open(path: &Path, printer: &Printer) -> Result<Desk, BadInput> {
    if path.exists() {
        return open_or_make(path, printer);
    }
    Err(printer.fail(
        &format!("there is no workshop {}", path.display()),
        &format!("`knockon open {}` makes one", path.display()),
    ))
}

/// Says what the desk has against it.
pub(crate) fn refuse(error: &DeskError, printer: &Printer) -> BadInput {
    match error {
        DeskError::Record(problems)
        | DeskError::Changes(problems)
        | DeskError::Marks(problems)
        | DeskError::Folder(problems) => {
            printer.problems(problems);
            BadInput
        }
        _ => printer.fail(&error.to_string(), &error.help()),
    }
}
