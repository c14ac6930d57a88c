//! A bench over a workshop of its own, without a network.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_TYPE, HOST};
use axum::http::{HeaderMap, Method, Request, StatusCode};
use knockon_bench::{Options, router};
use knockon_desk::{Desk, Stamp};
use serde_json::Value;
use tempfile::TempDir;
use tower::ServiceExt;

/// Where the bench believes to listen.
const HERE: &str = "127.0.0.1:7474";

/// A bench over a workshop that is gone afterwards.
pub struct Bench {
    pub desk: Desk,
    router: Router,
    _folder: TempDir,
}

/// What came back.
pub struct Reply {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
}

impl Bench {
    /// Over an empty workshop.
    pub fn empty() -> Bench {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let options = Options { listen: HERE.parse().expect("an address"), reached_as: None };
        Bench { router: router(desk.clone(), &options), desk, _folder: folder }
    }

    /// Over the invented demo workshop.
    pub fn demo() -> Bench {
        let bench = Bench::empty();
        assert!(bench.desk.load_demo(&Stamp::now("test")).expect("the demo"), "it was empty");
        bench
    }

    /// Sends a request as a program does.
    pub async fn send(&self, request: Request<Body>) -> Reply {
        let (mut parts, body) = request.into_parts();
        parts.headers.entry(HOST).or_insert(HERE.parse().expect("a header"));
        let request = Request::from_parts(parts, body);
        let response = self.router.clone().oneshot(request).await.expect("a response");
        let (parts, body) = response.into_parts();
        let body = to_bytes(body, usize::MAX).await.expect("a body").to_vec();
        Reply { status: parts.status, headers: parts.headers, body }
    }

    /// Sends JSON, or with `None` an empty body that is announced as JSON.
    pub async fn json(&self, method: Method, path: &str, body: Option<&Value>) -> Reply {
        let body = body.map(ToString::to_string).unwrap_or_default();
        self.raw(method, path, "application/json", body).await
    }

    /// Sends a body of any kind.
    pub async fn raw(&self, method: Method, path: &str, kind: &str, body: impl Into<Body>) -> Reply {
        let request = Request::builder().method(method).uri(path).header(CONTENT_TYPE, kind);
        self.send(request.body(body.into()).expect("a request")).await
    }

    pub async fn get(&self, path: &str) -> Reply {
        self.send(Request::get(path).body(Body::empty()).expect("a request")).await
    }

    pub async fn post(&self, path: &str, body: &Value) -> Reply {
        self.json(Method::POST, path, Some(body)).await
    }

    pub async fn put(&self, path: &str, body: &Value) -> Reply {
        self.json(Method::PUT, path, Some(body)).await
    }
}

impl Reply {
    /// The media type without parameters.
    pub fn kind(&self) -> &str {
        let kind = self.headers.get(CONTENT_TYPE).map_or("", |kind| kind.to_str().expect("a media type"));
        kind.split(';').next().unwrap_or_default()
    }

    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).expect("UTF-8")
    }

    #[track_caller]
    pub fn value(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| {
            panic!("{}: {error}: {}", self.status, String::from_utf8_lossy(&self.body))
        })
    }

    /// The JSON of a reply that must have this status.
    #[track_caller]
    pub fn with(&self, status: u16) -> Value {
        assert_eq!(self.status, status, "{}", String::from_utf8_lossy(&self.body));
        self.value()
    }
}
