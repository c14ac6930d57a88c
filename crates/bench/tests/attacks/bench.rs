//! A bench that listens on a free port of this machine until it is dropped.

use std::net::SocketAddr;
use std::thread::JoinHandle;
use std::time::Duration;

use knockon_bench::serve::serve_with;
use knockon_bench::{Limits, Options};
use knockon_desk::{Desk, NewQuestion, QuestionId, Role, Stamp};
use tempfile::TempDir;
use tokio::sync::oneshot;

use crate::client::{Ask, Reply};

/// Password of both accounts.
pub const PASSWORD: &str = "four unrelated words";

/// A running bench.
pub struct Bench {
    /// Where it listens.
    pub address: SocketAddr,
    /// Its desk, to look at what came through and to plant what is to be shown.
    pub desk: Desk,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    _folder: TempDir,
}

impl Bench {
    /// One without accounts: whoever is on this machine may write.
    pub fn open() -> Self {
        Self::start(&[], None, Limits::default())
    }

    /// One with Kim, who may answer, and Lee, who may read.
    pub fn with_accounts() -> Self {
        Self::start(&[("Kim", Role::Answer), ("Lee", Role::Read)], None, Limits::default())
    }

    /// One with the same accounts that a proxy reaches over https.
    pub fn behind_https() -> Self {
        Self::start(&[("Kim", Role::Answer)], Some("https://bench.example"), Limits::default())
    }

    /// One without accounts that has little patience.
    pub fn impatient() -> Self {
        let short = Duration::from_millis(400);
        let limits =
            Limits { headers: short, request: short, upload: short, connections: 8, ..Limits::default() };
        Self::start(&[], None, limits)
    }

    fn start(accounts: &[(&str, Role)], reached_as: Option<&str>, limits: Limits) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        for (name, role) in accounts {
            desk.add_account(name, PASSWORD, *role, &stamp()).expect("an account");
        }
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
        listener.set_nonblocking(true).expect("a listener for tokio");
        let address = listener.local_addr().expect("an address");
        let options = Options { listen: address, reached_as: reached_as.map(str::to_owned) };
        let (stop, stopped) = oneshot::channel::<()>();
        let served = desk.clone();
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Runtime::new().expect("a runtime");
            runtime.block_on(async {
                let listener = tokio::net::TcpListener::from_std(listener).expect("a listener");
                let stop = async {
                    let _ = stopped.await;
                };
                serve_with(served, listener, options, limits, stop).await.expect("the bench runs");
            });
        });
        Self { address, desk, stop: Some(stop), thread: Some(thread), _folder: folder }
    }

    /// A question that is on the desk already.
    pub fn question(&self, asked: &str) -> QuestionId {
        let new = NewQuestion { asked: asked.to_owned(), ..NewQuestion::default() };
        self.desk.ask(&new, &stamp()).expect("a question")
    }

    /// A request as our own page would send it.
    pub fn ask(&self, method: &str, path: &str) -> Ask {
        Ask::new(self.address, method, path)
    }

    /// Reads a page.
    pub fn get(&self, path: &str) -> Reply {
        self.ask("GET", path).send()
    }

    /// Logs in and returns the session's cookie as a browser would send it.
    pub fn log_in(&self, name: &str) -> String {
        let reply = self.ask("POST", "/log-in").own().form(&[("name", name), ("password", PASSWORD)]).send();
        assert_eq!(reply.status, 303, "{}", reply.text());
        let cookie = reply.header("set-cookie").expect("a session");
        cookie.split(';').next().expect("a name and a value").to_owned()
    }

    /// How many questions there are.
    pub fn questions(&self) -> u32 {
        let counts = self.desk.counts().expect("counts");
        counts.new + counts.waiting + counts.answered + counts.set_aside
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.thread.take() {
            let ended = thread.join();
            assert!(ended.is_ok() || std::thread::panicking(), "the bench did not end in order");
        }
    }
}

/// Whoever prepares a test.
pub fn stamp() -> Stamp {
    Stamp::now("the test")
}
