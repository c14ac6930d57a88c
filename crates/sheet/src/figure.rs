//! How a figure and its unit stand together in a table: the same in every format.

use crate::ride::RideCell;
use crate::sheet::{KnockOnRow, RevisionRow, Sheet};
use crate::units::is_length;

/// Sign of a revision that has no share in a row.
pub(crate) const NO_SHARE: &str = "·";

/// A figure of a knock-on row. Lengths go without a unit, for the title block says theirs; other units stand with the figure.
pub(crate) fn figure(value: &str, unit: &str) -> String {
    let bare = value.is_empty() || value == "?" || value == NO_SHARE;
    match unit {
        _ if bare => value.to_owned(),
        unit if unit.is_empty() || is_length(unit) => value.to_owned(),
        "°" | "%" => format!("{value}{unit}"),
        _ => format!("{value}\u{a0}{unit}"),
    }
}

/// The tolerance of a row's difference: "±2"; empty when there is none.
pub(crate) fn plus_minus(row: &KnockOnRow) -> String {
    if row.plus_minus.is_empty() {
        return String::new();
    }
    format!("±{}", figure(&row.plus_minus, &row.unit))
}

/// What a revision did: "20 → 5 mm".
pub(crate) fn before_after(row: &RevisionRow) -> String {
    let gap = match row.unit.as_str() {
        "" | "°" | "%" => "",
        _ => "\u{a0}",
    };
    format!("{}\u{a0}→ {}{gap}{}", row.before, row.after, row.unit)
}

/// A figure through the travel in one line: "2.91 → 2.85 ±0.05"; empty where there is nothing to say.
pub(crate) fn ride_cell(cell: &RideCell, unit: &str) -> String {
    let mut text = String::new();
    if !cell.before.is_empty() {
        text.push_str(&format!("{}\u{a0}→ ", figure(&cell.before, unit)));
    }
    text.push_str(&figure(&cell.after, unit));
    if !cell.plus_minus.is_empty() {
        text.push_str(&format!(" ±{}", figure(&cell.plus_minus, unit)));
    }
    text
}

/// What is said in place of a table without rows.
pub(crate) fn nothing_moves(sheet: &Sheet) -> &'static str {
    match (sheet.unmoved.is_empty(), sheet.parts.is_empty()) {
        (true, _) => "Nothing could be computed.",
        (false, true) => "Nothing that was computed moves.",
        (false, false) => "Nothing moves but what is worked out below.",
    }
}

#[cfg(test)]
mod tests {
    use super::{before_after, figure};
    use crate::sheet::RevisionRow;

    #[test]
    fn degrees_stick_to_the_figure_and_millimetres_are_silent() {
        assert_eq!(figure("−0.8", "°"), "−0.8°");
        assert_eq!(figure("+8", "mm"), "+8");
        assert_eq!(figure("95", "N"), "95\u{a0}N");
        assert_eq!(figure("?", "°"), "?");
        assert_eq!(figure("·", "°"), "·");
    }

    #[test]
    fn a_revision_names_its_unit_once() {
        let row = |unit: &str| RevisionRow {
            letter: 'B',
            label: "Spacers".into(),
            before: "20".into(),
            after: "5".into(),
            unit: unit.into(),
        };
        assert_eq!(before_after(&row("mm")), "20\u{a0}→ 5\u{a0}mm");
        assert_eq!(before_after(&row("°")), "20\u{a0}→ 5°");
        assert_eq!(before_after(&row("")), "20\u{a0}→ 5");
    }
}
