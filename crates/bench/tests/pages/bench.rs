//! A bench over a workshop of its own, asked as a browser asks.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_TYPE, HOST, LOCATION};
use axum::http::{HeaderMap, Request, StatusCode};
use knockon_bench::{Options, router};
use knockon_desk::{BikeId, Desk, NewQuestion, QuestionId, Stamp};
use tempfile::TempDir;
use tower::ServiceExt;

/// Where the bench believes to listen.
const HERE: &str = "127.0.0.1:7474";

/// A bench over a workshop that is gone afterwards.
pub struct Bench {
    /// The workshop.
    pub desk: Desk,
    router: Router,
    _folder: TempDir,
}

/// What came back.
#[derive(Debug)]
pub struct Reply {
    /// Status.
    pub status: StatusCode,
    /// Headers.
    pub headers: HeaderMap,
    /// Body.
    pub body: String,
}

impl Bench {
    /// Over an empty workshop.
    pub fn empty() -> Bench {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let options = Options { listen: HERE.parse().expect("an address"), reached_as: None };
        Bench { router: router(desk.clone(), &options), desk, _folder: folder }
    }

    /// Adds a bike.
    pub fn bike(&self, text: &str) -> BikeId {
        self.desk.add_bike(text, "new", &stamp()).expect("a bike")
    }

    /// Adds a question.
    pub fn ask(&self, asked: &str) -> QuestionId {
        self.ask_about(asked, None, "")
    }

    /// Adds a question about a bike, with changes.
    pub fn ask_about(&self, asked: &str, bike: Option<BikeId>, changes: &str) -> QuestionId {
        let new =
            NewQuestion { asked: asked.into(), bike, changes: changes.into(), ..NewQuestion::default() };
        self.desk.ask(&new, &stamp()).expect("a question")
    }

    async fn send(&self, request: Request<Body>) -> Reply {
        let response = self.router.clone().oneshot(request).await.expect("a response");
        let (parts, body) = response.into_parts();
        let body = to_bytes(body, usize::MAX).await.expect("a body").to_vec();
        Reply { status: parts.status, headers: parts.headers, body: String::from_utf8(body).expect("UTF-8") }
    }

    /// Opens a page.
    pub async fn get(&self, path: &str) -> Reply {
        self.send(Request::get(path).header(HOST, HERE).body(Body::empty()).expect("a request")).await
    }

    /// Opens a page with one more header.
    pub async fn get_with(&self, path: &str, name: &str, value: &str) -> Reply {
        let request = Request::get(path).header(HOST, HERE).header(name, value);
        self.send(request.body(Body::empty()).expect("a request")).await
    }

    /// Sends a form from one of the bench's own pages.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let body: Vec<String> =
            fields.iter().map(|(name, value)| format!("{}={}", encoded(name), encoded(value))).collect();
        self.post_as(path, "application/x-www-form-urlencoded", body.join("&").into_bytes()).await
    }

    /// Sends a form with a file.
    pub async fn upload(&self, path: &str, fields: &[(&str, &[u8])]) -> Reply {
        let mut body = Vec::new();
        for (name, value) in fields {
            let file = if *name == "file" { "; filename=\"table.csv\"" } else { "" };
            let head = format!("--part\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n");
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(value);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(b"--part--\r\n");
        self.post_as(path, "multipart/form-data; boundary=part", body).await
    }

    async fn post_as(&self, path: &str, kind: &str, body: Vec<u8>) -> Reply {
        let request = Request::post(path)
            .header(HOST, HERE)
            .header("sec-fetch-site", "same-origin")
            .header(CONTENT_TYPE, kind)
            .body(Body::from(body));
        self.send(request.expect("a request")).await
    }
}

/// Who does everything in these tests.
pub fn stamp() -> Stamp {
    Stamp::now("Ida")
}

fn encoded(text: &str) -> String {
    text.bytes().flat_map(|byte| format!("%{byte:02X}").into_bytes()).map(char::from).collect()
}

impl Reply {
    /// Where the browser is sent next.
    #[track_caller]
    pub fn leads_to(&self) -> &str {
        assert_eq!(self.status, 303, "{}", self.body);
        self.headers[LOCATION].to_str().expect("an address")
    }

    /// A header's value; empty where there is none.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().expect("a header of letters"))
    }

    /// Fails unless the page has these words.
    #[track_caller]
    pub fn says(&self, words: &str) -> &Self {
        assert!(self.body.contains(words), "“{words}” is not in: {}", self.body);
        self
    }

    /// Fails if the page has these words.
    #[track_caller]
    pub fn says_not(&self, words: &str) -> &Self {
        assert!(!self.body.contains(words), "“{words}” is in: {}", self.body);
        self
    }

    /// Fails unless this is the status.
    #[track_caller]
    pub fn is(&self, status: u16) -> &Self {
        assert_eq!(self.status, status, "{}", self.body);
        self
    }

    /// Value of the control with a name.
    #[track_caller]
    pub fn value_of(&self, name: &str) -> &str {
        let tag = self.body.split('<').find(|tag| tag.contains(&format!(" name=\"{name}\"")));
        let tag = tag.unwrap_or_else(|| panic!("no control {name} in: {}", self.body));
        tag.split(" value=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap_or_default()
    }

    /// Where words first stand, for comparing.
    #[track_caller]
    pub fn place(&self, words: &str) -> usize {
        self.body.find(words).unwrap_or_else(|| panic!("“{words}” is not in: {}", self.body))
    }
}
