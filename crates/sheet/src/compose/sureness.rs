//! How sure the answer is, and what to check before anything is bought or ridden.

use knockon_engine::quantity::Quantity;
use knockon_trade::audit::Audit;
use knockon_trade::findings::{Assumed, Findings, KnockOn, Noticed};
use knockon_trade::tables;
use knockon_trade::verdict::Next;
use knockon_trade::words::plain;

use super::figures;
use crate::units::Units;

/// A difference that is known to this part of a noticeable step is not worth another measurement.
const WORTH_MEASURING: f64 = 0.5;

/// What to check first, most useful first, nothing twice.
pub(super) fn check_first(findings: &Findings, units: Units) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut add = |line: String| {
        if !lines.contains(&line) {
            lines.push(line);
        }
    };
    for verdict in &findings.verdicts {
        if let Some(next) = &verdict.measure {
            add(advice(verdict.label, next));
        }
    }
    if let Some((surplus, pm)) = findings.steerer_surplus {
        let pm = plain((pm * 10.0).round() / 10.0);
        let spacers = plain(surplus.round());
        add(units.sentence(&format!(
            "The steerer ends up {spacers} ±{pm} mm longer than what is stacked on it: put that much more in spacers above \
             the stem, or the top cap cannot preload the bearings."
        )));
    }
    let mut doubtful: Vec<&KnockOn> = findings
        .knock_ons
        .iter()
        .filter(|knock_on| figures::is_shown(findings, knock_on) && knock_on.measure_next.is_some())
        .filter(|knock_on| knock_on.noticed != Noticed::No)
        // Where exactly somebody stands over the top tube, or weighs, is nobody's first worry.
        .filter(|knock_on| !matches!(knock_on.quantity, Quantity::Standover | Quantity::FrontLoadShare))
        .collect();
    doubtful.sort_by(|a, b| {
        (b.noticed == Noticed::Maybe)
            .cmp(&(a.noticed == Noticed::Maybe))
            .then(b.weight().total_cmp(&a.weight()))
    });
    let mut asked: Vec<&str> = findings.missing.iter().map(|missing| missing.key.as_str()).collect();
    for knock_on in doubtful {
        let doubt = knock_on.difference_pm.unwrap_or(f64::INFINITY) / knock_on.threshold;
        if let Some(next) = &knock_on.measure_next
            && (knock_on.noticed == Noticed::Maybe || doubt > WORTH_MEASURING)
            && !asked.contains(&next.key.as_str())
        {
            asked.push(&next.key);
            add(advice(&tables::quantity(knock_on.quantity).label, next));
        }
        if asked.len() >= 3 {
            break;
        }
    }
    lines
}

fn advice(about: &str, next: &Next) -> String {
    format!("{about}: {}. {}", next.action, next.how).trim_end().to_owned()
}

/// Which input dominates, what the chart disagrees about, what is only a placeholder.
pub(super) fn how_sure(findings: &Findings, units: Units) -> Vec<String> {
    let mut lines = vec!["± is two standard uncertainties, about 95 %.".to_owned()];
    let mut moved: Vec<&KnockOn> = findings
        .knock_ons
        .iter()
        .filter(|knock_on| figures::is_shown(findings, knock_on) && knock_on.difference_pm.is_some())
        .collect();
    moved.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
    for knock_on in moved.into_iter().take(3) {
        let Some((key, share)) = knock_on.variance_shares.first() else { continue };
        let name = input_name(findings, key);
        let unit =
            if knock_on.unit == "°" { "°".to_owned() } else { format!(" {}", units.label(knock_on.unit)) };
        lines.push(format!(
            "{} {} ±{}{unit}: {} % of that doubt comes from the {name}.",
            figures::label(knock_on),
            figures::difference(units, knock_on),
            figures::plus_minus(units, knock_on),
            (share * 100.0).round(),
        ));
    }
    lines.push(chart(&findings.audit, units));
    lines
}

