//! Reading a linkage from TOML, each name and number with its place.

use std::ops::Range;

use toml_edit::{Item, TableLike, Value};

use super::{Chip, Distance, Idler, KEY, Linkage, Place, Point, check};
use crate::fact::Fact;
use crate::problem::Problem;
use crate::record::parse::{How, Reader, near};
use crate::units::{Dimension, shown};

const KEYS: [&str; 6] = ["axle", "caliper", "shock", "points", "distance", "chip"];
const POINT_KEYS: [&str; 8] = ["at", "on", "slides", "teeth", "chain", "known", "with", "tolerance"];
const DISTANCE_KEYS: [&str; 5] = ["between", "value", "known", "with", "tolerance"];
const CHIP_KEYS: [&str; 7] = ["moves", "in", "now", "places", "known", "with", "tolerance"];

/// Farthest that a point can lie from the bottom bracket, forward or up, mm: beyond any wheel. Common practice, no source.
const FARTHEST: f64 = 2000.0;
/// Farthest that a chip can move a point, mm. From memory, unverified.
const FARTHEST_CHIP: f64 = 100.0;
/// Teeth that an idler can have. From memory, unverified.
const TEETH: [f64; 2] = [6.0, 60.0];

type Read<T> = Result<T, Box<Problem>>;

/// A linkage as far as it was read, with the places of its names.
#[derive(Default)]
pub(super) struct Draft {
    pub(super) heading: Range<usize>,
    pub(super) axle: Option<Named>,
    pub(super) caliper: Option<Named>,
    pub(super) shock: Option<[Named; 2]>,
    pub(super) points: Vec<(Point, PointPlaces)>,
    pub(super) points_heading: Option<Range<usize>>,
    pub(super) distances: Vec<(Fact, [Named; 2])>,
    pub(super) chip: Option<DraftChip>,
}

/// A name and where it stands.
pub(super) type Named = (String, Range<usize>);

/// Where the parts of a point stand.
pub(super) struct PointPlaces {
    pub(super) name: Range<usize>,
    pub(super) on: Vec<Range<usize>>,
    pub(super) slides: Range<usize>,
}

/// A chip with the places of its names.
pub(super) struct DraftChip {
    pub(super) moves: Named,
    pub(super) part: Option<Named>,
    pub(super) now: Named,
    pub(super) places: Vec<(Place, Range<usize>)>,
}

/// Reads the linkage below its heading into the record; every fault becomes a problem of the reader.
pub(in crate::record) fn read(reader: &mut Reader<'_>, item: &Item, place: Range<usize>) {
    let Some(table) = item.as_table_like() else {
        let problem = reader
            .error(place, format!("`{KEY}` is a heading, not a value"))
            .with_help(format!("write [{KEY}] and below it {}", KEYS.join(", ")));
        return reader.problem(problem);
    };
    let mut draft = Draft { heading: place, ..Draft::default() };
    let mut sound = true;
    for (key, item) in table.iter() {
        let at = item.span().unwrap_or_else(|| draft.heading.clone());
        let path = format!("{KEY}.{key}");
        reader.put_place(&path, at.clone());
        let done = match key {
            "axle" => reader.string(item, at.clone(), &path).map(|name| draft.axle = Some((name, at))),
            "caliper" => reader.string(item, at.clone(), &path).map(|name| draft.caliper = Some((name, at))),
            "shock" => two_names(reader, item, &at, SHOCK).map(|names| draft.shock = Some(names)),
            "points" => match item.as_table_like() {
                Some(table) => {
                    draft.points_heading = Some(at);
                    for (name, item) in table.iter() {
                        let key = table.get_key_value(name).and_then(|(key, _)| key.span());
                        match point(reader, name, item, key) {
                            Ok(point) => draft.points.push(point),
                            Err(problem) => {
                                sound = false;
                                reader.problem(*problem);
                            }
                        }
                    }
                    Ok(())
                }
                None => Err(reader
                    .error(at, "the points of a linkage stand below a heading of their own")
                    .with_help("[linkage.points] and below it \"main pivot\" = { at = [-12, 38], on = [\"frame\", \"swing arm\"] }")
                    .into()),
            },
            "distance" => distances(reader, item, &at).map(|distances| draft.distances = distances),
            "chip" => chip(reader, item, &at).map(|chip| draft.chip = Some(chip)),
            _ => Err(no_key(reader, "a linkage", key, table, at, &KEYS).into()),
        };
        if let Err(problem) = done {
            sound = false;
            reader.problem(*problem);
        }
    }
    if sound {
        reader.record.linkage = check::checked(reader, &draft).then(|| finished(draft)).flatten();
    }
}

