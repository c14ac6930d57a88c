//! The `knockon` command. Thin: every command does what one function of a library does.
//!
//! Exit status: 0 answered, 1 the answer is "does not fit" or "not before it was inspected", 2 bad input.

mod arguments;
mod browser;
mod commands;
mod files;
mod printer;
mod progress;
mod stop;
mod workshop;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command, Open};
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
        None => commands::open::run(&Open::default(), &printer),
        Some(Command::Open(open)) => commands::open::run(open, &printer),
        Some(Command::Backup(backup)) => commands::backup::backup(backup, &printer),
        Some(Command::Restore(restore)) => commands::backup::restore(restore, &printer),
        Some(Command::Export(export)) => commands::plain_files::export(export, &printer),
        Some(Command::Import(import)) => commands::plain_files::import(import, &printer),
        Some(Command::Account(account)) => commands::account::run(account, &printer),
        Some(Command::Openapi) => commands::openapi::run(&printer),
        Some(Command::Show { record }) => commands::show::run(record, &printer),
        Some(Command::Audit { record }) => commands::audit::run(record, &printer),
        Some(Command::WhatIf(what_if)) => commands::what_if::run(what_if, &printer),
        Some(Command::ReachFor(given)) => commands::reach_for::run(given, &printer),
        Some(Command::Changes) => commands::changes::run(&printer),
        Some(Command::ReadTable(table)) => commands::read_table::run(table, &printer),
        Some(Command::Fits { record, list: Some(list), json, .. }) => {
            commands::fits::list(record, list, *json, &printer)
        }
        Some(Command::Fits { record, parts, json, .. }) => {
            commands::fits::run(record, parts, *json, &printer)
        }
        Some(Command::Gauge { readings, json }) => commands::gauge::run(readings, *json, &printer),
        Some(Command::Body(body)) => commands::body::run(body, &printer),
        Some(Command::Explain { quantity }) => commands::explain::run(quantity.as_deref(), &printer),
        Some(Command::Gears(asked)) => commands::depth::run(asked, &commands::depth::GEARS, &printer),
        Some(Command::Chain(asked)) => commands::depth::run(asked, &commands::depth::CHAIN, &printer),
        Some(Command::Brakes(asked)) => commands::depth::brakes(asked, &printer),
        Some(Command::Wheel(asked)) => commands::depth::run(asked, &commands::depth::WHEEL, &printer),
        Some(Command::Torque(asked)) => commands::depth::torque(asked, &printer),
        Some(Command::Inspect(inspect)) => commands::inspect::run(inspect, &printer),
        Some(Command::Clean { names, json }) => commands::clean::run(names, *json, &printer),
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
