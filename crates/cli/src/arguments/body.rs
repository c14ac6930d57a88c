//! What `knockon body` takes.

use clap::Args;

#[derive(Args, Debug)]
pub(crate) struct Body {
    /// What was measured and how much: "inseam 830", "inseam 32.7 in ± 0.2", "shoulder width 400"; without any, all that can be
    /// measured is listed.
    #[arg(value_name = "MEASURE")]
    pub(crate) measures: Vec<String>,
    /// Bike record: a file, - or demo:NAME. Its crank, bar and rider count where no measure says otherwise, and what it has is told
    /// beside each starting point.
    #[arg(long, value_name = "RECORD")]
    pub(crate) on: Option<String>,
    /// Kind of bar; without one the record's, without a record both.
    #[arg(long, value_name = "KIND", value_parser = ["drop", "flat"])]
    pub(crate) bar: Option<String>,
    /// Print the result as one JSON object.
    #[arg(long)]
    pub(crate) json: bool,
}
