//! The suspension part: from figures over the travel to charts, a table, a drawing and words.

mod drawing;
mod motion;
mod words;

use knockon_engine::bike::Bike;
use knockon_engine::quantity::Dimension;
use knockon_engine::suspension::curve::Curve;

use self::words::{CHARTS, Charted, ROWS, SOURCE};
use super::answer::sentence;
use super::figures;
use crate::picture::Outline;
use crate::ride::{Chart, Place, Ride, RideCell, RideRow};
use crate::sheet::{Note, Sheet};
use crate::units::Units;
use knockon_trade::findings::{Findings, Suspension, Travel};
use knockon_trade::verdict::Next;

/// Everything that the part is made of.
pub(crate) struct Given<'a> {
    pub(crate) suspension: &'a Suspension,
    /// Before and after.
    pub(crate) bikes: (&'a Bike<f64>, &'a Bike<f64>),
    /// The bike as the elevation draws it after the changes, for the front triangle.
    pub(crate) outline: Option<&'a Outline>,
    /// Sentences about the springs.
    pub(crate) springs: Vec<String>,
    pub(crate) units: Units,
}

/// Adds the part to a sheet that is otherwise finished.
pub(super) fn add(sheet: &mut Sheet, findings: &Findings, units: Units) {
    let Some(suspension) = &findings.suspension else { return };
    let given = Given {
        suspension,
        bikes: (&findings.bikes.0, &findings.bikes.1),
        outline: sheet.picture.as_ref().map(|picture| &picture.after),
        springs: super::springs::sentences(findings, suspension),
        units,
    };
    let sources = &mut sheet.sources;
    sheet.ride = ride(&given, |source| {
        sources.iter().position(|known| known == source).map_or_else(
            || {
                sources.push(source.to_owned());
                sources.len()
            },
            |at| at + 1,
        )
    });
}

/// The part, its words' source numbered by `number`.
pub(crate) fn ride(given: &Given, mut number: impl FnMut(&str) -> usize) -> Option<Ride> {
    let Suspension { before, after, linkage, stuck, .. } = given.suspension;
    let units = given.units;
    let known = |charted: &&Charted| {
        let finite =
            |travel: &Travel| curve(travel, charted.curve).filter(|value| value.is_finite()).count() > 1;
        finite(after) && curve(after, Curve::Travel).all(f64::is_finite)
    };
    let (told, untold): (Vec<_>, Vec<_>) = CHARTS.iter().partition(known);
    let same = same(before, after);
    let rows = rows(units, before, after, same);
    if told.is_empty() && rows.is_empty() {
        return None;
    }
    let source = if told.is_empty() { 0 } else { number(SOURCE) };
    let linkage = linkage.as_ref().and_then(|drawn| drawing::linkage(given, drawn, same));
    Some(Ride {
        charts: told.into_iter().map(|charted| chart(units, charted, before, after, same, source)).collect(),
        travel_unit: units.label("mm").to_owned(),
        note: NOTE.to_owned(),
        rows,
        springs: given.springs.iter().map(|sentence| units.sentence(sentence)).collect(),
        untold: stuck.iter().map(|why| stuck_words(why)).chain(untold_words(&untold)).collect(),
        path: linkage.as_ref().map(|linkage| drawing::path_words(units, &linkage.after)).unwrap_or_default(),
        standing: drawing::standing(after),
        motion: motion::json(given, linkage.as_ref().map(|linkage| &linkage.after)),
        linkage,
    })
}

/// One curve at every position.
fn curve(travel: &Travel, curve: Curve) -> impl Iterator<Item = f64> + '_ {
    travel.values.iter().map(move |values| values[curve as usize])
}

/// True when nothing that is drawn moved.
fn same(before: &Travel, after: &Travel) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9 || (a.is_nan() && b.is_nan());
    let all = |a: &Travel, b: &Travel| {
        a.values.iter().flatten().zip(b.values.iter().flatten()).all(|(a, b)| near(*a, *b))
            && a.axle.iter().flatten().zip(b.axle.iter().flatten()).all(|(a, b)| near(*a, *b))
    };
    before.values.len() == after.values.len() && before.sag == after.sag && all(before, after)
}

/// Unit of the edge.
pub(crate) fn unit(curve: Curve) -> &'static str {
    knockon_trade::findings::unit(curve.dimension())
}

/// Decimals that a value deserves.
fn decimals(curve: Curve) -> i32 {
    match curve {
        Curve::Compression | Curve::ChainGrowth | Curve::TightRun | Curve::AxleForward => 1,
        _ => match curve.dimension() {
            Dimension::Ratio | Dimension::Distance => 2,
            Dimension::Angle | Dimension::Rate | Dimension::Pressure | Dimension::Acceleration => 1,
            Dimension::Length
            | Dimension::Share
            | Dimension::Force
            | Dimension::Pieces
            | Dimension::Teeth => 0,
        },
    }
}

