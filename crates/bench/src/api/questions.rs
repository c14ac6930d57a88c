//! Questions: what came in.

use axum::extract::State as Reach;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::IntoResponse;
use knockon_desk::{BikeId, DeskError, Filter, NewQuestion, QuestionEdit, QuestionId};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::draft::Draft;
use super::extract::{At, Json, Query, page};
use super::problem::Problem;
use super::time::written;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(list_questions, ask))
        .routes(routes!(question, edit_question))
        .routes(routes!(alike))
        .routes(routes!(alike_text))
        .routes(routes!(counts))
}

/// What has become of a question.
#[derive(ToSchema, Serialize, Deserialize, Clone, Copy, Debug)]
#[serde(rename_all = "kebab-case")]
#[schema(as = QuestionState)]
pub(super) enum State {
    /// Nobody has looked at it.
    New,
    /// It waits for the rider.
    Waiting,
    /// It is answered.
    Answered,
    /// It is set aside.
    SetAside,
}

impl From<knockon_desk::State> for State {
    fn from(state: knockon_desk::State) -> Self {
        match state {
            knockon_desk::State::New => State::New,
            knockon_desk::State::Waiting => State::Waiting,
            knockon_desk::State::Answered => State::Answered,
            knockon_desk::State::SetAside => State::SetAside,
        }
    }
}

impl From<State> for knockon_desk::State {
    fn from(state: State) -> Self {
        match state {
            State::New => knockon_desk::State::New,
            State::Waiting => knockon_desk::State::Waiting,
            State::Answered => knockon_desk::State::Answered,
            State::SetAside => knockon_desk::State::SetAside,
        }
    }
}

/// A question with the newest draft of its answer.
#[derive(ToSchema, Serialize)]
pub(super) struct Question {
    #[schema(value_type = i64)]
    id: QuestionId,
    /// The rider's words.
    asked: String,
    /// The rider's name, or how to reach them.
    rider: String,
    /// The bike that it is about; null while nobody knows.
    #[schema(value_type = Option<i64>, required = true)]
    bike: Option<BikeId>,
    state: State,
    /// The technician's own notes.
    notes: String,
    /// When it came.
    #[schema(format = DateTime)]
    came: String,
    /// Safety words in it: a person looks at such a question first.
    urgent: Vec<String>,
    draft: Draft,
    /// Whether there is an older draft.
    can_undo: bool,
    /// Whether there is a newer draft.
    can_redo: bool,
    /// Number of this version; an edit says which version it was made from.
    version: u32,
}

impl From<knockon_desk::Question> for Question {
    fn from(question: knockon_desk::Question) -> Self {
        Question {
            id: question.id,
            asked: question.asked,
            rider: question.rider,
            bike: question.bike,
            state: question.state.into(),
            notes: question.notes,
            came: written(question.came),
            urgent: question.urgent,
            draft: question.draft.into(),
            can_undo: question.can_undo,
            can_redo: question.can_redo,
            version: question.version,
        }
    }
}

/// A question as a list shows it.
#[derive(ToSchema, Serialize)]
struct QuestionRow {
    #[schema(value_type = i64)]
    id: QuestionId,
    /// The rider's words.
    asked: String,
    /// The rider's name, or how to reach them.
    rider: String,
    #[schema(required = true)]
    bike: Option<BikeName>,
    state: State,
    /// When it came.
    #[schema(format = DateTime)]
    came: String,
    /// Safety words in it.
    urgent: Vec<String>,
    /// Headline of the newest published answer; null when there is none.
    #[schema(required = true)]
    answer: Option<String>,
    /// Where the words of a search stand; null when nothing was searched for.
    #[schema(required = true)]
    excerpt: Option<Vec<Piece>>,
}

/// A bike by name.
#[derive(ToSchema, Serialize)]
struct BikeName {
    #[schema(value_type = i64)]
    id: BikeId,
    title: String,
}

/// A piece of a text that was searched.
#[derive(ToSchema, Serialize)]
#[schema(as = ExcerptPiece)]
struct Piece {
    text: String,
    /// Whether it is what was searched for.
    hit: bool,
}

