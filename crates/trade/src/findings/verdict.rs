//! The limits that follow from how the whole bike stands: each that the changes touch, judged.

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::cockpit::steerer_needed;
use knockon_engine::drivetrain::chain_length::even;
use knockon_engine::requirement::{Outcome, Requirement};
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::suspension::rear::{highest, stroke};
use knockon_engine::tolerance::Estimates;

use super::Sources;
use super::knock_on::next;
use crate::build::Build;
use crate::fit::Fitting;
use crate::question::Question;
use crate::record::Kind;
use crate::tables::{self, RequirementText};
use crate::verdict::Verdict;
use crate::words::plain;

/// What a limit is judged from.
pub(crate) struct Judging<'a> {
    pub(crate) question: &'a Question,
    pub(crate) fitting: &'a Fitting<'a>,
    pub(crate) build: &'a Build,
    pub(crate) before: &'a Bike<f64>,
    pub(crate) after: &'a Bike<f64>,
    /// The linkage before and after, where somebody measured one.
    pub(crate) linkages: [Option<&'a Linkage<f64>>; 2],
    /// Margin of every limit.
    pub(crate) margins: &'a Estimates,
}

impl Judging<'_> {
    /// Whether a change is about one of these record keys.
    fn touches(&self, keys: &[String]) -> bool {
        self.question.touches(keys)
    }
}

pub(super) fn all(on: &Judging<'_>, sources: &mut Sources) -> Vec<Verdict> {
    let mut verdicts = told(on, false);
    for verdict in &mut verdicts {
        let row = tables::requirements().iter().find(|row| row.id == verdict.requirement);
        verdict.source = row.map_or(0, |row| sources.number(&row.source));
    }
    one_length_verdict(&mut verdicts);
    verdicts.sort_by_key(Verdict::rank);
    verdicts
}

/// The limits that an answer tells, their sources not yet numbered; those that a change touches alone, or also those that the
/// bike breaks already.
pub(crate) fn told(on: &Judging<'_>, touched_only: bool) -> Vec<Verdict> {
    Requirement::ALL
        .iter()
        .filter(|requirement| **requirement != Requirement::BottomClearance || rear_is_sprung(on))
        .filter_map(|requirement| {
            let text = &tables::requirements()[*requirement as usize];
            let touched = on.touches(&text.touched_by) || lost(on, text).next().is_some();
            if touched_only && !touched {
                return None;
            }
            let verdict = judge(on, *requirement, text);
            let open = verdict.outcome == Outcome::CannotSay;
            if open && (makers_word(on, *requirement) || !speaks_of_it(on, text)) {
                return None;
            }
            // A limit that the changes leave alone is told only when it is broken all the same.
            (touched || verdict.outcome == Outcome::DoesNotFit).then_some(verdict)
        })
        .collect()
}

/// What the limit needs and the record told of a part that another one takes the place of.
fn lost<'a>(on: &'a Judging<'_>, text: &'static RequirementText) -> impl Iterator<Item = &'static str> + 'a {
    text.needs.iter().map(String::as_str).filter(|key| on.fitting.is_lost(key))
}

/// Whether record or changes say anything of the drivetrain that a limit of it needs: whoever shortens a shock and has told nothing
/// of the chain is not asked about it.
fn speaks_of_it(on: &Judging<'_>, text: &RequirementText) -> bool {
    let mut of_it = text.needs.iter().filter(|key| key.starts_with("drivetrain.")).peekable();
    of_it.peek().is_none()
        || of_it.any(|key| {
            let placed = key.as_str() == "drivetrain.chain_growth";
            !placed && (is_told(on, key) || on.question.changes.iter().any(|change| change.key() == key))
        })
}

/// Whether the maker of fork or frame has named the widest tyre, so that no gap has to be measured: a limit of its own tells.
fn makers_word(on: &Judging<'_>, requirement: Requirement) -> bool {
    let key = match requirement {
        Requirement::FrontClearance => "fork.tyre_most",
        Requirement::RearClearance => "frame.tyre_most",
        _ => return false,
    };
    on.fitting.figure(key).is_some()
}

