//! The answer as JSON, at full precision, for other programs, always in millimetres and degrees. `schema/what-if.schema.json` describes it.

pub(crate) mod depth;
mod suspension;

use std::collections::BTreeMap;

use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, KnockOn};
use knockon_trade::fit::shopping::Shopping;
use serde::Serialize;

/// JSON Schema (2020-12) of what [`json`] writes.
pub const SCHEMA: &str = include_str!("../schema/what-if.schema.json");

/// The whole answer.
#[derive(Serialize)]
struct Answer<'a> {
    question: &'a str,
    bike: Bike<'a>,
    revisions: Vec<Revision>,
    knock_ons: Vec<Row<'a>>,
    verdicts: Vec<Verdict<'a>>,
    inspections: Vec<Inspected<'a>>,
    shopping: Vec<Thing<'a>>,
    unmended: &'a [&'static str],
    missing: Vec<Missing<'a>>,
    cautions: Vec<Note<'a>>,
    assumptions: Vec<Assumption<'a>>,
    chart: Chart<'a>,
    suspension: Option<suspension::Suspension<'a>>,
    in_depth: depth::InDepth<'a>,
    sources: &'a [String],
}

/// One inspection; `knockon inspect --json` tells it whole.
#[derive(Serialize)]
struct Inspected<'a> {
    protocol: &'a str,
    part: &'a str,
    signed: &'a str,
    finished: bool,
    grade: &'static str,
    headline: &'a str,
    interval: Option<&'a str>,
}

fn inspections(findings: &Findings) -> Vec<Inspected<'_>> {
    let all = findings.question.inspections.iter().zip(&findings.judgements);
    all.map(|(inspected, judgement)| Inspected {
        protocol: &judgement.protocol.id,
        part: &inspected.part,
        signed: &inspected.signed,
        finished: judgement.is_finished(),
        grade: judgement.grade.key(),
        headline: &judgement.outcome.say,
        interval: judgement.outcome.interval.as_deref(),
    })
    .collect()
}

/// One thing to buy.
#[derive(Serialize)]
pub(crate) struct Thing<'a> {
    what: &'a str,
    changes: &'a str,
    mends: &'a [&'static str],
}

/// Everything to buy.
pub(crate) fn things(shopping: &Shopping) -> Vec<Thing<'_>> {
    shopping
        .items
        .iter()
        .map(|item| Thing { what: &item.what, changes: item.changes, mends: &item.mends })
        .collect()
}

#[derive(Serialize)]
struct Bike<'a> {
    name: Option<&'a str>,
    size: Option<&'a str>,
    kind: Option<&'a str>,
}

#[derive(Serialize)]
struct Revision {
    letter: char,
    change: String,
    before: String,
    after: String,
    unit: &'static str,
}

#[derive(Serialize)]
struct Row<'a> {
    quantity: &'static str,
    unit: &'static str,
    before: Option<f64>,
    after: Option<f64>,
    difference: Option<f64>,
    before_pm: Option<f64>,
    after_pm: Option<f64>,
    difference_pm: Option<f64>,
    shares: BTreeMap<char, Option<f64>>,
    noticeable: &'static str,
    threshold: f64,
    measure_next: Option<&'a str>,
    variance_shares: BTreeMap<&'a str, f64>,
    source: usize,
    threshold_source: usize,
}

#[derive(Serialize)]
struct Verdict<'a> {
    requirement: &'static str,
    outcome: &'static str,
    margin: Option<f64>,
    margin_pm: Option<f64>,
    sentence: &'a str,
    measure_next: Option<&'a str>,
    missing: &'a [&'static str],
    needs: Option<&'a str>,
    source: usize,
}

#[derive(Serialize)]
struct Missing<'a> {
    key: &'a str,
    ask: &'a str,
    how: &'a str,
    needed_for: &'a [String],
}

#[derive(Serialize)]
struct Note<'a> {
    id: &'a str,
    text: &'a str,
    source: usize,
}

#[derive(Serialize)]
struct Assumption<'a> {
    key: &'a str,
    value: f64,
    pm: f64,
    unit: &'static str,
    why: &'a str,
    placeholder: bool,
    source: usize,
}

