//! Temperature of the rotors over time: before and after, tolerance, and levels at which something happens.

use std::ops::Range;

use kurbo::{BezPath, Point, Rect, Size};
use plotters::prelude::LineSeries;

use super::heat_words::{BEHIND, End, ends, name_ends, name_levels};
use super::{MARGIN, STRONG, WIDTH, WORDS, known, quiet};
use crate::drawing::ride::backend::{Context, axes, colour, figure, on_field};
use crate::drawing::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use crate::part::{HeatChart, HeatCurve};

/// Width and height of the chart.
pub(super) const SIZE: Size = Size::new(WIDTH, 262.0);
/// Top of the field that the curves lie in.
const TOP: f64 = 26.0;
/// Height of the figures and words below it.
const FOOT: f64 = 36.0;
/// Room for the figures on the left.
const LEFT: f64 = 36.0;
/// Kinds of line of the first curve and of the others.
const CURVES: [Ink; 2] = [Ink::Curve, Ink::Second];

/// The whole chart.
pub(super) fn compose(chart: &HeatChart) -> (Scene, Size) {
    let ends = ends(chart);
    let widest = ends.iter().map(End::width).fold(0.0, f64::max);
    let right = if widest > 0.0 { widest + BEHIND + MARGIN } else { 16.0 };
    let field = Rect::new(LEFT, TOP, SIZE.width - right, SIZE.height - FOOT);
    let plot = Plot { field, minutes: minutes(chart), degrees: degrees(chart) };
    let mut scene = Scene::default();
    // No level lines in the grid where they could be taken for levels at which something happens.
    let level_lines = chart.levels.is_empty();
    plot.on(&mut scene, &|context| axes(context, WORDS, 6, level_lines, &|minutes| figure(minutes, 2)));
    scene.draw(Ink::Band, Form::Path(plot.bands(chart)));
    let mut lines = plot.levels(&mut scene, chart);
    plot.on(&mut scene, &|context| curves(context, chart));
    scene.text(Text::level(Point::new(MARGIN, 14.0), Anchor::Start, STRONG, Tint::Ink, "temperature, °C"));
    let foot = Point::new(field.x1, SIZE.height - 4.0);
    scene.text(quiet(foot, Anchor::End, "minutes"));
    lines.extend(plot.lines(chart));
    lines.extend(name_ends(&mut scene, &plot, ends));
    let height = name_levels(&mut scene, &plot, chart, &lines);
    (scene, Size::new(WIDTH, height))
}

/// Where the curves lie on the chart.
pub(super) struct Plot {
    pub(super) field: Rect,
    minutes: Range<f64>,
    degrees: Range<f64>,
}

impl Plot {
    pub(super) fn at(&self, minutes: f64, degrees: f64) -> Point {
        let share = |value: f64, range: &Range<f64>| (value - range.start) / (range.end - range.start);
        Point::new(
            self.field.x0 + share(minutes, &self.minutes) * self.field.width(),
            self.field.y1 - share(degrees, &self.degrees) * self.field.height(),
        )
    }

    /// What the charting library is to draw on the field.
    fn on(&self, scene: &mut Scene, what: &dyn Fn(&mut Context)) {
        on_field(scene, (SIZE, self.field), (&self.minutes, &self.degrees), what);
    }

    /// The outlines of all tolerances, cut off at the field's edge. One path: where two lie on each other, a darker strip
    /// would look like a curve.
    fn bands(&self, chart: &HeatChart) -> BezPath {
        let told = |place: &[f64; 3]| place.iter().all(|value| known(*value)) && place[2] >= 0.0;
        let within = |[minutes, degrees]: [f64; 2]| {
            self.at(minutes, degrees.clamp(self.degrees.start, self.degrees.end))
        };
        let mut path = BezPath::new();
        let pieces = chart.curves.iter().flat_map(|curve| curve.after.split(|place| !told(place)));
        for piece in pieces.filter(|piece| piece.len() > 1) {
            let above = piece.iter().map(|[minutes, degrees, pm]| [*minutes, degrees + pm]);
            let below = piece.iter().rev().map(|[minutes, degrees, pm]| [*minutes, degrees - pm]);
            for (place, corner) in above.chain(below).map(within).enumerate() {
                if place == 0 { path.move_to(corner) } else { path.line_to(corner) }
            }
            path.close_path();
        }
        path
    }

