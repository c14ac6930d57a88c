//! Units of a sheet: in which lengths are shown, and in which language units are labelled.
//!
//! Everything is worked out in millimetres and told in them unless somebody asks for inches. An inch is 25.4 mm exactly
//! (international yard and pound agreement, 1959; NIST SP 811 (2008), appendix B). A length that deserves whole
//! millimetres is shown to a hundredth of an inch (0.25 mm), one that deserves tenths to a thousandth, and one whose
//! tolerance is a tenth of an inch or more to a tenth.
//!
//! What is quoted stays as it is: the question, cautions, sources, and how to measure, where sizes are named as they are
//! marked on parts.

use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exactly.
pub const MM_PER_INCH: f64 = 25.4;

const NO_BREAK_SPACE: char = '\u{a0}';

/// Unit of every length on a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Decimal inches.
    Inch,
}

impl LengthUnit {
    /// Both.
    pub const ALL: [LengthUnit; 2] = [LengthUnit::Mm, LengthUnit::Inch];

    /// The word by which a page or a setting knows it.
    pub fn key(self) -> &'static str {
        match self {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => "inch",
        }
    }
}

/// Language of the units' labels; the words of a sheet are English.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Language {
    #[default]
    English,
    German,
    French,
    Italian,
    Spanish,
}

/// How the units are labelled in one language.
struct Labels {
    name: &'static str,
    key: &'static str,
    inch: &'static str,
    degrees: &'static str,
}

/// "in" is the symbol of NIST SP 811 (2008); the other languages' words are from memory, unverified. Millimetres and the
/// degree sign are the same in all of them (SI brochure, 9th edition).
const LABELS: [Labels; 5] = [
    Labels { name: "English", key: "english", inch: "in", degrees: "degrees" },
    Labels { name: "Deutsch", key: "german", inch: "Zoll", degrees: "Grad" },
    Labels { name: "français", key: "french", inch: "po", degrees: "degrés" },
    Labels { name: "italiano", key: "italian", inch: "poll.", degrees: "gradi" },
    Labels { name: "español", key: "spanish", inch: "pulg.", degrees: "grados" },
];

/// Whether a unit is one of lengths, in any language.
pub(crate) fn is_length(unit: &str) -> bool {
    unit == "mm" || LABELS.iter().any(|labels| labels.inch == unit)
}

impl Language {
    /// All of them.
    pub const ALL: [Language; 5] =
        [Language::English, Language::German, Language::French, Language::Italian, Language::Spanish];

    fn labels(self) -> &'static Labels {
        &LABELS[self as usize]
    }

    /// The word by which a page or a setting knows it.
    pub fn key(self) -> &'static str {
        self.labels().key
    }

    /// The language's name in itself.
    pub fn name(self) -> &'static str {
        self.labels().name
    }
}

/// Units of one sheet.
///
/// ```
/// use knockon_sheet::units::{Language, LengthUnit, Units};
/// assert_eq!(Units::default().title(), "mm, degrees");
/// let inches = Units { length: LengthUnit::Inch, language: Language::German };
/// assert_eq!((inches.length_label(), inches.title().as_str()), ("Zoll", "Zoll, Grad"));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Units {
    /// Unit of lengths.
    pub length: LengthUnit,
    /// Language of the labels.
    pub language: Language,
}