fn chart(
    units: Units,
    charted: &Charted,
    before: &Travel,
    after: &Travel,
    same: bool,
    source: usize,
) -> Chart {
    let unit = unit(charted.curve);
    let places = |travel: &Travel| -> Vec<Place> {
        (0..travel.values.len()).map(|at| place(units, travel, charted.curve, at as f64)).collect()
    };
    let after_places = places(after);
    let before_places = if same { Vec::new() } else { places(before) };
    let moved =
        before_places.iter().all(|place| place.travel.is_finite()) && moved(&before_places, &after_places);
    Chart {
        id: charted.curve.id(),
        label: charted.label.to_owned(),
        unit: units.label(unit).to_owned(),
        decimals: usize::try_from(units.decimals(unit, decimals(charted.curve), None)).unwrap_or(0),
        meaning: Note { text: charted.meaning.to_owned(), source },
        measure_next: measure_next(&after_places, after.measure_next[charted.curve as usize].as_ref()),
        after: after_places,
        before: if moved { before_places } else { Vec::new() },
        sag: sag(after).map(|at| place(units, after, charted.curve, at)),
        level: charted.level,
    }
}

/// What holds for all figures of the table.
const NOTE: &str = "± is that of the value after, 95 %. The fork is fully extended here; “at sag” under what moves has both ends at theirs.";

/// A tolerance that is wider than this part of its curve's height is seen as a band. From memory, unverified.
const WIDE: f64 = 0.05;

/// What to measure next for a curve, in a sentence; none where it is known well enough.
fn measure_next(curve: &[Place], next: Option<&Next>) -> String {
    let known = || curve.iter().filter(|place| place.value.is_finite() && place.plus_minus.is_finite());
    let height = known().map(|place| place.value).fold(f64::NEG_INFINITY, f64::max)
        - known().map(|place| place.value).fold(f64::INFINITY, f64::min);
    let widest = known().map(|place| place.plus_minus).fold(0.0, f64::max);
    match next {
        Some(next) if 2.0 * widest > WIDE * height => {
            let share = figures::number(next.share * 100.0, 0);
            sentence(&format!("{}: {share} % of this tolerance comes from it", next.action))
        }
        _ => String::new(),
    }
}

/// A curve that moved by less than this part of its own height is drawn once: two lines on top of each other tell nothing.
const SEEN: f64 = 0.006;

/// Whether a curve before is seen to be another than the one after.
fn moved(before: &[Place], after: &[Place]) -> bool {
    let values = || before.iter().chain(after).map(|place| place.value).filter(|value| value.is_finite());
    let height = values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min);
    let ends = |places: &[Place]| places.last().map_or(f64::NAN, |place| place.travel);
    let longer = (ends(before) - ends(after)).abs() > 2.0 * SEEN * ends(after).abs();
    longer
        || before.iter().any(|place| match at_travel(after, place.travel) {
            Some(value) => (value - place.value).abs() > SEEN * height,
            None => false,
        })
        // One that is known on one side only is another.
        || before.iter().zip(after).any(|(a, b)| a.value.is_finite() != b.value.is_finite())
}

/// A curve's value at a travel; none beyond its ends or where it is not known.
fn at_travel(curve: &[Place], travel: f64) -> Option<f64> {
    let pair = curve.windows(2).find(|pair| pair[0].travel <= travel && travel <= pair[1].travel)?;
    let share = (travel - pair[0].travel) / (pair[1].travel - pair[0].travel).max(1e-12);
    let value = pair[0].value + (pair[1].value - pair[0].value) * share;
    value.is_finite().then_some(value)
}

/// A curve at a place between two positions, in the sheet's units.
fn place(units: Units, travel: &Travel, of: Curve, at: f64) -> Place {
    Place {
        travel: units.figure(between(&travel.values, Curve::Travel, at), "mm"),
        value: units.figure(between(&travel.values, of, at), unit(of)),
        plus_minus: units.figure(between(&travel.plus_minus, of, at), unit(of)),
    }
}

fn between(values: &[[f64; Curve::COUNT]], of: Curve, at: f64) -> f64 {
    let low = (at.floor() as usize).min(values.len().saturating_sub(1));
    let high = (low + 1).min(values.len().saturating_sub(1));
    let share = at - low as f64;
    let (a, b) = (values[low][of as usize], values[high][of as usize]);
    // On a position the next one does not matter, known or not.
    if share < 1e-9 { a } else { a + (b - a) * share }
}

/// Place of sag, counted in positions.
fn sag(travel: &Travel) -> Option<f64> {
    let stroke = travel.values.last()?[Curve::Compression as usize];
    let last = (travel.values.len() - 1) as f64;
    let at = travel.sag? / stroke * last;
    (at.is_finite() && (0.0..=last).contains(&at)).then_some(at)
}

