//! The chain in sentences and a table.

use knockon_trade::findings::Findings;
use knockon_trade::workings::chain::{ChainWork, replaced_at};

use super::{Writer, cell, moved};
use crate::compose::figures::number;
use crate::part::{Part, Table};

pub(super) fn part(writer: &mut Writer<'_>, findings: &Findings, chain: &ChainWork) -> Part {
    let sentences = [order(chain), growth(chain), capacity(chain), wear(findings, chain)];
    let sentences = sentences.into_iter().flatten().map(|sentence| writer.say(sentence)).collect();
    let notes = vec![
        writer.note(
            "Largest ring and largest cog, past the derailleur, and two pieces more; the number is rounded up to an even one. Try it on the bike before cutting: wrap the chain around both, the suspension where the chain is longest.",
            "common practice, no source; the length by the open drive of ANSI B29.1 (attribution from memory)",
        ),
        writer.note(
            "A chain wears in its joints: by the ruler over 24 pieces, 304.8 mm new. Worn ones eat the cogs.",
            "public workshop pages: 1/16 inch over 12 inch replace, 1/8 inch the cogs too",
        ),
    ];
    Part {
        id: "chain",
        title: "Chain".to_owned(),
        sentences,
        figures: Vec::new(),
        tables: vec![table(chain)],
        notes,
    }
}

fn order(chain: &ChainWork) -> Option<String> {
    let order = chain.order[1]?;
    let short = chain.pieces.is_some_and(|pieces| pieces + 0.5 < order);
    let long = chain.pieces.filter(|pieces| *pieces > order + 0.5);
    let told = moved(&cell(chain.order[0], 0), &number(order, 0));
    Some(match (chain.pieces, short, long) {
        (Some(pieces), true, _) => format!(
            "The chain needs {told} pieces; {} are too few: do not shift to largest ring and largest cog before it is replaced.",
            number(pieces, 0)
        ),
        (_, _, Some(pieces)) => format!(
            "The chain needs {told} pieces; {} are more than that, so {} can come out if the derailleur cannot take up the slack.",
            number(pieces, 0),
            number(pieces - order, 0)
        ),
        (Some(_), ..) => format!("The chain needs {told} pieces, and has them."),
        (None, ..) => format!("The chain needs {told} pieces."),
    })
}

fn growth(chain: &ChainWork) -> Option<String> {
    chain.order[1]?;
    let growth = chain.growth.filter(|growth| growth.abs() > 0.5);
    if chain.growth_is_untold {
        return Some(
            "How much longer the chain's way gets over the rear travel is not known; a guess of 18 mm is counted in. Measure before cutting."
                .to_owned(),
        );
    }
    growth.map(|growth| {
        format!("{} mm of that are the growth of its way over the rear travel.", number(growth, 0))
    })
}

fn capacity(chain: &ChainWork) -> Option<String> {
    let needed = chain.capacity_needed[1].filter(|teeth| *teeth > 0.5)?;
    let told = moved(&cell(chain.capacity_needed[0], 0), &number(needed, 0));
    Some(match chain.capacity {
        Some(capacity) if capacity + 0.5 < needed => format!(
            "The derailleur has to take up {told} teeth and takes up {}: some gears must not be used.",
            number(capacity, 0)
        ),
        Some(capacity) => {
            format!("The derailleur has to take up {told} teeth and takes up {}.", number(capacity, 0))
        }
        None => format!(
            "The derailleur has to take up {told} teeth; hold that against the capacity on its maker's sheet."
        ),
    })
}

fn wear(findings: &Findings, chain: &ChainWork) -> Option<String> {
    let (wear, pm) = chain.wear?;
    let limit = replaced_at(findings.question.record.cogs());
    let told = format!("{} ±{} %", number(wear, 2), number(pm.max(0.01), 2));
    Some(if wear - pm > limit {
        format!("It has worn by {told}, beyond {} %: replace it.", number(limit, 2))
    } else if wear + pm < limit {
        format!("It has worn by {told}; {} % is where it is replaced.", number(limit, 2))
    } else {
        format!(
            "It has worn by {told}, about the {} % at which it is replaced: measure again, over another stretch.",
            number(limit, 2)
        )
    })
}

fn table(chain: &ChainWork) -> Table {
    let moves = chain.needed[0] != chain.needed[1] || chain.capacity_needed[0] != chain.capacity_needed[1];
    let row = |label: &str, before: String, after: Option<f64>, decimals: i32| {
        after?;
        let cells = [before].into_iter().filter(|_| moves).chain([cell(after, decimals)]);
        Some([label.to_owned()].into_iter().chain(cells).collect())
    };
    let both = |label: &str, [before, after]: [Option<f64>; 2], decimals: i32| {
        row(label, cell(before, decimals), after, decimals)
    };
    let now = |label: &str, value: Option<f64>| row(label, String::new(), value, 0);
    let rows: [Option<Vec<String>>; 7] = [
        both("Pieces asked for, not rounded", chain.needed, 1),
        both("Pieces asked for", chain.order, 0),
        now("Pieces on the bike", chain.pieces),
        both("Teeth to take up", chain.capacity_needed, 0),
        now("Teeth that the derailleur takes up", chain.capacity),
        now("Largest cog", chain.largest_cog),
        now("Largest cog of the derailleur", chain.largest_cog_allowed),
    ];
    let head: &[&str] = if moves { &["", "Before", "After"] } else { &["", "Figure"] };
    Table {
        title: if moves { "Before and after" } else { "Pieces and teeth" }.to_owned(),
        head: head.iter().map(|head| (*head).to_owned()).collect(),
        rows: rows.into_iter().flatten().collect(),
    }
}
