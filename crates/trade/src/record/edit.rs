//! Changing one thing in a record's text, so that its comments and everything else stay as they are.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use toml_edit::{Array, Document, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use super::parse::all_keys;
use super::print::literal;
use crate::fact::Known;
use crate::problem::{Problem, nearest};
use crate::tables::{self, Detail};

pub use super::form::{Field, Group, Input, form};

/// What a form holds for one key, as it was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entry {
    /// The value: `1.5 in`, `31.8`, `61-622`, `541 to 566`, a word or a text.
    pub value: String,
    /// How a number is known; `None` for a text, and for a number that is published, or measured when it has a tool or a
    /// tolerance.
    pub known: Option<Known>,
    /// What a number was measured with.
    pub with: Option<String>,
    /// ± of a number.
    pub tolerance: Option<String>,
}

impl Entry {
    /// A value with nothing said about how it is known.
    pub fn new(value: impl Into<String>) -> Self {
        Entry { value: value.into(), ..Entry::default() }
    }

    /// How the number is known, said or not.
    pub fn known(&self) -> Known {
        let measured = self.with.is_some() || self.tolerance.is_some();
        self.known.unwrap_or(if measured { Known::Measured } else { Known::Published })
    }

    /// Whether the value says all that there is.
    fn is_bare(&self) -> bool {
        self.with.is_none() && self.tolerance.is_none() && self.known() == Known::Published
    }

    /// The same without blanks, and without an empty tool or tolerance.
    fn trimmed(&self) -> Self {
        let full = |text: &Option<String>| {
            text.as_deref().map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
        };
        Entry {
            value: self.value.trim().to_owned(),
            known: self.known,
            with: full(&self.with),
            tolerance: full(&self.tolerance),
        }
    }
}

/// The text with one key set to an entry, or taken out with `None` or a blank value. What is set already stays as it is.
///
/// The entry is checked by itself; whether it contradicts the rest of the record, [`super::parse`] says of the new text,
/// and [`key_of`] to which field its answer belongs.
///
/// ```
/// use knockon_trade::record::edit::{Entry, set};
/// let text = "# As ridden.\n[stem]\nlength = 50 # marked\n";
/// let new = set(text, "stem.length", Some(&Entry::new("40"))).unwrap();
/// assert_eq!(new, "# As ridden.\n[stem]\nlength = 40 # marked\n");
/// let error = set(text, "stem.length", Some(&Entry::new("4000"))).unwrap_err();
/// assert_eq!(error.message, "stem.length cannot be 4000 mm");
/// ```
///
/// # Errors
/// When the text is no TOML, a record has no such key, or the entry is no value for it.
pub fn set(text: &str, key: &str, value: Option<&Entry>) -> Result<String, Problem> {
    let entry = value.map(Entry::trimmed).filter(|entry| !entry.value.is_empty());
    let Some(key) = all_keys().find(|known| *known == key) else {
        let help = nearest(key, all_keys()).map(|near| format!("did you mean `{near}`?"));
        let problem = typed(key, key, format!("a record has no `{key}`"));
        return Err(match help {
            Some(help) => problem.with_help(help),
            None => problem,
        });
    };
    if let Some(entry) = &entry {
        check(key, entry)?;
    }
    let now = entries(text)?.remove(key);
    let as_it_is = match (&now, &entry) {
        (Some(now), Some(entry)) => is_same(key, now, entry),
        (None, None) => true,
        _ => false,
    };
    if as_it_is {
        return Ok(text.to_owned());
    }
    let document = Document::parse(text).map_err(|error| no_toml(text, &error))?;
    if let Some(place) = written_place(&document, key) {
        return Ok(splice(text, key, place, entry.as_ref()));
    }
    let mut document: DocumentMut = text.parse().map_err(|error| no_toml(text, &error))?;
    let path: Vec<&str> = key.split('.').collect();
    match entry {
        Some(entry) => insert(document.as_table_mut(), &path, key, &entry),
        None => remove(document.as_table_mut(), &path),
    }
    let new = document.to_string();
    // The library ends every line the same way; a text that ends them the other way keeps doing so.
    Ok(if text.contains("\r\n") { new.replace("\r\n", "\n").replace('\n', "\r\n") } else { new })
}

/// Where a value stands that has a line of its own, and where its key begins.
struct Written {
    key: usize,
    value: Range<usize>,
}

/// The place of a value whose key stands below a heading; `None` for one that is not there, stands within braces, or is a
/// heading itself.
fn written_place(document: &Document<&str>, key: &str) -> Option<Written> {
    let mut table = document.as_table();
    let mut names = key.split('.').peekable();
    while let Some(name) = names.next() {
        let (written, item) = table.get_key_value(name)?;
        if names.peek().is_none() {
            item.as_value()?;
            return Some(Written { key: written.span()?.start, value: item.span()? });
        }
        table = item.as_table()?;
    }
    None
}

