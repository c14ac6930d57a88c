//! Whatever is typed: no panic, and what is printed is read back as it was.

mod larch;

use knockon_trade::backwards::wish;
use knockon_trade::change::parse as parse_change;
use knockon_trade::findings::answer;
use knockon_trade::problem::Problem;
use knockon_trade::question::{MOST_CHANGES, Question, read_changes, read_question};
use knockon_trade::record::parse;
use knockon_trade::tables::{self, Property};
use knockon_trade::units::Dimension;
use proptest::prelude::*;
use proptest::sample::{Index, select};

use larch::LARCH;

const LINES: [&str; 8] = [
    "spacers below by -15 ± 0.5",
    "stem length → 40 mm",
    "front tyre 64-622",
    "bar roll 10°",
    "fork axle-to-crown to 576 +- 2",
    "headset angle -1",
    "bar rise 1.5 in",
    "rear wheel radius = 349",
];
const WISHES: [&str; 8] = [
    "grip stack +15 ± 3 weight 2",
    "grip reach unchanged",
    "trail 110 to 120 mm",
    "saddle to grip drop to -20",
    "bar rise at most 30",
    "price at most 49.90",
    "keep my stem",
    "without bar rise 40",
];
const QUESTION: &str =
    "asked = \"Will it fit?\"\nbike = \"larch\"\nchanges = [\"stem length 40\", \"bar rise 40\"]\n";

/// What breaks texts: signs of the languages themselves, many-byte letters, odd numbers.
const PIECES: [&str; 28] = [
    "\"",
    "'",
    "\\",
    "[",
    "]",
    "{",
    "}",
    "=",
    "#",
    "\n",
    "\r\n",
    "\t",
    "\u{a0}",
    ".",
    ",",
    "-",
    "−",
    "±",
    "+-",
    "°",
    "→",
    "nan",
    "inf",
    "1e999",
    "9999999999999999999999",
    "ö",
    "🚲",
    "\u{301}",
];

/// The text with some places cut out or written over.
fn mutated(text: &'static str) -> impl Strategy<Value = String> {
    let edit =
        (any::<Index>(), 0_usize..4, prop_oneof![select(&PIECES[..]).prop_map(str::to_owned), ".{0,3}"]);
    prop::collection::vec(edit, 1..6).prop_map(move |edits| {
        let mut chars: Vec<char> = text.chars().collect();
        for (at, cut, piece) in edits {
            let start = at.index(chars.len() + 1);
            let end = (start + cut).min(chars.len());
            chars.splice(start..end, piece.chars());
        }
        chars.into_iter().collect()
    })
}

/// Errors point into the text and say something.
fn sound(problems: &[Problem]) -> Result<(), TestCaseError> {
    prop_assert!(!problems.is_empty());
    for problem in problems {
        let (line, column) = problem.line_column();
        prop_assert!(line >= 1 && column >= 1 && !problem.message.is_empty(), "{problem:?}");
        let _ = problem.offending();
    }
    Ok(())
}

fn record_is_sound(text: &str) -> Result<(), TestCaseError> {
    match parse("any", text) {
        Err(errors) => sound(&errors),
        Ok(parsed) => {
            let printed = parsed.record.to_toml();
            let again = parse("printed", &printed);
            prop_assert!(again.is_ok(), "{printed}\n{:?}", again.err());
            prop_assert_eq!(again.unwrap().record, parsed.record);
            Ok(())
        }
    }
}

fn change_is_sound(line: &str) -> Result<(), TestCaseError> {
    match parse_change(line) {
        Err(error) => sound(&[error]),
        Ok(read) => {
            let printed = read.change.to_string();
            let again = parse_change(&printed);
            prop_assert!(again.is_ok(), "{line}: {printed}: {:?}", again.err());
            prop_assert_eq!(again.unwrap().change, read.change);
            Ok(())
        }
    }
}

/// A text in quotes, as TOML writes it.
fn quoted(text: &str) -> String {
    let escaped: String = text
        .chars()
        .map(|c| match c {
            '"' => "\\\"".to_owned(),
            '\\' => "\\\\".to_owned(),
            c if c.is_control() => format!("\\U{:08X}", u32::from(c)),
            c => c.to_string(),
        })
        .collect();
    format!("\"{escaped}\"")
}

