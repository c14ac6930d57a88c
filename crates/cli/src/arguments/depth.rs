//! Gears, chain, brakes, wheels and bolts.

use clap::Args;

#[derive(Args, Debug)]
pub(crate) struct Depth {
    /// Bike record: a file, - or demo:NAME.
    pub(crate) record: String,
    /// Changes: "rings 34-50", "cassette 11-34", "rear tyre 50-622".
    #[arg(value_name = "CHANGE")]
    pub(crate) changes: Vec<String>,
    /// Print the result as one JSON object.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args, Debug)]
pub(crate) struct Brakes {
    #[command(flatten)]
    pub(crate) depth: Depth,
    /// Gradient of the way down, percent.
    #[arg(long, value_name = "PERCENT", default_value_t = 10.0)]
    pub(crate) gradient: f64,
    /// Its length, km.
    #[arg(long, value_name = "KM", default_value_t = 4.0)]
    pub(crate) length: f64,
    /// Speed that the brakes hold, km/h.
    #[arg(long, value_name = "KM/H", default_value_t = 25.0)]
    pub(crate) speed: f64,
    /// Part of the braking that the front brake does, percent.
    #[arg(long, value_name = "PERCENT", default_value_t = 60.0)]
    pub(crate) front_share: f64,
    /// Temperature of the air, °C.
    #[arg(long, value_name = "°C", default_value_t = 20.0, allow_negative_numbers = true)]
    pub(crate) air: f64,
}

#[derive(Args, Debug)]
pub(crate) struct Bolts {
    /// A joint: faceplate, "seat post", pedals; without one, and without --thread, all are listed.
    #[arg(value_name = "JOINT")]
    pub(crate) joint: Vec<String>,
    /// Thread of a bolt to work out: M5, M6, "M8 × 1".
    #[arg(long, value_name = "THREAD")]
    pub(crate) thread: Option<String>,
    /// Its property class, as it stands on the head: 8.8, 10.9, A2-70.
    #[arg(long, value_name = "CLASS", default_value = "8.8", requires = "thread")]
    pub(crate) class: String,
    /// State of thread and head: dry, greased, anti-seize, thread lock.
    #[arg(long, value_name = "STATE", default_value = "greased", requires = "thread")]
    pub(crate) state: String,
    /// Torque to tell about, N·m.
    #[arg(long, value_name = "N·M", requires = "thread")]
    pub(crate) torque: Option<f64>,
    /// Torque that the maker names, N·m: it wins over every other.
    #[arg(long, value_name = "N·M", requires = "thread")]
    pub(crate) makers: Option<f64>,
    /// How deep the bolt goes into its thread, mm.
    #[arg(long, value_name = "MM", requires = "thread")]
    pub(crate) depth: Option<f64>,
    /// Print the result as one JSON object.
    #[arg(long)]
    pub(crate) json: bool,
}
