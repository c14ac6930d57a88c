//! Answers: the one object that the command line prints too.

use axum::extract::State as Reach;
use knockon_desk::{BikeId, Desk, DeskError, LONGEST_RECORD, QuestionId};
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{self, Record};
use knockon_trade::workings::braking::Way as Down;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::answer::Answer;
use super::extract::{At, Json, Query};
use super::problem::Problem;
use super::sheets::Way;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(answer)).routes(routes!(answer_of_question))
}

/// A question that is answered and not kept. It names a bike of the workshop or brings a record.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct WhatIf {
    /// A bike of the workshop: the newest version of its record, with the workshop's settings.
    #[schema(value_type = Option<i64>)]
    bike: Option<BikeId>,
    /// A bike record: TOML. It is answered as the command line does, whatever the workshop's settings are.
    record: Option<String>,
    /// The changes, one in each text; the first is revision A.
    #[schema(example = json!(["spacers below by -15", "bar rise 40"]), max_items = 1000)]
    changes: Vec<String>,
    /// The question in words.
    #[serde(default)]
    asked: String,
    /// Whether gears, chain, brakes and wheels are worked out in depth whatever the changes touch.
    #[serde(default)]
    in_depth: bool,
    /// The way down that the brakes are worked out for; the usual one without it.
    way: Option<WayDown>,
}

/// A way down.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct WayDown {
    /// Gradient, percent.
    gradient: f64,
    /// Length, km.
    length: f64,
    /// Speed that the brakes hold, km/h.
    speed: f64,
    /// Part of the braking that the front brake does, percent.
    front_share: f64,
    /// Air, °C.
    air: f64,
}

impl WayDown {
    fn way(&self) -> Result<Down, DeskError> {
        let WayDown { gradient, length, speed, front_share, air } = *self;
        let way = Down { gradient, length, speed, front_share, air };
        match way.fault() {
            None => Ok(way),
            Some(why) => Err(DeskError::Refused { why, help: "tell a way that can be ridden".to_owned() }),
        }
    }
}

/// Answer a question without keeping it
///
/// The same object as `knockon what-if RECORD CHANGE… --json` prints, with the same digits.
#[utoipa::path(post, path = "/answers", tag = "answers", request_body = WhatIf,
    responses((status = 200, description = "The answer.", body = Answer),
        (status = 422, description = "Record or changes have faults; `problems` names each.", body = Problem, content_type = "application/problem+json")))]
async fn answer(_: Visitor, Reach(app): Reach<App>, Json(sent): Json<WhatIf>) -> Result<Answer, Fault> {
    let which = which(sent.bike, sent.record)?;
    app.desk(move |desk| {
        let record = which.record(desk)?;
        let changes = read_changes(&sent.changes).map_err(DeskError::Changes)?.changes;
        let way = sent.way.as_ref().map_or(Ok(Down::usual()), WayDown::way)?;
        let question = Question { asked: sent.asked, record, changes, inspections: Vec::new() };
        if sent.in_depth { Answer::in_depth(question, &way) } else { Answer::to(question) }
    })
    .await
}

pub(super) enum Which {
    Bike(BikeId),
    Record(String),
}

impl Which {
    /// Its record; of a bike of the workshop as on the page of a question about it.
    pub(super) fn record(self, desk: &Desk) -> Result<Record, DeskError> {
        match self {
            Which::Bike(bike) => Ok(desk.bike(bike)?.record()?.with_tolerances(&desk.settings()?.tolerances)),
            Which::Record(text) => Ok(record::parse("record", &text).map_err(DeskError::Record)?.record),
        }
    }
}

#[allow(clippy::result_large_err)] // a fault is rare, and is sent whole
pub(super) fn which(bike: Option<BikeId>, record: Option<String>) -> Result<Which, Fault> {
    match (bike, record) {
        (Some(bike), None) => Ok(Which::Bike(bike)),
        (None, Some(record)) if record.len() > LONGEST_RECORD => Err(Fault::not_usable(
            format!("The record has {} bytes, at most {LONGEST_RECORD} are read.", record.len()),
            "Shorten its notes.",
        )),
        (None, Some(record)) => Ok(Which::Record(record)),
        _ => Err(Fault::not_usable(
            "An answer is about one bike: `bike` or `record` must be given, and not both.",
            "Give the number of a bike of the workshop as `bike`, or the text of a record as `record`.",
        )),
    }
}

/// Which answer to a question.
#[derive(IntoParams, Deserialize)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct WhichAnswer {
    /// Which way of the draft: the first unless it is said.
    #[param(inline)]
    way: Option<Way>,
    /// Other changes than those of the draft, one a line.
    changes: Option<String>,
}

/// Answer a question that is kept
///
/// Nothing is published or saved. The workshop's settings apply.
#[utoipa::path(get, path = "/questions/{id}/answer", tag = "answers",
    params(("id" = i64, Path, description = "Number of the question."), WhichAnswer),
    responses((status = 200, description = "The answer.", body = Answer),
        (status = 422, description = "The draft cannot be answered; `problems` says why.", body = Problem, content_type = "application/problem+json")))]
async fn answer_of_question(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Query(which): Query<WhichAnswer>,
) -> Result<Answer, Fault> {
    app.desk(move |desk| {
        let changes = match which.changes {
            Some(changes) => changes,
            None => drafted(desk.question(id)?.draft, which.way.unwrap_or_default())?,
        };
        Ok(Answer::of(&desk.answer_of(id, &changes)?.findings))
    })
    .await
}

/// The changes of one way of a draft.
fn drafted(draft: knockon_desk::Draft, way: Way) -> Result<String, DeskError> {
    match way {
        Way::First => Ok(draft.changes),
        Way::Instead => draft.instead.ok_or_else(|| DeskError::Refused {
            why: "the draft has no second way".to_owned(),
            help: "ask for the first one, or save a draft with `instead`".to_owned(),
        }),
    }
}
