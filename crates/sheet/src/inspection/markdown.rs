//! Markdown.

use super::{Heading, Inspection, NO_EYES, SIGNATURES, heading};
use crate::markdown::escape::escaped;

/// The whole sheet.
pub fn markdown(inspection: &Inspection, about: &Heading) -> String {
    let known = [("Bike", &about.bike), ("Workshop", &about.workshop), ("Written", &about.drawn)];
    let known = known.iter().filter(|(_, value)| !value.is_empty());
    let known: Vec<String> = known.map(|(name, value)| format!("- {name}: {}", escaped(value))).collect();
    let mut parts = vec![format!("# {}", escaped(&inspection.title)), known.join("\n")];
    parts.push(body(inspection, "##"));
    let cautions = inspection.cautions.iter().map(|note| escaped(&note.text));
    parts.push(format!("## Caution\n\n{}", numbered(cautions)));
    let lines: Vec<String> =
        SIGNATURES.iter().map(|line| format!("- {line}: \\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_")).collect();
    parts.push(format!("## {}\n\n{}", heading::SIGNATURES, lines.join("\n")));
    parts
        .push(format!("## Sources\n\n{}", numbered(inspection.sources.iter().map(|source| escaped(source)))));
    parts.retain(|part| !part.is_empty());
    parts.join("\n\n") + "\n"
}

/// The inspection as a part of a page; its cautions stand with the others of the page.
pub fn section(inspection: &Inspection) -> String {
    format!("## {}\n\n{}", escaped(&inspection.title), body(inspection, "###"))
}

fn body(inspection: &Inspection, level: &str) -> String {
    let mut parts = vec![escaped(&inspection.about()), format!("**{}**", escaped(&inspection.graded()))];
    parts.extend(inspection.open().map(|open| format!("**{open}**")));
    let headed =
        |name: &str, text: String| if text.is_empty() { text } else { format!("{level} {name}\n\n{text}") };
    let all = |items: &[String]| numbered(items.iter().map(|item| escaped(item)));
    parts.push(headed(heading::BECAUSE, all(&inspection.because)));
    parts.push(headed(heading::ACTIONS, all(&inspection.actions)));
    parts.push(headed(heading::RIDER, escaped(&inspection.rider)));
    let interval = inspection.interval.as_ref().map(|interval| format!("{}.", escaped(interval)));
    parts.push(headed(heading::INTERVAL, interval.unwrap_or_default()));
    let found = inspection.found.iter().map(|row| {
        let note = if row.note.is_empty() { String::new() } else { format!(" ({})", escaped(&row.note)) };
        format!("- {} **{}**{note}", escaped(&row.ask), escaped(&row.answer))
    });
    parts.push(headed(heading::FOUND, found.collect::<Vec<_>>().join("\n")));
    parts.push(headed(heading::UNCHECKED, bullets(&inspection.unchecked)));
    parts.push(headed(heading::NOT_SEEN, bullets(&inspection.not_seen)));
    parts.push(headed(heading::QUALIFIED, escaped(&inspection.qualified)));
    let photos = inspection.photos.iter().flat_map(|photo| {
        let name = if photo.caption.is_empty() { "Photo" } else { &photo.caption };
        let marks = photo.marks.iter().map(|mark| format!("  - {}", escaped(&mark.to_string())));
        [format!("- {}", escaped(name))].into_iter().chain(marks).collect::<Vec<_>>()
    });
    let photos: Vec<String> = photos.collect();
    let photos =
        if photos.is_empty() { String::new() } else { format!("{}\n\n{NO_EYES}", photos.join("\n")) };
    parts.push(headed(heading::PHOTOS, photos));
    parts.retain(|part| !part.is_empty());
    parts.join("\n\n")
}

fn numbered(items: impl Iterator<Item = String>) -> String {
    items.enumerate().map(|(index, item)| format!("{}. {item}", index + 1)).collect::<Vec<_>>().join("\n")
}

fn bullets(items: &[String]) -> String {
    items.iter().map(|item| format!("- {}", escaped(item))).collect::<Vec<_>>().join("\n")
}
