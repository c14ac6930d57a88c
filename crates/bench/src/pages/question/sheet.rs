//! The sheet as it will be published: preview, downloads, publishing.

use axum::extract::{Form, Path, RawQuery, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{Answered, Desk, DeskError, Format, Publication, QuestionId, Way};
use knockon_sheet::{drawing, html as page_of, json, markdown, text};
use maud::{Markup, html};

use super::changes;
use super::draft::{self, Fields};
use super::show::{Notice, again};
use super::state::{Side, Ways};
use super::working::{Outcome, Working};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::security::headers::{POLICY, SHEET_POLICY};
use crate::visitor::{Visitor, Writer};

/// Columns of the sheet as plain text.
const TEXT_WIDTH: usize = 80;

/// Which way a form or address means; the first unless it says otherwise.
fn side(fields: &Fields) -> Side {
    if fields.get("way") == Some("instead") { Side::Instead } else { Side::First }
}

/// The name of a side in an address.
fn key(side: Side) -> &'static str {
    match side {
        Side::First => "first",
        Side::Instead => "instead",
    }
}

/// The preview, with publishing and downloads.
pub async fn preview(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<QuestionId>,
    RawQuery(query): RawQuery,
) -> Result<Response, Fault> {
    let fields = Fields::of_query(&query.unwrap_or_default());
    let markup = app
        .desk(move |desk| {
            let working = Working::read(desk, id, |saved| fields.ways(saved))?;
            let published = desk.publication_of(id)?;
            Ok(working.map(|working| preview_page(&working, side(&fields), &visitor, published.as_ref())))
        })
        .await??;
    // The sheet stands in a frame, as a page of its own.
    let policy = format!("{POLICY}; frame-src 'self'");
    Ok(([(CONTENT_SECURITY_POLICY, policy)], markup).into_response())
}

fn preview_page(
    working: &Working,
    chosen: Side,
    visitor: &Visitor,
    published: Option<&Publication>,
) -> Markup {
    let id = working.question.id;
    let chosen = if working.instead.is_some() { chosen } else { Side::First };
    let way = working.all().find(|(side, _)| *side == chosen).map_or(&working.first, |(_, way)| way);
    let query = format!("{}&way={}", working.ways.query(), key(chosen));
    let (first, instead) = working.ways.texts();
    let can_publish = visitor.may_write() && way.sheet().is_some() && way.bad_lines() == 0;
    let body = html! {
        div.preview {
            h1 { "The sheet as it will be published" }
            p { a href={ "/questions/" (id) "?" (working.ways.query()) } { "Back to the question" } }
            @if working.instead.is_some() {
                p.actions role="group" aria-label="Which way" {
                    @for (side, _) in working.all() {
                        a.button href={ "/questions/" (id) "/sheet?" (working.ways.query()) "&way=" (key(side)) }
                            aria-current=[(side == chosen).then_some("true")] { (side.name()) }
                    }
                }
            }
            @if let Some(known) = published {
                @let address = format!("/s/{}", known.code);
                p.notice {
                    strong { "Published, revision " (known.revisions) "." } " "
                    a href=(address) { (address) } " "
                    button.js-only.plain type="button" data-copy-address=(address) { "Copy the address" }
                    " " span.copied role="status" {}
                }
            }
            @if way.bad_lines() > 0 {
                p.notice.caution { strong { "A line cannot be read and is left out." } " Mend or remove it before the sheet is published." }
            }
            @if let Outcome::Cannot { why, help } = &way.outcome { p.notice.caution { (why) ". " (help) "." } }
            @if let Outcome::NoBike = way.outcome { p.notice { "Without a bike there is no sheet. Choose one on the question’s page." } }
            @if way.sheet().is_some() {
                div.actions {
                    @if can_publish {
                        form method="post" action={ "/questions/" (id) "/publish" } {
                            input type="hidden" name="do" value=(first);
                            @if let Some(instead) = &instead { input type="hidden" name="or" value=(instead); }
                            input type="hidden" name="way" value=(key(chosen));
                            button.primary {
                                @match published {
                                    None => "Publish sheet",
                                    Some(known) => { "Publish as revision " (known.revisions + 1) }
                                }
                            }
                        }
                    }
                    span { "Download:" }
                    @for format in Format::ALL {
                        a href={ "/questions/" (id) "/sheet." (format.extension()) "?" (query) }
                            download={ (file_name(id)) "." (format.extension()) } { (name(format)) }
                    }
                    a href={ "/questions/" (id) "/sheet.html?" (query) } { "Alone, for printing" }
                }
                iframe title="The sheet" src={ "/questions/" (id) "/sheet.html?" (query) } {}
            }
        }
    };
    page(visitor, Room::Questions, "Preview of the sheet", body)
}

fn name(format: Format) -> &'static str {
    match format {
        Format::Html => "HTML",
        Format::Svg => "SVG",
        Format::Markdown => "Markdown",
        Format::Text => "Text",
        Format::Json => "JSON",
    }
}

fn file_name(id: QuestionId) -> String {
    format!("question-{id}")
}

/// One format of the sheet, not yet published.
pub async fn download(
    app: App,
    id: QuestionId,
    format: Format,
    query: Option<String>,
) -> Result<Response, Fault> {
    let fields = Fields::of_query(&query.unwrap_or_default());
    let text = app.desk(move |desk| written(desk, id, &fields, format)).await??;
    let kind = if format == Format::Html { "inline" } else { "attachment" };
    let headers = [
        (CONTENT_TYPE, format.media_type().to_owned()),
        (CONTENT_SECURITY_POLICY, SHEET_POLICY.to_owned()),
        (CONTENT_DISPOSITION, format!("{kind}; filename=\"{}.{}\"", file_name(id), format.extension())),
    ];
    Ok((headers, text).into_response())
}

fn written(
    desk: &Desk,
    id: QuestionId,
    fields: &Fields,
    format: Format,
) -> Result<Result<String, Fault>, DeskError> {
    let question = desk.question(id)?;
    let ways = match fields.ways(&draft::saved(&question)) {
        Ok(ways) => ways,
        Err(refused) => return Ok(Err(refused)),
    };
    let lines = ways.side(side(fields)).unwrap_or(&ways.first);
    let Answered { findings, sheet, .. } = desk.answer_to_print(id, &changes::good(&changes::read(lines)))?;
    Ok(Ok(match format {
        Format::Html => page_of::html(&sheet),
        Format::Svg => drawing::sheet_svg(&sheet),
        Format::Markdown => markdown::markdown(&sheet),
        Format::Text => text::text(&sheet, TEXT_WIDTH, text::Style::Plain),
        Format::Json => json::json(&findings),
    }))
}

/// Saves the lines and publishes one way of them.
pub async fn publish(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<QuestionId>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let (fields, kept) = draft::store(&app, id, Fields::from(form), visitor.stamp()).await?;
    let ways = Ways::of(&kept.changes, kept.instead.as_deref());
    let side = side(&fields);
    let lines = ways.side(side).unwrap_or(&ways.first);
    if changes::read(lines).iter().any(|line| line.problem().is_some()) {
        // The form has done its work on the lines; what is shown now is what is kept.
        return again(
            &app,
            visitor,
            id,
            Fields::default(),
            StatusCode::UNPROCESSABLE_ENTITY,
            Notice::BadLine,
        )
        .await;
    }
    let which = match side {
        Side::Instead if ways.instead.is_some() => Way::Instead,
        _ => Way::First,
    };
    let published = app.desk(move |desk| desk.publish_draft(id, which, &kept, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/s/{}", published.code)).into_response())
}
