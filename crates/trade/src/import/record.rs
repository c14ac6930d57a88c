//! One size written as a bike record.

use std::collections::{BTreeMap, HashMap};

use toml_edit::{DocumentMut, Item, Table, value};

use super::place::Value;

/// Every path this import may write, in the order of the record.
pub(super) const PATHS: [&str; 23] = [
    "chart.stack",
    "chart.reach",
    "chart.head_angle",
    "chart.seat_angle",
    "chart.head_tube",
    "chart.chainstay",
    "chart.bottom_bracket_drop",
    "chart.bottom_bracket_height",
    "chart.wheelbase",
    "chart.front_centre",
    "chart.effective_top_tube",
    "chart.seat_tube",
    "chart.standover",
    "chart.trail",
    "fork.travel",
    "fork.axle_to_crown",
    "fork.offset",
    "rear.travel",
    "stem.length",
    "bar.width",
    "crank.length",
    "wheel.front.tyre",
    "wheel.rear.tyre",
];

/// The record's text. `figures` is keyed by the place of the path in [`PATHS`].
pub(super) fn write(
    name: &str,
    size: Option<&str>,
    kind: Option<&str>,
    figures: &BTreeMap<usize, Value>,
) -> String {
    let mut document = DocumentMut::new();
    document["name"] = value(name);
    if let Some(size) = size {
        document["size"] = value(size);
    }
    if let Some(kind) = kind {
        document["kind"] = value(kind);
    }
    for (path, figure) in figures {
        let Some((tables, key)) = PATHS[*path].rsplit_once('.') else {
            continue;
        };
        let mut table = document.as_table_mut();
        for part in tables.split('.') {
            let entry = table.entry(part).or_insert_with(|| {
                let mut new = Table::new();
                new.set_implicit(true);
                Item::Table(new)
            });
            let Item::Table(next) = entry else {
                return document.to_string();
            };
            table = next;
        }
        table[key] = written(figure);
    }
    document.to_string()
}

/// Digits go in as they are, so that "77.0" keeps its decimal.
fn written(figure: &Value) -> Item {
    match figure {
        Value::Number(digits) => digits
            .parse::<toml_edit::Value>()
            .map_or_else(|_| value(digits), |number| Item::Value(number.decorated(" ", ""))),
        Value::Text(text) => value(text),
    }
}

/// A file name without ending: plain ASCII, not used before in this import.
/// `used` counts how often each was wanted.
pub(super) fn file_stem(name: &str, size: &str, used: &mut HashMap<String, usize>) -> String {
    const LONGEST: usize = 60;
    let mut stem = slug(&format!("{name} {size}"));
    // A lone word could be a name that some systems keep for devices.
    if !stem.contains('-') {
        stem = if stem.is_empty() { "bike-record".to_owned() } else { format!("bike-{stem}") };
    }
    stem.truncate(LONGEST);
    let stem = stem.trim_end_matches('-').to_owned();
    let mut unique = stem.clone();
    while used.contains_key(&unique) {
        let count = used.entry(stem.clone()).or_insert(1);
        *count += 1;
        unique = format!("{stem}-{count}");
    }
    used.insert(unique.clone(), 1);
    unique
}

fn slug(text: &str) -> String {
    deunicode::deunicode(text)
        .to_lowercase()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_reads_back_with_its_digits() {
        let figures = BTreeMap::from([
            (0, Value::Number("620".into())),
            (3, Value::Number("77.0".into())),
            (1, Value::Text("45.5 cm".into())),
            (21, Value::Text("61-622".into())),
        ]);
        let text = write("Invented \"A\"", Some("M"), Some("hardtail"), &figures);
        assert_eq!(
            text,
            "name = 'Invented \"A\"'\nsize = \"M\"\nkind = \"hardtail\"\n\n\
             [chart]\nstack = 620\nreach = \"45.5 cm\"\nseat_angle = 77.0\n\n\
             [wheel.front]\ntyre = \"61-622\"\n"
        );
        let back: toml::Table = toml::from_str(&text).expect("is TOML");
        assert_eq!(back["chart"]["seat_angle"].as_float(), Some(77.0));
    }

    #[test]
    fn file_stems_are_plain_and_never_twice_the_same() {
        let mut used = HashMap::new();
        assert_eq!(file_stem("Élan Größe", "M (54)", &mut used), "elan-grosse-m-54");
        assert_eq!(file_stem("Elan Grosse", "m 54", &mut used), "elan-grosse-m-54-2");
        assert_eq!(file_stem("../..", "/", &mut used), "bike-record");
        assert_eq!(file_stem("con", "", &mut used), "bike-con");
        assert!(file_stem(&"long ".repeat(50), "M", &mut used).len() <= 60);
    }
}
