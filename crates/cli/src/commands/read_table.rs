//! `knockon read-table`: records from a pasted geometry table.

use std::fs;

use knockon_trade::import::{Options, import, report};

use crate::arguments::ReadTable;
use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(arguments: &ReadTable, printer: &Printer) -> Result<Ended, BadInput> {
    let text = files::read(&arguments.table, printer)?;
    let options = Options { name: arguments.name.clone(), kind: arguments.kind.clone() };
    let imported = import(&text, &options);
    printer.out(&report(&imported));
    if imported.records.is_empty() {
        return Err(printer.fail(
            "the table gave no record",
            "it needs rows of measures and columns of sizes (or the other way round), with headings such as Stack and Reach",
        ));
    }
    if let Err(error) = fs::create_dir_all(&arguments.out) {
        return Err(printer.fail(
            &format!("cannot make {}: {error}", arguments.out.display()),
            "name a folder that you may write to",
        ));
    }
    let paths: Vec<_> = imported
        .records
        .iter()
        .map(|record| arguments.out.join(format!("{}.toml", record.file_stem)))
        .collect();
    // Nothing is written over unless that was asked for, and then all is written or nothing is said to be.
    if let Some(there) = paths.iter().find(|path| path.exists()).filter(|_| !arguments.replace) {
        return Err(printer.fail(
            &format!("{} is already there; nothing was written", there.display()),
            "choose another folder, or say --replace",
        ));
    }
    for (record, path) in imported.records.iter().zip(&paths) {
        files::write(path, &record.toml, printer)?;
        printer.out(&format!("wrote {}\n", path.display()));
    }
    Ok(Ended::Answered)
}
