//! The parts that work one thing out in depth, as sentences and tables.

use super::escape::escaped;
use super::{Side, table, with_source};
use crate::part::Part;

pub(super) fn part(part: &Part) -> String {
    let sentences: Vec<String> = part.sentences.iter().map(|sentence| escaped(sentence)).collect();
    let tables = part.tables.iter().map(|listed| {
        let head: Vec<&str> = listed.head.iter().map(String::as_str).collect();
        let mut sides = vec![Side::Right; head.len()];
        sides[0] = Side::Left;
        format!("**{}**\n\n{}", escaped(&listed.title), table(&head, &sides, listed.rows.iter().cloned()))
    });
    let notes: Vec<String> =
        part.notes.iter().map(|note| format!("- {}", with_source(&note.text, note.source))).collect();
    let mut all = vec![format!("## {}", escaped(&part.title)), sentences.join(" ")];
    all.extend(tables);
    all.push(notes.join("\n"));
    all.retain(|piece| !piece.is_empty());
    all.join("\n\n")
}