const SHOCK: (&str, &str) = ("the shock sits between two points", "shock = [\"rocker eye\", \"frame eye\"]");
const BETWEEN: (&str, &str) = (
    "a distance is between two points",
    "between = [\"main pivot\", \"axle\"]; \"bottom bracket\" is known, too",
);

fn finished(draft: Draft) -> Option<Linkage> {
    let plain = |names: [Named; 2]| names.map(|(name, _)| name);
    Some(Linkage {
        axle: draft.axle?.0,
        caliper: draft.caliper.map(|(name, _)| name),
        shock: plain(draft.shock?),
        points: draft.points.into_iter().map(|(point, _)| point).collect(),
        distances: draft
            .distances
            .into_iter()
            .map(|(value, between)| Distance { between: plain(between), value })
            .collect(),
        chip: draft.chip.map(|chip| Chip {
            moves: chip.moves.0,
            part: chip.part.map(|(part, _)| part),
            now: chip.now.0,
            places: chip.places.into_iter().map(|(place, _)| place).collect(),
        }),
    })
}

fn no_key(
    reader: &Reader<'_>,
    what: &str,
    key: &str,
    table: &dyn TableLike,
    at: Range<usize>,
    known: &[&str],
) -> Problem {
    let at = table.get_key_value(key).and_then(|(key, _)| key.span()).unwrap_or(at);
    reader.error(at, format!("{what} has no `{key}`")).with_help(near(key, known))
}

/// Texts of an array, each with its place.
fn texts(
    reader: &Reader<'_>,
    item: &Item,
    at: &Range<usize>,
    (message, help): (&str, &str),
) -> Read<Vec<Named>> {
    let wrong = || reader.error(at.clone(), message).with_help(help);
    let array = item.as_array().ok_or_else(wrong)?;
    array
        .iter()
        .map(|value| {
            let at = value.span().unwrap_or_else(|| at.clone());
            match value.as_str().map(str::trim) {
                Some(text) if !text.is_empty() => Ok((text.to_owned(), at)),
                _ => Err(reader.error(at, "a name must be a text in quotes").with_help(help).into()),
            }
        })
        .collect()
}

fn two_names(reader: &Reader<'_>, item: &Item, at: &Range<usize>, words: (&str, &str)) -> Read<[Named; 2]> {
    texts(reader, item, at, words)?
        .try_into()
        .map_err(|_| reader.error(at.clone(), words.0).with_help(words.1).into())
}

/// A number of `dimension` within what is possible, in the unit of the edge.
fn within(
    reader: &Reader<'_>,
    (what, dimension): (&str, Dimension),
    value: f64,
    [least, most]: [f64; 2],
    at: &Range<usize>,
) -> Read<()> {
    let (edge, unit) = (value / dimension.edge_factor(), dimension.edge_unit());
    if (least..=most).contains(&edge) {
        return Ok(());
    }
    Err(reader
        .error(at.clone(), format!("{what} cannot be {}", shown(edge, unit)))
        .with_help(format!("possible is {} to {}", shown(least, unit), shown(most, unit)))
        .into())
}

/// Two coordinates, [forward, up], that are known in one way.
fn pair(
    reader: &Reader<'_>,
    item: &Item,
    at: &Range<usize>,
    how: &How,
    (what, farthest): (&str, f64),
) -> Read<[Fact; 2]> {
    let wrong = || {
        reader
            .error(at.clone(), format!("{what} is two numbers: forward and up"))
            .with_help("[-12, 38] is 12 mm behind and 38 mm above the bottom bracket")
    };
    let array = item.as_array().filter(|array| array.len() == 2).ok_or_else(wrong)?;
    let one = |index: usize| -> Read<Fact> {
        let value: &Value = array.get(index).ok_or_else(wrong)?;
        let at = value.span().unwrap_or_else(|| at.clone());
        let (text, reading) = reader.number(what, Dimension::Length, &Item::Value(value.clone()), &at)?;
        within(reader, (what, Dimension::Length), reading.value, [-farthest, farthest], &at)?;
        reader.fact_told(how, text, reading, Dimension::Length, &at)
    };
    Ok([one(0)?, one(1)?])
}

