//! The sheet of a run: a page to print and sign, and the same in other formats.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use knockon_desk::InspectionId;
use knockon_sheet::inspection::{html, json, markdown, text};
use knockon_sheet::text::Style;

use crate::app::App;
use crate::errors::Fault;
use crate::security::headers::SHEET_POLICY;
use crate::visitor::Visitor;

/// Columns of the sheet as plain text.
const TEXT_WIDTH: usize = 80;

/// The page to print.
pub async fn show(
    State(app): State<App>,
    _: Visitor,
    Path(id): Path<InspectionId>,
) -> Result<Response, Fault> {
    let (part, about) = app.desk(move |desk| desk.inspection_sheet(id)).await?;
    let headers = [(CONTENT_TYPE, "text/html; charset=utf-8"), (CONTENT_SECURITY_POLICY, SHEET_POLICY)];
    Ok((headers, html(&part, &about)).into_response())
}

/// Another format.
pub async fn download(
    State(app): State<App>,
    _: Visitor,
    Path((id, ending)): Path<(InspectionId, String)>,
) -> Result<Response, Fault> {
    let (part, about) = app.desk(move |desk| desk.inspection_sheet(id)).await?;
    let (media_type, content) = match ending.as_str() {
        "md" => ("text/markdown; charset=utf-8", markdown(&part, &about)),
        "txt" => ("text/plain; charset=utf-8", text(&part, &about, TEXT_WIDTH, Style::Plain)),
        "json" => ("application/json", json(&part, &about)),
        _ => return Err(Fault::not_found("format of this sheet")),
    };
    let headers = [
        (CONTENT_TYPE, media_type.to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"inspection-{id}.{ending}\"")),
    ];
    Ok((headers, content).into_response())
}
