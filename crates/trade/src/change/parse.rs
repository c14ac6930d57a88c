//! Reading one change.

use std::ops::Range;
use std::sync::Arc;

use knockon_engine::change::Wheel;

use super::linkage::{Axis, chip, point};
use super::{Change, normal};
use crate::fact::{Fact, Known};
use crate::problem::{Problem, nearest};
use crate::series::Series;
use crate::tables::{self, Detail, Property};
use crate::tyre::Tyre;
use crate::units::{Dimension, ReadError, Reading, read, shown};

/// A change that was read, with what was odd about it.
#[derive(Clone, Debug)]
pub struct Read {
    /// The change.
    pub change: Change,
    /// Set when the value is possible but out of the usual.
    pub warning: Option<Problem>,
}

/// Reads one change. Its source is called "change" in an error.
///
/// ```
/// use knockon_trade::change::parse;
/// assert_eq!(parse("Spacers below -> 5").unwrap().change.to_string(), "spacers below 5");
/// let error = parse("stem lenght 40").unwrap_err();
/// assert_eq!(error.line_column(), (1, 1));
/// assert_eq!(error.help.as_deref(), Some("did you mean `stem length`?"));
/// ```
///
/// # Errors
/// When the line does not say a change; the place points at the words that do not.
pub fn parse(line: &str) -> Result<Read, Problem> {
    Reader { line, source: Arc::from(line) }.change()
}

/// Place of a change's value in its line, once the line is known to say a change.
pub(super) fn value_place(line: &str) -> Option<Range<usize>> {
    Reader { line, source: Arc::from(line) }.parts().ok().map(|parts| parts.value)
}

/// A line taken apart.
struct Parts {
    /// What changes, in its normal form.
    phrase: String,
    phrase_place: Range<usize>,
    /// True for a step.
    by: bool,
    /// Place of the value.
    value: Range<usize>,
}

struct Reader<'a> {
    line: &'a str,
    source: Arc<str>,
}

