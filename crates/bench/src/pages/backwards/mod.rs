//! Working backwards: what is wanted of a bike, and the parts that give it.
//!
//! Everything but a stock list is in the address, so a link leads back to the same answer. Nothing is kept. While a target is dragged the
//! script asks `/backwards/live` for the options and swaps them in; a request that nobody waits for any more stops its search.

mod asked;
mod body;
mod form;
mod options;
mod or;

use axum::Router;
use axum::extract::{Form, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use knockon_desk::{Desk, DeskError};
use knockon_sheet::backwards;
use knockon_sheet::compose::Heading;
use knockon_sheet::compose::backwards::options as composed;
use knockon_sheet::units::Units;
use knockon_trade::backwards::{ReachError, Reached, reach};
use knockon_trade::body::StartingPoint;
use knockon_trade::demo;
use knockon_trade::problem::Problem;
use knockon_trade::record::Record;
use maud::{Markup, html};

use self::asked::Asked;
use super::fits::{faults, wrong};
use super::layout::{self, Room};
use super::questions::choice::Bikes;
use super::questions::sentence;
use crate::app::{App, Waiting};
use crate::errors::Fault;
use crate::security::headers::SHEET_POLICY;
use crate::visitor::Visitor;

/// Its routes.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/backwards", get(show).post(show))
        .route("/backwards/live", get(live).post(live))
        .route("/backwards/compare", get(compare).post(compare))
        .route("/backwards/compare.html", get(compare_page).post(compare_page))
}

/// Fields as they come: some stand several times.
type Fields = Vec<(String, String)>;

// Fields come in the address, or in the body with a stock list, which is too long for an address: a form reads both.
async fn show(State(app): State<App>, visitor: Visitor, Form(fields): Form<Fields>) -> Result<Markup, Fault> {
    let (may_write, asked) = (visitor.may_write(), Asked::from(fields));
    let body = app
        .search(move |desk, waiting| {
            let bikes = Bikes::load(desk, asked.bike)?;
            let bench = Bench::open(desk, &asked)?;
            let answer = bench.answer(&asked, waiting);
            let stock = match (asked.stock.is_empty(), bench.is_demo) {
                (true, true) => demo::drawer(),
                _ => &asked.stock,
            };
            let told = told(&asked, &answer, &bench.heading, may_write);
            Ok(form::page(&asked, &bikes, bench.record.as_ref(), stock, &told))
        })
        .await?;
    Ok(layout::page(&visitor, Room::Backwards, "Work backwards", body))
}

/// The options alone, for the script.
async fn live(State(app): State<App>, visitor: Visitor, Form(fields): Form<Fields>) -> Result<Markup, Fault> {
    let (may_write, asked) = (visitor.may_write(), Asked::from(fields));
    app.search(move |desk, waiting| {
        let bench = Bench::open(desk, &asked)?;
        Ok(told(&asked, &bench.answer(&asked, waiting), &bench.heading, may_write))
    })
    .await
}

