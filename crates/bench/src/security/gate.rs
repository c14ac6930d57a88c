//! Who gets in. Everything needs a visitor but a short list of addresses, and every change needs a visitor who may write:
//! a page that forgets to ask is closed all the same.

use axum::extract::{Request, State};
use axum::http::header::{ACCEPT, WWW_AUTHENTICATE};
use axum::http::{HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use knockon_desk::{Role, Stamp};
use knockon_trade::demo;

use super::{origin, session};
use crate::app::App;
use crate::assets::ICON_PATH;
use crate::errors::Fault;
use crate::visitor::{Visitor, Workshop, needed, read_only};

/// Recognises the visitor, lets in who may come in, and tells the pages who it is.
pub async fn pass(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let path = request.uri().path();
    if path.starts_with("/assets/") || path == ICON_PATH {
        return next.run(request).await;
    }
    let token = session::token(app.site(), request.headers());
    let direct = !RELAYED.iter().any(|name| request.headers().contains_key(*name));
    let visitor = match recognise(&app, token, direct).await {
        Ok(visitor) => visitor,
        Err(fault) => return fault.into_response(),
    };
    let mut response = match refusal(&request, visitor.as_ref()) {
        Some(refusal) => refusal,
        None => {
            if let Some(visitor) = &visitor {
                request.extensions_mut().insert(visitor.clone());
            }
            next.run(request).await
        }
    };
    // For the page of an error, which is dressed further out.
    if let Some(visitor) = visitor {
        response.extensions_mut().insert(visitor);
    }
    response
}

/// A proxy on this machine adds one of these: who asks may then be anybody, whatever address the bench listens on.
const RELAYED: [&str; 4] = ["forwarded", "x-forwarded-for", "x-forwarded-host", "via"];

/// The visitor of a session; without accounts, on a bench that no other machine reaches, whoever sits there.
async fn recognise(app: &App, token: Option<String>, direct: bool) -> Result<Option<Visitor>, Fault> {
    let private = app.site().is_private() && direct;
    app.desk(move |desk| {
        let accounts = desk.has_accounts()?;
        let settings = desk.settings()?;
        let demo = settings.workshop == demo::WORKSHOP;
        let by =
            if settings.drawn_by.trim().is_empty() { Stamp::UNNAMED.to_owned() } else { settings.drawn_by };
        let workshop = Workshop { name: settings.workshop, demo, accounts };
        if !accounts {
            return Ok(private.then_some(Visitor { name: by, role: Role::Answer, workshop }));
        }
        let Some(token) = token else { return Ok(None) };
        let account = desk.session(&token, Timestamp::now())?;
        Ok(account.map(|account| Visitor { name: account.name, role: account.role, workshop }))
    })
    .await
}

/// Why the request goes no further, if so.
fn refusal(request: &Request, visitor: Option<&Visitor>) -> Option<Response> {
    let path = request.uri().path();
    if is_public(path) {
        return None;
    }
    match visitor {
        None => Some(ask_to_log_in(request)),
        Some(visitor)
            if !visitor.may_write()
                && !origin::is_safe(request.method())
                && !KEEPS_NOTHING.contains(&path) =>
        {
            Some(read_only().into_response())
        }
        Some(_) => None,
    }
}

/// Whoever may read may send these: they change nothing that is kept.
const KEEPS_NOTHING: [&str; 9] = [
    "/log-out",
    "/fits",
    "/backwards",
    "/backwards/live",
    "/backwards/compare",
    "/backwards/compare.html",
    "/api/v1/answers",
    "/api/v1/options",
    "/api/v1/judgements",
];

/// What may be read without an account: published sheets, and what is needed to log in.
fn is_public(path: &str) -> bool {
    path == "/log-in" || path.starts_with("/s/") || path.starts_with("/assets/")
}

/// A person who opens a page is led to the log-in and back again. Whoever sends something, and every program, is told:
/// going elsewhere would lose what was sent.
fn ask_to_log_in(request: &Request) -> Response {
    let path = request.uri().path();
    let wants_page = request.headers().get(ACCEPT).is_none_or(|accept| {
        accept.to_str().is_ok_and(|accept| accept.contains("text/html") || accept.contains("*/*"))
    });
    if *request.method() == Method::GET && wants_page && !path.starts_with("/api/") {
        let wanted = request.uri().path_and_query().map_or(path, |wanted| wanted.as_str());
        return Redirect::to(&format!("/log-in?back={}", encode(wanted))).into_response();
    }
    let mut response = needed().into_response();
    response.headers_mut().insert(WWW_AUTHENTICATE, HeaderValue::from_static("Cookie realm=\"Knockon\""));
    response
}

/// Writes an address so that it can stand in another one's query.
fn encode(text: &str) -> String {
    text.bytes().fold(String::new(), |mut encoded, byte| {
        if byte.is_ascii_alphanumeric() || b"-_.~/".contains(&byte) {
            encoded.push(char::from(byte));
        } else {
            encoded.push_str(&format!("%{byte:02X}"));
        }
        encoded
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn little_is_public() {
        for path in ["/log-in", "/s/abcd2345", "/s/abcd2345/2.svg", "/assets/bench.css"] {
            assert!(is_public(path), "{path}");
        }
        for path in [
            "/",
            "/questions",
            "/s",
            "/sheets",
            "/log-in/x",
            "/log-out",
            "/api/v1/bikes",
            "/photos/1",
            "//s/x",
        ] {
            assert!(!is_public(path), "{path}");
        }
    }

    #[test]
    fn an_address_stays_whole_inside_another() {
        assert_eq!(encode("/questions/4?do=bar 2&x=é"), "/questions/4%3Fdo%3Dbar%202%26x%3D%C3%A9");
    }
}
