//! The rear suspension on a sheet of its own after those of the answer: the linkage, the charts, the table, the words.

use kurbo::{Rect, Vec2};

use super::blocks::{Block, Words, paragraph, sourced, space};
use super::flow::{Column, Flow};
use super::{COLUMN, GUTTER, INNER, corner, tables};
use crate::drawing::ride;
use crate::drawing::scene::{Scene, Tint};
use crate::drawing::style::Style;
use crate::ride::Ride;

/// Charts beside each other, enlarged so that they fill the sheet's width.
const ABREAST: usize = 3;
/// Highest that the linkage may be, so that two rows of charts find room below it.
const LINKAGE_HEIGHT: f64 = 330.0;
/// Bottom of what may be filled: the strip of the title block stands below.
const BOTTOM: f64 = INNER.y1 - 60.0;
/// Least height of columns below the charts that is worth beginning.
const ROOM: f64 = 220.0;

/// Adds the sheet, and further ones where table and words need them.
pub fn add(flow: &mut Flow, pictures: &mut Scene, ride: &Ride, words: Words) {
    let page = flow.new_page();
    let (mut scene, mut y) = (Scene::default(), INNER.y0);
    let column = |x: f64, top: f64, width: f64, bottom: f64| Column {
        page,
        rect: Rect::new(x, top, x + width, bottom),
    };
    let mut beside = Vec::new();
    if let Some(linkage) = &ride.linkage {
        let width = INNER.width() - COLUMN - GUTTER;
        let (drawn, size) = ride::linkage_within(linkage, &Style::PAPER, width, LINKAGE_HEIGHT);
        scene.place(drawn, Vec2::new(INNER.x0, y));
        beside.push(column(INNER.x1 - COLUMN, y, COLUMN, y + size.height));
        y += size.height + GUTTER * 0.6;
    }
    let times = (INNER.width() - GUTTER * (ABREAST - 1) as f64) / ABREAST as f64 / ride::CHART.width;
    for row in ride.charts.chunks(ABREAST) {
        for (place, chart) in row.iter().enumerate() {
            let x = INNER.x0 + place as f64 * (ride::CHART.width * times + GUTTER);
            scene.place(ride::chart_scene(chart, &ride.travel_unit).scaled(times), Vec2::new(x, y));
        }
        y += ride::CHART.height * times + GUTTER * 0.4;
    }
    pictures.place(scene, corner(page));

    let two = 2.0 * COLUMN + GUTTER;
    let mut below = Vec::new();
    if BOTTOM - y >= ROOM {
        below.push(column(INNER.x0, y, two, BOTTOM));
        beside.push(column(INNER.x1 - COLUMN, y, COLUMN, BOTTOM));
    }
    flow.run(tables::through_the_travel(ride, words, two), &mut below);
    flow.run(said(ride, words), &mut beside);
}

/// The path, the springs, what the curves mean, what is not known.
fn said(ride: &Ride, words: Words) -> Vec<Block> {
    let under = |name: &str, tint: Tint, texts: Vec<String>| {
        let mut rows: Vec<_> =
            texts.iter().flat_map(|text| paragraph(text, words.body, Tint::Ink, COLUMN)).collect();
        rows.push(space(12.0));
        (!texts.is_empty()).then(|| Block { head: vec![words.heading(name, tint, COLUMN)], rows })
    };
    let path = (!ride.path.is_empty()).then(|| ride.path.clone());
    let meanings = ride
        .charts
        .iter()
        .map(|chart| sourced(&format!("{}: {}", chart.label, chart.words()), chart.meaning.source));
    let blocks = [
        under("Rear suspension", Tint::Ink, path.into_iter().chain(ride.springs.iter().cloned()).collect()),
        under("Not known", Tint::Change, ride.untold.clone()),
        under("What the curves mean", Tint::Ink, meanings.collect()),
    ];
    blocks.into_iter().flatten().collect()
}
