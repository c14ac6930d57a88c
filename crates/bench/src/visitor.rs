//! Who is asking, and what they may do.
//!
//! Without any account the bench is one technician's own: everybody on the same machine may write, and nothing is served
//! to other machines. With accounts, everybody needs a session, on the same machine too.

use std::convert::Infallible;

use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::StatusCode;
use axum::http::request::Parts;
use knockon_desk::{Role, Stamp};

use crate::errors::Fault;

/// Somebody who may read.
#[derive(Clone, Debug)]
pub struct Visitor {
    /// The account's name; without accounts whoever draws by the settings.
    pub name: String,
    /// What they may do.
    pub role: Role,
    /// Where they are.
    pub workshop: Workshop,
}

/// What every page says about the workshop.
#[derive(Clone, Debug, Default)]
pub struct Workshop {
    /// Its name.
    pub name: String,
    /// True for the invented one.
    pub demo: bool,
    /// True where there are accounts, so that there is something to log out of.
    pub accounts: bool,
}

impl Visitor {
    /// Who does it, and that it is now.
    pub fn stamp(&self) -> Stamp {
        Stamp::now(self.name.clone())
    }

    /// True where controls that write make sense. Pages hide them otherwise; the refusal does not depend on that.
    pub fn may_write(&self) -> bool {
        self.role == Role::Answer
    }
}

/// Every reader. The gate has already turned away who may not read, so a request without a visitor is a public one.
impl<S: Sync> FromRequestParts<S> for Visitor {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        parts.extensions.get::<Self>().cloned().ok_or_else(needed)
    }
}

/// Public pages, which show more to whoever is logged in.
impl<S: Sync> OptionalFromRequestParts<S> for Visitor {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Option<Self>, Infallible> {
        Ok(parts.extensions.get::<Self>().cloned())
    }
}

/// Somebody who may write.
#[derive(Clone, Debug)]
pub struct Writer(pub Visitor);

impl<S: Sync> FromRequestParts<S> for Writer {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Fault> {
        let visitor = <Visitor as FromRequestParts<S>>::from_request_parts(parts, state).await?;
        if visitor.may_write() { Ok(Self(visitor)) } else { Err(read_only()) }
    }
}

/// An account is needed.
pub fn needed() -> Fault {
    Fault::new(
        StatusCode::UNAUTHORIZED,
        "log-in",
        "Please log in",
        "This needs an account, and you are not logged in.",
    )
    .with_help("Log in in another tab, come back here and send it again: then nothing you typed is lost.")
}

/// The account may read and not write.
pub fn read_only() -> Fault {
    Fault::refused(
        "Your account may read and not change anything.",
        "Ask for an account that may answer questions.",
    )
}
