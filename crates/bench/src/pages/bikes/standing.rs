//! What a record says of itself, and how the bike looks as it stands.

use std::collections::BTreeMap;

use knockon_desk::BikeVersion;
use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::drawing::Page;
use knockon_sheet::html::Parts;
use knockon_trade::audit::{Audit, AuditRow, AuditSuspect, audit};
use knockon_trade::build::Build;
use knockon_trade::findings::{AnswerError, Findings, answer};
use knockon_trade::question::Question;
use knockon_trade::record::Record;
use knockon_trade::words::plain;
use maud::{Markup, html};

use crate::pages::questions::sentence;

/// What the rows of a record's chart say of each other.
#[derive(Clone, Debug, PartialEq)]
pub enum Agreement {
    /// They agree within so many mm.
    Agrees(f64),
    /// They contradict each other; the first suspect and by how much it is off.
    Disagrees(String),
    /// Too little is told to check anything.
    TooLittle,
    /// No bike can be built from them.
    Impossible(String),
}

impl Agreement {
    /// Of a bike, with the workshop's tolerances.
    pub fn of(bike: &BikeVersion, tolerances: &BTreeMap<String, f64>) -> Self {
        match bike.record() {
            Ok(record) => Self::of_record(&record.with_tolerances(tolerances)),
            Err(error) => Self::Impossible(error.to_string()),
        }
    }

    fn of_record(record: &Record) -> Self {
        match Build::new(record) {
            Ok(build) => Self::in_words(&audit(&build)),
            Err(error) => Self::Impossible(error.to_string()),
        }
    }

    fn in_words(audit: &Audit) -> Self {
        if let Some(suspect) = audit.suspects.first() {
            let off = figure((suspect.given - suspect.expected.0).abs(), suspect.unit);
            return Self::Disagrees(format!("{} by {off}", suspect.label.to_lowercase()));
        }
        let checked = audit.rows.iter().any(|row| !row.assumed && row.normalised.is_some_and(f64::is_finite));
        let assumed = audit.rows.iter().any(|row| row.assumed && row.key.starts_with("chart."));
        if assumed || !checked {
            Self::TooLittle
        } else {
            Self::Agrees((audit.worst_length * 10.0).ceil() / 10.0)
        }
    }

    /// In a few words, with a shape of their own.
    pub fn short(&self) -> Markup {
        let (class, words) = match self {
            Self::Agrees(_) => ("agreement agrees", "agrees with itself".to_owned()),
            Self::Disagrees(by) => ("agreement disagrees", format!("disagrees: {by}")),
            Self::TooLittle => ("agreement untold", "too little told to check".to_owned()),
            Self::Impossible(_) => ("agreement disagrees", "cannot be built as told".to_owned()),
        };
        html! { span class=(class) { (words) } }
    }

    /// In a sentence.
    fn sentence(&self) -> String {
        match self {
            Self::Agrees(within) => format!("The chart agrees with itself within {}.", figure(*within, "mm")),
            Self::Disagrees(_) => {
                "The chart contradicts itself; until that is cleared up, its tolerance is taken wider."
                    .to_owned()
            }
            Self::TooLittle => "Too little of the chart is told for its rows to check each other.".to_owned(),
            Self::Impossible(why) => format!(
                "No bike can be built from this: {why}. Look for a slip of the pen in stack, reach, angles and lengths."
            ),
        }
    }
}

/// The bike as it stands: an answer to no change.
fn stand(record: Record) -> Result<Findings, AnswerError> {
    answer(Question { asked: String::new(), record, changes: Vec::new(), inspections: Vec::new() })
}

/// Drawing and audit of a bike, for its page.
pub fn shown(bike: &BikeVersion, tolerances: &BTreeMap<String, f64>) -> Markup {
    match bike.record() {
        Ok(record) => drawn(record.with_tolerances(tolerances)),
        Err(error) => not_drawn(&error.to_string(), &error.help()),
    }
}

