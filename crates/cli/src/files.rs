//! Reading and writing files, each failure with its path.

use std::fs;
use std::io::Read;
use std::path::Path;

use knockon_trade::record::{Record, parse};
use knockon_trade::{demo, problem};

use crate::BadInput;
use crate::printer::Printer;

/// Largest text that is read: a record or a table is a few kilobytes.
const LARGEST: u64 = 4 * 1024 * 1024;

/// Reads a text from a file, or from standard input for `-`.
pub(crate) fn read(path: &str, printer: &Printer) -> Result<String, BadInput> {
    let mut bytes = Vec::new();
    let result = if path == "-" {
        std::io::stdin().lock().take(LARGEST + 1).read_to_end(&mut bytes)
    } else {
        fs::File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
    };
    if let Err(error) = result {
        return Err(printer.fail(
            &format!("cannot read {path}: {error}"),
            "give the path of a file, or - for standard input",
        ));
    }
    if bytes.len() as u64 > LARGEST {
        return Err(
            printer.fail(&format!("{path} is larger than 4 MiB"), "a record or table is a few kilobytes")
        );
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        printer.fail(&format!("{path} is not UTF-8 text (byte {at})"), "save it as UTF-8")
    })
}

/// Reads a record from a file, standard input, or the demo workshop, and prints what is odd about it.
pub(crate) fn record(name: &str, printer: &Printer) -> Result<Record, BadInput> {
    let text = match name.strip_prefix("demo:") {
        Some(stem) => demo_bike(stem, printer)?.to_owned(),
        None => read(name, printer)?,
    };
    match parse(name, &text) {
        Ok(parsed) => {
            printer.problems(&parsed.warnings);
            Ok(parsed.record)
        }
        Err(problems) => {
            printer.problems(&problems);
            Err(BadInput)
        }
    }
}

fn demo_bike(stem: &str, printer: &Printer) -> Result<&'static str, BadInput> {
    let bikes = demo::bikes();
    bikes.iter().find(|(known, _)| *known == stem).map(|(_, text)| *text).ok_or_else(|| {
        let names: Vec<&str> = bikes.iter().map(|(known, _)| *known).collect();
        let help = match problem::nearest(stem, names.iter().copied()) {
            Some(near) => format!("did you mean demo:{near}? There are {}", names.join(", ")),
            None => format!("there are {}", names.join(", ")),
        };
        printer.fail(&format!("the demo workshop has no bike `{stem}`"), &help)
    })
}

/// Writes a text to a file, whole or not at all: it is written beside its place and then moved there.
pub(crate) fn write(path: &Path, text: &str, printer: &Printer) -> Result<(), BadInput> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    // A device such as /dev/stdout cannot be replaced: write into it.
    let direct = path.exists() && !path.is_file();
    let result = if direct {
        fs::write(path, text)
    } else {
        fs::write(&beside, text).and_then(|()| fs::rename(&beside, path)).inspect_err(|_| {
            let _ = fs::remove_file(&beside);
        })
    };
    result.map_err(|error| {
        printer.fail(
            &format!("cannot write {}: {error}", path.display()),
            "is there such a folder, and may you write there?",
        )
    })
}