fn rear_is_sprung(on: &Judging<'_>) -> bool {
    stroke(on.before).is_finite() || on.question.record.kind == Some(Kind::FullSuspension)
}

/// Least and most axle to crown are one question to a rider: the nearer limit answers it.
fn one_length_verdict(verdicts: &mut Vec<Verdict>) {
    let is_length = |verdict: &Verdict| verdict.requirement.starts_with("axle_to_crown");
    let nearest = verdicts
        .iter()
        .filter(|verdict| is_length(verdict))
        .min_by(|a, b| {
            a.margin.unwrap_or(f64::NEG_INFINITY).total_cmp(&b.margin.unwrap_or(f64::NEG_INFINITY))
        })
        .cloned();
    let place = verdicts.iter().position(is_length);
    if let (Some(mut nearest), Some(place)) = (nearest, place) {
        nearest.requirement = "axle_to_crown";
        nearest.label = "Axle to crown";
        verdicts.retain(|verdict| !is_length(verdict));
        verdicts.insert(place, nearest);
    }
}

/// Whether a margin rests on a placeholder for a fact that nobody has told.
pub(super) fn rests_on_placeholder(on: &Judging<'_>, row: usize) -> bool {
    on.margins
        .contributions(row)
        .iter()
        .zip(&on.build.inputs)
        .any(|(by, input)| input.is_placeholder() && by.abs() > 0.05)
}

fn judge(on: &Judging<'_>, requirement: Requirement, text: &'static RequirementText) -> Verdict {
    let row = requirement as usize;
    let margins = on.margins;
    let (margin, pm) = (margins.value(row), margins.plus_minus(row));
    let mut outcome = Outcome::judge(margin, pm);
    let lost: Vec<&'static str> = lost(on, text).collect();
    if (outcome != Outcome::DoesNotFit && rests_on_placeholder(on, row)) || !lost.is_empty() {
        outcome = Outcome::CannotSay;
    }
    let mut missing = if outcome == Outcome::CannotSay { missing_keys(on, text) } else { Vec::new() };
    for key in &lost {
        if !missing.contains(key) {
            missing.push(key);
        }
    }
    let known = outcome != Outcome::CannotSay;
    let mut verdict = Verdict {
        requirement: &text.id,
        label: &text.label,
        outcome,
        margin: known.then_some(margin),
        margin_pm: known.then_some(pm),
        sentence: sentence(on, requirement, text, outcome),
        measure: (outcome == Outcome::MeasureFirst)
            .then(|| {
                margins
                    .variance_shares(row)
                    .first()
                    .map(|(input, share)| next(&on.build.inputs[*input], *share))
            })
            .flatten(),
        missing,
        touched_by: &text.touched_by,
        needs: None,
        source: 0,
    };
    match requirement {
        Requirement::SteererLength if !lost.is_empty() => new_steerer(on, &mut verdict),
        // The gap was that to the old one.
        _ if !lost.is_empty() => {}
        Requirement::SteererLength => steerer(on, &mut verdict),
        Requirement::FrontClearance | Requirement::RearClearance => tyre(on, requirement, &mut verdict),
        Requirement::ShockStroke => shock_stroke(on, &mut verdict),
        Requirement::BottomClearance => bottom(on, &mut verdict),
        _ => {}
    }
    verdict
}

fn missing_keys(on: &Judging<'_>, text: &'static RequirementText) -> Vec<&'static str> {
    text.needs
        .iter()
        .map(String::as_str)
        .filter(|key| match *key {
            "fork.axle_to_crown_allowed" => on.question.record.axle_to_crown_allowed.is_none(),
            key if on.question.changes.iter().any(|change| change.key() == key && change.sets()) => false,
            key => !is_told(on, key) && !has_convention(on, key),
        })
        .collect()
}

fn is_told(on: &Judging<'_>, key: &str) -> bool {
    let record = &on.question.record;
    record.fact(key).is_some() || record.series.contains_key(key)
}

fn has_convention(on: &Judging<'_>, key: &str) -> bool {
    on.build.inputs.iter().any(|input| input.key == key && !input.is_placeholder())
}

