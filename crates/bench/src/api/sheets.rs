//! Published sheets.

use axum::extract::State as Reach;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, LOCATION};
use axum::response::IntoResponse;
use knockon_desk::{Publication, QuestionId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::{At, Json, Listed, Query, cut, page};
use super::problem::Problem;
use super::time::written;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(list_sheets))
        .routes(routes!(sheet))
        .routes(routes!(sheet_revision))
        .routes(routes!(sheet_file))
        .routes(routes!(publish))
}

/// A published sheet. Everybody can read it at `/s/{code}`, without an account.
#[derive(ToSchema, Serialize)]
struct Sheet {
    /// Its short address is `/s/` and this.
    code: String,
    #[schema(value_type = i64)]
    question: QuestionId,
    title: String,
    /// Name and size of the bike.
    bike: String,
    /// The short answer.
    headline: String,
    /// Number of this revision.
    revision: u32,
    /// Number of the newest one.
    newest: u32,
    /// When it was published.
    #[schema(format = DateTime)]
    at: String,
    /// Who published it.
    by: String,
}

impl From<Publication> for Sheet {
    fn from(published: Publication) -> Self {
        Sheet {
            code: published.code,
            question: published.question,
            title: published.title,
            bike: published.bike,
            headline: published.headline,
            revision: published.revision,
            newest: published.revisions,
            at: written(published.stamp.at),
            by: published.stamp.who,
        }
    }
}

/// One page of a list of sheets.
#[derive(ToSchema, Serialize)]
struct SheetList {
    sheets: Vec<Sheet>,
    /// Whether there are more behind these.
    more: bool,
}

/// List published sheets
///
/// The newest comes first.
#[utoipa::path(get, path = "/sheets", tag = "sheets", params(Listed),
    responses((status = 200, description = "One page of the list.", body = SheetList)))]
async fn list_sheets(
    _: Visitor,
    Reach(app): Reach<App>,
    Query(wanted): Query<Listed>,
) -> Result<Json<SheetList>, Fault> {
    let (offset, limit) = page(wanted.offset, wanted.limit)?;
    let words = wanted.words.unwrap_or_default();
    let (rows, more) = cut(app.desk(move |desk| desk.publications(&words, offset, limit + 1)).await?, limit);
    Ok(Json(SheetList { sheets: rows.into_iter().map(Into::into).collect(), more }))
}

/// Read about a sheet's newest revision
#[utoipa::path(get, path = "/sheets/{code}", tag = "sheets",
    params(("code" = String, Path, description = "Code of the sheet.")),
    responses((status = 200, description = "Its newest revision.", body = Sheet)))]
async fn sheet(_: Visitor, Reach(app): Reach<App>, At(code): At<String>) -> Result<Json<Sheet>, Fault> {
    Ok(Json(app.desk(move |desk| desk.publication(&code, None)).await?.into()))
}

/// Read about one revision of a sheet
#[utoipa::path(get, path = "/sheets/{code}/{revision}", tag = "sheets",
    params(("code" = String, Path, description = "Code of the sheet."),
        ("revision" = u32, Path, description = "Number of the revision.")),
    responses((status = 200, description = "That revision.", body = Sheet)))]
async fn sheet_revision(
    _: Visitor,
    Reach(app): Reach<App>,
    At((code, revision)): At<(String, u32)>,
) -> Result<Json<Sheet>, Fault> {
    Ok(Json(app.desk(move |desk| desk.publication(&code, Some(revision))).await?.into()))
}

/// Format of a published sheet, by the ending of its file.
#[derive(ToSchema, Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
#[schema(as = SheetFormat)]
enum Format {
    Html,
    Svg,
    Md,
    Txt,
    Json,
}

impl From<Format> for knockon_desk::Format {
    fn from(format: Format) -> Self {
        match format {
            Format::Html => knockon_desk::Format::Html,
            Format::Svg => knockon_desk::Format::Svg,
            Format::Md => knockon_desk::Format::Markdown,
            Format::Txt => knockon_desk::Format::Text,
            Format::Json => knockon_desk::Format::Json,
        }
    }
}

/// Read a published sheet
///
/// As it was published: it never changes.
#[utoipa::path(get, path = "/sheets/{code}/{revision}/{format}", tag = "sheets",
    params(("code" = String, Path, description = "Code of the sheet."),
        ("revision" = u32, Path, description = "Number of the revision."),
        ("format" = inline(Format), Path, description = "Ending of the file.")),
    responses((status = 200, description = "The sheet.", content(
        (String = "text/html"), (String = "image/svg+xml"), (String = "text/markdown"), (String = "text/plain"),
        (super::answer::Answer = "application/json")))))]
async fn sheet_file(
    _: Visitor,
    Reach(app): Reach<App>,
    At((code, revision, format)): At<(String, u32, Format)>,
) -> Result<impl IntoResponse, Fault> {
    let format = knockon_desk::Format::from(format);
    let name = format!("attachment; filename=\"sheet-{revision}.{}\"", format.extension());
    let text = app.desk(move |desk| desk.published_file(&code, revision, format)).await?;
    // A page under the API's address would run under the app's own rules for scripts and styles; it is a file to keep.
    Ok(([(CONTENT_TYPE, format.media_type().to_owned()), (CONTENT_DISPOSITION, name)], text))
}

/// Which way of a draft.
#[derive(ToSchema, Deserialize, Clone, Copy, Default)]
#[serde(rename_all = "lowercase")]
pub(super) enum Way {
    /// The changes.
    #[default]
    First,
    /// The other way of doing it.
    Instead,
}

/// What to publish.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetToPublish {
    /// Which way of the draft.
    #[serde(default)]
    way: Way,
}

/// Publish the answer to a question
///
/// The first time under a new code, later as the next revision under the same one. The question is answered with it.
#[utoipa::path(post, path = "/questions/{id}/publish", tag = "sheets", request_body = SheetToPublish,
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 201, description = "It is published.", body = Sheet,
        headers(("Location" = String, description = "Its short address."))),
        (status = 422, description = "The draft cannot be answered; `problems` says why.", body = Problem, content_type = "application/problem+json")))]
async fn publish(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Json(sent): Json<SheetToPublish>,
) -> Result<impl IntoResponse, Fault> {
    let stamp = visitor.stamp();
    let way = match sent.way {
        Way::First => knockon_desk::Way::First,
        Way::Instead => knockon_desk::Way::Instead,
    };
    let published = app.desk(move |desk| desk.publish(id, way, &stamp)).await?;
    let place = format!("/s/{}/{}", published.code, published.revision);
    Ok((StatusCode::CREATED, [(LOCATION, place)], Json(Sheet::from(published))))
}
