//! `knockon export` and `knockon import`: a workshop as a folder of plain files.

use std::path::{Path, PathBuf};

use knockon_desk::Stamp;

use crate::arguments::{Export, Import};
use crate::printer::Printer;
use crate::progress::Progress;
use crate::{BadInput, Ended, workshop};

pub(crate) fn export(arguments: &Export, printer: &Printer) -> Result<Ended, BadInput> {
    let desk = workshop::open(&arguments.workshop, printer)?;
    let mut progress = Progress::new("export", "files", printer);
    let written = desk.export(&arguments.folder, |done, total| progress.step(done, total));
    drop(progress);
    written.map_err(|error| workshop::refuse(&error, printer))?;
    printer.out(&format!("wrote {}\n", arguments.folder.display()));
    Ok(Ended::Answered)
}

pub(crate) fn import(arguments: &Import, printer: &Printer) -> Result<Ended, BadInput> {
    if !arguments.folder.is_dir() {
        return Err(printer.fail(
            &format!("there is no folder {}", arguments.folder.display()),
            "name a folder that `knockon export` wrote; a geometry table is read by `knockon read-table`",
        ));
    }
    let made = !arguments.workshop.exists();
    let desk = workshop::open_or_make(&arguments.workshop, printer)?;
    let mut progress = Progress::new("import", "files", printer);
    let read = desk
        .import_folder(&arguments.folder, &Stamp::now("import"), |done, total| progress.step(done, total));
    drop(progress);
    drop(desk);
    read.map_err(|error| {
        if made {
            remove(&arguments.workshop);
        }
        workshop::refuse(&error, printer)
    })?;
    printer.out(&format!("read {} into {}\n", arguments.folder.display(), arguments.workshop.display()));
    Ok(Ended::Answered)
}

/// Takes away the empty workshop that was made for an import which failed, with the files that SQLite keeps beside one.
fn remove(workshop: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let mut path = workshop.as_os_str().to_owned();
        path.push(ending);
        let _ = std::fs::remove_file(PathBuf::from(path));
    }
}
