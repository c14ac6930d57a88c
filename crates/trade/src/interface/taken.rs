//! A reading that somebody took: what was measured, and how much it is.

use std::ops::Range;
use std::sync::Arc;

use super::Measure;
use crate::change::normal;
use crate::fact::rounding;
use crate::problem::{Problem, nearest};
use crate::tables;
use crate::units::{Dimension, ReadError, read, shown};

/// One reading.
#[derive(Clone, Debug)]
pub struct Taken {
    /// What was measured.
    pub measure: &'static Measure,
    /// How much, mm or pieces.
    pub value: f64,
    /// Its standard uncertainty, in the same unit.
    pub uncertainty: f64,
}

/// The tool that a reading was taken with when it does not say how well: the interfaces are told apart by callipers.
const TOOL: &str = "calliper";

/// Reads one reading: what was measured, a number with or without a unit, and ± where it is known.
///
/// ```
/// use knockon_trade::interface::taken::taken;
/// let reading = taken("hub width 109.5 ± 1").unwrap();
/// assert_eq!((reading.measure.id.as_str(), reading.value), ("over_locknut", 109.5));
/// // ± is two standard uncertainties, the digits that were written add theirs: √(0.5² + 0.1²/12).
/// assert!((reading.uncertainty - 0.5008).abs() < 1e-3);
/// let error = taken("axel 15").unwrap_err();
/// assert_eq!(error.help.as_deref(), Some("did you mean `axle`?"));
/// ```
///
/// # Errors
/// When the line does not say a reading; the place points at what does not.
pub fn taken(line: &str) -> Result<Taken, Problem> {
    let source: Arc<str> = Arc::from(line);
    let error = |place: Range<usize>, message: String| Problem::error("reading", &source, place, message);
    let start = line.char_indices().find(|(at, _)| begins_number(line, *at)).map(|(at, _)| at);
    let phrase = line[..start.unwrap_or(line.len())].trim();
    let named_at = line.find(phrase).filter(|_| !phrase.is_empty());
    let place = named_at.map_or(0..line.len(), |at| at..at + phrase.len());
    let Some(measure) = named(phrase) else {
        let names = tables::measures().iter().flat_map(|row| &row.say).map(String::as_str);
        let wanted = normal(phrase);
        let help = match nearest(&wanted, names) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`knockon gauge` lists what can be measured".to_owned(),
        };
        let message = if phrase.is_empty() {
            "a reading starts with what was measured".to_owned()
        } else {
            format!("nothing that is measured is called `{phrase}`")
        };
        return Err(error(place, message).with_help(help));
    };
    let example = || format!("say for example `{} {}`", measure.say[0], example(measure));
    let Some(start) = start else {
        let message = format!("how much is the {}?", measure.label.to_lowercase());
        return Err(error(line.len()..line.len(), message).with_help(example()));
    };
    let (amount, pm) = split_pm(&line[start..]);
    let value = number(amount, start, &example, &error)?;
    let [least, most] = measure.usual;
    if value.0 < least || value.0 > most {
        let unit = unit(measure);
        let message = format!("the {} cannot be {}", measure.label.to_lowercase(), shown(value.0, unit));
        return Err(error(start..start + amount.trim_end().len(), message).with_help(format!(
            "possible is {} to {}",
            shown(least, unit),
            shown(most, unit)
        )));
    }
    let told = match pm {
        Some((text, at)) => number(text, start + at, &example, &error)?.0.abs() / 2.0,
        None if measure.is_counted() => 0.0,
        None => tool(),
    };
    let rounded = if measure.is_counted() { 0.0 } else { rounding(value.1) };
    Ok(Taken { measure, value: value.0, uncertainty: told.hypot(rounded) })
}

/// Standard uncertainty of a calliper's reading, mm.
pub(super) fn tool() -> f64 {
    let row = tables::tools().iter().find(|tool| tool.name == TOOL);
    row.and_then(|tool| tool.tolerance(Dimension::Length)).map_or(f64::NAN, |pm| pm / 2.0)
}

fn named(phrase: &str) -> Option<&'static Measure> {
    let wanted = normal(phrase);
    tables::measures().iter().find(|row| row.say.iter().any(|say| normal(say) == wanted))
}

/// A value that somebody might read.
pub fn example(measure: &Measure) -> String {
    let mut all = tables::interfaces().iter().flat_map(|row| &row.standards);
    let first = all.find_map(|row| row.nominal(&measure.id)).unwrap_or(measure.usual[0]);
    crate::words::plain((first * 10.0).round() / 10.0)
}

fn unit(measure: &Measure) -> &'static str {
    if measure.is_counted() { "" } else { "mm" }
}

/// Whether a number begins here, and not a number that belongs to a name: "12 links 305" begins at 305.
fn begins_number(line: &str, at: usize) -> bool {
    let digit = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
    let here = digit(&line[at..]) && !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '.');
    here && (named(line[..at].trim()).is_some()
        || !tables::measures().iter().flat_map(|row| &row.say).any(|say| {
            let (line, say) = (normal(line), normal(say));
            line.starts_with(&say) && digit(&say)
        }))
}

/// The amount, and what follows ±, with its place.
pub(crate) fn split_pm(text: &str) -> (&str, Option<(&str, usize)>) {
    for mark in ["±", "+-", "+/-"] {
        if let Some(at) = text.find(mark) {
            return (&text[..at], Some((&text[at + mark.len()..], at + mark.len())));
        }
    }
    (text, None)
}

/// Value and step of a number, mm or pieces. `start` is its place in the line, `example` the help where it is no number.
pub(crate) fn number(
    text: &str,
    start: usize,
    example: &impl Fn() -> String,
    error: &impl Fn(Range<usize>, String) -> Problem,
) -> Result<(f64, f64), Problem> {
    let place = |range: Range<usize>| start + range.start..start + range.end;
    let whole = start..start + text.trim_end().len();
    match read(text, Dimension::Length) {
        Ok(reading) => Ok((reading.value, reading.step)),
        Err(ReadError::NotANumber) => Err(error(whole, "this is no number".to_owned()).with_help(example())),
        Err(ReadError::NotFinite) => Err(error(whole, "a reading is a finite number".to_owned())),
        Err(ReadError::UnknownUnit(at)) => Err(error(place(at), "this unit is not known".to_owned())
            .with_help(format!("lengths are in {}", Dimension::Length.unit_list()))),
        Err(ReadError::WrongUnit(at, _)) => Err(error(place(at), "a length has another unit".to_owned())
            .with_help(format!("lengths are in {}", Dimension::Length.unit_list()))),
    }
}
