//! Inspections by protocol: judged without being kept, or kept with a question.

use std::collections::BTreeMap;

use axum::extract::State as Reach;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::IntoResponse;
use knockon_desk::{Inspection, InspectionId, QuestionId};
use knockon_sheet::inspection::{Heading, compose};
use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::script::suggestion;
use knockon_trade::inspection::{Given, Inspected, Observation, Protocol, given, protocol, protocols};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::answer::Judgement;
use super::extract::{At, Json};
use super::problem::Problem;
use super::time::written;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(list_protocols))
        .routes(routes!(judge))
        .routes(routes!(list_inspections, add_inspection))
        .routes(routes!(inspection))
}

/// Every protocol.
#[derive(ToSchema, Serialize)]
struct ProtocolList {
    protocols: Vec<ProtocolRow>,
}

/// A protocol with what it asks.
#[derive(ToSchema, Serialize)]
#[schema(as = Protocol)]
struct ProtocolRow {
    /// Its name in requests.
    protocol: &'static str,
    /// Grows when a step, an answer or a grade changes.
    edition: u32,
    title: &'static str,
    /// Heading under which it is listed.
    area: &'static str,
    about: &'static str,
    steps: Vec<StepRow>,
}

/// One question of a protocol.
#[derive(ToSchema, Serialize)]
#[schema(as = ProtocolStep)]
struct StepRow {
    /// Its name in requests.
    step: &'static str,
    ask: &'static str,
    /// True for a number with a unit, which may carry a ±.
    number: bool,
    /// Unit of a bare number; empty where none is asked for.
    unit: &'static str,
    /// Names of its answers; `cannot-tell` is one of every step's. A number and a photo have none.
    answers: Vec<&'static str>,
}

fn described(protocol: &'static Protocol) -> ProtocolRow {
    let steps = protocol.steps.iter().map(|step| StepRow {
        step: &step.id,
        ask: &step.ask,
        number: step.kind == Kind::Number,
        unit: given::unit(step),
        answers: match step.kind {
            Kind::Number => Vec::new(),
            _ => step.answers.iter().map(|answer| answer.id.as_str()).collect(),
        },
    });
    ProtocolRow {
        protocol: &protocol.id,
        edition: protocol.edition,
        title: &protocol.title,
        area: &protocol.area,
        about: &protocol.about,
        steps: steps.collect(),
    }
}

/// List the protocols of inspection
#[utoipa::path(get, path = "/protocols", tag = "inspections",
    responses((status = 200, description = "Every protocol with its questions.", body = ProtocolList)))]
async fn list_protocols(_: Visitor) -> Json<ProtocolList> {
    Json(ProtocolList { protocols: protocols().iter().map(described).collect() })
}

/// What somebody found by a protocol.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
#[schema(as = NewInspection)]
struct Found {
    /// Name of the protocol.
    #[schema(example = "rotor")]
    protocol: String,
    /// The part, in words.
    #[serde(default)]
    part: String,
    /// Answers by the names of their steps. A step that is not named counts as one that nobody could tell.
    answers: BTreeMap<String, FoundAnswer>,
}

/// One answer.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
#[schema(as = NewAnswer)]
struct FoundAnswer {
    /// Name of the answer, a number with unit and ±, `taken` for a photo, or `cannot-tell`.
    #[schema(example = "1.62 mm ± 0.02")]
    answer: String,
    /// What was written down.
    #[serde(default)]
    note: String,
}

impl Found {
    #[allow(clippy::result_large_err)] // a fault is rare, and is sent whole
    fn inspected(self) -> Result<Inspected, Fault> {
        let Some(protocol) = protocol(&self.protocol) else {
            let help = suggestion(&self.protocol);
            return Err(Fault::not_usable(format!("There is no protocol “{}”.", self.protocol), help));
        };
        let read = |(step, sent): (String, FoundAnswer)| {
            let known = protocol.step(&step).ok_or_else(|| {
                Fault::not_usable(
                    format!("This protocol has no step “{step}”."),
                    "`/api/v1/protocols` lists them.",
                )
            })?;
            let given = Given::read(known, &sent.answer)
                .map_err(|fault| Fault::not_usable(format!("Step “{step}”: {}.", fault.why), fault.help))?;
            Ok(Observation { step, given, note: sent.note })
        };
        let observations = self.answers.into_iter().map(read).collect::<Result<_, Fault>>()?;
        Ok(Inspected::new(protocol, &self.part, observations))
    }
}

