//! The settings as a page.

use knockon_desk::Role;
use knockon_trade::fact::{ToolSetting, tool_settings};
use knockon_trade::units::Dimension;
use maud::{Markup, html};

use super::accounts::People;
use super::values::{LANGUAGES, LENGTHS, LONGEST_NAME, Typed, field_of};
use crate::pages::form::Line;
use crate::pages::layout::{self, Room};
use crate::pages::time::ago;
use crate::visitor::Visitor;

const WORKSHOP: Line = Line {
    name: "workshop",
    label: "Workshop",
    kind: "text",
    fill: "organization",
    hint: "Stands in the title block of every sheet.",
    longest: LONGEST_NAME,
};
const DRAWN_BY: Line = Line {
    name: "drawn_by",
    label: "Drawn by",
    kind: "text",
    fill: "name",
    hint: "Whoever signs the sheets. Without accounts, the history names them too.",
    longest: LONGEST_NAME,
};
const NEW_NAME: Line =
    Line { name: "new-name", label: "Name", kind: "text", fill: "off", hint: "", longest: 60 };
const NEW_PASSWORD: Line = Line {
    name: "new-password",
    label: "Password",
    kind: "password",
    fill: "new-password",
    hint: "Long rather than clever: four unrelated words are good.",
    longest: 1000,
};

/// What the page says after something was done; nothing for any other word.
pub(super) fn done(word: &str) -> Option<&'static str> {
    Some(match word {
        "saved" => {
            "Saved. Sheets that are published from now on use these settings; earlier ones stay as they are."
        }
        "added" => "The account was added.",
        "removed" => "The account was removed, and its sessions have ended.",
        "password" => "The new password holds, and that account’s sessions have ended.",
        _ => return None,
    })
}

/// The whole page.
pub(super) fn page(visitor: &Visitor, typed: &Typed, people: &People, done: Option<&str>) -> Markup {
    let body = html! {
        h1 { "Settings" }
        @if let Some(done) = done { p.notice role="status" { (done) } }
        (typed.wrongs.summary())
        (people.wrongs.summary())
        div.settings {
            (values(visitor, typed))
            (accounts(visitor, people))
        }
    };
    layout::page(visitor, Room::Settings, "Settings", body)
}

fn values(visitor: &Visitor, typed: &Typed) -> Markup {
    html! {
        form method="post" action="/settings" {
            fieldset disabled[!visitor.may_write()] {
                section.fields aria-labelledby="sheets" {
                    h2 id="sheets" { "On the sheets" }
                    (WORKSHOP.show(typed.value("workshop"), &typed.wrongs))
                    (DRAWN_BY.show(typed.value("drawn_by"), &typed.wrongs))
                    (lengths(typed))
                    (languages(typed))
                }
                section aria-labelledby="tools" {
                    h2 id="tools" { "What your tools are worth" }
                    p.quiet {
                        "The tolerance of a measurement, ± at 95 %, where a record names the tool and not the tolerance. "
                        "An empty field takes the table’s value."
                    }
                    (tolerances(typed))
                }
            }
            @if visitor.may_write() { div.actions { button.primary { "Save settings" } } }
        }
    }
}

fn lengths(typed: &Typed) -> Markup {
    html! {
        fieldset.field id="length" {
            legend { "Lengths in" }
            div {
                @for (_, key, words) in LENGTHS {
                    label.choice {
                        input type="radio" name="length" value=(key) checked[typed.value("length") == key];
                        (words)
                    }
                }
            }
            (typed.wrongs.below("length"))
        }
    }
}

fn languages(typed: &Typed) -> Markup {
    html! {
        div.field {
            label for="language" { "Language of the units’ labels" }
            select id="language" name="language" {
                @for (_, key, words) in LANGUAGES {
                    option value=(key) lang=(key) selected[typed.value("language") == key] { (words) }
                }
            }
            (typed.wrongs.below("language"))
        }
    }
}

fn tolerances(typed: &Typed) -> Markup {
    html! {
        table.tolerances {
            thead { tr { th scope="col" { "Tool" } th scope="col" { "±" } th scope="col" { "The table’s value comes from" } } }
            tbody {
                @for tool in tool_settings() {
                    @let field = field_of(&tool);
                    @let wrong = typed.wrongs.of(&field).is_some();
                    tr {
                        th scope="row" { label for=(field) { (tool.name) } }
                        td {
                            input id=(field) name=(field) value=(typed.value(&field)) placeholder=(tool.value)
                                inputmode="decimal" autocomplete="off" maxlength="20"
                                aria-describedby={ (field) "-source" @if wrong { " " (field) "-wrong" } }
                                aria-invalid=[wrong.then_some("true")];
                            span.unit { (tool.dimension.edge_unit()) }
                            (typed.wrongs.below(&field))
                        }
                        td.source id={ (field) "-source" } { (amount(&tool)) ": " (tool.source) }
                    }
                }
            }
        }
    }
}

/// The table's value with its unit: "2 mm", "0.2°".
fn amount(tool: &ToolSetting) -> String {
    let gap = if tool.dimension == Dimension::Angle { "" } else { "\u{a0}" };
    format!("{}{gap}{}", tool.value, tool.dimension.edge_unit())
}

fn accounts(visitor: &Visitor, people: &People) -> Markup {
    html! {
        section aria-labelledby="accounts" {
            h2 id="accounts" { "Accounts" }
            @if people.accounts.is_empty() {
                p.quiet {
                    "There are none: whoever sits at this machine may do everything, and no other machine is let in. "
                    "With the first account, everybody has to log in."
                }
            }
            ul.bare.accounts {
                @for account in &people.accounts {
                    li {
                        div.who {
                            strong { (account.name) }
                            span.quiet { (role_words(account.role)) ", made " (ago(account.made)) }
                        }
                        @if visitor.may_write() { (change(&account.name)) }
                    }
                }
            }
            @if visitor.may_write() { (add(people)) }
        }
    }
}

/// New password and removal, folded away until wanted.
fn change(name: &str) -> Markup {
    html! {
        details {
            summary { "Change " (name) }
            form.fields method="post" action="/settings/accounts/password" {
                input type="hidden" name="name" value=(name);
                label.field { span.label { "New password for " (name) }
                    input type="password" name="password" autocomplete="new-password" required maxlength="1000"; }
                div { button { "Set password" } }
            }
            form method="post" action="/settings/accounts/remove" {
                input type="hidden" name="name" value=(name);
                label.choice { input type="checkbox" name="sure" value="yes" required; "Yes, remove " (name) }
                button.danger { "Remove account" }
            }
        }
    }
}

fn add(people: &People) -> Markup {
    html! {
        form.fields method="post" action="/settings/accounts" {
            h3 { "Add an account" }
            (NEW_NAME.show(&people.typed_name, &people.wrongs))
            (NEW_PASSWORD.show("", &people.wrongs))
            div.field {
                label for="new-role" { "May" }
                select id="new-role" name="new-role" {
                    @for role in [Role::Answer, Role::Read] {
                        @let read = role == Role::Read;
                        option value=(if read { "read" } else { "answer" }) selected[read == people.typed_read] {
                            (role_words(role))
                        }
                    }
                }
                (people.wrongs.below("new-role"))
            }
            div { button { "Add account" } }
        }
    }
}

fn role_words(role: Role) -> &'static str {
    match role {
        Role::Answer => "read and answer",
        Role::Read => "read only",
    }
}
