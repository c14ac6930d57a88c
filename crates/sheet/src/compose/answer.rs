//! The short answer: a headline and at most three sentences, computed from the findings.

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, KnockOn, Noticed};
use knockon_trade::inspection::{Grade, Inspected};
use knockon_trade::tables::{self, Caution};
use knockon_trade::urgent;
use knockon_trade::verdict::Verdict;
use knockon_trade::words::{first_sentence, join, lower_first, upper_first};

use super::figures::amount;
use crate::inspection;
use crate::sheet::{Answer, Tone};
use crate::units::Units;

/// Quantities that mean something to a rider, those felt first at the head; without those that only repeat another one.
const TOLD: [Quantity; 35] = [
    Quantity::GripStack,
    Quantity::GripReach,
    Quantity::GripWidth,
    Quantity::SaddleToPedal,
    Quantity::SaddleSetback,
    Quantity::HeadAngle,
    Quantity::BottomBracketHeight,
    Quantity::Trail,
    Quantity::ForkTravel,
    Quantity::RearTravel,
    Quantity::SeatAngle,
    Quantity::Wheelbase,
    Quantity::PedalToGroundClearance,
    Quantity::HeadAngleAtSag,
    Quantity::BottomBracketHeightAtSag,
    Quantity::GripStackAtSag,
    Quantity::InnerSpacer,
    Quantity::RearSag,
    Quantity::ForkSag,
    Quantity::CoilRateForSag,
    Quantity::PressureForSag,
    Quantity::ForkCoilRateForSag,
    Quantity::ForkPressureForSag,
    Quantity::AntiSquatAtSag,
    Quantity::PedalKickback,
    Quantity::Progression,
    Quantity::LowestDevelopment,
    Quantity::HighestDevelopment,
    Quantity::LowestGainRatio,
    Quantity::SteepestClimb,
    Quantity::ChainlineAngle,
    Quantity::FrontRotorLeverage,
    Quantity::RearRotorLeverage,
    Quantity::FrontPressureSuggested,
    Quantity::RearPressureSuggested,
];

/// Pairs of which the second says the same as the first in other figures.
const REPEATS: [(Quantity, Quantity); 9] = [
    (Quantity::HeadAngle, Quantity::SeatAngle),
    (Quantity::HeadAngle, Quantity::Trail),
    (Quantity::BottomBracketHeight, Quantity::PedalToGroundClearance),
    (Quantity::HeadAngle, Quantity::HeadAngleAtSag),
    (Quantity::BottomBracketHeight, Quantity::BottomBracketHeightAtSag),
    (Quantity::GripStack, Quantity::GripStackAtSag),
    (Quantity::InnerSpacer, Quantity::RearSag),
    (Quantity::LowestDevelopment, Quantity::LowestGainRatio),
    (Quantity::LowestDevelopment, Quantity::SteepestClimb),
];

pub(crate) fn tone(outcome: Outcome) -> Tone {
    match outcome {
        Outcome::Fits => Tone::Fits,
        Outcome::MeasureFirst => Tone::MeasureFirst,
        Outcome::CannotSay => Tone::CannotSay,
        Outcome::DoesNotFit => Tone::DoesNotFit,
    }
}

/// What an inspection found is told in its own words: it speaks of riding, not of fitting.
pub(super) fn tone_of(verdict: &Verdict) -> Tone {
    match verdict.outcome {
        Outcome::DoesNotFit if verdict.is_of_inspection() => Tone::DoNotRide,
        _ if verdict.is_of_inspection() => Tone::Inspect,
        outcome => tone(outcome),
    }
}

pub(super) fn answer(findings: &Findings, units: Units) -> Answer {
    let tone = super::worst(findings);
    if findings.revisions.is_empty()
        && let Some(answer) = inspected(findings)
    {
        return answer;
    }
    let mut sentences = Vec::new();
    match warned(findings) {
        // Nothing was computed that the rider asked for: what they fear is the answer.
        Some(caution) if findings.revisions.is_empty() => {
            return Answer {
                tone: Tone::CannotSay,
                headline: headline(findings, tone),
                sentences: vec![caution.text.clone()],
            };
        }
        Some(_) => sentences.push(
            "Do not ride the bike before somebody qualified has looked at what you describe: read note 1."
                .to_owned(),
        ),
        None => {}
    }
    if let Some(worst) = findings.verdicts.first() {
        sentences.push(units.sentence(&worst_first(findings, worst)));
    }
    sentences.push(what_moves(findings, units));
    sentences.extend(last_sentence(findings, units));
    sentences.truncate(3);
    Answer { tone, headline: headline(findings, tone), sentences }
}