fn sentence(on: &Judging<'_>, requirement: Requirement, text: &RequirementText, outcome: Outcome) -> String {
    let (before, after) = (on.before, on.after);
    let margin = on.margins.value(requirement as usize);
    let pm = on.margins.plus_minus(requirement as usize);
    let length = after.axle_to_crown + after.lower_stack - before.lower_stack;
    let told = |along: f64| on.build.fork_as_told(along);
    let (value, limit) = match requirement {
        Requirement::AxleToCrownMost => (told(length), told(after.axle_to_crown_most)),
        Requirement::AxleToCrownLeast => (told(length), told(after.axle_to_crown_least)),
        Requirement::SteererLength => (after.steerer_length, steerer_needed(after)),
        Requirement::SpacersBelow => (after.spacers_below, after.spacers_allowed),
        Requirement::BarClamp => (after.bar_clamp, after.stem_bar_clamp),
        Requirement::FrontClearance | Requirement::RearClearance => {
            let gap = super::allowances().tyre_gap;
            (margin + gap, gap)
        }
        Requirement::ShockStroke => (stroke(after), after.shock_stroke_most),
        Requirement::BottomClearance => {
            let gap = super::allowances().bottom_gap;
            (margin + gap, gap)
        }
        Requirement::Capacity => (after.derailleur_capacity, after.derailleur_capacity - margin),
        Requirement::LargestCog => (after.derailleur_cog_most, after.cog_largest),
        // A chain has an even number of pieces.
        Requirement::ChainLength => (after.chain_pieces, even(after.chain_pieces - margin)),
    };
    let margin = if requirement == Requirement::ChainLength { value - limit } else { margin };
    let template = match outcome {
        Outcome::Fits => &text.fits,
        Outcome::DoesNotFit => &text.breaks,
        Outcome::MeasureFirst => &text.close,
        Outcome::CannotSay => &text.unknown,
    };
    let mut sentence = template
        .replace("{value}", &deserved(value, pm))
        .replace("{limit}", &deserved(limit, pm))
        .replace("{margin}", &deserved(margin.abs(), pm))
        .replace("{pm}", &tenth(pm.max(0.1)));
    let grown = after.lower_stack - before.lower_stack;
    if matches!(requirement, Requirement::AxleToCrownMost | Requirement::AxleToCrownLeast)
        && grown.abs() > 0.5
        && outcome != Outcome::CannotSay
    {
        sentence.push_str(&format!(" The lower headset part's {} mm are counted with it.", tenth(grown)));
    }
    sentence
}

/// To what the tolerance deserves: whole millimetres where it is about one or more, else tenths.
fn deserved(value: f64, pm: f64) -> String {
    if pm >= 0.75 { plain(value.round()) } else { tenth(value) }
}

/// To a tenth of a millimetre, which is more than any of these lengths is worth.
fn tenth(value: f64) -> String {
    plain((value * 10.0).round() / 10.0)
}

/// A wheel that is smaller by more than this has its widest part elsewhere in the frame. From memory, unverified.
const ANOTHER_WHEEL: f64 = 15.0;

/// A tyre that is no larger than the one that is on now keeps whatever gap there is, measured or not.
fn tyre(on: &Judging<'_>, requirement: Requirement, verdict: &mut Verdict) {
    let (radius, width, keys) = match requirement {
        Requirement::FrontClearance => {
            (Parameter::FrontRadius, Parameter::FrontTyreWidth, ["wheel.front.tyre", "wheel.front.radius"])
        }
        _ => (Parameter::RearRadius, Parameter::RearTyreWidth, ["wheel.rear.tyre", "wheel.rear.radius"]),
    };
    let told =
        on.build.inputs.iter().any(|input| keys.contains(&input.key.as_str()) && !input.is_placeholder());
    let grows = |parameter: Parameter| *on.after.get(parameter) - *on.before.get(parameter);
    // A width that is not known, before or after, is not known to have stayed: its growth is NaN and fails here.
    let no_larger = (-ANOTHER_WHEEL..=1e-9).contains(&grows(radius)) && grows(width) <= 1e-9;
    if verdict.outcome == Outcome::CannotSay && told && no_larger {
        verdict.outcome = Outcome::Fits;
        verdict.missing = Vec::new();
        verdict.sentence =
            "The tyre gets no larger than the one that is on now, so whatever gap there is stays.".to_owned();
    }
}

