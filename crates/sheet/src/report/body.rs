//! Where to begin on a bike, from measures of a rider.

use knockon_trade::body::{Apart, Beside, Measured, Rule, StartingPoint, What, apart, beside, cautions};
use knockon_trade::record::Record;
use knockon_trade::tables;
use knockon_trade::words::{lower_first, upper_first};
use serde::Serialize;

use super::fixed;
use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// What they are, before anything else.
pub const STARTING_POINTS: &str = "Starting points, no fitting and no medical advice.";

/// The starting points, what the record has beside each, how far rules for the same thing are apart, and what is known against
/// each of them.
pub fn body(
    measured: &[Measured],
    points: &[StartingPoint],
    record: Option<&Record>,
    width: usize,
    style: Style,
) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", STARTING_POINTS);
    for caution in cautions(points) {
        page.led(Ink::Caution, "!  ", Ink::Plain, &caution.text);
    }
    page.gap();
    if let Some(record) = record {
        page.paragraph(Ink::Quiet, "", &record.title());
    }
    for it in measured {
        page.paragraph(Ink::Quiet, "", &taken(it));
    }
    if points.is_empty() {
        page.gap();
        page.paragraph(Ink::Strong, "", NOTHING);
        asks(&mut page);
        return page.finish();
    }
    let sources = sources(points);
    let mut last = None;
    for point in points {
        if last != Some(point.what) {
            page.heading(point.what.words());
            last = Some(point.what);
        }
        let number = sources.iter().position(|source| *source == point.way.rule().source).unwrap_or(0) + 1;
        let rule = format!("{} [{number}]", upper_first(&point.way.rule().says));
        page.led(Ink::Strong, &format!("{}  ", figure(point)), Ink::Plain, &rule);
        if let Some(found) = record.and_then(|record| beside(point, record)) {
            page.paragraph(Ink::Change, "   ", &has(&found));
        }
        page.paragraph(Ink::Quiet, "   ", &format!("Known against it: {}", point.way.rule().weakness));
    }
    let apart = apart(points);
    if !apart.is_empty() {
        page.heading("How far the rules are apart for this rider");
        for it in &apart {
            page.paragraph(Ink::Plain, "", &difference(it));
        }
    }
    page.heading("Sources");
    for (index, source) in sources.iter().enumerate() {
        page.led(Ink::Quiet, &format!("{}  ", index + 1), Ink::Quiet, source);
    }
    page.gap();
    page.paragraph(Ink::Quiet, "", TOLERANCE);
    page.finish()
}

/// Said where the measures lead to nothing.
pub const NOTHING: &str = "No rule takes these measures alone.";

/// What the figures behind ± are.
pub const TOLERANCE: &str = "± is what the measures may be off, about 95 %. What a rule is worth for one rider is not in it, and is not known.";

/// Everything that can be measured, with how, and what it is for.
pub fn measures(width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", STARTING_POINTS);
    for caution in cautions(&[]) {
        page.led(Ink::Caution, "!  ", Ink::Plain, &caution.text);
    }
    asks(&mut page);
    page.finish()
}

fn asks(page: &mut Lines) {
    page.heading("What can be measured");
    for measure in tables::body_measures() {
        let lead = format!("{:<22}", measure.reading());
        page.led(Ink::Plain, &lead, Ink::Quiet, &format!("{}. {}", measure.label, measure.how));
    }
    page.heading("What is made of it");
    for rule in tables::body_rules() {
        page.paragraph(Ink::Quiet, "", &format!("{}: {}.", needs(rule), rule.says));
    }
}

fn needs(rule: &Rule) -> String {
    let labels = rule.needs.iter().filter_map(|id| tables::body_measures().iter().find(|row| row.id == *id));
    let labels: Vec<String> = labels.map(|row| lower_first(&row.label)).collect();
    upper_first(&knockon_trade::words::join(&labels))
}

/// "Inseam 830 mm ± 10", with where it is from when a record told it.
pub fn taken(measured: &Measured) -> String {
    let value = knockon_trade::words::plain((measured.value * 10.0).round() / 10.0);
    let pm = 2.0 * measured.uncertainty;
    let from = if measured.recorded { ", from the record" } else { "" };
    format!("{} {value} mm ± {}{from}", measured.measure.label, small(pm))
}

/// "733 mm ± 9", or "700 mm ± 21, 689 to 709" where the rule is a range.
pub fn figure(point: &StartingPoint) -> String {
    let range = point
        .range
        .map_or_else(String::new, |[least, most]| format!(", {} to {}", fixed(least, 0), fixed(most, 0)));
    format!("{} mm ± {}{range}", fixed(point.value.value, 0), small(point.plus_minus()))
}

/// What the record has beside a starting point: "The record has 735 mm ± 2: 2 mm more (± 9)."
pub fn has(found: &Beside) -> String {
    let more = match fixed(found.more.abs(), 0).as_str() {
        "0" => "the same".to_owned(),
        by => format!("{by} mm {}", if found.more > 0.0 { "more" } else { "less" }),
    };
    format!(
        "The record has {} mm ± {}: {more} (± {}).",
        fixed(found.value, 0),
        small(found.pm),
        small(found.more_pm)
    )
}