impl Units {
    /// What stands behind a length: "mm", "in", "Zoll".
    pub fn length_label(self) -> &'static str {
        match self.length {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => self.language.labels().inch,
        }
    }

    /// The units in a title block: "mm, degrees".
    pub fn title(self) -> String {
        format!("{}, {}", self.length_label(), self.language.labels().degrees)
    }

    /// Whether a figure in `unit` is converted.
    pub(crate) fn converts(self, unit: &str) -> bool {
        unit == "mm" && self.length == LengthUnit::Inch
    }

    /// The label of a figure's unit.
    pub(crate) fn label(self, unit: &'static str) -> &'static str {
        if self.converts(unit) { self.length_label() } else { unit }
    }

    /// The figure in the sheet's unit.
    pub(crate) fn figure(self, value: f64, unit: &str) -> f64 {
        if self.converts(unit) { value / MM_PER_INCH } else { value }
    }

    /// Decimals for a figure in `unit` that deserves so many there, known to `pm`.
    pub(crate) fn decimals(self, unit: &str, decimals: i32, pm: Option<f64>) -> i32 {
        match pm {
            _ if !self.converts(unit) => decimals,
            Some(pm) if pm / MM_PER_INCH >= 0.1 => 1,
            _ => decimals + 2,
        }
    }

    /// A figure that was printed in `unit`, with no more digits than it needs; what is no number stays as it is.
    pub(crate) fn printed(self, text: &str, unit: &str) -> String {
        if !self.converts(unit) {
            return text.to_owned();
        }
        let Some(inches) = inches(text, None) else { return text.to_owned() };
        if inches.contains('.') {
            inches.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            inches
        }
    }

    /// A sentence with its lengths in the sheet's unit. Every number before "mm" is one, with those that it is joined to:
    /// "576 ±3 mm", "2 to 5 mm".
    pub(crate) fn sentence(self, text: &str) -> String {
        if self.length == LengthUnit::Mm {
            return text.to_owned();
        }
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(at) = next_mm(rest) {
            let start = joined(&rest[..at]);
            out.push_str(&rest[..start]);
            out.push_str(&run(&rest[start..at]));
            out.push(NO_BREAK_SPACE);
            out.push_str(self.length_label());
            rest = &rest[at + " mm".len()..];
            // The label's own full stop ends the sentence as well.
            if self.length_label().ends_with('.') {
                rest = rest.strip_prefix('.').unwrap_or(rest);
            }
        }
        out.push_str(rest);
        out
    }
}

/// A printed number of millimetres as inches; `None` when it is no number.
fn inches(text: &str, pm: Option<f64>) -> Option<String> {
    let mm: f64 = text.replace('−', "-").parse().ok()?;
    let given = text.find('.').map_or(0, |at| text.len() - at - 1);
    let decimals = match pm {
        Some(pm) if pm / MM_PER_INCH >= 0.1 => 1,
        _ => given + 2,
    };
    Some(format!("{:.decimals$}", mm / MM_PER_INCH).replace('-', "−"))
}

/// Place of the next " mm" that stands behind a digit and is a whole word.
fn next_mm(text: &str) -> Option<usize> {
    text.match_indices(" mm").map(|(at, _)| at).find(|at| {
        let whole = !text[at + " mm".len()..].starts_with(|c: char| c.is_alphanumeric() || c == '/');
        whole && text[..*at].ends_with(|c: char| c.is_ascii_digit())
    })
}

const NUMBER: fn(char) -> bool = |c| c.is_ascii_digit() || matches!(c, '.' | '−' | '-');

/// What joins two numbers of one unit.
const JOINTS: [&str; 7] = [" to ", " and ", " or ", ", ", " ±", "–", "±"];

/// Start of the run of joined numbers at the end of `text`.
fn joined(text: &str) -> usize {
    let mut start = text.trim_end_matches(NUMBER).len();
    loop {
        let before = &text[..start];
        let joint = JOINTS.iter().find_map(|joint| before.strip_suffix(joint));
        let Some(before) = joint.filter(|before| before.ends_with(|c: char| c.is_ascii_digit())) else {
            // A sign that leads the run belongs to it.
            return before.strip_suffix('±').map_or(start, str::len);
        };
        start = before.trim_end_matches(NUMBER).len();
    }
}

