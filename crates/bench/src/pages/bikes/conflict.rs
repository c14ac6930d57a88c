//! Somebody else saved a newer version meanwhile: both are shown, nothing is lost, nothing is saved unseen.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use knockon_desk::BikeVersion;
use knockon_trade::fact::Known;
use knockon_trade::record::edit::{Entry, entries, set};
use maud::{Markup, html};

use super::edit::save_bar;
use super::history::said_why;
use super::{difference, form, text, title};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::layout::{self, Room};
use crate::pages::time::ago;
use crate::visitor::Visitor;

/// What somebody wanted to save.
pub struct Mine<'a> {
    /// The whole text.
    pub text: &'a str,
    /// The version that was edited.
    pub base: &'a BikeVersion,
    /// What was said about it.
    pub why: &'a str,
    /// True where it comes from the form, so that it differs from `base` in fields only.
    pub by_form: bool,
}

/// A field that the two versions do not tell alike.
struct Differing {
    key: &'static str,
    base: String,
    theirs: String,
    mine: String,
    both: bool,
}

/// Both versions, and a text to go on with: the newest one with the fields that were changed in the form; or, where the
/// whole text was edited, that text.
pub async fn page(app: &App, visitor: &Visitor, mine: &Mine<'_>) -> Result<Response, Fault> {
    let id = mine.base.bike;
    let newest = app.desk(move |desk| desk.bike(id)).await?;
    let together = mine.by_form.then(|| together(&mine.base.text, mine.text, &newest.text)).flatten();
    let page = view(visitor, mine, &newest, together.as_deref());
    Ok((StatusCode::CONFLICT, page).into_response())
}

/// `theirs` with every field that `mine` changed from `base`; `None` where that is no record.
fn together(base: &str, mine: &str, theirs: &str) -> Option<String> {
    let (before, after) = (entries(base).ok()?, entries(mine).ok()?);
    let mut text = theirs.to_owned();
    for key in keys(&[&before, &after]) {
        if before.get(key) != after.get(key) {
            text = set(&text, key, after.get(key)).ok()?;
        }
    }
    Some(text)
}

fn keys(all: &[&BTreeMap<&'static str, Entry>]) -> Vec<&'static str> {
    let mut keys: Vec<&'static str> = all.iter().flat_map(|entries| entries.keys().copied()).collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

fn differing(base: &str, mine: &str, theirs: &str) -> Vec<Differing> {
    let (Ok(base), Ok(mine), Ok(theirs)) = (entries(base), entries(mine), entries(theirs)) else {
        return Vec::new();
    };
    keys(&[&base, &mine, &theirs])
        .into_iter()
        .filter(|key| mine.get(key) != theirs.get(key))
        .map(|key| Differing {
            key,
            base: told(base.get(key)),
            theirs: told(theirs.get(key)),
            mine: told(mine.get(key)),
            both: mine.get(key) != base.get(key) && theirs.get(key) != base.get(key),
        })
        .collect()
}

/// An entry on one line.
fn told(entry: Option<&Entry>) -> String {
    let Some(entry) = entry else { return "not told".to_owned() };
    let mut words = entry.value.clone();
    let more = [
        entry.known.filter(|known| *known != Known::Published).map(|known| known.word().to_owned()),
        entry.with.clone(),
        entry.tolerance.as_ref().map(|tolerance| format!("±{tolerance}")),
    ];
    let more: Vec<String> = more.into_iter().flatten().collect();
    if !more.is_empty() {
        words.push_str(&format!(" ({})", more.join(", ")));
    }
    words
}

fn view(visitor: &Visitor, mine: &Mine<'_>, newest: &BikeVersion, together: Option<&str>) -> Markup {
    let title = title(newest);
    let rows = differing(&mine.base.text, mine.text, &newest.text);
    let body = html! {
        h1 { (title) ": saved by two" }
        div.fault-summary role="alert" tabindex="-1" {
            h2 { "Your version is not saved yet" }
            p {
                "You edited version " (mine.base.number) ". Meanwhile " (newest.stamp.who) " saved version "
                (newest.number) " " (ago(newest.stamp.at)) (said_why(newest)) ". Both are below; nothing is lost."
            }
        }
        @if !rows.is_empty() { (table(&rows, newest)) }
        form.record-text method="post" action={ "/bikes/" (newest.bike) "/text" } data-guard {
            h2 { "Go on from here" }
            p {
                @if together.is_some() {
                    "This is version " (newest.number) " with what you changed. Where both changed the same, yours stands."
                } @else {
                    "This is your text. Take over what you want from version " (newest.number) ", then save; that version stays in the history."
                }
            }
            input type="hidden" name="version" value=(newest.number);
            (text::editor(together.unwrap_or(mine.text)))
            (save_bar(mine.why, "Save this as a new version"))
        }
        section.both {
            h2 { "From version " (newest.number) " to yours" }
            (difference::lines(&newest.text, mine.text))
            details { summary { "Version " (newest.number) " by " (newest.stamp.who) } pre.record-text { (newest.text) } }
            details { summary { "Yours, as you wanted to save it" } pre.record-text { (mine.text) } }
        }
        p { a href={ "/bikes/" (newest.bike) } { "Leave it at version " (newest.number) } }
    };
    layout::page(visitor, Room::Bikes, &format!("{title}: saved by two"), body)
}

fn table(rows: &[Differing], newest: &BikeVersion) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Fields that differ" {
            table {
                thead {
                    tr {
                        th scope="col" { "Field" } th scope="col" { "before" }
                        th scope="col" { "version " (newest.number) } th scope="col" { "yours" }
                    }
                }
                tbody {
                    @for row in rows {
                        tr {
                            th scope="row" { (form::label(row.key)) @if row.both { " " strong { "(changed by both)" } } }
                            td { (row.base) } td { (row.theirs) } td { (row.mine) }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BASE: &str = "name = \"A\"\n[stem]\nlength = 50\nangle = 6\n";

    #[test]
    fn what_each_changed_comes_together() {
        let mine = BASE.replace("50", "40");
        let theirs = format!("# Seen today.\n{}", BASE.replace("angle = 6", "angle = 17"));
        assert_eq!(together(BASE, &mine, &theirs).as_deref(), Some(theirs.replace("50", "40").as_str()));
        let rows = differing(BASE, &mine, &theirs);
        assert!(rows.iter().all(|row| !row.both) && rows.len() == 2);
    }

    #[test]
    fn where_both_changed_the_same_it_is_said() {
        let (mine, theirs) = (BASE.replace("50", "40"), BASE.replace("50", "60"));
        let rows = differing(BASE, &mine, &theirs);
        assert_eq!(rows.len(), 1);
        let row = &rows[0];
        assert_eq!(
            (row.base.as_str(), row.theirs.as_str(), row.mine.as_str(), row.both),
            ("50", "60", "40", true)
        );
    }

    #[test]
    fn what_was_taken_out_stays_out() {
        let mine = BASE.replace("angle = 6\n", "");
        assert_eq!(together(BASE, &mine, BASE).as_deref(), Some(mine.as_str()));
    }
}
