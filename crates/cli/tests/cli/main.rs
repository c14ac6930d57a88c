//! The command as a technician or a script meets it: real runs of the binary, failures as carefully as successes.
//!
//! Facts (exit status, which stream, which file, numbers) are asserted. Words are kept as snapshots in `snapshots/`; after
//! a change of words, look at the difference and run the tests with `INSTA_UPDATE=always` once.

mod cautions;
mod demo;
mod errors;
mod help;
mod import;
mod json;
mod outputs;
mod reports;
mod run;
mod terminal;
mod what_if;