impl From<knockon_desk::QuestionRow> for QuestionRow {
    fn from(row: knockon_desk::QuestionRow) -> Self {
        let pieces =
            |pieces: Vec<(String, bool)>| pieces.into_iter().map(|(text, hit)| Piece { text, hit }).collect();
        QuestionRow {
            id: row.id,
            asked: row.asked,
            rider: row.rider,
            bike: row.bike.map(|(id, title)| BikeName { id, title }),
            state: row.state.into(),
            came: written(row.came),
            urgent: row.urgent,
            answer: row.answer,
            excerpt: row.excerpt.map(pieces),
        }
    }
}

/// One page of a list of questions.
#[derive(ToSchema, Serialize)]
struct QuestionList {
    questions: Vec<QuestionRow>,
    /// Whether there are more behind these.
    more: bool,
}

/// Which questions to list.
#[derive(IntoParams, Deserialize)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct Wanted {
    /// Words to search for in questions and answers; the last one may be a beginning.
    words: Option<String>,
    /// Only those in this state.
    state: Option<State>,
    /// Only those with a safety word.
    urgent: Option<bool>,
    /// Only those about this bike.
    #[param(value_type = Option<i64>)]
    bike: Option<BikeId>,
    /// How many to skip.
    offset: Option<u32>,
    /// How many to list: 50 unless it is said.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
}

/// List questions
///
/// Urgent ones that are not answered come first, then the newest.
#[utoipa::path(get, path = "/questions", tag = "questions", params(Wanted),
    responses((status = 200, description = "One page of the list.", body = QuestionList)))]
async fn list_questions(
    _: Visitor,
    Reach(app): Reach<App>,
    Query(wanted): Query<Wanted>,
) -> Result<Json<QuestionList>, Fault> {
    let (offset, limit) = page(wanted.offset, wanted.limit)?;
    let filter = Filter {
        words: wanted.words.unwrap_or_default(),
        state: wanted.state.map(Into::into),
        urgent: wanted.urgent.unwrap_or(false),
        bike: wanted.bike,
        offset,
        limit,
    };
    let page = app.desk(move |desk| desk.questions(&filter)).await?;
    Ok(Json(QuestionList { questions: page.rows.into_iter().map(Into::into).collect(), more: page.more }))
}

/// A new question.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct QuestionToAsk {
    /// The rider's words.
    asked: String,
    /// The rider's name, or how to reach them.
    #[serde(default)]
    rider: String,
    /// The bike that it is about.
    #[schema(value_type = Option<i64>)]
    bike: Option<BikeId>,
    /// What the rider thinks of changing, one change a line.
    #[serde(default)]
    changes: String,
}

/// Add a question
#[utoipa::path(post, path = "/questions", tag = "questions", request_body = QuestionToAsk,
    responses((status = 201, description = "It is kept.", body = Question,
        headers(("Location" = String, description = "Its address."))),
        (status = 422, description = "Not usable.", body = Problem, content_type = "application/problem+json")))]
async fn ask(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    Json(new): Json<QuestionToAsk>,
) -> Result<impl IntoResponse, Fault> {
    let stamp = visitor.stamp();
    let new = NewQuestion { asked: new.asked, rider: new.rider, bike: new.bike, changes: new.changes };
    let question = app.desk(move |desk| desk.question(desk.ask(&new, &stamp)?)).await?;
    let place = format!("/api/v1/questions/{}", question.id);
    Ok((StatusCode::CREATED, [(LOCATION, place)], Json(Question::from(question))))
}

/// Read a question
#[utoipa::path(get, path = "/questions/{id}", tag = "questions",
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "The question.", body = Question)))]
async fn question(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
) -> Result<Json<Question>, Fault> {
    Ok(Json(app.desk(move |desk| desk.question(id)).await?.into()))
}

/// A question as it shall be.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
#[schema(as = QuestionEdit)]
struct Edit {
    /// The rider's words.
    asked: String,
    /// The rider's name, or how to reach them.
    rider: String,
    /// The bike that it is about; null while nobody knows.
    #[schema(value_type = Option<i64>)]
    bike: Option<BikeId>,
    /// The technician's own notes.
    notes: String,
    state: State,
    /// The version that was edited. When it is not the newest any more, nothing is saved.
    version: u32,
}

