//! What is wanted and what is not accepted, in lines that a technician could say.
//!
//! `QUANTITY WANTED`: `grip stack +15` or `grip stack by 15` (a step; a sign always means one), `grip reach 470` or `grip reach to 470`,
//! `trail 110 to 120`, `grip reach unchanged`, `bottom-bracket height no higher`, `standover at most 740`. Behind it `± 3` widens what is
//! wanted and `weight 2` says how much it counts; `keep position` wants hands, saddle and feet where they are. What is not accepted: `keep stem`, `no spacers`, `bar rise at most 30`, `price at most 120`,
//! `at most 2 things`, `without bar rise 40`; `try headset` adds what is not tried by itself.

use std::ops::Range;
use std::sync::Arc;

use knockon_engine::quantity::{self, Quantity};

use crate::change::{self, Change, normal};
use crate::problem::{Problem, nearest};
use crate::tables::{self, Property};
use crate::units::{Dimension, ReadError, Reading, number_end, read};

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub enum Wish {
    /// A quantity in a range.
    Target(Target),
    /// Hands, saddle and feet stay where they are.
    Position,
    /// Whatever the slots of this name hold stays on the bike.
    Keep(&'static str),
    /// Slots of this name, which would not be tried by themselves.
    Try(&'static str),
    /// A measure of the bike that has to lie in a range, in the units that are kept inside.
    Within {
        /// Which one.
        property: &'static Property,
        /// Least and most.
        range: [f64; 2],
    },
    /// All together may cost this much.
    Price(f64),
    /// So many things may be touched.
    Things(u32),
    /// This very change is not to be had.
    Without(Change),
}

/// What is wanted of one quantity, in the engine's units.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// Which one.
    pub quantity: Quantity,
    /// Whether the range is of the difference rather than of the value.
    pub by: bool,
    /// Least and most.
    pub range: [f64; 2],
    /// How much it counts; 1 unless somebody said otherwise.
    pub weight: f64,
    /// Whether nobody said it: it stays as it is because something else is wanted.
    pub implied: bool,
}

impl Wish {
    /// Whether something is wanted, rather than not accepted.
    pub fn wants(&self) -> bool {
        matches!(self, Wish::Target(_) | Wish::Position)
    }
}

/// Smallest and largest weight that makes sense.
const WEIGHTS: [f64; 2] = [0.01, 100.0];

/// Reads one line.
///
/// ```
/// use knockon_trade::backwards::wish::{Wish, parse};
/// let Ok(Wish::Target(target)) = parse("grip stack +15 ± 3 weight 2") else { panic!() };
/// assert_eq!((target.quantity.id(), target.by, target.range, target.weight), ("grip_stack", true, [12.0, 18.0], 2.0));
/// assert_eq!(parse("keep my stem").ok(), Some(Wish::Keep("stem")));
/// let error = parse("grip stak +15").unwrap_err();
/// assert_eq!(error.help.as_deref(), Some("did you mean `grip stack`?"));
/// ```
///
/// # Errors
/// When the line says no wish: what of it, where, and how to mend it.
pub fn parse(line: &str) -> Result<Wish, Problem> {
    let line = line.trim();
    let words = Line { line, source: Arc::from(line) };
    let (first, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    match normal(first).as_str() {
        "" => Err(words.error(0..0, "nothing is wanted").with_help(EXAMPLE)),
        "keep" => words.keep(rest),
        "try" | "also" => words.slot(rest).map(Wish::Try),
        "no" => words.no(rest),
        "without" => match change::parse(rest.trim()) {
            Ok(read) => Ok(Wish::Without(read.change)),
            Err(problem) => Err(problem),
        },
        _ => words.measured(),
    }
}

/// What a wish looks like, for errors.
const EXAMPLE: &str =
    "say for example `grip stack +15`, `grip reach unchanged ± 3`, `keep stem` or `bar rise at most 30`";

struct Line<'a> {
    line: &'a str,
    source: Arc<str>,
}

/// What was said of a quantity or measure, before it is known which.
struct Said {
    by: bool,
    range: [f64; 2],
}

/// A dimension with how its numbers are read and kept.
#[derive(Clone, Copy)]
enum Kind {
    Known(Dimension),
    /// Read as a plain number, and multiplied with this.
    Plain(f64),
}

impl Line<'_> {
    fn error(&self, place: Range<usize>, message: impl Into<String>) -> Problem {
        Problem::error("wish", &self.source, place, message)
    }

    fn whole(&self, message: impl Into<String>) -> Problem {
        self.error(0..self.line.len(), message)
    }

    /// Where a part of the line stands.
    fn place(&self, part: &str) -> Range<usize> {
        let start = (part.as_ptr() as usize).saturating_sub(self.line.as_ptr() as usize).min(self.line.len());
        start..(start + part.len()).min(self.line.len())
    }

    /// `my stem`, `the stem`: the stem.
    fn slot(&self, name: &str) -> Result<&'static str, Problem> {
        let said = owned(name);
        slot_named(&said).ok_or_else(|| {
            let names = || tables::choices().iter().filter_map(|row| row.names.first()).map(String::as_str);
            let help =
                nearest(&said, tables::choices().iter().flat_map(|row| &row.names).map(String::as_str))
                    .map_or_else(
                        || format!("it is one of {}", listed(names())),
                        |near| format!("did you mean `{near}`?"),
                    );
            self.error(self.place(name.trim()), format!("nothing that is chosen is called `{}`", name.trim()))
                .with_help(help)
        })
    }

    fn keep(&self, rest: &str) -> Result<Wish, Problem> {
        let said = owned(rest);
        if said == "position" {
            return Ok(Wish::Position);
        }
        if let Some(id) = slot_named(&said) {
            return Ok(Wish::Keep(id));
        }
        match quantity_named(&said) {
            Some(quantity) => Ok(Wish::Target(Target::unchanged(quantity))),
            None => self.slot(rest).map(Wish::Keep),
        }
    }

    /// `no spacers` wants none of them; `no fork` none of the choosing.
    fn no(&self, rest: &str) -> Result<Wish, Problem> {
        let said = owned(rest);
        if ["spacers", "spacer", "spacers below"].contains(&said.as_str())
            && let Some(property) = tables::property("cockpit.spacers_below")
        {
            return Ok(Wish::Within { property, range: [0.0, 0.0] });
        }
        self.slot(rest).map(Wish::Keep)
    }

    fn measured(&self) -> Result<Wish, Problem> {
        let normal_line = normal(self.line);
        if let Some(rest) = normal_line.strip_prefix("price ").or_else(|| normal_line.strip_prefix("budget "))
        {
            let rest = rest.strip_prefix("at most ").unwrap_or(rest);
            return match rest.replace(',', ".").parse::<f64>() {
                Ok(price) if price >= 0.0 && price.is_finite() => Ok(Wish::Price(price)),
                _ => Err(self
                    .whole(format!("`{rest}` is not a price"))
                    .with_help("say for example `price at most 120`")),
            };
        }
        if let Some(rest) = normal_line.strip_prefix("at most ")
            && let Some(count) = rest.strip_suffix(" things").or_else(|| rest.strip_suffix(" thing"))
        {
            return match count.parse::<u32>() {
                Ok(count) if count > 0 => Ok(Wish::Things(count)),
                _ => Err(self
                    .whole(format!("`{count}` is no number of things"))
                    .with_help("say for example `at most 2 things`")),
            };
        }
        if owned(&normal_line) == "position unchanged" || owned(&normal_line) == "same position" {
            return Ok(Wish::Position);
        }
        let (bare, weight) = self.weight()?;
        let names = names(bare);
        for (end, name) in &names {
            if let Some(quantity) = quantity_named(name) {
                let kind = kind_of(quantity.dimension());
                let said = self.said(&bare[*end..], kind, &tables::quantity(quantity).label)?;
                return Ok(Wish::Target(Target {
                    quantity,
                    by: said.by,
                    range: said.range,
                    weight,
                    implied: false,
                }));
            }
            if let Some(property) = property_named(name) {
                let said = self.said(&bare[*end..], Kind::Known(property.dimension), &property.label)?;
                if said.by {
                    let help = format!("`{name} at most {}` says what is accepted", property.example);
                    return Err(self
                        .whole(format!(
                            "`{name}` is a measure of a part: a step of it is not wanted but done"
                        ))
                        .with_help(help));
                }
                return Ok(Wish::Within { property, range: said.range });
            }
        }
        let phrase = names.first().map_or_else(|| normal(bare), |(_, name)| name.clone());
        let labels: Vec<String> = tables::quantities().iter().map(|row| normal(&row.label)).collect();
        let properties = tables::properties().iter().filter_map(|row| row.say.first()).map(String::as_str);
        let help = nearest(&phrase, labels.iter().map(String::as_str).chain(properties))
            .map_or_else(|| EXAMPLE.to_owned(), |near| format!("did you mean `{near}`?"));
        let place = 0..names.first().map_or(bare.len(), |(end, _)| *end);
        Err(self.error(place, format!("nothing that could be wanted is called `{phrase}`")).with_help(help))
    }

    /// The line without `weight 2` at its end, and the weight.
    fn weight(&self) -> Result<(&str, f64), Problem> {
        // In ASCII alone, so that places stay what they are.
        let Some(at) = self.line.to_ascii_lowercase().rfind(" weight ") else {
            return Ok((self.line, 1.0));
        };
        let text = self.line[at + " weight ".len()..].trim();
        match text.replace(',', ".").parse::<f64>() {
            Ok(weight) if (WEIGHTS[0]..=WEIGHTS[1]).contains(&weight) => Ok((&self.line[..at], weight)),
            _ => Err(self
                .error(self.place(text), format!("`{text}` is no weight"))
                .with_help("a weight is a number from 0.01 to 100; 1 is what counts where none is said")),
        }
    }

    fn said(&self, text: &str, kind: Kind, of: &str) -> Result<Said, Problem> {
        let (text, around) =
            match text.find('±').map(|at| (at, '±'.len_utf8())).or_else(|| text.find("+-").map(|at| (at, 2)))
            {
                Some((at, width)) => (&text[..at], Some(text[at + width..].trim())),
                None => (text, None),
            };
        let mut said = self.range(text.trim(), kind, of)?;
        if let Some(around) = around {
            let pm = self.number(around, kind, of)?;
            if pm < 0.0 {
                return Err(self
                    .error(self.place(around), "a tolerance cannot be negative")
                    .with_help("it is the ± about what is wanted"));
            }
            said.range = [said.range[0] - pm, said.range[1] + pm];
        }
        Ok(said)
    }

    fn range(&self, text: &str, kind: Kind, of: &str) -> Result<Said, Problem> {
        let plain = normal(text);
        let none = [0.0, 0.0];
        match plain.as_str() {
            "" => {
                let name = normal(of);
                return Err(self.whole(format!("what is wanted of the {name}?")).with_help(format!(
                    "say for example `{name} unchanged`, a step (`{name} +5`) or a value"
                )));
            }
            "unchanged" | "same" | "the same" | "kept" | "as it is" => {
                return Ok(Said { by: true, range: none });
            }
            "no higher" | "no more" | "no longer" | "no steeper" | "no larger" | "no wider" => {
                return Ok(Said { by: true, range: [f64::NEG_INFINITY, 0.0] });
            }
            "no lower" | "no less" | "no shorter" | "no slacker" | "no smaller" | "no narrower" => {
                return Ok(Said { by: true, range: [0.0, f64::INFINITY] });
            }
            _ => {}
        }
        let (by, rest) = after_word(text, &["by"]);
        let (to, rest) = after_word(rest, &["to", "->", "→", "="]);
        let (most, rest) = after_words(rest, ["at", "most"]);
        let (least, rest) = if most { (false, rest) } else { after_words(rest, ["at", "least"]) };
        let signed = rest.starts_with(['+', '-', '−', '–']);
        let by = by || (signed && !to);
        if most || least {
            let value = self.number(rest, kind, of)?;
            let range = if most { [f64::NEG_INFINITY, value] } else { [value, f64::INFINITY] };
            return Ok(Said { by, range });
        }
        // `110 to 120`.
        let two = rest.find(" to ").map(|at| (&rest[..at], &rest[at + " to ".len()..]));
        if let Some((from, to)) = two {
            let ends = [self.number(from.trim(), kind, of)?, self.number(to.trim(), kind, of)?];
            if ends[0] > ends[1] {
                return Err(self.error(self.place(rest), "the range runs backwards").with_help(format!(
                    "say `{} to {}`",
                    to.trim(),
                    from.trim()
                )));
            }
            return Ok(Said { by, range: ends });
        }
        let value = self.number(rest, kind, of)?;
        Ok(Said { by, range: [value, value] })
    }

    fn number(&self, text: &str, kind: Kind, of: &str) -> Result<f64, Problem> {
        let place = self.place(text);
        match kind {
            Kind::Known(dimension) => {
                let units = || {
                    let bare = dimension.edge_unit();
                    format!(
                        "{} takes {}; a bare number is in {bare}",
                        of.to_lowercase(),
                        dimension.unit_list()
                    )
                };
                match read(text, dimension) {
                    Ok(Reading { value, .. }) => Ok(value),
                    Err(ReadError::NotANumber | ReadError::NotFinite) => {
                        Err(self.error(place, format!("`{text}` is not a number")).with_help(units()))
                    }
                    Err(ReadError::UnknownUnit(at)) => {
                        Err(self.error(place, format!("`{}` is not a unit", &text[at])).with_help(units()))
                    }
                    Err(ReadError::WrongUnit(at, _)) => {
                        let message =
                            format!("`{}` is the wrong kind of unit for {}", &text[at], of.to_lowercase());
                        Err(self.error(place, message).with_help(units()))
                    }
                }
            }
            Kind::Plain(factor) => {
                let end = number_end(text).filter(|end| text[*end..].trim().len() <= "m/s²".len());
                let number = end.and_then(|end| crate::units::literal(&text[..end]));
                number.map(|(value, _)| value * factor).ok_or_else(|| {
                    self.error(place, format!("`{text}` is not a number"))
                        .with_help("a plain number, in the unit of the answer")
                })
            }
        }
    }
}

