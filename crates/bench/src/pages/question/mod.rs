//! The page of one question, which a technician works on all day.
//!
//! In reading order: `state` is what an address carries; `draft` is what a form does to the lines; `changes` reads
//! the lines and shows them as rows, each with its steel `rule`; `working` answers them; `live` shows the parts that
//! follow the changes, `compare` two ways side by side, `travel` the rear suspension, `depth` gears and brakes, `missing` what to ask the rider;
//! `show` is the whole page, `edit` what is known about the question, `inspections` what was looked at by protocol, `photos` and `sheet` the rest of it.
//!
//! Everything works by plain forms. The script only asks `live` for the same parts and swaps them in.

mod changes;
mod compare;
mod depth;
mod draft;
mod edit;
mod inspections;
mod live;
mod missing;
mod photos;
pub(super) mod rule;
mod sheet;
mod show;
mod state;
mod travel;
mod working;

pub use photos::sent as sent_photo;

use axum::Router;
use axum::extract::{Path, RawQuery, State};
use axum::response::Response;
use axum::routing::{get, post};
use knockon_desk::{Format, QuestionId};

use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

/// Everything under one question.
pub fn routes() -> Router<App> {
    let mut routes = Router::new()
        .route("/questions/{id}", get(show::show))
        .route("/questions/{id}/live", get(live::live))
        .route("/questions/{id}/draft", post(draft::save))
        .route("/questions/{id}/undo", post(draft::undo))
        .route("/questions/{id}/redo", post(draft::redo))
        .route("/questions/{id}/edit", post(edit::save))
        .route("/questions/{id}/photos", post(photos::add))
        .route("/photos/{id}", get(photos::photo))
        .route("/photos/{id}/remove", post(photos::remove))
        .route("/questions/{id}/sheet", get(sheet::preview))
        .route("/questions/{id}/publish", post(sheet::publish));
    for format in Format::ALL {
        let download =
            move |State(app): State<App>,
                  _: Visitor,
                  Path(id): Path<QuestionId>,
                  RawQuery(query): RawQuery| { one_format(app, id, format, query) };
        routes = routes.route(&format!("/questions/{{id}}/sheet.{}", format.extension()), get(download));
    }
    routes
}

async fn one_format(
    app: App,
    id: QuestionId,
    format: Format,
    query: Option<String>,
) -> Result<Response, Fault> {
    sheet::download(app, id, format, query).await
}