/// Puts a value in the place of another, or takes out its line; the comments above it stay.
fn splice(text: &str, key: &str, place: Written, entry: Option<&Entry>) -> String {
    let (place, new) = match entry {
        Some(entry) => (place.value, value(key, entry).to_string()),
        None => {
            let start = text[..place.key].rfind('\n').map_or(0, |at| at + 1);
            let end = text[place.value.end..].find('\n').map_or(text.len(), |at| place.value.end + at + 1);
            (start..end, String::new())
        }
    };
    format!("{}{}{}", &text[..place.start], new.trim(), &text[place.end..])
}

/// What a record's text holds, key by key, as it stands there; also what is no possible value, so that it can be mended.
///
/// ```
/// use knockon_trade::{fact::Known, record::edit::entries};
/// let text = "[bar]\nrise = \"1.5 in\"\nwidth = { value = 780, with = \"tape\" }";
/// let entries = entries(text).unwrap();
/// assert_eq!(entries["bar.rise"].value, "1.5 in");
/// assert_eq!(entries["bar.width"].known, Some(Known::Measured));
/// ```
///
/// # Errors
/// When the text is no TOML.
pub fn entries(text: &str) -> Result<BTreeMap<&'static str, Entry>, Problem> {
    let document = Document::parse(text).map_err(|error| no_toml(text, &error))?;
    let mut found = BTreeMap::new();
    for key in all_keys() {
        if let Some(item) = item_at(document.as_table(), key) {
            found.insert(key, entry(text, key, item));
        }
    }
    Ok(found)
}

/// The key that a problem with this text is about, when it is about one.
///
/// ```
/// use knockon_trade::record::{edit::key_of, parse};
/// let text = "[stem]\nlength = 50\nangle = 200\n";
/// let problems = parse("bike", text).unwrap_err();
/// assert_eq!(key_of(text, &problems[0]), Some("stem.angle"));
/// ```
pub fn key_of(text: &str, problem: &Problem) -> Option<&'static str> {
    let document = Document::parse(text).ok()?;
    all_keys().find(|key| {
        item_at(document.as_table(), key)
            .and_then(Item::span)
            .is_some_and(|place| place.contains(&problem.place.start))
    })
}

fn no_toml(text: &str, error: &toml_edit::TomlError) -> Problem {
    let why = error.message().lines().next().unwrap_or("syntax error").to_owned();
    Problem::error(
        "record",
        &Arc::from(text),
        error.span().unwrap_or(0..0),
        format!("this is not TOML: {why}"),
    )
    .with_help("mend it as text first")
}

fn typed(key: &str, text: &str, message: impl Into<String>) -> Problem {
    Problem::error(key, &Arc::from(text), 0..text.len(), message)
}

/// Checks an entry by reading a record that holds nothing else.
fn check(key: &'static str, entry: &Entry) -> Result<(), Problem> {
    let is_number = tables::property(key).is_some();
    if !is_number && (entry.known.is_some() || entry.with.is_some() || entry.tolerance.is_some()) {
        return Err(typed(key, &entry.value, format!("`{key}` takes a value only"))
            .with_help("a tool and a tolerance go with numbers"));
    }
    let mut alone = DocumentMut::new();
    insert(alone.as_table_mut(), &key.split('.').collect::<Vec<_>>(), key, entry);
    match super::parse(key, &alone.to_string()) {
        Ok(_) => Ok(()),
        Err(problems) => {
            let Some(first) = problems.first() else { return Ok(()) };
            let problem = typed(key, &entry.value, first.message.clone());
            Err(match &first.help {
                Some(help) => problem.with_help(help.clone()),
                None => problem,
            })
        }
    }
}

/// Whether an entry says what stands there already.
fn is_same(key: &str, now: &Entry, entry: &Entry) -> bool {
    let number = tables::property(key).is_none() || now.known() == entry.known();
    number && now.value == entry.value && now.with == entry.with && now.tolerance == entry.tolerance
}

fn item_at<'a>(table: &'a dyn TableLike, key: &str) -> Option<&'a Item> {
    match key.split_once('.') {
        None => table.get(key).filter(|item| !item.is_none()),
        Some((head, rest)) => item_at(table.get(head)?.as_table_like()?, rest),
    }
}

fn entry(text: &str, key: &str, item: &Item) -> Entry {
    let is_number = tables::property(key).is_some();
    match item.as_table_like() {
        Some(table) if is_number => {
            let part = |name: &str| table.get(name).map(|item| written(text, item));
            let known = part("known");
            let known = Known::WORDS.iter().find(|(word, _)| known.as_deref() == Some(*word));
            let mut entry = Entry {
                value: part("value").unwrap_or_default(),
                known: known.map(|(_, known)| *known),
                with: part("with"),
                tolerance: part("tolerance"),
            };
            entry.known = Some(entry.known());
            entry
        }
        _ => Entry {
            value: written(text, item),
            known: is_number.then_some(Known::Published),
            ..Entry::default()
        },
    }
}

