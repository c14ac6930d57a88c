//! The whole sheet in Markdown: CommonMark with the tables of GitHub Flavored Markdown.

pub(crate) mod escape;
mod parts;
mod suspension;

use crate::figure::{before_after, figure, plus_minus};
use crate::sheet::{Note, Sheet, TitleBlock};
use crate::{inspection, tone};
use escape::escaped;

/// Everything the sheet holds, in reading order. User text is escaped.
pub fn markdown(sheet: &Sheet) -> String {
    let parts = [
        title(&sheet.title),
        answer(sheet),
        section("Cautions", &numbered_notes(&sheet.cautions)),
        section("Revisions", &revisions(sheet)),
        section("What moves", &knock_ons(sheet)),
        section("Through the travel", &suspension::part(sheet)),
        in_depth(sheet),
        section("Limits", &verdicts(sheet)),
        inspections(sheet),
        section("It takes", &numbered(&sheet.takes)),
        section("Check first", &numbered(&sheet.check_first)),
        section("How sure", &bullets(&sheet.how_sure)),
        section("Ask the rider", &missing(sheet)),
        section("Assumed", &numbered_notes(&sheet.assumptions)),
        section("Sources", &sources(sheet)),
    ];
    let written: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    format!("{}\n", written.join("\n\n"))
}

fn in_depth(sheet: &Sheet) -> String {
    sheet.parts.iter().map(parts::part).collect::<Vec<_>>().join("\n\n")
}

fn inspections(sheet: &Sheet) -> String {
    sheet.inspections.iter().map(inspection::markdown_section).collect::<Vec<_>>().join("\n\n")
}

/// A heading with its body; nothing at all when the body is empty.
fn section(heading: &str, body: &str) -> String {
    if body.is_empty() { String::new() } else { format!("## {heading}\n\n{body}") }
}

fn title(title: &TitleBlock) -> String {
    let fields = [
        ("Bike", &title.bike),
        ("Workshop", &title.workshop),
        ("Drawn", &title.drawn),
        ("Sheet", &title.sheet),
        ("Frame data", &title.frame_data),
        ("Revision", &title.revision),
    ];
    let known = fields.iter().filter(|(_, value)| !value.is_empty());
    let lines: Vec<String> = known.map(|(name, value)| format!("- {name}: {}", escaped(value))).collect();
    format!(
        "# {}\n\n{}\n- Units: {}; ± is two standard uncertainties (95 %)",
        escaped(&title.question),
        lines.join("\n"),
        escaped(&title.units.replacen(", ", " and ", 1))
    )
}

fn answer(sheet: &Sheet) -> String {
    let answer = &sheet.answer;
    let sentences: Vec<String> = answer.sentences.iter().map(|sentence| escaped(sentence)).collect();
    format!("**{}:** {}\n\n{}", tone::words(answer.tone), escaped(&answer.headline), sentences.join(" "))
}

fn revisions(sheet: &Sheet) -> String {
    let rows =
        sheet.revisions.iter().map(|row| vec![row.letter.to_string(), row.label.clone(), before_after(row)]);
    table(&["Rev.", "Change", "Before → after"], &[Side::Left, Side::Left, Side::Right], rows)
}

fn knock_ons(sheet: &Sheet) -> String {
    let letters: Vec<String> = sheet.revisions.iter().map(|row| row.letter.to_string()).collect();
    let mut heads = vec!["What moves", "Before", "After", "Difference", "±"];
    heads.extend(letters.iter().map(String::as_str));
    heads.push("Noticed?");
    let mut sides = vec![Side::Right; heads.len()];
    sides[0] = Side::Left;
    let rows = sheet.knock_ons.iter().map(|row| {
        let of_row = |value: &String| figure(value, &row.unit);
        let mut cells = vec![row.label.clone()];
        cells.extend([&row.before, &row.after, &row.difference].map(of_row));
        cells.push(plus_minus(row));
        cells.extend((0..letters.len()).map(|index| row.shares.get(index).map(of_row).unwrap_or_default()));
        cells.push(row.noticed.clone());
        cells
    });
    let moved = table(&heads, &sides, rows);
    if sheet.unmoved.is_empty() {
        return moved;
    }
    let unmoved: Vec<String> = sheet.unmoved.iter().map(|name| escaped(name)).collect();
    format!("{moved}\n\nDid not move: {}.", unmoved.join(", ")).trim_start().to_owned()
}

fn verdicts(sheet: &Sheet) -> String {
    let lines: Vec<String> = sheet
        .verdicts
        .iter()
        .map(|row| {
            let sentence = with_source(&row.sentence, row.source);
            format!("- **{}:** {}. {sentence}", tone::words(row.tone), escaped(&row.label))
        })
        .collect();
    lines.join("\n")
}

fn missing(sheet: &Sheet) -> String {
    let lines: Vec<String> = sheet
        .missing
        .iter()
        .map(|row| {
            format!(
                "- {}\n  How: {} Needed for: {}",
                escaped(&row.ask),
                escaped(&row.how),
                escaped(&row.needed_for)
            )
        })
        .collect();
    lines.join("\n")
}

fn sources(sheet: &Sheet) -> String {
    // Written out rather than left to the list's numbering: [n] in the text means this n.
    let lines: Vec<String> = sheet
        .sources
        .iter()
        .enumerate()
        .map(|(index, source)| format!("- \\[{}\\] {}", index + 1, escaped(source)))
        .collect();
    lines.join("\n")
}

fn numbered(items: &[String]) -> String {
    list(items.iter().map(|item| escaped(item)))
}

fn numbered_notes(notes: &[Note]) -> String {
    list(notes.iter().map(|note| with_source(&note.text, note.source)))
}

fn list(items: impl Iterator<Item = String>) -> String {
    let lines: Vec<String> =
        items.enumerate().map(|(index, item)| format!("{}. {item}", index + 1)).collect();
    lines.join("\n")
}

fn bullets(items: &[String]) -> String {
    let lines: Vec<String> = items.iter().map(|item| format!("- {}", escaped(item))).collect();
    lines.join("\n")
}

fn with_source(text: &str, source: usize) -> String {
    if source == 0 { escaped(text) } else { format!("{} \\[{source}\\]", escaped(text)) }
}

/// How a column is set.
#[derive(Clone, Copy)]
enum Side {
    Left,
    Right,
}

/// A table; nothing when it has no rows.
fn table(heads: &[&str], sides: &[Side], rows: impl Iterator<Item = Vec<String>>) -> String {
    let line = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
    let mut lines: Vec<String> =
        rows.map(|cells| line(cells.iter().map(|cell| escaped(cell)).collect())).collect();
    if lines.is_empty() {
        return String::new();
    }
    let rule = sides.iter().map(|side| match side {
        Side::Left => ":---".to_owned(),
        Side::Right => "---:".to_owned(),
    });
    lines.insert(0, line(rule.collect()));
    lines.insert(0, line(heads.iter().map(|head| (*head).to_owned()).collect()));
    lines.join("\n")
}

#[cfg(test)]
mod tests;
