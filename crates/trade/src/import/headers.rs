//! The data file of headings: which words on a table's edge mean which measure.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::heading::{self, Heading, Unit};

/// The data file, read once. Its contents are pinned by the tests below, so a
/// mistake in it cannot reach a user.
pub(super) static HEADERS: LazyLock<Headers> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../../data/headers.toml"))
        .expect("headers.toml is well formed, a test reads it");
    Headers::new(file)
});

/// The file as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    measure: Vec<Measure>,
    alias: Vec<AliasRow>,
    unclear: Vec<UnclearRow>,
    word: Vec<WordRow>,
    unit: Vec<UnitRow>,
}

/// What a measure is.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Measure {
    /// Path in the bike record, or one of the two keys that get converted.
    pub key: String,
    /// The trade's word for it.
    pub name: String,
    pub quantity: Quantity,
    #[cfg_attr(not(test), expect(dead_code, reason = "for the reader and the tests"))]
    pub source: String,
}

/// What kind of figure a measure takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Quantity {
    Length,
    Angle,
    Tyre,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(not(test), expect(dead_code, reason = "sources are for the reader and the tests"))]
struct AliasRow {
    key: String,
    language: String,
    names: Vec<String>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(not(test), expect(dead_code, reason = "sources are for the reader and the tests"))]
struct UnclearRow {
    language: String,
    names: Vec<String>,
    why: String,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(not(test), expect(dead_code, reason = "sources are for the reader and the tests"))]
struct WordRow {
    meaning: Word,
    language: String,
    names: Vec<String>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(not(test), expect(dead_code, reason = "sources are for the reader and the tests"))]
struct UnitRow {
    unit: Unit,
    language: String,
    names: Vec<String>,
    source: String,
}

/// Words that are no measure but have a place in a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Word {
    /// Heads the names of the sizes.
    Size,
    /// Heads the column of measures and says nothing else.
    Corner,
    /// Heads a column of units.
    Unit,
    /// Stands for an empty cell.
    Absent,
}

/// What a heading turned out to mean.
#[derive(Clone, Copy)]
pub(super) enum Meaning {
    /// One measure.
    Measure(&'static Measure),
    /// Two things in the trade, or none that a record takes; with advice.
    Unclear(&'static str),
}

/// The look-up tables made from the data file.
pub(super) struct Headers {
    measures: Vec<Measure>,
    whys: Vec<String>,
    entries: HashMap<String, Entry>,
    words: HashMap<String, Word>,
    units: HashMap<String, Unit>,
    /// Each name of a measure joined, and as it is written in the data file.
    spellings: Vec<(String, String)>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Entry {
    Measure(usize),
    Unclear(usize),
}

impl Headers {
    fn new(file: File) -> Self {
        let units: HashMap<String, Unit> = file
            .unit
            .iter()
            .flat_map(|row| row.names.iter().map(|name| (heading::joined(name), row.unit)))
            .collect();
        let words = file
            .word
            .iter()
            .flat_map(|row| {
                spelled(&row.names, &row.language).map(|name| (heading::joined(&name), row.meaning))
            })
            .collect();
        let mut entries = HashMap::new();
        let mut spellings = Vec::new();
        for row in &file.alias {
            let Some(index) = file.measure.iter().position(|m| m.key == row.key) else {
                continue; // A test refuses a data file with such a row.
            };
            for name in spelled(&row.names, &row.language) {
                entries.insert(heading::joined(&name), Entry::Measure(index));
            }
            spellings.extend(row.names.iter().map(|name| (heading::joined(name), name.clone())));
        }
        for (index, row) in file.unclear.iter().enumerate() {
            spellings.extend(row.names.iter().map(|name| (heading::joined(name), name.clone())));
            for name in spelled(&row.names, &row.language) {
                entries.insert(heading::joined(&name), Entry::Unclear(index));
            }
        }
        Self {
            measures: file.measure,
            whys: file.unclear.into_iter().map(|row| row.why).collect(),
            entries,
            words,
            units,
            spellings,
        }
    }

    /// The unit a word stands for. `word` is already joined and folded.
    pub fn unit(&self, word: &str) -> Option<Unit> {
        self.units.get(word).copied()
    }

    /// What a heading means, `None` if it is not known.
    pub fn meaning(&'static self, heading: &Heading) -> Option<Meaning> {
        let entry = heading.spellings().find_map(|name| self.entries.get(&name).copied())?;
        Some(match entry {
            Entry::Measure(index) => Meaning::Measure(&self.measures[index]),
            Entry::Unclear(index) => Meaning::Unclear(&self.whys[index]),
        })
    }

    /// Whether a text is one of the words that have a place in a table.
    pub fn word(&self, text: &str) -> Option<Word> {
        let read = heading::read(text);
        self.words.get(&read.words.concat()).copied()
    }

    /// Plain name of the measure with this key.
    pub fn name(&self, key: &str) -> Option<&str> {
        self.measures.iter().find(|m| m.key == key).map(|m| m.name.as_str())
    }

    /// The known heading that looks most like an unknown one, if any is close.
    pub fn nearest(&self, heading: &Heading) -> Option<&str> {
        const CLOSE: f64 = 0.9; // Jaro-Winkler; by trial, so that a slip of the pen is found.
        let wanted = heading.words.concat();
        if wanted.len() < 4 || wanted.len() > 60 {
            return None;
        }
        // Backwards, because of equals the last is taken and the first is the usual name.
        self.spellings
            .iter()
            .rev()
            .map(|(joined, name)| (strsim::jaro_winkler(&wanted, joined), name))
            .filter(|(likeness, _)| *likeness >= CLOSE)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, name)| name.as_str())
    }
}

/// Each name, and for German also the spelling without umlauts.
fn spelled<'a>(names: &'a [String], language: &'a str) -> impl Iterator<Item = String> + 'a {
    names.iter().flat_map(move |name| {
        let plain = (language == "de").then(|| {
            let lower = name.to_lowercase();
            lower.replace('ä', "ae").replace('ö', "oe").replace('ü', "ue")
        });
        std::iter::once(name.clone()).chain(plain)
    })
}

#[cfg(test)]
mod tests {
    use super::super::record::PATHS;
    use super::*;

