//! Words on the temperature chart: which curve is which, and what happens at the levels.

use kurbo::{Point, Vec2};

use super::heat::{Plot, SIZE, after, before};
use super::{MARGIN, Room, STRONG, WIDTH, WORDS, known, quiet};
use crate::drawing::ride::backend::figure;
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::lettering::Type;
use crate::part::HeatChart;

/// Widest that a name behind a curve may be.
const NAME: f64 = 76.0;
/// From the field to those names.
pub(super) const BEHIND: f64 = 12.0;

/// What stands behind the end of a curve.
pub(super) struct End {
    /// Minutes and °C.
    at: [f64; 2],
    lines: Vec<String>,
    is_after: bool,
}

impl End {
    fn face(&self) -> (Type, Tint) {
        if self.is_after { (STRONG, Tint::Ink) } else { (WORDS, Tint::Quiet) }
    }

    pub(super) fn width(&self) -> f64 {
        let (face, _) = self.face();
        self.lines.iter().map(|line| face.width(line)).fold(0.0, f64::max)
    }

    fn height(&self) -> f64 {
        self.lines.len() as f64 * WORDS.line_height()
    }
}

/// The ends, those of the curves after the changes first.
pub(super) fn ends(chart: &HeatChart) -> Vec<End> {
    let last = |piece: Vec<Vec<[f64; 2]>>| piece.last().and_then(|piece| piece.last()).copied();
    let after = chart.curves.iter().filter_map(|curve| {
        let at = last(after(curve))?;
        Some(End { at, lines: STRONG.wrap(&curve.label, NAME), is_after: true })
    });
    let before = chart.curves.iter().filter_map(|curve| {
        let at = last(before(curve))?;
        let words = format!("{} before", curve.label);
        Some(End { at, lines: WORDS.wrap(words.trim(), NAME), is_after: false })
    });
    after.chain(before).collect()
}

/// Names behind the ends, each with a thin line to its curve; gives these lines.
pub(super) fn name_ends(scene: &mut Scene, plot: &Plot, mut ends: Vec<End>) -> Vec<(Point, Point)> {
    let (top, foot) = (plot.field.y0 - 6.0, plot.field.y1 + 6.0);
    while ends.iter().map(End::height).sum::<f64>() > foot - top {
        ends.pop();
    }
    let end = |end: &End| plot.at(end.at[0], end.at[1]);
    ends.sort_by(|a, b| end(a).y.total_cmp(&end(b).y));
    let mut tops: Vec<f64> = Vec::new();
    let mut from = top;
    for one in &ends {
        let wanted = (end(one).y - one.height() / 2.0).max(from);
        from = wanted + one.height();
        tops.push(wanted);
    }
    // Pushed beyond the foot: back up, from the last to the first.
    let mut to = foot;
    for (one, top) in ends.iter().zip(&mut tops).rev() {
        *top = top.min(to - one.height());
        to = *top;
    }
    let x = plot.field.x1 + BEHIND;
    let mut leaders = Vec::new();
    for (one, top) in ends.iter().zip(tops) {
        let (face, tint) = one.face();
        for (place, line) in one.lines.iter().enumerate() {
            let y = top + (place as f64 + 0.75) * WORDS.line_height();
            scene.text(Text::level(Point::new(x, y), Anchor::Start, face, tint, line));
        }
        let (from, to) = (end(one), Point::new(x - 2.0, top + one.height() / 2.0));
        scene.line(Ink::Dimension, from, to);
        leaders.push((from, to));
    }
    leaders
}

/// What happens at each level, at its line where there is room for that, else below the chart; gives the figure's height.
pub(super) fn name_levels(
    scene: &mut Scene,
    plot: &Plot,
    chart: &HeatChart,
    lines: &[(Point, Point)],
) -> f64 {
    let mut height = SIZE.height;
    for (words, level) in chart.levels.iter().filter(|(_, level)| known(*level)) {
        let degrees = format!("{}\u{a0}°C", figure(*level, 2));
        let room = Room { within: plot.field.inflate(-3.0, 0.0), lines };
        let y = plot.at(0.0, *level).y;
        let at_line = [1.0, 0.55, 0.4].into_iter().find_map(|share| {
            let width = room.within.width() * share;
            block(scene, &room, &WORDS.wrap(&format!("{words}, {degrees}"), width), y)
        });
        if let Some(texts) = at_line {
            for text in texts {
                scene.text(text);
            }
            continue;
        }
        for line in WORDS.wrap(&format!("Line at {degrees}: {words}."), WIDTH - 2.0 * MARGIN) {
            height += WORDS.line_height();
            scene.text(quiet(Point::new(MARGIN, height - 4.0), Anchor::Start, line));
        }
    }
    height
}

/// The lines of words above or below the level at height `y`, where they stand free of all else.
fn block(scene: &Scene, room: &Room, lines: &[String], y: f64) -> Option<Vec<Text>> {
    let leading = WORDS.line_height();
    let widest = lines.iter().map(|line| WORDS.width(line)).fold(0.0, f64::max);
    let spare = (room.within.width() - widest).max(0.0);
    let above = y - 5.0 - (lines.len().max(1) - 1) as f64 * leading;
    let places = [0.01, 0.99, 0.5, 0.25, 0.75, 0.12, 0.88, 0.37, 0.63]
        .into_iter()
        .flat_map(|share| [above, y + 14.0].map(|first| Point::new(room.within.x0 + spare * share, first)));
    places
        .map(|first| {
            let at = |place: usize| first + Vec2::new(0.0, place as f64 * leading);
            let each = lines.iter().enumerate();
            // In full ink: it may lie on a tolerance.
            each.map(|(place, line)| Text::level(at(place), Anchor::Start, WORDS, Tint::Ink, line))
                .collect::<Vec<_>>()
        })
        .find(|texts| texts.iter().all(|text| room.is_free(scene, text.area())))
}
