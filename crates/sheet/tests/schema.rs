//! The JSON of an answer keeps to its schema, and the schema says something about every part of it.

use jsonschema::Validator;
use knockon_engine::quantity::Quantity;
use knockon_sheet::json::{SCHEMA, json};
use knockon_trade::findings::answer;
use knockon_trade::question::{MOST_CHANGES, Question, read_changes};
use knockon_trade::{demo, record};
use serde_json::{Value, json as value};

fn schema() -> Value {
    serde_json::from_str(SCHEMA).expect("the schema is JSON")
}

fn validator() -> Validator {
    jsonschema::draft202012::new(&schema()).expect("the schema compiles")
}

fn answered(question: Question) -> Value {
    let findings = answer(question).expect("the chart can be solved");
    serde_json::from_str(&json(&findings)).expect("the answer is JSON")
}

fn demo_answer(stem: &str) -> Value {
    answered(demo::question(stem))
}

fn typed(text: &str, changes: &[&str]) -> Value {
    let record = record::parse("bike.toml", text).expect("the record reads").record;
    let changes = read_changes(changes).expect("the changes read").changes;
    answered(Question { asked: String::new(), record, changes, inspections: Vec::new() })
}

fn keeps_to_it(validator: &Validator, answer: &Value, name: &str) {
    let faults: Vec<String> = validator
        .iter_errors(answer)
        .map(|error| format!("{} at {}", error, error.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{name}: {faults:#?}");
}

#[test]
fn the_schema_is_valid_json_schema() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    if let Err(error) = jsonschema::draft202012::meta::validate(&schema) {
        panic!("{error} at {}", error.instance_path());
    }
}

#[test]
fn every_demo_answer_keeps_to_the_schema() {
    let validator = validator();
    assert!(demo::questions().len() >= 10, "the demo asks enough to reach most parts of the schema");
    for (stem, _) in demo::questions() {
        keeps_to_it(&validator, &demo_answer(stem), stem);
    }
}

#[test]
fn an_answer_from_hardly_any_record_keeps_to_the_schema() {
    let validator = validator();
    let changes = ["fork travel by 20", "spacers below 5", "rear tyre 64-622", "crank length 165"];
    let nearly_empty = "name = \"Half\"\n[chart]\nreach = 450\n[cockpit]\nspacers_below = 20\n";
    for text in ["", nearly_empty] {
        let answer = typed(text, &changes);
        keeps_to_it(&validator, &answer, text);
        // It is no answer that happens to be complete: the schema's nulls are put to use.
        assert!(
            answer["knock_ons"].as_array().unwrap().iter().any(|row| row["before"].is_null()),
            "{answer:#}"
        );
        assert!(answer["verdicts"].as_array().unwrap().iter().any(|row| row["outcome"] == "cannot_say"));
        assert!(!answer["missing"].as_array().unwrap().is_empty());
    }
}

#[test]
fn as_many_changes_as_a_question_takes_keep_to_the_schema() {
    let changes = vec!["saddle height by 1"; MOST_CHANGES];
    let answer = typed("[saddle]\nheight = 700\n[crank]\nlength = 170\n", &changes);
    keeps_to_it(&validator(), &answer, "most changes");
    let schema = schema();
    assert_eq!(schema["properties"]["revisions"]["maxItems"], value!(MOST_CHANGES));
    let last = answer["revisions"][MOST_CHANGES - 1]["letter"].as_str().unwrap();
    let pattern = format!("^[A-{last}]$");
    assert_eq!(schema["$defs"]["letter"]["pattern"], value!(pattern));
    assert_eq!(
        schema["$defs"]["knock_on"]["properties"]["shares"]["propertyNames"]["pattern"],
        value!(pattern)
    );
}

#[test]
fn a_changed_document_is_refused() {
    let validator = validator();
    let whole = demo_answer(demo::questions()[0].0);
    let refused = |what: &str, change: &dyn Fn(&mut Value)| {
        let mut document = whole.clone();
        change(&mut document);
        assert_ne!(document, whole, "{what}: nothing was changed");
        assert!(!validator.is_valid(&document), "{what} was let through");
    };
    refused("a key under another name", &|document| rename(document, "knock_ons", "effects"));
    refused("a key too many", &|document| document["bike"]["colour"] = value!("green"));
    refused("a key too few", &|document| {
        document["verdicts"][0].as_object_mut().unwrap().remove("sentence");
    });
    refused("an outcome that there is not", &|document| {
        document["verdicts"][0]["outcome"] = value!("probably");
    });
    refused("an outcome of nothing", &|document| document["verdicts"][0]["outcome"] = Value::Null);
    refused("a quantity that there is not", &|document| {
        document["knock_ons"][0]["quantity"] = value!("comfort");
    });
    refused("a rider who notices perhaps", &|document| {
        document["knock_ons"][0]["noticeable"] = value!("perhaps");
    });
    refused("inches", &|document| document["knock_ons"][0]["unit"] = value!("in"));
    refused("a number in words", &|document| document["knock_ons"][0]["difference"] = value!("8"));
    refused("a tolerance below nothing", &|document| document["knock_ons"][0]["difference_pm"] = value!(-1));
    refused("a share of no revision", &|document| document["knock_ons"][0]["shares"]["total"] = value!(1));
    refused("a source number from 0", &|document| document["verdicts"][0]["source"] = value!(0));
    refused("no cautions", &|document| document["cautions"] = value!([]));
}

fn rename(document: &mut Value, from: &str, to: &str) {
    let object = document.as_object_mut().expect("an object");
    let moved = object.remove(from).expect("the key is there");
    object.insert(to.to_owned(), moved);
}

#[test]
fn the_quantities_are_the_engines() {
    let engine: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.id()).collect();
    assert_eq!(schema()["$defs"]["quantity_id"]["enum"], value!(engine));
}

#[test]
fn the_limits_are_those_that_a_question_can_touch() {
    // The longest and the shortest fork are told as one limit.
    let mut limits: Vec<&str> = knockon_trade::tables::requirements()
        .iter()
        .map(|text| if text.id.starts_with("axle_to_crown") { "axle_to_crown" } else { text.id.as_str() })
        .collect();
    limits.dedup();
    // What somebody claims is held against the record; it is no limit of a part, and has no row in the table.
    limits.push("claimed_travel");
    limits.extend(knockon_trade::fit::names());
    limits.push(knockon_trade::inspection::inspected::REQUIREMENT);
    assert_eq!(schema()["$defs"]["verdict"]["properties"]["requirement"]["enum"], value!(limits));
}

#[test]
fn kinds_of_bike_are_those_of_a_record() {
    let mut kinds: Vec<Value> = record::Kind::WORDS.iter().map(|(word, _)| value!(word)).collect();
    kinds.push(Value::Null);
    assert_eq!(schema()["$defs"]["bike"]["properties"]["kind"]["enum"], Value::Array(kinds));
}

/// Every object of the schema that names its properties, with its path.
fn objects<'a>(at: &'a Value, path: &str, found: &mut Vec<(String, &'a Value)>) {
    match at {
        Value::Object(map) => {
            if map.get("type").is_some_and(|kind| kind == "object") && map.contains_key("properties") {
                found.push((path.to_owned(), at));
            }
            for (key, value) in map {
                objects(value, &format!("{path}/{key}"), found);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| objects(item, path, found)),
        _ => {}
    }
}

#[test]
fn every_property_is_described_required_and_alone() {
    let schema = schema();
    let mut found = Vec::new();
    objects(&schema, "", &mut found);
    assert_eq!(found.len(), 28, "the answer and its kinds of part");
    for (path, object) in found {
        assert_eq!(object["additionalProperties"], Value::Bool(false), "{path}");
        let mut names: Vec<&str> = Vec::new();
        for (name, property) in object["properties"].as_object().expect("properties") {
            let description = property["description"].as_str().unwrap_or_default();
            assert!(description.len() > 10 && description.ends_with('.'), "{path}: {name}: {description:?}");
            names.push(name);
        }
        let mut required: Vec<&str> =
            object["required"].as_array().expect("required").iter().filter_map(Value::as_str).collect();
        names.sort_unstable();
        required.sort_unstable();
        assert_eq!(required, names, "{path}");
    }
}

#[test]
fn source_numbers_lead_into_the_list() {
    for (stem, _) in demo::questions() {
        let answer = demo_answer(stem);
        let count = answer["sources"].as_array().unwrap().len() as u64;
        for list in ["knock_ons", "verdicts", "cautions", "assumptions"] {
            for row in answer[list].as_array().unwrap() {
                for key in ["source", "threshold_source"] {
                    let number = row.get(key).and_then(Value::as_u64).unwrap_or(1);
                    assert!((1..=count).contains(&number), "{stem}: {list}: {row}");
                }
            }
        }
    }
}