/// A text that is not blank, with whatever people name bikes and tools.
fn words() -> impl Strategy<Value = String> {
    prop_oneof!["[A-Za-z0-9äöüÄß\"'\\\\ #=\\[\\]{}.,🚲→-]{1,20}", ".{1,20}", "(.|\n|\r|\t){1,12}",]
        .prop_filter("blank", |text| !text.trim().is_empty())
}

/// A value within the usual range of a property, in one of its units or bare.
fn value(property: &'static Property) -> impl Strategy<Value = String> {
    let units: &'static [(&'static str, f64)] = match property.dimension {
        Dimension::Length => {
            &[("", 1.0), (" mm", 1.0), ("cm", 10.0), (" in", 25.4), ("\"", 25.4), (" M", 1000.0)]
        }
        Dimension::Angle => &[("", 1.0), ("°", 1.0), (" deg", 1.0), (" rad", 180.0 / std::f64::consts::PI)],
        Dimension::Mass => &[("", 1.0), (" kg", 1.0), (" lb", 0.453_592_37), ("g", 0.001)],
        Dimension::Pressure => &[("", 1.0), (" bar", 1.0), (" psi", 0.068_947_57), (" kPa", 0.01)],
        // 4.448 222 N over 25.4 mm; 25.4² and 25.4³ mm: NIST SP 811 (2008), appendix B.8.
        Dimension::Rate => &[("", 1.0), (" N/mm", 1.0), (" lb/in", 0.175_126_8)],
        Dimension::Area => &[("", 1.0), (" mm²", 1.0), (" cm2", 100.0), (" in²", 645.16)],
        Dimension::Volume => &[("", 1.0), (" cm³", 1.0), (" ml", 1.0), (" in3", 16.387_064)],
        Dimension::Share => &[("", 1.0), (" %", 1.0), ("%", 1.0)],
        Dimension::Teeth => &[("", 1.0), (" teeth", 1.0), ("t", 1.0)],
        Dimension::Pieces => &[("", 1.0), (" pieces", 1.0), (" links", 1.0)],
        Dimension::Count | Dimension::Ratio => &[("", 1.0)],
        Dimension::Power => &[("", 1.0), (" W", 1.0)],
        Dimension::Cadence => &[("", 1.0), (" rpm", 1.0), ("/min", 1.0), (" /s", 60.0)],
    };
    let [least, most] = property.usual;
    // A hair inside, so that rounding does not carry the value out of a range that ends there.
    (0.02..0.98, 0_usize..3, select(units), any::<bool>()).prop_map(
        move |(part, decimals, (unit, factor), comma)| {
            let text = format!(
                "{:.*}",
                decimals + if factor > 5.0 || most < 1.0 { 3 } else { 0 },
                (least + part * (most - least)) / factor
            );
            let text = if comma && !unit.is_empty() { text.replace('.', ",") } else { text };
            format!("{text}{unit}")
        },
    )
}

/// A value as TOML: bare where it is a plain number, else in quotes.
fn literal(value: &str) -> String {
    if value.chars().all(|c| c.is_ascii_digit() || c == '.' || c == '-') {
        value.to_owned()
    } else {
        quoted(value)
    }
}

/// One line of a record for a property: published, or with how it is known.
fn line(property: &'static Property) -> impl Strategy<Value = String> {
    let name = property.key.rsplit_once('.').map_or("", |(_, name)| name);
    let tolerance = prop_oneof![
        Just(None),
        (0_u32..40).prop_map(|tenths| Some(format!("{}.{}", tenths / 10, tenths % 10))),
    ];
    let known = select(&["", "published", "measured", "derived", "assumed"][..]);
    (value(property), any::<bool>(), known, prop::option::of(words()), tolerance).prop_map(
        move |(value, bare, known, with, tolerance)| {
            let value = literal(&value);
            if bare {
                return format!("{name} = {value}\n");
            }
            let mut line = format!("{name} = {{ value = {value}");
            if !known.is_empty() {
                line.push_str(&format!(", known = \"{known}\""));
            }
            if let Some(with) = with {
                line.push_str(&format!(", with = {}", quoted(&with)));
            }
            if tolerance.is_some() || known == "derived" || known == "assumed" {
                line.push_str(&format!(", tolerance = {}", tolerance.unwrap_or_else(|| "3".to_owned())));
            }
            line + " }\n"
        },
    )
}

