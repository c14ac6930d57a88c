//! Options in every format: nothing that could hurt is lost, the JSON keeps to its schema, and at most four stand side by side.

use std::ops::ControlFlow;

use knockon_sheet::backwards::{
    MOST_COMPARED, Options, SCHEMA, comparison, comparison_markdown, comparison_parts, json, text,
};
use knockon_sheet::compose::Heading;
use knockon_sheet::compose::backwards::options;
use knockon_sheet::text::Style;
use knockon_sheet::units::{Language, LengthUnit, Units};
use knockon_trade::backwards::{Asked, Reached, reach, wish};
use knockon_trade::demo;
use knockon_trade::shelf::offers;
use serde_json::Value;

/// Questions that reach most of what an answer can hold.
fn answers() -> Vec<Reached> {
    let of = |bike: &str, lines: &[&str], more: &dyn Fn(&mut Asked)| {
        let wishes = lines.iter().map(|line| wish::parse(line).expect("a wish")).collect();
        let mut asked = Asked::of(wishes);
        more(&mut asked);
        let record = demo::bike(bike).expect("a demo bike");
        reach(&record, &asked, &mut |_| ControlFlow::Continue(())).expect("an answer")
    };
    vec![
        of("larch-150", &["grip stack +15", "grip reach unchanged ± 3"], &|_| {}),
        of("larch-150", &["head angle -1", "bottom-bracket height no higher"], &|_| {}),
        of("larch-150", &["grip stack +400", "price at most 60"], &|_| {}),
        of(
            "larch-150",
            &["grip stack +10", "no spacers", "weight 2"]
                .map(|it| if it == "weight 2" { "try sweep" } else { it }),
            &|_| {},
        ),
        of("larch-150", &["grip stack +13"], &|asked| {
            asked.stock = offers("drawer", demo::drawer()).expect("a list").offers;
        }),
        of("guelder-160", &[], &|asked| asked.like = demo::bike("larch-150")),
    ]
}

fn composed(reached: &Reached) -> Options {
    options(reached, &Heading::default())
}

/// Text without what a writer puts between words.
fn bare(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect()
}

#[test]
fn the_json_keeps_to_its_schema() {
    let schema: Value = serde_json::from_str(SCHEMA).expect("the schema is JSON");
    jsonschema::draft202012::meta::validate(&schema).unwrap_or_else(|error| panic!("{error}"));
    let validator = jsonschema::draft202012::new(&schema).expect("the schema compiles");
    for reached in answers() {
        let object: Value = serde_json::from_str(&json(&reached)).expect("JSON");
        let faults: Vec<String> = validator
            .iter_errors(&object)
            .map(|error| format!("{error} at {}", error.instance_path()))
            .collect();
        assert!(faults.is_empty(), "{faults:#?}");
    }
}

#[test]
fn every_part_of_the_schema_is_required_and_described() {
    fn walk(place: &str, part: &Value) {
        if let Some(properties) = part.get("properties").and_then(Value::as_object) {
            let required: Vec<&str> =
                part["required"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
            for (name, property) in properties {
                assert!(required.contains(&name.as_str()), "{place}/{name} is not required");
                let told = property.get("description").and_then(Value::as_str);
                let refers = property.get("$ref").is_some();
                assert!(
                    refers || told.is_some_and(|it| it.len() > 10 && it.ends_with('.')),
                    "{place}/{name} says nothing"
                );
            }
        }
        match part {
            Value::Object(map) => map.iter().for_each(|(key, part)| walk(&format!("{place}/{key}"), part)),
            Value::Array(parts) => parts.iter().for_each(|part| walk(place, part)),
            _ => {}
        }
    }
    walk("", &serde_json::from_str(SCHEMA).expect("JSON"));
}

#[test]
fn no_format_and_no_width_loses_a_caution() {
    for reached in answers() {
        let options = composed(&reached);
        let all: Vec<usize> = (1..=options.options.len()).collect();
        let mut written: Vec<String> =
            [20, 44, 100].map(|width| text(&options, width, Style::Plain)).to_vec();
        written.push(comparison(&options, &all, "", ""));
        written.push(comparison_parts(&options, &all).into_string());
        written.push(comparison_markdown(&options, &all));
        written.push(json(&reached));
        for format in &written {
            let format = bare(&format.replace("&amp;", "&").replace("\\n", " "));
            for proposal in &reached.proposals {
                for (caution, _) in &proposal.findings.cautions {
                    assert!(format.contains(&bare(&caution.text)), "{} is lost", caution.id);
                }
            }
        }
    }
}

#[test]
fn at_most_four_stand_side_by_side_each_once() {
    let answers = answers();
    let options = composed(&answers[0]);
    let page = comparison(&options, &[1, 2, 2, 3, 4, 5, 6, 99], "Workshop", "today");
    assert_eq!(page.matches("<section class=\"option\"").count(), MOST_COMPARED.min(options.options.len()));
    assert!(!comparison_parts(&options, &[1, 2]).into_string().contains("style="), "a page may not allow it");
    // Ids stand once.
    let ids: Vec<&str> = page.split("id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "{ids:?}");
}

/// A quantity with its unit in its name is not told a second time among the others.
#[test]
fn what_is_wanted_has_one_row() {
    let record = demo::bike("guelder-160").expect("a demo bike");
    let asked = Asked::of(vec![wish::parse("lowest development -0.15").expect("a wish")]);
    let answer = reach(&record, &asked, &mut |_| ControlFlow::Continue(())).expect("an answer");
    let table = comparison_markdown(&composed(&answer), &[1, 2]);
    let rows: Vec<&str> =
        table.lines().filter(|line| line.starts_with("| Development, lowest gear")).collect();
    assert_eq!(rows.len(), 1, "{rows:?}");
}

#[test]
fn what_cannot_be_reached_is_told_with_how_far_off() {
    let options = composed(&answers()[2]);
    assert!(options.verdict.starts_with("It cannot be reached"), "{}", options.verdict);
    assert!(
        options.verdict.contains("grip stack") && options.verdict.contains("short"),
        "{}",
        options.verdict
    );
    assert!(composed(&answers()[0]).verdict.starts_with("It can be reached"));
}

#[test]
fn lengths_are_in_the_workshops_unit() {
    let units = Units { length: LengthUnit::Inch, language: Language::English };
    let options = options(&answers()[0], &Heading { units, ..Heading::default() });
    // 15 mm are 0.59 in.
    assert!(options.wanted[0].contains("+0.59"), "{:?}", options.wanted);
}
