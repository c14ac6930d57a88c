//! Bikes: their records and the history of these.

use axum::extract::State as Reach;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::IntoResponse;
use knockon_desk::{BikeId, BikeVersion};
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
        .routes(routes!(list_bikes, add_bike))
        .routes(routes!(bike, save_bike))
        .routes(routes!(bike_history))
        .routes(routes!(bike_version))
        .routes(routes!(restore_bike))
}

/// A bike as a list shows it.
#[derive(ToSchema, Serialize)]
struct BikeRow {
    #[schema(value_type = i64)]
    id: BikeId,
    /// Name and size.
    title: String,
    /// Kind of bike; null when the record does not say.
    #[schema(required = true)]
    kind: Option<String>,
    /// Number of the newest version.
    version: u32,
    /// How many questions are about it.
    questions: u32,
    /// When it was saved last.
    #[schema(format = DateTime)]
    at: String,
    /// Who saved it last.
    by: String,
}

/// One page of a list of bikes.
#[derive(ToSchema, Serialize)]
struct BikeList {
    bikes: Vec<BikeRow>,
    /// Whether there are more behind these.
    more: bool,
}

/// List bikes
#[utoipa::path(get, path = "/bikes", tag = "bikes", params(Listed),
    responses((status = 200, description = "One page of the list.", body = BikeList)))]
async fn list_bikes(
    _: Visitor,
    Reach(app): Reach<App>,
    Query(wanted): Query<Listed>,
) -> Result<Json<BikeList>, Fault> {
    let (offset, limit) = page(wanted.offset, wanted.limit)?;
    let words = wanted.words.unwrap_or_default();
    let (rows, more) = cut(app.desk(move |desk| desk.bikes(&words, offset, limit + 1)).await?, limit);
    let bikes = rows.into_iter().map(|row| BikeRow {
        id: row.id,
        title: row.title,
        kind: row.kind,
        version: row.version,
        questions: row.questions,
        at: written(row.stamp.at),
        by: row.stamp.who,
    });
    Ok(Json(BikeList { bikes: bikes.collect(), more }))
}

/// One version of a bike's record.
#[derive(ToSchema, Serialize)]
struct Bike {
    #[schema(value_type = i64)]
    id: BikeId,
    /// Number of the version.
    version: u32,
    /// Name and size.
    title: String,
    /// The record: TOML.
    record: String,
    /// Why it was saved.
    why: String,
    /// When it was saved.
    #[schema(format = DateTime)]
    at: String,
    /// Who saved it.
    by: String,
}

impl From<BikeVersion> for Bike {
    fn from(version: BikeVersion) -> Self {
        Bike {
            id: version.bike,
            version: version.number,
            title: title(&version),
            record: version.text,
            why: version.why,
            at: written(version.stamp.at),
            by: version.stamp.who,
        }
    }
}

/// Name and size. A record that was saved under older rules and cannot be read any more is shown all the same.
fn title(version: &BikeVersion) -> String {
    version.record().map_or_else(|_| format!("Bike {}", version.bike), |record| record.title())
}

/// A new bike.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct BikeToAdd {
    /// The record: TOML.
    record: String,
    /// Where the figures come from.
    #[serde(default)]
    why: String,
}

/// Add a bike
#[utoipa::path(post, path = "/bikes", tag = "bikes", request_body = BikeToAdd,
    responses((status = 201, description = "It is kept.", body = Bike,
        headers(("Location" = String, description = "Its address."))),
        (status = 422, description = "The record has faults; `problems` names each.", body = Problem, content_type = "application/problem+json")))]
async fn add_bike(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    Json(new): Json<BikeToAdd>,
) -> Result<impl IntoResponse, Fault> {
    let stamp = visitor.stamp();
    let bike = app.desk(move |desk| desk.bike(desk.add_bike(&new.record, &new.why, &stamp)?)).await?;
    let place = format!("/api/v1/bikes/{}", bike.bike);
    Ok((StatusCode::CREATED, [(LOCATION, place)], Json(Bike::from(bike))))
}

