//! A measure of a rider that somebody took: what was measured, and how much it is.

use std::ops::Range;
use std::sync::Arc;

use serde::Deserialize;

use crate::change::normal;
use crate::fact::{rounding, tool_uncertainty};
use crate::interface::taken::{number, split_pm};
use crate::problem::{Problem, nearest};
use crate::record::Record;
use crate::tables;
use crate::units::{Dimension, number_end, shown};

/// Something that can be measured of a rider; a row of `data/body_measures.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BodyMeasure {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// How a reading names it, first the usual way.
    pub say: Vec<String>,
    /// Where a record keeps the same.
    pub key: Option<String>,
    /// How to measure it.
    pub how: String,
    /// Beyond this a reading is a slip of the pen, mm.
    pub possible: [f64; 2],
    /// How far two measurements of one body lie apart, ± two standard uncertainties, mm; 0 for what is marked on a part.
    repeats: f64,
    /// A value that somebody might read, mm.
    pub example: String,
    /// Source of the range, the figure and the instruction.
    pub source: String,
}

impl BodyMeasure {
    /// Standard uncertainty of a reading that does not say how well it was taken, mm: the tape's and the body's.
    fn uncertainty(&self) -> f64 {
        if self.repeats == 0.0 {
            return 0.0;
        }
        tool_uncertainty(Some(TOOL), Dimension::Length).hypot(self.repeats / 2.0)
    }

    /// A reading of it, as an example.
    pub fn reading(&self) -> String {
        format!("{} {}", self.say[0], self.example)
    }
}

/// What a body is measured with when nothing else is said.
const TOOL: &str = "tape";

/// One measure of a rider, or of the crank below them.
#[derive(Clone, Debug)]
pub struct Measured {
    /// What was measured.
    pub measure: &'static BodyMeasure,
    /// How much, mm.
    pub value: f64,
    /// Its standard uncertainty, mm.
    pub uncertainty: f64,
    /// Whether a record told it.
    pub recorded: bool,
}

/// Reads one measure: its name, a number with or without a unit, and ± where it is known. A tolerance without a unit has the
/// value's.
///
/// ```
/// use knockon_trade::body::measured;
/// let inseam = measured("inseam 32.7 in ± 0.2").unwrap();
/// assert!((inseam.value - 830.58).abs() < 1e-9); // 32.7 · 25.4
/// // ± is two standard uncertainties, the digits that were written add theirs: √(2.54² + 2.54²/12).
/// assert!((inseam.uncertainty - 2.644).abs() < 1e-3);
/// let error = measured("insaem 830").unwrap_err();
/// assert_eq!(error.help.as_deref(), Some("did you mean `inseam`?"));
/// ```
///
/// # Errors
/// When the line does not say a measure; the place points at what does not.
pub fn measured(line: &str) -> Result<Measured, Problem> {
    let source: Arc<str> = Arc::from(line);
    let error = |place: Range<usize>, message: String| Problem::error("measure", &source, place, message);
    let start = line.char_indices().map(|(at, _)| at).find(|at| begins_number(line, *at));
    let phrase = line[..start.unwrap_or(line.len())].trim().trim_end_matches([':', '=']).trim_end();
    let Some(measure) = named(phrase) else {
        let from = line.len() - line.trim_start().len();
        let place = if phrase.is_empty() { 0..line.len() } else { from..from + phrase.len() };
        return Err(unknown(phrase, error(place, what_is_wrong(phrase))));
    };
    let example = || format!("say for example `{}`", measure.reading());
    let Some(start) = start else {
        let message = format!("how much is the {}?", measure.label.to_lowercase());
        return Err(error(line.len()..line.len(), message).with_help(example()));
    };
    let (amount, pm) = split_pm(&line[start..]);
    let (value, step) = number(amount, start, &example, &error)?;
    let [least, most] = measure.possible;
    if value < least || value > most {
        let message = format!("the {} cannot be {}", measure.label.to_lowercase(), shown(value, "mm"));
        let help = format!("possible is {} to {}", shown(least, "mm"), shown(most, "mm"));
        return Err(error(start..start + amount.trim_end().len(), message).with_help(help));
    }
    let told = match pm {
        Some((text, at)) => {
            let unit = unit(amount).filter(|_| unit(text).is_none()).unwrap_or_default();
            let (pm, _) =
                number(&format!("{} {unit}", text.trim_end()), start + at, &example, &|place, message| {
                    error(place.start..place.end.min(line.len()), message)
                })?;
            if pm < 0.0 {
                let place = start + at..line.len();
                return Err(error(place, "a tolerance cannot be negative".to_owned())
                    .with_help("it is the ± about the value"));
            }
            pm / 2.0
        }
        None => measure.uncertainty(),
    };
    Ok(Measured { measure, value, uncertainty: told.hypot(rounding(step)), recorded: false })
}

