//! The short answer: a headline and at most three sentences, computed from the findings.

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, KnockOn, Noticed, Verdict};
use knockon_trade::tables;

use super::figures::amount;
use crate::sheet::{Answer, Tone};

/// Quantities that mean something to a rider, without those that only repeat another one.
const TOLD: [Quantity; 13] = [
    Quantity::GripStack,
    Quantity::GripReach,
    Quantity::GripWidth,
    Quantity::HeadAngle,
    Quantity::SeatAngle,
    Quantity::BottomBracketHeight,
    Quantity::SaddleToPedal,
    Quantity::SaddleSetback,
    Quantity::Trail,
    Quantity::Wheelbase,
    Quantity::ForkTravel,
    Quantity::RearTravel,
    Quantity::PedalToGroundClearance,
];

pub(super) fn tone(outcome: Outcome) -> Tone {
    match outcome {
        Outcome::Fits => Tone::Fits,
        Outcome::MeasureFirst => Tone::MeasureFirst,
        Outcome::CannotSay => Tone::CannotSay,
        Outcome::DoesNotFit => Tone::DoesNotFit,
    }
}

pub(super) fn answer(findings: &Findings) -> Answer {
    let tone = super::worst(findings);
    let mut sentences = Vec::new();
    if let Some(worst) = findings.verdicts.first() {
        sentences.push(first_sentence(findings, worst));
    }
    sentences.push(what_moves(findings));
    sentences.extend(last_sentence(findings));
    sentences.truncate(3);
    Answer { tone, headline: headline(findings, tone), sentences }
}

fn headline(findings: &Findings, tone: Tone) -> String {
    let worst = findings.verdicts.first();
    let noticed = findings.knock_ons.iter().any(|knock_on| knock_on.noticed == Noticed::Yes);
    match (tone, worst) {
        (Tone::DoesNotFit, Some(worst)) => match worst.requirement {
            "axle_to_crown" => "Not with this fork.".to_owned(),
            "steerer_length" => "Not with this steerer.".to_owned(),
            "spacers_below" => "Not with that many spacers.".to_owned(),
            "bar_clamp" => "This bar does not go into this stem.".to_owned(),
            _ => "Not with this tyre.".to_owned(),
        },
        (Tone::MeasureFirst, Some(worst)) => format!("Measure first: {}.", lower_first(worst.label)),
        (Tone::CannotSay, Some(worst)) => format!("Cannot say yet: {} unknown.", lower_first(worst.label)),
        _ if findings.revisions.is_empty() => "The bike as it stands.".to_owned(),
        (_, Some(_)) if noticed => "It fits by the figures, and you will notice.".to_owned(),
        (_, Some(_)) => "It fits by the figures; you will hardly notice.".to_owned(),
        _ if noticed => "You will notice this one.".to_owned(),
        _ => "You will hardly notice.".to_owned(),
    }
}

/// The worst verdict, and how many more came out as badly.
fn first_sentence(findings: &Findings, worst: &Verdict) -> String {
    let sentence = worst.sentence.split_inclusive(". ").next().unwrap_or(&worst.sentence).trim().to_owned();
    let more = findings.verdicts.iter().filter(|verdict| verdict.outcome == worst.outcome).count() - 1;
    if more == 0 || worst.outcome == Outcome::Fits {
        return sentence;
    }
    let others: Vec<String> =
        findings.verdicts[1..=more].iter().map(|verdict| lower_first(verdict.label)).collect();
    let others = join(&others);
    match worst.outcome {
        Outcome::DoesNotFit => {
            format!("{} ({others} stands against it too).", sentence.trim_end_matches('.'))
        }
        _ => format!("{} (the same goes for {others}).", sentence.trim_end_matches('.')),
    }
}

