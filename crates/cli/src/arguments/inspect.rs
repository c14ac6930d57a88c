//! `knockon inspect`.

use std::path::PathBuf;

use clap::Args;

#[derive(Args, Debug)]
pub(crate) struct Inspect {
    /// Name of the protocol; without one, all are listed.
    pub(crate) protocol: Option<String>,
    /// Read the answers from a file, - for standard input, or demo:NAME, instead of asking.
    #[arg(long, value_name = "FILE")]
    pub(crate) answers: Option<String>,
    /// Which part it is: "down tube, left".
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub(crate) part: String,
    /// Which bike it is.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub(crate) bike: String,
    /// Who looks.
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    pub(crate) by: String,
    /// Print the result as one JSON object; without a protocol, all protocols with their steps.
    #[arg(long)]
    pub(crate) json: bool,
    /// Print what the rider is told and nothing else: the outcome and every caution.
    #[arg(long, conflicts_with = "json")]
    pub(crate) message: bool,
    /// Write the sheet as a page to print and sign.
    #[arg(long, value_name = "FILE")]
    pub(crate) html: Option<PathBuf>,
    /// Write the sheet as Markdown.
    #[arg(long, value_name = "FILE")]
    pub(crate) markdown: Option<PathBuf>,
    /// Write the answers, as --answers reads them.
    #[arg(long, value_name = "FILE")]
    pub(crate) save: Option<PathBuf>,
    /// Write the form to fill in by hand, and ask nothing.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["answers", "json", "message", "html", "markdown", "save"])]
    pub(crate) blank: Option<PathBuf>,
}
