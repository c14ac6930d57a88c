//! Adding and removing people, and giving them new passwords.
//!
//! Two things must not happen by a click: that nobody is left who may add people, and that a bench that other machines
//! reach is left without any account.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use axum::{Form, Router};
use knockon_desk::{Account, DeskError, Role};
use knockon_trade::words::upper_first;
use serde::Deserialize;

use super::show;
use super::values::Typed;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::Wrongs;
use crate::visitor::{Visitor, Writer};

/// The accounts as the page shows them, with what was typed to add one.
pub(super) struct People {
    pub(super) accounts: Vec<Account>,
    pub(super) typed_name: String,
    pub(super) typed_read: bool,
    pub(super) wrongs: Wrongs,
}

impl People {
    /// The people there are, and nothing typed yet.
    pub(super) fn new(accounts: Vec<Account>) -> Self {
        Self { accounts, typed_name: String::new(), typed_read: false, wrongs: Wrongs::default() }
    }
}

/// The forms' addresses.
pub(super) fn routes() -> Router<App> {
    Router::new()
        .route("/settings/accounts", post(add))
        .route("/settings/accounts/password", post(set_password))
        .route("/settings/accounts/remove", post(remove))
}

#[derive(Deserialize)]
struct NewAccount {
    #[serde(rename = "new-name")]
    name: String,
    #[serde(rename = "new-password")]
    password: String,
    #[serde(rename = "new-role")]
    role: String,
}

#[derive(Deserialize)]
struct NewPassword {
    name: String,
    password: String,
}

#[derive(Deserialize)]
struct Removal {
    name: String,
    #[serde(default)]
    sure: String,
}

async fn add(
    State(app): State<App>,
    Writer(visitor): Writer,
    Form(typed): Form<NewAccount>,
) -> Result<Response, Fault> {
    let role = if typed.role == "read" { Role::Read } else { Role::Answer };
    let name = typed.name.trim().to_owned();
    if role == Role::Read && !visitor.workshop.accounts {
        let wrongs = Wrongs::one(
            "new-role",
            "The first account must be one that may answer: nobody could add another",
        );
        return again(&app, &visitor, name, true, wrongs).await;
    }
    let (wanted, stamp) = (name.clone(), visitor.stamp());
    let _turn = app.log_ins().turn().await;
    match app.try_desk(move |desk| desk.add_account(&wanted, &typed.password, role, &stamp)).await? {
        Ok(_) => Ok(done("added")),
        Err(DeskError::Refused { why, help }) => {
            let field = if why.to_lowercase().contains("password") { "new-password" } else { "new-name" };
            again(&app, &visitor, name, role == Role::Read, Wrongs::one(field, sentence(&why, &help))).await
        }
        Err(error) => Err(error.into()),
    }
}

async fn set_password(
    State(app): State<App>,
    Writer(visitor): Writer,
    Form(typed): Form<NewPassword>,
) -> Result<Response, Fault> {
    let _turn = app.log_ins().turn().await;
    match app.try_desk(move |desk| desk.set_password(&typed.name, &typed.password)).await? {
        Ok(()) => Ok(done("password")),
        Err(DeskError::Refused { why, help }) => refuse(&app, &visitor, sentence(&why, &help)).await,
        Err(error) => Err(error.into()),
    }
}

async fn remove(
    State(app): State<App>,
    Writer(visitor): Writer,
    Form(removal): Form<Removal>,
) -> Result<Response, Fault> {
    if removal.sure != "yes" {
        return refuse(&app, &visitor, "Tick the box to remove the account".to_owned()).await;
    }
    let accounts = app.desk(knockon_desk::Desk::accounts).await?;
    if let Some(why) = needed(&accounts, &removal.name, app.site().is_private()) {
        return refuse(&app, &visitor, why.to_owned()).await;
    }
    app.desk(move |desk| desk.remove_account(&removal.name)).await?;
    Ok(done("removed"))
}

/// Why an account must stay, if it must.
fn needed(accounts: &[Account], name: &str, private: bool) -> Option<&'static str> {
    // As the desk compares names.
    let meant = |account: &Account| account.name.eq_ignore_ascii_case(name.trim());
    let others: Vec<&Account> = accounts.iter().filter(|account| !meant(account)).collect();
    if others.is_empty() {
        return (!private).then_some(
            "This is the last account, and other machines reach this bench: add another account before removing this one",
        );
    }
    let keeper = others.iter().any(|account| account.role == Role::Answer);
    (!keeper).then_some("Nobody else may answer: add such an account before removing this one")
}

/// The page again with what is wrong about the people listed.
async fn refuse(app: &App, visitor: &Visitor, why: String) -> Result<Response, Fault> {
    again(app, visitor, String::new(), false, Wrongs::one("accounts", why)).await
}

async fn again(
    app: &App,
    visitor: &Visitor,
    name: String,
    read: bool,
    wrongs: Wrongs,
) -> Result<Response, Fault> {
    let (settings, accounts) = app.desk(|desk| Ok((desk.settings()?, desk.accounts()?))).await?;
    let people = People { accounts, typed_name: name, typed_read: read, wrongs };
    let page = show::page(visitor, &Typed::from(&settings), &people, None);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

fn done(word: &str) -> Response {
    Redirect::to(&format!("/settings?done={word}")).into_response()
}

/// Why something was refused, and what to do instead, as one sentence.
fn sentence(why: &str, help: &str) -> String {
    let why = upper_first(why.trim_end_matches('.'));
    if help.is_empty() { why } else { format!("{why}: {help}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn account(name: &str, role: Role) -> Account {
        Account {
            id: "1".parse().expect("a number"),
            name: name.to_owned(),
            role,
            made: jiff::Timestamp::UNIX_EPOCH,
        }
    }

    #[test]
    fn the_last_who_may_answer_stays_while_there_are_readers() {
        let people = [account("kim", Role::Answer), account("lee", Role::Read)];
        assert!(needed(&people, "kim", true).is_some());
        assert!(needed(&people, "lee", true).is_none());
    }

    #[test]
    fn the_last_account_stays_where_other_machines_reach_the_bench() {
        let people = [account("kim", Role::Answer)];
        assert!(needed(&people, "kim", false).is_some());
        assert!(needed(&people, "kim", true).is_none());
    }
}