impl Target {
    /// The quantity stays as it is.
    pub fn unchanged(quantity: Quantity) -> Self {
        Target { quantity, by: true, range: [0.0, 0.0], weight: 1.0, implied: false }
    }

    /// The quantity at a value, in the engine's unit.
    pub fn at(quantity: Quantity, value: f64) -> Self {
        Target { quantity, by: false, range: [value, value], weight: 1.0, implied: false }
    }
}

/// What the line may begin with as a name, longest first: the end of each and its normal form.
fn names(line: &str) -> Vec<(usize, String)> {
    let mut ends = Vec::new();
    let mut at = 0;
    for word in line.split_inclusive(char::is_whitespace) {
        let bare = word.trim();
        let starts_value = bare.starts_with(|c: char| c.is_ascii_digit() || "+-−–.±=→".contains(c));
        if starts_value && !bare.is_empty() {
            break;
        }
        at += word.len();
        if !bare.is_empty() {
            let end = at - (word.len() - word.trim_end().len());
            ends.push((end, normal(&line[..end])));
        }
    }
    ends.reverse();
    ends
}

/// How numbers of a quantity are read.
fn kind_of(dimension: quantity::Dimension) -> Kind {
    use quantity::Dimension as Q;
    match dimension {
        Q::Length => Kind::Known(Dimension::Length),
        Q::Angle => Kind::Known(Dimension::Angle),
        Q::Share => Kind::Known(Dimension::Share),
        Q::Ratio => Kind::Known(Dimension::Ratio),
        Q::Rate => Kind::Known(Dimension::Rate),
        Q::Pressure => Kind::Known(Dimension::Pressure),
        Q::Pieces => Kind::Known(Dimension::Pieces),
        Q::Teeth => Kind::Known(Dimension::Teeth),
        Q::Distance => Kind::Plain(1000.0),
        Q::Force | Q::Acceleration => Kind::Plain(1.0),
    }
}

