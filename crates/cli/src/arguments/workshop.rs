//! What the commands take that copy a whole workshop.

use std::path::PathBuf;

use clap::Args;

#[derive(Args, Debug)]
pub(crate) struct Backup {
    /// The workshop's file.
    pub(crate) workshop: PathBuf,
    /// Where the copy goes; a file that is already there is not written over.
    pub(crate) file: PathBuf,
}

#[derive(Args, Debug)]
pub(crate) struct Restore {
    /// The backup.
    pub(crate) file: PathBuf,
    /// Where the workshop goes.
    pub(crate) workshop: PathBuf,
    /// Write over a workshop that is already there. End the bench that has it open first.
    #[arg(long)]
    pub(crate) replace: bool,
}

#[derive(Args, Debug)]
pub(crate) struct Export {
    /// The workshop's file.
    pub(crate) workshop: PathBuf,
    /// Folder for the plain files; made when it is not there.
    pub(crate) folder: PathBuf,
}

#[derive(Args, Debug)]
pub(crate) struct Import {
    /// Folder that `knockon export` wrote.
    pub(crate) folder: PathBuf,
    /// The workshop's file: a new or an empty one.
    pub(crate) workshop: PathBuf,
}
