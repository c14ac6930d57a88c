//! From findings to a sheet: words and rounded figures. Every writer reads the sheet; nothing is decided after this.

mod answer;
pub mod backwards;
mod figures;
mod outline;
mod springs;
mod sureness;
pub(crate) mod suspension;
pub mod takes;
pub mod workings;

pub(crate) use self::answer::tone as tone_of;
use knockon_trade::findings::Findings;
use knockon_trade::inspection::Judgement;
use knockon_trade::words::lower_first;

use crate::inspection;
use crate::sheet::{KnockOnRow, MissingRow, Note, RevisionRow, Sheet, TitleBlock, Tone, VerdictRow};
use crate::units::Units;

/// What the findings do not know: who draws the sheet, and when.
#[derive(Clone, Debug, Default)]
pub struct Heading {
    /// Workshop that answers.
    pub workshop: String,
    /// Date of the drawing, and who drew it where that is known; empty when nobody said.
    pub drawn: String,
    /// Sheet number; empty when nobody said.
    pub sheet: String,
    /// Units of the sheet; millimetres with English labels unless somebody chose others.
    pub units: Units,
}

/// Composes the sheet of an answer.
pub fn compose(findings: &Findings, heading: &Heading) -> Sheet {
    let units = heading.units;
    let mut used = Used { all: findings.sources.all(), order: Vec::new() };
    let mut moved: Vec<_> =
        findings.knock_ons.iter().filter(|knock_on| figures::is_shown(findings, knock_on)).collect();
    moved.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
    let mut sheet = Sheet {
        title: title(findings, heading),
        answer: answer::answer(findings, units),
        revisions: findings
            .revisions
            .iter()
            .map(|revision| RevisionRow {
                letter: revision.letter,
                label: revision.change.label().into_owned(),
                before: units.printed(&revision.before, revision.unit),
                after: units.printed(&revision.after, revision.unit),
                unit: units.label(revision.unit).to_owned(),
            })
            .collect(),
        knock_ons: moved.iter().map(|knock_on| row(units, knock_on)).collect(),
        unmoved: findings
            .knock_ons
            .iter()
            .filter(|_| !findings.revisions.is_empty() || findings.judgements.is_empty())
            .filter(|knock_on| !figures::is_shown(findings, knock_on))
            .filter(|knock_on| !figures::said_by_another(findings, knock_on))
            .map(|knock_on| figures::label(knock_on).to_owned())
            .collect(),
        verdicts: findings
            .verdicts
            .iter()
            .map(|verdict| VerdictRow {
                tone: answer::tone_of(verdict),
                label: verdict.label.to_owned(),
                sentence: units.sentence(&verdict.sentence),
                source: used.number(verdict.source),
            })
            .collect(),
        inspections: findings
            .question
            .inspections
            .iter()
            .zip(&findings.judgements)
            .map(|(inspected, judgement)| inspection::compose(inspected, judgement))
            .collect(),
        takes: takes::takes(findings, units),
        check_first: {
            let mut lines = sureness::check_first(findings, units);
            lines.extend(findings.judgements.iter().filter_map(look_again));
            lines
        },
        how_sure: {
            let mut lines = sureness::how_sure(findings, units);
            lines.extend(formulas(&moved, &mut used));
            lines
        },
        missing: findings
            .missing
            .iter()
            .map(|missing| MissingRow {
                ask: missing.ask.clone(),
                how: missing.how.clone(),
                needed_for: missing.needed_for.join(", "),
            })
            .collect(),
        cautions: findings
            .cautions
            .iter()
            .map(|(caution, source)| Note { text: caution.text.clone(), source: used.number(*source) })
            .collect(),
        assumptions: findings
            .assumptions
            .iter()
            .map(|assumed| Note {
                text: units.sentence(&sureness::assumption(assumed)),
                source: used.number(assumed.source),
            })
            .collect(),
        sources: used.order.iter().map(|number| findings.sources.all()[number - 1].clone()).collect(),
        picture: outline::picture(findings, units),
        ride: None,
        parts: Vec::new(),
    };
    suspension::add(&mut sheet, findings, units);
    workings::add(&mut sheet, findings, units);
    sheet
}