async fn compare(
    State(app): State<App>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Markup, Fault> {
    let asked = Asked::from(fields);
    let body = app
        .search(move |desk, waiting| {
        let bench = Bench::open(desk, &asked)?;
        Ok(match bench.answer(&asked, waiting) {
            Answer::Told(told) => {
                let options = composed(&told.reached, &bench.heading);
                html! {
                    nav.breadcrumb { (again(&asked, "/backwards", "Work backwards")) }
                    h1 { (options.verdict) }
                    p { (options.bike) }
                    div.sheet-part.comparison { (backwards::comparison_parts(&options, &asked.chosen())) }
                    (again(&asked, "/backwards/compare.html", "The same as a page of its own, to print or send"))
                }
            }
            other => told(&asked, &other, &bench.heading, false),
        })
    })
    .await?;
    Ok(layout::page(&visitor, Room::Backwards, "Options side by side", body))
}

/// The comparison as a file: it needs nothing else to be read.
async fn compare_page(
    State(app): State<App>,
    _: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Response, Fault> {
    let asked = Asked::from(fields);
    let page = app
        .search(move |desk, waiting| {
            let bench = Bench::open(desk, &asked)?;
            match bench.answer(&asked, waiting) {
                Answer::Told(told) => {
                    let options = composed(&told.reached, &bench.heading);
                    Ok(backwards::comparison(
                        &options,
                        &asked.chosen(),
                        &bench.heading.workshop,
                        &bench.heading.drawn,
                    ))
                }
                Answer::Refused(error) => {
                    Err(DeskError::Refused { why: error.to_string(), help: error.help() })
                }
                Answer::Faults(problems) => Err(DeskError::Changes(problems)),
                Answer::Nothing => Err(DeskError::Refused {
                    why: "no bike was chosen, or nothing is wanted".to_owned(),
                    help: "choose a bike and say what is wanted of it".to_owned(),
                }),
            }
        })
        .await?;
    let headers = [(CONTENT_TYPE, "text/html; charset=utf-8"), (CONTENT_SECURITY_POLICY, SHEET_POLICY)];
    Ok((headers, page).into_response())
}

/// A way to the same question elsewhere: a link, or a button where a stock list has to go along.
fn again(asked: &Asked, path: &str, words: &str) -> Markup {
    html! {
        @if asked.stock.is_empty() {
            p { a href=(asked.address(path)) { (words) } }
        } @else {
            form method="post" action=(path) {
                @for (name, value) in asked.fields() { input type="hidden" name=(name) value=(value); }
                textarea hidden name="stock" { (asked.stock) }
                @if asked.stock_only { input type="hidden" name="stock_only" value="yes"; }
                button { (words) }
            }
        }
    }
}

/// What an answer is worked out from.
struct Bench {
    record: Option<Record>,
    like: Option<Record>,
    or: Option<Record>,
    heading: Heading,
    is_demo: bool,
}

/// How it comes out.
enum Answer {
    /// No bike is chosen, or nothing is wanted yet.
    Nothing,
    /// Something that was said cannot be read.
    Faults(Vec<Problem>),
    /// The record or the wishes allow no answer.
    Refused(ReachError),
    /// The answer.
    Told(Box<Told>),
}

/// What was worked out.
struct Told {
    reached: Reached,
    /// What another bike comes to.
    or: Option<Result<Reached, ReachError>>,
    /// Where the rider's body says to begin.
    points: Vec<StartingPoint>,
    /// What of a stock list could not be read.
    unread: Vec<Problem>,
}

impl Bench {
    fn open(desk: &Desk, asked: &Asked) -> Result<Bench, DeskError> {
        let settings = desk.settings()?;
        let record = |bike| -> Result<_, DeskError> {
            Ok(desk.bike(bike)?.record()?.with_tolerances(&settings.tolerances))
        };
        let is_demo = settings.workshop == demo::WORKSHOP;
        let heading = Heading {
            workshop: settings.workshop.clone(),
            drawn: Timestamp::now().to_zoned_datetime(TimeZone::system()).strftime("%-d %b %Y").to_string(),
            sheet: String::new(),
            units: Units { length: settings.length, language: settings.label_language },
        };
        Ok(Bench {
            record: asked.bike.map(record).transpose()?,
            like: asked.like.map(record).transpose()?,
            or: asked.or.filter(|or| asked.bike != Some(*or)).map(record).transpose()?,
            heading,
            is_demo,
        })
    }

    fn answer(&self, asked: &Asked, waiting: &Waiting) -> Answer {
        let Some(record) = &self.record else { return Answer::Nothing };
        let points = match asked.points(record) {
            Ok(points) => points,
            Err(problems) => return Answer::Faults(problems),
        };
        let (question, unread) = match asked.question(self.like.clone(), &points) {
            Ok(Some(question)) => question,
            Ok(None) => return Answer::Nothing,
            Err(problems) => return Answer::Faults(problems),
        };
        let reach = |bike: &Record| reach(bike, &question, &mut |_| waiting.go_on());
        match reach(record) {
            Ok(reached) => {
                Answer::Told(Box::new(Told { reached, or: self.or.as_ref().map(reach), points, unread }))
            }
            Err(error) => Answer::Refused(error),
        }
    }
}

fn told(asked: &Asked, answer: &Answer, heading: &Heading, may_write: bool) -> Markup {
    match answer {
        Answer::Nothing if asked.bike.is_none() && asked.wants_something() => {
            wrong("Which bike?", "Choose one above; a bike of which little is known will do.")
        }
        Answer::Nothing => {
            html! { p.quiet { "Drag a rule or write what is wanted: the options appear here." } }
        }
        Answer::Faults(problems) => faults(problems),
        Answer::Refused(error) => wrong(&sentence(&error.to_string()), &sentence(&error.help())),
        Answer::Told(told) => html! {
            (body::points(&told.points))
            @if let Some(or) = &told.or { (or::against(asked, &told.reached, or)) }
            (options::all(asked, &composed(&told.reached, heading), &told.unread, may_write))
            @if let (Some(Ok(or)), Some(bike)) = (&told.or, asked.or) {
                (or::options(asked, bike, &composed(or, heading), may_write))
            }
        },
    }
}