    /// A line at each level; gives them.
    fn levels(&self, scene: &mut Scene, chart: &HeatChart) -> Vec<(Point, Point)> {
        let heights = chart.levels.iter().filter(|(_, level)| known(*level));
        let line = |y: f64| (Point::new(self.field.x0, y), Point::new(self.field.x1, y));
        let lines: Vec<_> = heights.map(|(_, level)| line(self.at(0.0, *level).y)).collect();
        for (from, to) in &lines {
            scene.line(Ink::Centre, *from, *to);
        }
        lines
    }

    /// All curves as straight pieces.
    fn lines(&self, chart: &HeatChart) -> Vec<(Point, Point)> {
        let pieces = chart
            .curves
            .iter()
            .flat_map(|curve| after(curve).into_iter().chain(before(curve)).collect::<Vec<_>>());
        pieces
            .flat_map(|piece| {
                let points: Vec<Point> = piece.iter().map(|[x, y]| self.at(*x, *y)).collect();
                points.windows(2).map(|pair| (pair[0], pair[1])).collect::<Vec<_>>()
            })
            .collect()
    }
}

/// What lies on top comes last: the first curve as it is now.
fn curves(context: &mut Context, chart: &HeatChart) {
    let before = chart.curves.iter().map(|curve| (Ink::Before, before(curve)));
    let after = chart.curves.iter().enumerate().map(|(place, curve)| (CURVES[place.min(1)], after(curve)));
    for (ink, pieces) in before.chain(after.rev()) {
        for piece in pieces {
            let points = piece.into_iter().map(|[minutes, degrees]| (minutes, degrees));
            let _ = context.draw_series(LineSeries::new(points, colour(ink)));
        }
    }
}

pub(super) fn before(curve: &HeatCurve) -> Vec<Vec<[f64; 2]>> {
    pieces(&curve.before, |place| *place)
}

pub(super) fn after(curve: &HeatCurve) -> Vec<Vec<[f64; 2]>> {
    pieces(&curve.after, |[minutes, degrees, _]| [*minutes, *degrees])
}

/// The runs of a curve between places where it is not known.
fn pieces<T>(curve: &[T], of: impl Fn(&T) -> [f64; 2]) -> Vec<Vec<[f64; 2]>> {
    let places: Vec<[f64; 2]> = curve.iter().map(of).collect();
    let unknown = |place: &[f64; 2]| !place.iter().all(|value| known(*value));
    places.split(unknown).filter(|piece| piece.len() > 1).map(<[_]>::to_vec).collect()
}

/// Every place of every curve, with how far the tolerance reaches above it.
fn places(chart: &HeatChart) -> Vec<[f64; 3]> {
    let of = |curve: &HeatCurve| {
        let before = curve.before.iter().map(|[minutes, degrees]| [*minutes, *degrees, 0.0]);
        let after = curve
            .after
            .iter()
            .map(|[minutes, degrees, pm]| [*minutes, *degrees, if known(*pm) { pm.max(0.0) } else { 0.0 }]);
        before.chain(after).filter(|place| place.iter().all(|value| known(*value))).collect::<Vec<_>>()
    };
    chart.curves.iter().flat_map(of).collect()
}

/// From the start to the end of the longest curve.
fn minutes(chart: &HeatChart) -> Range<f64> {
    let (low, high) = places(chart)
        .iter()
        .fold((0.0_f64, 0.0_f64), |(low, high), [minutes, ..]| (low.min(*minutes), high.max(*minutes)));
    low..if high > low { high } else { low + 1.0 }
}

/// From nothing, or the coldest, to the hottest, with every level in sight.
fn degrees(chart: &HeatChart) -> Range<f64> {
    let levels = chart.levels.iter().map(|(_, level)| *level).filter(|level| known(*level));
    let tops = places(chart).into_iter().flat_map(|[_, degrees, pm]| [degrees, degrees + pm]);
    let (low, high) =
        tops.chain(levels).fold((0.0_f64, 50.0_f64), |(low, high), value| (low.min(value), high.max(value)));
    low * 1.1..high + 0.07 * (high - low)
}
