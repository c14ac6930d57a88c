//! A file of answers: an inspection that somebody wrote down, or that a program sends.
//!
//! ```toml
//! protocol = "rotor"
//! bike = "Larch 150"
//! by = "Sam"
//!
//! [answers]
//! mark = "none"
//! thickness = "1.62 mm ± 0.02"
//! cracks = { answer = "none", note = "both sides, magnifier" }
//! warp = "cannot tell"
//! ```

use std::ops::Range;
use std::sync::Arc;

use toml_edit::{Document, Item, TableLike};

use super::{Given, Observation, Protocol, protocol, protocols};
use crate::problem::{Problem, nearest};

/// Longest note, characters.
pub const LONGEST_NOTE: usize = 1000;

/// A file of answers, read.
#[derive(Clone, Debug)]
pub struct Script {
    /// The protocol that it answers.
    pub protocol: &'static Protocol,
    /// The bike or part, in words; empty when nobody said.
    pub bike: String,
    /// Who looked; empty when nobody said.
    pub by: String,
    /// The answers, in the order of the file.
    pub observations: Vec<Observation>,
}

/// Keys of a file of answers.
const KEYS: [&str; 4] = ["protocol", "bike", "by", "answers"];

const EXAMPLE: &str =
    "write for example\n\n[answers]\nclean = \"all\"\nline = { answer = \"none\", note = \"down tube\" }";

