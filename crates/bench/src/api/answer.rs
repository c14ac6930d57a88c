//! What the JSON writers write, an answer or an inspection: their text as it is, and their own schemas as parts of the description.

use std::marker::PhantomData;

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use knockon_desk::DeskError;
use knockon_sheet::{backwards, inspection, json};
use knockon_trade::backwards::Reached;
use knockon_trade::findings::{self, Findings};
use knockon_trade::question::Question;
use knockon_trade::workings::Told;
use knockon_trade::workings::braking::Way;
use serde_json::{Map, Value};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// A kind of object that a writer writes and describes.
pub(super) trait Document {
    /// Its name among the schemas of the description.
    const NAME: &'static str;
    /// The writer's own schema.
    const SCHEMA: &'static str;
}

/// An answer to a what-if question.
pub(super) struct OfAnswer;

impl Document for OfAnswer {
    const NAME: &'static str = "Answer";
    const SCHEMA: &'static str = json::SCHEMA;
}

/// What a protocol says of what somebody found.
pub(super) struct OfInspection;

impl Document for OfInspection {
    const NAME: &'static str = "Judgement";
    const SCHEMA: &'static str = inspection::SCHEMA;
}

/// Ways to a wanted result.
pub(super) struct OfOptions;

impl Document for OfOptions {
    const NAME: &'static str = "Options";
    const SCHEMA: &'static str = backwards::SCHEMA;
}

/// Such an object, written.
pub(super) struct Written<D>(String, PhantomData<D>);

/// The answer, written.
pub(super) type Answer = Written<OfAnswer>;

/// The judgement, written.
pub(super) type Judgement = Written<OfInspection>;

/// The options, written.
pub(super) type Options = Written<OfOptions>;

impl Options {
    /// Writes what was reached.
    pub(super) fn of(reached: &Reached) -> Self {
        Written(backwards::json(reached), PhantomData)
    }
}

impl Judgement {
    /// Writes an inspection.
    pub(super) fn of(part: &inspection::Inspection, about: &inspection::Heading) -> Self {
        Written(inspection::json(part, about), PhantomData)
    }
}

impl Answer {
    /// Writes findings.
    pub(super) fn of(findings: &Findings) -> Self {
        Written(json::json(findings), PhantomData)
    }

    /// Answers a question that nobody stored.
    pub(super) fn to(question: Question) -> Result<Self, DeskError> {
        findings::answer(question).map(|findings| Answer::of(&findings)).map_err(DeskError::Answer)
    }

    /// The same with everything in depth.
    pub(super) fn in_depth(question: Question, way: &Way) -> Result<Self, DeskError> {
        findings::answer_in_depth(question, Told::All, way)
            .map(|findings| Answer::of(&findings))
            .map_err(DeskError::Answer)
    }
}

impl<D> IntoResponse for Written<D> {
    fn into_response(self) -> Response {
        ([(CONTENT_TYPE, "application/json")], self.0).into_response()
    }
}

impl<D: Document> ToSchema for Written<D> {
    fn name() -> std::borrow::Cow<'static, str> {
        D::NAME.into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        for (name, definition) in definitions::<D>() {
            schemas.push((format!("{}.{name}", D::NAME), typed::<D>(definition)));
        }
    }
}

impl<D: Document> PartialSchema for Written<D> {
    fn schema() -> RefOr<Schema> {
        let mut whole = whole::<D>();
        // They belong to a document of their own.
        for key in ["$schema", "$id", "$defs"] {
            whole.remove(key);
        }
        typed::<D>(Value::Object(whole))
    }
}

/// The writer's own schema.
pub(super) fn whole<D: Document>() -> Map<String, Value> {
    match serde_json::from_str(D::SCHEMA) {
        Ok(Value::Object(whole)) => whole,
        other => unreachable!("the schema is an object, tested where it is kept: {other:?}"),
    }
}

fn definitions<D: Document>() -> Map<String, Value> {
    match whole::<D>().remove("$defs") {
        Some(Value::Object(definitions)) => definitions,
        _ => Map::new(),
    }
}

/// A part of the schema as a part of the description: what lay in `$defs` lies among the description's schemas.
fn typed<D: Document>(mut part: Value) -> RefOr<Schema> {
    move_in(&mut part, D::NAME);
    serde_json::from_value(part).unwrap_or_else(|error| unreachable!("a test reads every part: {error}"))
}

fn move_in(part: &mut Value, of: &str) {
    match part {
        Value::Object(map) => {
            if let Some(Value::String(target)) = map.get_mut("$ref") {
                *target = target.replace("#/$defs/", &format!("#/components/schemas/{of}."));
            }
            name_type(map);
            map.values_mut().for_each(|part| move_in(part, of));
        }
        Value::Array(parts) => parts.iter_mut().for_each(|part| move_in(part, of)),
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
    fn the_schemas_come_through_whole() {
        comes_through::<OfAnswer>(9);
        comes_through::<OfInspection>(2);
        comes_through::<OfOptions>(4);
    }

    fn comes_through<D: Document>(least: usize) {
        let mut parts = definitions::<D>();
        assert!(parts.len() >= least, "{:?}", parts.keys());
        let mut all = whole::<D>();
        all.retain(|key, _| !key.starts_with('$'));
        parts.insert(String::new(), Value::Object(all));
        for (name, mut part) in parts {
            let described = serde_json::to_value(typed::<D>(part.clone())).expect("a schema is JSON");
            move_in(&mut part, D::NAME);
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
