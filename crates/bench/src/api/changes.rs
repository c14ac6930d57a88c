//! The change language, from the table that its parser reads.

use knockon_trade::tables::{self, Property};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::Json;
use crate::app::App;
use crate::visitor::Visitor;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(list_changes))
}

/// Everything that a change can name.
#[derive(ToSchema, Serialize)]
struct ChangeLanguage {
    changes: Vec<Changeable>,
}

/// A part and property that a change can name.
#[derive(ToSchema, Serialize)]
struct Changeable {
    /// How a change names it.
    phrase: String,
    /// Other phrases for the same.
    also: Vec<String>,
    /// Its name in a table.
    label: String,
    /// Unit that a number without one is in; empty for a plain number, null for a tyre's size and a chip's place.
    #[schema(required = true)]
    unit: Option<String>,
    #[schema(required = true)]
    usual: Option<Range>,
    #[schema(required = true)]
    possible: Option<Range>,
    /// A whole change.
    example: String,
}

/// Least and most of a value: outside of the usual range a change is warned about, outside of the possible refused.
#[derive(ToSchema, Serialize)]
#[schema(as = ValueRange)]
struct Range {
    least: f64,
    most: f64,
}

/// List what a change can name
#[utoipa::path(get, path = "/changes", tag = "changes",
    responses((status = 200, description = "Every part and property, with unit, range and an example.", body = ChangeLanguage)))]
async fn list_changes(_: Visitor) -> Json<ChangeLanguage> {
    let numbers = tables::properties().iter().filter(|property| !property.say.is_empty()).map(number);
    let tyres = ["front", "rear"].into_iter().map(tyre);
    let own = [
        own_names("chip", "Chip", None, "chip low"),
        own_names(
            "point … forward",
            "Point main pivot, forward",
            Some("mm"),
            "point main pivot forward by 5",
        ),
        own_names("point … up", "Point main pivot, up", Some("mm"), "point main pivot up by 5"),
        own_names("idler off", "Idler", None, "idler off"),
    ];
    Json(ChangeLanguage { changes: numbers.chain(tyres).chain(own).collect() })
}

/// What speaks of a record's own names.
fn own_names(phrase: &str, label: &str, unit: Option<&str>, example: &str) -> Changeable {
    Changeable {
        phrase: phrase.to_owned(),
        also: Vec::new(),
        label: label.to_owned(),
        unit: unit.map(str::to_owned),
        usual: None,
        possible: None,
        example: example.to_owned(),
    }
}

fn number(property: &Property) -> Changeable {
    let range = |[least, most]: [f64; 2]| Some(Range { least, most });
    Changeable {
        phrase: property.say[0].clone(),
        also: property.say[1..].to_vec(),
        label: property.label.clone(),
        unit: Some(property.dimension.edge_unit().to_owned()),
        usual: range(property.usual),
        possible: range(property.possible),
        example: format!("{} {}", property.say[0], property.example),
    }
}

fn tyre(wheel: &str) -> Changeable {
    let phrase = format!("{wheel} tyre");
    Changeable {
        example: format!("{phrase} 64-622"),
        label: if wheel == "front" { "Front tyre" } else { "Rear tyre" }.to_owned(),
        phrase,
        also: Vec::new(),
        unit: None,
        usual: None,
        possible: None,
    }
}