    fn file() -> File {
        toml::from_str(include_str!("../../data/headers.toml")).expect("headers.toml reads")
    }

    #[test]
    fn every_row_says_where_it_comes_from() {
        let file = file();
        let sources = (file.measure.iter().map(|r| &r.source))
            .chain(file.alias.iter().map(|r| &r.source))
            .chain(file.unclear.iter().map(|r| &r.source))
            .chain(file.word.iter().map(|r| &r.source))
            .chain(file.unit.iter().map(|r| &r.source));
        for source in sources {
            assert!(
                source == "common practice, no source" || source == "from memory, unverified",
                "unexpected source {source:?}"
            );
        }
    }

    #[test]
    fn every_key_is_one_the_record_has() {
        let converted = ["chart.bottom_bracket_offset", "wheel.tyre"];
        let file = file();
        for measure in &file.measure {
            let known = PATHS.contains(&measure.key.as_str());
            assert!(known || converted.contains(&measure.key.as_str()), "{}", measure.key);
        }
        for path in PATHS {
            let tyre = path.starts_with("wheel.");
            assert!(tyre || crate::tables::property(path).is_some(), "{path} has no row");
            assert_eq!(file.measure.iter().filter(|m| m.key == path).count(), 1, "{path}");
        }
        for row in &file.alias {
            assert!(file.measure.iter().any(|m| m.key == row.key), "{}", row.key);
        }
    }

    #[test]
    fn every_measure_has_a_name_in_all_five_languages() {
        let file = file();
        for measure in &file.measure {
            for language in ["en", "de", "fr", "it", "es"] {
                let found = file.alias.iter().filter(|r| r.key == measure.key && r.language == language);
                assert_eq!(found.count(), 1, "{} in {language}", measure.key);
            }
        }
    }

    #[test]
    fn no_name_means_two_things() {
        let file = file();
        let mut seen: HashMap<String, String> = HashMap::new();
        let mut check = |names: &[String], language: &str, meaning: String| {
            for name in spelled(names, language) {
                let joined = heading::joined(&name);
                assert!(!joined.is_empty(), "{name:?} is empty after folding");
                if let Some(other) = seen.insert(joined, meaning.clone()) {
                    assert_eq!(other, meaning, "{name:?} has two meanings");
                }
            }
        };
        for row in &file.alias {
            check(&row.names, &row.language, row.key.clone());
        }
        for row in &file.unclear {
            check(&row.names, &row.language, format!("unclear: {}", row.why));
        }
        for row in &file.word {
            check(&row.names, &row.language, format!("{:?}", row.meaning));
        }
        for row in &file.unit {
            check(&row.names, &row.language, format!("{:?}", row.unit));
        }
    }

    #[test]
    fn every_name_finds_its_own_row() {
        let file = file();
        for row in &file.alias {
            for name in &row.names {
                let read = heading::read(name);
                match HEADERS.meaning(&read) {
                    Some(Meaning::Measure(measure)) => assert_eq!(measure.key, row.key, "{name}"),
                    _ => panic!("{name:?} is not found as {}", row.key),
                }
            }
        }
        for row in &file.unclear {
            for name in &row.names {
                let found = HEADERS.meaning(&heading::read(name));
                assert!(matches!(found, Some(Meaning::Unclear(why)) if why == row.why), "{name}");
            }
        }
    }

    #[test]
    fn a_slip_of_the_pen_finds_the_nearest_heading() {
        assert_eq!(HEADERS.nearest(&heading::read("Weelbase")), Some("wheelbase"));
        assert_eq!(HEADERS.nearest(&heading::read("Colour of the decals")), None);
    }
}
