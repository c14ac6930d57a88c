//! What `knockon what-if` takes.

use std::path::PathBuf;

use clap::Args;

#[derive(Args, Debug)]
#[command(after_help = EXAMPLES)]
pub(crate) struct WhatIf {
    /// Bike record: a file, - or demo:NAME.
    pub(crate) record: String,
    /// Changes, each in one argument: "fork travel 170". The first is revision A.
    #[arg(value_name = "CHANGE")]
    pub(crate) changes: Vec<String>,
    /// Read further changes from a file, one a line; # begins a comment.
    #[arg(long, value_name = "FILE")]
    pub(crate) changes_from: Option<PathBuf>,
    /// The rider's question, for the sheet's title block.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub(crate) asked: String,
    /// Name of the workshop, for the sheet's title block.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub(crate) workshop: String,
    /// Sheet number, for the sheet's title block.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub(crate) sheet: String,
    /// Write the sheet as one self-contained HTML file.
    #[arg(long, value_name = "FILE")]
    pub(crate) html: Option<PathBuf>,
    /// Write the sheet as an SVG drawing.
    #[arg(long, value_name = "FILE")]
    pub(crate) svg: Option<PathBuf>,
    /// Write the sheet as Markdown.
    #[arg(long, value_name = "FILE")]
    pub(crate) markdown: Option<PathBuf>,
    /// Print the answer as JSON instead of text.
    #[arg(long)]
    pub(crate) json: bool,
}

const EXAMPLES: &str = "\
Examples:
  knockon what-if larch.toml \"fork axle-to-crown 576\" \"spacers below 5\" \"bar rise 40\"
  knockon what-if larch.toml \"front tyre 64-622\" \"rear tyre 64-622\" --html sheet.html
  knockon what-if larch.toml \"headset angle -1\" \"bar roll by 5 ± 1\" --markdown answer.md
  knockon what-if larch.toml --changes-from wishes.txt --json

`knockon changes` lists everything that a change can name.";
