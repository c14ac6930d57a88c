//! Which parts of a list go on a bike.

use knockon_engine::requirement::Outcome;
use knockon_trade::shelf::{Offers, Ranked};
use knockon_trade::verdict::Verdict;
use knockon_trade::words::first_sentence;
use serde::Serialize;

use crate::compose::tone_of;
use crate::json::outcome;
use crate::sheet::Tone;
use crate::text::Style;
use crate::text::lines::{Ink, Lines};
use crate::tone;

/// Names of the groups of [`Ranked::group`].
pub const GROUPS: [&str; 5] =
    ["Fits", "Fits with something in between", "Measure first", "Cannot say", "Does not fit"];

/// At most so many parts of a group are told; the JSON has them all.
pub const MOST: usize = 40;

/// What a page says of a list beside its parts.
pub const NOTE: &str = "Each part was held against what is known of the bike, by itself; what nobody told of either was not \
                        checked. The makers' instructions come first, and no part is cleared that is damaged.";

/// The mark of a part's group.
pub fn tone(ranked: &Ranked) -> Tone {
    tone_of(ranked.outcome)
}

/// Why a part comes out as it does, in a sentence: what it takes, or its worst verdict; empty where it fits.
pub fn why(ranked: &Ranked) -> String {
    match (ranked.outcome, ranked.verdicts.first()) {
        (Outcome::Fits, _) if ranked.needs.is_empty() => String::new(),
        (Outcome::Fits, _) => format!("It takes {}.", ranked.needs.join(", and ")),
        (Outcome::DoesNotFit, _) if !ranked.needs.is_empty() => {
            let open =
                ranked.verdicts.iter().find(|it| !matches!(it.outcome, Outcome::DoesNotFit | Outcome::Fits));
            let open = open.map(|it| format!(" Still open: {}: {}", it.label, first_sentence(&it.sentence)));
            format!("It takes {}.{}", ranked.needs.join(", and "), open.unwrap_or_default())
        }
        (_, Some(worst)) => {
            let more = ranked.verdicts.iter().filter(|it| it.outcome == worst.outcome).count() - 1;
            let more = if more == 0 { String::new() } else { format!(" ({more} more)") };
            format!("{}: {}{more}", worst.label, first_sentence(&worst.sentence))
        }
        (_, None) => "It meets nothing that is known of the bike.".to_owned(),
    }
}

/// The parts by how they come out.
pub fn shelf(title: &str, read: &Offers, ranked: &[Ranked], width: usize, style: Style) -> String {
    let offers = &read.offers;
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Quiet, "", title);
    for (group, name) in GROUPS.iter().enumerate() {
        let of_group: Vec<&Ranked> = ranked.iter().filter(|it| it.group() == group).collect();
        if of_group.is_empty() {
            continue;
        }
        page.heading(&format!("{name} ({})", of_group.len()));
        for it in of_group.iter().take(MOST) {
            let ink = if it.outcome == Outcome::DoesNotFit { Ink::Caution } else { Ink::Strong };
            page.led(ink, &format!("{}  ", tone::mark(tone(it))), ink, &offers[it.offer].name);
            let why = why(it);
            if !why.is_empty() {
                page.led(Ink::Plain, "   ", Ink::Plain, &why);
            }
        }
        if of_group.len() > MOST {
            page.paragraph(
                Ink::Quiet,
                "   ",
                &format!("and {} more; --json prints them all", of_group.len() - MOST),
            );
        }
    }
    page.heading("Caution");
    for (index, caution) in read.cautions().iter().enumerate() {
        page.led(Ink::Caution, &format!("{}  ", index + 1), Ink::Caution, &caution.text);
    }
    page.gap();
    page.paragraph(Ink::Quiet, "", NOTE);
    page.finish()
}

#[derive(Serialize)]
struct Object<'a> {
    bike: &'a str,
    parts: Vec<Part<'a>>,
    cautions: Vec<&'a str>,
    note: &'static str,
}

#[derive(Serialize)]
struct Part<'a> {
    name: &'a str,
    line: usize,
    outcome: &'static str,
    needs: &'a [String],
    verdicts: Vec<Told<'a>>,
}

#[derive(Serialize)]
struct Told<'a> {
    requirement: &'a str,
    outcome: &'static str,
    sentence: &'a str,
    missing: &'a [&'static str],
}

impl<'a> Told<'a> {
    fn of(verdict: &'a Verdict) -> Self {
        Told {
            requirement: verdict.requirement,
            outcome: outcome(verdict.outcome),
            sentence: &verdict.sentence,
            missing: &verdict.missing,
        }
    }
}

/// The same as one JSON object, every part with every verdict.
///
/// # Panics
/// Never: there are texts and whole numbers alone.
pub fn shelf_json(title: &str, read: &Offers, ranked: &[Ranked]) -> String {
    let offers = &read.offers;
    let parts = ranked
        .iter()
        .map(|it| Part {
            name: &offers[it.offer].name,
            line: offers[it.offer].line,
            outcome: outcome(it.outcome),
            needs: &it.needs,
            verdicts: it.verdicts.iter().map(Told::of).collect(),
        })
        .collect();
    serde_json::to_string_pretty(&Object {
        bike: title,
        parts,
        cautions: read.cautions().iter().map(|caution| caution.text.as_str()).collect(),
        note: NOTE,
    })
    .expect("texts and whole numbers")
}
