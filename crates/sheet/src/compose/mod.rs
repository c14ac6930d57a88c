//! From findings to a sheet: words and rounded figures. Every writer reads the sheet; nothing is decided after this.

mod answer;
mod figures;
mod outline;
mod sureness;

use knockon_trade::findings::Findings;

use crate::sheet::{KnockOnRow, MissingRow, Note, RevisionRow, Sheet, TitleBlock, Tone, VerdictRow};

/// What the findings do not know: who draws the sheet, and when.
#[derive(Clone, Debug, Default)]
pub struct Heading {
    /// Workshop that answers.
    pub workshop: String,
    /// Date of the drawing; empty when nobody said.
    pub drawn: String,
    /// Sheet number; empty when nobody said.
    pub sheet: String,
}

/// Composes the sheet of an answer.
pub fn compose(findings: &Findings, heading: &Heading) -> Sheet {
    let mut moved: Vec<_> =
        findings.knock_ons.iter().filter(|knock_on| figures::is_shown(knock_on)).collect();
    moved.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
    Sheet {
        title: title(findings, heading),
        answer: answer::answer(findings),
        revisions: findings
            .revisions
            .iter()
            .map(|revision| RevisionRow {
                letter: revision.letter,
                label: revision.change.label().to_owned(),
                before: revision.before.clone(),
                after: revision.after.clone(),
                unit: revision.unit.to_owned(),
            })
            .collect(),
        knock_ons: moved.iter().map(|knock_on| row(knock_on)).collect(),
        unmoved: findings
            .knock_ons
            .iter()
            .filter(|knock_on| !figures::is_shown(knock_on))
            .map(|knock_on| figures::label(knock_on).to_owned())
            .collect(),
        verdicts: findings
            .verdicts
            .iter()
            .map(|verdict| VerdictRow {
                tone: answer::tone(verdict.outcome),
                label: verdict.label.to_owned(),
                sentence: verdict.sentence.clone(),
                source: verdict.source,
            })
            .collect(),
        check_first: sureness::check_first(findings),
        how_sure: sureness::how_sure(findings),
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
            .map(|(caution, source)| Note { text: caution.text.clone(), source: *source })
            .collect(),
        assumptions: findings.assumptions.iter().map(sureness::assumption).collect(),
        sources: findings.sources.all().to_vec(),
        picture: outline::picture(findings),
    }
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
            changes()
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
    }
}

fn row(knock_on: &knockon_trade::findings::KnockOn) -> KnockOnRow {
    KnockOnRow {
        label: figures::label(knock_on).to_owned(),
        unit: knock_on.unit.to_owned(),
        before: figures::value(knock_on.before, knock_on.unit),
        after: figures::value(knock_on.after, knock_on.unit),
        difference: figures::difference(knock_on),
        plus_minus: figures::plus_minus(knock_on),
        shares: figures::shares(knock_on),
        noticed: knock_on.noticed.word().to_owned(),
    }
}

/// The tone that colours a sheet with these verdicts.
pub(crate) fn worst(findings: &Findings) -> Tone {
    findings.verdicts.iter().map(|verdict| verdict.outcome).max().map_or(Tone::Fits, answer::tone)
}

/// What the chart's rows say of each other, in one sentence.
pub(crate) fn chart_sentence(findings: &Findings) -> String {
    sureness::chart(&findings.audit)
}