impl Reader<'_> {
    fn error(&self, place: Range<usize>, message: impl Into<String>) -> Problem {
        Problem::error("change", &self.source, place, message)
    }

    fn change(&self) -> Result<Read, Problem> {
        if let Some(place) = chip(self.line) {
            return self.chip(place);
        }
        if normal(self.line) == "idler off" {
            return Ok(Read { change: Change::NoIdler, warning: None });
        }
        if let Some((end, value)) = self.end() {
            return self.standard(end, value);
        }
        let Parts { phrase, phrase_place, by, value: place } = self.parts()?;
        let value = &self.line[place.clone()];
        if let Some(wheel) = tyre_wheel(&phrase) {
            return self.tyre(wheel, by, value, place);
        }
        if let Some((name, axis)) = point(&phrase) {
            return self.point(name, axis, by, value, place);
        }
        if phrase == "point" || phrase.starts_with("point ") {
            return Err(self.error(phrase_place, "a point of the linkage moves forward or up").with_help(
                "say for example `point main pivot forward by 5` or `point main pivot up by -3`",
            ));
        }
        let property = named(&phrase).ok_or_else(|| self.unknown(&phrase, phrase_place))?;
        if value.is_empty() {
            let at = self.line.len();
            return Err(self
                .error(at..at, format!("`{}` to what?", property.say[0]))
                .with_help(format!("say for example `{} {}`", property.say[0], property.example)));
        }
        self.number(property, by, value, place)
    }

    /// Where the phrase ends and the value begins.
    fn parts(&self) -> Result<Parts, Problem> {
        let words = words(self.line);
        let Some(first) = words.first() else {
            return Err(self
                .error(0..self.line.len(), "a change is empty")
                .with_help("say for example `stem length 40`"));
        };
        // The first mark or number begins the value, unless a name goes on behind it: `fork axle to crown 576`.
        let starts = || (0..words.len()).filter(|at| starts_value(&self.line[words[*at].clone()]));
        let phrase_end = |split: usize| words[..split].last().map_or(first.end, |word| word.end);
        let split = starts()
            .chain([words.len()])
            .find(|split| *split > 0 && is_known(&normal(&self.line[first.start..phrase_end(*split)])))
            .or_else(|| starts().next())
            .unwrap_or(words.len());
        let phrase_place = first.start..phrase_end(split);
        if split == 0 {
            return Err(self
                .error(phrase_place, "a change starts with what changes")
                .with_help("say for example `stem length 40` or `fork travel by +10`"));
        }
        let phrase = normal(&self.line[phrase_place.clone()]);
        let (by, start) = self.marks(&words[split..], phrase_place.end)?;
        let value = start..start + self.line[start..].trim_end().len();
        Ok(Parts { phrase, phrase_place, by, value })
    }

    /// Skips `to`, `->` and `=`; notes `by`. Returns where the value begins.
    fn marks(&self, words: &[Range<usize>], end: usize) -> Result<(bool, usize), Problem> {
        let (mut by, mut to) = (false, false);
        let mut start = end;
        for word in words {
            match self.line[word.clone()].to_lowercase().as_str() {
                "to" | "->" | "→" | "=" if !by => {
                    to = true;
                    start = word.end;
                }
                "by" if !by && !to => {
                    by = true;
                    start = word.end;
                }
                "to" | "->" | "→" | "=" | "by" => {
                    return Err(self
                        .error(word.clone(), "a change has either a new value or a step")
                        .with_help("`stem length 40` is a new value, `stem length by -10` a step"));
                }
                _ => return Ok((by, word.start)),
            }
        }
        Ok((by, start))
    }

    /// The end of a part that the line begins with, and the place of what follows; none where a longer phrase is a number's.
    fn end(&self) -> Option<(&'static Detail, Range<usize>)> {
        let line = normal(self.line);
        let begins = |say: &str| {
            let say = normal(say);
            line == say || line.strip_prefix(&say).is_some_and(|rest| rest.starts_with(' '))
        };
        let said = |row: &'static Detail| row.say.iter().filter(|say| begins(say)).map(String::len).max();
        let (end, length) = tables::details()
            .iter()
            .filter_map(|row| Some((row, said(row)?)))
            .max_by_key(|(_, length)| *length)?;
        let numbers = tables::properties().iter().flat_map(|row| &row.say);
        if numbers.filter(|say| begins(say)).any(|say| say.len() > length) {
            return None;
        }
        // As many words as the phrase has are the phrase.
        let words = words(self.line);
        let said = end.say.iter().find(|say| say.len() == length && begins(say))?;
        let count = normal(said).split(' ').count();
        let mut left = count;
        let mut start = self.line.len();
        for word in &words {
            if left == 0 {
                start = word.start;
                break;
            }
            left -= normal(&self.line[word.clone()]).split(' ').count().min(left);
        }
        let marked = ["to ", "-> ", "→ ", "= "].iter().find(|mark| self.line[start..].starts_with(**mark));
        start += marked.map_or(0, |mark| mark.len());
        Some((end, start..start + self.line[start..].trim_end().len()))
    }

    fn standard(&self, end: &'static Detail, place: Range<usize>) -> Result<Read, Problem> {
        let given = &self.line[place.clone()];
        let example = format!("say for example `{} {}`", end.say[0], end.example);
        if given.is_empty() {
            return Err(self.error(place, format!("`{}` to what?", end.say[0])).with_help(example));
        }
        if let Some(kind) = end.series {
            return match Series::read(given, kind) {
                Ok(series) => Ok(Read { change: Change::Series { row: end, series }, warning: None }),
                Err(why) => Err(self.error(place, why).with_help(example)),
            };
        }
        let interface = end.interface.as_deref().and_then(tables::interface);
        if let Some(standard) = interface.and_then(|interface| interface.standard(given)) {
            return Ok(Read { change: Change::End { end, standard: &standard.name }, warning: None });
        }
        if let Some(row) = end.or.as_deref().and_then(tables::detail)
            && let Some(series) = row.series.and_then(|kind| Series::read(given, kind).ok())
            && series.values.len() > 1
        {
            return Ok(Read { change: Change::Series { row, series }, warning: None });
        }
        let choices = end.choices();
        let help = nearest(given, choices.iter().copied()).map_or_else(
            || format!("it is one of {}", choices.join("; ")),
            |near| format!("did you mean `{near}`? It is one of {}", choices.join("; ")),
        );
        Err(self.error(place, format!("`{}` cannot be `{given}`", end.say[0])).with_help(help))
    }

    fn tyre(&self, wheel: Wheel, by: bool, value: &str, place: Range<usize>) -> Result<Read, Problem> {
        let name = if wheel == Wheel::Front { "front" } else { "rear" };
        let help = format!(
            "say for example `{name} tyre 64-622`, or `{name} wheel radius 365` when it was measured"
        );
        if by {
            return Err(self.error(place, "a tyre is named by its size, not by a step").with_help(help));
        }
        match Tyre::read(value) {
            Ok(tyre) => Ok(Read { change: Change::Tyre { wheel, tyre }, warning: None }),
            Err(why) => Err(self.error(place, why).with_help(help)),
        }
    }

    fn chip(&self, place: String) -> Result<Read, Problem> {
        if place.is_empty() {
            let at = self.line.len();
            return Err(self
                .error(at..at, "`chip` to which place?")
                .with_help("say for example `chip low`, by the name that the record has for it"));
        }
        Ok(Read { change: Change::Chip { place }, warning: None })
    }

    fn point(
        &self,
        name: &str,
        axis: Axis,
        by: bool,
        value: &str,
        place: Range<usize>,
    ) -> Result<Read, Problem> {
        let example = format!("say for example `point {name} {} by 5`", axis.word());
        if value.is_empty() {
            let at = self.line.len();
            return Err(self.error(at..at, "by how much does the point move?").with_help(example));
        }
        if !by {
            return Err(self.error(place, "a point moves by a step").with_help(example));
        }
        let amount = self.amount(value, place.start, Dimension::Length, "a point")?;
        // Further than a bike is long is a slip of the pen.
        if amount.value.abs() > 500.0 {
            return Err(self
                .error(place, format!("a point cannot move by {}", shown(amount.value, "mm")))
                .with_help("possible is −500 mm to 500 mm"));
        }
        Ok(Read { change: Change::Point { name: name.to_owned(), axis, amount }, warning: None })
    }

    fn number(
        &self,
        property: &'static Property,
        by: bool,
        value: &str,
        place: Range<usize>,
    ) -> Result<Read, Problem> {
        let bare = split_tolerance(value).0;
        let reading = self.reading(property.dimension, &property.say[0], bare, place.start)?;
        let length = property.dimension == Dimension::Length;
        if bare.starts_with('+') && !by && length {
            return Err(self
                .error(place.start..place.start + bare.len(), format!("is `{bare}` a step or a new value?"))
                .with_help(format!(
                    "`{0} by {bare}` is a step, `{0} {1}` a new value",
                    property.say[0],
                    bare.trim_start_matches('+')
                )));
        }
        let amount = self.amount(value, place.start, property.dimension, &property.say[0])?;
        let warning = if by { None } else { self.ranges(property, reading, place)? };
        Ok(Read { change: Change::Number { property, by, amount }, warning })
    }

    /// A number with its unit and, behind ±, its tolerance.
    fn amount(&self, value: &str, start: usize, dimension: Dimension, of: &str) -> Result<Fact, Problem> {
        let (bare, tolerance) = split_tolerance(value);
        let mut amount = Fact::published(bare.trim(), self.reading(dimension, of, bare, start)?);
        if let Some((at, text)) = tolerance {
            let start = start + at + (text.len() - text.trim_start().len());
            let pm = self.reading(dimension, of, text.trim(), start)?;
            if pm.value < 0.0 {
                return Err(self
                    .error(start..start + text.trim().len(), "a tolerance cannot be negative")
                    .with_help("it is the ± about the value"));
            }
            amount.uncertainty = pm.value / 2.0;
            amount.tolerance = Some(text.trim().to_owned());
            amount.known = Known::Measured;
        }
        Ok(amount)
    }

    fn reading(&self, dimension: Dimension, of: &str, text: &str, start: usize) -> Result<Reading, Problem> {
        let units =
            || format!("{of} takes {}; a bare number is in {}", dimension.unit_list(), dimension.edge_unit());
        let whole = start..start + text.len();
        match read(text, dimension) {
            Ok(reading) => Ok(reading),
            Err(ReadError::NotANumber | ReadError::NotFinite) => {
                Err(self.error(whole, format!("`{text}` is not a number")).with_help(units()))
            }
            Err(ReadError::UnknownUnit(at)) => {
                let place = start + at.start..start + at.end;
                Err(self.error(place, format!("`{}` is not a unit", &text[at])).with_help(units()))
            }
            Err(ReadError::WrongUnit(at, _)) => {
                let place = start + at.start..start + at.end;
                Err(self
                    .error(place, format!("`{}` is the wrong kind of unit for {of}", &text[at]))
                    .with_help(units()))
            }
        }
    }

    fn ranges(
        &self,
        property: &Property,
        reading: Reading,
        place: Range<usize>,
    ) -> Result<Option<Problem>, Problem> {
        let edge = reading.value / property.dimension.edge_factor();
        let unit = property.dimension.edge_unit();
        let [least, most] = property.possible;
        // A hair of room: degrees have been through radians.
        let within = |low: f64, high: f64| edge >= low - 1e-9 && edge <= high + 1e-9;
        if !within(least, most) {
            return Err(self
                .error(place, format!("{} cannot be {}", property.say[0], shown(edge, unit)))
                .with_help(format!("possible is {} to {}", shown(least, unit), shown(most, unit))));
        }
        let [least, most] = property.usual;
        Ok((!within(least, most)).then(|| {
            self.error(place, format!("{} of {} is unusual", property.say[0], shown(edge, unit)))
                .with_help(format!(
                    "usual is {} to {}; it is used as it stands",
                    shown(least, unit),
                    shown(most, unit)
                ))
                .as_warning()
        }))
    }

    fn unknown(&self, phrase: &str, place: Range<usize>) -> Problem {
        let phrases = || {
            let ends = tables::details().iter().flat_map(|end| &end.say);
            let numbers = tables::properties().iter().flat_map(|property| &property.say);
            numbers.chain(ends).map(String::as_str).chain([
                "front tyre",
                "rear tyre",
                "chip",
                "point",
                "idler off",
            ])
        };
        let part = phrase.split(' ').next().unwrap_or_default();
        let of_part: Vec<&str> =
            phrases().filter(|say| say.split(' ').next() == Some(part) && say.contains(' ')).collect();
        let follows = tables::quantities().iter().any(|quantity| normal(&quantity.label) == phrase);
        let help = if follows {
            "it follows from the parts: change one of those; `knockon changes` lists them".to_owned()
        } else if let Some(others) = of_the_same_words(phrase, phrases()) {
            format!("did you mean {others}?")
        } else if let Some(near) = nearest(phrase, phrases()) {
            format!("did you mean `{near}`?")
        } else if of_part.is_empty() {
            "`knockon changes` lists every part and property".to_owned()
        } else {
            format!("{part} has {}", of_part.join(", "))
        };
        let message = if follows {
            format!("`{phrase}` cannot be changed by itself")
        } else {
            format!("nothing on a bike is called `{phrase}`")
        };
        self.error(place, message).with_help(help)
    }
}