/// A value as somebody would type it: a text without its quotes, a range as "541 to 566", a number as it stands.
fn written(text: &str, item: &Item) -> String {
    match item.as_value() {
        Some(Value::String(inner)) => inner.value().trim().to_owned(),
        Some(Value::Array(array)) => {
            let parts: Vec<String> =
                array.iter().map(|part| written(text, &Item::Value(part.clone()))).collect();
            parts.join(" to ")
        }
        _ => item.span().and_then(|place| text.get(place)).unwrap_or_default().trim().to_owned(),
    }
}

fn insert(table: &mut dyn TableLike, path: &[&str], key: &str, entry: &Entry) {
    let [name, rest @ ..] = path else { return };
    if rest.is_empty() {
        match table.get_mut(name) {
            Some(item) if !item.is_none() => replace(item, key, entry),
            _ => drop(table.insert(name, Item::Value(value(key, entry)))),
        }
        return;
    }
    let first = table.is_empty();
    if table.get(name).is_none_or(|item| item.as_table_like().is_none()) {
        let mut group = Table::new();
        // Only the last heading of a path is written: [wheel.front] needs no [wheel].
        group.set_implicit(rest.len() > 1);
        if !first || path.len() < key.split('.').count() {
            group.decor_mut().set_prefix("\n");
        }
        table.insert(name, Item::Table(group));
    }
    if let Some(group) = table.get_mut(name).and_then(Item::as_table_like_mut) {
        insert(group, rest, key, entry);
    }
}

/// Puts a new value in the place of one that stands within braces or below a heading of its own.
fn replace(item: &mut Item, key: &str, entry: &Entry) {
    let is_number = tables::property(key).is_some();
    match item.as_table_mut().filter(|_| is_number) {
        Some(table) => parts(table, entry),
        None => {
            let mut new = value(key, entry);
            if let Some(old) = item.as_value() {
                *new.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(new);
        }
    }
}

/// Sets the parts of a number that is written with how it is known.
fn parts(table: &mut dyn TableLike, entry: &Entry) {
    let text = |text: &String| Value::from(text.as_str());
    let known = Value::from(entry.known().word());
    let new = [
        ("value", Some(number(&entry.value))),
        ("known", Some(known)),
        ("with", entry.with.as_ref().map(text)),
        ("tolerance", entry.tolerance.as_deref().map(number)),
    ];
    for (name, value) in new {
        match (table.get_mut(name), value) {
            (Some(item), Some(mut value)) => {
                if let Some(old) = item.as_value() {
                    *value.decor_mut() = old.decor().clone();
                }
                *item = Item::Value(value);
            }
            (None, Some(value)) => drop(table.insert(name, Item::Value(value))),
            (Some(_), None) => drop(table.remove(name)),
            (None, None) => {}
        }
    }
}

fn value(key: &str, entry: &Entry) -> Value {
    match tables::detail(key) {
        Some(detail) => detail_value(detail, &entry.value),
        None if entry.is_bare() => number(&entry.value),
        None => {
            let mut table = InlineTable::new();
            parts(&mut table, entry);
            table.fmt();
            Value::InlineTable(table)
        }
    }
}

fn detail_value(detail: &Detail, typed: &str) -> Value {
    if detail.input != Input::Range {
        return Value::from(typed);
    }
    let mut array = Array::new();
    for part in range_parts(typed) {
        array.push(number(part));
    }
    array.fmt();
    Value::Array(array)
}

/// The ends of a range: `541 to 566`, `541 - 566`, `541–566`, `[541, 566]`.
fn range_parts(typed: &str) -> Vec<&str> {
    let inner = typed.trim().trim_start_matches('[').trim_end_matches(']');
    for between in [" to ", "–", "-", ", ", ";", ","] {
        if let Some((least, most)) = inner.split_once(between) {
            return vec![least.trim(), most.trim()];
        }
    }
    vec![inner.trim()]
}

/// A number as TOML, bare where it can be.
fn number(typed: &str) -> Value {
    literal(typed).parse().unwrap_or_else(|_| Value::from(typed))
}

/// Takes out a key; its heading stays, for whatever is written about it.
fn remove(table: &mut dyn TableLike, path: &[&str]) {
    let [name, rest @ ..] = path else { return };
    if rest.is_empty() {
        table.remove(name);
    } else if let Some(group) = table.get_mut(name).and_then(Item::as_table_like_mut) {
        remove(group, rest);
    }
}
