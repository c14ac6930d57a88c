//! The record as a form: groups of fields in reading order, from the tables that its parser reads.

use serde::Deserialize;

use super::print::GROUPS;
use crate::tables::{self, Detail, Property};

/// Fields that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Heading in a record; empty for what stands above the first one.
    pub key: &'static str,
    /// Heading of the form.
    pub title: &'static str,
    /// The fields, in reading order.
    pub fields: Vec<Field>,
}

/// One field of the form.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Where it stands in a record.
    pub key: &'static str,
    /// Its name.
    pub label: &'static str,
    /// Kind of input.
    pub input: Input,
    /// Unit of a bare number; `None` for what has none.
    pub unit: Option<&'static str>,
    /// Beyond this a number is unusual, in that unit.
    pub usual: Option<[f64; 2]>,
    /// Beyond this a number is an error, in that unit.
    pub possible: Option<[f64; 2]>,
    /// What somebody might type.
    pub example: &'static str,
    /// The question to the rider.
    pub ask: &'static str,
    /// How to find out.
    pub how: &'static str,
    /// The words of a choice, as a record writes them.
    pub choices: Vec<&'static str>,
}

/// Kind of input.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Input {
    /// A number, with how it is known, the tool and the tolerance.
    Number,
    /// A line of text.
    Text,
    /// A longer text.
    Note,
    /// One of a few words.
    Choice,
    /// A tyre size.
    Tyre,
    /// The least and the most: "541 to 566".
    Range,
    /// A row of numbers: "34-50".
    Series,
}

/// Titles of the form; the keys are the headings of a record.
const TITLES: [(&str, &str); 20] = [
    ("chart", "Frame"),
    ("frame", "What the frame takes"),
    ("fork", "Fork"),
    ("headset", "Headset"),
    ("cockpit", "Steerer and spacers"),
    ("stem", "Stem"),
    ("bar", "Bar"),
    ("wheel.front", "Front wheel"),
    ("wheel.rear", "Rear wheel"),
    ("saddle", "Saddle"),
    ("bottom_bracket", "Bottom bracket"),
    ("crank", "Cranks"),
    ("pedal", "Pedals"),
    ("brake.front", "Front brake"),
    ("brake.rear", "Rear brake"),
    ("drivetrain", "Drivetrain"),
    ("shock", "Shock"),
    ("rear", "Rear suspension"),
    ("bike", "Weight of the bike"),
    ("rider", "Rider"),
];

/// The groups of the form: what the bike is, then its parts in the order in which a record is written.
///
/// ```
/// use knockon_trade::record::edit::{Input, form};
/// let form = form();
/// assert_eq!((form[0].title, form[0].fields[0].key), ("The bike", "name"));
/// let stem = form.iter().find(|group| group.key == "stem").unwrap();
/// let length = &stem.fields[0];
/// assert_eq!((length.key, length.unit, length.input), ("stem.length", Some("mm"), Input::Number));
/// ```
pub fn form() -> Vec<Group> {
    let first = Group { key: "", title: "The bike", fields: fields("") };
    let parts = GROUPS.iter().map(|key| {
        let title = TITLES.iter().find(|(known, _)| known == key).map_or(*key, |(_, title)| *title);
        Group { key, title, fields: fields(key) }
    });
    std::iter::once(first).chain(parts).collect()
}

/// The fields below a heading. A tyre's size comes before the wheel's numbers, as it is what people know; other details
/// come after them.
fn fields(group: &str) -> Vec<Field> {
    let numbers = tables::properties().iter().filter(|row| heading(&row.key) == group).map(of_number);
    let (tyres, others): (Vec<&Detail>, Vec<&Detail>) = tables::details()
        .iter()
        .filter(|row| heading(&row.key) == group)
        .partition(|row| row.input == Input::Tyre);
    let tyres = tyres.into_iter().map(of_detail);
    tyres.chain(numbers).chain(others.into_iter().map(of_detail)).collect()
}

fn heading(key: &str) -> &str {
    key.rsplit_once('.').map_or("", |(heading, _)| heading)
}

fn of_number(row: &'static Property) -> Field {
    Field {
        key: &row.key,
        label: &row.label,
        input: Input::Number,
        unit: Some(row.dimension.edge_unit()),
        usual: Some(row.usual),
        possible: Some(row.possible),
        example: &row.example,
        ask: &row.ask,
        how: &row.how,
        choices: Vec::new(),
    }
}

fn of_detail(row: &'static Detail) -> Field {
    Field {
        key: &row.key,
        label: &row.label,
        input: row.input,
        unit: row.unit.as_deref(),
        usual: None,
        possible: None,
        example: &row.example,
        ask: &row.ask,
        how: &row.how,
        choices: row.choices(),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::{ForkMeasured, Kind, SaddleReference};
    use super::*;

    #[test]
    fn every_key_of_a_record_is_a_field_once() {
        let mut fields: Vec<&str> =
            form().iter().flat_map(|group| &group.fields).map(|field| field.key).collect();
        let count = fields.len();
        fields.sort_unstable();
        fields.dedup();
        assert_eq!(fields.len(), count, "a field stands twice");
        let keys: BTreeSet<&str> = tables::properties()
            .iter()
            .map(|row| row.key.as_str())
            .chain(tables::details().iter().map(|row| row.key.as_str()))
            .collect();
        assert_eq!(fields.into_iter().collect::<BTreeSet<_>>(), keys);
    }

    #[test]
    fn every_group_has_a_title_and_fields() {
        assert_eq!(TITLES.map(|(key, _)| key), GROUPS);
        assert!(form().iter().all(|group| !group.fields.is_empty()));
    }

    #[test]
    fn choices_are_the_words_of_a_record() {
        let choices = |key: &str| tables::detail(key).expect("a detail").choices();
        assert_eq!(choices("kind"), Kind::WORDS.map(|(word, _)| word));
        assert_eq!(choices("fork.axle_to_crown_measured"), ForkMeasured::WORDS.map(|(word, _)| word));
        assert_eq!(choices("saddle.reference"), SaddleReference::WORDS.map(|(word, _)| word));
        for row in tables::details() {
            assert_eq!(row.choices().is_empty(), row.input != Input::Choice, "{}", row.key);
        }
    }
}
