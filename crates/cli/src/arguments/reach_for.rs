//! What `knockon reach-for` takes.

use std::path::PathBuf;

use clap::Args;

#[derive(Args, Debug)]
#[command(after_help = EXAMPLES, allow_negative_numbers = true)]
pub(crate) struct ReachFor {
    /// Bike record: a file, - or demo:NAME.
    pub(crate) record: String,
    /// What is wanted or not accepted, each in one argument: "grip stack +15", "grip reach unchanged ± 3", "no spacers".
    #[arg(value_name = "TARGET")]
    pub(crate) targets: Vec<String>,
    /// The position of this bike: where its hands, saddle and feet are.
    #[arg(long, value_name = "RECORD")]
    pub(crate) like: Option<String>,
    /// Another size of the same bike, or another bike: which of the two comes nearer?
    #[arg(long, value_name = "RECORD")]
    pub(crate) or: Option<String>,
    /// Where a measure of the rider's body says to begin: "inseam 830". Starting points, no fitting and no medical advice.
    #[arg(long, value_name = "MEASURE")]
    pub(crate) body: Vec<String>,
    /// What this change would give, by other parts; with --without the part that is not to be had.
    #[arg(long = "as", value_name = "CHANGE")]
    pub(crate) as_with: Vec<String>,
    /// A change that is not to be had: "bar rise 40".
    #[arg(long, value_name = "CHANGE")]
    pub(crate) without: Vec<String>,
    /// What stays: a part ("stem"), a quantity ("wheelbase") or the rider's position ("position").
    #[arg(long, value_name = "NAME")]
    pub(crate) keep: Vec<String>,
    /// Parts that are there: a table with their measures, prices and counts, or demo:drawer.
    #[arg(long, value_name = "FILE")]
    pub(crate) stock: Option<String>,
    /// Take parts from that table alone.
    #[arg(long, requires = "stock")]
    pub(crate) stock_only: bool,
    /// So many options at most.
    #[arg(long, value_name = "COUNT", default_value_t = 6, value_parser = clap::value_parser!(u8).range(1..=40))]
    pub(crate) most: u8,
    /// Options to put side by side in the files that are written, up to four: 1,3.
    #[arg(long, value_name = "NUMBERS", value_delimiter = ',', default_values_t = [1, 2, 3, 4])]
    pub(crate) compare: Vec<usize>,
    /// Write the options side by side as one self-contained HTML file.
    #[arg(long, value_name = "FILE")]
    pub(crate) html: Option<PathBuf>,
    /// Write the options side by side as Markdown.
    #[arg(long, value_name = "FILE")]
    pub(crate) markdown: Option<PathBuf>,
    /// Print the answer as one JSON object.
    #[arg(long)]
    pub(crate) json: bool,
}

const EXAMPLES: &str = "\
Examples:
  knockon reach-for larch.toml \"grip stack +15\" \"grip reach unchanged ± 3\"
  knockon reach-for larch.toml \"no spacers\" --keep position
  knockon reach-for larch.toml \"head angle -1\" \"bottom-bracket height no higher\"
  knockon reach-for larch.toml \"grip stack +20\" \"no spacers\" \"bar rise at most 30\" --keep stem --stock drawer.csv
  knockon reach-for new-M.toml --like old.toml --or new-L.toml
  knockon reach-for larch.toml --as \"bar rise 40\" --without \"bar rise 40\" --html options.html

`knockon explain` lists every quantity that can be wanted.";
