//! Where two parts of a bike join: a row of `data/connections.toml`.

use serde::Deserialize;

/// Two parts that join, and what brings different standards together.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connection {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// Keys of the record: what holds, and what is held. Always two; a list, since a verdict names what touches it by one.
    pub ends: Vec<String>,
    /// What to do where the two do not go together.
    pub advice: String,
    /// Source of the advice.
    pub source: String,
    /// What brings different standards together.
    #[serde(default, rename = "adapter")]
    pub adapters: Vec<Adapter>,
}

/// A part between two others.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adapter {
    /// Standard of what is held.
    pub from: String,
    /// Standard of what holds.
    pub to: String,
    /// What to buy.
    pub name: String,
    /// What it brings along.
    pub changes: String,
    /// Source of the row.
    pub source: String,
}

/// How two standards go together.
#[derive(Clone, Copy, Debug)]
pub enum Joins {
    /// They are the same one.
    Directly,
    /// With something between them.
    With(&'static Adapter),
    /// Not at all.
    Not,
}

impl Connection {
    /// How a held part of one standard goes into a holding part of another.
    ///
    /// ```
    /// use knockon_trade::{interface::connection::Joins, tables::connections};
    /// let front = connections().iter().find(|row| row.id == "front_axle").unwrap();
    /// assert!(matches!(front.joins("15 × 110", "15 × 110"), Joins::Directly));
    /// assert!(matches!(front.joins("20 × 110", "15 × 110"), Joins::Not));
    /// ```
    pub fn joins(&'static self, holder: &str, held: &str) -> Joins {
        if holder == held {
            return Joins::Directly;
        }
        let adapter = self.adapters.iter().find(|row| row.from == held && row.to == holder);
        adapter.map_or(Joins::Not, Joins::With)
    }
}
