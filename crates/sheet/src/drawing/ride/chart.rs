//! One curve over vertical travel: before and after, its tolerance, sag.

use std::ops::Range;

use kurbo::{Point, Rect, Size};
use plotters::prelude::{LineSeries, Polygon};

use super::backend::{Context, axes, colour, figure, on_field};
use crate::drawing::clearance::{overlap, touches};
use crate::drawing::scene::{Anchor, Form, Group, Ink, Item, Scene, Text, Tint};
use crate::drawing::svg::{self, Said};
use crate::lettering::Type;
use crate::ride::{Chart, Place};

/// Width and height of a chart.
pub(in crate::drawing) const SIZE: Size = Size::new(400.0, 239.0);

/// Top of the field that the curve lies in: title and sag stand above.
const TOP: f64 = 40.0;
/// Height of the two lines of words below it.
const FOOT: f64 = 36.0;
/// Room for the figures on the left.
const LEFT: f64 = 42.0;
/// Room on the right, for words behind the curves where there are two.
const RIGHT: (f64, f64) = (16.0, 48.0);

const FIGURES: Type = Type::regular(12);
const WORDS: Type = Type::regular(12);
const STRONG: Type = Type::semibold(13);

/// The chart as one SVG element; `id` sets its ids apart from those of others on the page.
pub fn chart_svg(chart: &Chart, travel_unit: &str, id: &str, title: &str, description: &str) -> String {
    let scene = compose(chart, travel_unit);
    svg::write(&scene, SIZE, &Said { id, title, description, attributes: "", style: "" })
}

/// The whole chart.
pub(in crate::drawing) fn compose(chart: &Chart, travel_unit: &str) -> Scene {
    let field = Rect::new(
        LEFT,
        TOP,
        SIZE.width - if chart.before.is_empty() { RIGHT.0 } else { RIGHT.1 },
        SIZE.height - FOOT,
    );
    let plot = Plot { field, travel: travels(chart), values: values(chart) };
    let mut scene = Scene::default();
    let mut curves = Scene::default();
    plot.draw(chart, &mut scene, &mut curves);
    headings(&mut scene, chart, travel_unit);
    if let Some(level) = chart.level.filter(|level| plot.values.contains(level)) {
        let y = plot.at(0.0, level).y;
        scene.line(Ink::Centre, Point::new(field.x0, y), Point::new(field.x1, y));
    }
    let mut group = Group { attributes: plot.attributes(chart), map: None, items: Vec::new() };
    group.items = curves.items;
    scene.items.push(Item::Group(group));
    let lines = plot.lines(chart);
    ends(&mut scene, &plot, chart);
    sag(&mut scene, &plot, chart, travel_unit, &lines);
    scene
}

fn headings(scene: &mut Scene, chart: &Chart, travel_unit: &str) {
    let label =
        if chart.unit.is_empty() { chart.label.clone() } else { format!("{}, {}", chart.label, chart.unit) };
    scene.text(Text::level(Point::new(2.0, 14.0), Anchor::Start, STRONG, Tint::Ink, label));
    let foot = format!("vertical travel, {travel_unit}");
    let at = Point::new(SIZE.width - 2.0, SIZE.height - 4.0);
    scene.text(Text::level(at, Anchor::End, WORDS, Tint::Quiet, foot));
}

/// Where the curves lie on the chart.
struct Plot {
    field: Rect,
    travel: Range<f64>,
    values: Range<f64>,
}

impl Plot {
    fn at(&self, travel: f64, value: f64) -> Point {
        let share = |value: f64, range: &Range<f64>| (value - range.start) / (range.end - range.start);
        Point::new(
            self.field.x0 + share(travel, &self.travel) * self.field.width(),
            self.field.y1 - share(value, &self.values) * self.field.height(),
        )
    }

    fn place(&self, place: &Place) -> Point {
        self.at(place.travel, place.value)
    }

    /// Axes, grid, figures into `scene`; the curves, which move with the bike, into `curves`.
    fn draw(&self, chart: &Chart, scene: &mut Scene, curves: &mut Scene) {
        let bounded = |scene: &mut Scene, what: &dyn Fn(&mut Context)| {
            on_field(scene, (SIZE, self.field), (&self.travel, &self.values), what);
        };
        let decimals = if self.travel.end < 20.0 { 2 } else { 0 };
        bounded(scene, &|context| axes(context, FIGURES, 5, true, &|travel| figure(travel, decimals)));
        bounded(curves, &|context| {
            for band in self.bands(&chart.after) {
                let _ = context.draw_series([Polygon::new(band, colour(Ink::Band))]);
            }
            for (ink, curve) in [(Ink::Before, &chart.before), (Ink::Curve, &chart.after)] {
                for piece in pieces(curve) {
                    let points = piece.iter().map(|place| (place.travel, place.value));
                    let _ = context.draw_series(LineSeries::new(points, colour(ink)));
                }
            }
        });
    }

