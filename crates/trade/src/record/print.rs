//! Writing a record as TOML. Reading it again gives the same record.

use std::fmt::Write;

use super::{ForkMeasured, Record, SaddleReference};
use crate::fact::{Fact, Known};
use crate::tables;

/// Headings in the order in which a record is written.
pub(super) const GROUPS: [&str; 20] = [
    "chart",
    "frame",
    "fork",
    "headset",
    "cockpit",
    "stem",
    "bar",
    "wheel.front",
    "wheel.rear",
    "saddle",
    "bottom_bracket",
    "crank",
    "pedal",
    "brake.front",
    "brake.rear",
    "drivetrain",
    "shock",
    "rear",
    "bike",
    "rider",
];

impl Record {
    /// The record as TOML.
    ///
    /// ```
    /// use knockon_trade::record::parse;
    /// let record = parse("a", "size = \"M\"\n[bar]\nrise = \"1.5 in\"").unwrap().record;
    /// assert_eq!(parse("b", &record.to_toml()).unwrap().record, record);
    /// ```
    pub fn to_toml(&self) -> String {
        let mut out = String::new();
        let text = |text: &str| toml_edit::Value::from(text).to_string().trim().to_owned();
        for (key, value) in [("name", &self.name), ("size", &self.size), ("note", &self.note)] {
            if let Some(value) = value {
                let _ = writeln!(out, "{key} = {}", text(value));
            }
        }
        if let Some(kind) = self.kind {
            let _ = writeln!(out, "kind = {}", text(kind.word()));
        }
        for group in GROUPS {
            let mut lines = String::new();
            for property in tables::properties() {
                if let Some(name) = property.key.strip_prefix(group).and_then(|rest| rest.strip_prefix('.'))
                    && let Some(fact) = self.fact(&property.key)
                {
                    let _ = writeln!(lines, "{name} = {}", number(fact));
                }
            }
            self.other_lines(group, &mut lines);
            if !lines.is_empty() {
                let _ = write!(out, "\n[{group}]\n{lines}");
            }
        }
        if let Some(linkage) = &self.linkage {
            linkage.write(&mut out);
        }
        out
    }

    fn other_lines(&self, group: &str, lines: &mut String) {
        match group {
            "fork" => {
                if let Some(measured) = self.axle_to_crown_measured {
                    let word = ForkMeasured::WORDS[measured as usize].0;
                    let _ = writeln!(lines, "axle_to_crown_measured = \"{word}\"");
                }
                if let Some([least, most]) = self.axle_to_crown_allowed {
                    let _ = writeln!(lines, "axle_to_crown_allowed = [{least}, {most}]");
                }
            }
            "wheel.front" | "wheel.rear" => {
                let tyre = if group == "wheel.front" { &self.front_tyre } else { &self.rear_tyre };
                if let Some(tyre) = tyre {
                    let _ = writeln!(lines, "tyre = \"{tyre}\"");
                }
            }
            "saddle" => {
                if let Some(reference) = self.saddle_reference {
                    let word = SaddleReference::WORDS[reference as usize].0;
                    let _ = writeln!(lines, "reference = \"{word}\"");
                }
            }
            _ => {}
        }
        for (key, series) in &self.series {
            if let Some((_, name)) = key.rsplit_once('.').filter(|(heading, _)| *heading == group) {
                let _ = writeln!(lines, "{name} = \"{series}\"");
            }
        }
        for (key, standard) in &self.ends {
            if let Some((_, name)) = key.rsplit_once('.').filter(|(heading, _)| *heading == group) {
                let _ = writeln!(lines, "{name} = \"{standard}\"");
            }
        }
    }
}

/// A number as TOML: by itself, or with how it is known.
pub(super) fn number(fact: &Fact) -> String {
    let value = literal(&fact.text);
    let how = how(fact);
    if how.is_empty() { value } else { format!("{{ value = {value}, {} }}", how.join(", ")) }
}

/// How a number is known, each part as `key = value`; none for a published one.
pub(super) fn how(fact: &Fact) -> Vec<String> {
    if fact.known == Known::Published && fact.tolerance.is_none() && fact.with.is_none() {
        return Vec::new();
    }
    let mut parts = vec![format!("known = \"{}\"", fact.known.word())];
    if let Some(with) = &fact.with {
        parts.push(format!("with = {}", toml_edit::Value::from(with.as_str()).to_string().trim()));
    }
    if let Some(tolerance) = &fact.tolerance {
        parts.push(format!("tolerance = {}", literal(tolerance)));
    }
    parts
}

/// A number as TOML: bare where TOML reads it back as the same number, quoted where it carries a unit.
pub(super) fn literal(text: &str) -> String {
    let bare = text.parse::<f64>().is_ok()
        && format!("x = {text}")
            .parse::<toml_edit::DocumentMut>()
            .is_ok_and(|document| document["x"].is_integer() || document["x"].is_float());
    if bare { text.to_owned() } else { toml_edit::Value::from(text).to_string().trim().to_owned() }
}