/// Full extension, sag and full travel, counted in positions.
fn stations(travel: &Travel) -> [Option<f64>; 3] {
    let last = travel.values.len().checked_sub(1).map(|last| last as f64);
    [last.map(|_| 0.0), sag(travel), last]
}

fn rows(units: Units, before: &Travel, after: &Travel, same: bool) -> Vec<RideRow> {
    let mut rows = Vec::new();
    for (of, label) in ROWS {
        if !curve(after, of).chain(curve(before, of)).any(f64::is_finite) {
            continue;
        }
        let (was, is) = (stations(before), stations(after));
        let cells = [0, 1, 2].map(|index| {
            let at = |travel: &Travel, at: Option<f64>| at.map(|at| figure(units, travel, of, at));
            let (now, pm) = at(after, is[index]).unwrap_or_else(|| ("?".to_owned(), String::new()));
            let then = at(before, was[index]).map_or_else(|| "?".to_owned(), |(value, _)| value);
            RideCell { before: if same { String::new() } else { then }, after: now, plus_minus: pm }
        });
        rows.push(RideRow {
            label: label.to_owned(),
            unit: units.label(unit(of)).to_owned(),
            cells: cells.map(unchanged),
        });
        if of == Curve::Leverage {
            rows.extend(progression(before, after, same));
        }
    }
    rows
}

/// A figure that stayed what it was is told once.
fn unchanged(cell: RideCell) -> RideCell {
    if cell.before == cell.after { RideCell { before: String::new(), ..cell } } else { cell }
}

/// A value and its ±, rounded.
fn figure(units: Units, travel: &Travel, of: Curve, at: f64) -> (String, String) {
    let unit = unit(of);
    let (value, pm) = (between(&travel.values, of, at), between(&travel.plus_minus, of, at));
    if !value.is_finite() {
        return ("?".to_owned(), String::new());
    }
    let decimals = units.decimals(unit, decimals(of), Some(pm).filter(|pm| pm.is_finite()));
    let value = figures::number(units.figure(value, unit), decimals);
    (value, plus_minus(units.figure(pm, unit), decimals))
}

/// ± with so many decimals, never rounded down to nothing; empty when there is none.
fn plus_minus(pm: f64, decimals: i32) -> String {
    if pm.is_finite() && pm > 1e-9 {
        figures::number(pm.max(0.1_f64.powi(decimals)), decimals)
    } else {
        String::new()
    }
}

/// By how much the leverage ratio has fallen from full extension, in percent of what it was there.
///
/// Its ± is what it would be if both ratios were off in opposite directions: it cannot be more. Source: common practice, no
/// source, for the quantity; the bound is the triangle inequality.
fn progression(before: &Travel, after: &Travel, same: bool) -> Option<RideRow> {
    let fallen = |travel: &Travel, at: Option<f64>| {
        let at = at?;
        let ratio = |at: f64| between(&travel.values, Curve::Leverage, at);
        let pm = |at: f64| between(&travel.plus_minus, Curve::Leverage, at);
        let (start, here) = (ratio(0.0), ratio(at));
        let value = (1.0 - here / start) * 100.0;
        value.is_finite().then_some((value, (pm(at) + here / start * pm(0.0)) / start * 100.0))
    };
    let cells = [1, 2].map(|index| {
        let (was, is) = (fallen(before, stations(before)[index]), fallen(after, stations(after)[index]));
        let printed =
            |it: Option<(f64, f64)>| it.map_or_else(|| "?".to_owned(), |it| figures::number(it.0, 0));
        unchanged(RideCell {
            before: if same { String::new() } else { printed(was) },
            after: printed(is),
            plus_minus: is.map(|(_, pm)| plus_minus(pm, 0)).unwrap_or_default(),
        })
    });
    let [at_sag, at_end] = cells;
    (at_end.after != "?").then(|| RideRow {
        label: "Progression so far".to_owned(),
        unit: "%".to_owned(),
        cells: [RideCell::default(), at_sag, at_end],
    })
}

/// Why there is so little to see of a linkage that is on record.
fn stuck_words(why: &str) -> String {
    format!("The linkage as recorded cannot move through the whole stroke: {}.", why.trim_end_matches('.'))
}

/// One sentence per set of facts that is missing.
fn untold_words(untold: &[&Charted]) -> Vec<String> {
    let mut needs: Vec<&str> = untold.iter().map(|charted| charted.needs).collect();
    needs.dedup();
    needs
        .into_iter()
        .map(|need| {
            let labels: Vec<String> = untold
                .iter()
                .filter(|charted| charted.needs == need)
                .map(|charted| charted.label.to_lowercase())
                .collect();
            let list = labels.join(" and ");
            format!("Not shown: {list}. Ask for {need}.")
        })
        .collect()
}

#[cfg(test)]
pub(crate) mod sample;
#[cfg(test)]
mod tests;