/// Reads a file of answers. `name` is what the text is called in an error: a file's path. `wanted` is the protocol where it was named
/// elsewhere.
///
/// ```
/// use knockon_trade::inspection::script::read_answers;
/// let text = "protocol = \"carbon-frame\"\n[answers]\nclean = \"all\"\nline = \"jagged\"";
/// assert_eq!(read_answers("a.toml", text, None).unwrap().observations.len(), 2);
/// let errors = read_answers("a.toml", "protocol = \"carbon-frame\"\n[answers]\nlime = \"none\"", None).unwrap_err();
/// assert_eq!(errors[0].line_column(), (3, 1));
/// assert_eq!(errors[0].help.as_deref(), Some("did you mean `line`?"));
/// ```
///
/// # Errors
/// Every fault of the text, each with its place.
pub fn read_answers(
    name: &str,
    text: &str,
    wanted: Option<&'static Protocol>,
) -> Result<Script, Vec<Problem>> {
    let source: Arc<str> = Arc::from(text);
    let error = |place: Range<usize>, message: String, help: String| {
        let help = if help.is_empty() { EXAMPLE.to_owned() } else { help };
        Problem::error(name, &source, place, message).with_help(help)
    };
    let document = Document::parse(text).map_err(|fault| {
        let why = fault.message().lines().next().unwrap_or("syntax error").to_owned();
        vec![error(fault.span().unwrap_or(0..0), format!("this is not TOML: {why}"), String::new())]
    })?;
    let table = document.as_table();
    let mut errors = Vec::new();
    for (key, item) in table.iter().filter(|(key, _)| !KEYS.contains(key)) {
        let place = key_place(table, key).or(item.span()).unwrap_or(0..0);
        let help = nearest(key, KEYS).map_or_else(
            || format!("a file of answers has {}", KEYS.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        errors.push(error(place, format!("a file of answers has no `{key}`"), help));
    }
    let mut words = |key: &str| {
        let Some(item) = table.get(key) else { return String::new() };
        let text = item.as_str().map(|text| text.trim().to_owned());
        text.unwrap_or_else(|| {
            let place = item.span().unwrap_or(0..0);
            errors.push(error(place, format!("`{key}` must be a text in quotes"), format!("{key} = \"…\"")));
            String::new()
        })
    };
    let (named, bike, by) = (words("protocol"), words("bike"), words("by"));
    let place = table.get("protocol").and_then(Item::span).unwrap_or(0..0);
    let protocol = match (protocol(&named), wanted) {
        (Some(found), Some(wanted)) if found.id != wanted.id => Err((
            format!("this answers `{}`, not `{}`", found.id, wanted.id),
            "name the other protocol, or give the other file".to_owned(),
        )),
        (Some(found), _) => Ok(found),
        (None, Some(wanted)) if named.is_empty() => Ok(wanted),
        (None, _) if named.is_empty() => Err((
            "it does not say which protocol it answers".to_owned(),
            "protocol = \"carbon-frame\"".to_owned(),
        )),
        (None, _) => Err((format!("there is no protocol `{named}`"), suggestion(&named))),
    };
    let protocol = match protocol {
        Ok(protocol) => protocol,
        Err((message, help)) => {
            errors.push(error(place, message, help));
            return Err(errors);
        }
    };
    let mut observations = Vec::new();
    match table.get("answers").map(|item| (item.as_table_like(), item.span())) {
        None => {}
        Some((None, place)) => {
            errors.push(error(place.unwrap_or(0..0), "`answers` must be a table".to_owned(), String::new()));
        }
        Some((Some(answers), _)) => {
            for (key, item) in answers.iter() {
                match observation(protocol, answers, key, item) {
                    Ok(observation) => observations.push(observation),
                    Err((place, message, help)) => errors.push(error(place, message, help)),
                }
            }
        }
    }
    if errors.is_empty() { Ok(Script { protocol, bike, by, observations }) } else { Err(errors) }
}

/// What to do about a protocol's name that is not known.
pub fn suggestion(name: &str) -> String {
    let names = || protocols().iter().map(|protocol| protocol.id.as_str());
    nearest(name, names()).map_or_else(
        || format!("there are {}", names().collect::<Vec<_>>().join(", ")),
        |near| format!("did you mean `{near}`? `knockon inspect` lists them all"),
    )
}

type Fault = (Range<usize>, String, String);

fn observation(
    protocol: &Protocol,
    answers: &dyn TableLike,
    key: &str,
    item: &Item,
) -> Result<Observation, Fault> {
    let place = item.span().unwrap_or(0..0);
    let Some(step) = protocol.step(key) else {
        let names = || protocol.steps.iter().map(|step| step.id.as_str());
        let help = nearest(key, names()).map_or_else(
            || format!("its steps are {}", names().collect::<Vec<_>>().join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        let place = answers.get_key_value(key).and_then(|(key, _)| key.span()).unwrap_or(place);
        return Err((place, format!("`{}` has no step `{key}`", protocol.id), help));
    };
    let (answer, note) = match item.as_table_like() {
        None => (item, String::new()),
        Some(table) => {
            let note = table.get("note").map_or(Some(""), Item::as_str);
            let note = note.ok_or_else(|| {
                (place.clone(), "`note` must be a text in quotes".to_owned(), String::new())
            })?;
            if let Some((other, _)) = table.iter().find(|(key, _)| !["answer", "note"].contains(key)) {
                let message = format!("an answer has no `{other}`");
                return Err((place, message, "it has `answer` and `note`".to_owned()));
            }
            let answer = table.get("answer");
            (
                answer.ok_or_else(|| (place.clone(), "`answer` is missing".to_owned(), String::new()))?,
                note.to_owned(),
            )
        }
    };
    let written = answer.as_str().map(str::to_owned);
    let written = written.or_else(|| answer.as_integer().map(|number| number.to_string()));
    let written =
        written.or_else(|| answer.as_float().map(|number| number.to_string())).ok_or_else(|| {
            (place.clone(), "an answer is a text in quotes or a number".to_owned(), String::new())
        })?;
    if note.chars().count() > LONGEST_NOTE {
        let message = format!("the note has more than {LONGEST_NOTE} characters");
        return Err((place, message, "shorten it".to_owned()));
    }
    let given = Given::read(step, &written)
        .map_err(|fault| (answer.span().unwrap_or(place), fault.why, fault.help))?;
    Ok(Observation { step: step.id.clone(), given, note: note.trim().to_owned() })
}

fn key_place(table: &dyn TableLike, key: &str) -> Option<Range<usize>> {
    table.get_key_value(key).and_then(|(key, _)| key.span())
}

/// Writes answers as a file that [`read_answers`] reads again.
///
/// ```
/// use knockon_trade::inspection::{protocol, script::{read_answers, written}};
/// let text = "protocol = \"carbon-frame\"\n[answers]\nline = { answer = \"none\", note = \"down \\\"tube\\\"\" }";
/// let script = read_answers("a.toml", text, None).unwrap();
/// let again = read_answers("b.toml", &written(script.protocol, "", "", &script.observations), None).unwrap();
/// assert_eq!(again.observations, script.observations);
/// ```
pub fn written(protocol: &Protocol, bike: &str, by: &str, observations: &[Observation]) -> String {
    let mut document = toml_edit::DocumentMut::new();
    document["protocol"] = toml_edit::value(&protocol.id);
    for (key, words) in [("bike", bike), ("by", by)].into_iter().filter(|(_, words)| !words.is_empty()) {
        document[key] = toml_edit::value(words);
    }
    let mut answers = toml_edit::Table::new();
    for observation in observations {
        let Some(step) = protocol.step(&observation.step) else { continue };
        let answer = observation.given.written(step);
        answers[&observation.step] = if observation.note.is_empty() {
            toml_edit::value(answer)
        } else {
            let mut table = toml_edit::InlineTable::new();
            table.insert("answer", answer.into());
            table.insert("note", observation.note.as_str().into());
            toml_edit::value(table)
        };
    }
    document["answers"] = Item::Table(answers);
    document.to_string()
}
