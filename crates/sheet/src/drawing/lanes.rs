//! Dimensions laid out in lanes around the bike, so that no two can meet.
//!
//! Everything here is in units of the drawing with the bike's box at the origin: its left top corner is
//! (0, 0). Lanes above and to the left have negative places.

use std::borrow::Cow;

use kurbo::{Affine, Point, Rect, Size, Vec2};

use super::measure::{Measure, Side, measure};
use super::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use super::style::Style;
use super::wording::Wording;
use crate::lettering::{ASCENT, DESCENT};
use crate::picture::Outline;

/// Dimensions that have their lanes, and how much room these take on each side.
pub struct Lanes<'a> {
    /// Room above, at the right, below and at the left of the bike's box.
    pub room: [f64; 4],
    /// Side by side, on each side the short ones first.
    entries: Vec<Entry<'a>>,
    /// Of the bike's box.
    size: Size,
}

/// One dimension.
struct Entry<'a> {
    side: Side,
    /// Ends along the lane; equal for an angle, which has no line.
    ends: (f64, f64),
    /// Points from which the extension lines start; none for an angle.
    features: Option<(Point, Point)>,
    text: Vec<Cow<'a, str>>,
    change: Vec<Cow<'a, str>>,
    /// Middle of the text along the lane.
    middle: f64,
    /// What its line and its text fill along the lane.
    extents: [(f64, f64); 2],
    /// Number of its lane, counted from the bike.
    lane: usize,
    /// Distance of its line from the bike's box.
    line: f64,
}

/// Room toward the bike and away from it, seen from a lane's line.
#[derive(Clone, Default)]
struct Lane {
    inner: f64,
    outer: f64,
    /// What its dimensions fill along the lane.
    taken: Vec<[(f64, f64); 2]>,
}

/// Gives the dimensions of `outline` lanes around a box of `size`, beyond `kept` units of other things on each side.
pub fn lay_out<'a>(
    wordings: &[&'a Wording],
    outline: &Outline,
    to_paper: Affine,
    size: Size,
    kept: [f64; 4],
    style: &Style,
) -> Lanes<'a> {
    let mut lanes = Lanes { room: kept, entries: Vec::with_capacity(wordings.len()), size };
    let mut over = [0.0_f64; 4];
    for (index, side) in [Side::Top, Side::Right, Side::Bottom, Side::Left].into_iter().enumerate() {
        let start = lanes.entries.len();
        for wording in wordings {
            let measured =
                measure(wording.dimension.kind, outline).filter(|measured| measured.side() == side);
            lanes.entries.extend(measured.map(|measured| entry(wording, measured, to_paper, size, style)));
        }
        let here = &mut lanes.entries[start..];
        let ends = overhang(here, if side.is_level() { size.width } else { size.height });
        lanes.room[index] = place_side(side, here, kept[index], style);
        let beside = if side.is_level() { [3, 1] } else { [0, 2] };
        over[beside[0]] = over[beside[0]].max(ends.0);
        over[beside[1]] = over[beside[1]].max(ends.1);
    }
    for (room, over) in lanes.room.iter_mut().zip(over) {
        *room = room.max(over);
    }
    lanes
}

impl Lanes<'_> {
    /// Width and height of the bike's box with all lanes around it.
    pub fn outer(&self) -> Size {
        let [top, right, bottom, left] = self.room;
        Size::new(self.size.width + right + left, self.size.height + top + bottom)
    }

    /// Dimension lines, arrows and texts; extension lines apart, since others cut them.
    pub fn draw(&self, style: &Style) -> Scene {
        let mut scene = Scene::default();
        for entry in &self.entries {
            draw(&mut scene, entry, self.size, style);
        }
        scene
    }

    /// Extension lines, which run into the bike's box.
    pub fn thin(&self, style: &Style) -> Vec<(Point, Point)> {
        let mut thin = Vec::new();
        for here in self.entries.chunk_by(|a, b| a.side == b.side) {
            extension_lines(&mut thin, here, self.size, style);
        }
        thin
    }
}

/// How far lines and texts stick out at either end of their lanes.
fn overhang(entries: &[Entry], length: f64) -> (f64, f64) {
    let extents = entries.iter().flat_map(|entry| entry.extents);
    extents.fold((0.0, 0.0), |over, extent| (over.0.max(-extent.0), over.1.max(extent.1 - length)))
}

