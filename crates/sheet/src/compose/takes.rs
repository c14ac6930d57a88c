//! What it takes to make the parts go together, in sentences.

use knockon_trade::findings::Findings;
use knockon_trade::fit::shopping::Item;
use knockon_trade::words::{lower_first, upper_first};

use crate::units::Units;

/// Everything to buy, each thing with what it is for; what nothing mends comes last.
pub(super) fn takes(findings: &Findings, units: Units) -> Vec<String> {
    let items = findings.shopping.items.iter().map(|item| units.sentence(&thing(item)));
    let mut takes: Vec<String> = items.collect();
    if !takes.is_empty() {
        takes.extend(nothing_mends(findings));
    }
    takes
}

/// One thing to buy, with what it is for and what it brings along.
pub fn thing(item: &Item) -> String {
    let mends: Vec<String> = item.mends.iter().map(|label| lower_first(label)).collect();
    let mut text = format!("{} (for {}).", upper_first(&item.what), mends.join(", "));
    if !item.changes.is_empty() {
        text.push(' ');
        text.push_str(item.changes);
    }
    text
}

/// What stays broken while everything that was asked for stays.
pub fn nothing_mends(findings: &Findings) -> Option<String> {
    let unmended = &findings.shopping.unmended;
    let labels: Vec<String> = unmended.iter().map(|label| lower_first(label)).collect();
    let sentence =
        || format!("Nothing in the tables mends, with the parts that were asked for: {}.", labels.join("; "));
    (!unmended.is_empty()).then(sentence)
}