/// When something that was inspected is looked at again.
fn look_again(judgement: &Judgement) -> Option<String> {
    let interval = judgement.outcome.interval.as_ref()?;
    Some(format!("Look again, {}: {interval}.", lower_first(&judgement.protocol.title)))
}

/// The sources that a sheet refers to, renumbered in the order in which it does.
struct Used<'a> {
    all: &'a [String],
    order: Vec<usize>,
}

impl Used<'_> {
    fn number(&mut self, source: usize) -> usize {
        debug_assert!((1..=self.all.len()).contains(&source));
        if let Some(at) = self.order.iter().position(|known| *known == source) {
            return at + 1;
        }
        self.order.push(source);
        self.order.len()
    }
}

/// Where the formulas and the noticeable steps of the table come from.
fn formulas(moved: &[&knockon_trade::findings::KnockOn], used: &mut Used<'_>) -> Option<String> {
    let mut list = |pick: fn(&knockon_trade::findings::KnockOn) -> usize| {
        let mut numbers: Vec<usize> = moved.iter().map(|knock_on| used.number(pick(knock_on))).collect();
        numbers.sort_unstable();
        numbers.dedup();
        numbers.iter().map(|number| format!("[{number}]")).collect::<Vec<_>>().join(" ")
    };
    (!moved.is_empty()).then(|| {
        let formulas = list(|knock_on| knock_on.source);
        let steps = list(|knock_on| knock_on.threshold_source);
        format!("Formulas: {formulas}. Steps that a rider notices: {steps}.")
    })
}

fn title(findings: &Findings, heading: &Heading) -> TitleBlock {
    let asked = &findings.question.asked;
    let changes = || {
        findings.revisions.iter().map(|revision| revision.change.to_string()).collect::<Vec<_>>().join("; ")
    };
    TitleBlock {
        question: if !asked.is_empty() {
            asked.clone()
        } else if findings.revisions.is_empty() {
            "As it stands".to_owned()
        } else {
            // A title begins with a capital, the language of changes does not.
            let title = changes();
            title.chars().take(1).flat_map(char::to_uppercase).chain(title.chars().skip(1)).collect()
        },
        bike: findings.question.record.title(),
        workshop: heading.workshop.clone(),
        drawn: heading.drawn.clone(),
        sheet: heading.sheet.clone(),
        frame_data: sureness::frame_data(findings),
        revision: findings
            .revisions
            .last()
            .map_or_else(|| "–".to_owned(), |revision| revision.letter.to_string()),
        units: heading.units.title(),
    }
}

/// Units that a row of the table has in its name.
const IN_THE_NAME: [&str; 7] = ["m", "m/s²", "pieces", "teeth", "bar", "N", "N/mm"];

/// Name of a quantity's row. A unit in words stands once, with the name, rather than behind each of the row's figures.
fn row_name(label: &str, unit: &str) -> String {
    if IN_THE_NAME.contains(&unit) { format!("{label}, {unit}") } else { label.to_owned() }
}

fn row(units: Units, knock_on: &knockon_trade::findings::KnockOn) -> KnockOnRow {
    let said = IN_THE_NAME.contains(&knock_on.unit);
    KnockOnRow {
        label: row_name(figures::label(knock_on), knock_on.unit),
        unit: if said { String::new() } else { units.label(knock_on.unit).to_owned() },
        before: figures::told(units, knock_on, knock_on.before, knock_on.before_pm),
        after: figures::told(units, knock_on, knock_on.after, knock_on.after_pm),
        difference: figures::difference(units, knock_on),
        plus_minus: figures::plus_minus(units, knock_on),
        shares: figures::shares(units, knock_on),
        noticed: knock_on.noticed.word().to_owned(),
    }
}

/// The tone that colours a sheet with these verdicts.
pub(crate) fn worst(findings: &Findings) -> Tone {
    findings.verdicts.first().map_or(Tone::NoLimit, answer::tone_of)
}

/// What the chart's rows say of each other, in one sentence.
pub(crate) fn chart_sentence(findings: &Findings) -> String {
    sureness::chart(&findings.audit, Units::default())
}
