//! Every gear as a rung on a ladder for its ring, by development: the height is logarithmic, so that equal steps in per cent are
//! equally high.

use kurbo::{Point, Rect, Size};

use super::{MARGIN, Room, STRONG, WIDTH, WORDS, ends_first, known, quiet};
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::part::{GearChart, RingLine};

/// Height between the lowest and the highest development.
const HEIGHT: f64 = 264.0;
/// Place of the axis, with room for its figures on the left.
const AXIS: f64 = 44.0;
/// From a column's left edge to its first ladder.
const FIRST: f64 = 16.0;
/// From a ladder to the one of the gears before the changes.
const BESIDE: f64 = 48.0;
/// Half a rung.
const RUNG: f64 = 8.0;
/// From a ladder to the names beside it.
const NAME: f64 = 12.0;
/// Leading digits of figures on the axis: the roundest first.
const ROUND: [f64; 11] = [1.0, 2.0, 5.0, 3.0, 4.0, 7.0, 1.5, 6.0, 8.0, 2.5, 9.0];

/// One ring: as it is, and as it was.
struct Row<'a> {
    after: Option<&'a RingLine>,
    before: Option<&'a RingLine>,
}

/// Developments along the axis, the highest at the top.
struct Axis {
    y0: f64,
    y1: f64,
    low: f64,
    high: f64,
}

impl Axis {
    /// From the lowest to the highest gear with some air, at least an octave.
    fn over(chart: &GearChart, y0: f64, y1: f64) -> Self {
        let all = chart.rings.iter().chain(&chart.before).flat_map(gears).map(|(value, _)| value.ln());
        let (low, high) = all
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        let (low, high) = if low <= high { (low, high) } else { (0.0, 0.0) };
        let air = ((std::f64::consts::LN_2 - (high - low)) / 2.0).max((high - low) * 0.04);
        Self { y0, y1, low: low - air, high: high + air }
    }

