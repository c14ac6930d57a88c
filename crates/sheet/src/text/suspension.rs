//! The rear suspension through its travel, as a table and sentences.

use super::lines::{Ink, Lines, columns};
use super::with_source;
use crate::figure::ride_cell;
use crate::ride::Ride;
use crate::sheet::Sheet;

const STATIONS: [&str; 3] = ["full extension", "sag", "full travel"];

/// Columns between two figures.
const GUTTER: usize = 2;

pub(super) fn part(page: &mut Lines, sheet: &Sheet) {
    let Some(ride) = &sheet.ride else { return };
    page.heading("Through the travel");
    figures(page, ride);
    page.gap();
    if !ride.rows.is_empty() {
        page.paragraph(Ink::Quiet, "", &ride.note);
    }
    for sentence in [&ride.path].into_iter().chain(&ride.springs).chain(&ride.untold) {
        if !sentence.is_empty() {
            page.paragraph(Ink::Plain, "", sentence);
        }
    }
    for chart in &ride.charts {
        let meaning = with_source(&chart.words(), chart.meaning.source);
        page.paragraph(Ink::Quiet, "", &format!("{}: {meaning}", chart.label));
    }
}

/// In columns where they have room, else a row's figures below its name.
fn figures(page: &mut Lines, ride: &Ride) {
    let rows: Vec<(&str, [String; 3])> = ride
        .rows
        .iter()
        .map(|row| {
            let cell = |at: usize| ride_cell(&row.cells[at], &row.unit).replace('\u{a0}', " ");
            (row.label.as_str(), [cell(0), cell(1), cell(2)])
        })
        .collect();
    let label = rows.iter().map(|(label, _)| columns(label)).max().unwrap_or(0);
    let widths = [0, 1, 2].map(|at: usize| {
        let cells = rows.iter().map(|(_, cells)| columns(&cells[at]));
        cells.chain([columns(STATIONS[at])]).max().unwrap_or(0)
    });
    let set = |text: &str, width: usize| {
        format!("{}{text}", " ".repeat((width + GUTTER).saturating_sub(columns(text))))
    };
    let padded = |text: &str| format!("{text}{}", " ".repeat(label.saturating_sub(columns(text))));
    if label + widths.iter().map(|width| width + GUTTER).sum::<usize>() <= page.width {
        let heads = [0, 1, 2].map(|at: usize| set(STATIONS[at], widths[at]));
        page.line(&[(Ink::Quiet, &padded("")), (Ink::Quiet, &heads.concat())]);
        for (label, cells) in &rows {
            let cells = [0, 1, 2].map(|at: usize| set(&cells[at], widths[at]));
            page.line(&[(Ink::Plain, &padded(label)), (Ink::Plain, &cells.concat())]);
        }
        return;
    }
    for (label, cells) in &rows {
        page.paragraph(Ink::Plain, "", label);
        for (station, cell) in STATIONS.iter().zip(cells).filter(|(_, cell)| !cell.is_empty()) {
            page.paragraph(Ink::Plain, "  ", &format!("{station}: {cell}"));
        }
    }
}
