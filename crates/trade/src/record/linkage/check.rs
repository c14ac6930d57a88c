//! Whether a linkage that was read could be one.

use std::ops::Range;

use super::read::{Draft, Named, PointPlaces};
use super::{AXLE, BOTTOM_BRACKET, FRAME, Linkage, Point};
use crate::problem::nearest;
use crate::record::parse::Reader;
use crate::record::{Kind, Record};
use crate::units::shown;

/// Most parts that move against the front triangle.
const MOST_MOVING: usize = knockon_engine::suspension::linkage::MOST_BODIES - 1;

/// One fault: its place, what is wrong, how to mend it.
type Fault = (Range<usize>, String, String);

/// Reports every fault of a draft; true when there is none.
pub(super) fn checked(reader: &mut Reader<'_>, draft: &Draft) -> bool {
    let mut faults = Vec::new();
    incomplete(draft, &mut faults);
    for (point, places) in &draft.points {
        of_point(point, places, &mut faults);
    }
    // What hangs on what can only be told once every point is on one part or two.
    if faults.is_empty() {
        let points = draft.points.iter().map(|(point, _)| point.clone()).collect();
        let linkage = Linkage {
            axle: String::new(),
            caliper: None,
            shock: Default::default(),
            points,
            distances: vec![],
            chip: None,
        };
        parts(draft, &linkage, &mut faults);
        names(draft, &linkage, &mut faults);
        if faults.is_empty() {
            mobility(draft, &linkage, &mut faults);
        }
    }
    let sound = faults.is_empty();
    for (place, message, help) in faults {
        let problem = reader.error(place, message).with_help(help);
        reader.problem(problem);
    }
    sound
}

fn incomplete(draft: &Draft, faults: &mut Vec<Fault>) {
    let mut say = |place: &Range<usize>, message: &str, help: &str| {
        faults.push((place.clone(), message.to_owned(), help.to_owned()));
    };
    if draft.axle.is_none() {
        say(&draft.heading, "a linkage says which part carries the rear axle", "axle = \"seat stay\"");
    }
    if draft.shock.is_none() {
        let help = "shock = [\"rocker eye\", \"frame eye\"]";
        say(&draft.heading, "a linkage says between which two points the shock sits", help);
    }
    if draft.points.len() < 2 {
        let place = draft.points_heading.as_ref().unwrap_or(&draft.heading);
        let help = "[linkage.points] and below it one line for each pivot and each eye of the shock";
        say(place, "a linkage has at least two points", help);
    }
}

fn of_point(point: &Point, places: &PointPlaces, faults: &mut Vec<Fault>) {
    let name = &point.name;
    if [AXLE, BOTTOM_BRACKET].contains(&name.as_str()) {
        faults.push((
            places.name.clone(),
            format!("\"{name}\" is known already and needs no line"),
            "it follows from the chart; give a point that lies elsewhere another name".to_owned(),
        ));
    }
    let twice = point.on.iter().enumerate().find(|(at, part)| point.on[..*at].contains(part));
    if let Some((at, part)) = twice {
        let message = format!("\"{name}\" names the part \"{part}\" twice");
        faults.push((places.on[at].clone(), message, "a pivot joins two different parts".to_owned()));
        return;
    }
    match point.on.as_slice() {
        [] => faults.push((
            places.name.clone(),
            format!("\"{name}\" is on no part"),
            "on = [\"frame\"] for an eye of the shock, on = [\"frame\", \"swing arm\"] for a pivot"
                .to_owned(),
        )),
        [part] if point.slides.is_some() => faults.push((
            places.slides.clone(),
            format!("\"{name}\" slides, but is on \"{part}\" only"),
            format!(
                "a sliding joint is on two parts, first the one that holds the line: on = [\"{part}\", \"…\"]"
            ),
        )),
        [_] | [_, _] => {}
        [a, b, c, ..] => faults.push((
            places.on[2].clone(),
            format!("\"{name}\" joins {} parts; a pivot joins two", point.on.len()),
            format!(
                "write two pivots at the same place, one on \"{a}\" and \"{b}\", one on \"{b}\" and \"{c}\""
            ),
        )),
    }
}

