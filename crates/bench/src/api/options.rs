//! Working backwards: the one object that the command line prints too.

use axum::extract::State as Reach;
use knockon_desk::{BikeId, DeskError};
use knockon_trade::backwards::{Asked, ReachError, reach, wish};
use knockon_trade::problem;
use knockon_trade::question::read_changes;
use knockon_trade::shelf::offers;
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::answer::Options;
use super::answers::{Which, which};
use super::extract::Json;
use super::problem::Problem;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Visitor;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(options))
}

/// What is wanted of a bike, and what may be done for it.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReachFor {
    /// A bike of the workshop: the newest version of its record, with the workshop's settings.
    #[schema(value_type = Option<i64>)]
    bike: Option<BikeId>,
    /// A bike record: TOML.
    record: Option<String>,
    /// What is wanted and what is not accepted, one in each text.
    #[serde(default)]
    #[schema(example = json!(["grip stack +15", "grip reach unchanged ± 3", "keep stem"]), max_items = 200)]
    wishes: Vec<String>,
    /// A bike of the workshop whose position is wanted.
    #[schema(value_type = Option<i64>)]
    like: Option<BikeId>,
    /// Changes whose result is wanted, by whatever parts.
    #[serde(default)]
    #[schema(max_items = 200)]
    as_with: Vec<String>,
    /// Parts that are there: a table as a spreadsheet saves it, with price and count.
    #[serde(default)]
    stock: String,
    /// Whether parts that are not in that table are left out.
    #[serde(default)]
    stock_only: bool,
    /// So many options at most.
    #[serde(default = "usual_most")]
    #[schema(minimum = 1, maximum = 40)]
    most: usize,
}

fn usual_most() -> usize {
    6
}

/// Most options in one answer.
const MOST: usize = 40;

/// Work backwards without keeping anything
///
/// The same object as `knockon reach-for RECORD TARGET… --json` prints, with the same digits. Lines of `stock` that cannot be read are
/// among `problems` of a 422.
#[utoipa::path(post, path = "/options", tag = "options", request_body = ReachFor,
    responses((status = 200, description = "The options.", body = Options),
        (status = 422, description = "Record, wishes or table have faults; `problems` names each.", body = Problem, content_type = "application/problem+json")))]
async fn options(_: Visitor, Reach(app): Reach<App>, Json(sent): Json<ReachFor>) -> Result<Options, Fault> {
    let which = which(sent.bike, sent.record)?;
    app.search(move |desk, waiting| {
        let record = which.record(desk)?;
        let like = sent.like.map(|bike| Which::Bike(bike).record(desk)).transpose()?;
        let (mut wishes, mut problems): (Vec<_>, Vec<problem::Problem>) = (Vec::new(), Vec::new());
        for line in &sent.wishes {
            match wish::parse(line) {
                Ok(wish) => wishes.push(wish),
                Err(problem) => problems.push(problem),
            }
        }
        let as_with = read_changes(&sent.as_with).map_err(DeskError::Changes)?.changes;
        let stock = match sent.stock.trim() {
            "" => Vec::new(),
            text => {
                let list = offers("stock", text).map_err(|problem| DeskError::Changes(vec![problem]))?;
                problems.extend(list.problems.into_iter().filter(|problem| !problem.warning));
                list.offers
            }
        };
        if !problems.is_empty() {
            return Err(DeskError::Changes(problems));
        }
        let most = sent.most.clamp(1, MOST);
        let asked = Asked { wishes, like, as_with, stock, stock_only: sent.stock_only, most };
        let refused = |error: ReachError| DeskError::Refused { why: error.to_string(), help: error.help() };
        reach(&record, &asked, &mut |_| waiting.go_on()).map(|reached| Options::of(&reached)).map_err(refused)
    })
    .await
}
