//! Numbers with units as people write them.

use serde::Deserialize;

/// Kind of number. Lengths are mm inside and at the edges, angles radians inside and degrees at the edges.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Dimension {
    /// Inside and at the edges: mm.
    Length,
    /// Inside: radians; at the edges: degrees.
    Angle,
    /// Inside and at the edges: kg.
    Mass,
    /// Inside and at the edges: bar.
    Pressure,
    /// A spring's rate. Inside and at the edges: N/mm.
    Rate,
    /// Inside and at the edges: mm².
    Area,
    /// Inside and at the edges: cm³.
    Volume,
    /// A part of something. Inside a plain number, at the edges percent.
    Share,
    /// Teeth of a ring or cog, inside and at the edges.
    Teeth,
    /// Pieces of a chain, inside and at the edges.
    Pieces,
    /// A plain count, inside and at the edges.
    Count,
    /// One measure over another, a plain number inside and at the edges.
    Ratio,
    /// Inside and at the edges: W.
    Power,
    /// How fast something turns. Inside: turns a second; at the edges: turns a minute.
    Cadence,
}

/// One unit; a row of `data/units.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unit {
    /// Ways to write it; the first is the one that is written.
    pub symbols: Vec<String>,
    /// Kind of number.
    pub dimension: Dimension,
    /// Factor to the unit that is kept inside.
    pub factor: f64,
    /// Source of the factor.
    pub source: String,
}

impl Dimension {
    /// Whether it is counted and so has no rounding.
    pub fn is_counted(self) -> bool {
        matches!(self, Dimension::Teeth | Dimension::Pieces | Dimension::Count)
    }

    /// Every kind.
    pub const ALL: [Dimension; 14] = [
        Dimension::Length,
        Dimension::Angle,
        Dimension::Mass,
        Dimension::Pressure,
        Dimension::Rate,
        Dimension::Area,
        Dimension::Volume,
        Dimension::Share,
        Dimension::Teeth,
        Dimension::Pieces,
        Dimension::Count,
        Dimension::Ratio,
        Dimension::Power,
        Dimension::Cadence,
    ];

    /// Its name: "length".
    pub fn word(self) -> &'static str {
        match self {
            Dimension::Length => "length",
            Dimension::Angle => "angle",
            Dimension::Mass => "mass",
            Dimension::Pressure => "pressure",
            Dimension::Rate => "rate",
            Dimension::Area => "area",
            Dimension::Volume => "volume",
            Dimension::Share => "share",
            Dimension::Teeth => "teeth",
            Dimension::Pieces => "pieces",
            Dimension::Count => "count",
            Dimension::Ratio => "ratio",
            Dimension::Power => "power",
            Dimension::Cadence => "cadence",
        }
    }

    /// Factor from the unit of the edge to the unit inside.
    pub fn edge_factor(self) -> f64 {
        match self {
            Dimension::Angle => std::f64::consts::PI / 180.0,
            Dimension::Share => 0.01,
            Dimension::Cadence => 1.0 / 60.0,
            _ => 1.0,
        }
    }

    /// Symbol of the unit of the edge, as printed behind a number.
    pub fn edge_unit(self) -> &'static str {
        match self {
            Dimension::Length => "mm",
            Dimension::Angle => "°",
            Dimension::Mass => "kg",
            Dimension::Pressure => "bar",
            Dimension::Rate => "N/mm",
            Dimension::Area => "mm²",
            Dimension::Volume => "cm³",
            Dimension::Share => "%",
            Dimension::Teeth => "teeth",
            Dimension::Pieces => "pieces",
            Dimension::Count | Dimension::Ratio => "",
            Dimension::Power => "W",
            Dimension::Cadence => "/min",
        }
    }

    /// The units of this kind, for an error: "mm, cm, m or in".
    pub fn unit_list(self) -> String {
        let symbols: Vec<&str> = crate::tables::units()
            .iter()
            .filter(|unit| unit.dimension == self)
            .map(|unit| unit.symbols[0].as_str())
            .collect();
        match symbols.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            _ => symbols.concat(),
        }
    }
}

/// A number as it was written: its value inside, and the step that its last digit stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// mm, radians, kg or bar.
    pub value: f64,
    /// Size of one unit of the last written digit, in the same unit.
    pub step: f64,
}

/// Why a number could not be read.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadError {
    /// There is no number at the start.
    NotANumber,
    /// It is infinite or not a number.
    NotFinite,
    /// The unit is not known; its place in the text.
    UnknownUnit(std::ops::Range<usize>),
    /// The unit measures something else; its place in the text.
    WrongUnit(std::ops::Range<usize>, Dimension),
}

