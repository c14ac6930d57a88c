//! A record as a form, and what was typed back into the record's text.

use std::collections::{BTreeMap, HashMap};

use knockon_trade::fact::Known;
use knockon_trade::problem::Problem;
use knockon_trade::record::edit::{Entry, Field, Input, entries, form, key_of, set};
use knockon_trade::record::parse;

use crate::pages::form::Wrongs;
use crate::pages::listing::filled;
use crate::pages::questions::sentence;

/// Where faults lead that belong to no field: the `id` of the whole form.
pub const WHOLE: &str = "record";

/// What stands in the form, by the controls' names: `stem.length`, `stem.length.known` …
#[derive(Clone, Debug, Default)]
pub struct Typed(HashMap<String, String>);

impl Typed {
    /// What a browser sent.
    pub fn sent(fields: Vec<(String, String)>) -> Self {
        Self(fields.into_iter().collect())
    }

    /// What a record says.
    pub fn of(entries: &BTreeMap<&'static str, Entry>) -> Self {
        let mut typed = HashMap::new();
        for (key, entry) in entries {
            typed.insert((*key).to_owned(), entry.value.clone());
            if let Some(known) = entry.known {
                typed.insert(format!("{key}.known"), known.word().to_owned());
            }
            typed.insert(format!("{key}.with"), entry.with.clone().unwrap_or_default());
            typed.insert(format!("{key}.tolerance"), entry.tolerance.clone().unwrap_or_default());
        }
        Self(typed)
    }

    /// The same, with what a record says in each control that was not sent.
    #[must_use]
    pub fn over(mut self, base: &str) -> Self {
        for (name, value) in entries(base).map(|entries| Self::of(&entries).0).unwrap_or_default() {
            self.0.entry(name).or_insert(value);
        }
        self
    }

    /// What stands in a control.
    pub fn get(&self, name: &str) -> &str {
        self.0.get(name).map_or("", String::as_str)
    }

    /// What stands in a control that belongs to a key.
    pub fn part(&self, key: &str, part: &str) -> &str {
        self.get(&format!("{key}.{part}"))
    }

    /// The version that was edited.
    pub fn version(&self) -> Option<u32> {
        self.get("version").parse().ok()
    }

    /// Why it is saved.
    pub fn why(&self) -> String {
        filled(Some(self.get("why"))).unwrap_or("edited").to_owned()
    }

    /// What a field holds; `None` for an empty one.
    fn entry(&self, field: &Field) -> Option<Entry> {
        let value = filled(Some(self.get(field.key)))?.replace("\r\n", "\n");
        if field.input != Input::Number {
            return Some(Entry::new(value));
        }
        let part = |name| filled(Some(self.part(field.key, name))).map(str::to_owned);
        let word = self.part(field.key, "known");
        let known = Known::WORDS.iter().find(|(known, _)| *known == word).map(|(_, known)| *known);
        let mut entry = Entry { value, known, with: part("with"), tolerance: part("tolerance") };
        // Whoever names a tool has measured, whatever the choice beside it was left at.
        if entry.with.is_some() && entry.known == Some(Known::Published) {
            entry.known = Some(Known::Measured);
        }
        entry.known = Some(entry.known());
        Some(entry)
    }
}

/// The record's text with what was typed; comments and everything that was not touched stay. Fields that the form did not
/// send stay too.
pub fn write(base: &str, typed: &Typed) -> Result<String, Wrongs> {
    let before = entries(base).map_err(|problem| placed(base, &[problem]))?;
    let mut text = base.to_owned();
    let mut wrongs = Wrongs::default();
    for field in form().into_iter().flat_map(|group| group.fields) {
        if !typed.0.contains_key(field.key) {
            continue;
        }
        let entry = typed.entry(&field);
        if entry.as_ref() == before.get(field.key) {
            continue;
        }
        match set(&text, field.key, entry.as_ref()) {
            Ok(new) => text = new,
            Err(problem) => wrongs.add(field_id(field.key), words(field.key, &problem)),
        }
    }
    if !wrongs.is_empty() {
        return Err(wrongs);
    }
    match parse("record", &text) {
        Ok(_) => Ok(text),
        Err(problems) => Err(placed(&text, &problems)),
    }
}

