//! A server of a test's own, on a demo workshop of its own.

use std::time::Duration;

use knockon_bench::serve::{Options, serve};
use knockon_desk::{BikeId, Desk, InspectionId, NewQuestion, PhotoId, QuestionId, Stamp};
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

    /// An inspection of a new question, with these answers.
    pub fn inspect(&self, protocol: &str, asked: &str, answers: &[(&str, &str)]) -> InspectionId {
        let stamp = Stamp::now("the tests");
        let question = self.ask(asked, "Larch", "");
        let id = self
            .desk
            .begin_inspection(question, protocol, "left side", &stamp)
            .expect("an inspection begins");
        for (step, answer) in answers {
            self.desk.observe(id, step, answer, "", &stamp).expect("an answer is kept");
        }
        id
    }

    /// A marked photo of an inspection.
    pub fn photo(&self, inspection: InspectionId) -> PhotoId {
        let pixel = |x: u32, y: u32| image::Rgb([(x / 3) as u8, (y / 2) as u8, 90]);
        let mut bytes = std::io::Cursor::new(Vec::new());
        let picture = image::DynamicImage::ImageRgb8(image::RgbImage::from_fn(480, 360, pixel));
        picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("a picture");
        let stamp = Stamp::now("the tests");
        let photo = self.desk.add_photo_of(inspection, &bytes.into_inner(), "lamp from the left", &stamp);
        let photo = photo.expect("a photo is kept");
        let marks = "circle 40 50 12 the line\nmeasure 30 60 55 52 48 mm";
        self.desk.mark_photo(photo, marks, "lamp from the left").expect("marks are kept");
        photo
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
