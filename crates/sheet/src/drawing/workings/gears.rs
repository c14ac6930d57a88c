//! Every gear on a line for its ring, by development: the axis is logarithmic, so that equal steps in per cent are equally
//! far apart.

use kurbo::{Circle, Point, Rect, Size, Vec2};

use super::{MARGIN, Room, STRONG, WIDTH, WORDS, ends_first, known, quiet};
use crate::drawing::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use crate::part::{GearChart, RingLine};

/// Widest that the names of the rings may be.
const NAMES: f64 = 84.0;
/// Radius of a mark.
const MARK: f64 = 3.4;
/// From a line to the one of the gears before the changes.
const BELOW: f64 = 15.0;
/// From a line to the baseline of the names above it, and to that of those below it.
const NAME: (f64, f64) = (8.0, 17.0);
/// Between one ring's words and the next one's.
const GAP: f64 = 6.0;
/// Leading digits of figures on the axis: the roundest first.
const ROUND: [f64; 11] = [1.0, 2.0, 5.0, 3.0, 4.0, 7.0, 1.5, 6.0, 8.0, 2.5, 9.0];

/// One ring: as it is, and as it was.
struct Row<'a> {
    after: Option<&'a RingLine>,
    before: Option<&'a RingLine>,
}

/// Developments along the axis.
struct Axis {
    x0: f64,
    x1: f64,
    low: f64,
    high: f64,
}

impl Axis {
    /// From the lowest to the highest gear with some air, at least an octave.
    fn over(chart: &GearChart, x0: f64, x1: f64) -> Self {
        let all = chart.rings.iter().chain(&chart.before).flat_map(gears).map(|(value, _)| value.ln());
        let (low, high) = all
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        let (low, high) = if low <= high { (low, high) } else { (0.0, 0.0) };
        let air = ((std::f64::consts::LN_2 - (high - low)) / 2.0).max((high - low) * 0.035);
        Self { x0, x1, low: low - air, high: high + air }
    }

    fn at(&self, value: f64) -> f64 {
        self.x0 + (value.ln() - self.low) / (self.high - self.low) * (self.x1 - self.x0)
    }

    /// Round values, the roundest first.
    fn ticks(&self) -> Vec<f64> {
        let decades = (self.low.exp().log10().floor() as i32)..=(self.high.exp().log10().floor() as i32);
        let ticks = ROUND.into_iter().flat_map(|round| {
            decades.clone().map(move |decade| {
                if decade < 0 { round / 10.0_f64.powi(-decade) } else { round * 10.0_f64.powi(decade) }
            })
        });
        ticks.filter(|value| (self.low..=self.high).contains(&value.ln())).collect()
    }
}

/// The gears of a ring whose development is known.
fn gears(ring: &RingLine) -> impl Iterator<Item = (f64, &str)> {
    let all = ring.gears.iter().map(|(value, name)| (*value, name.as_str()));
    all.filter(|(value, _)| known(*value) && *value > 1e-3)
}

/// The whole chart.
pub(super) fn compose(chart: &GearChart) -> (Scene, Size) {
    let rows = rows(chart);
    let column = rows.iter().map(Row::column).fold(0.0, f64::max);
    let axis = Axis::over(chart, MARGIN + column + 12.0, WIDTH - MARGIN - 8.0);
    let mut scene = Scene::default();
    let mut y = 2.0;
    for row in &rows {
        let drawn = row.drawn(&axis);
        let area = reach(&drawn);
        scene.place(drawn, Vec2::new(0.0, y - area.y0));
        y += area.height() + GAP;
    }
    let foot = y + 4.0;
    let height = feet(&mut scene, chart, &axis, foot);
    (scene, Size::new(WIDTH, height))
}

/// Each ring with what it was: by its name, else by its place where there are as many as before.
fn rows(chart: &GearChart) -> Vec<Row<'_>> {
    let mut left: Vec<&RingLine> = chart.before.iter().collect();
    let same = chart.before.len() == chart.rings.len();
    let mut rows: Vec<Row> = Vec::new();
    for ring in &chart.rings {
        let old = left.iter().position(|old| old.label == ring.label).map(|place| left.remove(place));
        rows.push(Row { after: Some(ring), before: old });
    }
    for row in rows.iter_mut().filter(|row| same && row.before.is_none()) {
        row.before = (!left.is_empty()).then(|| left.remove(0));
    }
    // What did not move is drawn once.
    for row in &mut rows {
        row.before = row
            .before
            .filter(|old| row.after.is_none_or(|new| old.label != new.label || !gears(old).eq(gears(new))));
    }
    rows.extend(left.into_iter().map(|ring| Row { after: None, before: Some(ring) }));
    rows
}