/// Read a bike's newest version
#[utoipa::path(get, path = "/bikes/{id}", tag = "bikes",
    params(("id" = i64, Path, description = "Number of the bike.")),
    responses((status = 200, description = "The newest version of its record.", body = Bike)))]
async fn bike(_: Visitor, Reach(app): Reach<App>, At(id): At<BikeId>) -> Result<Json<Bike>, Fault> {
    Ok(Json(app.desk(move |desk| desk.bike(id)).await?.into()))
}

/// A record as it shall be.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct BikeToSave {
    /// The record: TOML.
    record: String,
    /// Why it changed.
    #[serde(default)]
    why: String,
    /// The version that was edited. When it is not the newest any more, nothing is saved.
    version: u32,
}

/// Save a bike's record as a new version
///
/// The same text saves nothing.
#[utoipa::path(put, path = "/bikes/{id}", tag = "bikes", request_body = BikeToSave,
    params(("id" = i64, Path, description = "Number of the bike.")),
    responses((status = 200, description = "The newest version.", body = Bike),
        (status = 409, description = "Somebody saved a newer version.", body = Problem, content_type = "application/problem+json"),
        (status = 422, description = "The record has faults; `problems` names each.", body = Problem, content_type = "application/problem+json")))]
async fn save_bike(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<BikeId>,
    Json(save): Json<BikeToSave>,
) -> Result<Json<Bike>, Fault> {
    let stamp = visitor.stamp();
    let bike = app.desk(move |desk| {
        desk.save_bike(id, &save.record, &save.why, save.version, &stamp)?;
        desk.bike(id)
    });
    Ok(Json(bike.await?.into()))
}

/// All versions of a bike's record, the newest first.
#[derive(ToSchema, Serialize)]
struct BikeHistory {
    versions: Vec<Bike>,
}

/// List all versions of a bike's record
#[utoipa::path(get, path = "/bikes/{id}/history", tag = "bikes",
    params(("id" = i64, Path, description = "Number of the bike.")),
    responses((status = 200, description = "The newest comes first.", body = BikeHistory)))]
async fn bike_history(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<BikeId>,
) -> Result<Json<BikeHistory>, Fault> {
    let versions = app.desk(move |desk| desk.bike_history(id)).await?;
    Ok(Json(BikeHistory { versions: versions.into_iter().map(Into::into).collect() }))
}

/// Read one version of a bike's record
#[utoipa::path(get, path = "/bikes/{id}/versions/{version}", tag = "bikes",
    params(("id" = i64, Path, description = "Number of the bike."),
        ("version" = u32, Path, description = "Number of the version.")),
    responses((status = 200, description = "That version.", body = Bike)))]
async fn bike_version(
    _: Visitor,
    Reach(app): Reach<App>,
    At((id, version)): At<(BikeId, u32)>,
) -> Result<Json<Bike>, Fault> {
    Ok(Json(app.desk(move |desk| desk.bike_version(id, version)).await?.into()))
}

/// Which version to bring back.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct VersionToRestore {
    /// Number of the version.
    version: u32,
}

/// Bring back an older version
///
/// Its text becomes the newest version; nothing of the history is lost.
#[utoipa::path(post, path = "/bikes/{id}/restore", tag = "bikes", request_body = VersionToRestore,
    params(("id" = i64, Path, description = "Number of the bike.")),
    responses((status = 200, description = "The newest version.", body = Bike)))]
async fn restore_bike(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<BikeId>,
    Json(restore): Json<VersionToRestore>,
) -> Result<Json<Bike>, Fault> {
    let stamp = visitor.stamp();
    let bike = app.desk(move |desk| {
        desk.restore_bike(id, restore.version, &stamp)?;
        desk.bike(id)
    });
    Ok(Json(bike.await?.into()))
}
