//! Whether the bench is well.

use axum::extract::State as Reach;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::Json;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(health))
}

/// The bench is well.
#[derive(ToSchema, Serialize)]
struct Health {
    /// Version of the program.
    version: &'static str,
    /// Name of the workshop.
    workshop: String,
    /// Who is asking.
    visitor: String,
}

/// Ask whether the bench is well
///
/// It is when this answers: the workshop's file was read for it.
#[utoipa::path(get, path = "/health", tag = "health",
    responses((status = 200, description = "It is well.", body = Health)))]
async fn health(visitor: Visitor, Reach(app): Reach<App>) -> Result<Json<Health>, Fault> {
    let settings = app.desk(knockon_desk::Desk::settings).await?;
    Ok(Json(Health {
        version: env!("CARGO_PKG_VERSION"),
        workshop: settings.workshop,
        visitor: visitor.name,
    }))
}
