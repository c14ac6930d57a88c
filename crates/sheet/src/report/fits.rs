//! Do these parts go on this bike?

use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, Verdict};
use serde::Serialize;

use crate::compose::tone_of;
use crate::json::outcome;
use crate::text::Style;
use crate::text::lines::{Ink, Lines};
use crate::tone;

/// Every limit and connection that is judged, worst first.
fn judged(findings: &Findings) -> Vec<&Verdict> {
    let told = |verdict: &&Verdict| !findings.verdicts.iter().any(|it| it.requirement == verdict.requirement);
    let others = findings.connections.iter().map(|connected| &connected.verdict).filter(told);
    let mut all: Vec<&Verdict> = findings.verdicts.iter().chain(others).collect();
    all.sort_by_key(|verdict| verdict.rank());
    all
}

/// What it takes beside the parts themselves, each once.
fn needs<'a>(judged: &[&'a Verdict]) -> Vec<&'a str> {
    let mut needs = Vec::new();
    for needed in judged.iter().filter_map(|verdict| verdict.needs) {
        if !needs.contains(&needed) {
            needs.push(needed);
        }
    }
    needs
}

fn headline(judged: &[&Verdict]) -> &'static str {
    match judged.iter().map(|verdict| verdict.outcome).max() {
        None => "Nothing is known that could be judged.",
        Some(Outcome::Fits) => "What is known goes together.",
        Some(Outcome::MeasureFirst) => "It depends: measure first.",
        Some(Outcome::CannotSay) => "It cannot be said yet.",
        Some(Outcome::DoesNotFit)
            if judged.iter().all(|it| it.outcome != Outcome::DoesNotFit || it.needs.is_some()) =>
        {
            "Not as it is: it takes what is listed below."
        }
        Some(Outcome::DoesNotFit) => "It does not go together.",
    }
}

/// Verdicts, what it takes, what to ask, and every caution.
pub fn fits(findings: &Findings, width: usize, style: Style) -> String {
    let judged = judged(findings);
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Quiet, "", &findings.question.record.title());
    page.paragraph(Ink::Strong, "", headline(&judged));
    page.gap();
    for verdict in &judged {
        let tone = tone_of(verdict.outcome);
        let ink = if verdict.outcome == Outcome::DoesNotFit { Ink::Caution } else { Ink::Strong };
        let name = format!("{}: {}", verdict.label, tone::words(tone).to_lowercase());
        page.led(ink, &format!("{}  ", tone::mark(tone)), ink, &name);
        page.led(Ink::Plain, "   ", Ink::Plain, &verdict.sentence);
    }
    let needs = needs(&judged);
    if !needs.is_empty() {
        page.heading("It takes");
        for (index, needed) in needs.iter().enumerate() {
            page.led(Ink::Plain, &format!("{}  ", index + 1), Ink::Plain, needed);
        }
    }
    if !findings.missing.is_empty() {
        page.heading("Ask");
        for (index, missing) in findings.missing.iter().enumerate() {
            let text = format!("{} {}", missing.ask, missing.how);
            page.led(Ink::Plain, &format!("{}  ", index + 1), Ink::Plain, &text);
        }
    }
    page.heading("Caution");
    for (index, (caution, _)) in findings.cautions.iter().enumerate() {
        page.led(Ink::Caution, &format!("{}  ", index + 1), Ink::Caution, &caution.text);
    }
    page.gap();
    let mut sources: Vec<&str> = findings.connections.iter().map(|connected| connected.source).collect();
    let numbered = findings.verdicts.iter().filter_map(|verdict| verdict.source.checked_sub(1));
    sources.extend(numbered.filter_map(|at| findings.sources.all().get(at)).map(String::as_str));
    sources.sort_unstable();
    sources.dedup();
    page.paragraph(Ink::Quiet, "", &format!("Sources: {}.", sources.join("; ")));
    page.finish()
}

#[derive(Serialize)]
struct Object<'a> {
    bike: String,
    parts: Vec<String>,
    verdicts: Vec<Judged<'a>>,
    needs: Vec<&'a str>,
    missing: Vec<&'a str>,
    cautions: Vec<&'a str>,
}

#[derive(Serialize)]
struct Judged<'a> {
    requirement: &'a str,
    outcome: &'static str,
    sentence: &'a str,
    needs: Option<&'a str>,
    missing: &'a [&'static str],
    margin: Option<f64>,
    margin_pm: Option<f64>,
}

/// The same as one JSON object, in the names of the sheet's own; margins in mm.
///
/// # Panics
/// Never: the figures are finite.
pub fn fits_json(findings: &Findings) -> String {
    let judged = judged(findings);
    let object = Object {
        bike: findings.question.record.title(),
        parts: findings.question.changes.iter().map(ToString::to_string).collect(),
        verdicts: judged
            .iter()
            .map(|verdict| Judged {
                requirement: verdict.requirement,
                outcome: outcome(verdict.outcome),
                sentence: &verdict.sentence,
                needs: verdict.needs,
                missing: &verdict.missing,
                margin: verdict.margin.filter(|margin| margin.is_finite()),
                margin_pm: verdict.margin_pm.filter(|pm| pm.is_finite()),
            })
            .collect(),
        needs: needs(&judged),
        missing: findings.missing.iter().map(|missing| missing.key.as_str()).collect(),
        cautions: findings.cautions.iter().map(|(caution, _)| caution.text.as_str()).collect(),
    };
    serde_json::to_string_pretty(&object).expect("the figures are finite")
}