/// Edit a question
///
/// The draft of its answer is saved by itself, see `PUT /api/v1/questions/{id}/draft`.
#[utoipa::path(put, path = "/questions/{id}", tag = "questions", request_body = Edit,
    params(("id" = i64, Path, description = "Number of the question.")),
    responses((status = 200, description = "It is saved.", body = Question),
        (status = 409, description = "Somebody saved a newer version.", body = Problem, content_type = "application/problem+json")))]
async fn edit_question(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Json(edit): Json<Edit>,
) -> Result<Json<Question>, Fault> {
    let stamp = visitor.stamp();
    let version = edit.version;
    let edit = QuestionEdit {
        asked: edit.asked,
        rider: edit.rider,
        bike: edit.bike,
        notes: edit.notes,
        state: edit.state.into(),
    };
    let question = app.desk(move |desk| {
        desk.edit_question(id, &edit, version, &stamp)?;
        desk.question(id)
    });
    Ok(Json(question.await?.into()))
}

/// How many to list.
#[derive(IntoParams, Deserialize)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct HowMany {
    /// How many to list: 50 unless it is said.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
}

/// Answered questions that resemble this one
///
/// The best comes first.
#[utoipa::path(get, path = "/questions/{id}/alike", tag = "questions",
    params(("id" = i64, Path, description = "Number of the question."), HowMany),
    responses((status = 200, description = "Answered questions.", body = Resembling)))]
async fn alike(
    _: Visitor,
    Reach(app): Reach<App>,
    At(id): At<QuestionId>,
    Query(wanted): Query<HowMany>,
) -> Result<Json<Resembling>, Fault> {
    let (_, limit) = page(None, wanted.limit)?;
    resembling(&app, move |desk| desk.alike(id, limit)).await
}

/// A text to compare.
#[derive(IntoParams, Deserialize)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct Likeness {
    /// The text.
    text: String,
    /// How many to list: 50 unless it is said.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
}

/// Answered questions that resemble a text
#[utoipa::path(get, path = "/alike", tag = "questions", params(Likeness),
    responses((status = 200, description = "Answered questions.", body = Resembling)))]
async fn alike_text(
    _: Visitor,
    Reach(app): Reach<App>,
    Query(wanted): Query<Likeness>,
) -> Result<Json<Resembling>, Fault> {
    let (_, limit) = page(None, wanted.limit)?;
    resembling(&app, move |desk| desk.alike_text(&wanted.text, limit)).await
}

/// Answered questions that resemble another.
#[derive(ToSchema, Serialize)]
#[schema(as = AlikeList)]
struct Resembling {
    questions: Vec<QuestionRow>,
}

async fn resembling<F>(app: &App, find: F) -> Result<Json<Resembling>, Fault>
where
    F: FnOnce(&knockon_desk::Desk) -> Result<Vec<knockon_desk::QuestionRow>, DeskError> + Send + 'static,
{
    let rows = app.desk(find).await?;
    Ok(Json(Resembling { questions: rows.into_iter().map(Into::into).collect() }))
}

/// How many questions there are in each state.
#[derive(ToSchema, Serialize)]
#[schema(as = Counts)]
struct Counted {
    new: u32,
    waiting: u32,
    answered: u32,
    set_aside: u32,
    /// Those with a safety word that are still open.
    urgent: u32,
}

/// Count questions
#[utoipa::path(get, path = "/counts", tag = "questions",
    responses((status = 200, description = "How many there are in each state.", body = Counted)))]
async fn counts(_: Visitor, Reach(app): Reach<App>) -> Result<Json<Counted>, Fault> {
    let counts = app.desk(knockon_desk::Desk::counts).await?;
    Ok(Json(Counted {
        new: counts.new,
        waiting: counts.waiting,
        answered: counts.answered,
        set_aside: counts.set_aside,
        urgent: counts.urgent,
    }))
}