/// The text of a record: every property with a chance of one half, then what is not a number.
fn record_text() -> impl Strategy<Value = String> {
    let lines: Vec<_> = tables::properties()
        .iter()
        .map(|property| prop::option::of(line(property)).prop_map(move |line| (property, line)))
        .collect();
    let texts = prop::collection::vec(prop::option::of(words()), 3);
    let kind = prop::option::of(select(&["rigid", "hardtail", "full suspension"][..]));
    let fork = (prop::option::of(any::<bool>()), prop::option::of((100_u32..400, 0_u32..4000)));
    let size = select(&["25-622", "61.5-622", "57-584", "47-406"][..]);
    let tyres = prop::collection::vec(prop::option::of(size), 2);
    let saddle = prop::option::of(any::<bool>());
    (lines, texts, kind, fork, tyres, saddle).prop_map(|(lines, texts, kind, fork, tyres, saddle)| {
        let mut out = String::new();
        for (key, text) in ["name", "size", "note"].iter().zip(&texts) {
            if let Some(text) = text {
                out.push_str(&format!("{key} = {}\n", quoted(text)));
            }
        }
        if let Some(kind) = kind {
            out.push_str(&format!("kind = \"{kind}\"\n"));
        }
        let mut heading = "";
        for (property, line) in &lines {
            let (group, name) = property.key.rsplit_once('.').unwrap_or(("", ""));
            let wheel = ["wheel.front", "wheel.rear"].iter().position(|wheel| *wheel == group);
            if heading != group {
                heading = group;
                // The rows of one heading stand together in the table, but nothing says that they must.
                if out.contains(&format!("[{group}]\n")) {
                    continue;
                }
                out.push_str(&format!("[{group}]\n"));
                if let Some(tyre) = wheel.and_then(|wheel| tyres[wheel]) {
                    out.push_str(&format!("tyre = \"{tyre}\"\n"));
                }
                if group == "fork" {
                    if let Some(straight) = fork.0 {
                        let word = if straight { "straight" } else { "along axis" };
                        out.push_str(&format!("axle_to_crown_measured = \"{word}\"\n"));
                    }
                    if let Some((least, tenths)) = fork.1 {
                        let most = f64::from(least) + f64::from(tenths) / 10.0;
                        out.push_str(&format!("axle_to_crown_allowed = [{least}, {most:.1}]\n"));
                    }
                }
                if let Some(nose) = saddle.filter(|_| group == "saddle") {
                    out.push_str(&format!("reference = \"{}\"\n", if nose { "nose" } else { "sit bones" }));
                }
            }
            // A radius beside a marked tyre would have to agree with it.
            let told = name == "radius" && wheel.is_some_and(|wheel| tyres[wheel].is_some());
            out.push_str(line.as_deref().filter(|_| !told).unwrap_or_default());
        }
        out
    })
}

