//! What can be typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

/// What a change to a bike knocks on to: fit, geometry and position, with tolerance.
///
/// Without a command it answers the first question of the invented demo workshop and writes its sheet.
#[derive(Parser, Debug)]
#[command(name = "knockon", version, after_help = EXAMPLES, max_term_width = 100)]
pub(crate) struct Arguments {
    /// Never colour the output (the variable NO_COLOR does the same).
    #[arg(long, global = true)]
    pub(crate) no_color: bool,
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

const EXAMPLES: &str = "\
Examples:
  knockon                                     the demo: a short answer, and its sheet in knockon-demo.html
  knockon what-if larch.toml \"fork travel 170\" \"spacers below by -15\"
  knockon what-if larch.toml \"stem length 40\" --html sheet.html
  knockon what-if demo:larch-150 \"bar rise 40\" --json
  knockon audit larch.toml
  knockon import table.csv --name Larch --out bikes
  knockon explain wheel_flop

A RECORD is a TOML file, - for standard input, or demo:NAME for a bike of the demo workshop.
Exit status: 0 answered, 1 the answer is \"does not fit\", 2 bad input.";

#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// Print a record: what it says, how that is known, and how the bike stands.
    Show {
        /// Bike record: a file, - or demo:NAME.
        record: String,
    },
    /// Print what a record's geometry chart disagrees about.
    Audit {
        /// Bike record: a file, - or demo:NAME.
        record: String,
    },
    /// Answer: what do these changes do to this bike?
    WhatIf(WhatIf),
    /// List every part and property that a change can name.
    Changes,
    /// Make records from a geometry table pasted as CSV or TSV.
    Import(Import),
    /// Explain a quantity: definition, formula, convention, source, how to measure.
    Explain {
        /// Its name; without one, all names are listed.
        quantity: Option<String>,
    },
    /// Print the completion script for a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
}

#[derive(Args, Debug)]
#[command(after_help = WHAT_IF_EXAMPLES)]
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

const WHAT_IF_EXAMPLES: &str = "\
Examples:
  knockon what-if larch.toml \"fork axle-to-crown 576\" \"spacers below 5\" \"bar rise 40\"
  knockon what-if larch.toml \"front tyre 64-622\" \"rear tyre 64-622\" --html sheet.html
  knockon what-if larch.toml \"headset angle -1\" \"bar roll by 5 ± 1\" --markdown answer.md
  knockon what-if larch.toml --changes-from wishes.txt --json

`knockon changes` lists everything that a change can name.";

#[derive(Args, Debug)]
pub(crate) struct Import {
    /// The table: a CSV or TSV file, or - for standard input. Rows of measures, columns of sizes, or the other way round.
    pub(crate) table: String,
    /// Folder for the records, one per size; made when it is not there.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Name of the bike.
    #[arg(long, value_name = "TEXT")]
    pub(crate) name: Option<String>,
    /// Kind of bike: rigid, hardtail or full suspension.
    #[arg(long, value_name = "KIND", value_parser = ["rigid", "hardtail", "full suspension"])]
    pub(crate) kind: Option<String>,
    /// Replace records that are already there.
    #[arg(long)]
    pub(crate) replace: bool,
}
