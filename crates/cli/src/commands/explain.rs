//! `knockon explain`: one quantity.

use knockon_sheet::report;

use crate::printer::Printer;
use crate::{BadInput, Ended};

pub(crate) fn run(quantity: Option<&str>, printer: &Printer) -> Result<Ended, BadInput> {
    let Some(quantity) = quantity else {
        printer.out(&format!("{}\n", report::explainable().join("\n")));
        return Ok(Ended::Answered);
    };
    match report::explain(quantity, printer.width, printer.style) {
        Ok(text) => {
            printer.out(&text);
            Ok(Ended::Answered)
        }
        Err(near) => {
            let help = near.map_or_else(
                || "`knockon explain` lists every quantity".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            Err(printer.fail(&format!("no quantity is called `{quantity}`"), &help))
        }
    }
}
