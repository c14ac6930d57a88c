//! Figures, rounded to what their tolerance deserves.

use knockon_engine::quantity::Quantity;
use knockon_trade::findings::{Findings, KnockOn};
use knockon_trade::tables;

use crate::units::Units;

/// A difference below this part of a noticeable step is not worth a row.
const WORTH_A_ROW: f64 = 0.02;

/// Quantities of which the first, with the rider on the bike, gets a row only when it moves otherwise than the second.
const AT_SAG: [(Quantity, Quantity); 5] = [
    (Quantity::HeadAngleAtSag, Quantity::HeadAngle),
    (Quantity::TrailAtSag, Quantity::Trail),
    (Quantity::BottomBracketHeightAtSag, Quantity::BottomBracketHeight),
    (Quantity::GripStackAtSag, Quantity::GripStack),
    (Quantity::GripReachAtSag, Quantity::GripReach),
];

/// This part of a noticeable step is another movement.
const OTHERWISE: f64 = 0.3;

/// Whether a knock-on gets a row: it moved visibly, or how far it moves is not known, and no other row says the same.
pub(super) fn is_shown(findings: &Findings, knock_on: &KnockOn) -> bool {
    knock_on.moved()
        && (knock_on.difference.is_none() || knock_on.weight() >= WORTH_A_ROW)
        && !said_by_another(findings, knock_on)
}

/// Whether a quantity at sag moves as much as it does with nobody on the bike.
pub(super) fn said_by_another(findings: &Findings, knock_on: &KnockOn) -> bool {
    let Some((_, same)) = AT_SAG.iter().find(|(at_sag, _)| *at_sag == knock_on.quantity) else {
        return false;
    };
    let other = findings.knock_ons.iter().find(|other| other.quantity == *same);
    match (knock_on.difference, other.map(|other| other.difference)) {
        (Some(here), Some(Some(there))) => (here - there).abs() < OTHERWISE * knock_on.threshold,
        (None, Some(None)) => true,
        _ => false,
    }
}

/// Name in a table.
pub(super) fn label(knock_on: &KnockOn) -> &'static str {
    &tables::quantity(knock_on.quantity).label
}

/// A number with a real minus sign and no negative zero.
pub(super) fn number(value: f64, decimals: i32) -> String {
    let decimals = usize::try_from(decimals).unwrap_or(0);
    let text = format!("{value:.decimals$}");
    let zero = text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.');
    if zero { text.trim_start_matches('-').to_owned() } else { text.replace('-', "−") }
}

/// A number with its sign; zero has none.
pub(super) fn signed(value: f64, decimals: i32) -> String {
    let text = number(value, decimals);
    let positive = !text.starts_with('−') && text.chars().any(|c| ('1'..='9').contains(&c));
    if positive { format!("+{text}") } else { text }
}

/// Decimals of a value in this unit: whole millimetres, tenths of a degree, hundredths of a ratio.
fn decimals(unit: &str) -> i32 {
    match unit {
        "°" | "N/mm" | "bar" | "m/s²" => 1,
        "" | "m" => 2,
        _ => 0,
    }
}

/// Decimals of a difference: one more where it is small and known that well.
fn fine_decimals(knock_on: &KnockOn) -> i32 {
    let coarse = decimals(knock_on.unit);
    if matches!(knock_on.unit, "" | "N" | "m" | "teeth") {
        return coarse;
    }
    let resolution = 0.1_f64.powi(coarse);
    // Hundredths of a degree say nothing to anyone unless there are no tenths.
    let steps = if coarse == 0 { 9.5 } else { 0.95 };
    let small = knock_on.difference.is_some_and(|difference| difference.abs() < steps * resolution);
    if small && knock_on.difference_pm.is_some_and(|pm| pm < 0.95 * resolution) { coarse + 1 } else { coarse }
}

/// A value before or after, known to `pm`.
pub(super) fn value(units: Units, value: Option<f64>, pm: Option<f64>, unit: &str) -> String {
    value.map_or_else(
        || "?".to_owned(),
        |value| number(units.figure(value, unit), units.decimals(unit, decimals(unit), pm)),
    )
}

/// A value before or after a knock-on. A spacer is told to a tenth, as it is turned.
pub(super) fn told(units: Units, knock_on: &KnockOn, told: Option<f64>, pm: Option<f64>) -> String {
    match told {
        Some(length) if knock_on.quantity == Quantity::InnerSpacer => {
            number(units.figure(length, knock_on.unit), units.decimals(knock_on.unit, 1, pm))
        }
        told => value(units, told, pm, knock_on.unit),
    }
}

/// Decimals of a difference, its ± and its shares in the sheet's unit.
fn shown_decimals(units: Units, knock_on: &KnockOn) -> i32 {
    units.decimals(knock_on.unit, fine_decimals(knock_on), knock_on.difference_pm)
}

/// The signed difference.
pub(super) fn difference(units: Units, knock_on: &KnockOn) -> String {
    knock_on.difference.map_or_else(
        || "?".to_owned(),
        |value| signed(units.figure(value, knock_on.unit), shown_decimals(units, knock_on)),
    )
}

/// ± of the difference, never rounded down to nothing.
pub(super) fn plus_minus(units: Units, knock_on: &KnockOn) -> String {
    let Some(pm) = knock_on.difference_pm else { return "?".to_owned() };
    if pm <= 0.0 {
        return "0".to_owned();
    }
    let decimals = shown_decimals(units, knock_on);
    number(units.figure(pm, knock_on.unit).max(0.1_f64.powi(decimals)), decimals)
}

/// Each revision's share; a dot where it has none.
pub(super) fn shares(units: Units, knock_on: &KnockOn) -> Vec<String> {
    let decimals = shown_decimals(units, knock_on);
    let shown = |share: &f64| {
        if share.abs() < 1e-9 {
            "·".to_owned()
        } else {
            signed(units.figure(*share, knock_on.unit), decimals)
        }
    };
    knock_on.shares.iter().map(shown).collect()
}

/// An amount for a sentence, without its sign: "8 mm", "0.8°". `pm` is how well it is known.
pub(super) fn amount(units: Units, value: f64, pm: Option<f64>, unit: &str) -> String {
    let decimals = match unit {
        "mm" => i32::from(value.abs() < 0.95),
        _ => decimals(unit),
    };
    let text = number(units.figure(value.abs(), unit), units.decimals(unit, decimals, pm));
    match unit {
        "°" => format!("{text}°"),
        "" => text,
        _ if units.converts(unit) => format!("{text}\u{a0}{}", units.length_label()),
        _ => format!("{text} {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_and_zeros_read_well() {
        assert_eq!(signed(-0.04, 1), "0.0");
        assert_eq!(signed(8.2, 0), "+8");
        assert_eq!(signed(-0.84, 1), "−0.8");
        let mm = Units::default();
        assert_eq!(amount(mm, -0.84, None, "°"), "0.8°");
        assert_eq!(amount(mm, -0.4, None, "mm"), "0.4 mm");
    }
}
