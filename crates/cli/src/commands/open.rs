//! `knockon open`, and `knockon` alone: the bench on this machine.

use std::io::ErrorKind;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};

use directories::ProjectDirs;
use knockon_bench::security::site::Site;
use knockon_bench::{Options, runtime, serve};
use knockon_desk::{Desk, Stamp};
use tokio::net::TcpListener;

use crate::arguments::Open;
use crate::printer::Printer;
use crate::{BadInput, Ended, browser, stop, workshop};

/// The port where nobody says another: any number would do that common programs do not use.
const PORT: u16 = 7474;
/// How many ports are tried from there on.
const PORTS: u16 = 32;

pub(crate) fn run(open: &Open, printer: &Printer) -> Result<Ended, BadInput> {
    let demo = open.demo || open.workshop.is_none();
    let path = match &open.workshop {
        Some(path) => path.clone(),
        None => demo_workshop(printer)?,
    };
    let found = path.exists();
    let desk = workshop::open_or_make(&path, printer)?;
    if !found {
        printer.note(&format!("made {}, an empty workshop", path.display()));
    }
    if demo && desk.load_demo(&Stamp::now("the demo")).map_err(|error| workshop::refuse(&error, printer))? {
        printer.note("filled it with the demo workshop: everything in it is invented");
    }
    let runtime = runtime().map_err(|error| printer.fail(&format!("cannot start threads: {error}"), ""))?;
    check_accounts(open, &desk, &path, printer)?;
    runtime.block_on(attend(open, desk, printer))?;
    printer.note(&format!("ended; everything is kept in {}", path.display()));
    Ok(Ended::Answered)
}

/// Where the demo workshop is kept, in the platform's folder for a program's data.
fn demo_workshop(printer: &Printer) -> Result<PathBuf, BadInput> {
    let folders = ProjectDirs::from("", "", "knockon").ok_or_else(|| {
        printer.fail("this system names no folder for your data", "say where: knockon open demo.db --demo")
    })?;
    let folder = folders.data_dir();
    std::fs::create_dir_all(folder).map_err(|error| {
        printer.fail(
            &format!("cannot make {}: {error}", folder.display()),
            "say where the workshop goes: knockon open demo.db --demo",
        )
    })?;
    Ok(folder.join("demo.db"))
}

/// Serves until somebody ends it.
async fn attend(open: &Open, desk: Desk, printer: &Printer) -> Result<(), BadInput> {
    // Before the address is printed: whoever reads it may end the program at once.
    let stop =
        stop::Stop::new().map_err(|error| printer.fail(&format!("cannot watch for Ctrl-C: {error}"), ""))?;
    let listener = match open.at {
        Some(at) => listen_at(at, printer).await?,
        None => listen_from(PORT, printer).await?,
    };
    let listen = listener.local_addr().map_err(|error| printer.fail(&format!("no address: {error}"), ""))?;
    let address = address(open, listen);
    printer.out(&format!("Knockon is at {address} (Ctrl-C ends it)\n"));
    if !open.no_browser {
        browser::open(&address);
    }
    let options = Options { listen, reached_as: open.reached_as.clone() };
    serve(desk, listener, options, stop.asked())
        .await
        .map_err(|error| printer.fail(&format!("cannot serve {address}: {error}"), ""))
}

/// A bench that other machines reach would be everybody's.
fn check_accounts(open: &Open, desk: &Desk, path: &Path, printer: &Printer) -> Result<(), BadInput> {
    let at = open.at.unwrap_or(usual(PORT));
    if Site::new(at, open.reached_as.as_deref()).is_private() {
        return Ok(());
    }
    if desk.has_accounts().map_err(|error| workshop::refuse(&error, printer))? {
        return Ok(());
    }
    Err(printer.fail(
        "other machines could reach it, and this workshop has no account: anybody could read and change everything",
        &format!("add one first: knockon account add {} NAME", path.display()),
    ))
}

fn usual(port: u16) -> SocketAddr {
    SocketAddr::from((Ipv4Addr::LOCALHOST, port))
}

/// The address that was asked for.
async fn listen_at(at: SocketAddr, printer: &Printer) -> Result<TcpListener, BadInput> {
    TcpListener::bind(at).await.map_err(|error| {
        let help = match error.kind() {
            ErrorKind::AddrInUse => {
                "another program listens there: choose another port, or 0 for any that is free"
            }
            ErrorKind::PermissionDenied => "ports below 1024 are for the administrator: choose a higher one",
            _ => "name an address of this machine, such as 127.0.0.1:7474",
        };
        printer.fail(&format!("cannot listen at {at}: {error}"), help)
    })
}

/// The first port that is free, from this one on.
async fn listen_from(first: u16, printer: &Printer) -> Result<TcpListener, BadInput> {
    let last = first.saturating_add(PORTS - 1);
    for port in first..=last {
        match TcpListener::bind(usual(port)).await {
            Ok(listener) => {
                if port != first {
                    printer.note(&format!(
                        "port {first} is taken by another program, so it is {port} this time"
                    ));
                }
                return Ok(listener);
            }
            Err(error) if error.kind() == ErrorKind::AddrInUse => {}
            Err(error) => return Err(printer.fail(&format!("cannot listen at {}: {error}", usual(port)), "")),
        }
    }
    Err(printer.fail(
        &format!("the ports {first} to {last} are all taken"),
        "name one: knockon open --at 127.0.0.1:0 takes any that is free",
    ))
}

/// The address for a browser: the one that it is reached as, when that is a URL.
fn address(open: &Open, listen: SocketAddr) -> String {
    let url =
        open.reached_as.iter().flat_map(|names| names.split([',', ' '])).find(|name| name.contains("://"));
    match url {
        Some(url) => url.trim_end_matches('/').to_owned(),
        None if listen.ip().is_unspecified() => format!("http://localhost:{}", listen.port()),
        None => format!("http://{listen}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reached(reached_as: Option<&str>, listen: &str) -> String {
        let open = Open { reached_as: reached_as.map(str::to_owned), ..Open::default() };
        address(&open, listen.parse().expect("an address"))
    }

    #[tokio::test]
    async fn a_port_that_is_taken_is_passed_over() {
        let taken = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let port = taken.local_addr().expect("an address").port();
        let next = listen_from(port, &Printer::new(true)).await.expect("one of the next ports is free");
        let next = next.local_addr().expect("an address").port();
        assert!(next > port && next - port < PORTS, "{port} {next}");
    }

    #[test]
    fn a_browser_gets_an_address_that_it_can_reach() {
        assert_eq!(reached(None, "127.0.0.1:7474"), "http://127.0.0.1:7474");
        assert_eq!(reached(None, "0.0.0.0:7474"), "http://localhost:7474");
        assert_eq!(reached(None, "[::1]:80"), "http://[::1]:80");
        assert_eq!(reached(Some("bench.lan"), "192.0.2.4:7474"), "http://192.0.2.4:7474");
        assert_eq!(
            reached(Some("bench.lan,https://bench.example/"), "127.0.0.1:7474"),
            "https://bench.example"
        );
    }
}
