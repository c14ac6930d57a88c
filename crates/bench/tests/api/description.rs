//! The description itself is valid.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::document::{DOCUMENT, operations};

/// Read by a library that knows the OpenAPI Specification 3.1.
#[test]
fn a_reader_of_openapi_3_1_reads_it() {
    let read = oas3::from_json(knockon_bench::api::description()).expect("OpenAPI 3.1");
    assert!(read.openapi.starts_with("3.1."), "{}", read.openapi);
    assert_eq!(read.operations().count(), operations().len());
    for (path, method, operation) in read.operations() {
        assert!(operation.summary.as_ref().is_some_and(|words| !words.is_empty()), "{method} {path}");
    }
}

#[test]
fn it_is_the_same_each_time() {
    assert_eq!(knockon_bench::api::description(), knockon_bench::api::description());
    let typed = serde_json::to_value(knockon_bench::api::openapi()).unwrap();
    assert_eq!(typed, *DOCUMENT);
}

#[test]
fn every_schema_is_valid_json_schema() {
    let schemas = DOCUMENT["components"]["schemas"].as_object().unwrap();
    assert!(schemas.len() > 30, "{}", schemas.len());
    for (name, schema) in schemas {
        if let Err(error) = jsonschema::draft202012::meta::validate(schema) {
            panic!("{name}: {error} at {}", error.instance_path());
        }
        // The specification allows no other characters in a component's name.
        assert!(name.chars().all(|c| c.is_ascii_alphanumeric() || "._-".contains(c)), "{name}");
    }
}

#[test]
fn every_reference_leads_somewhere_and_every_schema_is_referred_to() {
    let mut targets = BTreeSet::new();
    references(&DOCUMENT, &mut targets);
    for target in &targets {
        let pointer = target.strip_prefix('#').unwrap_or_else(|| panic!("{target} leads elsewhere"));
        assert!(DOCUMENT.pointer(pointer).is_some(), "{target} leads nowhere");
    }
    for name in DOCUMENT["components"]["schemas"].as_object().unwrap().keys() {
        assert!(targets.contains(&format!("#/components/schemas/{name}")), "nothing refers to {name}");
    }
}

fn references(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            if let Some(target) = map.get("$ref").and_then(Value::as_str) {
                found.insert(target.to_owned());
            }
            map.values().for_each(|value| references(value, found));
        }
        Value::Array(values) => values.iter().for_each(|value| references(value, found)),
        _ => {}
    }
}

#[test]
fn every_operation_tells_its_path_its_successes_and_its_faults() {
    let tags: BTreeSet<&str> =
        DOCUMENT["tags"].as_array().unwrap().iter().filter_map(|tag| tag["name"].as_str()).collect();
    for (name, operation) in operations() {
        let about = &operation.about;
        let no_parameters = Vec::new();
        let parameters = about["parameters"].as_array().unwrap_or(&no_parameters);
        let in_path: BTreeSet<&str> = parameters
            .iter()
            .filter(|parameter| parameter["in"] == "path" && parameter["required"] == true)
            .filter_map(|parameter| parameter["name"].as_str())
            .collect();
        let braces: BTreeSet<&str> =
            operation.template.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect();
        assert_eq!(in_path, braces, "{name}");
        for parameter in parameters {
            let said = parameter["description"].as_str().is_some_and(|words| !words.is_empty());
            assert!(said && parameter["schema"].is_object(), "{name}: {parameter}");
        }
        let responses = about["responses"].as_object().unwrap();
        assert!(responses.keys().any(|status| status.starts_with('2')), "{name}");
        let fault = &responses["default"]["content"]["application/problem+json"]["schema"]["$ref"];
        assert_eq!(fault, "#/components/schemas/Problem", "{name}");
        for tag in about["tags"].as_array().expect("a tag") {
            assert!(tags.contains(tag.as_str().unwrap()), "{name}: {tag}");
        }
    }
}

/// Every member of every object is explained or explains itself by its name, and every object says what it is.
#[test]
fn every_object_says_what_it_is() {
    for (name, schema) in DOCUMENT["components"]["schemas"].as_object().unwrap() {
        assert!(schema["description"].as_str().is_some_and(|words| words.len() > 8), "{name}");
    }
}
