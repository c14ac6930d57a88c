//! One protocol: what it is for, what it asks, and the form that begins a run.

use axum::extract::{Form, Path, Query, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{BikeId, NewQuestion, QuestionId};
use knockon_sheet::inspection::{Heading, blank};
use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::{Protocol, protocol};
use maud::{Markup, html};
use serde::Deserialize;

use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{Room, page};
use crate::pages::questions::choice::Bikes;
use crate::security::headers::SHEET_POLICY;
use crate::visitor::{Visitor, Writer};

/// What the address may say beside the protocol.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct About {
    question: String,
    bike: String,
}

fn known(id: &str) -> Result<&'static Protocol, Fault> {
    protocol(id).ok_or_else(|| Fault::not_found("protocol"))
}

/// The page.
pub async fn show(
    State(app): State<App>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(about): Query<About>,
) -> Result<Markup, Fault> {
    let protocol = known(&id)?;
    let question = about.question.parse::<QuestionId>().ok();
    let bike = about.bike.parse::<BikeId>().ok();
    let (asked, bikes) = app
        .desk(move |desk| {
            let asked = question.map(|id| desk.question(id)).transpose()?;
            Ok((asked, Bikes::load(desk, bike)?))
        })
        .await?;
    let body = html! {
        div.protocol {
            h1 { (protocol.title) }
            p { (protocol.about) }
            @if visitor.may_write() {
                form.fields.begin method="post" action="/inspections" {
                    input type="hidden" name="protocol" value=(protocol.id);
                    @if let Some(asked) = &asked {
                        input type="hidden" name="question" value=(asked.id);
                        p.quiet { "For question " (asked.id) ": " a href={ "/questions/" (asked.id) } { (asked.asked) } }
                    } @else {
                        div.field {
                            label for="bike" { "Bike" }
                            (bikes.select("bike", "bike", bike, "Not on record"))
                        }
                        div.field {
                            label for="rider" { "Rider" }
                            input id="rider" name="rider" maxlength="200" autocomplete="off";
                        }
                    }
                    div.field {
                        label for="part" { "Which part, and where on it" }
                        input id="part" name="part" maxlength="200" autocomplete="off" placeholder="down tube, left, a hand below the weld";
                    }
                    div.actions {
                        button.primary { "Begin" }
                        a.button href={ "/inspect/" (protocol.id) "/form" } { "Form to print" }
                    }
                }
            }
            (super::cautions(protocol.all_cautions().iter().map(|caution| caution.text.as_str())))
            @if !protocol.before.is_empty() {
                section { h2 { "Before you look" } ul { @for what in &protocol.before { li { (what) } } } }
            }
            section {
                h2 { "What it asks" }
                ol.asks {
                    @for step in &protocol.steps {
                        li {
                            p { strong { (step.ask) } }
                            @for look in step.looks() { p.quiet.small { (look.say) ": " (look.how) } }
                            @if !step.how.is_empty() { p.quiet.small { (step.how) } }
                            @if step.kind == Kind::Photo { p.small { "A photo. No grade comes from it." } }
                            @else { ul.small { @for answer in &step.answers { li { (answer.say) } } } }
                            p.quiet.small { "Source: " (step.source) }
                        }
                    }
                }
            }
            section { h2 { "What it never sees" } ul { @for what in &protocol.not_seen { li { (what) } } } }
            section { h2 { "Who may judge it" } p { (protocol.qualified) } }
            p.quiet.small { "Protocol " (protocol.id) ", edition " (protocol.edition) ". Source: " (protocol.source) }
        }
    };
    Ok(page(&visitor, Room::Inspect, &protocol.title, body))
}

/// The form to fill in by hand.
pub async fn form(State(app): State<App>, _: Visitor, Path(id): Path<String>) -> Result<Response, Fault> {
    let protocol = known(&id)?;
    let workshop = app.desk(|desk| Ok(desk.settings()?.workshop)).await?;
    let text = blank(protocol, &Heading { workshop, ..Heading::default() });
    let headers = [(CONTENT_TYPE, "text/html; charset=utf-8"), (CONTENT_SECURITY_POLICY, SHEET_POLICY)];
    Ok((headers, text).into_response())
}

/// What the form sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Begin {
    protocol: String,
    question: String,
    bike: String,
    rider: String,
    part: String,
}

/// Begins a run: for the question that the form names, or for a new one of its own.
pub async fn begin(
    State(app): State<App>,
    Writer(visitor): Writer,
    Form(form): Form<Begin>,
) -> Result<Redirect, Fault> {
    let protocol = known(&form.protocol)?;
    let id = app
        .desk(move |desk| {
            let stamp = visitor.stamp();
            let question = if let Ok(question) = form.question.parse::<QuestionId>() {
                question
            } else {
                let part = if form.part.trim().is_empty() {
                    String::new()
                } else {
                    format!(", {}", form.part.trim())
                };
                let new = NewQuestion {
                    asked: format!("To inspect: {}{part}", protocol.title),
                    rider: form.rider.clone(),
                    bike: form.bike.parse().ok(),
                    changes: String::new(),
                };
                desk.ask(&new, &stamp)?
            };
            desk.begin_inspection(question, &protocol.id, &form.part, &stamp)
        })
        .await?;
    Ok(Redirect::to(&format!("/inspections/{id}#ask")))
}
