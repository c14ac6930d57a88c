//! One part of an answer by itself: gears, chain, brakes, wheels, a bolt.

use knockon_trade::findings::Findings;
use knockon_trade::workings::torque::{BoltWork, JointRow};
use serde::Serialize;

use crate::compose::workings::{CAUTIONS, torque};
use crate::json::depth;
use crate::part::Part;
use crate::sheet::Sheet;
use crate::text::Style;
use crate::text::lines::{Ink, Lines};
use crate::text::parts;

/// The parts of a sheet with these names, its limits that are broken, what to ask, every caution, and their sources; `None` where it
/// has none of them.
pub fn depth(sheet: &Sheet, names: &[&str], width: usize, style: Style) -> Option<String> {
    let wanted: Vec<Part> = sheet.parts.iter().filter(|part| names.contains(&part.id)).cloned().collect();
    if wanted.is_empty() {
        return None;
    }
    let (wanted, from) = renumbered(wanted, &sheet.sources);
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Quiet, "", &sheet.title.bike);
    page.paragraph(Ink::Strong, "", &sheet.title.question);
    for part in &wanted {
        parts::part(&mut page, part);
    }
    if !sheet.cautions.is_empty() {
        page.heading("Caution");
    }
    for note in &sheet.cautions {
        page.led(Ink::Caution, "!  ", Ink::Caution, &note.text);
    }
    sources(&mut page, &from);
    Some(page.finish())
}

/// The parts with only the sources that they cite, numbered from 1.
fn renumbered(mut parts: Vec<Part>, all: &[String]) -> (Vec<Part>, Vec<String>) {
    let mut used: Vec<usize> = Vec::new();
    for note in parts.iter_mut().flat_map(|part| &mut part.notes) {
        let at = used.iter().position(|known| *known == note.source).unwrap_or_else(|| {
            used.push(note.source);
            used.len() - 1
        });
        note.source = at + 1;
    }
    let from = used.into_iter().filter_map(|number| all.get(number.checked_sub(1)?).cloned());
    (parts, from.collect())
}

fn sources(page: &mut Lines, sources: &[String]) {
    page.heading("Sources");
    for (index, source) in sources.iter().enumerate() {
        page.led(Ink::Quiet, &format!("[{}] ", index + 1), Ink::Quiet, source);
    }
}

#[derive(Serialize)]
struct Object<'a> {
    bike: String,
    changes: Vec<String>,
    in_depth: depth::InDepth<'a>,
    cautions: Vec<&'a str>,
}

/// Everything in depth as one JSON object.
///
/// # Panics
/// Never: the figures are numbers.
pub fn depth_json(findings: &Findings) -> String {
    let object = Object {
        bike: findings.question.record.title(),
        changes: findings.question.changes.iter().map(ToString::to_string).collect(),
        in_depth: depth::part(&findings.workings),
        cautions: findings.cautions.iter().map(|(caution, _)| caution.text.as_str()).collect(),
    };
    serde_json::to_string_pretty(&object).expect("the figures are numbers")
}

/// Joints and a bolt, with every caution.
pub fn bolts(joints: &[&JointRow], bolt: Option<&BoltWork>, width: usize, style: Style) -> String {
    let (part, from) = torque(joints, bolt);
    let mut page = Lines::new(width, style);
    parts::part(&mut page, &part);
    page.heading("Caution");
    for caution in CAUTIONS {
        page.led(Ink::Caution, "!  ", Ink::Caution, caution);
    }
    sources(&mut page, &from);
    page.finish()
}

/// The same as one JSON object.
///
/// # Panics
/// Never: the figures are numbers.
pub fn bolts_json(joints: &[&JointRow], bolt: Option<&BoltWork>) -> String {
    serde_json::to_string_pretty(&depth::torque(joints, bolt, &CAUTIONS)).expect("the figures are numbers")
}