/// At most so many phrases are told where a word is part of several.
const MOST_TOLD: usize = 4;

/// Phrases that a person may have meant who said their words in another order, or only some of them: "headset lower ZS56/40" for `lower
/// headset`, "rotor" for `front rotor` and `rear rotor`.
fn of_the_same_words<'a>(phrase: &str, phrases: impl Iterator<Item = &'a str>) -> Option<String> {
    let said: Vec<&str> = phrase.split(' ').collect();
    let words = |say: &str| normal(say).split(' ').map(str::to_owned).collect::<Vec<String>>();
    let mut turned: Option<(usize, &str)> = None;
    let mut longer: Vec<&str> = Vec::new();
    for say in phrases {
        let words = words(say);
        let begins = words.iter().zip(&said).all(|(word, said)| word == said);
        let turns = words.len() > 1 && words.iter().all(|word| said.contains(&word.as_str())) && !begins;
        if turns && turned.is_none_or(|(most, _)| words.len() > most) {
            turned = Some((words.len(), say));
        }
        if said.len() < words.len() && said.iter().all(|said| words.iter().any(|word| word == said)) {
            longer.push(say);
        }
    }
    // The shortest are what somebody in a hurry meant.
    let least = longer.iter().map(|say| words(say).len()).min();
    let told = longer.iter().filter(|say| Some(words(say).len()) == least);
    let told: Vec<String> = told.map(|say| format!("`{say}`")).collect();
    match (turned, told.split_last()) {
        (Some((_, say)), _) => Some(format!("`{say}`")),
        (None, Some((last, []))) => Some(last.clone()),
        (None, Some((last, rest))) if told.len() <= MOST_TOLD => {
            Some(format!("{} or {last}", rest.join(", ")))
        }
        _ => None,
    }
}

