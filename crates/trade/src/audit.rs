//! What a chart's rows disagree about.

use crate::build::{Build, Origin};

/// One row of an audit.
#[derive(Clone, Debug, PartialEq)]
pub struct AuditRow {
    /// Key in the record.
    pub key: String,
    /// Name in a table.
    pub label: String,
    /// True when the record is silent and the row is an assumption.
    pub assumed: bool,
    /// What the record says, mm or degrees.
    pub given: f64,
    /// What the solved chart says, mm or degrees.
    pub solved: f64,
    /// Given minus solved.
    pub residual: f64,
    /// Residual over its own standard deviation; `None` when nothing checks the row.
    pub normalised: Option<f64>,
    /// True when hardly more than the assumptions check the row: less than a hundredth of an error would show.
    pub hardly_checked: bool,
    /// "mm" or "°".
    pub unit: &'static str,
}

/// One suspect of an audit.
#[derive(Clone, Debug, PartialEq)]
pub struct AuditSuspect {
    /// Name of the row.
    pub label: String,
    /// Names of the rows that cannot be told apart from it.
    pub alike: Vec<String>,
    /// Its normalised residual.
    pub normalised: f64,
    /// What the record says, mm or degrees.
    pub given: f64,
    /// What the other rows say it should be, and ± of that.
    pub expected: (f64, f64),
    /// "mm" or "°".
    pub unit: &'static str,
}

/// An audit of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Audit {
    /// Every row, in the record's order.
    pub rows: Vec<AuditRow>,
    /// Rows that the others speak against, largest first.
    pub suspects: Vec<AuditSuspect>,
    /// Number of conditions that the rows over-determine.
    pub redundancy: f64,
    /// Largest residual of a length row that the record gives, mm.
    pub worst_length: f64,
    /// Factor by which the contradiction widens the chart's tolerance.
    pub widened: f64,
}

/// Audits a build's chart.
pub fn audit(build: &Build) -> Audit {
    let edge = |key: &str, value: f64| match crate::tables::property(key) {
        Some(property) => (value / property.dimension.edge_factor(), property.dimension.edge_unit()),
        None if matches!(key, "wheel.front.tyre" | "wheel.rear.tyre") => (value, "mm"),
        None => (value, ""),
    };
    let rows: Vec<AuditRow> = build
        .chart
        .iter()
        .zip(&build.solved.checks)
        .map(|(row, check)| {
            let (given, unit) = edge(&row.key, row.row.value);
            AuditRow {
                key: row.key.clone(),
                label: row.label.clone(),
                assumed: matches!(build.inputs[row.input].origin, Origin::Assumed(_)),
                given,
                solved: edge(&row.key, check.fitted).0,
                residual: edge(&row.key, check.residual).0,
                normalised: check.normalised,
                hardly_checked: check.redundancy < 0.01,
                unit,
            }
        })
        .collect();
    let suspects = build
        .suspects
        .iter()
        .map(|suspect| {
            let row = &build.chart[suspect.row];
            let (given, unit) = edge(&row.key, row.row.value);
            AuditSuspect {
                label: row.label.clone(),
                alike: suspect.alike.iter().map(|other| build.chart[*other].label.clone()).collect(),
                normalised: suspect.normalised,
                given,
                expected: (edge(&row.key, suspect.expected.0).0, 2.0 * edge(&row.key, suspect.expected.1).0),
                unit,
            }
        })
        .collect();
    let worst_length = rows
        .iter()
        .filter(|row| !row.assumed && row.unit == "mm")
        .fold(0.0_f64, |worst, row| worst.max(row.residual.abs()));
    Audit { rows, suspects, redundancy: build.solved.redundancy, worst_length, widened: build.widened }
}