fn drawn(record: Record) -> Markup {
    match stand(record) {
        Ok(findings) => {
            let sheet = compose(&findings, &Heading::default());
            html! {
                @if sheet.picture.is_some() {
                    div.sheet-part.drawn { figure.elevation { (Parts::of(&sheet).elevation(Page::Phone)) } }
                } @else {
                    p.quiet { "Too little is told for a drawing: it needs at least stack, reach, head angle and the fork." }
                }
                (audited(&findings.audit))
            }
        }
        Err(error) => not_drawn(&error.to_string(), &error.help()),
    }
}

fn not_drawn(why: &str, help: &str) -> Markup {
    html! { div.notice.caution { p { strong { "Not drawn" } } p { (sentence(why)) " " (sentence(help)) } } }
}

fn audited(audit: &Audit) -> Markup {
    let agreement = Agreement::in_words(audit);
    html! {
        section.audit aria-labelledby="audit" {
            h2 id="audit" { "Does it agree with itself?" }
            p { (agreement.short()) }
            p { (agreement.sentence()) }
            @for suspect in &audit.suspects { p.suspect { (suspicion(suspect)) } }
            @if !audit.rows.is_empty() { (rows(&audit.rows)) }
        }
    }
}

/// What speaks against a row, and which others it might be.
fn suspicion(suspect: &AuditSuspect) -> String {
    let (value, pm) = suspect.expected;
    let mut words = format!(
        "{} is given as {}; the other rows say {} ±{}.",
        suspect.label,
        figure(suspect.given, suspect.unit),
        figure(value, suspect.unit),
        figure(pm, suspect.unit)
    );
    if !suspect.alike.is_empty() {
        let others = suspect.alike.join(", ").to_lowercase();
        words.push_str(&format!(" It could as well be {others}: the rows cannot tell them apart."));
    }
    words
}

fn rows(rows: &[AuditRow]) -> Markup {
    html! {
        details {
            summary { "Row by row" }
            div.scroll tabindex="0" role="region" aria-label="The chart, row by row" {
                table {
                    thead { tr { th scope="col" { "Row" } th.figure scope="col" { "given" } th.figure scope="col" { "solved" } th.figure scope="col" { "off by" } } }
                    tbody {
                        @for row in rows {
                            tr {
                                th scope="row" { (row.label) @if row.assumed { span.quiet { " (assumed)" } } }
                                td.figure { (figure(row.given, row.unit)) }
                                td.figure { (figure(row.solved, row.unit)) }
                                td.figure {
                                    @if row.hardly_checked || row.normalised.is_none() { span.quiet { "not checked" } }
                                    @else { (figure(row.residual, row.unit)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A figure to a tenth, with its unit.
fn figure(value: f64, unit: &str) -> String {
    let value = plain((value * 10.0).round() / 10.0);
    match unit {
        "" | "°" => format!("{value}{unit}"),
        _ => format!("{value}\u{a0}{unit}"),
    }
}

#[cfg(test)]
mod tests {
    use knockon_trade::{demo, record::parse};

    use super::*;

    fn record(text: &str) -> Record {
        parse("a bike", text).expect("a record").record
    }

    #[test]
    fn a_whole_chart_agrees_and_a_bare_record_says_too_little() {
        let larch = demo::bike("larch-150").expect("a bike of the demo");
        assert!(matches!(Agreement::of_record(&larch), Agreement::Agrees(_)));
        assert_eq!(Agreement::of_record(&record("name = \"Bare\"")), Agreement::TooLittle);
    }

    /// 40 mm more reach than the other rows of the demo's chart leave room for.
    #[test]
    fn a_slip_of_the_pen_is_named() {
        let text = demo::bikes().iter().find(|(stem, _)| *stem == "larch-150").expect("a bike").1;
        let slipped = record(&text.replace("front_centre = 785", "front_centre = 825"));
        let Agreement::Disagrees(by) = Agreement::of_record(&slipped) else { panic!("no suspect") };
        assert!(by.contains("front centre"), "{by}");
    }

    #[test]
    fn every_bike_of_the_demo_is_shown() {
        for (stem, _) in demo::bikes() {
            let page = drawn(demo::bike(stem).expect("a bike")).into_string();
            assert!(page.contains("Does it agree with itself?"), "{stem}");
        }
    }
}
