//! A server of a test's own, on a demo workshop of its own.

use std::time::Duration;

use knockon_bench::serve::{Options, serve};
use knockon_desk::{BikeId, Desk, NewQuestion, QuestionId, Stamp};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::oneshot;

use crate::chromium::{Chromium, chromium};
use crate::page::Page;
use crate::screen::Screen;

/// A running server and the browser to look at it with.
pub struct Site {
    /// The workshop behind it.
    pub desk: Desk,
    /// `http://127.0.0.1:…`
    pub address: String,
    browser: &'static Chromium,
    stop: Option<oneshot::Sender<()>>,
    runtime: Option<Runtime>,
    _folder: TempDir,
}

impl Site {
    /// Starts a server on a demo workshop; `None`, and said aloud, when the machine has no browser.
    pub fn open() -> Option<Site> {
        let browser = chromium()?;
        let folder = TempDir::new().expect("a temporary folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a new workshop opens");
        desk.load_demo(&Stamp::now("the tests")).expect("the demo loads");
        let runtime = Builder::new_multi_thread().worker_threads(1).enable_all().build().expect("a runtime");
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).expect("a free port");
        let listen = listener.local_addr().expect("a listener has an address");
        let (stop, stopped) = oneshot::channel();
        let options = Options { listen, reached_as: None };
        let served = serve(desk.clone(), listener, options, async {
            let _ = stopped.await;
        });
        runtime.spawn(async { served.await.expect("the server serves") });
        let address = format!("http://{listen}");
        Some(Site { desk, address, browser, stop: Some(stop), runtime: Some(runtime), _folder: folder })
    }

    /// The first bike whose title has this word.
    pub fn bike(&self, word: &str) -> BikeId {
        let found = self.desk.bikes(word, 0, 1).expect("bikes are listed");
        found.first().unwrap_or_else(|| panic!("the demo has no bike {word}")).id
    }

    /// A new question about a bike.
    pub fn ask(&self, asked: &str, bike: &str, changes: &str) -> QuestionId {
        let question = NewQuestion {
            asked: asked.into(),
            bike: Some(self.bike(bike)),
            changes: changes.into(),
            ..NewQuestion::default()
        };
        self.desk.ask(&question, &Stamp::now("the tests")).expect("a question is kept")
    }

    /// Lines of the saved draft.
    pub fn saved(&self, question: QuestionId) -> String {
        self.desk.question(question).expect("the question is there").draft.changes
    }

    /// A visitor of its own: no cookie and nothing stored is shared with another page.
    pub fn page(&self, screen: Screen) -> Page {
        Page::open(self.browser, &self.address, screen)
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_timeout(Duration::from_secs(2));
        }
    }
}