impl Row<'_> {
    /// Lines of the ring's name, and of what stands at the line of the gears before.
    fn names(&self) -> (Vec<String>, Vec<String>) {
        let after = self.after.map_or_else(Vec::new, |ring| STRONG.wrap(&ring.label, NAMES));
        let same = |old: &RingLine| self.after.is_some_and(|new| new.label == old.label);
        let before = self.before.map_or_else(Vec::new, |old| {
            let words = if same(old) { "before".to_owned() } else { format!("{} before", old.label) };
            WORDS.wrap(&words, NAMES)
        });
        (after, before)
    }

    /// Width of its names.
    fn column(&self) -> f64 {
        let (after, before) = self.names();
        let after = after.iter().map(|line| STRONG.width(line));
        after.chain(before.iter().map(|line| WORDS.width(line))).fold(0.0, f64::max)
    }

    /// The ring's line at height 0, with everything on it.
    fn drawn(&self, axis: &Axis) -> Scene {
        let mut scene = Scene::default();
        let (after, before) = self.names();
        let down = if self.after.is_some() { BELOW } else { 0.0 };
        let leading = WORDS.line_height();
        for (place, line) in after.iter().rev().enumerate() {
            let at = Point::new(MARGIN, 4.0 - place as f64 * leading);
            scene.text(Text::level(at, Anchor::Start, STRONG, Tint::Ink, line));
        }
        for (place, line) in before.iter().enumerate() {
            let at = Point::new(MARGIN, 4.0 + down + place as f64 * leading);
            scene.text(quiet(at, Anchor::Start, line));
        }
        if let Some(ring) = self.after {
            line(&mut scene, ring, axis, Ink::Wide, 0.0);
            let sides = if self.before.is_some() { &[-NAME.0][..] } else { &[-NAME.0, NAME.1] };
            name(&mut scene, ring, axis, sides, Tint::Ink);
        }
        if let Some(ring) = self.before {
            line(&mut scene, ring, axis, Ink::Before, down);
            name(&mut scene, ring, axis, &[down + NAME.1], Tint::Quiet);
        }
        scene
    }
}

/// From the lowest to the highest gear, with a mark for each: hollow where it is no more.
fn line(scene: &mut Scene, ring: &RingLine, axis: &Axis, ink: Ink, y: f64) {
    let places: Vec<f64> = gears(ring).map(|(value, _)| axis.at(value)).collect();
    let (Some(from), Some(to)) =
        (places.iter().copied().reduce(f64::min), places.iter().copied().reduce(f64::max))
    else {
        return;
    };
    if to > from {
        scene.line(ink, Point::new(from, y), Point::new(to, y));
    }
    for x in places {
        let mark = Form::Circle(Circle::new(Point::new(x, y), MARK));
        if ink == Ink::Before {
            scene.draw(Ink::Paper, mark.clone());
            scene.draw(Ink::Ghost, mark);
        } else {
            scene.draw(Ink::Point, mark);
        }
    }
}

/// Names of the gears, on the first of `sides` that has room.
fn name(scene: &mut Scene, ring: &RingLine, axis: &Axis, sides: &[f64], tint: Tint) {
    let room = Room { within: Rect::new(MARGIN, -1e4, WIDTH - MARGIN, 1e4), lines: &[] };
    let gears: Vec<(f64, &str)> = gears(ring).collect();
    for (value, name) in ends_first(gears.len()).map(|place| gears[place]) {
        let at = |side: &f64| Point::new(axis.at(value), *side);
        let places = sides.iter().map(|side| Text::level(at(side), Anchor::Middle, WORDS, tint, name));
        room.place(scene, places);
    }
}

/// The heights that a row takes.
fn reach(scene: &Scene) -> Rect {
    let least = Rect::new(0.0, -NAME.0, WIDTH, NAME.0);
    scene.boxes.iter().fold(least, |all, area| all.union(*area))
}

/// Grid, axis and its words below `y`; gives the figure's height.
fn feet(scene: &mut Scene, chart: &GearChart, axis: &Axis, y: f64) -> f64 {
    let free = scene.boxes.clone();
    scene.line(Ink::Fine, Point::new(axis.x0, y), Point::new(axis.x1, y));
    let room = Room { within: Rect::new(MARGIN, 0.0, WIDTH, y + 40.0), lines: &[] };
    let mut grid = Scene::default();
    for value in axis.ticks() {
        let x = axis.at(value);
        let label = quiet(Point::new(x, y + 17.0), Anchor::Middle, figure(value));
        // Figures close to each other are as hard to read as many.
        let wide = label.area().inflate(5.0, 0.0);
        if room.is_free(scene, wide) {
            scene.text(label);
            scene.line(Ink::Fine, Point::new(x, y), Point::new(x, y + 4.0));
            upright(&mut grid, x, y, &free);
        }
    }
    // What the grid would run through lies above it.
    grid.items.append(&mut scene.items);
    scene.items = grid.items;
    let foot = y + 34.0;
    scene.text(Text::level(Point::new(axis.x0, foot), Anchor::Start, STRONG, Tint::Ink, "easier"));
    scene.text(Text::level(Point::new(axis.x1, foot), Anchor::End, STRONG, Tint::Ink, "harder"));
    let unit = chart.unit.trim();
    let short = if unit.is_empty() { "development".to_owned() } else { format!("development, {unit}") };
    let middle = Point::new(f64::midpoint(axis.x0, axis.x1), foot);
    let words = [format!("{short} · equal widths, equal per cent"), short];
    let wide = |words: &str| quiet(middle, Anchor::Middle, words);
    if let Some(words) = words.iter().find(|words| room.is_free(scene, wide(words).area().inflate(10.0, 0.0)))
    {
        scene.text(wide(words));
    }
    foot + 6.0
}

/// A line of the grid down to `y`, broken where words stand.
fn upright(scene: &mut Scene, x: f64, y: f64, words: &[Rect]) {
    let mut gaps: Vec<(f64, f64)> = words
        .iter()
        .map(|area| area.inflate(2.0, 1.0))
        .filter(|area| (area.x0..=area.x1).contains(&x))
        .map(|area| (area.y0, area.y1))
        .collect();
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut from = 0.0_f64;
    for (top, foot) in gaps.into_iter().chain([(y, y)]) {
        if top - from > 2.0 {
            scene.line(Ink::Rule, Point::new(x, from), Point::new(x, top));
        }
        from = from.max(foot);
    }
}

/// As many digits as it needs.
fn figure(value: f64) -> String {
    format!("{value:.9}").trim_end_matches('0').trim_end_matches('.').to_owned()
}
