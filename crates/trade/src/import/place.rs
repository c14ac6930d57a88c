//! A figure put in its place: the paths it belongs to and how it is written.

use super::cell::{self, Content, Figure};
use super::headers::{Measure, Quantity};
use super::heading::{Named, Unit};
use crate::tables;
use crate::tyre::Tyre;
use crate::words::upper_first;

/// What goes into the record for one cell.
#[derive(Debug, PartialEq)]
pub(super) struct Placed {
    pub paths: &'static [&'static str],
    pub value: Value,
    /// What the reader should know about a conversion.
    pub remark: Option<String>,
}

/// A value as the record writes it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    /// Digits as given: mm or degrees.
    Number(String),
    /// Text: a figure with its unit, or a tyre.
    Text(String),
}

impl Value {
    /// Whether two lines of a table say the same: 455 and 455.0 do.
    pub fn agrees(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Number(a), Self::Number(b)) => a.parse::<f64>().ok() == b.parse::<f64>().ok(),
            _ => self == other,
        }
    }

    /// The value as it is shown to people.
    pub fn plain(&self) -> &str {
        match self {
            Self::Number(text) | Self::Text(text) => text,
        }
    }
}

/// Whether a heading names a unit that its measure cannot have.
pub(super) fn wrong_unit(measure: &Measure, named: Named) -> bool {
    match (measure.quantity, named) {
        (Quantity::Length, Named::One(unit)) => unit == Unit::Degree,
        (Quantity::Angle, Named::One(unit)) => unit != Unit::Degree,
        _ => false,
    }
}

/// Places one cell. `Ok(None)` when the cell is empty.
pub(super) fn place(measure: &'static Measure, named: Named, text: &str) -> Result<Option<Placed>, String> {
    if measure.quantity == Quantity::Tyre {
        return tyre(measure, text);
    }
    let figure = match cell::read(text) {
        Content::Absent => return Ok(None),
        Content::Unreadable(why) => return Err(why.to_owned()),
        Content::Figure(figure) => figure,
    };
    let unit = unit(measure, named, &figure)?;
    let (negative, turned) = sign(measure, &figure)?;
    let digits = if negative { format!("-{}", figure.digits) } else { figure.digits.clone() };
    possible(measure, unit, &digits)?;
    let value = match unit {
        Unit::Millimetre | Unit::Degree => Value::Number(digits),
        Unit::Centimetre | Unit::Inch => Value::Text(format!("{digits} {}", unit.sign())),
    };
    let converted = figure.converted.then(|| format!("\"{}\" is written as {}.", text.trim(), value.plain()));
    Ok(Some(Placed { paths: paths(&measure.key), value, remark: turned.or(converted) }))
}

/// The paths of a key; two keys of the data file are not paths themselves.
pub(super) fn paths(key: &str) -> &'static [&'static str] {
    match key {
        "wheel.tyre" => &["wheel.front.tyre", "wheel.rear.tyre"],
        "chart.bottom_bracket_offset" => &["chart.bottom_bracket_drop"],
        _ => super::record::PATHS
            .iter()
            .position(|path| *path == key)
            .map_or(&[], |at| &super::record::PATHS[at..=at]),
    }
}

fn tyre(measure: &'static Measure, text: &str) -> Result<Option<Placed>, String> {
    if cell::is_absent(text) {
        return Ok(None);
    }
    let Some((width, diameter)) = cell::read_tyre(text) else {
        return Err(
            "Several rims go by one trade name. Write the tyre in the form of ISO 5775, width and bead \
            seat diameter, for example 61-622."
                .to_owned(),
        );
    };
    let written = format!("{width}-{diameter}");
    Tyre::read(&written).map_err(|why| format!("{}.", upper_first(&why)))?;
    let value = Value::Text(written);
    Ok(Some(Placed { paths: paths(&measure.key), value, remark: None }))
}

/// The unit of the figure, from the cell, the heading, or the trade's habit.
fn unit(measure: &Measure, named: Named, figure: &Figure) -> Result<Unit, String> {
    let usual = if measure.quantity == Quantity::Angle { Unit::Degree } else { Unit::Millimetre };
    let unit = match (figure.unit, named) {
        (Some(cell), Named::One(heading)) if cell != heading => {
            return Err(format!(
                "The cell says {}, the heading says {}. Correct the one that is wrong.",
                cell.sign(),
                heading.sign()
            ));
        }
        (Some(cell), _) => cell,
        (None, Named::One(heading)) => heading,
        (None, Named::Several) => {
            return Err("The heading names several units. Write the unit in the cell.".to_owned());
        }
        (None, Named::Nothing) => usual,
    };
    if (measure.quantity == Quantity::Angle) != (unit == Unit::Degree) {
        return Err(format!("{} cannot be given in {}.", upper_first(&measure.name), unit.sign()));
    }
    if figure.fraction && unit != Unit::Inch {
        return Err(
            "A fraction is read only in inches, otherwise it could be two figures. Write the unit, or \
            decimals."
                .to_owned(),
        );
    }
    Ok(unit)
}

