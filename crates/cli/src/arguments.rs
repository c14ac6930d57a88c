//! What can be typed.

mod account;
mod body;
mod depth;
mod inspect;
mod open;
mod reach_for;
mod what_if;
mod workshop;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

pub(crate) use account::{Account, Password, Role};
pub(crate) use body::Body;
pub(crate) use depth::{Bolts, Brakes, Depth};
pub(crate) use inspect::Inspect;
pub(crate) use open::Open;
pub(crate) use reach_for::ReachFor;
pub(crate) use what_if::WhatIf;
pub(crate) use workshop::{Backup, Export, Import, Restore};

/// What a change to a bike knocks on to: fit, geometry and position, with tolerance.
///
/// Without a command it opens the bench on the invented demo workshop.
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
  knockon                                     the bench with the demo workshop, in your browser
  knockon open workshop.db                    the bench with your own workshop
  knockon backup workshop.db copy.db          a copy, while the workshop is in use
  knockon what-if larch.toml \"fork travel 170\" \"spacers below by -15\"
  knockon what-if larch.toml \"stem length 40\" --html sheet.html
  knockon what-if demo:larch-150 \"bar rise 40\" --json
  knockon reach-for larch.toml \"grip stack +15\" \"grip reach unchanged ± 3\"
  knockon audit larch.toml
  knockon read-table table.csv --name Larch --out bikes
  knockon explain wheel_flop
  knockon gears demo:yarrow \"rings 28-44\"
  knockon brakes demo:bulrush-150 \"front rotor 203\" --gradient 12 --length 6
  knockon torque faceplate
  knockon body \"inseam 830\" --on demo:larch-150
  knockon inspect carbon-frame --part \"down tube, left\"
  knockon clean \"brake cleaner\" pads

A RECORD is a TOML file, - for standard input, or demo:NAME for a bike of the demo workshop.
Exit status: 0 answered, 1 the answer is \"does not fit\" or \"not before it was inspected\", 2 bad input.";

#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// Open the bench: the web app for a workshop, on this machine.
    Open(Open),
    /// Copy a workshop to a file, also while it is in use.
    Backup(Backup),
    /// Put a backup back in the place of a workshop.
    Restore(Restore),
    /// Write a whole workshop as plain files.
    Export(Export),
    /// Read the plain files of an export into an empty workshop.
    Import(Import),
    /// Say who may use a workshop that other machines can reach.
    #[command(subcommand)]
    Account(Account),
    /// Print the description of the JSON API (OpenAPI 3.1).
    Openapi,
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
    /// Work backwards: which parts give the wanted result?
    ReachFor(ReachFor),
    /// List every part and property that a change can name.
    Changes,
    /// Make records from a geometry table pasted as CSV or TSV.
    ReadTable(ReadTable),
    /// Explain a quantity: definition, formula, convention, source, how to measure.
    Explain {
        /// Its name; without one, all names are listed.
        quantity: Option<String>,
    },
    /// Do these parts go on this bike? Checks every connection and limit, and lists what it takes.
    Fits {
        /// Bike record: a file, - or demo:NAME.
        record: String,
        /// Parts, each as a change: "fork axle 15x110", "front hub 15x100", "seat post 27.2".
        #[arg(value_name = "PART")]
        parts: Vec<String>,
        /// Hold every part of a table against the bike instead: part names below the first heading, phrases of changes as the
        /// others, - or demo:stock.
        #[arg(long, value_name = "FILE", conflicts_with = "parts")]
        list: Option<String>,
        /// Print the result as one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Tell from one or two readings which standards a part can be of, and what to measure to tell those apart.
    Gauge {
        /// What was measured and how much: "axle 15", "hub width 110 ± 0.5"; without any, all that can be measured is listed.
        #[arg(value_name = "READING")]
        readings: Vec<String>,
        /// Print the result as one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Where to begin: starting points for saddle height, crank length and bar width from measures of a rider.
    Body(Body),
    /// Every gear of a bike: development, speed, steps, climbs, how askew the chain runs, and other ways to lay it.
    Gears(Depth),
    /// The chain: how many pieces it needs, what the derailleur has to take up, how far it is worn.
    Chain(Depth),
    /// The brakes: what the rotors do, how hard the bike can slow down, how hot the rotors get on a way down.
    Brakes(Brakes),
    /// The wheels: tyres on their rims, pressures to begin with, lengths and tensions of spokes.
    Wheel(Depth),
    /// The usual torques of a bicycle's joints, and what a torque does to a bolt.
    Torque(Bolts),
    /// Inspect a part by a protocol: asks question by question and says what may be done with it.
    Inspect(Inspect),
    /// What does a cleaner or fluid do to a surface? And in which order is a bike washed, a rotor cleaned, a brake bedded in?
    Clean {
        /// A cleaner or fluid, a surface, both, or a routine: "brake cleaner" pads; without any, all are listed.
        #[arg(value_name = "NAME", num_args = 0..=2)]
        names: Vec<String>,
        /// Print the result as one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Print the completion script for a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
}

#[derive(Args, Debug)]
pub(crate) struct ReadTable {
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
