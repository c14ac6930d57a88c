//! Settings: the workshop's name, units, what its tools are worth, and its accounts.
//!
//! `values` reads what was typed, `show` writes the page, `accounts` adds and removes people.

mod accounts;
mod show;
mod values;

use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Form, Router};
use maud::Markup;
use serde::Deserialize;

use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};
use accounts::People;
use values::Typed;

/// The pages of this folder.
pub fn routes() -> Router<App> {
    Router::new().route("/settings", get(page).post(save)).merge(accounts::routes())
}

/// What was just done, so that the page can say so.
#[derive(Deserialize)]
struct Done {
    #[serde(default)]
    done: String,
}

async fn page(State(app): State<App>, visitor: Visitor, Query(done): Query<Done>) -> Result<Markup, Fault> {
    let (settings, people) = app.desk(|desk| Ok((desk.settings()?, desk.accounts()?))).await?;
    Ok(show::page(&visitor, &Typed::from(&settings), &People::new(people), show::done(&done.done)))
}

async fn save(
    State(app): State<App>,
    Writer(visitor): Writer,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let mut typed = Typed::new(pairs);
    let Some(settings) = typed.read() else {
        let people = app.desk(knockon_desk::Desk::accounts).await?;
        let page = show::page(&visitor, &typed, &People::new(people), None);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let stamp = visitor.stamp();
    app.desk(move |desk| desk.save_settings(&settings, &stamp)).await?;
    Ok(Redirect::to("/settings?done=saved").into_response())
}