    /// Closed outlines of the tolerance, cut off at the field's edge.
    fn bands(&self, curve: &[Place]) -> Vec<Vec<(f64, f64)>> {
        let within = |value: f64| value.clamp(self.values.start, self.values.end);
        pieces(curve)
            .into_iter()
            .filter(|piece| piece.iter().all(|place| place.plus_minus.is_finite()))
            .map(|piece| {
                let above = piece.iter().map(|place| (place.travel, within(place.value + place.plus_minus)));
                let below =
                    piece.iter().rev().map(|place| (place.travel, within(place.value - place.plus_minus)));
                above.chain(below).collect()
            })
            .collect()
    }

    /// What a script needs to move a marker along the curve.
    fn attributes(&self, chart: &Chart) -> Vec<(&'static str, String)> {
        let list = |of: &dyn Fn(&Place) -> f64| {
            serde_json::to_string(&chart.after.iter().map(|place| rounded(of(place))).collect::<Vec<_>>())
                .unwrap_or_default()
        };
        let ends = [chart.after.first(), chart.after.last()];
        let x = ends.map(|end| end.map_or(0.0, |place| self.at(place.travel, 0.0).x));
        let tenth = |value: f64| format!("{value:.1}");
        vec![
            ("class", "chart".to_owned()),
            ("data-curve", chart.id.to_owned()),
            ("data-unit", chart.unit.clone()),
            ("data-decimals", chart.decimals.to_string()),
            ("data-x0", tenth(x[0])),
            ("data-x1", tenth(x[1])),
            ("data-top", tenth(self.field.y0)),
            ("data-foot", tenth(self.field.y1)),
            ("data-travel", list(&|place| place.travel)),
            ("data-values", list(&|place| place.value)),
            ("data-x", list(&|place| self.at(place.travel, 0.0).x)),
            ("data-y", list(&|place| self.place(place).y)),
        ]
    }

    /// Both curves as straight pieces.
    fn lines(&self, chart: &Chart) -> Vec<(Point, Point)> {
        [&chart.after, &chart.before]
            .into_iter()
            .flat_map(|curve| pieces(curve))
            .flat_map(|piece| {
                piece.windows(2).map(|pair| (self.place(&pair[0]), self.place(&pair[1]))).collect::<Vec<_>>()
            })
            .collect()
    }
}

/// Four decimals; null where it is not known.
fn rounded(value: f64) -> Option<f64> {
    value.is_finite().then(|| (value * 1e4).round() / 1e4)
}

/// The runs of a curve between places where it is not known.
fn pieces(curve: &[Place]) -> Vec<&[Place]> {
    curve
        .split(|place| !(place.value.is_finite() && place.travel.is_finite()))
        .filter(|piece| piece.len() > 1)
        .collect()
}

/// From nothing to the longer of both travels.
fn travels(chart: &Chart) -> Range<f64> {
    let all = chart.after.iter().chain(&chart.before).map(|place| place.travel);
    let (low, high) = bounds(all.chain([0.0]));
    low..if high > low { high } else { low + 1.0 }
}

/// From the lowest to the highest value with some air; the tolerance widens it up to as much again.
fn values(chart: &Chart) -> Range<f64> {
    let all = || chart.after.iter().chain(&chart.before);
    let (low, high) = bounds(all().map(|place| place.value));
    // A curve that hardly moves is shown as one that hardly moves.
    let least = if chart.unit.is_empty() { 0.4 } else { 10.0 / 10.0_f64.powf(chart.decimals as f64) };
    let span = (high - low).max(least);
    let reach = all().map(|place| place.plus_minus).filter(|pm| pm.is_finite()).fold(0.0, f64::max).min(span);
    let air = 0.1 * span + reach;
    let middle = f64::midpoint(low, high);
    let (mut from, mut to) = (middle - span / 2.0 - air, middle + span / 2.0 + air);
    // A curve that begins at nothing begins on the axis.
    if low >= 0.0 && (low < 0.35 * high || from < 0.0) {
        from = if low < 1e-6
            && reach > 0.0
            && chart.after.first().is_some_and(|place| place.plus_minus > 1e-6)
        {
            from.max(-reach)
        } else {
            0.0
        };
    }
    if let Some(level) = chart.level.filter(|level| (from - 0.4 * span..to + 0.4 * span).contains(level)) {
        from = from.min(level - 0.05 * span);
        to = to.max(level + 0.05 * span);
    }
    from..to
}

fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

/// "before" and "after" behind the curves' ends, apart from each other.
fn ends(scene: &mut Scene, plot: &Plot, chart: &Chart) {
    let end = |curve: &[Place]| {
        curve.iter().rev().find(|place| place.value.is_finite()).map(|place| plot.place(place))
    };
    let (Some(before), Some(after)) = (end(&chart.before), end(&chart.after)) else { return };
    let leading = WORDS.line_height();
    let middle = f64::midpoint(before.y, after.y);
    let apart = (leading - (before.y - after.y).abs()).max(0.0) / 2.0;
    let sign = if after.y <= before.y { -1.0 } else { 1.0 };
    let room = |y: f64| y.clamp(plot.field.y0 + 4.0, plot.field.y1 - 4.0);
    let (mut at_after, mut at_before) = (room(after.y + sign * apart), room(before.y - sign * apart));
    if (at_after - at_before).abs() < leading {
        // Squeezed against the edge: around the middle, as far in as it takes.
        let middle = middle.clamp(plot.field.y0 + leading, plot.field.y1 - leading);
        at_after = middle + sign * leading / 2.0;
        at_before = middle - sign * leading / 2.0;
    }
    for (words, y, face, tint) in
        [("after", at_after, Type::semibold(12), Tint::Ink), ("before", at_before, WORDS, Tint::Quiet)]
    {
        let at = Point::new(plot.field.x1 + 5.0, y + 4.0);
        scene.text(Text::level(at, Anchor::Start, face, tint, words));
    }
}

/// The upright line at sag, how much it is, and the curve's figure there.
fn sag(scene: &mut Scene, plot: &Plot, chart: &Chart, travel_unit: &str, lines: &[(Point, Point)]) {
    let Some(place) = chart.sag.filter(|place| place.value.is_finite() && place.travel.is_finite()) else {
        return;
    };
    let at = plot.place(&place);
    let (top, foot) = (Point::new(at.x, plot.field.y0 - 6.0), Point::new(at.x, plot.field.y1));
    scene.line(Ink::Centre, top, foot);
    scene.draw(Ink::Point, Form::Circle(kurbo::Circle::new(at, 2.6)));
    let travel_decimals = if travel_unit == "mm" { 0 } else { 2 };
    let words = format!("sag {}\u{a0}{travel_unit}", figure_with(place.travel, travel_decimals));
    let half = WORDS.width(&words) / 2.0;
    let x = at.x.clamp(plot.field.x0 + half, SIZE.width - 2.0 - half);
    scene.text(Text::level(Point::new(x, plot.field.y0 - 10.0), Anchor::Middle, WORDS, Tint::Quiet, words));
    let value = format!("{}{}", figure_with(place.value, chart.decimals), unit_behind(&chart.unit));
    let upright = (top, foot);
    let label = candidates(at)
        .into_iter()
        .map(|(at, anchor)| Text::level(at, anchor, STRONG, Tint::Ink, value.clone()))
        .min_by_key(|text| {
            let area = text.area().inflate(1.5, 0.5);
            let hits = lines.iter().chain([&upright]).filter(|line| touches(line, area)).count();
            let others = scene.boxes.iter().filter(|other| overlap(area, **other)).count();
            let outside = usize::from(plot.field.union(area) != plot.field);
            hits + 10 * others + 10 * outside
        });
    if let Some(label) = label {
        scene.text(label);
    }
}

/// Places for the figure, the nearest first.
fn candidates(at: Point) -> Vec<(Point, Anchor)> {
    [-8.0, 17.0, -22.0, 31.0, -36.0, 45.0]
        .into_iter()
        .flat_map(|down| {
            [(7.0, Anchor::Start), (-7.0, Anchor::End)]
                .map(|(aside, anchor)| (Point::new(at.x + aside, at.y + down), anchor))
        })
        .collect()
}

fn figure_with(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}").replace('-', "−");
    if text.chars().any(|c| ('1'..='9').contains(&c)) { text } else { text.replace('−', "") }
}

fn unit_behind(unit: &str) -> String {
    match unit {
        "" => String::new(),
        "°" | "%" => unit.to_owned(),
        _ => format!("\u{a0}{unit}"),
    }
}
