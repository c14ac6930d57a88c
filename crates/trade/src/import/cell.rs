//! One cell: a figure with its unit, nothing, or a reason why not.

use super::headers::{HEADERS, Word};
use super::heading::{self, Unit};

/// What a cell holds.
#[derive(Debug, PartialEq)]
pub(super) enum Content {
    /// Empty, or a mark for "none".
    Absent,
    Figure(Figure),
    /// Text that is no single figure, and what to do about it.
    Unreadable(&'static str),
}

/// A figure with exactly the digits that were given.
#[derive(Debug, PartialEq)]
pub(super) struct Figure {
    /// Digits with a decimal point, without sign.
    pub digits: String,
    /// The sign that was written, if one was.
    pub sign: Option<char>,
    /// The unit in the cell itself.
    pub unit: Option<Unit>,
    /// Worked out from minutes of arc or a fraction of an inch.
    pub converted: bool,
    /// A fraction, which is only meaningful in inches.
    pub fraction: bool,
}

const SEVERAL: &str = "More than one figure in the cell. Keep the one that holds for the bike as it is \
    set up (for a flip chip or a range, the present setting) and paste again.";
const BEFORE: &str =
    "Not a plain figure: text or a sign stands in front of it. Measure or look up the exact figure.";
const BEHIND: &str = "Text behind the figure that is no known unit. Keep the figure and its unit only.";
const NO_FIGURE: &str = "No figure in the cell.";
const TOO_LONG: &str = "Too many digits for a measure.";

/// Reads one cell of lengths or angles.
pub(super) fn read(text: &str) -> Content {
    let text = plain(text);
    if is_absent(&text) {
        return Content::Absent;
    }
    let Some((sign, digits, rest)) = leading_number(&text) else {
        let digits = text.contains(|c: char| c.is_ascii_digit());
        return Content::Unreadable(if digits { BEFORE } else { NO_FIGURE });
    };
    if digits.len() > 12 {
        return Content::Unreadable(TOO_LONG);
    }
    let figure = |digits: String, unit| Figure { digits, sign, unit, converted: false, fraction: false };
    let rest = rest.trim();
    if rest.is_empty() {
        return Content::Figure(figure(digits, None));
    }
    if let Some(unit) = unit(rest) {
        return Content::Figure(figure(digits, Some(unit)));
    }
    if let Some(decimal) = minutes(&digits, rest) {
        return Content::Figure(Figure { converted: true, ..figure(decimal, Some(Unit::Degree)) });
    }
    if let Some((decimal, unit)) = fraction(&digits, rest) {
        return Content::Figure(Figure { converted: true, fraction: true, ..figure(decimal, unit) });
    }
    let more = rest.contains(|c: char| c.is_ascii_digit());
    Content::Unreadable(if more { SEVERAL } else { BEHIND })
}

/// A tyre in the form of ISO 5775, width and bead seat diameter in mm.
pub(super) fn read_tyre(text: &str) -> Option<(u32, u32)> {
    let text = plain(text);
    let (width, diameter) = text.split_once('-')?;
    let whole = |part: &str, least: usize| {
        let part = part.trim();
        let digits = part.len() >= least && part.len() <= 3 && part.bytes().all(|b| b.is_ascii_digit());
        if digits { part.parse().ok() } else { None }
    };
    Some((whole(width, 2)?, whole(diameter, 3)?))
}

/// Whether a cell says that there is nothing.
pub(super) fn is_absent(text: &str) -> bool {
    let marks =
        |c: char| matches!(c, '-' | '–' | '—' | '−' | '.' | '/' | '…' | '‒' | '―') || c.is_whitespace();
    text.chars().all(marks) || HEADERS.word(text) == Some(Word::Absent)
}

/// One kind of dash, quote and degree sign; fractions written out.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '‐' | '‑' | '‒' | '–' | '—' | '―' | '−' => out.push('-'),
            '’' | '‘' | '′' | 'ʹ' | '´' => out.push('\''),
            '”' | '“' | '„' | '″' | 'ʺ' => out.push('"'),
            'º' | '˚' => out.push('°'),
            '⁄' => out.push('/'),
            _ => match vulgar(c) {
                Some(fraction) => {
                    out.push(' ');
                    out.push_str(fraction);
                }
                None => out.push(c),
            },
        }
    }
    out.trim().to_owned()
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}

