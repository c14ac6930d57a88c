//! Dimensions laid out in lanes around the bike, so that no two can meet.
//!
//! Everything here is in units of the drawing with the bike's box at the origin: its left top corner is
//! (0, 0). Lanes above and to the left have negative places.

use kurbo::{Affine, Point, Rect, Size, Vec2};

use super::measure::{Measure, Side, measure};
use super::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use super::style::Style;
use crate::lettering::{ASCENT, DESCENT};
use crate::picture::{Dimension, Outline};

/// Laid-out dimensions and how much room they took on each side.
pub struct Lanes {
    /// Room above, at the right, below and at the left of the bike's box.
    pub room: [f64; 4],
    /// Dimension lines, arrows and texts; extension lines apart, since others cut them.
    pub scene: Scene,
    /// Extension lines, which run into the bike's box.
    pub thin: Vec<(Point, Point)>,
}

/// One dimension before it has a lane.
struct Entry {
    side: Side,
    /// Ends along the lane; equal for an angle, which has no line.
    ends: (f64, f64),
    /// Points from which the extension lines start; none for an angle.
    features: Option<(Point, Point)>,
    text: Vec<String>,
    change: Vec<String>,
    /// Middle of the text along the lane.
    middle: f64,
    /// What its line and its text fill along the lane.
    extents: [(f64, f64); 2],
    lane: usize,
}

/// Room toward the bike and away from it, seen from a lane's line.
#[derive(Clone, Copy, Default)]
struct Lane {
    inner: f64,
    outer: f64,
    /// Distance of the line from the bike's box.
    line: f64,
}

/// Lays out `dimensions` of `outline` around a box of `size`, beyond `kept` units of other things on each side.
pub fn lay_out(
    dimensions: &[Dimension],
    outline: &Outline,
    to_paper: Affine,
    size: Size,
    kept: [f64; 4],
    style: &Style,
) -> Lanes {
    let mut lanes = Lanes { room: kept, scene: Scene::default(), thin: Vec::new() };
    let mut entries = Vec::new();
    for dimension in dimensions {
        let Some(measured) = measure(dimension.kind, outline) else { continue };
        let entry = entry(dimension, measured, to_paper, size, style);
        entries.push(entry);
    }
    let mut over = [0.0_f64; 4];
    for (index, side) in [Side::Top, Side::Right, Side::Bottom, Side::Left].into_iter().enumerate() {
        let mut here: Vec<Entry> = Vec::new();
        let mut rest = Vec::new();
        for entry in entries {
            if entry.side == side { here.push(entry) } else { rest.push(entry) }
        }
        entries = rest;
        let ends = overhang(&here, if side.is_level() { size.width } else { size.height });
        lanes.room[index] = place_side(&mut lanes, side, here, size, kept[index], style);
        let beside = if side.is_level() { [3, 1] } else { [0, 2] };
        over[beside[0]] = over[beside[0]].max(ends.0);
        over[beside[1]] = over[beside[1]].max(ends.1);
    }
    for (room, over) in lanes.room.iter_mut().zip(over) {
        *room = room.max(over);
    }
    lanes
}

/// How far lines and texts stick out at either end of their lanes.
fn overhang(entries: &[Entry], length: f64) -> (f64, f64) {
    let extents = entries.iter().flat_map(|entry| entry.extents);
    extents.fold((0.0, 0.0), |over, extent| (over.0.max(-extent.0), over.1.max(extent.1 - length)))
}