fn entry<'a>(
    wording: &'a Wording,
    measured: Measure,
    to_paper: Affine,
    size: Size,
    style: &Style,
) -> Entry<'a> {
    let side = measured.side();
    let (ends, features) = match measured {
        Measure::Distance(_, a, b) => {
            let (a, b) = (to_paper * a, to_paper * b);
            let ends = if side.is_level() { (a.x, b.x) } else { (a.y, b.y) };
            let ends = if ends.0 <= ends.1 { ends } else { (ends.1, ends.0) };
            (ends, Some((a, b)))
        }
        Measure::Angle(vertex, _) => {
            let vertex = to_paper * vertex;
            ((vertex.x, vertex.x), None)
        }
    };
    let length = if side.is_level() { size.width } else { size.height };
    let (text, change) = (wording.text.broken(length), wording.change.broken(length));
    let widest = text.widest.max(change.widest);
    let middle = f64::midpoint(ends.0, ends.1).clamp(widest / 2.0, (length - widest / 2.0).max(widest / 2.0));
    let tail = if outside(ends, style) && features.is_some() { 2.2 * style.arrow } else { 0.0 };
    let line = (ends.0 - tail, ends.1 + tail);
    let extents = [line, (middle - widest / 2.0, middle + widest / 2.0)];
    let (text, change) = (text.lines, change.lines);
    Entry { side, ends, features, text, change, middle, extents, lane: 0, line: 0.0 }
}

/// True when the arrows must stand outside, pointing inward.
fn outside(ends: (f64, f64), style: &Style) -> bool {
    ends.1 - ends.0 < 2.6 * style.arrow
}

/// Gives every entry of a side its lane and returns the room that the side now takes.
fn place_side(side: Side, entries: &mut [Entry], kept: f64, style: &Style) -> f64 {
    // Short ones inside: then extension lines seldom cross a dimension line.
    entries.sort_by(|a, b| (a.ends.1 - a.ends.0).total_cmp(&(b.ends.1 - b.ends.0)));
    let mut table: Vec<Lane> = Vec::new();
    for entry in &mut *entries {
        entry.lane = table.iter().position(|lane| lane.is_free(entry, style)).unwrap_or(table.len());
        if entry.lane == table.len() {
            table.push(Lane::default());
        }
        table[entry.lane].take(side, entry, style);
    }
    let mut base = kept;
    for (index, lane) in table.iter().enumerate() {
        let line = base + style.gap * 0.8 + lane.inner;
        entries.iter_mut().filter(|entry| entry.lane == index).for_each(|entry| entry.line = line);
        base = line + lane.outer;
    }
    base
}

impl Lane {
    /// Lines may touch end to end, like links of a chain; texts keep a distance.
    fn is_free(&self, entry: &Entry, style: &Style) -> bool {
        let apart = |a: (f64, f64), b: (f64, f64), gap: f64| a.1 + gap < b.0 || b.1 + gap < a.0;
        self.taken.iter().all(|[line, text]| {
            apart(*line, entry.extents[0], -0.5) && apart(*text, entry.extents[1], style.gap)
        })
    }

    fn take(&mut self, side: Side, entry: &Entry, style: &Style) {
        self.taken.push(entry.extents);
        let above = block(entry.text.len(), style);
        let below = block(entry.change.len(), style);
        let (inner, outer) = match side {
            Side::Top | Side::Left => (below, above),
            Side::Right | Side::Bottom => (above, below),
        };
        self.inner = self.inner.max(inner);
        self.outer = self.outer.max(outer);
    }
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

fn draw(scene: &mut Scene, entry: &Entry, size: Size, style: &Style) {
    let at = |along: f64| on_lane(entry.side, along, entry.line, size);
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
            ..Text::level(shifted(-up), Anchor::Middle, style.regular(), Tint::Ink, words.as_ref())
        });
    }
    for (index, words) in entry.change.iter().enumerate() {
        let down = index as f64 * leading + 2.0 + ASCENT * size_of_type;
        scene.text(Text {
            turned,
            ..Text::level(shifted(down), Anchor::Middle, style.semibold(), Tint::Change, words.as_ref())
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
fn extension_lines(thin: &mut Vec<(Point, Point)>, entries: &[Entry], size: Size, style: &Style) {
    let mut drawn: Vec<(Point, f64, Side)> = Vec::new();
    for entry in entries {
        let Some((a, b)) = entry.features else { continue };
        for feature in [a, b] {
            let same = drawn.iter_mut().find(|(other, ..)| other.distance(feature) < 0.5);
            match same {
                Some(other) => other.1 = other.1.max(entry.line),
                None => drawn.push((feature, entry.line, entry.side)),
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
            thin.push((feature + direction * (gap / length), end));
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
