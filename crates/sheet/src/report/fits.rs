//! Do these parts go on this bike?

use knockon_engine::requirement::Outcome;
use knockon_trade::findings::Findings;
use knockon_trade::verdict::Verdict;
use knockon_trade::words::lower_first;
use serde::Serialize;

use crate::compose::takes::{nothing_mends, thing};
use crate::compose::tone_of;
use crate::json::{Thing, outcome, things};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};
use crate::tone;

/// Every limit, connection and condition that is judged, worst first.
pub fn judged(findings: &Findings) -> Vec<&Verdict> {
    let told = |verdict: &&Verdict| !findings.verdicts.iter().any(|it| it.requirement == verdict.requirement);
    let others = findings.fits.iter().map(|judged| &judged.verdict).filter(told);
    let mut all: Vec<&Verdict> = findings.verdicts.iter().chain(others).collect();
    all.sort_by_key(|verdict| verdict.rank());
    all
}

/// Whether a verdict is one that holds and that no change touches: it is told by its name alone.
pub fn stands(findings: &Findings, verdict: &Verdict) -> bool {
    verdict.outcome == Outcome::Fits
        && !findings.verdicts.iter().any(|told| told.requirement == verdict.requirement)
}

/// Sources of all that is judged, each once.
pub fn sources(findings: &Findings) -> Vec<&str> {
    let mut sources: Vec<&str> = findings.fits.iter().map(|judged| judged.source).collect();
    let numbered = findings.verdicts.iter().filter_map(|verdict| verdict.source.checked_sub(1));
    sources.extend(numbered.filter_map(|at| findings.sources.all().get(at)).map(String::as_str));
    sources.sort_unstable();
    sources.dedup();
    sources
}

/// The answer in a sentence.
pub fn headline(findings: &Findings) -> &'static str {
    let judged = judged(findings);
    match judged.iter().map(|verdict| verdict.outcome).max() {
        None => "Nothing is known that could be judged.",
        Some(Outcome::Fits) => "What is known goes together.",
        Some(Outcome::MeasureFirst) => "It depends: measure first.",
        Some(Outcome::CannotSay) => "It cannot be said yet.",
        Some(Outcome::DoesNotFit) if !findings.shopping.unmended.is_empty() => "It does not go together.",
        Some(Outcome::DoesNotFit)
            if judged.iter().any(|it| matches!(it.outcome, Outcome::CannotSay | Outcome::MeasureFirst)) =>
        {
            "Not as it is: it takes what is listed below, and more is still open."
        }
        Some(Outcome::DoesNotFit) => "Not as it is: it takes what is listed below.",
    }
}

/// Verdicts, what it takes, what to ask, and every caution.
pub fn fits(findings: &Findings, width: usize, style: Style) -> String {
    let judged = judged(findings);
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Quiet, "", &findings.question.record.title());
    page.paragraph(Ink::Strong, "", headline(findings));
    page.gap();
    let (quiet, loud): (Vec<&Verdict>, Vec<&Verdict>) =
        judged.iter().copied().partition(|verdict| stands(findings, verdict));
    for verdict in loud {
        let tone = tone_of(verdict.outcome);
        let ink = if verdict.outcome == Outcome::DoesNotFit { Ink::Caution } else { Ink::Strong };
        let name = format!("{}: {}", verdict.label, tone::words(tone).to_lowercase());
        page.led(ink, &format!("{}  ", tone::mark(tone)), ink, &name);
        page.led(Ink::Plain, "   ", Ink::Plain, &verdict.sentence);
    }
    if !quiet.is_empty() {
        page.gap();
        let labels: Vec<String> = quiet.iter().map(|verdict| lower_first(verdict.label)).collect();
        page.led(
            Ink::Strong,
            &format!("{}  ", tone::mark(tone_of(Outcome::Fits))),
            Ink::Plain,
            &format!("Fits, and nothing here changes it: {}.", labels.join("; ")),
        );
    }
    let shopping = &findings.shopping;
    if !shopping.items.is_empty() {
        page.heading("It takes");
        for (index, item) in shopping.items.iter().enumerate() {
            page.led(Ink::Plain, &format!("{}  ", index + 1), Ink::Plain, &thing(item));
        }
    }
    if let Some(sentence) = nothing_mends(findings) {
        page.gap();
        page.paragraph(Ink::Plain, "", &sentence);
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
    page.paragraph(Ink::Quiet, "", &format!("Sources: {}.", sources(findings).join("; ")));
    page.finish()
}

#[derive(Serialize)]
struct Object<'a> {
    bike: String,
    parts: Vec<String>,
    verdicts: Vec<Judged<'a>>,
    shopping: Vec<Thing<'a>>,
    unmended: &'a [&'static str],
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
    let shopping = &findings.shopping;
    let object = Object {
        bike: findings.question.record.title(),
        parts: findings.question.changes.iter().map(ToString::to_string).collect(),
        verdicts: judged
            .iter()
            .map(|verdict| Judged {
                requirement: verdict.requirement,
                outcome: outcome(verdict.outcome),
                sentence: &verdict.sentence,
                needs: verdict.needs.as_deref(),
                missing: &verdict.missing,
                margin: verdict.margin.filter(|margin| margin.is_finite()),
                margin_pm: verdict.margin_pm.filter(|pm| pm.is_finite()),
            })
            .collect(),
        shopping: things(shopping),
        unmended: &shopping.unmended,
        missing: findings.missing.iter().map(|missing| missing.key.as_str()).collect(),
        cautions: findings.cautions.iter().map(|(caution, _)| caution.text.as_str()).collect(),
    };
    serde_json::to_string_pretty(&object).expect("the figures are finite")
}
