//! Writing a linkage as TOML. Reading it again gives the same linkage.

use std::fmt::Write;

use toml_edit::{Key, Value};

use super::{Chip, Linkage, Point};
use crate::fact::Fact;
use crate::record::print::{how, literal, number};

impl Linkage {
    /// Writes it below its headings.
    pub(in crate::record) fn write(&self, out: &mut String) {
        let _ = writeln!(out, "\n[linkage]\naxle = {}", text(&self.axle));
        if let Some(caliper) = &self.caliper {
            let _ = writeln!(out, "caliper = {}", text(caliper));
        }
        let _ = writeln!(out, "shock = {}", names(&self.shock));
        out.push_str("\n[linkage.points]\n");
        for point in &self.points {
            let _ = writeln!(out, "{} = {}", Key::new(&point.name), of_point(point));
        }
        for distance in &self.distances {
            let value = literal(&distance.value.text);
            let _ = writeln!(out, "\n[[linkage.distance]]\nbetween = {}", names(&distance.between));
            let _ = writeln!(out, "value = {value}");
            for part in how(&distance.value) {
                let _ = writeln!(out, "{part}");
            }
        }
        if let Some(chip) = &self.chip {
            of_chip(chip, out);
        }
    }
}

fn text(text: &str) -> String {
    Value::from(text).to_string().trim().to_owned()
}

fn names(names: &[String]) -> String {
    format!("[{}]", names.iter().map(|name| text(name)).collect::<Vec<_>>().join(", "))
}

fn pair(x: &Fact, y: &Fact) -> String {
    format!("[{}, {}]", literal(&x.text), literal(&y.text))
}

fn of_point(point: &Point) -> String {
    let mut out = format!("{{ at = {}, on = {}", pair(&point.x, &point.y), names(&point.on));
    if let Some(line) = &point.slides {
        // A bare angle is known as its point is.
        let alike = line.known == point.x.known && line.with == point.x.with && line.tolerance.is_none();
        let told = match (alike, how(line)) {
            (true, _) => literal(&line.text),
            (false, how) if how.is_empty() => {
                format!("{{ value = {}, known = \"published\" }}", literal(&line.text))
            }
            (false, _) => number(line),
        };
        let _ = write!(out, ", slides = {told}");
    }
    if let Some(idler) = &point.idler {
        let chain = if idler.over { "" } else { ", chain = \"under\"" };
        let _ = write!(out, ", teeth = {}{chain}", idler.teeth);
    }
    for part in how(&point.x) {
        let _ = write!(out, ", {part}");
    }
    out.push_str(" }");
    out
}

fn of_chip(chip: &Chip, out: &mut String) {
    let _ = writeln!(out, "\n[linkage.chip]\nmoves = {}", text(&chip.moves));
    if let Some(part) = &chip.part {
        let _ = writeln!(out, "in = {}", text(part));
    }
    let _ = writeln!(out, "now = {}", text(&chip.now));
    let places: Vec<String> = chip
        .places
        .iter()
        .map(|place| format!("{} = {}", Key::new(&place.name), pair(&place.x, &place.y)))
        .collect();
    let _ = writeln!(out, "places = {{ {} }}", places.join(", "));
    // The present place is exact by definition; how the others are known is written once for all.
    let told = chip.places.iter().find(|place| place.name != chip.now).or(chip.places.first());
    if let Some(place) = told {
        for part in how(&place.x) {
            let _ = writeln!(out, "{part}");
        }
    }
}
