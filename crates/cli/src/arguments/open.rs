//! What `knockon open` takes.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::Args;

#[derive(Args, Debug, Default)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Open {
    /// The workshop's file; made when it is not there. Without one, the demo workshop in your data folder.
    pub(crate) workshop: Option<PathBuf>,
    /// Address and port to listen at; port 0 takes any that is free. Without it 127.0.0.1:7474, or the next port that is
    /// free, which only this machine can reach.
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub(crate) at: Option<SocketAddr>,
    /// Under which URL or name browsers reach it, when that is another than the address: several with commas between.
    #[arg(long, value_name = "URL_OR_NAME")]
    pub(crate) reached_as: Option<String>,
    /// Open no browser.
    #[arg(long)]
    pub(crate) no_browser: bool,
    /// Fill the workshop with the invented demo when it is empty.
    #[arg(long)]
    pub(crate) demo: bool,
}

const EXAMPLES: &str = "\
Examples:
  knockon open workshop.db
  knockon open workshop.db --at 127.0.0.1:0 --no-browser
  knockon open workshop.db --at 192.168.1.20:7474 --reached-as bench.example
  knockon open workshop.db --reached-as https://bench.example

Where other machines can reach it, everybody needs an account: see `knockon account add --help`. Between machines put
a proxy that speaks HTTPS in front, for passwords and sessions are readable on the way otherwise.";
