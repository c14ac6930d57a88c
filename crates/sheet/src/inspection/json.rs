//! JSON for other programs; `schema/inspection.schema.json` describes it.

use serde::Serialize;

use super::{Heading, Inspection};

/// JSON Schema (2020-12) of what [`json`] writes.
pub const SCHEMA: &str = include_str!("../../schema/inspection.schema.json");

#[derive(Serialize)]
struct Object<'a> {
    protocol: &'a str,
    edition: u32,
    title: &'a str,
    bike: &'a str,
    part: &'a str,
    signed: &'a str,
    finished: bool,
    grade: &'static str,
    headline: &'a str,
    because: &'a [String],
    #[serde(rename = "do")]
    actions: &'a [String],
    rider: &'a str,
    interval: Option<&'a str>,
    found: Vec<Found<'a>>,
    next: Option<Next<'a>>,
    not_checked: &'a [String],
    not_seen: &'a [String],
    qualified: &'a str,
    photos: Vec<Photo<'a>>,
    cautions: Vec<Caution<'a>>,
    sources: &'a [String],
}

#[derive(Serialize)]
struct Found<'a> {
    step: &'a str,
    ask: &'a str,
    answer: &'a str,
    note: &'a str,
    grade: Option<&'static str>,
}

#[derive(Serialize)]
struct Next<'a> {
    step: &'a str,
    ask: &'a str,
    answers: &'a [&'static str],
}

#[derive(Serialize)]
struct Photo<'a> {
    caption: &'a str,
    marks: Vec<String>,
}

#[derive(Serialize)]
struct Caution<'a> {
    text: &'a str,
    source: usize,
}

/// The inspection as one object; the number of a source counts from 1.
///
/// # Panics
/// Never: there are texts and whole numbers alone.
pub fn json(inspection: &Inspection, about: &Heading) -> String {
    let object = Object {
        protocol: inspection.protocol,
        edition: inspection.edition,
        title: &inspection.title,
        bike: &about.bike,
        part: &inspection.part,
        signed: &inspection.signed,
        finished: inspection.next.is_none(),
        grade: inspection.grade.key(),
        headline: &inspection.headline,
        because: &inspection.because,
        actions: &inspection.actions,
        rider: &inspection.rider,
        interval: inspection.interval.as_deref(),
        found: inspection
            .found
            .iter()
            .map(|row| Found {
                step: row.step,
                ask: &row.ask,
                answer: &row.answer,
                note: &row.note,
                grade: row.is_graded.then(|| row.grade.key()),
            })
            .collect(),
        next: inspection.next.as_ref().map(|next| Next {
            step: next.step,
            ask: &next.ask,
            answers: &next.answers,
        }),
        not_checked: &inspection.unchecked,
        not_seen: &inspection.not_seen,
        qualified: &inspection.qualified,
        photos: inspection
            .photos
            .iter()
            .map(|photo| Photo {
                caption: &photo.caption,
                marks: photo.marks.iter().map(ToString::to_string).collect(),
            })
            .collect(),
        cautions: inspection
            .cautions
            .iter()
            .map(|note| Caution { text: &note.text, source: note.source })
            .collect(),
        sources: &inspection.sources,
    };
    serde_json::to_string_pretty(&object).expect("texts and whole numbers")
}