fn what_is_wrong(phrase: &str) -> String {
    if phrase.is_empty() {
        "a measure starts with what was measured".to_owned()
    } else {
        format!("nothing that is measured of a rider is called `{phrase}`")
    }
}

fn unknown(phrase: &str, problem: Problem) -> Problem {
    let names = tables::body_measures().iter().flat_map(|row| &row.say).map(String::as_str);
    match nearest(&normal(phrase), names) {
        Some(near) => problem.with_help(format!("did you mean `{near}`?")),
        None => problem.with_help("`knockon body` lists what can be measured"),
    }
}

fn named(phrase: &str) -> Option<&'static BodyMeasure> {
    let wanted = normal(phrase);
    tables::body_measures().iter().find(|row| row.say.iter().any(|say| normal(say) == wanted))
}

/// Whether a number begins here, its sign and point included.
fn begins_number(line: &str, at: usize) -> bool {
    let rest = line[at..].trim_start_matches(['+', '-', '−', '–']).trim_start_matches(['.', ',']);
    rest.starts_with(|c: char| c.is_ascii_digit()) && !line[..at].ends_with(char::is_alphanumeric)
}

/// The unit behind a number.
fn unit(text: &str) -> Option<&str> {
    let text = text.trim();
    Some(text[number_end(text)?..].trim()).filter(|unit| !unit.is_empty())
}

/// What was measured, and beside it what a record tells of the same rider and crank and nobody measured.
///
/// ```
/// use knockon_trade::{body::{measured, with_record}, record::parse};
/// let record = parse("bike", "[crank]\nlength = 172.5").unwrap().record;
/// let all = with_record(vec![measured("inseam 830").unwrap()], &record);
/// assert_eq!((all[1].measure.id.as_str(), all[1].value, all[1].recorded), ("crank", 172.5, true));
/// ```
pub fn with_record(mut measured: Vec<Measured>, record: &Record) -> Vec<Measured> {
    for measure in tables::body_measures() {
        let fact = measure.key.as_deref().and_then(|key| record.fact(key));
        let Some(fact) = fact.filter(|_| measured.iter().all(|it| it.measure.id != measure.id)) else {
            continue;
        };
        measured.push(Measured { measure, value: fact.value, uncertainty: fact.uncertainty, recorded: true });
    }
    measured
}

/// Reads several measures; a measure is told once.
///
/// # Errors
/// Everything that is wrong with any of the lines.
pub fn read_measures<S: AsRef<str>>(lines: &[S]) -> Result<Vec<Measured>, Vec<Problem>> {
    let (mut read, mut problems) = (Vec::<Measured>::new(), Vec::new());
    for line in lines.iter().map(AsRef::as_ref) {
        match measured(line) {
            Ok(it) if read.iter().any(|told| told.measure.id == it.measure.id) => {
                let message = format!("the {} was told before", it.measure.label.to_lowercase());
                let problem = Problem::error("measure", &Arc::from(line), 0..line.len(), message);
                problems.push(problem.with_help("say each measure once: the mean of what was taped"));
            }
            Ok(it) => read.push(it),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() { Ok(read) } else { Err(problems) }
}
