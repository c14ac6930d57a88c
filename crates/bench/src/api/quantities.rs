//! Quantities explained.

use knockon_engine::quantity::Quantity;
use knockon_trade::findings::unit;
use knockon_trade::problem::nearest;
use knockon_trade::tables::{self, QuantityText};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::{At, Json};
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(list_quantities)).routes(routes!(quantity))
}

/// Every quantity that can be a knock-on.
#[derive(ToSchema, Serialize)]
struct QuantityList {
    quantities: Vec<Explained>,
}

/// A quantity explained.
#[derive(ToSchema, Serialize)]
#[schema(as = Quantity)]
struct Explained {
    /// Its name, as in an answer's `knock_ons`.
    id: &'static str,
    /// Its name in a table.
    label: &'static str,
    /// What it is.
    definition: &'static str,
    /// How it is computed.
    formula: &'static str,
    /// Convention followed where the trade has more than one.
    convention: &'static str,
    /// How to measure it.
    measure: &'static str,
    /// Unit of `notice` and of its figures in an answer.
    unit: &'static str,
    /// Step that a rider notices.
    notice: f64,
    /// Source of that step.
    notice_source: &'static str,
    /// Source of definition and formula.
    source: &'static str,
}

/// List and explain every quantity
#[utoipa::path(get, path = "/quantities", tag = "quantities",
    responses((status = 200, description = "Every quantity.", body = QuantityList)))]
async fn list_quantities(_: Visitor) -> Json<QuantityList> {
    Json(QuantityList { quantities: Quantity::ALL.iter().map(|quantity| explained(*quantity)).collect() })
}

/// Explain a quantity
#[utoipa::path(get, path = "/quantities/{id}", tag = "quantities",
    params(("id" = String, Path, description = "Name of the quantity, such as `wheel_flop`.")),
    responses((status = 200, description = "Definition, formula, convention, source, how to measure.", body = Explained)))]
async fn quantity(_: Visitor, At(id): At<String>) -> Result<Json<Explained>, Fault> {
    match Quantity::ALL.iter().find(|quantity| quantity.id() == id) {
        Some(quantity) => Ok(Json(explained(*quantity))),
        None => {
            let near = nearest(&id, Quantity::ALL.iter().map(|quantity| quantity.id()));
            Err(Fault::not_found("such quantity").with_help(near.map_or_else(
                || "GET /api/v1/quantities lists every quantity.".to_owned(),
                |near| format!("Did you mean {near}?"),
            )))
        }
    }
}

fn explained(quantity: Quantity) -> Explained {
    let text: &'static QuantityText = tables::quantity(quantity);
    Explained {
        id: &text.id,
        label: &text.label,
        definition: &text.definition,
        formula: &text.formula,
        convention: &text.convention,
        measure: &text.measure,
        unit: unit(quantity.dimension()),
        notice: text.notice,
        notice_source: &text.notice_source,
        source: &text.source,
    }
}