/// Sign, digits with a decimal point, and what follows.
fn leading_number(text: &str) -> Option<(Option<char>, String, &str)> {
    let sign = text.chars().next().filter(|c| matches!(c, '+' | '-'));
    let unsigned = if sign.is_some() { text[1..].trim_start() } else { text };
    let whole = digits_at_start(unsigned);
    if whole.is_empty() {
        return None;
    }
    let mut rest = &unsigned[whole.len()..];
    let trimmed = whole.trim_start_matches('0');
    let mut digits = if trimmed.is_empty() { "0".to_owned() } else { trimmed.to_owned() };
    if let Some(after) = rest.strip_prefix(['.', ',']) {
        let decimals = digits_at_start(after);
        if !decimals.is_empty() {
            digits.push('.');
            digits.push_str(decimals);
            rest = &after[decimals.len()..];
        }
    }
    Some((sign, digits, rest))
}

fn digits_at_start(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    &text[..end]
}

/// The unit that a text is, and nothing but.
fn unit(text: &str) -> Option<Unit> {
    match text {
        "\"" | "''" => Some(Unit::Inch),
        _ => heading::read(text).bare_unit(),
    }
}

/// Degrees and minutes, with or without seconds, as decimal degrees. A minute
/// is about 0.017°, so two decimals keep what was given; four with seconds.
fn minutes(degrees: &str, rest: &str) -> Option<String> {
    let rest = rest.strip_prefix('°')?.trim_start();
    let minutes = digits_at_start(rest);
    let mut after = rest[minutes.len()..].trim_start().strip_prefix('\'')?.trim_start();
    let seconds = digits_at_start(after);
    if !seconds.is_empty() {
        after = after[seconds.len()..].trim_start();
        after = after.strip_prefix('"').or_else(|| after.strip_prefix("''"))?;
    }
    let whole: u32 = degrees.parse().ok()?;
    let m: u32 = minutes.parse().ok().filter(|m| *m < 60)?;
    let s: u32 = if seconds.is_empty() { 0 } else { seconds.parse().ok().filter(|s| *s < 60)? };
    if !after.trim().is_empty() {
        return None;
    }
    let value = f64::from(whole) + f64::from(m) / 60.0 + f64::from(s) / 3600.0;
    let decimals = if seconds.is_empty() { 2 } else { 4 };
    Some(shortest(&format!("{value:.decimals$}")))
}

/// A whole number and a fraction of an inch, or the fraction alone, as decimals.
/// Halves to sixty-fourths are exact in six decimals.
fn fraction(number: &str, rest: &str) -> Option<(String, Option<Unit>)> {
    let (whole, top, rest) = if let Some(below) = rest.strip_prefix('/') {
        ("0", number, below)
    } else {
        let part = rest.strip_prefix('-').unwrap_or(rest).trim_start();
        let top = digits_at_start(part);
        (number, top, part[top.len()..].trim_start().strip_prefix('/')?)
    };
    let rest = rest.trim_start();
    let bottom = digits_at_start(rest);
    let after = rest[bottom.len()..].trim();
    let (whole, top, bottom): (u32, u32, u32) =
        (whole.parse().ok()?, top.parse().ok()?, bottom.parse().ok()?);
    if top == 0 || top >= bottom || !matches!(bottom, 2 | 4 | 8 | 16 | 32 | 64) {
        return None;
    }
    let unit = if after.is_empty() { None } else { Some(unit(after)?) };
    let value = f64::from(whole) + f64::from(top) / f64::from(bottom);
    Some((shortest(&format!("{value:.6}")), unit))
}