/// Reads a number with an optional unit: `40`, `-6°`, `2.4 in`, `45,5 cm`.
///
/// ```
/// use knockon_trade::units::{Dimension, read};
/// let tyre = read("2.4 in", Dimension::Length).unwrap();
/// assert!((tyre.value - 60.96).abs() < 1e-9);
/// assert!((tyre.step - 2.54).abs() < 1e-9); // a tenth of an inch
/// ```
pub fn read(text: &str, dimension: Dimension) -> Result<Reading, ReadError> {
    let trimmed = text.trim();
    let lead = text.len() - text.trim_start().len();
    let end = number_end(trimmed).ok_or(ReadError::NotANumber)?;
    let (number, rest) = trimmed.split_at(end);
    let unit = rest.trim();
    let factor = if unit.is_empty() {
        dimension.edge_factor()
    } else {
        let start = lead + end + (rest.len() - rest.trim_start().len());
        let place = start..start + unit.len();
        let known = crate::tables::units()
            .iter()
            .find(|row| row.symbols.iter().any(|symbol| symbol.eq_ignore_ascii_case(unit)))
            .ok_or_else(|| ReadError::UnknownUnit(place.clone()))?;
        if known.dimension != dimension {
            return Err(ReadError::WrongUnit(place, known.dimension));
        }
        known.factor
    };
    let (value, step) = literal(number).ok_or(ReadError::NotANumber)?;
    let reading = Reading { value: value * factor, step: step * factor };
    if reading.value.is_finite() && reading.step.is_finite() {
        Ok(reading)
    } else {
        Err(ReadError::NotFinite)
    }
}

/// Value and step of a decimal literal; a comma may stand for the point, an underscore or nothing between digits.
pub fn literal(text: &str) -> Option<(f64, f64)> {
    let plain = text.replace('_', "").replace(['−', '–'], "-").replace(',', ".");
    let value: f64 = plain.parse().ok()?;
    let (mantissa, exponent) = match plain.find(['e', 'E']) {
        Some(at) => (&plain[..at], plain[at + 1..].parse::<i32>().ok()?),
        None => (plain.as_str(), 0),
    };
    let decimals = mantissa.find('.').map_or(0, |at| mantissa.len() - at - 1);
    Some((value, 10_f64.powi(exponent.saturating_sub(i32::try_from(decimals).ok()?))))
}

/// A number with its unit, without a tail of rounding.
///
/// ```
/// assert_eq!(knockon_trade::units::shown(-64.5, "°"), "−64.5°");
/// ```
pub fn shown(value: f64, unit: &str) -> String {
    let number = format!("{:.3}", if value.abs() < 0.0005 { 0.0 } else { value });
    let number = number.trim_end_matches('0').trim_end_matches('.').replace('-', "−");
    match unit {
        "°" => format!("{number}°"),
        "" => number,
        _ => format!("{number} {unit}"),
    }
}

/// End of the number at the start of `text`; an underscore counts between digits, an exponent where digits follow it.
pub(crate) fn number_end(text: &str) -> Option<usize> {
    let is_digit = |c: char| c.is_ascii_digit();
    let mut end = 0;
    let mut digits = false;
    let mut point = false;
    let mut exponent = None;
    for (at, c) in text.char_indices() {
        let rest = &text[at + c.len_utf8()..];
        let fits = match c {
            '0'..='9' => {
                digits = true;
                true
            }
            '+' | '-' if exponent == Some(at) => true,
            '+' | '-' | '−' | '–' => at == 0,
            '.' | ',' if !point && exponent.is_none() => {
                point = true;
                true
            }
            '_' => digits && rest.starts_with(is_digit),
            'e' | 'E' if digits && exponent.is_none() => {
                exponent = Some(at + 1);
                rest.strip_prefix(['+', '-']).unwrap_or(rest).starts_with(is_digit)
            }
            _ => false,
        };
        if !fits {
            break;
        }
        end = at + c.len_utf8();
    }
    digits.then_some(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_another_kind_are_refused_where_they_stand() {
        assert_eq!(read("2.4 psi", Dimension::Length), Err(ReadError::WrongUnit(4..7, Dimension::Pressure)));
        assert_eq!(read("2.4 parsec", Dimension::Length), Err(ReadError::UnknownUnit(4..10)));
    }

    #[test]
    fn factors_are_those_of_nist_sp_811() {
        // NIST SP 811 (2008), appendix B.8: 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, 1 psi = 6.894 757 kPa.
        assert!((read("1 in", Dimension::Length).unwrap().value - 25.4).abs() < 1e-12);
        assert!((read("1 lb", Dimension::Mass).unwrap().value - 0.453_592_37).abs() < 1e-12);
        assert!((read("1 psi", Dimension::Pressure).unwrap().value - 0.068_947_57).abs() < 5e-9);
    }

    #[test]
    fn the_last_written_digit_is_the_step() {
        for (text, step) in [("628", 1.0), ("77.0", 0.1), ("1_222", 1.0), ("6.28e2", 1.0), ("0,25", 0.01)] {
            assert!((literal(text).unwrap().1 - step).abs() < 1e-12, "{text}");
        }
    }
}