fn entry(dimension: &Dimension, measured: Measure, to_paper: Affine, size: Size, style: &Style) -> Entry {
    let (side, ends, features) = match measured {
        Measure::Distance(side, a, b) => {
            let (a, b) = (to_paper * a, to_paper * b);
            let ends = if side.is_level() { (a.x, b.x) } else { (a.y, b.y) };
            let ends = if ends.0 <= ends.1 { ends } else { (ends.1, ends.0) };
            (side, ends, Some((a, b)))
        }
        Measure::Angle(vertex, _) => {
            let vertex = to_paper * vertex;
            (Side::Bottom, (vertex.x, vertex.x), None)
        }
    };
    let length = if side.is_level() { size.width } else { size.height };
    let text = style.regular().wrap(&held_together(&dimension.text), length);
    let change = style.semibold().wrap(&held_together(&dimension.change), length);
    let widest = text
        .iter()
        .map(|line| style.regular().width(line))
        .chain(change.iter().map(|line| style.semibold().width(line)))
        .fold(0.0, f64::max);
    let middle = f64::midpoint(ends.0, ends.1).clamp(widest / 2.0, (length - widest / 2.0).max(widest / 2.0));
    let tail = if outside(ends, style) && features.is_some() { 2.2 * style.arrow } else { 0.0 };
    let line = (ends.0 - tail, ends.1 + tail);
    let extents = [line, (middle - widest / 2.0, middle + widest / 2.0)];
    Entry { side, ends, features, text, change, middle, extents, lane: 0 }
}

/// No-break spaces before signs, so that a letter stays with its figure.
pub fn held_together(text: &str) -> String {
    let mut text = crate::printable::printable(text).into_owned();
    for sign in ['+', '−', '±'] {
        text = text.replace(&format!(" {sign}"), &format!("\u{a0}{sign}"));
    }
    text
}

/// True when the arrows must stand outside, pointing inward.
fn outside(ends: (f64, f64), style: &Style) -> bool {
    ends.1 - ends.0 < 2.6 * style.arrow
}

/// Gives every entry a lane, draws them all and returns the room that the side now takes.
fn place_side(
    lanes: &mut Lanes,
    side: Side,
    mut entries: Vec<Entry>,
    size: Size,
    kept: f64,
    style: &Style,
) -> f64 {
    // Short ones inside: then extension lines seldom cross a dimension line.
    entries.sort_by(|a, b| (a.ends.1 - a.ends.0).total_cmp(&(b.ends.1 - b.ends.0)));
    let mut table: Vec<Lane> = Vec::new();
    let mut taken: Vec<Vec<[(f64, f64); 2]>> = Vec::new();
    for entry in &mut entries {
        // Lines may touch end to end, like links of a chain; texts keep a distance.
        let apart = |a: (f64, f64), b: (f64, f64), gap: f64| a.1 + gap < b.0 || b.1 + gap < a.0;
        let free = |others: &Vec<[(f64, f64); 2]>| {
            others.iter().all(|[line, text]| {
                apart(*line, entry.extents[0], -0.5) && apart(*text, entry.extents[1], style.gap)
            })
        };
        let lane = taken.iter().position(free).unwrap_or(taken.len());
        if lane == taken.len() {
            taken.push(Vec::new());
            table.push(Lane::default());
        }
        taken[lane].push(entry.extents);
        entry.lane = lane;
        let above = block(entry.text.len(), style);
        let below = block(entry.change.len(), style);
        let (inner, outer) = match side {
            Side::Top | Side::Left => (below, above),
            Side::Right | Side::Bottom => (above, below),
        };
        table[lane].inner = table[lane].inner.max(inner);
        table[lane].outer = table[lane].outer.max(outer);
    }
    let mut base = kept;
    for lane in &mut table {
        lane.line = base + style.gap * 0.8 + lane.inner;
        base = lane.line + lane.outer;
    }
    for entry in &entries {
        draw(lanes, entry, table[entry.lane].line, size, style);
    }
    extension_lines(lanes, &entries, &table, size, style);
    base
}

/// Thickness of some lines of text beside a dimension line.
fn block(lines: usize, style: &Style) -> f64 {
    if lines == 0 { style.arrow * 0.6 } else { lines as f64 * style.regular().line_height() + 3.0 }
}

/// Point at `along` the lane on a line `line` away from the bike's box.
fn on_lane(side: Side, along: f64, line: f64, size: Size) -> Point {
    match side {
        Side::Top => Point::new(along, -line),
        Side::Bottom => Point::new(along, size.height + line),
        Side::Left => Point::new(-line, along),
        Side::Right => Point::new(size.width + line, along),
    }
}