/// What moves most, in a rider's words.
fn what_moves(findings: &Findings) -> String {
    if findings.revisions.is_empty() {
        return as_it_stands(findings);
    }
    let mut told: Vec<&KnockOn> = findings
        .knock_ons
        .iter()
        .filter(|knock_on| TOLD.contains(&knock_on.quantity) && knock_on.moved())
        .collect();
    told.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
    // A crank moves saddle-to-pedal and clearance alike; clearance repeats the bottom bracket otherwise.
    let height_told = told
        .iter()
        .any(|knock_on| knock_on.quantity == Quantity::BottomBracketHeight && knock_on.weight() > 0.2);
    told.retain(|knock_on| !(height_told && knock_on.quantity == Quantity::PedalToGroundClearance));
    let felt: Vec<String> = told
        .iter()
        .filter(|knock_on| {
            knock_on.noticed == Noticed::Yes
                || (knock_on.noticed == Noticed::Maybe && knock_on.weight() > 0.6)
        })
        .filter_map(|knock_on| phrase(knock_on.quantity, knock_on.difference?, knock_on.unit))
        .take(3)
        .collect();
    if !felt.is_empty() {
        return sentence(&join(&felt));
    }
    match told.iter().find_map(|knock_on| {
        phrase(knock_on.quantity, knock_on.difference?, knock_on.unit).filter(|_| knock_on.weight() > 0.01)
    }) {
        Some(most) => {
            sentence(&format!("{most}, which is less than most riders notice, and nothing else moves more"))
        }
        None if told.iter().any(|knock_on| knock_on.difference.is_none()) => {
            "How far things move cannot be said before the missing facts are known.".to_owned()
        }
        None => "Neither your position nor the steering moves.".to_owned(),
    }
}

fn as_it_stands(findings: &Findings) -> String {
    let told: Vec<String> =
        [Quantity::Stack, Quantity::Reach, Quantity::HeadAngle, Quantity::Wheelbase, Quantity::Trail]
            .iter()
            .filter_map(|quantity| {
                let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == *quantity)?;
                let name = tables::quantity(*quantity).label.to_lowercase();
                Some(format!("{name} {}", amount(knock_on.before?, knock_on.unit)))
            })
            .collect();
    if told.is_empty() {
        "Too little is known of it to say how it stands.".to_owned()
    } else {
        sentence(&join(&told))
    }
}

/// What would remain without the offending revisions; else how sure the largest move is.
fn last_sentence(findings: &Findings) -> Option<String> {
    if let Some(without) = &findings.without {
        let letters: Vec<String> = without.letters.iter().map(ToString::to_string).collect();
        let mut rest: Vec<(f64, String)> = without
            .differences
            .iter()
            .filter(|(quantity, _)| TOLD.contains(quantity))
            .filter_map(|(quantity, difference)| {
                let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == *quantity)?;
                let steps = difference.abs() / knock_on.threshold;
                Some((steps, phrase(*quantity, *difference, knock_on.unit)?))
            })
            .filter(|(steps, _)| *steps > 0.1)
            .collect();
        rest.sort_by(|a, b| b.0.total_cmp(&a.0));
        let noticed = rest.first().is_some_and(|(steps, _)| *steps >= 1.0);
        let phrases: Vec<String> = rest.into_iter().take(2).map(|(_, phrase)| phrase).collect();
        let end = if noticed { "" } else { ", which few riders would feel" };
        return (!phrases.is_empty()).then(|| format!("Without {} {}{end}.", join(&letters), join(&phrases)));
    }
    let top = findings
        .knock_ons
        .iter()
        .filter(|knock_on| {
            TOLD.contains(&knock_on.quantity) && knock_on.difference.is_some() && knock_on.weight() > 0.05
        })
        .max_by(|a, b| a.weight().total_cmp(&b.weight()))?;
    let pm = amount(top.difference_pm?.max(if top.unit == "°" { 0.05 } else { 0.1 }), top.unit);
    match &top.measure_next {
        Some(next) => Some(format!(
            "The largest of these is sure to ±{pm}; to know it better, measure the {}.",
            next.label
        )),
        None => Some(format!("The largest of these is sure to ±{pm}.")),
    }
}

fn phrase(quantity: Quantity, difference: f64, unit: &str) -> Option<String> {
    let text = tables::quantity(quantity);
    let small = if unit == "°" { 0.05 } else { 0.05 };
    if difference.abs() < small {
        return None;
    }
    let template = if difference > 0.0 { &text.more } else { &text.less };
    let unit = if unit == "%" { "% points" } else { unit };
    Some(template.replace("{}", &amount(difference, unit).replace("% points", "percentage points")))
}

/// "a, b and c".
pub(super) fn join(parts: &[String]) -> String {
    match parts.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// A sentence: a capital at the start, a full stop at the end.
fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", chars.as_str())
}
