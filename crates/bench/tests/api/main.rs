//! The API as a program meets it: every operation against its own description, and every way to get it wrong.

mod accounts;
mod bench;
mod description;
mod digits;
mod document;
mod faults;
mod versions;
mod walk;
