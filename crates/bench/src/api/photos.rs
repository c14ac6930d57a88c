//! Photos of a question.

use axum::extract::State as Reach;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_TYPE, LOCATION};
use axum::response::IntoResponse;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use knockon_desk::{PhotoId, QuestionId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::{At, Json};
use super::problem::Problem;
use super::time::written;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(list_photos, add_photo)).routes(routes!(photo, remove_photo))
}

/// A photo without its picture, which lies at `/api/v1/photos/{id}`.
#[derive(ToSchema, Serialize)]
struct Photo {
    #[schema(value_type = i64)]
    id: PhotoId,
    caption: String,
    /// Pixels.
    width: u32,
    /// Pixels.
    height: u32,
    /// Size of the picture as it is kept.
    bytes: u64,
    /// When it was added.
    #[schema(format = DateTime)]
    at: String,
    /// Who added it.
    by: String,
}

impl From<knockon_desk::PhotoRow> for Photo {
    fn from(row: knockon_desk::PhotoRow) -> Self {
        Photo {
            id: row.id,
            caption: row.caption,
            width: row.width,
            height: row.height,
            bytes: row.bytes,
            at: written(row.stamp.at),
            by: row.stamp.who,
        }
    }
}

/// The photos of a question.
#[derive(ToSchema, Serialize)]
struct PhotoList {
    photos: Vec<Photo>,
}

/// List the photos of a question
#[utoipa::path(get, path = "/questions/{id}/photos", tag = "photos",
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "Its photos.", body = PhotoList)))]
async fn list_photos(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
) -> Result<Json<PhotoList>, Fault> {
    let photos = app.desk(move |desk| desk.photos(id)).await?;
    Ok(Json(PhotoList { photos: photos.into_iter().map(Into::into).collect() }))
}

/// A photo to keep.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct PhotoToAdd {
    #[serde(default)]
    caption: String,
    /// The picture in base64: JPEG, PNG or WebP.
    #[schema(content_encoding = "base64")]
    picture: String,
}

/// Add a photo
///
/// It is turned upright and encoded anew, so that nothing of its metadata is kept.
#[utoipa::path(post, path = "/questions/{id}/photos", tag = "photos", request_body = PhotoToAdd,
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 201, description = "It is kept.", body = Photo,
        headers(("Location" = String, description = "Address of the picture."))),
        (status = 422, description = "Not a picture, or too large a one.", body = Problem, content_type = "application/problem+json")))]
async fn add_photo(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(question): At<QuestionId>,
    Json(new): Json<PhotoToAdd>,
) -> Result<impl IntoResponse, Fault> {
    let picture = STANDARD.decode(new.picture.trim()).map_err(|error| {
        Fault::not_usable(
            format!("`picture` is not base64: {error}."),
            "Send the file's bytes in base64, with + and /, padded with =.",
        )
    })?;
    let stamp = visitor.stamp();
    let photo = app.desk(move |desk| {
        let id = desk.add_photo(question, &picture, &new.caption, &stamp)?;
        Ok(desk.photos(question)?.into_iter().find(|photo| photo.id == id))
    });
    let photo = photo.await?.ok_or_else(|| Fault::not_found("photo any more"))?;
    let place = format!("/api/v1/photos/{}", photo.id);
    Ok((StatusCode::CREATED, [(LOCATION, place)], Json(Photo::from(photo))))
}

/// Read a picture
#[utoipa::path(get, path = "/photos/{id}", tag = "photos",
    params(("id" = i64, Path, description = "Number of the photo.")),
    responses((status = 200, description = "The picture.", content_type = "image/jpeg")))]
async fn photo(_: Visitor, Reach(app): Reach<App>, At(id): At<PhotoId>) -> Result<impl IntoResponse, Fault> {
    let (kind, bytes) = app.desk(move |desk| desk.photo(id)).await?;
    Ok(([(CONTENT_TYPE, kind)], bytes))
}

/// Remove a photo
///
/// Send the header `Content-Type: application/json` and no body.
#[utoipa::path(delete, path = "/photos/{id}", tag = "photos",
    params(("id" = i64, Path, description = "Number of the photo.")),
    responses((status = 204, description = "It is gone.")))]
async fn remove_photo(_: Writer, Reach(app): Reach<App>, At(id): At<PhotoId>) -> Result<StatusCode, Fault> {
    app.desk(move |desk| desk.remove_photo(id)).await?;
    Ok(StatusCode::NO_CONTENT)
}
