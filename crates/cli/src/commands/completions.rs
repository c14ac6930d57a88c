//! `knockon completions`: scripts for shells.

use clap::CommandFactory;

use crate::arguments::Arguments;
use crate::printer::Printer;
use crate::{BadInput, Ended};

#[allow(clippy::unnecessary_wraps)] // every command ends the same way
pub(crate) fn run(shell: clap_complete::Shell, printer: &Printer) -> Result<Ended, BadInput> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "knockon", &mut script);
    printer.out(&String::from_utf8_lossy(&script));
    Ok(Ended::Answered)
}
