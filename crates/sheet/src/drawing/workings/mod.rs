//! What a part of the answer works out, drawn: gears by development, the chain from above, rotors' temperatures, ways to
//! lay the chain.
//!
//! One file composes each kind of figure: `gears`, `fan`, `heat` with its words in `heat_words`, `layouts` with the chain on
//! a wheel in `wrap`. All are as wide as the charts of the suspension, so that lines and letters are
//! alike wherever they stand beside each other. A figure that is not known is left out, never guessed.

mod fan;
mod gears;
mod heat;
mod heat_words;
mod layouts;
mod wrap;

use kurbo::{Point, Rect, Size};

use super::clearance::{overlap, touches};
use super::scene::{Scene, Text, Tint};
use super::svg::{self, Said};
use crate::lettering::Type;
use crate::part::{Drawn, Figure};

/// Width of every figure.
const WIDTH: f64 = 400.0;
/// Free border at the sides.
const MARGIN: f64 = 3.0;
/// Names and figures.
const WORDS: Type = Type::regular(12);
/// What is drawn wide is named so.
const STRONG: Type = Type::semibold(12);
/// What is larger than this in any of our units is a slip, and would flatten all the rest.
const LARGEST: f64 = 1e6;

/// The figure as one SVG element; `id` sets its ids apart from those of others on the page.
pub fn figure_svg(figure: &Figure, id: &str) -> String {
    let (scene, size) = compose(&figure.drawn);
    let Figure { title, description, .. } = figure;
    svg::write(&scene, size, &Said { id, title, description, attributes: "", style: "" })
}

/// The drawing and its size.
pub(in crate::drawing) fn compose(drawn: &Drawn) -> (Scene, Size) {
    match drawn {
        Drawn::Gears(chart) => gears::compose(chart),
        Drawn::Fan(fan) => fan::compose(fan),
        Drawn::Heat(chart) => heat::compose(chart),
        Drawn::Layouts(layouts) => layouts::compose(layouts),
    }
}

fn known(value: f64) -> bool {
    value.is_finite() && value.abs() < LARGEST
}

fn known_point(point: Point) -> bool {
    known(point.x) && known(point.y)
}

/// Where words may stand: within a box, on no line.
struct Room<'a> {
    within: Rect,
    lines: &'a [(Point, Point)],
}

impl Room<'_> {
    /// Puts the first of `places` into the scene that is free, and gives its box.
    fn place(&self, scene: &mut Scene, places: impl IntoIterator<Item = Text>) -> Option<Rect> {
        let text = places.into_iter().find(|text| self.is_free(scene, text.area()))?;
        let area = text.area();
        scene.text(text);
        Some(area)
    }

    fn is_free(&self, scene: &Scene, area: Rect) -> bool {
        let near = area.inflate(1.5, 0.5);
        self.within.union(area) == self.within
            && !scene.boxes.iter().any(|other| overlap(near, *other))
            && !self.lines.iter().any(|line| touches(line, near))
    }
}

/// A level line of lesser words.
fn quiet(at: Point, anchor: super::scene::Anchor, words: impl Into<String>) -> Text {
    Text::level(at, anchor, WORDS, Tint::Quiet, words)
}

/// First the ends, then the others in their order: where not every mark can be named, the ends are.
fn ends_first(count: usize) -> impl Iterator<Item = usize> {
    let last = count.saturating_sub(1);
    let ends = [0, last].into_iter().take(count.min(2));
    ends.chain(1..last)
}

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;
