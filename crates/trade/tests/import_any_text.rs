//! Whatever is pasted: no panic, records that are TOML, and nothing lost.

use std::collections::HashSet;

use knockon_trade::import::{Import, Options, import, report};
use proptest::prelude::*;

fn sound(import: &Import) {
    let mut stems = HashSet::new();
    for record in &import.records {
        toml::from_str::<toml::Table>(&record.toml).expect("a record is TOML");
        // A record that cannot be read back is announced.
        let read_back = knockon_trade::record::parse("pasted.toml", &record.toml).is_ok();
        let announced = import.remarks.iter().any(|r| r.number.is_none() && r.text.contains("by hand"));
        assert!(read_back || announced, "{}", record.toml);
        assert!(stems.insert(record.file_stem.clone()), "{} stands twice", record.file_stem);
        assert!(!record.file_stem.is_empty());
        assert!(record.file_stem.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'));
        assert!(!record.figures.is_empty());
    }
    assert!(import.not_understood.iter().all(|line| line.number > 0 && !line.why.is_empty()));
    assert!(!report(import).is_empty());
}

/// Pieces that tables are made of, and pieces that break them.
const PIECES: [&str; 40] = [
    "Size",
    "Reach (mm)",
    "Stack",
    "Head angle",
    "Lenkwinkel",
    "Top tube",
    "Fork offset",
    "BB offset",
    "Tyre",
    "S",
    "M",
    "455",
    "64,5°",
    "64°30'",
    "17 3/4\"",
    "430-440",
    "64/64.5",
    "-",
    "n/a",
    "61-622",
    "-35",
    "999999999999999",
    "\t",
    "\t",
    ";",
    ";",
    ",",
    "  ",
    "\n",
    "\n",
    "\n",
    "\r\n",
    "\"",
    "\u{a0}",
    "\u{feff}",
    "(",
    ")",
    "é",
    "½",
    "mm",
];

/// Headings with a plain length and the path they belong to.
const LENGTHS: [(&str, &str, u32); 10] = [
    ("Stack (mm)", "stack", 600),
    ("Reach", "reach", 430),
    ("Kettenstrebenlänge", "chainstay", 435),
    ("Empattement [mm]", "wheelbase", 1180),
    ("Tubo sterzo", "head_tube", 100),
    ("D – Tubo de sillín", "seat_tube", 400),
    ("Standover height in mm", "standover", 700),
    ("BB drop", "bottom_bracket_drop", 30),
    ("Oberrohr horizontal", "effective_top_tube", 570),
    ("Front-Center", "front_centre", 760),
];

fn table(rows: &[Vec<String>], separator: &str, turned: bool) -> String {
    let line = |cells: Vec<&str>| cells.join(separator);
    if !turned {
        return rows
            .iter()
            .map(|row| line(row.iter().map(String::as_str).collect()))
            .collect::<Vec<_>>()
            .join("\n");
    }
    let width = rows[0].len();
    let columns = (0..width).map(|at| line(rows.iter().map(|row| row[at].as_str()).collect()));
    columns.collect::<Vec<_>>().join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_survived(text in any::<String>()) {
        sound(&import(&text, &Options::default()));
    }

    #[test]
    fn any_arrangement_of_pieces_is_survived(
        pieces in prop::collection::vec(prop::sample::select(PIECES.to_vec()), 0..80),
        name in any::<Option<String>>(),
    ) {
        sound(&import(&pieces.concat(), &Options { name, kind: None }));
    }

    #[test]
    fn a_shuffled_table_keeps_every_figure(
        order in Just((0..LENGTHS.len()).collect::<Vec<_>>()).prop_shuffle(),
        count in 1..LENGTHS.len(),
        sizes in 1..5usize,
        separator in prop::sample::select(vec!["\t", ";", ",", "   "]),
        turned in any::<bool>(),
    ) {
        let names = ["XS", "S", "M", "L", "XL"];
        let mut rows = vec![vec!["Size".to_owned()]];
        rows[0].extend(names[..sizes].iter().map(ToString::to_string));
        for at in &order[..count] {
            let (heading, _, least) = LENGTHS[*at];
            let mut row = vec![heading.to_owned()];
            row.extend((0..sizes).map(|size| (least + 10 * size as u32).to_string()));
            rows.push(row);
        }
        let found = import(&table(&rows, separator, turned), &Options::default());
        sound(&found);
        prop_assert!(found.not_understood.is_empty(), "{}", report(&found));
        prop_assert_eq!(found.records.len(), sizes);
        for (size, record) in found.records.iter().enumerate() {
            prop_assert_eq!(&record.size, names[size]);
            let toml: toml::Table = toml::from_str(&record.toml).expect("is TOML");
            let chart = toml["chart"].as_table().expect("has a chart");
            prop_assert_eq!(chart.len(), count);
            for at in &order[..count] {
                let (_, key, least) = LENGTHS[*at];
                prop_assert_eq!(chart[key].as_integer(), Some(i64::from(least + 10 * size as u32)));
            }
        }
    }

    #[test]
    fn no_cell_is_lost(
        headings in prop::collection::vec(prop::sample::select(vec![
            "Reach", "Stack", "Reach (mm)", "Top tube", "Colour", "Angle", "Trail", "", "Frame", "Size", "Wheelbase (cm)",
        ]), 1..8),
        cells in prop::collection::vec(prop::sample::select(vec![
            "455", "612", "430-440", "red", "64°", "17.9\"", "-", "", "120 mm", "A", "mm", "~77",
        ]), 32),
        widths in prop::collection::vec(0..5usize, 8),
        separator in prop::sample::select(vec!["\t", ";"]),
    ) {
        let mut lines = vec![["Size", "S", "M", "L"].join(separator)];
        let mut expected = Vec::new();
        for (nth, heading) in headings.iter().enumerate() {
            let row = &cells[nth * 4..nth * 4 + widths[nth].min(4)];
            lines.push(std::iter::once(heading).chain(row).copied().collect::<Vec<_>>().join(separator));
            expected.extend(row.iter().filter(|cell| !matches!(**cell, "" | "-")).map(|cell| (nth + 2, *cell, *heading)));
        }
        let found = import(&lines.join("\n"), &Options::default());
        sound(&found);
        for (line, cell, heading) in expected {
            let reported = found.not_understood.iter().any(|l| l.number == line && l.text.contains(cell))
                || (heading == "Size" && found.remarks.iter().any(|r| r.number == Some(line)));
            let digits = cell.trim_end_matches(|c: char| !c.is_ascii_digit());
            let written = !digits.is_empty() && found.records.iter().any(|r| r.figures.iter().any(|f| f.value.starts_with(digits)));
            prop_assert!(reported || written, "line {} {:?} is lost:\n{}\n{}", line, cell, lines.join("\n"), report(&found));
        }
    }
}