/// What is odd about a record though it is used, by field.
pub fn warnings(text: &str) -> Wrongs {
    parse("record", text).map_or_else(|_| Wrongs::default(), |parsed| placed(text, &parsed.warnings))
}

/// Each problem at the field that it is about.
pub fn placed(text: &str, problems: &[Problem]) -> Wrongs {
    let mut wrongs = Wrongs::default();
    for problem in problems {
        match key_of(text, problem) {
            Some(key) => wrongs.add(field_id(key), words(key, problem)),
            None => wrongs.add(WHOLE, words("", problem)),
        }
    }
    wrongs
}

/// The `id` of a field's control.
pub fn field_id(key: &str) -> String {
    format!("f-{}", key.replace('.', "-"))
}

/// A field's name.
pub fn label(key: &str) -> &str {
    let number = knockon_trade::tables::property(key).map(|row| row.label.as_str());
    number.or_else(|| knockon_trade::tables::detail(key).map(|row| row.label.as_str())).unwrap_or(key)
}

/// A problem's words for somebody who sees labels, not keys.
fn words(key: &str, problem: &Problem) -> String {
    let message = match key {
        "" => problem.message.clone(),
        key => problem.message.replace(&format!("`{key}`"), label(key)).replace(key, label(key)),
    };
    match &problem.help {
        Some(help) => format!("{} {}", sentence(&message), sentence(help)),
        None => sentence(&message),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# As ridden.\nname = \"Invented\"\n\n[stem]\nlength = 50 # marked\nangle = 6\n";

    fn typed(changes: &[(&str, &str)]) -> Typed {
        let mut typed = Typed::of(&entries(TEXT).expect("a record"));
        for (name, value) in changes {
            typed.0.insert((*name).to_owned(), (*value).to_owned());
        }
        typed
    }

    #[test]
    fn a_form_that_nobody_touched_changes_nothing() {
        for (stem, text) in knockon_trade::demo::bikes() {
            let typed = Typed::of(&entries(text).expect("a record"));
            assert_eq!(write(text, &typed).expect("a record"), *text, "{stem}");
        }
    }

    #[test]
    fn comments_stay_when_a_number_changes() {
        let new = write(TEXT, &typed(&[("stem.length", "40")])).expect("a record");
        assert_eq!(new, TEXT.replace("length = 50", "length = 40"));
    }

    #[test]
    fn an_emptied_field_is_no_longer_told() {
        let new = write(TEXT, &typed(&[("stem.angle", " ")])).expect("a record");
        assert_eq!(new, TEXT.replace("angle = 6\n", ""));
    }

    #[test]
    fn a_tool_means_measured() {
        let new = write(TEXT, &typed(&[("stem.length.with", "tape")])).expect("a record");
        let stem = &entries(&new).expect("a record")["stem.length"];
        assert_eq!((stem.known, stem.with.as_deref()), (Some(Known::Measured), Some("tape")));
    }

    #[test]
    fn what_is_impossible_is_told_at_its_field_by_its_name() {
        let wrongs =
            write(TEXT, &typed(&[("stem.length", "4000"), ("stem.angle", "steep")])).expect_err("two faults");
        let length = wrongs.of("f-stem-length").expect("a fault");
        assert!(length.starts_with("Stem length cannot be 4000"), "{length}");
        assert!(wrongs.of("f-stem-angle").is_some());
    }

    #[test]
    fn what_contradicts_another_number_is_told_at_its_field() {
        let wrongs = write(
            "",
            &Typed::sent(vec![
                ("shock.eye_to_eye".into(), "200".into()),
                ("shock.stroke".into(), "150".into()),
            ]),
        );
        assert!(wrongs.expect_err("a contradiction").of("f-shock-stroke").is_some());
    }

    #[test]
    fn the_unusual_is_told_and_used() {
        let text = write(TEXT, &typed(&[("stem.length", "190")])).expect("a record");
        let warnings = warnings(&text);
        assert!(warnings.of("f-stem-length").is_some_and(|words| words.contains("unusual")), "{warnings:?}");
    }
}
