//! The command as a technician or a script meets it: real runs of the binary, failures as carefully as successes.
//!
//! Facts (exit status, which stream, which file, numbers) are asserted. Words are kept as snapshots in `snapshots/`; after
//! a change of words, look at the difference and run the tests with `INSTA_UPDATE=always` once.

mod account;
mod body;
mod cautions;
mod depth;
mod errors;
mod fits;
mod gauge;
mod help;
mod inspect;
mod json;
mod open;
mod outputs;
mod reach_for;
mod read_table;
mod reports;
mod run;
#[path = "../server/mod.rs"]
mod server;
mod terminal;
mod what_if;
mod workshop;
