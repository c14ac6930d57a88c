//! `knockon openapi`: the description of the JSON API.

use crate::printer::Printer;
use crate::{BadInput, Ended};

#[allow(clippy::unnecessary_wraps)] // every command ends the same way
pub(crate) fn run(printer: &Printer) -> Result<Ended, BadInput> {
    printer.out(&knockon_bench::api::description());
    Ok(Ended::Answered)
}
