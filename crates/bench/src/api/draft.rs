//! The draft of an answer: its changes, undo and redo.

use axum::extract::State as Reach;
use knockon_desk::{Desk, DeskError, QuestionId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::{At, Json};
use super::questions::Question;
use super::time::written;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Writer;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(save_draft)).routes(routes!(undo)).routes(routes!(redo))
}

/// The changes that an answer is about, as they are being worked on.
#[derive(ToSchema, Serialize)]
pub(super) struct Draft {
    /// Drafts of a question are numbered.
    number: u32,
    /// The changes, one a line. A draft may hold lines that say no change yet.
    changes: String,
    /// Another way of doing it, one change a line; null when there is only one.
    #[schema(required = true)]
    instead: Option<String>,
    /// When it was saved.
    #[schema(format = DateTime)]
    at: String,
    /// Who saved it.
    by: String,
}

impl From<knockon_desk::Draft> for Draft {
    fn from(draft: knockon_desk::Draft) -> Self {
        Draft {
            number: draft.number,
            changes: draft.changes,
            instead: draft.instead,
            at: written(draft.stamp.at),
            by: draft.stamp.who,
        }
    }
}

/// A draft as it shall be.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
#[schema(as = DraftToSave)]
struct NewDraft {
    /// The changes, one a line.
    changes: String,
    /// Another way of doing it, one change a line.
    instead: Option<String>,
}

/// Save the draft of an answer
///
/// The older drafts stay; drafts that were undone are dropped. The same text saves nothing.
#[utoipa::path(put, path = "/questions/{id}/draft", tag = "questions", request_body = NewDraft,
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "It is saved.", body = Question)))]
async fn save_draft(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Json(draft): Json<NewDraft>,
) -> Result<Json<Question>, Fault> {
    let stamp = visitor.stamp();
    then_read(&app, id, move |desk| {
        desk.save_draft(id, &draft.changes, draft.instead.as_deref(), &stamp).map(drop)
    })
    .await
}

/// Go back to the draft before
///
/// Where there is none, nothing happens. Send the header `Content-Type: application/json` and no body.
#[utoipa::path(post, path = "/questions/{id}/undo", tag = "questions",
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "The question with the older draft.", body = Question)))]
async fn undo(_: Writer, Reach(app): Reach<App>, At(id): At<QuestionId>) -> Result<Json<Question>, Fault> {
    then_read(&app, id, move |desk| desk.undo(id).map(drop)).await
}

/// Go forward to the draft that was undone
///
/// Where there is none, nothing happens. Send the header `Content-Type: application/json` and no body.
#[utoipa::path(post, path = "/questions/{id}/redo", tag = "questions",
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "The question with the newer draft.", body = Question)))]
async fn redo(_: Writer, Reach(app): Reach<App>, At(id): At<QuestionId>) -> Result<Json<Question>, Fault> {
    then_read(&app, id, move |desk| desk.redo(id).map(drop)).await
}

/// Does something to a question and reads it again.
async fn then_read<F>(app: &App, id: QuestionId, work: F) -> Result<Json<Question>, Fault>
where
    F: FnOnce(&Desk) -> Result<(), DeskError> + Send + 'static,
{
    let question = app.desk(move |desk| {
        work(desk)?;
        desk.question(id)
    });
    Ok(Json(question.await?.into()))
}
