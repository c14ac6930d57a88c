//! The record's fields as they are shown: groups that fold where nothing is told.

use knockon_trade::fact::Known;
use knockon_trade::record::edit::{Field, Group, Input, form};
use knockon_trade::tables;
use knockon_trade::words::upper_first;
use maud::{Markup, html};

use super::form::{Typed, field_id};
use crate::pages::form::Wrongs;

/// Every field of a record, filled with what was typed.
pub fn groups(typed: &Typed, wrongs: &Wrongs, warnings: &Wrongs) -> Markup {
    let shown = Shown { typed, wrongs, warnings };
    html! {
        datalist id="tools" { @for tool in tools() { option value=(tool) {} } }
        @for group in form() { (shown.group(&group)) }
    }
}

/// Tools by name; the two rows that are no tools stand for what is not named.
fn tools() -> impl Iterator<Item = &'static str> {
    tables::tools()
        .iter()
        .map(|tool| tool.name.as_str())
        .filter(|name| !matches!(*name, "unnamed" | "tyre marking"))
}

#[derive(Clone, Copy)]
struct Shown<'a> {
    typed: &'a Typed,
    wrongs: &'a Wrongs,
    warnings: &'a Wrongs,
}

impl Shown<'_> {
    fn group(self, group: &Group) -> Markup {
        let told = group.fields.iter().filter(|field| !self.typed.get(field.key).trim().is_empty()).count();
        let is_wrong = group.fields.iter().any(|field| self.wrongs.of(&field_id(field.key)).is_some());
        let open = told > 0 || is_wrong || group.key.is_empty();
        let numbers = group.fields.iter().any(|field| field.input == Input::Number);
        html! {
            details.group open[open] {
                summary {
                    h2 { (group.title) }
                    span.quiet { @if told == 0 { "nothing told" } @else { (told) " of " (group.fields.len()) " told" } }
                }
                @if numbers {
                    div.columns aria-hidden="true" {
                        span {} span { "value" } span { "how known" } span { "with" } span { "±" }
                    }
                }
                @for field in &group.fields { (self.field(field)) }
            }
        }
    }

    fn field(self, field: &Field) -> Markup {
        let id = field_id(field.key);
        html! {
            div.record-field.number[field.input == Input::Number] {
                div.named {
                    label for=(id) title=(field.how) { (field.label) }
                    span.hint id={ (id) "-hint" } { (hint(field)) }
                }
                (self.control(field, &id))
                @if field.input == Input::Number { (self.known(field, &id)) }
                @if self.wrongs.of(&id).is_some() {
                    p.beneath { (self.wrongs.below(&id)) }
                } @else if let Some(warning) = self.warnings.of(&id) {
                    p.beneath.warned id={ (id) "-warned" } { (warning) }
                }
            }
        }
    }

    fn control(self, field: &Field, id: &str) -> Markup {
        let value = self.typed.get(field.key);
        let wrong = self.wrongs.of(id).map(|_| "true");
        let about = format!("{id}-hint {id}-wrong {id}-warned");
        html! {
            div.value {
                @match field.input {
                    Input::Choice => {
                        select id=(id) name=(field.key) aria-describedby=(about) aria-invalid=[wrong] {
                            option value="" { "not told" }
                            @for choice in &field.choices { option value=(choice) selected[*choice == value] { (upper_first(choice)) } }
                            @if !value.is_empty() && !field.choices.contains(&value) {
                                option value=(value) selected { (value) }
                            }
                        }
                    }
                    Input::Note => {
                        textarea id=(id) name=(field.key) rows="3" aria-describedby=(about) aria-invalid=[wrong] { "\n" (value) }
                    }
                    _ => {
                        input id=(id) name=(field.key) value=(value) autocomplete="off" spellcheck="false" maxlength="200" placeholder=" "
                            aria-describedby=(about) aria-invalid=[wrong];
                    }
                }
                @if let Some(unit) = field.unit { span.unit { (unit) } }
            }
        }
    }

    /// How a number is known, with what, and how well.
    fn known(self, field: &Field, id: &str) -> Markup {
        let part = |name| self.typed.part(field.key, name);
        let name = |part: &str| format!("{}.{part}", field.key);
        let labelled = |part: &str, words: &str| {
            html! { label for={ (id) "-" (part) } { (words) span.unseen { ": " (field.label) } } }
        };
        html! {
            div.known {
                (labelled("known", "how known"))
                select id={ (id) "-known" } name=(name("known")) data-known {
                    @for (word, _) in Known::WORDS { option value=(word) selected[word == part("known")] { (word) } }
                }
            }
            div.with {
                (labelled("with", "with"))
                input id={ (id) "-with" } name=(name("with")) value=(part("with")) list="tools" autocomplete="off"
                    maxlength="60" data-with;
            }
            div.tolerance {
                (labelled("tolerance", "±"))
                input id={ (id) "-tolerance" } name=(name("tolerance")) value=(part("tolerance")) autocomplete="off"
                    inputmode="decimal" maxlength="20";
            }
        }
    }
}

/// What is usual, or what somebody might type.
fn hint(field: &Field) -> String {
    match (field.usual, field.unit) {
        (Some([least, most]), Some("°")) => format!("usual {}° to {}°", minus(least), minus(most)),
        (Some([least, most]), Some(unit)) => format!("usual {} to {} {unit}", minus(least), minus(most)),
        _ if field.input == Input::Choice => String::new(),
        _ => format!("such as {}", field.example),
    }
}

fn minus(value: f64) -> String {
    value.to_string().replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_control_has_a_label_and_every_id_stands_once() {
        let page = groups(&Typed::default(), &Wrongs::default(), &Wrongs::default()).into_string();
        let controls: Vec<&str> = ["<input", "<select", "<textarea"]
            .iter()
            .flat_map(|tag| page.split(tag).skip(1))
            .map(|rest| rest.split("id=\"").nth(1).and_then(|id| id.split('"').next()).expect("an id"))
            .collect();
        assert!(controls.len() > 200, "{}", controls.len());
        for id in controls {
            assert_eq!(page.matches(&format!(" id=\"{id}\"")).count(), 1, "{id}");
            assert_eq!(page.matches(&format!("for=\"{id}\"")).count(), 1, "{id}");
        }
    }

    #[test]
    fn a_group_with_a_fault_is_open() {
        let page =
            groups(&Typed::default(), &Wrongs::one("f-stem-length", "no"), &Wrongs::default()).into_string();
        assert_eq!(page.matches("<details class=\"group\" open>").count(), 2, "the bike itself and the stem");
    }
}