fn point(
    reader: &Reader<'_>,
    name: &str,
    item: &Item,
    key: Option<Range<usize>>,
) -> Read<(Point, PointPlaces)> {
    let place = item.span().or_else(|| key.clone()).unwrap_or(0..0);
    let name_place = key.unwrap_or_else(|| place.clone());
    let what = format!("\"{name}\"");
    let example = format!("{what} = {{ at = [-12, 38], on = [\"frame\", \"swing arm\"], with = \"tape\" }}");
    let Some(table) = item.as_table_like() else {
        return Err(reader
            .error(place, format!("{what} must say where it is and on which parts"))
            .with_help(example)
            .into());
    };
    if name.trim() != name || name.is_empty() {
        return Err(reader
            .error(name_place, "a point's name cannot begin or end with a blank")
            .with_help(format!("\"{}\"", if name.trim().is_empty() { "main pivot" } else { name.trim() }))
            .into());
    }
    let mut how = How::default();
    let (mut at, mut on, mut slides, mut teeth, mut over) = (None, None, None, None, None);
    for (key, item) in table.iter() {
        let place = item.span().unwrap_or_else(|| place.clone());
        match key {
            "at" => at = Some((item, place)),
            "on" => on = Some(texts(reader, item, &place, (ON, "on = [\"frame\", \"swing arm\"]"))?),
            "slides" => slides = Some((item, place)),
            "teeth" => teeth = Some(teeth_of(reader, &what, item, &place)?),
            "chain" => {
                let ways = [("over", true), ("under", false)];
                over = Some((reader.word(item, place.clone(), "chain", &ways)?, place));
            }
            _ if reader.how(&mut how, key, item, &place, (&what, Dimension::Length))? => {}
            _ => return Err(no_key(reader, "a point", key, table, place, &POINT_KEYS).into()),
        }
    }
    let (Some((at, at_place)), Some(on)) = (at, on) else {
        return Err(reader
            .error(name_place, format!("{what} must say where it is and on which parts"))
            .with_help(example)
            .into());
    };
    let [x, y] = pair(reader, at, &at_place, &how, (&what, FARTHEST))?;
    if let (None, Some((_, place))) = (teeth, &over) {
        return Err(reader
            .error(place.clone(), format!("{what} has no `teeth`, so no chain runs past it"))
            .with_help("add `teeth = …`, or take out `chain`")
            .into());
    }
    let places = PointPlaces {
        name: name_place,
        on: on.iter().map(|(_, place)| place.clone()).collect(),
        slides: slides.as_ref().map_or(0..0, |(_, place)| place.clone()),
    };
    let slides = slides
        .map(|(item, place)| line(reader, &format!("the line of {what}"), item, &place, &how))
        .transpose()?;
    let idler = teeth.map(|teeth| Idler { teeth, over: over.is_none_or(|(over, _)| over) });
    let on = on.into_iter().map(|(part, _)| part).collect();
    Ok((Point { name: name.to_owned(), x, y, on, slides, idler }, places))
}

const ON: &str = "a point is on one part or on two";

fn teeth_of(reader: &Reader<'_>, what: &str, item: &Item, at: &Range<usize>) -> Read<f64> {
    let teeth = match item.as_value() {
        Some(Value::Integer(teeth)) => f64::from(i32::try_from(*teeth.value()).unwrap_or(i32::MAX)),
        _ => f64::NAN,
    };
    let [least, most] = TEETH;
    if (least..=most).contains(&teeth) {
        return Ok(teeth);
    }
    Err(reader
        .error(at.clone(), format!("the teeth of {what} must be a whole number from {least} to {most}"))
        .with_help(
            "count them; a roller without teeth has its pitch circle's circumference over half an inch",
        )
        .into())
}

/// The line of a sliding joint: an angle that is known as its point is, unless it says otherwise.
fn line(reader: &Reader<'_>, what: &str, item: &Item, at: &Range<usize>, how: &How) -> Read<Fact> {
    let fact = match item.as_table_like() {
        Some(table) => reader.told(what, Dimension::Angle, "84", table, at)?,
        None => {
            let (text, reading) = reader.number(what, Dimension::Angle, item, at)?;
            let alike = How { known: Some(how.known()), with: how.with.clone(), tolerance: None };
            reader.fact_told(&alike, text, reading, Dimension::Angle, at)?
        }
    };
    within(reader, (what, Dimension::Angle), fact.value, [-360.0, 360.0], at)?;
    Ok(fact)
}