/// The answer that an inspection gives by itself. A mild one answers only when somebody signed it and it is about all that the
/// rider's words fear; it is then the word of whoever signed.
fn inspected(findings: &Findings) -> Option<Answer> {
    let all = findings.question.inspections.iter().zip(&findings.judgements);
    let (inspection, judgement) = all.max_by_key(|(_, judgement)| judgement.grade)?;
    let mut sentences = vec![judgement.outcome.rider.clone()];
    if judgement.grade >= Grade::Inspect {
        sentences.extend(judgement.because.first().cloned());
        if !judgement.is_finished() {
            sentences.push("The inspection is not finished.".to_owned());
        }
    } else {
        let signed = |it: &&Inspected| !it.signed.is_empty() && it.judgement().is_finished();
        let signed: Vec<&Inspected> = findings.question.inspections.iter().filter(signed).collect();
        let feared = urgent::words_in(&findings.question.asked);
        let covers =
            |word: &&str| signed.iter().any(|it| it.protocol.words.iter().any(|known| known == *word));
        if signed.len() < findings.judgements.len() || !feared.iter().all(covers) {
            return None;
        }
        sentences
            .push(format!("This is the judgement of {}; the cautions hold all the same.", inspection.signed));
    }
    Some(Answer {
        tone: inspection::tone_of(judgement.grade),
        headline: format!("{}.", judgement.outcome.say),
        sentences,
    })
}

/// The strongest caution that the rider's own words bring.
fn warned(findings: &Findings) -> Option<&'static Caution> {
    findings.cautions.iter().map(|(caution, _)| *caution).find(|caution| !caution.words.is_empty())
}

fn headline(findings: &Findings, tone: Tone) -> String {
    let worst = findings.verdicts.first();
    let told = told(findings);
    let noticed = told.iter().any(|knock_on| knock_on.noticed == Noticed::Yes);
    let likely = told.iter().any(|knock_on| feels(knock_on));
    match (tone, worst) {
        (Tone::DoesNotFit, Some(worst)) => match worst.requirement {
            "axle_to_crown" => "Not with this fork.".to_owned(),
            "steerer_length" => "Not with this steerer.".to_owned(),
            "spacers_below" => "Not with that many spacers.".to_owned(),
            "bar_clamp" => "This bar does not go into this stem.".to_owned(),
            "claimed_travel" => "The figures do not go together.".to_owned(),
            "shock_stroke" => "Not with this much stroke.".to_owned(),
            "bottom_clearance" => "Something touches at full travel.".to_owned(),
            _ if worst.needs.is_some() => format!("{}: not without something in between.", worst.label),
            id if tables::connections().iter().any(|row| row.id == id) => {
                format!("{}: these do not go together.", worst.label)
            }
            "front_clearance" | "rear_clearance" => "Not with this tyre.".to_owned(),
            id if id.ends_with(".condition") => "Not before somebody qualified has seen to it.".to_owned(),
            _ => format!("{}: this does not go.", worst.label),
        },
        (Tone::DoNotRide | Tone::Inspect, Some(worst)) => {
            let of = findings.judgements.iter().find(|it| it.protocol.title == worst.label);
            of.map_or_else(
                || "Not before somebody qualified has seen it.".to_owned(),
                |it| format!("{}.", it.outcome.say),
            )
        }
        (Tone::MeasureFirst, Some(worst)) => format!("{}: measure it.", worst.label),
        (Tone::CannotSay, Some(worst)) if worst.requirement == "told_damage" => {
            "Not before somebody qualified has seen it.".to_owned()
        }
        (Tone::CannotSay, Some(worst)) => match findings.missing.len() {
            1 => format!("{}: one fact is missing.", worst.label),
            _ => format!("{}: some facts are missing.", worst.label),
        },
        _ if findings.revisions.is_empty() && warned(findings).is_some() => "Do not ride it yet.".to_owned(),
        _ if findings.revisions.is_empty() => "The bike as it stands.".to_owned(),
        (_, Some(_)) if noticed => "By the figures it goes, and you will notice.".to_owned(),
        (_, Some(_)) if likely => "By the figures it goes, and you may notice.".to_owned(),
        (_, Some(_)) => "By the figures it goes; you will hardly notice.".to_owned(),
        _ if noticed => "You will notice this.".to_owned(),
        _ if likely => "You may notice this.".to_owned(),
        _ => "You will hardly notice.".to_owned(),
    }
}