fn parts(draft: &Draft, linkage: &Linkage, faults: &mut Vec<Fault>) {
    let all = linkage.parts();
    let moving = all.len() - 1;
    if moving > MOST_MOVING {
        faults.push((
            draft.heading.clone(),
            format!("{moving} parts that move are more than the {MOST_MOVING} that can be computed"),
            "parts that are bolted together are one part".to_owned(),
        ));
        return;
    }
    let first = |part: &str| {
        let of = |(point, places): &(Point, PointPlaces)| {
            point.on.iter().position(|on| on == part).map(|at| places.on[at].clone())
        };
        draft.points.iter().find_map(of).unwrap_or_else(|| draft.heading.clone())
    };
    for part in linkage.loose() {
        let others = all.iter().copied().filter(|other| *other != part);
        let help = match nearest(part, others) {
            Some(near) => {
                format!("did you mean \"{near}\"? Else a pivot is missing: on = [\"{near}\", \"{part}\"]")
            }
            None => format!(
                "a pivot is missing: a point on = [\"{FRAME}\", \"{part}\"], or on a part that is joined"
            ),
        };
        faults.push((first(part), format!("nothing joins the part \"{part}\" to the frame"), help));
    }
    let mut known = |named: &Option<Named>, what: &str, frame_too: bool| {
        let Some((name, place)) = named else { return };
        if !all.contains(&name.as_str()) {
            let help = match nearest(name, all.iter().copied()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("the points name {}", quoted(&all)),
            };
            faults.push((place.clone(), format!("no point is on a part called \"{name}\""), help));
        } else if !frame_too && name == FRAME {
            let help = format!("it is one of the parts that move: {}", quoted(&all[1..]));
            faults.push((place.clone(), format!("the frame itself cannot carry {what}"), help));
        }
    };
    known(&draft.axle, "the rear axle of a suspension", false);
    known(&draft.caliper, "the caliper", true);
}

fn quoted(names: &[&str]) -> String {
    names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
}

fn names(draft: &Draft, linkage: &Linkage, faults: &mut Vec<Fault>) {
    let points: Vec<&str> = linkage.points.iter().map(|point| point.name.as_str()).collect();
    let mut known = |(name, place): &Named, more: &[&str]| {
        let candidates = || points.iter().chain(more).copied();
        let found = candidates().any(|known| known == name);
        if !found {
            let help = match nearest(name, candidates()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("the points are {}", quoted(&candidates().collect::<Vec<_>>())),
            };
            faults.push((place.clone(), format!("no point is called \"{name}\""), help));
        }
        found
    };
    let mut twins = Vec::new();
    let mut eyes = None;
    if let Some([a, b]) = &draft.shock
        && known(a, &[]) & known(b, &[])
    {
        if a.0 == b.0 {
            twins.push((b, "the shock sits between two different points"));
        } else {
            eyes = Some((a, b));
        }
    }
    for (_, [a, b]) in &draft.distances {
        let more = [AXLE, BOTTOM_BRACKET];
        if known(a, &more) & known(b, &more) && a.0 == b.0 {
            twins.push((b, "a distance is between two different points"));
        }
    }
    let chip_known = draft.chip.as_ref().is_some_and(|chip| known(&chip.moves, &[]));
    for (named, message) in twins {
        faults.push((named.1.clone(), message.to_owned(), format!("\"{}\" stands twice", named.0)));
    }
    if let Some((a, b)) = eyes {
        let parts = |named: &Named| linkage.point(&named.0).map_or(&[][..], |at| &linkage.points[at].on);
        if let Some(part) = parts(a).iter().find(|part| parts(b).contains(part)) {
            faults.push((
                b.1.clone(),
                format!("both eyes of the shock are on \"{part}\": nothing could press it together"),
                "one eye is a point of another part".to_owned(),
            ));
        }
    }
    if chip_known {
        chip(draft, faults);
        chip_part(draft, linkage, faults);
    }
}

/// A chip at a pivot sits in one of the two parts that it joins, and which one makes a difference.
fn chip_part(draft: &Draft, linkage: &Linkage, faults: &mut Vec<Fault>) {
    let Some(chip) = &draft.chip else { return };
    let Some(point) = linkage.point(&chip.moves.0).map(|point| &linkage.points[point]) else { return };
    let parts: Vec<&str> = point.on.iter().map(String::as_str).collect();
    if point.slides.is_some() {
        faults.push((
            chip.moves.1.clone(),
            format!("\"{}\" slides, and a chip moves a pivot, an eye or the axle", point.name),
            "name a point that turns".to_owned(),
        ));
        return;
    }
    match &chip.part {
        Some((part, at)) if !parts.contains(&part.as_str()) => faults.push((
            at.clone(),
            format!("\"{}\" is not on \"{part}\"", point.name),
            format!("it is on {}", quoted(&parts)),
        )),
        None if point.is_joint() => faults.push((
            chip.moves.1.clone(),
            format!("\"{}\" joins two parts, and the chip sits in one of them", point.name),
            format!("in = \"{}\" or in = \"{}\"", parts[0], parts[1]),
        )),
        _ => {}
    }
}