/// The quantity of that name.
fn quantity_named(name: &str) -> Option<Quantity> {
    let is = |quantity: &&Quantity| {
        let text = tables::quantity(**quantity);
        normal(&text.label) == name || normal(quantity.id()) == name
    };
    Quantity::ALL.iter().find(is).copied()
}

fn property_named(name: &str) -> Option<&'static Property> {
    tables::properties().iter().find(|row| row.say.iter().any(|say| normal(say) == name))
}

/// The name as the table has it: a slot's, or that of a pair.
fn slot_named(name: &str) -> Option<&'static str> {
    let mut names = tables::choices().iter().flat_map(|row| &row.names).map(String::as_str);
    names.find(|known| normal(known) == name)
}

/// `my stem`, `new stem`: stem.
fn owned(name: &str) -> String {
    let name = normal(name);
    let mut bare = name.as_str();
    while let Some(rest) =
        ["my ", "the ", "its ", "this ", "new ", "other "].iter().find_map(|word| bare.strip_prefix(word))
    {
        bare = rest;
    }
    bare.to_owned()
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let mut seen: Vec<&str> = Vec::new();
    for name in names {
        if !seen.contains(&name) {
            seen.push(name);
        }
    }
    seen.join(", ")
}

fn after_word<'a>(text: &'a str, words: &[&str]) -> (bool, &'a str) {
    let text = text.trim_start();
    let found = words.iter().find_map(|word| {
        let rest = text.strip_prefix(word)?;
        (rest.starts_with(char::is_whitespace) || !word.is_ascii() || word.starts_with(['-', '=']))
            .then(|| rest.trim_start())
    });
    found.map_or((false, text), |rest| (true, rest))
}

