//! A further bike, by form or as text.

use axum::extract::{Form, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::DeskError;
use maud::{Markup, html};
use serde::Deserialize;

use super::edit::first_bar;
use super::form::{self, Typed, WHOLE};
use super::{group, text};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::Wrongs;
use crate::pages::layout::{self, Room};
use crate::pages::questions::said;
use crate::visitor::{Visitor, Writer};

/// Which of the two pages an address asks for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct How {
    r#as: String,
}

/// What a new record looks like as text.
const BLANK: &str =
    "name = \"\"\nsize = \"\"\n\n[chart]\n# stack = 628\n# reach = 455\n\n[fork]\n\n[cockpit]\n";

/// An empty form, or an empty text.
pub async fn page(writer: Writer, Query(how): Query<How>) -> Markup {
    if how.r#as == "text" {
        as_text(&writer.0, BLANK, "", &html! {})
    } else {
        as_form(&writer.0, &Typed::default(), &Wrongs::default())
    }
}

/// Stores the bike and goes to its page.
pub async fn keep(
    State(app): State<App>,
    writer: Writer,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let typed = Typed::sent(fields);
    let by_text = !typed.get("text").is_empty();
    let record = if by_text {
        typed.get("text").replace("\r\n", "\n")
    } else {
        match form::write("", &typed) {
            Ok(record) => record,
            Err(wrongs) => return Ok(refused(as_form(&writer.0, &typed, &wrongs))),
        }
    };
    if record.trim().is_empty() {
        let wrongs = Wrongs::one(form::field_id("name"), "Say at least what the bike is called.");
        return Ok(refused(as_form(&writer.0, &typed, &wrongs)));
    }
    let why = if typed.get("why").trim().is_empty() { "new".to_owned() } else { typed.why() };
    let (text, stamp) = (record.clone(), writer.0.stamp());
    match app.try_desk(move |desk| desk.add_bike(&text, &why, &stamp)).await? {
        Ok(id) => Ok(Redirect::to(&format!("/bikes/{id}")).into_response()),
        Err(error) if by_text => {
            let wrong = text::refusal(&record, error).map_err(|fault| *fault)?;
            Ok(refused(as_text(&writer.0, typed.get("text"), typed.get("why"), &wrong)))
        }
        Err(DeskError::Record(problems)) => {
            Ok(refused(as_form(&writer.0, &typed, &form::placed(&record, &problems))))
        }
        Err(error) => {
            let fault = Fault::from(error);
            if fault.status.is_server_error() {
                return Err(fault);
            }
            Ok(refused(as_form(&writer.0, &typed, &Wrongs::one(WHOLE, said(&fault)))))
        }
    }
}

fn refused(page: Markup) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

fn as_form(visitor: &Visitor, typed: &Typed, wrongs: &Wrongs) -> Markup {
    let body = html! {
        h1 { "New bike" }
        (ways("form"))
        (wrongs.summary())
        form.record id=(WHOLE) method="post" action="/bikes/new" data-guard {
            (wrongs.below(WHOLE))
            p.quiet { "Whatever is not known stays empty: an answer says what is missing." }
            (group::groups(typed, wrongs, &Wrongs::default()))
            (first_bar(typed.get("why")))
        }
    };
    layout::page(visitor, Room::Bikes, "New bike", body)
}

fn as_text(visitor: &Visitor, typed: &str, why: &str, wrong: &Markup) -> Markup {
    let body = html! {
        h1 { "New bike" }
        (ways("text"))
        (wrong)
        form.record-text method="post" action="/bikes/new?as=text" data-guard {
            (text::editor(typed))
            (first_bar(why))
        }
    };
    layout::page(visitor, Room::Bikes, "New bike", body)
}

fn ways(here: &str) -> Markup {
    let ways = [
        ("form", "By form", "/bikes/new"),
        ("text", "As text", "/bikes/new?as=text"),
        ("table", "From a geometry table", "/bikes/import"),
    ];
    html! {
        nav.tabs aria-label="Ways to add a bike" {
            ul { @for (way, name, to) in ways { li { a href=(to) aria-current=[(way == here).then_some("page")] { (name) } } } }
        }
    }
}