/// A line for a property that a change may touch.
fn change_line() -> impl Strategy<Value = String> {
    let sayable: Vec<&'static Property> =
        tables::properties().iter().filter(|row| !row.say.is_empty()).collect();
    let mark = select(&["", "to ", "-> ", "→ ", "= ", "by "][..]);
    let tolerance = prop::option::of(0_u32..30);
    let number = (select(sayable), any::<Index>())
        .prop_flat_map(move |(property, say)| {
            let say = say.get(&property.say).as_str();
            (Just(say), mark.clone(), value(property), tolerance.clone())
        })
        .prop_map(|(say, mark, value, tolerance)| {
            let tolerance = tolerance.map_or(String::new(), |tenths| format!(" ± 0.{tenths}"));
            format!("{say} {mark}{value}{tolerance}")
        });
    let tyre = (any::<bool>(), 20_u32..120, select(&[305, 406, 559, 584, 622][..])).prop_map(
        |(front, width, seat)| format!("{} tyre {width}-{seat}", if front { "front" } else { "rear" }),
    );
    prop_oneof![8 => number, 1 => tyre]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_as_a_record_or_refused(text in "(.|\n){0,80}") {
        record_is_sound(&text)?;
    }

    #[test]
    fn a_spoilt_record_is_read_or_refused(text in mutated(LARCH)) {
        record_is_sound(&text)?;
    }

    #[test]
    fn any_text_is_read_as_a_change_or_refused(line in ".{0,40}") {
        change_is_sound(&line)?;
        if let Err(errors) = read_changes(&[&line]) {
            sound(&errors)?;
        }
    }

    #[test]
    fn a_spoilt_change_is_read_or_refused(line in select(&LINES[..]).prop_flat_map(mutated)) {
        change_is_sound(&line)?;
        if let Err(errors) = read_changes(&[&line, "stem length 40"]) {
            sound(&errors)?;
        }
    }

    #[test]
    fn any_number_of_any_lines_is_read_or_refused(lines in prop::collection::vec(
        prop_oneof![change_line(), ".{0,20}", select(&LINES[..]).prop_map(str::to_owned)], 0..20,
    )) {
        match read_changes(&lines) {
            Ok(read) => prop_assert!(read.changes.len() <= MOST_CHANGES),
            Err(errors) => sound(&errors)?,
        }
    }

    #[test]
    fn any_text_is_a_wish_or_refused(text in "(.|\n){0,60}") {
        if let Err(error) = wish::parse(&text) {
            sound(&[error])?;
        }
    }

    #[test]
    fn a_spoilt_wish_is_read_or_refused(text in select(&WISHES[..]).prop_flat_map(mutated)) {
        if let Err(error) = wish::parse(&text) {
            sound(&[error])?;
        }
    }

    #[test]
    fn a_spoilt_question_is_read_or_refused(text in mutated(QUESTION)) {
        if let Err(errors) = read_question("any", &text) {
            sound(&errors)?;
        }
    }

    #[test]
    fn a_record_is_read_back_as_it_was_printed(text in record_text()) {
        let parsed = parse("any", &text);
        prop_assert!(parsed.is_ok(), "{text}\n{:?}", parsed.err());
        let record = parsed.unwrap().record;
        let printed = record.to_toml();
        let again = parse("printed", &printed);
        prop_assert!(again.is_ok(), "{printed}\n{:?}", again.err());
        let again = again.unwrap().record;
        prop_assert_eq!(&again, &record, "{}", printed);
        prop_assert_eq!(again.to_toml(), printed);
    }

    #[test]
    fn a_change_is_read_back_as_it_was_printed(line in change_line()) {
        let read = parse_change(&line);
        prop_assert!(read.is_ok(), "{line}: {:?}", read.err());
        let change = read.unwrap().change;
        let printed = change.to_string();
        let again = parse_change(&printed);
        prop_assert!(again.is_ok(), "{line}: {printed}: {:?}", again.err());
        prop_assert_eq!(again.unwrap().change, change, "{}", printed);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever is known and whatever is asked: an answer without a number that is none, or the word that the chart
    /// describes no bike.
    #[test]
    fn any_record_and_any_changes_are_answered(
        text in record_text(), lines in prop::collection::vec(change_line(), 0..5),
    ) {
        let record = parse("any", &text).expect("a record").record;
        let Ok(read) = read_changes(&lines) else { return Ok(()) };
        let changes = read.changes;
        let Ok(findings) = answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }) else { return Ok(()) };
        prop_assert_eq!(findings.revisions.len(), findings.question.changes.len());
        for knock_on in &findings.knock_ons {
            let numbers = [
                knock_on.before, knock_on.after, knock_on.difference,
                knock_on.before_pm, knock_on.after_pm, knock_on.difference_pm,
            ];
            prop_assert!(numbers.iter().flatten().all(|number| number.is_finite()), "{knock_on:?}");
        }
        for verdict in &findings.verdicts {
            let numbers = [verdict.margin, verdict.margin_pm];
            prop_assert!(numbers.iter().flatten().all(|number| number.is_finite()), "{verdict:?}");
            prop_assert!(!verdict.sentence.contains("NaN"), "{verdict:?}");
        }
        prop_assert!(findings.missing.iter().all(|missing| !missing.ask.is_empty() && !missing.how.is_empty()));
    }
}
