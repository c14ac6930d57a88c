//! A sheet in inches says the same as one in millimetres. 1 in = 25.4 mm exactly (international yard and pound agreement,
//! 1959); what is expected is divided by hand.

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::sheet::Sheet;
use knockon_sheet::units::{Language, LengthUnit, Units};
use knockon_sheet::{drawing, html, json, markdown, text};
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};

const INCHES: Units = Units { length: LengthUnit::Inch, language: Language::English };

fn findings(start: &str) -> Findings {
    let stem = demo::questions().iter().find(|(stem, _)| stem.starts_with(start)).expect("a question").0;
    answer(demo::question(stem)).expect("an answer")
}

fn sheet(findings: &Findings, units: Units) -> Sheet {
    compose(findings, &Heading { units, ..Heading::default() })
}

#[test]
fn revisions_and_verdicts_by_hand() {
    let sheet = sheet(&findings("01"), INCHES);
    let revisions: Vec<String> =
        sheet.revisions.iter().map(|row| format!("{} → {} {}", row.before, row.after, row.unit)).collect();
    // 556/25.4 = 21.890, 576/25.4 = 22.677; 20/25.4 = 0.787, 5/25.4 = 0.197; 25/25.4 = 0.984, 40/25.4 = 1.575.
    assert_eq!(revisions, ["21.89 → 22.68 in", "0.79 → 0.2 in", "0.98 → 1.57 in"]);
    // At most 566 mm = 22.283 in are allowed; 10 mm = 0.394 in too long.
    let fork = sheet.verdicts.iter().find(|verdict| verdict.label == "Axle to crown").expect("a verdict");
    assert_eq!(
        fork.sentence.replace('\u{a0}', " "),
        "The fork is 22.68 in axle to crown; the frame's maker allows at most 22.28 in: 0.39 in too long."
    );
    assert!(sheet.answer.sentences[0].contains("22.28\u{a0}in"), "{}", sheet.answer.sentences[0]);
    assert_eq!(sheet.title.units, "in, degrees");
}

#[test]
fn every_length_of_every_table_is_the_finding_in_inches() {
    for (stem, _) in demo::questions() {
        let findings = findings(stem);
        let (mm, inches) = (sheet(&findings, Units::default()), sheet(&findings, INCHES));
        for (row, known) in inches.knock_ons.iter().zip(&mm.knock_ons) {
            assert_eq!(row.label, known.label);
            if known.unit != "mm" {
                assert_eq!(format!("{row:?}"), format!("{known:?}"));
                continue;
            }
            assert_eq!(row.unit, "in");
            let label = |quantity| &knockon_trade::tables::quantity(quantity).label;
            let finding = findings.knock_ons.iter().find(|knock_on| *label(knock_on.quantity) == row.label);
            let finding = finding.expect("a knock-on");
            for (shown, value) in [
                (&row.before, finding.before),
                (&row.after, finding.after),
                (&row.difference, finding.difference),
            ] {
                let Some(value) = value else {
                    assert_eq!(shown, "?", "{stem} {}", row.label);
                    continue;
                };
                let decimals = shown.split_once('.').map_or(0, |(_, tail)| tail.len());
                assert!((1..=3).contains(&decimals), "{stem} {}: {shown}", row.label);
                let read: f64 = shown.replace('−', "-").replace('+', "").parse().expect("a number");
                let half = 0.5 * 0.1_f64.powi(i32::try_from(decimals).expect("few"));
                assert!(
                    (read - value / 25.4).abs() <= half + 1e-9,
                    "{stem} {}: {shown} of {value}",
                    row.label
                );
            }
            // A tolerance is never rounded to nothing.
            if finding.difference_pm.is_some_and(|pm| pm > 0.0) {
                assert!(row.plus_minus.contains(|c: char| ('1'..='9').contains(&c)), "{stem} {}", row.label);
            }
        }
    }
}

#[test]
fn no_millimetre_is_left_but_in_what_is_quoted() {
    for (stem, _) in demo::questions() {
        let inches = sheet(&findings(stem), INCHES);
        let mut said: Vec<&str> = inches.answer.sentences.iter().map(String::as_str).collect();
        said.extend(inches.verdicts.iter().map(|verdict| verdict.sentence.as_str()));
        said.extend(inches.how_sure.iter().map(String::as_str));
        said.extend(inches.assumptions.iter().map(|note| note.text.as_str()));
        let dimensions = inches.picture.iter().flat_map(|picture| &picture.dimensions);
        said.extend(dimensions.clone().flat_map(|drawn| [drawn.text.as_str(), drawn.change.as_str()]));
        for text in said {
            // A spring's rate stays in N/mm: the unit of the part, not of a length.
            assert!(!text.replace("N/mm", "").contains("mm"), "{stem}: {text}");
        }
        for drawn in dimensions {
            assert!(drawn.text.ends_with("\u{a0}in") || drawn.text.ends_with('°'), "{stem}: {}", drawn.text);
        }
        assert!(inches.revisions.iter().all(|row| row.unit != "mm"), "{stem}");
    }
}

#[test]
fn every_format_names_the_units_in_the_language_that_was_chosen() {
    let findings = findings("05");
    let german = sheet(&findings, Units { length: LengthUnit::Inch, language: Language::German });
    let plain = text::Style::Plain;
    for page in [
        html::html(&german),
        drawing::sheet_svg(&german),
        markdown::markdown(&german),
        text::text(&german, 90, plain),
    ] {
        assert!(page.contains("Zoll"), "{page}");
    }
    assert!(html::html(&german).contains("Zoll, Grad"));
    assert!(html::html(&sheet(&findings, Units::default())).contains("mm, degrees"));
}

#[test]
fn json_stays_in_millimetres() {
    // The units are a matter of the sheet; JSON is written from the findings. 566 mm allowed − 576 mm = −10 mm.
    let answer: serde_json::Value = serde_json::from_str(&json::json(&findings("01"))).expect("JSON");
    assert_eq!(answer["verdicts"][0]["margin"].as_f64().map(f64::round), Some(-10.0));
    assert!(json::SCHEMA.contains("whatever units a sheet of the same answer is printed in"));
}
