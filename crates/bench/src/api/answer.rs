//! The answer to a what-if question: the text of the one JSON writer, and its own schema as parts of the description.

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use knockon_desk::DeskError;
use knockon_sheet::json::{self, SCHEMA};
use knockon_trade::findings::{self, Findings};
use knockon_trade::question::Question;
use serde_json::{Map, Value};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// Name of the answer among the schemas of the description.
const NAME: &str = "Answer";

/// The answer, written.
pub(super) struct Answer(String);

impl Answer {
    /// Writes findings.
    pub(super) fn of(findings: &Findings) -> Self {
        Answer(json::json(findings))
    }

    /// Answers a question that nobody stored.
    pub(super) fn to(question: Question) -> Result<Self, DeskError> {
        findings::answer(question).map(|findings| Answer::of(&findings)).map_err(DeskError::Answer)
    }
}

impl IntoResponse for Answer {
    fn into_response(self) -> Response {
        ([(CONTENT_TYPE, "application/json")], self.0).into_response()
    }
}

impl ToSchema for Answer {
    fn name() -> std::borrow::Cow<'static, str> {
        NAME.into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        for (name, definition) in definitions() {
            schemas.push((format!("{NAME}.{name}"), typed(definition)));
        }
    }
}

impl PartialSchema for Answer {
    fn schema() -> RefOr<Schema> {
        let mut whole = whole();
        // They belong to a document of their own.
        for key in ["$schema", "$id", "$defs"] {
            whole.remove(key);
        }
        typed(Value::Object(whole))
    }
}

/// The writer's own schema.
pub(super) fn whole() -> Map<String, Value> {
    match serde_json::from_str(SCHEMA) {
        Ok(Value::Object(whole)) => whole,
        other => unreachable!("the schema is an object, tested where it is kept: {other:?}"),
    }
}

fn definitions() -> Map<String, Value> {
    match whole().remove("$defs") {
        Some(Value::Object(definitions)) => definitions,
        _ => Map::new(),
    }
}

/// A part of the schema as a part of the description: what lay in `$defs` lies among the description's schemas.
fn typed(mut part: Value) -> RefOr<Schema> {
    move_in(&mut part);
    serde_json::from_value(part).unwrap_or_else(|error| unreachable!("a test reads every part: {error}"))
}

fn move_in(part: &mut Value) {
    match part {
        Value::Object(map) => {
            if let Some(Value::String(target)) = map.get_mut("$ref") {
                *target = target.replace("#/$defs/", &format!("#/components/schemas/{NAME}."));
            }
            name_type(map);
            map.values_mut().for_each(move_in);
        }
        Value::Array(parts) => parts.iter_mut().for_each(move_in),
        _ => {}
    }
}

/// The description's types want the type of a list of words said, which the words themselves say.
fn name_type(schema: &mut Map<String, Value>) {
    if schema.contains_key("type") {
        return;
    }
    let of_words = schema.get("enum").and_then(Value::as_array);
    let kind = match of_words {
        Some(words) if words.iter().any(Value::is_null) => Value::from(vec!["string", "null"]),
        Some(_) => Value::from("string"),
        None if schema.get("pattern").is_some_and(Value::is_string) => Value::from("string"),
        None => return,
    };
    schema.insert("type".to_owned(), kind);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nothing of the writer's schema is lost on its way into the description, and nothing but types is added.
    #[test]
    fn the_schema_comes_through_whole() {
        let mut parts = definitions();
        assert!(parts.len() >= 9, "{:?}", parts.keys());
        let mut all = whole();
        all.retain(|key, _| !key.starts_with('$'));
        parts.insert(String::new(), Value::Object(all));
        for (name, mut part) in parts {
            let described = serde_json::to_value(typed(part.clone())).expect("a schema is JSON");
            move_in(&mut part);
            alike(&name, &part, &described);
        }
    }

    #[track_caller]
    fn alike(place: &str, ours: &Value, described: &Value) {
        match (ours, described) {
            (Value::Object(a), Value::Object(b)) => {
                assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>(), "{place}");
                for (key, value) in a {
                    alike(&format!("{place}/{key}"), value, &b[key]);
                }
            }
            (Value::Array(a), Value::Array(b)) => {
                assert_eq!(a.len(), b.len(), "{place}");
                a.iter().zip(b).for_each(|(a, b)| alike(place, a, b));
            }
            (Value::Number(a), Value::Number(b)) => assert_eq!(a.as_f64(), b.as_f64(), "{place}"),
            _ => assert_eq!(ours, described, "{place}"),
        }
    }
}
