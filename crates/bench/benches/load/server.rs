//! The server in a process of its own, so that its memory can be told from the client's.

use std::env;
use std::fs;
use std::io::{BufRead, BufReader, Read, stdin};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::{Duration, Instant};

use knockon_bench::{Options, runtime, serve};
use knockon_desk::{Desk, Stamp};
use tokio::net::TcpListener;
use tokio::sync::oneshot;

use crate::client::{Answer, Client};

/// The argument that makes this program the server.
pub const SERVE: &str = "--serve";

/// Serves a workshop until the parent closes the standard input or goes away. An empty workshop gets the demo, as when the
/// program is started for the first time.
pub fn run(workshop: &Path) {
    let runtime = runtime().expect("a runtime");
    runtime.block_on(async {
        let desk = Desk::open(workshop).expect("the workshop opens");
        desk.load_demo(&Stamp::now("the bench")).expect("the demo loads");
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let listen = listener.local_addr().expect("a listener has an address");
        println!("{listen}");
        let (stop, stopped) = oneshot::channel();
        std::thread::spawn(move || {
            let _ = stdin().read(&mut [0]);
            let _ = stop.send(());
        });
        let stopped = async {
            let _ = stopped.await;
        };
        serve(desk, listener, Options { listen, reached_as: None }, stopped)
            .await
            .expect("the server serves");
    });
}

/// The running server. Dropped, it is ended.
pub struct Server {
    /// Where it listens.
    pub host: String,
    /// From its start to its first page.
    pub first_page: Duration,
    /// That page.
    pub first: Answer,
    child: Child,
    _input: ChildStdin,
}

impl Server {
    /// Starts it and reads the first page.
    pub async fn start(workshop: &Path) -> Server {
        let start = Instant::now();
        let mut child = Command::new(env::current_exe().expect("this program has a path"))
            .arg(SERVE)
            .arg(workshop)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the server starts");
        let input = child.stdin.take().expect("stdin was asked for");
        let mut host = String::new();
        let output = child.stdout.take().expect("stdout was asked for");
        BufReader::new(output).read_line(&mut host).expect("the server says where it listens");
        let host: SocketAddr = host.trim().parse().expect("the server says where it listens");
        let host = host.to_string();
        let mut client = Client::connect(&host).await.expect("the server is there");
        let first = client.get("/questions").await;
        Server { host, first_page: start.elapsed(), first, child, _input: input }
    }

    /// Memory that is resident now, and the most that ever was, in MB (of 1,000,000 bytes).
    pub fn memory(&self) -> (f64, f64) {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let of = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name));
            let kib = line.and_then(|rest| rest.trim_start_matches(':').trim().strip_suffix(" kB"));
            kib.and_then(|kib| kib.trim().parse::<f64>().ok()).map_or(f64::NAN, |kib| kib * 1.024 / 1000.0)
        };
        (of("VmRSS"), of("VmHWM"))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