/// How far two rules are apart, and on which crank they agree.
pub fn difference(apart: &Apart) -> String {
    let [first, second] = apart.rules.map(|way| way.rule().says.as_str());
    let mut text = format!("{} and {second}", upper_first(first));
    if let Some(by) = &apart.by {
        let pm = small(2.0 * by.standard_uncertainty());
        text.push_str(&match fixed(by.value.abs(), 1).as_str() {
            "0.0" => format!(" come out the same (± {pm})"),
            by_how_much => {
                let more = if by.value > 0.0 { "the second gives more" } else { "the first gives more" };
                format!(" differ by {by_how_much} mm ± {pm}: {more}")
            }
        });
    }
    if let Some(crank) = &apart.agree_on_crank {
        let pm = small(2.0 * crank.standard_uncertainty());
        let joint = if apart.by.is_some() { "; they" } else { "" };
        text.push_str(&format!("{joint} agree on a crank of {} mm ± {pm}", fixed(crank.value, 1)));
    }
    text.push('.');
    text
}

/// A tolerance: whole millimetres where it has any to speak of, tenths below two.
fn small(pm: f64) -> String {
    fixed(pm, usize::from(pm < 1.95))
}

/// Sources of the rules, each once, in the order in which they are told.
pub fn sources(points: &[StartingPoint]) -> Vec<&'static str> {
    let mut all = Vec::new();
    for point in points {
        let source = point.way.rule().source.as_str();
        if !all.contains(&source) {
            all.push(source);
        }
    }
    all
}

#[derive(Serialize)]
struct Object<'a> {
    is: &'static str,
    cautions: Vec<&'a str>,
    bike: Option<String>,
    measures: Vec<Told<'a>>,
    starting_points: Vec<Point<'a>>,
    apart: Vec<Difference<'a>>,
}

#[derive(Serialize)]
struct Told<'a> {
    measure: &'a str,
    value: f64,
    pm: f64,
    from_record: bool,
}

#[derive(Serialize)]
struct Point<'a> {
    what: &'static str,
    value: f64,
    pm: f64,
    range: Option<[f64; 2]>,
    rule: &'a str,
    says: &'a str,
    source: &'a str,
    weakness: &'a str,
    target: Option<Target>,
    record: Option<Has>,
}

#[derive(Serialize)]
struct Target {
    quantity: &'static str,
    value: f64,
    pm: f64,
}

#[derive(Serialize)]
struct Has {
    value: f64,
    pm: f64,
    more: f64,
    more_pm: f64,
}

#[derive(Serialize)]
struct Difference<'a> {
    rules: [&'a str; 2],
    by: Option<f64>,
    by_pm: Option<f64>,
    agree_on_crank: Option<f64>,
    agree_on_crank_pm: Option<f64>,
}

/// The same as one JSON object: lengths in mm, `pm` two standard uncertainties by the measures alone, `target` the engine's
/// quantity that has an exact value by a rule, `record` what the record has and by how much that is more.
///
/// # Panics
/// Never: the figures are finite.
pub fn body_json(measured: &[Measured], points: &[StartingPoint], record: Option<&Record>) -> String {
    let apart = apart(points);
    let object = Object {
        is: STARTING_POINTS,
        cautions: cautions(points).iter().map(|caution| caution.text.as_str()).collect(),
        bike: record.map(Record::title),
        measures: measured
            .iter()
            .map(|it| Told {
                measure: &it.measure.id,
                value: it.value,
                pm: 2.0 * it.uncertainty,
                from_record: it.recorded,
            })
            .collect(),
        starting_points: points.iter().map(|point| told(point, record)).collect(),
        apart: apart
            .iter()
            .map(|it| {
                let pm = |value: &knockon_engine::tolerance::Uncertain| 2.0 * value.standard_uncertainty();
                Difference {
                    rules: it.rules.map(|way| way.rule().id.as_str()),
                    by: it.by.as_ref().map(|by| by.value),
                    by_pm: it.by.as_ref().map(pm),
                    agree_on_crank: it.agree_on_crank.as_ref().map(|crank| crank.value),
                    agree_on_crank_pm: it.agree_on_crank.as_ref().map(pm),
                }
            })
            .collect(),
    };
    serde_json::to_string_pretty(&object).expect("the figures are finite")
}

fn told(point: &StartingPoint, record: Option<&Record>) -> Point<'static> {
    let rule = point.way.rule();
    Point {
        what: What::id(point.what),
        value: point.value.value,
        pm: point.plus_minus(),
        range: point.range,
        rule: &rule.id,
        says: &rule.says,
        source: &rule.source,
        weakness: &rule.weakness,
        target: point.target.as_ref().map(|(quantity, value)| Target {
            quantity: quantity.id(),
            value: value.value,
            pm: 2.0 * value.standard_uncertainty(),
        }),
        record: record.and_then(|record| beside(point, record)).map(|found| Has {
            value: found.value,
            pm: found.pm,
            more: found.more,
            more_pm: found.more_pm,
        }),
    }
}