fn draw(lanes: &mut Lanes, entry: &Entry, line: f64, size: Size, style: &Style) {
    let scene = &mut lanes.scene;
    let at = |along: f64| on_lane(entry.side, along, line, size);
    if entry.features.is_some() {
        let (start, end) = entry.ends;
        let along = if entry.side.is_level() { Vec2::new(1.0, 0.0) } else { Vec2::new(0.0, 1.0) };
        if outside(entry.ends, style) {
            let tail = 2.2 * style.arrow;
            scene.line(Ink::Dimension, at(start - tail), at(end + tail));
            arrowhead(scene, at(start), along, style);
            arrowhead(scene, at(end), -along, style);
        } else {
            scene.line(Ink::Dimension, at(start), at(end));
            arrowhead(scene, at(start), -along, style);
            arrowhead(scene, at(end), along, style);
        }
    }
    let middle = at(entry.middle);
    let leading = style.regular().line_height();
    let size_of_type = f64::from(style.text);
    let turned = !entry.side.is_level();
    // "Above" the line is up for level text and to the left for turned text.
    let shifted = |by: f64| if turned { middle + Vec2::new(by, 0.0) } else { middle + Vec2::new(0.0, by) };
    let count = entry.text.len();
    for (index, words) in entry.text.iter().enumerate() {
        let up = (count - 1 - index) as f64 * leading + 3.0 + DESCENT * size_of_type;
        scene.text(Text {
            turned,
            ..Text::level(shifted(-up), Anchor::Middle, style.regular(), Tint::Ink, words)
        });
    }
    for (index, words) in entry.change.iter().enumerate() {
        let down = index as f64 * leading + 2.0 + ASCENT * size_of_type;
        scene.text(Text {
            turned,
            ..Text::level(shifted(down), Anchor::Middle, style.semibold(), Tint::Change, words)
        });
    }
}

/// A slim filled head whose point is `tip`.
fn arrowhead(scene: &mut Scene, tip: Point, direction: Vec2, style: &Style) {
    scene.draw(Ink::Arrowhead, head(tip, direction, style.arrow));
}

/// A slim arrowhead of `length`, as dimensions have it.
pub fn head(tip: Point, direction: Vec2, length: f64) -> Form {
    triangle(tip, direction, length, length / 6.0)
}

/// A triangle with its point at `tip`.
pub fn triangle(tip: Point, direction: Vec2, length: f64, half: f64) -> Form {
    let side = Vec2::new(-direction.y, direction.x) * half;
    let back = tip - direction * length;
    let mut path = kurbo::BezPath::new();
    path.move_to(tip);
    path.line_to(back + side);
    path.line_to(back - side);
    path.close_path();
    Form::Path(path)
}

/// From a small gap beside the feature to a little beyond the outermost line that needs it.
fn extension_lines(lanes: &mut Lanes, entries: &[Entry], table: &[Lane], size: Size, style: &Style) {
    let mut drawn: Vec<(Point, f64, Side)> = Vec::new();
    for entry in entries {
        let Some((a, b)) = entry.features else { continue };
        let line = table[entry.lane].line;
        for feature in [a, b] {
            let same = drawn.iter_mut().find(|(other, ..)| other.distance(feature) < 0.5);
            match same {
                Some(other) => other.1 = other.1.max(line),
                None => drawn.push((feature, line, entry.side)),
            }
        }
    }
    for (feature, line, side) in drawn {
        let along = if side.is_level() { feature.x } else { feature.y };
        let end = on_lane(side, along, line + style.arrow * 0.4, size);
        let direction = end - feature;
        let length = direction.hypot();
        let gap = style.arrow * 0.5;
        if length > gap {
            lanes.thin.push((feature + direction * (gap / length), end));
        }
    }
}

/// The pieces of a straight line that lie in none of `boxes`, each box with a margin.
pub fn cut(from: Point, to: Point, boxes: &[Rect], margin: f64) -> Vec<(Point, Point)> {
    let mut pieces = vec![(0.0, 1.0)];
    for rect in boxes {
        let Some((enter, leave)) = super::clearance::inside(from, to, rect.inflate(margin, margin)) else {
            continue;
        };
        pieces = pieces
            .into_iter()
            .flat_map(|(start, end): (f64, f64)| [(start, end.min(enter)), (start.max(leave), end)])
            .filter(|(start, end)| end - start > 1e-6)
            .collect();
    }
    pieces.into_iter().map(|(start, end)| (from.lerp(to, start), from.lerp(to, end))).collect()
}