/// Judge what somebody found, without keeping it
///
/// The same object as `knockon inspect PROTOCOL --answers FILE --json` prints.
#[utoipa::path(post, path = "/judgements", tag = "inspections", request_body = Found,
    responses((status = 200, description = "What the protocol says.", body = Judgement),
        (status = 422, description = "A name or a number cannot be used.", body = Problem, content_type = "application/problem+json")))]
async fn judge(_: Visitor, Json(sent): Json<Found>) -> Result<Judgement, Fault> {
    let inspected = sent.inspected()?;
    Ok(Judgement::of(&compose(&inspected, &inspected.judgement()), &Heading::default()))
}

/// An inspection in a list.
#[derive(ToSchema, Serialize)]
#[schema(as = Inspection)]
struct Row {
    #[schema(value_type = i64)]
    id: InspectionId,
    protocol: String,
    part: String,
    /// The worst grade that is still possible; null for a protocol that this program does not have.
    #[schema(required = true)]
    grade: Option<&'static str>,
    /// False while a question that matters has no answer.
    finished: bool,
    /// Who closed it, and when; empty while nobody did.
    signed: String,
    /// When it was touched last.
    #[schema(format = DateTime)]
    at: String,
    /// By whom.
    by: String,
}

impl From<Inspection> for Row {
    fn from(kept: Inspection) -> Self {
        let inspected = kept.inspected();
        let judgement = inspected.as_ref().map(Inspected::judgement);
        Row {
            id: kept.id,
            protocol: kept.protocol,
            part: kept.part,
            grade: judgement.as_ref().map(|judgement| judgement.grade.key()),
            finished: judgement.is_some_and(|judgement| judgement.is_finished()),
            signed: inspected.map(|inspected| inspected.signed).unwrap_or_default(),
            at: written(kept.stamp.at),
            by: kept.stamp.who,
        }
    }
}

/// The inspections of a question.
#[derive(ToSchema, Serialize)]
struct InspectionList {
    inspections: Vec<Row>,
}

/// List the inspections of a question
#[utoipa::path(get, path = "/questions/{id}/inspections", tag = "inspections",
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "Its inspections.", body = InspectionList)))]
async fn list_inspections(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
) -> Result<Json<InspectionList>, Fault> {
    let all = app
        .desk(move |desk| {
            desk.question(id)?;
            desk.inspections(id)
        })
        .await?;
    Ok(Json(InspectionList { inspections: all.into_iter().map(Row::from).collect() }))
}

/// Keep an inspection with a question
#[utoipa::path(post, path = "/questions/{id}/inspections", tag = "inspections", request_body = Found,
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 201, description = "The inspection, as it is kept.", body = Row,
            headers(("Location" = String, description = "Where it is."))),
        (status = 422, description = "A name or a number cannot be used; nothing was kept.", body = Problem, content_type = "application/problem+json")))]
async fn add_inspection(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Json(sent): Json<Found>,
) -> Result<impl IntoResponse, Fault> {
    let inspected = sent.inspected()?;
    let kept = app.desk(move |desk| desk.keep_inspection(id, &inspected, &visitor.stamp())).await?;
    let location = format!("/api/v1/inspections/{}", kept.id);
    Ok((StatusCode::CREATED, [(LOCATION, location)], Json(Row::from(kept))))
}

/// Read an inspection with what its protocol says
#[utoipa::path(get, path = "/inspections/{id}", tag = "inspections",
    params(("id" = i64, Path, description = "Number of the inspection.")),
    responses((status = 200, description = "What the protocol says.", body = Judgement)))]
async fn inspection(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<InspectionId>,
) -> Result<Judgement, Fault> {
    let (part, about) = app.desk(move |desk| desk.inspection_sheet(id)).await?;
    Ok(Judgement::of(&part, &about))
}
