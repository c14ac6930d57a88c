//! Settings of the workshop.

use std::collections::BTreeMap;

use axum::extract::State as Reach;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::Json;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(settings, save_settings))
}

/// Settings of the workshop.
#[derive(ToSchema, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    /// Name of the workshop, for title blocks.
    workshop: String,
    /// Who draws, where there are no accounts.
    drawn_by: String,
    length: LengthUnit,
    label_language: Language,
    /// What the workshop's measuring tools are worth, ± two standard uncertainties in mm, degrees, kg or bar, by the
    /// tool's name. Only those that differ from the usual.
    tolerances: BTreeMap<String, f64>,
}

/// Unit in which pages show lengths.
#[derive(ToSchema, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum LengthUnit {
    Mm,
    Inch,
}

/// Language of the labels of units and measures.
#[derive(ToSchema, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[schema(as = LabelLanguage)]
enum Language {
    English,
    German,
    French,
    Italian,
    Spanish,
}

impl From<knockon_desk::Settings> for Settings {
    fn from(settings: knockon_desk::Settings) -> Self {
        Settings {
            workshop: settings.workshop,
            drawn_by: settings.drawn_by,
            length: match settings.length {
                knockon_desk::LengthUnit::Mm => LengthUnit::Mm,
                knockon_desk::LengthUnit::Inch => LengthUnit::Inch,
            },
            label_language: match settings.label_language {
                knockon_desk::Language::English => Language::English,
                knockon_desk::Language::German => Language::German,
                knockon_desk::Language::French => Language::French,
                knockon_desk::Language::Italian => Language::Italian,
                knockon_desk::Language::Spanish => Language::Spanish,
            },
            tolerances: settings.tolerances,
        }
    }
}

impl From<Settings> for knockon_desk::Settings {
    fn from(settings: Settings) -> Self {
        knockon_desk::Settings {
            workshop: settings.workshop,
            drawn_by: settings.drawn_by,
            length: match settings.length {
                LengthUnit::Mm => knockon_desk::LengthUnit::Mm,
                LengthUnit::Inch => knockon_desk::LengthUnit::Inch,
            },
            label_language: match settings.label_language {
                Language::English => knockon_desk::Language::English,
                Language::German => knockon_desk::Language::German,
                Language::French => knockon_desk::Language::French,
                Language::Italian => knockon_desk::Language::Italian,
                Language::Spanish => knockon_desk::Language::Spanish,
            },
            tolerances: settings.tolerances,
        }
    }
}

/// Read the settings
#[utoipa::path(get, path = "/settings", tag = "settings",
    responses((status = 200, description = "The settings.", body = Settings)))]
async fn settings(_: Visitor, Reach(app): Reach<App>) -> Result<Json<Settings>, Fault> {
    Ok(Json(app.desk(knockon_desk::Desk::settings).await?.into()))
}

/// Save the settings
#[utoipa::path(put, path = "/settings", tag = "settings", request_body = Settings,
    responses((status = 200, description = "They are saved.", body = Settings)))]
async fn save_settings(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    Json(settings): Json<Settings>,
) -> Result<Json<Settings>, Fault> {
    let stamp = visitor.stamp();
    let settings = settings.into();
    let saved = app.desk(move |desk| {
        desk.save_settings(&settings, &stamp)?;
        desk.settings()
    });
    Ok(Json(saved.await?.into()))
}