    fn at(&self, value: f64) -> f64 {
        self.y1 - (value.ln() - self.low) / (self.high - self.low) * (self.y1 - self.y0)
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
    let wide = (WIDTH - MARGIN - AXIS) / rows.len().max(1) as f64;
    let heads: Vec<[Vec<String>; 2]> = rows.iter().map(|row| row.heads(wide - 8.0)).collect();
    let leading = WORDS.line_height();
    let lines = heads.iter().map(|[after, before]| after.len() + before.len()).max().unwrap_or(0);
    let top = 6.0 + lines.max(1) as f64 * leading;
    let axis = Axis::over(chart, top, top + HEIGHT);
    let mut scene = Scene::default();
    for (place, (row, [after, before])) in rows.iter().zip(&heads).enumerate() {
        let x = AXIS + place as f64 * wide;
        for (line, words) in after.iter().chain(before).enumerate() {
            let at = Point::new(x + 6.0, (line + 1) as f64 * leading - 2.0);
            scene.text(if line < after.len() {
                Text::level(at, Anchor::Start, STRONG, Tint::Ink, words)
            } else {
                quiet(at, Anchor::Start, words)
            });
        }
        row.draw(&mut scene, &axis, Rect::new(x, top, x + wide, top + HEIGHT));
    }
    let height = around(&mut scene, chart, &axis);
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
    /// Lines of the ring's name, and of what stands at the ladder of the gears before.
    fn heads(&self, wide: f64) -> [Vec<String>; 2] {
        let after = self.after.map_or_else(Vec::new, |ring| STRONG.wrap(&ring.label, wide));
        let same = |old: &RingLine| self.after.is_some_and(|new| new.label == old.label);
        let before = self.before.map_or_else(Vec::new, |old| {
            let words = if same(old) { "before".to_owned() } else { format!("{} before", old.label) };
            WORDS.wrap(&words, wide)
        });
        [after, before]
    }

    /// Its ladders in a column.
    fn draw(&self, scene: &mut Scene, axis: &Axis, column: Rect) {
        let first = column.x0 + FIRST;
        if let Some(ring) = self.after {
            ladder(scene, ring, axis, [Ink::Wide, Ink::Curve], first);
        }
        let beside = if self.after.is_some() { first + BESIDE.min(column.width() * 0.45) } else { first };
        if let Some(ring) = self.before {
            ladder(scene, ring, axis, [Ink::Before, Ink::Ghost], beside);
        }
        // Names come last, so that none stands on a rung.
        let right = if self.before.is_some() && self.after.is_some() { beside - RUNG } else { column.x1 };
        if let Some(ring) = self.after {
            name(scene, ring, axis, first, right, Tint::Ink);
        }
        if let Some(ring) = self.before {
            name(scene, ring, axis, beside, column.x1, Tint::Quiet);
        }
    }
}

/// From the lowest to the highest gear, with a rung for each.
fn ladder(scene: &mut Scene, ring: &RingLine, axis: &Axis, [rail, rung]: [Ink; 2], x: f64) {
    let places: Vec<f64> = gears(ring).map(|(value, _)| axis.at(value)).collect();
    let ends = places.iter().copied().reduce(f64::min).zip(places.iter().copied().reduce(f64::max));
    let Some((top, foot)) = ends else { return };
    if foot > top {
        scene.line(rail, Point::new(x, top), Point::new(x, foot));
    }
    for y in places {
        scene.line(rung, Point::new(x - RUNG, y), Point::new(x + RUNG, y));
    }
}

/// Names of the gears beside their rungs, as far as there is room before `right`.
fn name(scene: &mut Scene, ring: &RingLine, axis: &Axis, x: f64, right: f64, tint: Tint) {
    let within = Rect::new(x, -1e4, right.min(WIDTH - MARGIN), 1e4);
    let room = Room { within, lines: &[] };
    let gears: Vec<(f64, &str)> = gears(ring).collect();
    for (value, name) in ends_first(gears.len()).map(|place| gears[place]) {
        let at = Point::new(x + NAME, axis.at(value) + 4.0);
        room.place(scene, [Text::level(at, Anchor::Start, WORDS, tint, name)]);
    }
}

/// Axis, grid and the words about them; gives the figure's height.
fn around(scene: &mut Scene, chart: &GearChart, axis: &Axis) -> f64 {
    let free = scene.boxes.clone();
    scene.line(Ink::Fine, Point::new(AXIS, axis.y0), Point::new(AXIS, axis.y1));
    let room = Room { within: Rect::new(MARGIN, 0.0, AXIS, axis.y1 + 40.0), lines: &[] };
    scene.text(Text::level(Point::new(MARGIN, axis.y0 - 6.0), Anchor::Start, STRONG, Tint::Ink, "harder"));
    let foot = axis.y1 + 18.0;
    scene.text(Text::level(Point::new(MARGIN, foot), Anchor::Start, STRONG, Tint::Ink, "easier"));
    let mut grid = Scene::default();
    for value in axis.ticks() {
        let y = axis.at(value);
        let label = quiet(Point::new(AXIS - 8.0, y + 4.0), Anchor::End, figure(value));
        // Figures close to each other are as hard to read as many.
        if room.is_free(scene, label.area().inflate(0.0, 2.0)) {
            scene.text(label);
            scene.line(Ink::Fine, Point::new(AXIS - 4.0, y), Point::new(AXIS, y));
            level(&mut grid, y, &free);
        }
    }
    // What the grid would run through lies above it.
    grid.items.append(&mut scene.items);
    scene.items = grid.items;
    let unit = chart.unit.trim();
    let short = if unit.is_empty() { "development".to_owned() } else { format!("development, {unit}") };
    let words = format!("{short} · equal heights, equal per cent");
    let at = Point::new(AXIS + 6.0, foot);
    let wide = quiet(at, Anchor::Start, words);
    let fits = wide.area().x1 <= WIDTH - MARGIN;
    scene.text(if fits { wide } else { quiet(at, Anchor::Start, short) });
    foot + 6.0
}

/// A line of the grid from the axis to the right, broken where words stand.
fn level(scene: &mut Scene, y: f64, words: &[Rect]) {
    let mut gaps: Vec<(f64, f64)> = words
        .iter()
        .map(|area| area.inflate(2.0, 1.0))
        .filter(|area| (area.y0..=area.y1).contains(&y))
        .map(|area| (area.x0, area.x1))
        .collect();
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut from = AXIS;
    for (left, right) in gaps.into_iter().chain([(WIDTH - MARGIN, WIDTH)]) {
        if left - from > 2.0 {
            scene.line(Ink::Rule, Point::new(from, y), Point::new(left, y));
        }
        from = from.max(right);
    }
}

/// As many digits as it needs.
fn figure(value: f64) -> String {
    format!("{value:.9}").trim_end_matches('0').trim_end_matches('.').to_owned()
}
