//! The app over a workshop of its own, and requests to it.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use knockon_bench::{Options, router};
use knockon_desk::{BikeId, Desk, NewQuestion, QuestionId, Stamp};
use knockon_trade::demo;
use knockon_trade::question::read_question;
use tempfile::TempDir;
use tower::ServiceExt;

use crate::form::encoded;

/// Where the app believes to be.
pub const HOST: &str = "127.0.0.1:4650";

/// The app and the workshop behind it.
pub struct Bench {
    /// The workshop.
    pub desk: Desk,
    app: Router,
    _folder: TempDir,
}

/// What came back.
pub struct Reply {
    /// The status.
    pub status: StatusCode,
    /// The address that a redirect leads to.
    pub location: Option<String>,
    /// The content security policy.
    pub policy: String,
    /// The media type.
    pub media_type: String,
    /// The body.
    pub bytes: Vec<u8>,
}

impl Reply {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8(self.bytes.clone()).expect("a page is text")
    }
}

impl Bench {
    /// An empty workshop.
    pub fn empty() -> Bench {
        let folder = TempDir::new().expect("a temporary folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a new workshop opens");
        let listen = HOST.parse().expect("an address");
        let app = router(desk.clone(), &Options { listen, reached_as: None });
        Bench { desk, app, _folder: folder }
    }

    /// A workshop with one of the demo's bikes, and the bike's number.
    pub fn with_bike(stem: &str) -> (Bench, BikeId) {
        let bench = Bench::empty();
        let bike = bench.bike(stem);
        (bench, bike)
    }

    /// Adds one of the demo's bikes.
    pub fn bike(&self, stem: &str) -> BikeId {
        let (_, text) = demo::bikes().iter().find(|(name, _)| *name == stem).expect("a bike of the demo");
        self.desk.add_bike(text, "for a test", &stamp()).expect("the demo's records are sound")
    }

    /// Adds a question.
    pub fn ask(&self, asked: &str, bike: Option<BikeId>, changes: &str) -> QuestionId {
        let new =
            NewQuestion { asked: asked.into(), rider: "Mara Invented".into(), bike, changes: changes.into() };
        self.desk.ask(&new, &stamp()).expect("a question is kept")
    }

    /// Adds every question of the demo; its name, its number, its lines.
    pub fn ask_all(&self) -> Vec<(&'static str, QuestionId, String)> {
        let ask = |(stem, text): &(&'static str, &'static str)| {
            let asked = read_question(stem, text).expect("the demo's questions are sound");
            let lines = asked.changes.join("\n");
            (*stem, self.ask(&asked.asked, Some(self.bike(&asked.bike)), &lines), lines)
        };
        demo::questions().iter().map(ask).collect()
    }

    /// Gets an address.
    pub fn get(&self, address: &str) -> Reply {
        self.send(Request::get(address), Body::empty())
    }

    /// Gets a page that must be there.
    #[track_caller]
    pub fn page(&self, address: &str) -> String {
        let reply = self.get(address);
        assert_eq!(reply.status, StatusCode::OK, "{address}: {}", reply.text());
        reply.text()
    }

    /// Sends a form.
    pub fn post(&self, address: &str, fields: &[(String, String)]) -> Reply {
        let request =
            Request::post(address).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request, Body::from(encoded(fields)))
    }

    /// Sends a form, and goes where it leads to.
    #[track_caller]
    pub fn submit(&self, address: &str, fields: &[(String, String)]) -> String {
        let reply = self.post(address, fields);
        assert_eq!(reply.status, StatusCode::SEE_OTHER, "{address}: {}", reply.text());
        let place = reply.location.expect("a redirect leads somewhere");
        self.page(place.split('#').next().unwrap_or_default())
    }

    /// Sends any request.
    pub fn send(&self, request: axum::http::request::Builder, body: Body) -> Reply {
        let request = request.header(header::HOST, HOST).header("sec-fetch-site", "same-origin");
        let request = request.body(body).expect("a request");
        let app = self.app.clone();
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
        runtime.block_on(async {
            let response = app.oneshot(request).await.expect("the app always answers");
            let of = |name: header::HeaderName| {
                response.headers().get(name).and_then(|value| value.to_str().ok()).map(str::to_owned)
            };
            let (location, policy) = (of(header::LOCATION), of(header::CONTENT_SECURITY_POLICY));
            let (status, media_type) = (response.status(), of(header::CONTENT_TYPE));
            let bytes = to_bytes(response.into_body(), 32 << 20).await.expect("a whole body").to_vec();
            Reply {
                status,
                location,
                policy: policy.unwrap_or_default(),
                media_type: media_type.unwrap_or_default(),
                bytes,
            }
        })
    }
}

/// Somebody, now.
pub fn stamp() -> Stamp {
    Stamp::now("the tests")
}

/// Text of a page: no tags, entities resolved, plain spaces.
pub fn read(page: &str) -> String {
    let text: String =
        page.split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text)).collect();
    let entities = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&"), ("\u{a0}", " ")];
    entities.iter().fold(text, |text, (from, to)| text.replace(from, to))
}
