//! Figures, rounded to what their tolerance deserves.

use knockon_trade::findings::KnockOn;
use knockon_trade::tables;

use crate::units::Units;

/// A difference below this part of a noticeable step is not worth a row.
const WORTH_A_ROW: f64 = 0.02;

/// Whether a knock-on gets a row: it moved visibly, or how far it moves is not known.
pub(super) fn is_shown(knock_on: &KnockOn) -> bool {
    knock_on.moved() && (knock_on.difference.is_none() || knock_on.weight() >= WORTH_A_ROW)
}

/// Name in a table.
pub(super) fn label(knock_on: &KnockOn) -> &'static str {
    &tables::quantity(knock_on.quantity).label
}

/// A number with a real minus sign and no negative zero.
fn number(value: f64, decimals: i32) -> String {
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

/// Decimals of a value in this unit: whole millimetres, tenths of a degree.
fn decimals(unit: &str) -> i32 {
    i32::from(unit == "°")
}

/// Decimals of a difference: one more where it is small and known that well.
fn fine_decimals(knock_on: &KnockOn) -> i32 {
    let coarse = decimals(knock_on.unit);
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
    let decimals = if unit == "°" { 1 } else { i32::from(value.abs() < 0.95 && unit == "mm") };
    let text = number(units.figure(value.abs(), unit), units.decimals(unit, decimals, pm));
    match unit {
        "°" => format!("{text}°"),
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
