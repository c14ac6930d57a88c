//! `knockon` alone: the main job on the invented demo workshop.

use std::path::Path;

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::{html, text};
use knockon_trade::demo;

use crate::printer::Printer;
use crate::{BadInput, Ended, files};

/// Where the sheet goes: the folder that the command was started in.
const SHEET: &str = "knockon-demo.html";

pub(crate) fn run(printer: &Printer) -> Result<Ended, BadInput> {
    let Some((stem, _)) = demo::questions().first() else {
        return Err(printer.fail("the demo workshop is empty", ""));
    };
    let question = demo::question(stem);
    let asked = format!("{} ({})\n\n", question.asked, question.record.title());
    let findings = super::findings(question, printer)?;
    let heading =
        Heading { workshop: demo::WORKSHOP.to_owned(), drawn: super::today(), sheet: "0001 / 1".to_owned() };
    let sheet = compose(&findings, &heading);
    files::write(Path::new(SHEET), &html::html(&sheet), printer)?;
    let place = std::path::absolute(SHEET).unwrap_or_else(|_| SHEET.into());
    printer.out(&format!(
        "{asked}{}\nThe whole sheet: {}\nAsk about your own bike: knockon what-if RECORD CHANGE…, or see knockon --help\n",
        text::short(&sheet, printer.width, printer.style),
        place.display()
    ));
    // The demo's honest answer is that it does not fit; the demo itself went well.
    Ok(Ended::Answered)
}