fn input_name(findings: &Findings, key: &str) -> String {
    if let Some(letter) = key.strip_prefix("revision ") {
        return match findings.revisions.iter().find(|revision| revision.letter.to_string() == letter) {
            Some(revision) => format!("new {} (revision {letter})", revision.change.label().to_lowercase()),
            None => key.to_owned(),
        };
    }
    match key {
        "wheel.section_ratio" => "height of the tyres over their marking".to_owned(),
        "wheel.front.tyre" => "front tyre's true width".to_owned(),
        "wheel.rear.tyre" => "rear tyre's true width".to_owned(),
        "shock.leverage_at_start" | "shock.leverage_at_end" => {
            "leverage ratio, which is not known".to_owned()
        }
        "air.exponent" => "way in which the air warms up as it is pressed".to_owned(),
        _ if key.starts_with("linkage.distance.") => {
            format!("distance {}", key["linkage.distance.".len()..].replace('.', " to "))
        }
        _ if key.starts_with("linkage.") => {
            format!(
                "place of the {}",
                key["linkage.".len()..].replace(".forward", ", forward").replace(".up", ", up")
            )
        }
        _ => tables::property(key).map_or_else(|| key.to_owned(), |property| property.label.to_lowercase()),
    }
}

/// The chart in one sentence.
pub(super) fn chart(audit: &Audit, units: Units) -> String {
    if let Some(suspect) = audit.suspects.first() {
        let alike = if suspect.alike.is_empty() {
            String::new()
        } else {
            format!(" (or {}, which cannot be told apart from it)", or(&suspect.alike))
        };
        return format!(
            "The chart contradicts itself: {}{alike} is {} {}, the rest says {} ±{}. Its tolerance is widened {} times.",
            suspect.label.to_lowercase(),
            units.printed(&plain(suspect.given), suspect.unit),
            units.label(suspect.unit),
            units.printed(&plain((suspect.expected.0 * 10.0).round() / 10.0), suspect.unit),
            units.printed(&plain((suspect.expected.1 * 10.0).round() / 10.0), suspect.unit),
            plain((audit.widened * 10.0).round() / 10.0),
        );
    }
    let checked =
        audit.rows.iter().filter(|row| !row.assumed && row.normalised.is_some_and(f64::is_finite)).count();
    if audit.rows.iter().any(|row| row.assumed && row.key.starts_with("chart.")) {
        "The chart has too few rows to check itself.".to_owned()
    } else if checked == 0 {
        "Nothing checks the chart.".to_owned()
    } else {
        units.sentence(&format!(
            "The chart agrees with itself within {} mm.",
            plain((audit.worst_length * 10.0).ceil() / 10.0)
        ))
    }
}

fn or(names: &[String]) -> String {
    let lower: Vec<String> = names.iter().map(|name| name.to_lowercase()).collect();
    match lower.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => lower.concat(),
    }
}

/// How the frame's figures are known, for the title block.
pub(super) fn frame_data(findings: &Findings) -> String {
    if findings.untold.iter().any(|key| key.starts_with("chart.")) {
        return "in part unknown".to_owned();
    }
    if !findings.audit.suspects.is_empty() {
        return "contradictory".to_owned();
    }
    let facts = &findings.question.record.facts;
    let measured = facts
        .iter()
        .filter(|(key, _)| key.starts_with("chart."))
        .filter(|(_, fact)| fact.known == knockon_trade::fact::Known::Measured)
        .count();
    let all = facts.keys().filter(|key| key.starts_with("chart.")).count();
    match measured {
        0 => "published".to_owned(),
        some if some == all => "measured".to_owned(),
        _ => "published and measured".to_owned(),
    }
}

/// An assumption in one sentence.
pub(super) fn assumption(assumed: &Assumed) -> String {
    let (value, pm) = assumed.value;
    let unit = if assumed.unit == "°" || assumed.unit.is_empty() {
        assumed.unit.to_owned()
    } else {
        format!(" {}", assumed.unit)
    };
    let kind = if assumed.placeholder { "not known, so a placeholder stands in" } else { "assumed" };
    format!("{}: {kind}, {}{unit} ±{}{unit} ({}).", assumed.label, plain(value), plain(pm), assumed.why)
}
