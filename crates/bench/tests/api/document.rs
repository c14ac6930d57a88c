//! The description, and holding what comes and goes to it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use axum::http::Method;
use jsonschema::Validator;
use serde_json::{Value, json};

use crate::bench::Reply;

/// The description as it is served.
pub static DOCUMENT: LazyLock<Value> =
    LazyLock::new(|| serde_json::from_str(&knockon_bench::api::description()).expect("JSON"));

/// One operation of the description.
#[derive(Clone)]
pub struct Operation {
    pub method: Method,
    /// `/questions/{id}`, without the server's prefix.
    pub template: String,
    pub about: Value,
}

/// Every operation by its name.
pub fn operations() -> BTreeMap<String, Operation> {
    let mut operations = BTreeMap::new();
    for (template, item) in DOCUMENT["paths"].as_object().expect("paths") {
        for (method, about) in item.as_object().expect("operations") {
            let Ok(method) = method.to_uppercase().parse::<Method>() else { continue };
            let name = about["operationId"].as_str().expect("a name").to_owned();
            let operation = Operation { method, template: template.clone(), about: about.clone() };
            assert!(operations.insert(name.clone(), operation).is_none(), "{name} names two operations");
        }
    }
    operations
}

/// The prefix of every path.
pub fn prefix() -> &'static str {
    DOCUMENT["servers"][0]["url"].as_str().expect("a server")
}

/// A validator for a schema of the description. Objects may hold nothing that is not described.
pub fn validator(schema: &Value) -> Validator {
    let mut components = DOCUMENT["components"].clone();
    close(&mut components["schemas"]);
    let mut whole =
        json!({ "$schema": "https://json-schema.org/draft/2020-12/schema", "components": components });
    let own = schema.as_object().expect("a schema");
    whole.as_object_mut().expect("an object").extend(own.clone());
    jsonschema::options().should_validate_formats(true).build(&whole).expect("a schema that compiles")
}

/// Says of every object that it has the members that are described and no others.
fn close(schema: &mut Value) {
    match schema {
        Value::Object(map) => {
            if map.get("properties").is_some_and(Value::is_object)
                && map.get("type") == Some(&json!("object"))
            {
                map.entry("additionalProperties").or_insert(json!(false));
            }
            map.values_mut().for_each(close);
        }
        Value::Array(parts) => parts.iter_mut().for_each(close),
        _ => {}
    }
}

#[track_caller]
pub fn keeps_to(schema: &Value, value: &Value, what: &str) {
    let faults: Vec<String> = validator(schema)
        .iter_errors(value)
        .map(|error| format!("{error} at {}", error.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{what}: {faults:#?}\n{value:#}");
}

/// A reply is one of those that the operation describes: status, kind and content. `default` does not count for success.
#[track_caller]
pub fn as_described(operation: &Operation, reply: &Reply, what: &str) {
    let responses = &operation.about["responses"];
    let status = reply.status.as_u16().to_string();
    let described = match responses.get(&status) {
        Some(response) => response,
        None if !reply.status.is_success() => &responses["default"],
        None => panic!("{what}: {status} is not described"),
    };
    let Some(content) = described.get("content") else {
        assert!(reply.body.is_empty(), "{what}: {status} is described without content");
        return;
    };
    let kind = reply.kind();
    let media = content
        .get(kind)
        .unwrap_or_else(|| panic!("{what}: {kind} is not described for {status}: {content}"));
    if kind.ends_with("json")
        && let Some(schema) = media.get("schema")
    {
        keeps_to(schema, &reply.value(), what);
    }
    for header in described.get("headers").and_then(Value::as_object).into_iter().flatten() {
        assert!(reply.headers.contains_key(header.0.as_str()), "{what}: no header {}", header.0);
    }
}

/// A fault: problem details of the described form, about this request, with this status and kind.
#[track_caller]
pub fn is_problem(reply: &Reply, status: u16, kind: &str, path: &str) -> Value {
    assert_eq!(
        (reply.status.as_u16(), reply.kind()),
        (status, "application/problem+json"),
        "{path}: {:?}",
        reply.text()
    );
    let problem = reply.value();
    keeps_to(&json!({ "$ref": "#/components/schemas/Problem" }), &problem, path);
    assert_eq!(problem["status"], status, "{path}");
    assert_eq!(problem["instance"], path.split('?').next().expect("a path"), "{path}");
    assert_eq!(problem["type"], format!("/problems#{kind}"), "{path}: {problem}");
    problem
}
