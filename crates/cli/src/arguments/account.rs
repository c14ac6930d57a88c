//! What `knockon account` takes.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

#[derive(Subcommand, Debug)]
pub(crate) enum Account {
    /// Add an account; asks for its password.
    Add(NewAccount),
    /// Remove an account and end its sessions.
    Remove {
        /// The workshop's file.
        workshop: PathBuf,
        /// The account's name.
        name: String,
    },
    /// Give an account another password, which ends its sessions.
    Password {
        /// The workshop's file.
        workshop: PathBuf,
        /// The account's name.
        name: String,
        #[command(flatten)]
        password: Password,
    },
    /// List the accounts.
    List {
        /// The workshop's file.
        workshop: PathBuf,
    },
}

#[derive(Args, Debug)]
#[command(after_help = EXAMPLES)]
pub(crate) struct NewAccount {
    /// The workshop's file.
    pub(crate) workshop: PathBuf,
    /// The account's name.
    pub(crate) name: String,
    /// What it may do: answer questions, or only read.
    #[arg(long, default_value = "answer")]
    pub(crate) role: Role,
    #[command(flatten)]
    pub(crate) password: Password,
}

#[derive(Args, Debug)]
// A command has this name too.
#[group(skip)]
pub(crate) struct Password {
    /// Read the password from the first line of standard input instead of asking for it.
    #[arg(long)]
    pub(crate) password_stdin: bool,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(crate) enum Role {
    /// Reads and writes everything.
    Answer,
    /// Reads everything, changes nothing.
    Read,
}

const EXAMPLES: &str = "\
Examples:
  knockon account add workshop.db sam
  knockon account add workshop.db counter --role read --password-stdin < password.txt";