/// The worst verdict, and how many more came out as badly.
fn worst_first(findings: &Findings, worst: &Verdict) -> String {
    if worst.outcome == Outcome::Fits {
        return within_limits(findings);
    }
    let sentence = first_sentence(&worst.sentence).to_owned();
    let more = findings.verdicts.iter().filter(|verdict| verdict.outcome == worst.outcome).count() - 1;
    if more == 0 {
        return sentence;
    }
    let others: Vec<String> =
        findings.verdicts[1..=more].iter().map(|verdict| lower_first(verdict.label)).collect();
    let others = join(&others);
    match worst.outcome {
        Outcome::DoesNotFit => {
            let stand = if more == 1 { "stands" } else { "stand" };
            format!("{} ({others} {stand} against it too).", sentence.trim_end_matches('.'))
        }
        _ => format!("{} (the same goes for {others}).", sentence.trim_end_matches('.')),
    }
}

/// All limits are kept: the tightest one says how closely.
fn within_limits(findings: &Findings) -> String {
    let room = |verdict: &&Verdict| verdict.margin.unwrap_or(f64::INFINITY);
    let tightest = findings.verdicts.iter().min_by(|a, b| room(a).total_cmp(&room(b)));
    tightest.map_or_else(String::new, |verdict| first_sentence(&verdict.sentence).to_owned())
}

/// What moves most, in a rider's words.
fn what_moves(findings: &Findings, units: Units) -> String {
    if findings.revisions.is_empty() {
        return as_it_stands(findings, units);
    }
    let felt = felt(findings, units);
    let told = told(findings);
    if !felt.is_empty() {
        return sentence(&tell(&felt));
    }
    let largest =
        told.iter().max_by(|a, b| a.weight().total_cmp(&b.weight())).filter(|most| most.weight() > 0.01);
    match largest.and_then(|most| phrase(units, most, most.difference?)) {
        Some(most) => {
            sentence(&format!("{most}; that is less than most riders notice, and nothing else moves more"))
        }
        None if told.iter().any(|knock_on| knock_on.difference.is_none()) => {
            "How far things move cannot be said before the missing facts are known.".to_owned()
        }
        None => "Neither your position nor the steering moves.".to_owned(),
    }
}

/// At most this many moves are told in words; the table has them all.
const MOST_TOLD: usize = 3;

/// The moves that a rider would feel most, in words, those felt first at the head.
fn felt(findings: &Findings, units: Units) -> Vec<String> {
    let told = told(findings);
    let mut felt: Vec<usize> =
        (0..told.len()).filter(|index| feels(told[*index]) || is_asked_for(findings, told[*index])).collect();
    felt.sort_by(|a, b| {
        let asked = |index: usize| is_asked_for(findings, told[index]);
        asked(*b).cmp(&asked(*a)).then(told[*b].weight().total_cmp(&told[*a].weight()))
    });
    felt.truncate(MOST_TOLD);
    felt.sort_unstable();
    felt.into_iter().filter_map(|index| phrase(units, told[index], told[index].difference?)).collect()
}

/// What a rider would feel: surely, or likely.
fn feels(knock_on: &KnockOn) -> bool {
    match knock_on.noticed {
        Noticed::Yes => true,
        Noticed::Maybe => knock_on.weight() > 0.9,
        Noticed::No => false,
    }
}

/// Whoever changes fork or headset wants to hear of the head angle, felt or not.
fn is_asked_for(findings: &Findings, knock_on: &KnockOn) -> bool {
    let steering = |key: &str| key.starts_with("fork.") || key.starts_with("headset.angle");
    knock_on.quantity == Quantity::HeadAngle
        && knock_on.weight() > 0.2
        && findings.revisions.iter().any(|revision| steering(revision.change.key()))
}

/// The knock-ons that mean something to a rider, those felt first at the head, nothing told twice.
fn told(findings: &Findings) -> Vec<&KnockOn> {
    let find = |quantity: Quantity| {
        findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity && knock_on.moved())
    };
    TOLD.iter()
        .filter(|quantity| **quantity != Quantity::InnerSpacer || asks_for_travel(findings))
        .filter_map(|quantity| find(*quantity))
        .filter(|knock_on| {
            !REPEATS.iter().any(|(first, second)| {
                *second == knock_on.quantity
                    && find(*first).is_some_and(|other| feels(other) || other.weight() >= knock_on.weight())
            })
        })
        .collect()
}

fn as_it_stands(findings: &Findings, units: Units) -> String {
    let told: Vec<String> =
        [Quantity::Stack, Quantity::Reach, Quantity::HeadAngle, Quantity::Wheelbase, Quantity::Trail]
            .iter()
            .filter_map(|quantity| {
                let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == *quantity)?;
                let name = tables::quantity(*quantity).label.to_lowercase();
                Some(format!("{name} {}", amount(units, knock_on.before?, knock_on.before_pm, knock_on.unit)))
            })
            .collect();
    if told.is_empty() {
        "Too little is known of it to say how it stands.".to_owned()
    } else {
        sentence(&join(&told))
    }
}