/// Without zeros at the end that only come from the formatting.
fn shortest(decimal: &str) -> String {
    decimal.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(text: &str) -> (String, Option<Unit>) {
        match read(text) {
            Content::Figure(f) => (
                f.sign.filter(|s| *s == '-').map_or(f.digits.clone(), |s| format!("{s}{}", f.digits)),
                f.unit,
            ),
            other => panic!("{text:?} gave {other:?}"),
        }
    }

    #[test]
    fn digits_stay_as_given() {
        assert_eq!(figure("77.0"), ("77.0".into(), None));
        assert_eq!(figure("77,0"), ("77.0".into(), None));
        assert_eq!(figure("455 mm"), ("455".into(), Some(Unit::Millimetre)));
        assert_eq!(figure("64,50°"), ("64.50".into(), Some(Unit::Degree)));
        assert_eq!(figure("45.5cm"), ("45.5".into(), Some(Unit::Centimetre)));
        assert_eq!(figure("17.9\""), ("17.9".into(), Some(Unit::Inch)));
        assert_eq!(figure("17.9 ″"), ("17.9".into(), Some(Unit::Inch)));
        assert_eq!(figure("17,9 Zoll"), ("17.9".into(), Some(Unit::Inch)));
        assert_eq!(figure("−35"), ("-35".into(), None));
        assert_eq!(figure("064.5"), ("64.5".into(), None));
    }

    #[test]
    fn minutes_become_decimals() {
        let degrees = Some(Unit::Degree);
        assert_eq!(figure("64°30'"), ("64.5".into(), degrees));
        assert_eq!(figure("64° 30′"), ("64.5".into(), degrees));
        assert_eq!(figure("73°20’"), ("73.33".into(), degrees));
        assert_eq!(figure("73°0'"), ("73".into(), degrees));
        assert_eq!(figure("64°30'36\""), ("64.51".into(), degrees));
        assert!(matches!(read("64°75'"), Content::Unreadable(_)));
    }

    #[test]
    fn fractions_of_an_inch() {
        let inch = Some(Unit::Inch);
        assert_eq!(figure("17 3/4\""), ("17.75".into(), inch));
        assert_eq!(figure("17-3/4 in"), ("17.75".into(), inch));
        assert_eq!(figure("17¾ in."), ("17.75".into(), inch));
        assert_eq!(figure("1/2\""), ("0.5".into(), inch));
        assert_eq!(figure("22 1/64 in"), ("22.015625".into(), inch));
        assert_eq!(figure("17 1/2"), ("17.5".into(), None));
    }

    #[test]
    fn two_figures_are_not_guessed() {
        let several = [
            "430-440",
            "430–440",
            "64/64.5",
            "64 / 64.5",
            "430 to 440",
            "64.5 (64)",
            "1.234,5",
            "1 234",
            "1.000.000",
        ];
        for text in several {
            assert_eq!(read(text), Content::Unreadable(SEVERAL), "{text}");
        }
        for text in ["~455", "ca. 455", "max 180", "< 12", "± 3"] {
            assert_eq!(read(text), Content::Unreadable(BEFORE), "{text}");
        }
        for text in ["455 furlongs", "455*", "455¹", "455."] {
            assert_eq!(read(text), Content::Unreadable(BEHIND), "{text}");
        }
        assert_eq!(read("long"), Content::Unreadable(NO_FIGURE));
    }

    #[test]
    fn marks_for_nothing() {
        for text in ["", "-", "–", "—", "--", "n/a", "N/A", "k. A.", "n.d.", "…", "/", " "] {
            assert_eq!(read(text), Content::Absent, "{text:?}");
        }
    }

    #[test]
    fn tyres_in_the_form_of_the_standard() {
        assert_eq!(read_tyre("61-622"), Some((61, 622)));
        assert_eq!(read_tyre("61 – 584"), Some((61, 584)));
        for text in ["29", "29 x 2.4", "29\"", "700x45C", "6-622", "61-62", "+61-622", "2.4-29"] {
            assert_eq!(read_tyre(text), None, "{text}");
        }
    }
}