#[derive(Serialize)]
struct Chart<'a> {
    suspects: Vec<&'a str>,
    redundancy: f64,
    widened: f64,
}

/// Name of an outcome in JSON.
pub fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Fits => "fits",
        Outcome::DoesNotFit => "does_not_fit",
        Outcome::MeasureFirst => "measure_first",
        Outcome::CannotSay => "cannot_say",
    }
}

/// The findings as one JSON object, indented, with a line end.
pub fn json(findings: &Findings) -> String {
    let record = &findings.question.record;
    let answer = Answer {
        question: &findings.question.asked,
        bike: Bike {
            name: record.name.as_deref(),
            size: record.size.as_deref(),
            kind: record.kind.map(knockon_trade::record::Kind::word),
        },
        revisions: findings
            .revisions
            .iter()
            .map(|revision| Revision {
                letter: revision.letter,
                change: revision.change.to_string(),
                before: revision.before.clone(),
                after: revision.after.clone(),
                unit: revision.unit,
            })
            .collect(),
        knock_ons: findings.knock_ons.iter().map(|knock_on| row(findings, knock_on)).collect(),
        verdicts: findings
            .verdicts
            .iter()
            .map(|verdict| Verdict {
                requirement: verdict.requirement,
                outcome: outcome(verdict.outcome),
                margin: verdict.margin.filter(|margin| margin.is_finite()),
                margin_pm: verdict.margin_pm.filter(|pm| pm.is_finite()),
                sentence: &verdict.sentence,
                measure_next: verdict.measure.as_ref().map(|next| next.key.as_str()),
                missing: &verdict.missing,
                needs: verdict.needs.as_deref(),
                source: verdict.source,
            })
            .collect(),
        inspections: inspections(findings),
        shopping: things(&findings.shopping),
        unmended: &findings.shopping.unmended,
        missing: findings
            .missing
            .iter()
            .map(|missing| Missing {
                key: &missing.key,
                ask: &missing.ask,
                how: &missing.how,
                needed_for: &missing.needed_for,
            })
            .collect(),
        cautions: findings
            .cautions
            .iter()
            .map(|(caution, source)| Note { id: &caution.id, text: &caution.text, source: *source })
            .collect(),
        assumptions: findings
            .assumptions
            .iter()
            .map(|assumed| Assumption {
                key: &assumed.key,
                value: assumed.value.0,
                pm: assumed.value.1,
                unit: assumed.unit,
                why: &assumed.why,
                placeholder: assumed.placeholder,
                source: assumed.source,
            })
            .collect(),
        chart: Chart {
            suspects: findings.audit.suspects.iter().map(|suspect| suspect.label.as_str()).collect(),
            redundancy: findings.audit.redundancy,
            widened: findings.audit.widened,
        },
        suspension: findings.suspension.as_ref().map(suspension::part),
        in_depth: depth::part(&findings.workings),
        sources: findings.sources.all(),
    };
    let mut text = serde_json::to_string_pretty(&answer).unwrap_or_default();
    text.push('\n');
    text
}

fn row<'a>(findings: &Findings, knock_on: &'a KnockOn) -> Row<'a> {
    Row {
        quantity: knock_on.quantity.id(),
        unit: knock_on.unit,
        before: knock_on.before,
        after: knock_on.after,
        difference: knock_on.difference,
        before_pm: knock_on.before_pm,
        after_pm: knock_on.after_pm,
        difference_pm: knock_on.difference_pm,
        shares: findings
            .revisions
            .iter()
            .zip(&knock_on.shares)
            // A share of an untold difference is as untold as the difference.
            .map(|(revision, share)| {
                (revision.letter, knock_on.difference.map(|_| *share).filter(|share| share.is_finite()))
            })
            .collect(),
        noticeable: knock_on.noticed.word(),
        threshold: knock_on.threshold,
        measure_next: knock_on.measure_next.as_ref().map(|next| next.key.as_str()),
        variance_shares: knock_on.variance_shares.iter().map(|(key, share)| (key.as_str(), *share)).collect(),
        source: knock_on.source,
        threshold_source: knock_on.threshold_source,
    }
}
