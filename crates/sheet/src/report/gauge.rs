//! What a part can be, by a few readings.

use knockon_trade::interface::Measure;
use knockon_trade::interface::gauge::{Apart, Gauged, Match};
use knockon_trade::interface::taken::{Taken, example};
use knockon_trade::tables;
use serde::Serialize;

use super::{fixed, table};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// What the readings can be of, likeliest first, and what to measure next.
pub fn gauge(readings: &[Taken], gauged: &Gauged, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    let told = |matches: &[Match]| {
        let mut heads = vec!["", "", "likely"];
        heads.extend(readings.iter().map(|_| "off by"));
        let rows: Vec<Vec<String>> = matches
            .iter()
            .map(|it| {
                let mut row = vec![it.interface.label.clone(), it.standard.name.clone(), likely(it.share)];
                row.extend(it.off.iter().copied().map(off_by));
                row
            })
            .collect();
        (heads, rows)
    };
    if gauged.matches.is_empty() {
        let words = if gauged.nearest.is_empty() {
            "No standard in the tables has all that was measured. Gauge one part at a time."
        } else {
            "No standard in the tables has these figures. The nearest are below; measure again, on clean metal."
        };
        page.paragraph(Ink::Strong, "", words);
    } else {
        page.paragraph(Ink::Strong, "", &headline(&gauged.matches));
    }
    let shown = if gauged.matches.is_empty() { &gauged.nearest } else { &gauged.matches };
    if !shown.is_empty() {
        page.gap();
        let (heads, rows) = told(shown);
        table(&mut page, &heads, &rows);
    }
    if let Some(next) = &gauged.next {
        page.gap();
        page.paragraph(Ink::Strong, "", &format!("Measure next: {}", next.measure.label.to_lowercase()));
        page.paragraph(Ink::Plain, "", &next.measure.how);
        for (nominal, names) in &next.finds {
            page.paragraph(Ink::Plain, "  ", &format!("{}: {}", figure(*nominal), names.join(", or ")));
        }
    }
    if !gauged.matches.is_empty() {
        page.gap();
        let mut sources: Vec<&str> = gauged.matches.iter().map(|it| it.standard.source.as_str()).collect();
        sources.sort_unstable();
        sources.dedup();
        page.paragraph(Ink::Quiet, "", &format!("Sources: {}.", sources.join("; ")));
        page.paragraph(
            Ink::Quiet,
            "",
            "A standard's name says what to look for, not that a part fits or is sound; its maker's word goes before it.",
        );
    }
    page.finish()
}

fn headline(matches: &[Match]) -> String {
    let best = &matches[0];
    match matches.len() {
        1 => format!("{}: {}", best.interface.label, best.standard.name),
        count if best.share > 0.5 => {
            format!("{count} standards have these figures; the likeliest is {}.", best.standard.name)
        }
        count => format!("{count} standards have these figures."),
    }
}

/// Everything that can be measured, with an example of a reading.
pub fn measures(width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", "What can be measured");
    for measure in tables::measures() {
        let lead = format!("{:<26}", format!("{} {}", measure.say[0], example(measure)));
        page.led(Ink::Plain, &lead, Ink::Quiet, &format!("{}. {}", measure.label, measure.how));
    }
    page.finish()
}

/// How likely a standard is, by its share: "no" for what the readings cannot be of.
pub fn likely(share: f64) -> String {
    match share * 100.0 {
        0.0 => "no".to_owned(),
        percent if percent < 1.0 => "<1%".to_owned(),
        percent => format!("{}%", fixed(percent, 0)),
    }
}

/// A reading's difference from the nominal figure; a dash where a standard does not say.
pub fn off_by(off: Option<f64>) -> String {
    let Some(off) = off else { return "–".to_owned() };
    let text = fixed(off, 2);
    if off >= 0.005 { format!("+{text}") } else { text }
}

/// A nominal figure with no more digits than it needs.
pub fn figure(nominal: f64) -> String {
    let text = fixed(nominal, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[derive(Serialize)]
struct Object<'a> {
    readings: Vec<Reading<'a>>,
    matches: Vec<Matched<'a>>,
    nearest: Vec<Matched<'a>>,
    measure_next: Option<Next<'a>>,
}

#[derive(Serialize)]
struct Reading<'a> {
    measure: &'a str,
    value: f64,
    pm: f64,
}

#[derive(Serialize)]
struct Matched<'a> {
    interface: &'a str,
    standard: &'a str,
    share: f64,
    off: &'a [Option<f64>],
    source: &'a str,
}

impl<'a> Matched<'a> {
    fn of(it: &'a Match) -> Self {
        Matched {
            interface: &it.interface.id,
            standard: &it.standard.name,
            share: it.share,
            off: &it.off,
            source: &it.standard.source,
        }
    }
}

#[derive(Serialize)]
struct Next<'a> {
    measure: &'a str,
    how: &'a str,
    finds: Vec<Find<'a>>,
}

#[derive(Serialize)]
struct Find<'a> {
    nominal: f64,
    standards: &'a [String],
}

/// The same as one JSON object: lengths in mm, shares from 0 to 1, `pm` two standard uncertainties, `off` a reading's difference
/// from the nominal figure in the order of the readings, null where a standard does not say.
///
/// # Panics
/// Never: the figures are finite.
pub fn gauge_json(readings: &[Taken], gauged: &Gauged) -> String {
    let id = |measure: &'static Measure| measure.id.as_str();
    let object = Object {
        readings: readings
            .iter()
            .map(|taken| Reading {
                measure: id(taken.measure),
                value: taken.value,
                pm: 2.0 * taken.uncertainty,
            })
            .collect(),
        matches: gauged.matches.iter().map(Matched::of).collect(),
        nearest: gauged.nearest.iter().map(Matched::of).collect(),
        measure_next: gauged.next.as_ref().map(|Apart { measure, finds }| Next {
            measure: id(measure),
            how: &measure.how,
            finds: finds.iter().map(|(nominal, standards)| Find { nominal: *nominal, standards }).collect(),
        }),
    };
    serde_json::to_string_pretty(&object).expect("the figures are finite")
}