fn distances(reader: &mut Reader<'_>, item: &Item, at: &Range<usize>) -> Read<Vec<(Fact, [Named; 2])>> {
    let inline = |value: &Value| value.as_inline_table().map(|table| (table.clone(), value.span()));
    let mut found = Vec::new();
    if let Some(tables) = item.as_array_of_tables() {
        for table in tables {
            found.push(distance(reader, table, &table.span().unwrap_or_else(|| at.clone()))?);
        }
    } else if let Some(tables) =
        item.as_array().and_then(|array| array.iter().map(inline).collect::<Option<Vec<_>>>())
    {
        for (table, place) in tables {
            found.push(distance(reader, &table, &place.unwrap_or_else(|| at.clone()))?);
        }
    } else {
        return Err(reader
            .error(at.clone(), "each distance stands below a heading of its own")
            .with_help(
                "[[linkage.distance]] and below it `between = [\"main pivot\", \"axle\"]` and `value = 428`",
            )
            .into());
    }
    Ok(found)
}

fn distance(reader: &Reader<'_>, table: &dyn TableLike, place: &Range<usize>) -> Read<(Fact, [Named; 2])> {
    let what = "a distance";
    let mut how = How::default();
    let (mut between, mut value) = (None, None);
    for (key, item) in table.iter() {
        let at = item.span().unwrap_or_else(|| place.clone());
        match key {
            "between" => between = Some(two_names(reader, item, &at, BETWEEN)?),
            "value" => value = Some((reader.number(what, Dimension::Length, item, &at)?, at)),
            _ if reader.how(&mut how, key, item, &at, (what, Dimension::Length))? => {}
            _ => return Err(no_key(reader, what, key, table, at, &DISTANCE_KEYS).into()),
        }
    }
    let (Some(between), Some(((text, reading), at))) = (between, value) else {
        return Err(reader
            .error(place.clone(), "a distance has its two points and its value")
            .with_help("between = [\"main pivot\", \"axle\"], value = 428, with = \"tape\"")
            .into());
    };
    within(reader, (what, Dimension::Length), reading.value, [1.0, FARTHEST], &at)?;
    Ok((reader.fact_told(&how, text, reading, Dimension::Length, &at)?, between))
}

fn chip(reader: &Reader<'_>, item: &Item, place: &Range<usize>) -> Read<DraftChip> {
    let help = "moves = \"lower eye\", now = \"high\", places = { high = [0, 0], low = [-4, 6] }";
    let incomplete = || {
        reader
            .error(place.clone(), "a chip says which point it moves, where it is now, and its places")
            .with_help(help)
    };
    let table = item.as_table_like().ok_or_else(incomplete)?;
    let mut how = How::default();
    let (mut moves, mut part, mut now, mut places) = (None, None, None, None);
    for (key, item) in table.iter() {
        let at = item.span().unwrap_or_else(|| place.clone());
        match key {
            "moves" => moves = Some((reader.string(item, at.clone(), "linkage.chip.moves")?, at)),
            "in" => part = Some((reader.string(item, at.clone(), "linkage.chip.in")?, at)),
            "now" => now = Some((reader.string(item, at.clone(), "linkage.chip.now")?, at)),
            "places" => places = Some((item, at)),
            _ if reader.how(&mut how, key, item, &at, ("a place of the chip", Dimension::Length))? => {}
            _ => return Err(no_key(reader, "a chip", key, table, at, &CHIP_KEYS).into()),
        }
    }
    let (Some(moves), Some(now), Some((item, _))) = (moves, now, places) else {
        return Err(incomplete().into());
    };
    let table = item.as_table_like().ok_or_else(incomplete)?;
    let mut places = Vec::new();
    for (name, item) in table.iter() {
        let at = item.span().unwrap_or_else(|| place.clone());
        let [mut x, mut y] = pair(reader, item, &at, &how, ("a place of the chip", FARTHEST_CHIP))?;
        if name == now.0 {
            // Where it is now it moves nothing, by definition.
            (x.uncertainty, y.uncertainty) = (0.0, 0.0);
        }
        places.push((Place { name: name.to_owned(), x, y }, at));
    }
    Ok(DraftChip { moves, part, now, places })
}
