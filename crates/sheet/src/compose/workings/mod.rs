//! From workings to parts of the sheet: gears, chain, ways to lay it, brakes, wheels; and a bolt, which belongs to no bike.

mod brakes;
mod chain;
mod gears;
mod layouts;
mod torque;
mod wheel;

use knockon_trade::findings::Findings;

pub use self::torque::{CAUTIONS, torque};
use super::figures::number;
use crate::sheet::{Note, Sheet};
use crate::units::Units;

/// Adds the parts to a sheet that is otherwise finished.
pub(super) fn add(sheet: &mut Sheet, findings: &Findings, units: Units) {
    let mut parts = Vec::new();
    {
        let mut writer = Writer { units, sources: &mut sheet.sources };
        let workings = &findings.workings;
        parts.extend(workings.gears.as_ref().map(|gears| gears::part(&mut writer, findings, gears)));
        parts.extend(workings.chain.as_ref().map(|chain| chain::part(&mut writer, findings, chain)));
        parts.extend(layouts::part(&mut writer, &workings.layouts));
        parts.extend(workings.brakes.as_ref().map(|brakes| brakes::part(&mut writer, brakes)));
        parts.extend(wheel::part(&mut writer, &workings.wheels));
    }
    sheet.parts = parts;
}

/// Puts figures into the sheet's units and numbers sources.
struct Writer<'a> {
    units: Units,
    sources: &'a mut Vec<String>,
}

impl Writer<'_> {
    /// A sentence or a cell in the sheet's units.
    fn say(&self, text: impl AsRef<str>) -> String {
        self.units.sentence(text.as_ref())
    }

    /// A sentence with the number of its source.
    fn note(&mut self, text: impl AsRef<str>, source: &str) -> Note {
        let at = self.sources.iter().position(|known| known == source).unwrap_or_else(|| {
            self.sources.push(source.to_owned());
            self.sources.len() - 1
        });
        Note { text: self.say(text), source: at + 1 }
    }
}

/// A figure, or a dash where it is not known.
fn cell(value: Option<f64>, decimals: i32) -> String {
    value.map_or_else(|| "–".to_owned(), |value| number(value, decimals))
}

/// The same with a length's unit behind it, so that it can be put into the sheet's.
fn length(value: Option<f64>, decimals: i32) -> String {
    value.map_or_else(|| "–".to_owned(), |value| format!("{} mm", number(value, decimals)))
}

/// "a → b" where both are known and differ, else the one that is.
fn moved(before: &str, after: &str) -> String {
    if before == after || before == "–" { after.to_owned() } else { format!("{before} → {after}") }
}
