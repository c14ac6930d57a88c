//! What a working page shows, and what it ought to show.

use knockon_trade::findings::answer;
use knockon_trade::question::{Question, read_changes};
use serde_json::json;

use crate::page::Page;
use crate::site::Site;
use crate::wait::until;

/// Figures of a row of the table of what moves, in the order in which they stand: before, after, difference …
pub fn row(page: &Page, label: &str) -> Vec<String> {
    let cells = page.try_js(&format!(
        "[...document.querySelectorAll('main tr')] \
             .filter(row => row.querySelector('th')?.innerText === {}) \
             .flatMap(row => [...row.querySelectorAll('td')].map(cell => cell.textContent))",
        json!(label)
    ));
    let cells = cells.unwrap_or_default();
    cells.as_array().into_iter().flatten().map(|cell| cell.as_str().unwrap_or_default().to_owned()).collect()
}

/// A figure as a number: with a true minus sign, perhaps with a unit.
pub fn number(figure: &str) -> Option<f64> {
    figure.replace('−', "-").trim_end_matches(['°', '%']).trim().parse().ok()
}

/// The difference of a quantity by the one function that answers questions, straight from the record.
pub fn exact(site: &Site, bike: &str, changes: &str, quantity: &str) -> f64 {
    let record = site.desk.bike(site.bike(bike)).expect("the bike").record().expect("its record");
    let lines: Vec<&str> = changes.lines().collect();
    let changes = read_changes(&lines).expect("the changes can be read").changes;
    let findings = answer(Question { asked: String::new(), record, changes, inspections: Vec::new() })
        .expect("an answer");
    let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity.id() == quantity);
    knock_on.and_then(|knock_on| knock_on.difference).expect("the quantity is known")
}

/// Waits until a row shows a difference, rounded to whole units, in the given column.
#[track_caller]
pub fn shows(page: &Page, label: &str, column: usize, exact: f64) {
    let mut last = Vec::new();
    let found = crate::wait::patiently(|| {
        last = row(page, label);
        let shown = number(last.get(column)?)?;
        ((shown - exact).abs() <= 0.5).then_some(())
    });
    assert!(found.is_some(), "{label} should show {exact} in column {column} and shows {last:?}");
}

/// Column of the difference where there is one way.
pub const DIFFERENCE: usize = 2;

/// The wide lines of the drawing: the bike as it would be.
pub fn after_lines(page: &Page) -> String {
    until("lines of the drawing", || {
        let lines = page.try_js(
            "[...document.querySelectorAll('figure svg .kd-solid, figure svg .kd-wide')] \
                 .filter(line => line.getClientRects().length) \
                 .map(line => line.getAttribute('d') ?? line.getAttribute('cx') + ' ' + line.getAttribute('cy')).join('|')",
        );
        Some(lines.ok()?.as_str()?.to_owned()).filter(|lines| !lines.is_empty())
    })
}