/// A shock that strokes no further than the one that is on now stays within what the maker permits, if that does.
fn shock_stroke(on: &Judging<'_>, verdict: &mut Verdict) {
    if verdict.outcome == Outcome::CannotSay && stroke(on.after) <= stroke(on.before) + 1e-9 {
        verdict.outcome = Outcome::Fits;
        verdict.missing = Vec::new();
        verdict.sentence =
            "The stroke gets no longer than it is now, so whatever the frame's maker allows is kept as it is now."
                .to_owned();
    }
}

/// A rear wheel that rises no higher than it does now, with a tyre that is no larger, keeps whatever gap there is.
fn bottom(on: &Judging<'_>, verdict: &mut Verdict) {
    let [before, after] = [(on.before, on.linkages[0]), (on.after, on.linkages[1])]
        .map(|(bike, linkage)| highest(bike, linkage) + bike.rear_radius);
    // Moved pivots move the links too, so the axle alone does not tell.
    let same_links = !on.touches(&["linkage.points".to_owned(), "linkage.chip".to_owned()]);
    let no_wider = on.after.rear_tyre_width <= on.before.rear_tyre_width + 1e-9;
    if verdict.outcome == Outcome::CannotSay && same_links && no_wider && after <= before + 1e-9 {
        verdict.outcome = Outcome::Fits;
        verdict.missing = Vec::new();
        verdict.sentence =
            "At full travel the rear wheel comes no higher than it does now, so whatever room there is stays."
                .to_owned();
    }
}

/// A new fork's steerer: how long it has to be at least.
fn new_steerer(on: &Judging<'_>, verdict: &mut Verdict) {
    let needed = steerer_needed(on.after);
    let row = Requirement::SteererLength as usize;
    // The margin's tolerance holds that of the old steerer as well, so this is a little more than it need be.
    let pm = on.margins.plus_minus(row);
    let known = needed.is_finite() && pm.is_finite() && !rests_on_placeholder(on, row);
    let length = if known {
        format!("at least {} ±{} mm long", deserved(needed, pm), tenth(pm.max(0.1)))
    } else {
        "as long as what is stacked on it asks for".to_owned()
    };
    verdict.sentence = format!(
        "The new fork's steerer has to be {length}, straight and without a mark: measure it, and look at it."
    );
    verdict.missing = vec!["cockpit.steerer_length"];
}

/// A steerer is long enough when what is stacked on it gets no taller, whatever its length; and spacers above the stem
/// are a reserve that the sentence points out.
fn steerer(on: &Judging<'_>, verdict: &mut Verdict) {
    let grows = steerer_needed(on.after) - steerer_needed(on.before);
    let same_steerer = !on.question.changes.iter().any(|change| change.key() == "cockpit.steerer_length");
    let open = matches!(verdict.outcome, Outcome::CannotSay | Outcome::MeasureFirst);
    if open && same_steerer && grows <= 1e-9 {
        verdict.outcome = Outcome::Fits;
        (verdict.margin, verdict.margin_pm, verdict.measure) = (None, None, None);
        verdict.missing = Vec::new();
        verdict.sentence =
            "What is stacked on the steerer gets no taller than it is now, so a steerer that is long enough now stays so."
                .to_owned();
    }
    if verdict.outcome == Outcome::DoesNotFit
        && let Some(margin) = verdict.margin
    {
        let spare = on.question.record.fact("cockpit.spacers_above").map_or(0.0, |_| on.after.spacers_above);
        if spare > 0.0 && margin + spare >= 0.0 {
            verdict.sentence.push_str(&format!(
                " Taking {} mm of spacers from above the stem would make it long enough.",
                tenth((-margin).ceil())
            ));
        }
    }
}
