//! Pasted geometry tables.

use axum::extract::State as Reach;
use knockon_desk::BikeId;
use knockon_trade::import::{Imported, Options, import};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::extract::Json;
use super::problem::Problem;
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Writer;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(read_table))
}

/// A geometry table as it was copied from a page or a spreadsheet.
#[derive(ToSchema, Deserialize)]
#[serde(deny_unknown_fields)]
struct TableToRead {
    /// Lines of cells, told apart by tabs, semicolons, commas or wide spaces.
    table: String,
    /// Name of the bike; without it the table's title.
    name: Option<String>,
    /// Kind of bike.
    kind: Option<Kind>,
    /// Whether to add a bike for each size; otherwise the records are only shown.
    #[serde(default)]
    keep: bool,
    /// Where the figures come from, for the bikes' history.
    #[serde(default)]
    why: String,
}

/// Kind of bike.
#[derive(ToSchema, Deserialize)]
#[schema(as = BikeKind)]
enum Kind {
    #[serde(rename = "rigid")]
    Rigid,
    #[serde(rename = "hardtail")]
    Hardtail,
    #[serde(rename = "full suspension")]
    FullSuspension,
}

impl Kind {
    fn word(&self) -> &'static str {
        match self {
            Kind::Rigid => "rigid",
            Kind::Hardtail => "hardtail",
            Kind::FullSuspension => "full suspension",
        }
    }
}

/// What was read from a table.
#[derive(ToSchema, Serialize)]
struct TableRead {
    /// One record for each size with at least one figure.
    sizes: Vec<SizeRead>,
    /// Lines and cells that are in no record.
    not_understood: Vec<LineNotUnderstood>,
    /// What was understood but should be looked at.
    remarks: Vec<TableRemark>,
}

/// The record of one size.
#[derive(ToSchema, Serialize)]
struct SizeRead {
    /// The size as the table calls it.
    size: String,
    /// The record: TOML.
    record: String,
    /// How many figures it holds.
    figures: usize,
    /// The bike that was added; null when the records are only shown.
    #[schema(value_type = Option<i64>, required = true)]
    bike: Option<BikeId>,
}

/// A line or cell that is in no record.
#[derive(ToSchema, Serialize)]
struct LineNotUnderstood {
    /// Line of the table, from 1.
    line: usize,
    text: String,
    why: String,
}

/// Something to look at.
#[derive(ToSchema, Serialize)]
struct TableRemark {
    /// Line of the table, from 1; null when it is about the whole.
    #[schema(required = true)]
    line: Option<usize>,
    text: String,
}

/// Read a geometry table into bike records
#[utoipa::path(post, path = "/bikes/table", tag = "bikes", request_body = TableToRead,
    responses((status = 200, description = "What was read, and with `keep` the bikes that were added.", body = TableRead),
        (status = 422, description = "No size was understood, or with `keep` a record has faults: then no bike is added.",
            body = Problem, content_type = "application/problem+json")))]
async fn read_table(
    Writer(visitor): Writer,
    Reach(app): Reach<App>,
    Json(sent): Json<TableToRead>,
) -> Result<Json<TableRead>, Fault> {
    let kind = sent.kind.map(|kind| kind.word().to_owned());
    let read = import(&sent.table, &Options { name: sent.name, kind });
    if read.records.is_empty() {
        return Err(Fault::not_usable(
            "The table gave no record.",
            "It needs rows of measures and columns of sizes (or the other way round), with headings such as Stack and Reach.",
        ));
    }
    let bikes = if sent.keep {
        let stamp = visitor.stamp();
        let texts: Vec<String> = read.records.iter().map(|record| record.toml.clone()).collect();
        app.desk(move |desk| desk.add_bikes(&texts, &sent.why, &stamp)).await?
    } else {
        Vec::new()
    };
    let mut bikes = bikes.into_iter();
    Ok(Json(TableRead {
        sizes: read.records.into_iter().map(|record| size(record, bikes.next())).collect(),
        not_understood: read
            .not_understood
            .into_iter()
            .map(|line| LineNotUnderstood { line: line.number, text: line.text, why: line.why })
            .collect(),
        remarks: read
            .remarks
            .into_iter()
            .map(|remark| TableRemark { line: remark.number, text: remark.text })
            .collect(),
    }))
}

fn size(record: Imported, bike: Option<BikeId>) -> SizeRead {
    SizeRead { figures: record.figures.len(), size: record.size, record: record.toml, bike }
}
