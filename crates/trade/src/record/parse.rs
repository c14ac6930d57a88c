//! Reading a record. Every fault of a text is reported at once, each with its place and a way to mend it.

use std::ops::Range;
use std::sync::Arc;

use toml_edit::{Document, Item, TableLike, Value};

use super::{ForkMeasured, Kind, Record, SaddleReference, check, linkage};
use crate::fact::{Fact, Known, rounding, tool_uncertainty};
use crate::problem::{Problem, nearest};
use crate::series::{Kind as Row, Series};
use crate::tables::{self, Detail, Property};
use crate::tyre::Tyre;
use crate::units::{Dimension, ReadError, Reading, read, shown};

/// A record that was read, with what was odd about it.
#[derive(Clone, Debug)]
pub struct Parsed {
    /// The record.
    pub record: Record,
    /// Values that are possible but out of the usual, and the like.
    pub warnings: Vec<Problem>,
}

/// Reads a record from TOML. `name` is what the text is called in an error: a file's path.
///
/// ```
/// let parsed = knockon_trade::record::parse("larch.toml", "name = \"Larch\"\n[stem]\nlength = 50").unwrap();
/// assert_eq!(parsed.record.fact("stem.length").unwrap().value, 50.0);
/// let errors = knockon_trade::record::parse("larch.toml", "[stem]\nlenght = 50").unwrap_err();
/// assert_eq!(errors[0].line_column(), (2, 1));
/// assert!(errors[0].help.as_ref().unwrap().contains("length"));
/// ```
///
/// # Errors
/// Every fault that makes the record unusable.
pub fn parse(name: &str, text: &str) -> Result<Parsed, Vec<Problem>> {
    let source: Arc<str> = Arc::from(text);
    let document = Document::parse(text).map_err(|error| {
        let place = error.span().unwrap_or(0..0);
        let message =
            format!("this is not TOML: {}", error.message().lines().next().unwrap_or("syntax error"));
        vec![
            Problem::error(name, &source, place, message)
                .with_help("a record has lines such as `stack = 628` under headings such as `[chart]`"),
        ]
    })?;
    let mut reader =
        Reader { name, source, record: Record::default(), problems: Vec::new(), places: Vec::new() };
    reader.table(document.as_table(), "");
    check::contradictions(&mut reader);
    linkage::warnings(&mut reader);
    let Reader { record, problems, .. } = reader;
    let (warnings, errors): (Vec<Problem>, Vec<Problem>) =
        problems.into_iter().partition(|problem| problem.warning);
    if errors.is_empty() { Ok(Parsed { record, warnings }) } else { Err(errors) }
}

pub(super) struct Reader<'a> {
    name: &'a str,
    source: Arc<str>,
    pub(super) record: Record,
    problems: Vec<Problem>,
    places: Vec<(String, Range<usize>)>,
}

