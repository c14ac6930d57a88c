//! The `knockon` command. Thin: every command does what one function of a library does.
//!
//! Exit status: 0 answered, 1 the answer is "does not fit", 2 bad input.

mod arguments;
mod commands;
mod files;
mod printer;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command};
use printer::Printer;

/// How a command ended when nothing was wrong with its input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// Answered.
    Answered,
    /// Answered, and the answer is "does not fit".
    DoesNotFit,
}

/// Input that cannot be used; the printer has already said why.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BadInput;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let printer = Printer::new(arguments.no_color);
    let ended = match &arguments.command {
        None => commands::demo::run(&printer),
        Some(Command::Show { record }) => commands::show::run(record, &printer),
        Some(Command::Audit { record }) => commands::audit::run(record, &printer),
        Some(Command::WhatIf(what_if)) => commands::what_if::run(what_if, &printer),
        Some(Command::Changes) => commands::changes::run(&printer),
        Some(Command::Import(import)) => commands::import::run(import, &printer),
        Some(Command::Explain { quantity }) => commands::explain::run(quantity.as_deref(), &printer),
        Some(Command::Completions { shell }) => commands::completions::run(*shell, &printer),
    };
    if printer.lost_output() {
        return ExitCode::from(2);
    }
    match ended {
        Ok(Ended::Answered) => ExitCode::SUCCESS,
        Ok(Ended::DoesNotFit) => ExitCode::from(1),
        Err(BadInput) => ExitCode::from(2),
    }
}