/// A value without its tolerance, and the tolerance with its place.
fn split_tolerance(value: &str) -> (&str, Option<(usize, &str)>) {
    let mark = value.find("+-").map(|at| (at, 2));
    match mark.or_else(|| value.find('±').map(|at| (at, '±'.len_utf8()))) {
        Some((at, width)) => (value[..at].trim_end(), Some((at + width, &value[at + width..]))),
        None => (value, None),
    }
}

/// The property that a phrase names, in its normal form.
fn named(phrase: &str) -> Option<&'static Property> {
    tables::properties().iter().find(|property| property.say.iter().any(|say| normal(say) == phrase))
}

fn is_known(phrase: &str) -> bool {
    tyre_wheel(phrase).is_some() || named(phrase).is_some() || point(phrase).is_some()
}

/// Whether a line that begins with these words can say a change: the heading of a column in a list of parts.
pub fn is_phrase(heading: &str) -> bool {
    let phrase = normal(heading);
    let ends = || tables::details().iter().flat_map(|row| &row.say);
    phrase == "chip" || is_known(&phrase) || ends().any(|say| normal(say) == phrase)
}

fn tyre_wheel(phrase: &str) -> Option<Wheel> {
    match phrase {
        "front tyre" | "front tire" => Some(Wheel::Front),
        "rear tyre" | "rear tire" => Some(Wheel::Rear),
        _ => None,
    }
}

/// Whether a word is no longer part of the phrase: a mark or the beginning of a number.
fn starts_value(word: &str) -> bool {
    let lower = word.to_lowercase();
    let mut chars = lower.chars();
    matches!(lower.as_str(), "to" | "->" | "→" | "=" | "by")
        || match chars.next() {
            Some(c) if c.is_ascii_digit() => true,
            Some('+' | '-' | '−' | '–' | '.' | '±') => true,
            _ => false,
        }
}

/// Places of the words of a line.
fn words(line: &str) -> Vec<Range<usize>> {
    let mut words = Vec::new();
    let mut start = None;
    for (at, c) in line.char_indices() {
        match (c.is_whitespace(), start) {
            (false, None) => start = Some(at),
            (true, Some(from)) => {
                words.push(from..at);
                start = None;
            }
            _ => {}
        }
    }
    if let Some(from) = start {
        words.push(from..line.len());
    }
    words
}