fn chip(draft: &Draft, faults: &mut Vec<Fault>) {
    let Some(chip) = &draft.chip else { return };
    let (now, place) = &chip.now;
    let Some((present, at)) = chip.places.iter().find(|(known, _)| known.name == *now) else {
        let all: Vec<&str> = chip.places.iter().map(|(known, _)| known.name.as_str()).collect();
        let help = nearest(now, all.iter().copied()).map_or_else(
            || format!("its places are {}", quoted(&all)),
            |near| format!("did you mean \"{near}\"?"),
        );
        faults.push((place.clone(), format!("the chip has no place \"{now}\""), help));
        return;
    };
    if present.x.value != 0.0 || present.y.value != 0.0 {
        faults.push((
            at.clone(),
            format!("the chip is in \"{now}\" now, where it moves nothing: {now} = [0, 0]"),
            "the points are told for the present place; the other places are counted from it".to_owned(),
        ));
    }
}

fn mobility(draft: &Draft, linkage: &Linkage, faults: &mut Vec<Fault>) {
    if let Some((first, second)) = linkage.doubled() {
        let (a, b) = (&draft.points[first].0, &draft.points[second]);
        let [one, other] = [&b.0.on[0], &b.0.on[1]];
        faults.push((
            b.1.name.clone(),
            format!(
                "\"{}\" and \"{}\" both join \"{one}\" and \"{other}\", which could not move then",
                a.name, b.0.name
            ),
            "take one of them out, or name the right parts".to_owned(),
        ));
        return;
    }
    let place = draft.points_heading.clone().unwrap_or_else(|| draft.heading.clone());
    match linkage.ways_to_move() {
        1 => {}
        ways if ways > 1 => faults.push((
            place,
            format!("the parts can move in {ways} ways; a suspension has one: a link or pivot is missing"),
            "each pivot is a point on two parts; compare the list with the bike, pivot by pivot".to_owned(),
        )),
        _ => faults.push((
            place,
            "the parts cannot move at all: there is a pivot too many, or two parts that are bolted together have two names"
                .to_owned(),
            "a suspension can move in one way; compare the list with the bike, pivot by pivot".to_owned(),
        )),
    }
}

/// What is odd about a linkage beside the rest of the record.
pub(in crate::record) fn warnings(reader: &mut Reader<'_>) {
    let Some(linkage) = &reader.record.linkage else { return };
    let mut found = Vec::new();
    if let Some(kind) = reader.record.kind.filter(|kind| *kind != Kind::FullSuspension) {
        found.push((
            "linkage",
            format!("a linkage on a bike that is {}", kind.word()),
            "write `kind = \"full suspension\"`, or take the linkage out".to_owned(),
        ));
    }
    if let Some(message) = eyes_apart(linkage, &reader.record) {
        found.push(("linkage.shock", message, "measure both eyes again; it is used as it stands".to_owned()));
    }
    for (key, message, help) in found {
        let problem = reader.error(reader.place(key), message).with_help(help).as_warning();
        reader.problem(problem);
    }
}

/// Whether the eyes are drawn farther apart or closer than the shock is long, beyond the tolerance of both.
fn eyes_apart(linkage: &Linkage, record: &Record) -> Option<String> {
    let eyes = record.fact("shock.eye_to_eye")?;
    // Offset bushings bring the mounts together.
    let (by, by_uncertainty) =
        record.fact("shock.bushing_offset").map_or((0.0, 0.0), |fact| (fact.value, fact.uncertainty));
    let (length, uncertainty) = (eyes.value - by, eyes.uncertainty.hypot(by_uncertainty));
    let [a, b] = [0, 1].map(|eye| linkage.point(&linkage.shock[eye]));
    let (a, b) = (&linkage.points[a?], &linkage.points[b?]);
    let (x, y) = (b.x.value - a.x.value, b.y.value - a.y.value);
    let drawn = x.hypot(y);
    // Along the line of the eyes the coordinates' uncertainties add up by its direction.
    let across = [(x / drawn, &a.x, &b.x), (y / drawn, &a.y, &b.y)];
    let variance: f64 =
        across.iter().map(|(by, a, b)| by * by * (a.uncertainty.powi(2) + b.uncertainty.powi(2))).sum();
    let tolerance = 2.0 * (variance + uncertainty.powi(2)).sqrt();
    let apart = drawn - length;
    (apart.abs() > tolerance).then(|| {
        format!(
            "the shock's eyes are drawn {} apart, but the shock is {} eye to eye",
            shown((drawn * 10.0).round() / 10.0, "mm"),
            shown(length, "mm")
        )
    })
}
