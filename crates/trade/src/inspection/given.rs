//! What somebody found, as they say it.

use super::protocol::{CANNOT_TELL, Kind, Step};
use crate::problem::nearest;
use crate::units::{ReadError, literal, number_end, read};

/// The answer to one step.
#[derive(Clone, Debug, PartialEq)]
pub enum Given {
    /// One of the step's answers, by its place in the list.
    Choice(usize),
    /// A reading and its ±, in the unit of the edge.
    Number {
        /// The reading.
        value: f64,
        /// ± two standard uncertainties.
        pm: f64,
    },
    /// Whoever looked cannot tell.
    CannotTell,
    /// A photo was taken; nothing is read from it.
    Photo,
}

/// An answer with what was written down beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// Name of the step.
    pub step: String,
    /// The answer.
    pub given: Given,
    /// What was written down; empty when nothing was.
    pub note: String,
}

/// Why an answer cannot be used, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unusable {
    /// What is wrong, in a sentence without its full stop.
    pub why: String,
    /// How to mend it.
    pub help: String,
}

impl Unusable {
    fn new(why: impl Into<String>, help: impl Into<String>) -> Self {
        Unusable { why: why.into(), help: help.into() }
    }
}

/// Words for "cannot tell", beside its name.
const CANNOT: [&str; 6] = ["cannot tell", "can't tell", "cant tell", "unknown", "not sure", "?"];

impl Given {
    /// Reads the answer to a step: the name or the words of one of its answers, its place in the list (from 1), a number with a
    /// unit and maybe a ±, or "cannot tell".
    ///
    /// ```
    /// use knockon_trade::inspection::{Given, protocol};
    /// let step = protocol("rotor").unwrap().step("thickness").unwrap();
    /// assert_eq!(Given::read(step, "1.62 ± 0.02").unwrap(), Given::Number { value: 1.62, pm: 0.02 });
    /// assert_eq!(Given::read(step, "cannot tell").unwrap(), Given::CannotTell);
    /// assert_eq!(Given::read(step, "thick").unwrap_err().why, "\"thick\" is no number");
    /// ```
    ///
    /// # Errors
    /// What is wrong and how to mend it.
    pub fn read(step: &Step, text: &str) -> Result<Given, Unusable> {
        let text = text.trim();
        let plain = text.to_lowercase();
        if step.kind == Kind::Photo {
            return match plain.as_str() {
                CANNOT_TELL | "none" | "no" | "" => Ok(Given::CannotTell),
                _ => Ok(Given::Photo),
            };
        }
        if plain == CANNOT_TELL || CANNOT.contains(&plain.as_str()) {
            return Ok(Given::CannotTell);
        }
        if text.is_empty() {
            return Err(Unusable::new("there is no answer", "choose one, or say “cannot tell”"));
        }
        if step.kind == Kind::Number { number(step, text) } else { choice(step, &plain) }
    }

    /// As a file has it: what [`Given::read`] reads again.
    pub fn written(&self, step: &Step) -> String {
        match self {
            Given::Choice(at) => step.answers.get(*at).map_or_else(String::new, |answer| answer.id.clone()),
            Given::Number { value, pm } => format!("{value} {} ± {pm}", unit(step)).replace("  ", " "),
            Given::CannotTell => CANNOT_TELL.to_owned(),
            Given::Photo => "taken".to_owned(),
        }
    }

    /// As a sheet has it.
    pub fn words(&self, step: &Step) -> String {
        match self {
            Given::Choice(at) => step.answers.get(*at).map_or_else(String::new, |answer| answer.say.clone()),
            Given::Number { value, pm } => {
                let shown = crate::units::shown(*value, unit(step));
                format!("{} (± {})", shown.trim_end(), crate::words::plain_exact(*pm))
            }
            Given::CannotTell if step.kind == Kind::Photo => "No photo".to_owned(),
            Given::CannotTell => "Cannot tell".to_owned(),
            Given::Photo => "Photo taken".to_owned(),
        }
    }
}

/// Symbol of the unit of a step's readings.
pub fn unit(step: &Step) -> &'static str {
    step.dimension.map_or("", crate::units::Dimension::edge_unit)
}

fn choice(step: &Step, plain: &str) -> Result<Given, Unusable> {
    if let Some(at) = plain.parse::<usize>().ok().filter(|at| (1..=step.answers.len()).contains(at)) {
        return Ok(Given::Choice(at - 1));
    }
    let known = step.answers.iter().position(|it| it.id == plain || it.say.to_lowercase() == plain);
    known.map(Given::Choice).ok_or_else(|| {
        let names = || step.answers.iter().map(|answer| answer.id.as_str());
        let near = nearest(plain, names());
        let all: Vec<&str> = names().chain([CANNOT_TELL]).collect();
        let help = near.map_or_else(
            || format!("answers are {}", all.join(", ")),
            |near| format!("did you mean {near}? Answers are {}", all.join(", ")),
        );
        Unusable::new(format!("\"{plain}\" is no answer to this step"), help)
    })
}

fn number(step: &Step, text: &str) -> Result<Given, Unusable> {
    let Some(dimension) = step.dimension else {
        unreachable!("a number has a dimension: checked when it was read")
    };
    let (reading, tolerance) =
        text.split_once('±').or_else(|| text.split_once("+-")).map_or((text, None), |(a, b)| (a, Some(b)));
    let factor = dimension.edge_factor();
    let one = |text: &str| {
        read(text, dimension).map(|reading| reading.value / factor).map_err(|error| match error {
            ReadError::NotANumber => Unusable::new(
                format!("\"{}\" is no number", text.trim()),
                format!("write for example {}, or “cannot tell”", example(step)),
            ),
            ReadError::NotFinite => {
                Unusable::new("the number is not finite", format!("write for example {}", example(step)))
            }
            ReadError::UnknownUnit(_) | ReadError::WrongUnit(..) => Unusable::new(
                format!("\"{}\" has a unit that does not belong here", text.trim()),
                format!("the unit is {}", dimension.unit_list()),
            ),
        })
    };
    let value = one(reading)?;
    let pm = match tolerance {
        Some(tolerance) => one(tolerance)?.abs(),
        None => step.tolerance.unwrap_or_default().max(written_step(reading, step) / 2.0),
    };
    let [least, most] = step.possible.unwrap_or([f64::NEG_INFINITY, f64::INFINITY]);
    if !(least..=most).contains(&value) {
        let unit = unit(step);
        return Err(Unusable::new(
            format!("{} is not possible here", crate::units::shown(value, unit)),
            format!(
                "a reading lies between {} and {}",
                crate::units::shown(least, unit),
                crate::units::shown(most, unit)
            ),
        ));
    }
    Ok(Given::Number { value, pm })
}

/// The step that the last written digit stands for, in the unit of the edge; a bare "2" is good to ± 0.5.
fn written_step(text: &str, step: &Step) -> f64 {
    let text = text.trim();
    let digits = number_end(text).and_then(|end| literal(&text[..end]));
    let bare = digits.map_or(0.0, |(_, last)| last);
    let scaled =
        step.dimension.and_then(|dimension| Some(read(text, dimension).ok()?.step / dimension.edge_factor()));
    scaled.unwrap_or(bare)
}

/// A reading that somebody might write.
pub fn example(step: &Step) -> String {
    let middle = step.answers.iter().find_map(|answer| answer.until).unwrap_or(1.0);
    crate::units::shown(middle, unit(step))
}
