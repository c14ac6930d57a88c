//! One heading brought to its bare words, with the unit it names.

use serde::Deserialize;

use super::headers::HEADERS;

/// A unit that a figure may be given in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
pub(super) enum Unit {
    #[serde(rename = "mm")]
    Millimetre,
    #[serde(rename = "cm")]
    Centimetre,
    #[serde(rename = "in")]
    Inch,
    #[serde(rename = "deg")]
    Degree,
}

impl Unit {
    /// The unit as a record writes it.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Inch => "in",
            Self::Degree => "°",
        }
    }
}

/// The unit a heading names.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Named {
    /// No unit: mm for a length, degrees for an angle, as the trade has it.
    Nothing,
    /// Exactly one.
    One(Unit),
    /// More than one, so that each cell has to say its own.
    Several,
}

impl Named {
    /// What two places together say: a heading and a column of units.
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Nothing, named) | (named, Self::Nothing) => named,
            (a, b) if a == b => a,
            _ => Self::Several,
        }
    }
}

/// A heading without case, accents, punctuation and unit.
#[derive(Debug)]
pub(super) struct Heading {
    pub words: Vec<String>,
    pub named: Named,
}

impl Heading {
    /// The spellings to look up: all words joined, then without a letter key
    /// such as the "A" of "A – Seat tube length" in front or behind.
    pub fn spellings(&self) -> impl Iterator<Item = String> {
        let words = &self.words;
        let front = (words.len() > 1 && is_key(&words[0])).then(|| words[1..].concat());
        let behind = (words.len() > 1 && is_letter(&words[words.len() - 1]))
            .then(|| words[..words.len() - 1].concat());
        std::iter::once(words.concat()).chain(front).chain(behind)
    }

    /// The unit, when the text is a unit and nothing else.
    pub fn bare_unit(&self) -> Option<Unit> {
        match self.named {
            Named::One(unit) if self.words.is_empty() => Some(unit),
            _ => None,
        }
    }
}

/// Reads a heading.
pub(super) fn read(text: &str) -> Heading {
    let mut units = Vec::new();
    let folded = fold(text);
    let bare = without_unit_brackets(&folded, &mut units);
    let mut words = words(&bare);
    while let Some(unit) = words.last().and_then(|word| HEADERS.unit(word)) {
        units.push(unit);
        words.pop();
        // "Stack in mm", "empattement en mm": the little word goes as well.
        if words.last().is_some_and(|word| word == "in" || word == "en") {
            words.pop();
            break;
        }
    }
    units.dedup();
    let named = match units.as_slice() {
        [] => Named::Nothing,
        [unit] => Named::One(*unit),
        _ => Named::Several,
    };
    Heading { words, named }
}

/// All words of a text joined, units included: the form names are compared in.
pub(super) fn joined(text: &str) -> String {
    words(&fold(text)).concat()
}

/// Whether a word is a key into the table's picture: "A", "B2", "7", "12".
pub(super) fn is_key(word: &str) -> bool {
    let bytes = word.as_bytes();
    match bytes {
        [a] => a.is_ascii_alphanumeric(),
        [a, b] => a.is_ascii_alphanumeric() && b.is_ascii_digit(),
        _ => false,
    }
}

fn is_letter(word: &str) -> bool {
    matches!(word.as_bytes(), [letter] if letter.is_ascii_alphabetic())
}

/// Lower case ASCII. Marks that carry meaning become words, footnote marks go.
fn fold(text: &str) -> String {
    let mut spelled = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '°' | 'º' | '˚' => spelled.push_str(" deg "),
            // "Stack+" is not "Stack": some charts mean with spacers.
            '+' => spelled.push_str(" plus "),
            '¹' | '²' | '³' | '⁴' | '⁵' | '*' | '†' | '‡' => {}
            _ => spelled.push(c),
        }
    }
    deunicode::deunicode(&spelled).to_lowercase()
}

fn words(folded: &str) -> Vec<String> {
    folded
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Takes out each bracket that holds nothing but units, and notes the units.
fn without_unit_brackets(folded: &str, units: &mut Vec<Unit>) -> String {
    let mut kept = String::with_capacity(folded.len());
    let mut rest = folded;
    while let Some(open) = rest.find(['(', '[']) {
        let (before, from_open) = rest.split_at(open);
        kept.push_str(before);
        let Some(close) = from_open.find([')', ']']) else {
            rest = from_open;
            break;
        };
        let inside = &from_open[1..close];
        match units_only(inside) {
            Some(found) => units.extend(found),
            None => kept.push_str(&from_open[..=close]),
        }
        kept.push(' ');
        rest = &from_open[close + 1..];
    }
    kept + rest
}

fn units_only(inside: &str) -> Option<Vec<Unit>> {
    if matches!(inside.trim(), "\"" | "''") {
        return Some(vec![Unit::Inch]);
    }
    let found: Option<Vec<Unit>> = words(inside).iter().map(|word| HEADERS.unit(word)).collect();
    found.filter(|units| !units.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str) -> (String, Named) {
        let heading = read(text);
        (heading.words.join(" "), heading.named)
    }

    #[test]
    fn the_unit_is_taken_off_the_heading() {
        let mm = Named::One(Unit::Millimetre);
        assert_eq!(split("Reach (mm)"), ("reach".into(), mm));
        assert_eq!(split("Reach in mm"), ("reach".into(), mm));
        assert_eq!(split("Empattement, mm"), ("empattement".into(), mm));
        assert_eq!(split("Stack [cm]"), ("stack".into(), Named::One(Unit::Centimetre)));
        assert_eq!(split("Stack (\")"), ("stack".into(), Named::One(Unit::Inch)));
        assert_eq!(split("Stack in"), ("stack".into(), Named::One(Unit::Inch)));
        assert_eq!(split("Head tube angle °"), ("head tube angle".into(), Named::One(Unit::Degree)));
        assert_eq!(split("Stack (mm/in)"), ("stack".into(), Named::Several));
        assert_eq!(split("Stack"), ("stack".into(), Named::Nothing));
    }

    #[test]
    fn case_accents_and_footnote_marks_do_not_count() {
        assert_eq!(joined("ÁNGULO de Dirección"), joined("angulo de direccion*"));
        assert_eq!(joined("Head-tube angle"), joined("headtube  Angle¹"));
    }

    #[test]
    fn a_plus_counts() {
        assert_ne!(joined("Stack+"), joined("Stack"));
    }

    #[test]
    fn a_letter_key_may_stand_in_front_or_behind() {
        for text in
            ["A – Seat tube length", "(B2) Seat tube length", "7. Seat tube length", "Seat tube length (A)"]
        {
            let heading = read(text);
            assert!(heading.spellings().any(|s| s == "seattubelength"), "{text}");
        }
        // A figure behind tells two rows apart and stays.
        assert!(!read("Reach 2").spellings().any(|s| s == "reach"));
    }
}
