//! What was typed into the settings, and the settings that it means.

use std::collections::BTreeMap;

use knockon_desk::{Language, LengthUnit, Settings};
use knockon_trade::fact::{ToolSetting, tool_settings};
use knockon_trade::units::read;

use crate::pages::form::Wrongs;

/// Units of length: what the form sends and what it says.
pub(super) const LENGTHS: [(LengthUnit, &str, &str); 2] =
    [(LengthUnit::Mm, "mm", "millimetres"), (LengthUnit::Inch, "inch", "inches")];

/// Languages of the units' labels: what the form sends and how each names itself.
pub(super) const LANGUAGES: [(Language, &str, &str); 5] = [
    (Language::English, "en", "English"),
    (Language::German, "de", "Deutsch"),
    (Language::French, "fr", "Français"),
    (Language::Italian, "it", "Italiano"),
    (Language::Spanish, "es", "Español"),
];

/// Most characters of a name.
pub(super) const LONGEST_NAME: u16 = 120;

/// A tolerance beyond this, in the unit of the edge, is a slip of the keyboard.
const LARGEST_TOLERANCE: f64 = 100.0;

/// The form as it was typed, with what is wrong with it.
pub(super) struct Typed {
    values: BTreeMap<String, String>,
    pub(super) wrongs: Wrongs,
}

impl Typed {
    pub(super) fn new(pairs: Vec<(String, String)>) -> Self {
        Self { values: pairs.into_iter().collect(), wrongs: Wrongs::default() }
    }

    /// What stands in a field.
    pub(super) fn value(&self, field: &str) -> &str {
        self.values.get(field).map_or("", |value| value.trim())
    }

    /// The settings, or none with everything noted that is wrong.
    pub(super) fn read(&mut self) -> Option<Settings> {
        let settings = Settings {
            workshop: self.name("workshop", "The workshop’s name"),
            drawn_by: self.name("drawn_by", "The name of who draws"),
            length: self.choice("length", "Choose a unit of length", &LENGTHS, LengthUnit::Mm),
            label_language: self.choice("language", "Choose a language", &LANGUAGES, Language::English),
            tolerances: tool_settings().iter().filter_map(|tool| self.tolerance(tool)).collect(),
        };
        self.wrongs.is_empty().then_some(settings)
    }

    fn name(&mut self, field: &str, what: &str) -> String {
        let name = self.value(field).to_owned();
        if name.chars().count() > usize::from(LONGEST_NAME) {
            self.wrongs.add(field, format!("{what} has more than {LONGEST_NAME} characters: shorten it"));
        } else if name.chars().any(char::is_control) {
            self.wrongs.add(field, format!("{what} holds a character that cannot be printed: type it anew"));
        }
        name
    }

    fn choice<T: Copy>(&mut self, field: &str, ask: &str, choices: &[(T, &str, &str)], otherwise: T) -> T {
        let key = self.value(field);
        if let Some((choice, ..)) = choices.iter().find(|(_, known, _)| *known == key) {
            return *choice;
        }
        self.wrongs.add(field, ask);
        otherwise
    }

    /// A tool's own tolerance; none where the field is empty or says what the table says.
    fn tolerance(&mut self, tool: &ToolSetting) -> Option<(String, f64)> {
        let field = field_of(tool);
        let text = self.value(&field);
        if text.is_empty() {
            return None;
        }
        let unit = tool.dimension.edge_unit();
        let value = read(text, tool.dimension).map(|reading| reading.value / tool.dimension.edge_factor());
        match value {
            Ok(value) if value > 0.0 && value <= LARGEST_TOLERANCE => {
                (value != tool.value).then(|| (tool.name.clone(), value))
            }
            Ok(_) => {
                let range = format!(
                    "{}: a tolerance is more than 0 and at most {LARGEST_TOLERANCE} {unit}",
                    tool.name
                );
                self.wrongs.add(field, range);
                None
            }
            Err(_) => {
                let example = format!("{}: write a number like {} {unit}", tool.name, tool.value);
                self.wrongs.add(field, example);
                None
            }
        }
    }
}

/// The form as it stands when it is opened.
impl From<&Settings> for Typed {
    fn from(settings: &Settings) -> Self {
        let key = |choices: &[(&str, bool)]| {
            choices.iter().find(|(_, chosen)| *chosen).map_or_else(String::new, |(key, _)| (*key).to_owned())
        };
        let mut values = BTreeMap::from([
            ("workshop".to_owned(), settings.workshop.clone()),
            ("drawn_by".to_owned(), settings.drawn_by.clone()),
            ("length".to_owned(), key(&LENGTHS.map(|(unit, key, _)| (key, unit == settings.length)))),
            ("language".to_owned(), key(&LANGUAGES.map(|(it, key, _)| (key, it == settings.label_language)))),
        ]);
        for tool in tool_settings() {
            if let Some(own) = settings.tolerances.get(&tool.name) {
                values.insert(field_of(&tool), own.to_string());
            }
        }
        Self { values, wrongs: Wrongs::default() }
    }
}

/// Name and `id` of a tool's field: "tol-phone-level".
pub(super) fn field_of(tool: &ToolSetting) -> String {
    format!("tol-{}", tool.name.replace(' ', "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(extra: &[(&str, &str)]) -> Typed {
        let plain = [("workshop", " Millrace "), ("drawn_by", ""), ("length", "inch"), ("language", "de")];
        Typed::new(
            plain.iter().chain(extra).map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect(),
        )
    }

    #[test]
    fn what_is_typed_is_read_in_its_own_unit() {
        let settings =
            typed(&[("tol-tape", "0,1 cm"), ("tol-phone-level", "0.5°")]).read().expect("nothing is wrong");
        assert_eq!(settings.workshop, "Millrace");
        assert!(settings.length == LengthUnit::Inch && settings.label_language == Language::German);
        assert_eq!(settings.tolerances.get("tape"), Some(&1.0));
        assert!((settings.tolerances["phone level"] - 0.5).abs() < 1e-12);
        assert_eq!(settings.tolerances.len(), 2);
    }

    #[test]
    fn an_empty_field_and_the_tables_own_value_are_the_tables() {
        let settings = typed(&[("tol-tape", " "), ("tol-ruler", "1 mm")]).read().expect("nothing is wrong");
        assert!(settings.tolerances.is_empty());
    }

    #[test]
    fn each_fault_is_noted_at_its_field_and_the_typing_is_kept() {
        let mut form = typed(&[
            ("tol-tape", "two"),
            ("tol-ruler", "0"),
            ("tol-calliper", "1 kg"),
            ("tol-feeler", "1e9"),
            ("language", "xx"),
            ("workshop", "a\u{7}b"),
        ]);
        assert!(form.read().is_none());
        for field in ["tol-tape", "tol-ruler", "tol-calliper", "tol-feeler", "language", "workshop"] {
            assert!(form.wrongs.of(field).is_some(), "{field}");
        }
        assert_eq!(form.value("tol-tape"), "two");
    }

    #[test]
    fn what_is_saved_is_what_the_form_shows_again() {
        let settings = typed(&[("tol-photo-angle", "3")]).read().expect("nothing is wrong");
        let again = Typed::from(&settings).read().expect("nothing is wrong");
        assert_eq!(again.tolerances, settings.tolerances);
        assert_eq!(again.tolerances.get("photo angle"), Some(&3.0));
        assert!(again.length == settings.length && again.label_language == settings.label_language);
    }
}