impl Reader<'_> {
    pub(super) fn problem(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    pub(super) fn error(&self, place: Range<usize>, message: impl Into<String>) -> Problem {
        Problem::error(self.name, &self.source, place, message)
    }

    pub(super) fn put_place(&mut self, key: &str, place: Range<usize>) {
        self.places.push((key.to_owned(), place));
    }

    /// Place of the value at a key.
    pub(super) fn place(&self, key: &str) -> Range<usize> {
        self.places.iter().find(|(known, _)| known == key).map_or(0..0, |(_, place)| place.clone())
    }

    fn table(&mut self, table: &dyn TableLike, prefix: &str) {
        for (key, item) in table.iter() {
            let path = if prefix.is_empty() { key.to_owned() } else { format!("{prefix}.{key}") };
            let place = item.span().unwrap_or(0..0);
            self.places.push((path.clone(), place.clone()));
            if let Some(property) = tables::property(&path) {
                match self.fact(property, item, place) {
                    Ok(fact) => drop(self.record.facts.insert(&property.key, fact)),
                    Err(problem) => self.problem(*problem),
                }
            } else if tables::detail(&path).is_some() {
                if let Err(problem) = self.text_key(&path, item, place) {
                    self.problem(*problem);
                }
            } else if path == linkage::KEY {
                linkage::read(self, item, place);
            } else if is_group(&path) {
                match item.as_table_like() {
                    Some(inner) => self.table(inner, &path),
                    None => {
                        let problem = self
                            .error(place, format!("`{path}` is a heading, not a value"))
                            .with_help(format!("write [{path}] and below it {}", keys_in(&path).join(", ")));
                        self.problem(problem);
                    }
                }
            } else {
                let place = table.get_key_value(key).and_then(|(key, _)| key.span()).unwrap_or(place);
                let problem = self.unknown_key(&path, key, prefix, place);
                self.problem(problem);
            }
        }
    }

    fn unknown_key(&self, path: &str, key: &str, prefix: &str, place: Range<usize>) -> Problem {
        let here = keys_in(prefix);
        let help = if let Some(elsewhere) = all_keys().find(|known| known.rsplit('.').next() == Some(key)) {
            format!("`{key}` belongs under [{}]", elsewhere.rsplit_once('.').map_or("", |(group, _)| group))
        } else if let Some(near) = nearest(key, here.iter().map(String::as_str)) {
            format!("did you mean `{near}`?")
        } else if prefix.is_empty() {
            format!("a record knows {}", here.join(", "))
        } else {
            format!("[{prefix}] knows {}", here.join(", "))
        };
        self.error(place, format!("a record has no `{path}`")).with_help(help)
    }

    fn fact(&self, property: &Property, item: &Item, place: Range<usize>) -> Result<Fact, Box<Problem>> {
        let fact = match item.as_table_like() {
            Some(table) => self.known_fact(property, table, &place)?,
            None => {
                let (text, reading) = self.number(&property.key, property.dimension, item, &place)?;
                Fact::published(&text, reading)
            }
        };
        let edge = fact.value / property.dimension.edge_factor();
        let [least, most] = property.possible;
        if !(least..=most).contains(&edge) {
            let unit = property.dimension.edge_unit();
            return Err(self
                .error(place, format!("{} cannot be {}", property.key, shown(edge, unit)))
                .with_help(format!(
                    "possible is {} to {}; {}",
                    shown(least, unit),
                    shown(most, unit),
                    unit_hint(property.dimension)
                ))
                .into());
        }
        Ok(fact)
    }

    fn known_fact(
        &self,
        property: &Property,
        table: &dyn TableLike,
        place: &Range<usize>,
    ) -> Result<Fact, Box<Problem>> {
        self.told(&property.key, property.dimension, &property.example, table, place)
    }

    /// Reads a number that is written with how it is known.
    pub(super) fn told(
        &self,
        name: &str,
        dimension: Dimension,
        example: &str,
        table: &dyn TableLike,
        place: &Range<usize>,
    ) -> Result<Fact, Box<Problem>> {
        let mut value = None;
        let mut how = How::default();
        for (key, item) in table.iter() {
            let at = item.span().unwrap_or_else(|| place.clone());
            if key == "value" {
                value = Some(self.number(name, dimension, item, &at)?);
            } else if !self.how(&mut how, key, item, &at, (name, dimension))? {
                let at = table.get_key_value(key).and_then(|(key, _)| key.span()).unwrap_or(at);
                let keys = ["value", "known", "with", "tolerance"];
                return Err(self
                    .error(at, format!("a number has no `{key}`"))
                    .with_help(near(key, &keys))
                    .into());
            }
        }
        let Some((text, reading)) = value else {
            return Err(self
                .error(place.clone(), format!("{name} has no `value`"))
                .with_help(format!(
                    "write {{ value = {example}, known = \"measured\", with = \"tape\", tolerance = 2 }}"
                ))
                .into());
        };
        self.fact_told(&how, text, reading, dimension, place)
    }

    /// Reads one of the keys that say how a number is known; false for any other key.
    pub(super) fn how(
        &self,
        how: &mut How,
        key: &str,
        item: &Item,
        at: &Range<usize>,
        (name, dimension): (&str, Dimension),
    ) -> Result<bool, Box<Problem>> {
        match key {
            "tolerance" => {
                let (text, reading) = self.number(name, dimension, item, at)?;
                if reading.value < 0.0 {
                    return Err(self
                        .error(at.clone(), "a tolerance cannot be negative")
                        .with_help("it is the ± about the value")
                        .into());
                }
                how.tolerance = Some((text, reading.value));
            }
            "known" => how.known = Some(self.word(item, at.clone(), "known", &Known::WORDS)?),
            "with" => how.with = Some(self.string(item, at.clone(), "with")?),
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// A number with how it is known, its uncertainty filled in.
    pub(super) fn fact_told(
        &self,
        how: &How,
        text: String,
        reading: Reading,
        dimension: Dimension,
        place: &Range<usize>,
    ) -> Result<Fact, Box<Problem>> {
        let known = how.known();
        let uncertainty = match (&how.tolerance, known) {
            (Some((_, tolerance)), _) => tolerance / 2.0,
            (None, Known::Published) => rounding(reading.step),
            (None, Known::Measured) => tool_uncertainty(how.with.as_deref(), dimension),
            (None, Known::Derived | Known::Assumed) => {
                return Err(self
                    .error(place.clone(), format!("a value that is {} needs its tolerance", known.word()))
                    .with_help("add `tolerance = …`, the ± that you would bet 19 to 1 on")
                    .into());
            }
        };
        Ok(Fact {
            value: reading.value,
            uncertainty,
            known,
            with: how.with.clone(),
            text,
            tolerance: how.tolerance.as_ref().map(|(text, _)| text.clone()),
        })
    }

    /// Reads a number: a bare one in the unit of the edge, or a text with a unit.
    pub(super) fn number(
        &self,
        key: &str,
        dimension: Dimension,
        item: &Item,
        place: &Range<usize>,
    ) -> Result<(String, Reading), Box<Problem>> {
        let raw = self.source.get(place.clone()).unwrap_or_default();
        let (text, inside) = match item.as_value() {
            Some(Value::Integer(_) | Value::Float(_)) => (raw.trim().to_owned(), 0),
            Some(Value::String(text)) => (text.value().clone(), 1),
            _ => {
                return Err(self
                    .error(place.clone(), format!("{key} must be a number"))
                    .with_help(format!(
                        "a bare number is in {}; or write \"…\" with {}",
                        dimension.edge_unit(),
                        dimension.unit_list()
                    ))
                    .into());
            }
        };
        let hint = || unit_hint(dimension);
        match read(&text, dimension) {
            Ok(reading) => Ok((text, reading)),
            Err(ReadError::NotFinite) => Err(self
                .error(place.clone(), format!("{key} must be a finite number"))
                .with_help(hint())
                .into()),
            Err(ReadError::NotANumber) => {
                let message = if text.contains("nan") || text.contains("inf") {
                    format!("{key} must be a finite number, not `{text}`")
                } else {
                    format!("`{text}` is not a number for {key}")
                };
                Err(self.error(place.clone(), message).with_help(hint()).into())
            }
            Err(ReadError::UnknownUnit(at)) => {
                let unit = text[at.clone()].to_owned();
                let at = place.start + inside + at.start..place.start + inside + at.end;
                Err(self
                    .error(at, format!("`{unit}` is no unit that a record knows"))
                    .with_help(hint())
                    .into())
            }
            Err(ReadError::WrongUnit(at, _)) => {
                let unit = text[at.clone()].to_owned();
                let at = place.start + inside + at.start..place.start + inside + at.end;
                Err(self
                    .error(at, format!("`{unit}` is the wrong kind of unit for {key}"))
                    .with_help(hint())
                    .into())
            }
        }
    }

    fn text_key(&mut self, path: &str, item: &Item, place: Range<usize>) -> Result<(), Box<Problem>> {
        match path {
            "name" => self.record.name = Some(self.string(item, place, path)?),
            "size" => self.record.size = Some(self.string(item, place, path)?),
            "note" => self.record.note = Some(self.string(item, place, path)?),
            "kind" => self.record.kind = Some(self.word(item, place, path, &Kind::WORDS)?),
            "fork.axle_to_crown_measured" => {
                self.record.axle_to_crown_measured =
                    Some(self.word(item, place, path, &ForkMeasured::WORDS)?);
            }
            "saddle.reference" => {
                self.record.saddle_reference = Some(self.word(item, place, path, &SaddleReference::WORDS)?);
            }
            "wheel.front.tyre" => self.record.front_tyre = Some(self.tyre(item, place, path)?),
            "wheel.rear.tyre" => self.record.rear_tyre = Some(self.tyre(item, place, path)?),
            "fork.axle_to_crown_allowed" => {
                self.record.axle_to_crown_allowed = Some(self.allowed(item, &place)?);
            }
            _ => {
                if let Some((detail, kind)) = tables::detail(path).and_then(|row| Some((row, row.series?))) {
                    let series = self.series(item, place, &detail.key, kind)?;
                    self.record.series.insert(&detail.key, series);
                } else if let Some(detail) = tables::detail(path) {
                    let standard = self.standard(detail, item, place)?;
                    self.record.ends.insert(&detail.key, standard);
                }
            }
        }
        Ok(())
    }

    /// What a part is made to: a number stands for the standard of that name.
    fn standard(
        &self,
        detail: &'static Detail,
        item: &Item,
        place: Range<usize>,
    ) -> Result<&'static str, Box<Problem>> {
        let given = match item.as_value() {
            Some(Value::Integer(_) | Value::Float(_)) => {
                self.source.get(place.clone()).unwrap_or_default().trim().to_owned()
            }
            _ => self.string(item, place.clone(), &detail.key)?,
        };
        let interface = detail.interface.as_deref().and_then(tables::interface);
        if let Some(standard) = interface.and_then(|interface| interface.standard(&given)) {
            return Ok(&standard.name);
        }
        let choices = detail.choices();
        let help = nearest(&given, choices.iter().copied()).map_or_else(
            || format!("it is one of {}", choices.join("; ")),
            |near| format!("did you mean \"{near}\"? It is one of {}", choices.join("; ")),
        );
        Err(self.error(place, format!("`{}` cannot be \"{given}\"", detail.key)).with_help(help).into())
    }

    pub(super) fn string(&self, item: &Item, place: Range<usize>, key: &str) -> Result<String, Box<Problem>> {
        // A size is often a number ("54"): take it as it is written.
        match item.as_value() {
            Some(Value::String(text)) if !text.value().trim().is_empty() => {
                Ok(text.value().trim().to_owned())
            }
            Some(Value::Integer(_) | Value::Float(_)) if key == "size" => {
                Ok(self.source.get(place).unwrap_or_default().trim().to_owned())
            }
            _ => Err(self
                .error(place, format!("`{key}` must be a text in quotes"))
                .with_help(format!("{key} = \"…\""))
                .into()),
        }
    }

    pub(super) fn word<T: Copy>(
        &self,
        item: &Item,
        place: Range<usize>,
        key: &str,
        words: &[(&'static str, T)],
    ) -> Result<T, Box<Problem>> {
        let given = self.string(item, place.clone(), key)?;
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == given) {
            return Ok(*value);
        }
        let all: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        let help = nearest(&given, words.iter().map(|(word, _)| *word)).map_or_else(
            || format!("it is one of {}", all.join(", ")),
            |near| format!("did you mean \"{near}\"? It is one of {}", all.join(", ")),
        );
        Err(self.error(place, format!("`{key}` cannot be \"{given}\"")).with_help(help).into())
    }

    fn tyre(&self, item: &Item, place: Range<usize>, key: &str) -> Result<Tyre, Box<Problem>> {
        let text = self.string(item, place.clone(), key)?;
        Tyre::read(&text).map_err(|why| {
            self.error(place, why).with_help("or give the measured radius: radius = 371").into()
        })
    }

    /// A row of numbers: a text, an array, or one number.
    fn series(&self, item: &Item, place: Range<usize>, key: &str, kind: Row) -> Result<Series, Box<Problem>> {
        let written = match item.as_value() {
            Some(Value::String(text)) => text.value().clone(),
            Some(Value::Integer(_) | Value::Float(_) | Value::Array(_)) => {
                self.source.get(place.clone()).unwrap_or_default().to_owned()
            }
            _ => String::new(),
        };
        Series::read(&written, kind).map_err(|why| {
            let example = tables::detail(key).map_or("", |row| row.example.as_str());
            let name = key.rsplit('.').next().unwrap_or(key);
            self.error(place, format!("`{key}`: {why}"))
                .with_help(format!("for example {name} = \"{example}\""))
                .into()
        })
    }

    fn allowed(&self, item: &Item, place: &Range<usize>) -> Result<[f64; 2], Box<Problem>> {
        let key = "fork.axle_to_crown_allowed";
        let wrong = || {
            self.error(
                place.clone(),
                format!("`{key}` is the least and the most that the frame's maker allows"),
            )
            .with_help("axle_to_crown_allowed = [541, 566]")
        };
        let array = item.as_array().filter(|array| array.len() == 2).ok_or_else(wrong)?;
        let mut limits = [0.0; 2];
        for (limit, value) in limits.iter_mut().zip(array.iter()) {
            let at = value.span().unwrap_or_else(|| place.clone());
            *limit = self.number(key, Dimension::Length, &Item::Value(value.clone()), &at)?.1.value;
        }
        if !limits.iter().all(|limit| (100.0..=800.0).contains(limit)) {
            return Err(self
                .error(place.clone(), format!("`{key}` must lie between 100 and 800 mm"))
                .with_help("a bare number is mm")
                .into());
        }
        Ok(limits)
    }
}

/// How a number is known, as far as it was said.
#[derive(Clone, Default)]
pub(super) struct How {
    pub(super) known: Option<Known>,
    pub(super) with: Option<String>,
    /// As written, and in the unit inside.
    pub(super) tolerance: Option<(String, f64)>,
}

impl How {
    /// How it is known, said or not.
    pub(super) fn known(&self) -> Known {
        let measured = self.with.is_some() || self.tolerance.is_some();
        self.known.unwrap_or(if measured { Known::Measured } else { Known::Published })
    }
}

/// What to write instead of a word that is not known: the nearest of those that are, or all.
pub(super) fn near(word: &str, known: &[&str]) -> String {
    nearest(word, known.iter().copied())
        .map_or_else(|| format!("it knows {}", known.join(", ")), |near| format!("did you mean `{near}`?"))
}

fn unit_hint(dimension: Dimension) -> String {
    format!("a bare number is in {}; a text may carry {}", dimension.edge_unit(), dimension.unit_list())
}

/// Every key of a record, numbers first.
pub(super) fn all_keys() -> impl Iterator<Item = &'static str> {
    let details = tables::details().iter().map(|detail| detail.key.as_str());
    tables::properties().iter().map(|property| property.key.as_str()).chain(details)
}

fn is_group(path: &str) -> bool {
    all_keys().any(|key| key.strip_prefix(path).is_some_and(|rest| rest.starts_with('.')))
}

/// The keys directly below a heading.
fn keys_in(prefix: &str) -> Vec<String> {
    let mut keys: Vec<String> = all_keys()
        .filter_map(
            |key| if prefix.is_empty() { Some(key) } else { key.strip_prefix(prefix)?.strip_prefix('.') },
        )
        .map(|rest| rest.split('.').next().unwrap_or(rest).to_owned())
        .collect();
    if prefix.is_empty() {
        keys.push(linkage::KEY.to_owned());
    }
    keys.sort();
    keys.dedup();
    keys
}