/// A run of joined numbers, in inches. What stands behind "±" says what the others deserve.
fn run(text: &str) -> String {
    let pm: Option<f64> = text.rsplit_once('±').and_then(|(_, pm)| pm.trim().parse().ok());
    let mut out = String::new();
    let mut rest = text;
    while !rest.is_empty() {
        let gap = rest.find(NUMBER).unwrap_or(rest.len());
        out.push_str(&rest[..gap]);
        rest = &rest[gap..];
        let end = rest.find(|c| !NUMBER(c)).unwrap_or(rest.len());
        out.push_str(&inches(&rest[..end], pm).unwrap_or_else(|| rest[..end].to_owned()));
        rest = &rest[end..];
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const INCHES: Units = Units { length: LengthUnit::Inch, language: Language::English };

    #[test]
    fn an_inch_is_25_4_millimetres() {
        // International yard and pound agreement (1959): exact.
        assert_eq!(INCHES.figure(25.4, "mm"), 1.0);
        assert_eq!(INCHES.figure(64.5, "°"), 64.5);
        assert_eq!(Units::default().figure(25.4, "mm"), 25.4);
    }

    #[test]
    fn digits_follow_the_tolerance() {
        // Whole millimetres: hundredths. Tenths: thousandths. ± 2.54 mm = 0.1 in: tenths.
        assert_eq!(INCHES.decimals("mm", 0, Some(1.0)), 2);
        assert_eq!(INCHES.decimals("mm", 1, Some(0.1)), 3);
        assert_eq!(INCHES.decimals("mm", 0, Some(2.54)), 1);
        assert_eq!(INCHES.decimals("°", 1, Some(5.0)), 1);
        assert_eq!(Units::default().decimals("mm", 0, Some(9.0)), 0);
    }

    #[test]
    fn printed_figures_keep_no_tail() {
        // 20/25.4 = 0.7874, 5/25.4 = 0.1969, 31.8/25.4 = 1.25197, 38.1/25.4 = 1.5, 254/25.4 = 10.
        for (mm, inch) in [
            ("20", "0.79"),
            ("5", "0.2"),
            ("31.8", "1.252"),
            ("38.1", "1.5"),
            ("−20", "−0.79"),
            ("254", "10"),
        ] {
            assert_eq!(INCHES.printed(mm, "mm"), inch);
        }
        assert_eq!(INCHES.printed("?", "mm"), "?");
        assert_eq!(INCHES.printed("61-622", ""), "61-622");
        assert_eq!(Units::default().printed("20", "mm"), "20");
    }

    #[test]
    fn sentences_are_converted_where_a_length_stands() {
        // 576/25.4 = 22.677, 566/25.4 = 22.283, 10/25.4 = 0.394; 3/25.4 = 0.118 of a tolerance that deserves tenths;
        // 2/25.4 = 0.0787, 6/25.4 = 0.236, 9.5/25.4 = 0.374.
        for (mm, inch) in [
            (
                "The fork is 576 mm; at most 566 mm: 10 mm too long.",
                "The fork is 22.68\u{a0}in; at most 22.28\u{a0}in: 0.39\u{a0}in too long.",
            ),
            ("It is 576 ±3 mm.", "It is 22.7 ±0.1\u{a0}in."),
            ("It is 576 ±2 mm.", "It is 22.68 ±0.08\u{a0}in."),
            ("It ends 2 to 6 mm below.", "It ends 0.08 to 0.24\u{a0}in below."),
            ("9.5 mm remain", "0.374\u{a0}in remain"),
            ("44 mm ±2 mm", "1.73\u{a0}in ±0.08\u{a0}in"),
            ("−20 mm", "−0.79\u{a0}in"),
            (
                "10 N/mm and 3 mm/s and 5 mmHg, 64.5° and 3 rows",
                "10 N/mm and 3 mm/s and 5 mmHg, 64.5° and 3 rows",
            ),
            ("some mm", "some mm"),
        ] {
            assert_eq!(INCHES.sentence(mm), inch);
            assert_eq!(Units::default().sentence(mm), mm);
        }
        let italian = Units { length: LengthUnit::Inch, language: Language::Italian };
        assert_eq!(italian.sentence("Up to 254 mm."), "Up to 10.00\u{a0}poll.");
    }

    #[test]
    fn every_language_has_its_labels() {
        for language in Language::ALL {
            assert_eq!(Units { length: LengthUnit::Mm, language }.length_label(), "mm");
            assert_ne!(Units { length: LengthUnit::Inch, language }.length_label(), "mm");
            assert_eq!(format!("{language:?}").to_lowercase(), language.key());
            let stored = serde_json::to_string(&language).expect("a text");
            assert_eq!(stored, format!("\"{}\"", language.key()));
        }
        assert_eq!(LengthUnit::ALL.map(LengthUnit::key), ["mm", "inch"]);
    }
}