fn after_words<'a>(text: &'a str, [first, second]: [&str; 2]) -> (bool, &'a str) {
    let (is_first, rest) = after_word(text, &[first]);
    let (is_second, rest) = after_word(rest, &[second]);
    if is_first && is_second { (true, rest) } else { (false, text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn target(line: &str) -> (String, bool, [f64; 2], f64) {
        match parse(line) {
            Ok(Wish::Target(it)) => (it.quantity.id().to_owned(), it.by, it.range, it.weight),
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn every_way_to_say_a_target() {
        for (line, by, range) in [
            ("grip stack +15", true, [15.0, 15.0]),
            ("grip stack by 15", true, [15.0, 15.0]),
            ("Grip-stack −15", true, [-15.0, -15.0]),
            ("grip stack 640", false, [640.0, 640.0]),
            ("grip stack to 640 mm", false, [640.0, 640.0]),
            ("grip stack 63.5 cm", false, [635.0, 635.0]),
            ("grip stack 630 to 640", false, [630.0, 640.0]),
            ("grip stack by 10 to 20", true, [10.0, 20.0]),
            ("grip stack unchanged ±3", true, [-3.0, 3.0]),
            ("grip stack by 10 ± 2", true, [8.0, 12.0]),
            ("grip stack at most 640", false, [f64::NEG_INFINITY, 640.0]),
            ("grip stack at least +10", true, [10.0, f64::INFINITY]),
            ("grip stack by at least 10", true, [10.0, f64::INFINITY]),
            ("grip stack no higher", true, [f64::NEG_INFINITY, 0.0]),
            ("keep grip stack", true, [0.0, 0.0]),
        ] {
            let (id, said_by, said, weight) = target(line);
            assert_eq!((id.as_str(), said_by, weight), ("grip_stack", by, 1.0), "{line}");
            for (a, b) in said.iter().zip(range) {
                assert!((a - b).abs() < 1e-9 || *a == b, "{line}: {said:?}");
            }
        }
        let (_, by, range, _) = target("head angle -1");
        assert!(by && (range[0] + 1_f64.to_radians()).abs() < 1e-12);
        // A drop is negative where the hand is higher: `to` says that the sign is the value's.
        let (_, by, range, _) = target("saddle to grip drop to -20");
        assert!(!by && range == [-20.0, -20.0]);
        assert_eq!(target("lowest development 1.5").2, [1500.0, 1500.0]);
    }

    #[test]
    fn what_is_not_accepted() {
        assert_eq!(parse("keep my stem").ok(), Some(Wish::Keep("stem")));
        for line in ["keep my position", "keep position", "my position unchanged", "the same position"] {
            assert_eq!(parse(line).ok(), Some(Wish::Position), "{line}");
        }
        assert_eq!(parse("no new fork").ok(), Some(Wish::Keep("fork")));
        assert_eq!(parse("no fork").ok(), Some(Wish::Keep("fork")));
        assert_eq!(parse("try sweep").ok(), Some(Wish::Try("sweep")));
        assert_eq!(parse("price at most 120").ok(), Some(Wish::Price(120.0)));
        assert_eq!(parse("at most 2 things").ok(), Some(Wish::Things(2)));
        for (line, key, range) in [
            ("bar rise at most 30", "bar.rise", [f64::NEG_INFINITY, 30.0]),
            ("stem length 40 to 50", "stem.length", [40.0, 50.0]),
            ("no spacers", "cockpit.spacers_below", [0.0, 0.0]),
        ] {
            let Ok(Wish::Within { property, range: said }) = parse(line) else { panic!("{line}") };
            assert_eq!((property.key.as_str(), said), (key, range), "{line}");
        }
        let Ok(Wish::Without(change)) = parse("without bar rise 40") else { panic!() };
        assert_eq!(change.to_string(), "bar rise 40");
    }

    #[test]
    fn an_error_says_where_and_how_to_mend_it() {
        for (line, offending, help) in [
            ("grip stack +15 kg", "+15 kg", "grip stack takes"),
            ("grip stack quite high", "quite high", "grip stack takes"),
            ("grip stack +15 weight heavy", "heavy", "a weight is a number"),
            ("grip stack 640 to 630", "640 to 630", "say `630 to 640`"),
            ("keep my stern", "my stern", "did you mean `stem`"),
            ("bar rise by 5", "bar rise by 5", "`bar rise at most"),
        ] {
            let error = parse(line).unwrap_err();
            assert_eq!(error.offending(), offending, "{line}: {}", error.message);
            assert!(error.help.clone().is_some_and(|it| it.starts_with(help)), "{line}: {:?}", error.help);
        }
        assert!(parse("").is_err() && parse("grip stack").is_err());
    }
}