/// Whether the value is written with a minus, and a remark if it was turned round.
fn sign(measure: &Measure, figure: &Figure) -> Result<(bool, Option<String>), String> {
    let zero = figure.digits.bytes().all(|b| matches!(b, b'0' | b'.'));
    let minus = figure.sign == Some('-') && !zero;
    match measure.key.as_str() {
        "chart.bottom_bracket_offset" if zero => Ok((false, None)),
        "chart.bottom_bracket_offset" => match figure.sign {
            Some('-') => Ok((
                false,
                Some(format!(
                    "Bottom-bracket offset -{0} is below the axles: written as a drop of {0}.",
                    figure.digits
                )),
            )),
            Some(_) => Ok((
                true,
                Some(format!(
                    "Bottom-bracket offset +{0} is above the axles: written as a drop of -{0}.",
                    figure.digits
                )),
            )),
            None => {
                Err("An offset without a sign may mean above or below the axles. Write - for below, + for \
                above, or give the drop."
                    .to_owned())
            }
        },
        "chart.bottom_bracket_drop" if minus => {
            Err("A drop with a minus: some charts mean below the axles, some \
            above. Write the drop without a sign if it is below, or call it an offset."
                .to_owned())
        }
        _ => Ok((minus, None)),
    }
}

/// Refuses what the record would refuse, with the limits. `digits` are as they
/// will be written.
fn possible(measure: &Measure, unit: Unit, digits: &str) -> Result<(), String> {
    // 25.4 mm to the inch is exact: international yard and pound agreement, 1959.
    let factor = match unit {
        Unit::Millimetre | Unit::Degree => 1.0,
        Unit::Centimetre => 10.0,
        Unit::Inch => 25.4,
    };
    let value = digits.parse::<f64>().unwrap_or(f64::NAN) * factor;
    let path = paths(&measure.key).first().copied().unwrap_or_default();
    let Some(property) = tables::property(path) else {
        return Err("A record has no place for this measure.".to_owned());
    };
    let [least, most] = property.possible;
    if (least..=most).contains(&value) {
        return Ok(());
    }
    let base = if unit == Unit::Degree { "°" } else { " mm" };
    let hint = if unit == Unit::Millimetre { " If it is in another unit, write the unit." } else { "" };
    Err(format!(
        "{} {digits} {} is outside what is possible ({least} to {most}{base}).{hint}",
        upper_first(&property.label),
        unit.sign(),
    ))
}

#[cfg(test)]
mod tests {
    use super::super::headers::{HEADERS, Meaning};
    use super::super::heading;
    use super::*;

    fn put(heading: &str, cell: &str) -> Result<Option<Placed>, String> {
        let heading = heading::read(heading);
        let Some(Meaning::Measure(measure)) = HEADERS.meaning(&heading) else {
            panic!("heading is not a measure")
        };
        place(measure, heading.named, cell)
    }

    fn value(heading: &str, cell: &str) -> Value {
        put(heading, cell).expect("understood").expect("not empty").value
    }

    #[test]
    fn millimetres_and_degrees_are_numbers_other_units_text() {
        assert_eq!(value("Reach", "455"), Value::Number("455".into()));
        assert_eq!(value("Reach (mm)", "455.0 mm"), Value::Number("455.0".into()));
        assert_eq!(value("Reach (cm)", "45,5"), Value::Text("45.5 cm".into()));
        assert_eq!(value("Reach", "17.9\""), Value::Text("17.9 in".into()));
        assert_eq!(value("Reach (in)", "17 3/4"), Value::Text("17.75 in".into()));
        assert_eq!(value("Head angle", "64°30'"), Value::Number("64.5".into()));
    }

    #[test]
    fn an_offset_with_a_sign_becomes_a_drop() {
        let below = put("BB offset", "-35").unwrap().unwrap();
        assert_eq!(below.value, Value::Number("35".into()));
        assert_eq!(below.paths, ["chart.bottom_bracket_drop"]);
        assert!(below.remark.is_some());
        assert_eq!(value("BB offset", "+10"), Value::Number("-10".into()));
        assert_eq!(value("BB offset (cm)", "-3.5"), Value::Text("3.5 cm".into()));
        assert_eq!(value("BB offset", "0"), Value::Number("0".into()));
        assert!(put("BB offset", "35").is_err());
        assert!(put("BB drop", "-35").is_err());
    }

    #[test]
    fn impossible_values_are_refused() {
        for (heading, cell) in [
            ("Stack", "-620"),
            ("Head angle", "120"),
            ("Head angle", "455 mm"),
            ("Reach", "64°"),
            ("Reach", "45.5"),
            ("Reach (mm)", "17.9\""),
            ("Reach (mm/in)", "455"),
            ("Reach", "17 1/2"),
            ("Tyre", "29"),
            ("Tyre", "61-999"),
        ] {
            assert!(put(heading, cell).is_err(), "{heading}: {cell}");
        }
    }

    #[test]
    fn a_tyre_for_both_wheels_has_two_paths() {
        let both = put("Tyres", "61-622").unwrap().unwrap();
        assert_eq!(both.paths, ["wheel.front.tyre", "wheel.rear.tyre"]);
        assert_eq!(both.value, Value::Text("61-622".into()));
    }
}