/// What would remain without the offending revisions; else how sure the largest move is.
fn last_sentence(findings: &Findings, units: Units) -> Option<String> {
    if let Some(without) = &findings.without {
        let letters: Vec<String> = without.letters.iter().map(ToString::to_string).collect();
        let mut rest: Vec<(f64, String)> = without
            .differences
            .iter()
            .filter(|(quantity, _)| TOLD.contains(quantity))
            .filter_map(|(quantity, difference)| {
                let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == *quantity)?;
                let steps = difference.abs() / knock_on.threshold;
                Some((steps, phrase(units, knock_on, *difference)?))
            })
            .filter(|(steps, _)| *steps > 0.1)
            .collect();
        rest.sort_by(|a, b| b.0.total_cmp(&a.0));
        let noticed = rest.first().is_some_and(|(steps, _)| *steps >= 1.0);
        let mut phrases: Vec<String> = rest.into_iter().take(2).map(|(_, phrase)| phrase).collect();
        // Hands together read better than by size.
        phrases.sort_by_key(|phrase| !phrase.starts_with("your hands"));
        let end = if noticed { "" } else { ", which few riders would feel" };
        // What the broken revision does not move need not be told twice.
        let felt = felt(findings, units);
        if phrases.iter().any(|phrase| !felt.contains(phrase)) {
            return Some(format!("Without {} {}{end}.", join(&letters), tell(&phrases)));
        }
    }
    if !findings.audit.suspects.is_empty() {
        return Some(
            "The bike's geometry chart contradicts itself, so take these figures with care.".to_owned(),
        );
    }
    let top = told(findings)
        .into_iter()
        .filter(|knock_on| knock_on.difference.is_some() && knock_on.weight() > 0.05)
        // A spacer that is asked about is as long as it is said to be.
        .filter(|knock_on| knock_on.quantity != Quantity::InnerSpacer || asks_for_travel(findings))
        .max_by(|a, b| a.weight().total_cmp(&b.weight()))?;
    let pm = top.difference_pm?.max(if top.unit == "°" { 0.05 } else { 0.1 });
    let pm = amount(units, pm, Some(pm), top.unit);
    let name = tables::quantity(top.quantity).label.to_lowercase();
    match &top.measure_next {
        Some(next) if top.noticed == Noticed::Maybe => {
            Some(format!("The {name} is sure to ±{pm} only; to know it better, {}.", next.action))
        }
        _ => Some(format!("The {name} is sure to ±{pm}.")),
    }
}

/// Whether the spacer follows from the travel that is asked for.
fn asks_for_travel(findings: &Findings) -> bool {
    let changes = || findings.revisions.iter().map(|revision| revision.change.key());
    changes().any(|key| key == "rear.travel") && !changes().any(|key| key == "shock.spacer")
}

/// What a rider is told when a quantity moves by this much.
fn phrase(units: Units, knock_on: &KnockOn, difference: f64) -> Option<String> {
    let (text, unit) = (tables::quantity(knock_on.quantity), knock_on.unit);
    if difference.abs() < 0.05 {
        return None;
    }
    let template = if difference > 0.0 { &text.more } else { &text.less };
    let unit = if unit == "%" { "% points" } else { unit };
    let amount = if knock_on.quantity == Quantity::InnerSpacer {
        units.sentence(&format!("{} mm", super::figures::number(difference.abs(), 1)))
    } else {
        amount(units, difference, knock_on.difference_pm, unit)
    };
    Some(template.replace("{}", &amount.replace("% points", "percentage points")))
}

/// Phrases as one: "your hands come 8 mm higher and move 6 mm forward; the front gets 0.8° slacker". What one subject does
/// stands together.
fn tell(phrases: &[String]) -> String {
    const SUBJECTS: [&str; 3] = ["your hands ", "the pedals ", "the saddle "];
    let mut groups: Vec<Vec<String>> = Vec::new();
    let mut last = None;
    for phrase in phrases {
        let subject = SUBJECTS.into_iter().find(|subject| phrase.starts_with(subject));
        match groups.last_mut().filter(|_| subject.is_some() && subject == last) {
            Some(group) => group.push(phrase[subject.map_or(0, str::len)..].to_owned()),
            None => groups.push(vec![phrase.clone()]),
        }
        last = subject;
    }
    let clauses: Vec<String> = groups.iter().map(|group| join(group)).collect();
    if groups.len() > 1 && groups.iter().any(|group| group.len() > 1) {
        clauses.join("; ")
    } else {
        join(&clauses)
    }
}

/// A sentence: a capital at the start, a full stop at the end.
pub(super) fn sentence(text: &str) -> String {
    format!("{}.", upper_first(text))
}
