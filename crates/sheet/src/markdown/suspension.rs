//! The rear suspension through its travel, as a table and sentences.

use super::escape::escaped;
use super::{Side, bullets, table, with_source};
use crate::figure::ride_cell;
use crate::sheet::Sheet;

pub(super) fn part(sheet: &Sheet) -> String {
    let Some(ride) = &sheet.ride else { return String::new() };
    let rows = ride.rows.iter().map(|row| {
        let mut cells = vec![row.label.clone()];
        cells.extend(row.cells.iter().map(|cell| ride_cell(cell, &row.unit)));
        cells
    });
    let sides = [Side::Left, Side::Right, Side::Right, Side::Right];
    let figures = table(&["Quantity", "Full extension", "Sag", "Full travel"], &sides, rows);
    let meanings: Vec<String> = ride
        .charts
        .iter()
        .map(|chart| {
            format!("- **{}:** {}", escaped(&chart.label), with_source(&chart.words(), chart.meaning.source))
        })
        .collect();
    let path = if ride.path.is_empty() { String::new() } else { escaped(&ride.path) };
    let note = if ride.rows.is_empty() { String::new() } else { escaped(&ride.note) };
    let parts = [figures, note, path, bullets(&ride.springs), meanings.join("\n"), bullets(&ride.untold)];
    let written: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    written.join("\n\n")
}
