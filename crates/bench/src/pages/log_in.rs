//! Logging in and out.

use std::net::{IpAddr, Ipv4Addr};
use std::time::Instant;

use axum::extract::{Query, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Form, Router};
use jiff::Timestamp;
use maud::{Markup, html};
use serde::Deserialize;

use super::form::{Line, Wrongs};
use super::layout;
use crate::app::App;
use crate::errors::Fault;
use crate::security::local_path::local_path;
use crate::security::session;
use crate::serve::Peer;
use crate::visitor::Visitor;

const NAME: Line =
    Line { name: "name", label: "Name", kind: "text", fill: "username", hint: "", longest: 200 };
const PASSWORD: Line = Line {
    name: "password",
    label: "Password",
    kind: "password",
    fill: "current-password",
    hint: "",
    longest: 1000,
};

/// The pages of this file.
pub fn routes() -> Router<App> {
    Router::new().route("/log-in", get(show).post(log_in)).route("/log-out", post(log_out))
}

/// Where to go afterwards.
#[derive(Deserialize)]
struct Back {
    #[serde(default)]
    back: String,
}

/// What was typed.
#[derive(Deserialize)]
struct Typed {
    name: String,
    password: String,
    #[serde(default)]
    back: String,
}

async fn show(visitor: Option<Visitor>, Query(wanted): Query<Back>) -> Response {
    let back = local_path(&wanted.back);
    match visitor {
        Some(_) => Redirect::to(back).into_response(),
        None => page("", back, &Wrongs::default()).into_response(),
    }
}

/// One way for right and wrong names and passwords, up to the last line: what differs tells a guesser something.
async fn log_in(
    State(app): State<App>,
    peer: Option<Extension<Peer>>,
    headers: HeaderMap,
    Form(typed): Form<Typed>,
) -> Result<Response, Fault> {
    let address = peer.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |Extension(Peer(peer))| peer.ip());
    let Typed { name, password, back } = typed;
    app.log_ins().attempt(&name, address, Instant::now()).map_err(|wait| too_often(wait.as_secs() + 1))?;
    let token = {
        let _turn = app.log_ins().turn().await.ok_or_else(|| too_often(10))?;
        let name = name.clone();
        app.desk(move |desk| desk.log_in(&name, &password, Timestamp::now())).await?
    };
    let Some(token) = token else {
        let wrongs = Wrongs::one("name", "This name and password do not belong together. Check both.");
        let page = page(&name, local_path(&back), &wrongs);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    app.log_ins().succeeded(&name, address);
    end_session(&app, &headers).await?;
    Ok(go(local_path(&back), session::open(app.site(), &token)))
}

async fn log_out(State(app): State<App>, headers: HeaderMap) -> Result<Response, Fault> {
    end_session(&app, &headers).await?;
    Ok(go("/log-in", session::close(app.site())))
}

/// Ends the session that the request belongs to, if any; also on logging in, so that no old one stays open unseen.
async fn end_session(app: &App, headers: &HeaderMap) -> Result<(), Fault> {
    match session::token(app.site(), headers) {
        Some(token) => app.desk(move |desk| desk.log_out(&token)).await,
        None => Ok(()),
    }
}

fn go(to: &str, cookie: Option<HeaderValue>) -> Response {
    let mut response = Redirect::to(to).into_response();
    if let Some(cookie) = cookie {
        response.headers_mut().insert(SET_COOKIE, cookie);
    }
    response
}

fn too_often(seconds: u64) -> Fault {
    Fault::new(
        StatusCode::TOO_MANY_REQUESTS,
        "too-often",
        "Too many attempts",
        format!("There were too many attempts to log in. The next one is heard in {seconds} seconds."),
    )
    .with_help("Wait that long. A forgotten password: somebody with an account, or whoever runs the program, sets a new one.")
    .after(seconds)
}

fn page(name: &str, back: &str, wrongs: &Wrongs) -> Markup {
    let body = html! {
        div.log-in {
            h1 { "Log in" }
            (wrongs.summary())
            form.fields method="post" action="/log-in" {
                input type="hidden" name="back" value=(back);
                (NAME.show(name, wrongs))
                (PASSWORD.show("", &Wrongs::default()))
                div { button.primary { "Log in" } }
            }
        }
    };
    layout::public_page("Log in", body)
}
