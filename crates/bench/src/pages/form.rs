//! Pieces of forms: what was typed, what is wrong with it, and how both are shown.

use maud::{Markup, html};

/// What is wrong with one field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// The field's `id`.
    pub field: String,
    /// What is wrong and how to mend it, in a sentence.
    pub words: String,
}

/// Everything that is wrong with a form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wrongs(Vec<Wrong>);

impl Wrongs {
    /// Notes one more.
    pub fn add(&mut self, field: impl Into<String>, words: impl Into<String>) {
        self.0.push(Wrong { field: field.into(), words: words.into() });
    }

    /// One alone.
    pub fn one(field: impl Into<String>, words: impl Into<String>) -> Self {
        let mut wrongs = Self::default();
        wrongs.add(field, words);
        wrongs
    }

    /// True when nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What is wrong with a field, if anything.
    pub fn of(&self, field: &str) -> Option<&str> {
        self.0.iter().find(|wrong| wrong.field == field).map(|wrong| wrong.words.as_str())
    }

    /// The list at the head of the form, each entry leading to its field.
    pub fn summary(&self) -> Markup {
        html! {
            @if !self.0.is_empty() {
                div.fault-summary role="alert" tabindex="-1" {
                    h2 { "Please mend this" }
                    ul { @for wrong in &self.0 { li { a href={ "#" (wrong.field) } { (wrong.words) } } } }
                }
            }
        }
    }

    /// The words below a field.
    pub fn below(&self, field: &str) -> Markup {
        html! { @if let Some(words) = self.of(field) { span.wrong id={ (field) "-wrong" } { (words) } } }
    }
}

/// A field of one line.
#[derive(Clone, Copy, Debug)]
pub struct Line<'a> {
    /// Name and `id`.
    pub name: &'a str,
    /// What stands above it.
    pub label: &'a str,
    /// What kind of input, and what a browser may fill in.
    pub kind: &'a str,
    /// The browser's `autocomplete`.
    pub fill: &'a str,
    /// Help below the label.
    pub hint: &'a str,
    /// Most characters.
    pub longest: u16,
}

impl Line<'_> {
    /// The field with what was typed into it.
    pub fn show(&self, typed: &str, wrongs: &Wrongs) -> Markup {
        let wrong = wrongs.of(self.name).is_some();
        let hint = (!self.hint.is_empty()).then(|| format!("{}-hint", self.name));
        let about = [hint.clone(), wrong.then(|| format!("{}-wrong", self.name))];
        let about = about.into_iter().flatten().collect::<Vec<_>>().join(" ");
        html! {
            div.field {
                label for=(self.name) { (self.label) }
                @if let Some(hint) = &hint { span.hint id=(hint) { (self.hint) } }
                input id=(self.name) name=(self.name) type=(self.kind) value=(typed) maxlength=(self.longest)
                    autocomplete=(self.fill) aria-describedby=[(!about.is_empty()).then_some(&about)]
                    aria-invalid=[wrong.then_some("true")];
                (wrongs.below(self.name))
            }
        }
    }
}
