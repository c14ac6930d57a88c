//! Reading and writing files, each failure with its path.

use std::fs;
use std::io::{self, Read};
use std::path::Path;

use knockon_trade::record::{Record, parse};
use knockon_trade::{demo, problem};

use crate::BadInput;
use crate::printer::Printer;

/// Largest text that is read: a record or a table is a few kilobytes.
const LARGEST: u64 = 4 * 1024 * 1024;
const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();

/// Reads a text from a file, or from standard input for `-`.
pub(crate) fn read(path: &str, printer: &Printer) -> Result<String, BadInput> {
    let mut bytes = Vec::new();
    let result = if path == "-" {
        std::io::stdin().lock().take(LARGEST + 1).read_to_end(&mut bytes)
    } else {
        fs::File::open(path).and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
    };
    if let Err(error) = result {
        let help = match demo_name(path) {
            Some(name) => format!("did you mean demo:{name}?"),
            None => "give the path of a file, or - for standard input".to_owned(),
        };
        return Err(printer.fail(&format!("cannot read {}: {error}", shown(path)), &help));
    }
    if bytes.len() as u64 > LARGEST {
        return Err(printer
            .fail(&format!("{} is larger than 4 MiB", shown(path)), "a record or table is a few kilobytes"));
    }
    // Some editors put a mark before UTF-8 text; it is not part of the text.
    let marked = bytes.starts_with(BYTE_ORDER_MARK);
    let text = bytes.split_off(if marked { BYTE_ORDER_MARK.len() } else { 0 });
    String::from_utf8(text).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        printer.fail(&format!("{} is not UTF-8 text (byte {at})", shown(path)), "save it as UTF-8")
    })
}

/// What a path is called in a message.
pub(crate) fn shown(path: &str) -> &str {
    if path == "-" { "standard input" } else { path }
}

/// The bike of the demo workshop that somebody asked for as if it were a file.
fn demo_name(path: &str) -> Option<&'static str> {
    let stem = path.strip_suffix(".toml").unwrap_or(path);
    demo::bikes().iter().map(|(name, _)| *name).find(|name| *name == stem)
}

/// Reads a record from a file, standard input, or the demo workshop, and prints what is odd about it.
pub(crate) fn record(name: &str, printer: &Printer) -> Result<Record, BadInput> {
    let text = match name.strip_prefix("demo:") {
        Some(stem) => demo_bike(stem, printer)?.to_owned(),
        None => read(name, printer)?,
    };
    match parse(shown(name), &text) {
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
    if path == Path::new("-") {
        return Err(printer.fail(
            "- is not a file to write to: only text and JSON go to standard output",
            "name a file, such as sheet.html",
        ));
    }
    // A link goes on pointing where it pointed.
    let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut beside = place.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    // A device such as /dev/stdout cannot be replaced: write into it.
    let direct = place.exists() && !place.is_file();
    let locked = fs::metadata(&place).is_ok_and(|about| about.permissions().readonly());
    let result = if locked {
        Err(io::Error::new(io::ErrorKind::PermissionDenied, "it is write-protected"))
    } else if direct {
        fs::write(&place, text)
    } else {
        fs::write(&beside, text).and_then(|()| fs::rename(&beside, &place)).inspect_err(|_| {
            let _ = fs::remove_file(&beside);
        })
    };
    result.map_err(|error| {
        printer.fail(
            &format!("cannot write {}: {error}", path.display()),
            "name a file in a folder that is there and that you may write to",
        )
    })
}
