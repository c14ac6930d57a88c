//! The whole answer on A3 sheets as one standalone SVG, in quarter millimetres.
//!
//! In reading order: the blocks that hold the words (`blocks`, `tables`, `notes`), how they run through
//! columns (`flow`), the rear suspension's own sheet (`travel`), gears and brakes in depth (`depth`), the frame of each sheet (`border`), the title block (`title_block`).

mod blocks;
mod border;
mod depth;
mod flow;
mod notes;
mod tables;
mod title_block;
mod travel;

use kurbo::{Point, Rect, Size, Vec2};

use self::flow::{Column, Flow};
use super::elevation::{self, Bikes, Elevation};
use super::figure::captioned_view;
use super::scene::Scene;
use super::style::Style;
use super::svg::{self, Said};
use crate::picture::Picture;
use crate::sheet::Sheet;

/// Width and height of an A3 sheet, landscape: 420 × 297 mm (ISO 216).
pub const PAGE: Size = Size::new(1680.0, 1188.0);

/// Free space between two sheets of one drawing.
const BETWEEN: f64 = 24.0;

/// Inside of the frame: 20 mm to bind on the left, 10 mm elsewhere (ISO 5457).
pub const FRAME: Rect = Rect::new(80.0, 40.0, 1640.0, 1148.0);

/// What words and drawings may fill.
const INNER: Rect = Rect::new(106.0, 62.0, 1614.0, 1126.0);

/// Width of a column of words.
pub const COLUMN: f64 = 440.0;

/// Space between columns.
pub const GUTTER: f64 = 34.0;

/// Most of the sheet's height that the bike may take.
const BIKE_HEIGHT: f64 = 650.0;

/// Type sizes that are tried, largest first: 3.5, 3.25 and 3 mm.
const STEPS: [u8; 3] = [14, 13, 12];

/// Reductions from the bike to the sheet, largest picture first.
const RATIOS: [f64; 8] = [4.0, 5.0, 7.5, 8.0, 10.0, 12.5, 15.0, 20.0];

/// Scales of the detail view, as reductions, largest picture first.
const DETAIL_RATIOS: [f64; 12] = [0.1, 0.2, 0.25, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5];

/// The complete drawing sheet: as many A3 sheets below each other as the words need.
///
/// Fonts and colours are inside; it follows the reader's preference for a dark page as a blueprint.
pub fn sheet_svg(sheet: &Sheet) -> String {
    let (scene, size) = compose(sheet);
    let style = format!(
        "{}{}{}",
        crate::lettering::font_face_css(),
        include_str!("colours.css"),
        super::drawing_css()
    );
    let (wide, high) = (size.width / 4.0, size.height / 4.0);
    let attributes = format!(" width=\"{wide}mm\" height=\"{high}mm\"");
    svg::write(
        &scene,
        size,
        &Said {
            id: "sheet",
            title: &sheet.title.question,
            description: &description(sheet),
            attributes: &attributes,
            style: &style,
        },
    )
}

/// The answer and every caution in words, for those who do not see the sheet.
fn description(sheet: &Sheet) -> String {
    let mut words = vec![sheet.answer.headline.clone()];
    words.extend(sheet.answer.sentences.iter().cloned());
    words.extend(sheet.cautions.iter().map(|note| format!("Caution: {}", note.text)));
    words.join(" ")
}

/// The sheets as one scene, with the smallest reduction of type that keeps them on one sheet.
pub(super) fn compose(sheet: &Sheet) -> (Scene, Size) {
    let drawn = sheet.picture.as_ref().map(Drawn::of);
    let at = |size: u8, depth: f64| compose_at(sheet, drawn.as_ref(), size, depth);
    // When not even the smallest type keeps them on one sheet, the middle one reads better.
    let on_one = STEPS.into_iter().map(|size| at(size, 1.0)).find(|(_, pages)| pages.answer == 1);
    let (scene, pages) = on_one.unwrap_or_else(|| balanced(|depth| at(STEPS[1], depth)));
    let count = pages.all as f64;
    (scene, Size::new(PAGE.width, count * PAGE.height + (count - 1.0) * BETWEEN))
}

/// The shortest columns on further sheets that need no sheet more, so that one does not stand full beside empty ones.
fn balanced(at: impl Fn(f64) -> (Scene, Pages)) -> (Scene, Pages) {
    let full = at(1.0);
    let shorter = [0.3, 0.45, 0.6, 0.8].into_iter().map(at).find(|(_, pages)| *pages == full.1);
    shorter.unwrap_or(full)
}

/// How many sheets there are.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Pages {
    /// Those of the answer, which come first.
    answer: usize,
    /// Those of the suspension as well.
    all: usize,
}

/// Place of a sheet's corner in the whole.
fn corner(page: usize) -> Vec2 {
    Vec2::new(0.0, page as f64 * (PAGE.height + BETWEEN))
}

fn compose_at(sheet: &Sheet, drawn: Option<&Drawn>, size: u8, depth: f64) -> (Scene, Pages) {
    let words = blocks::Words::new(size);
    let mut scene = Scene::default();
    let ratio = drawn.map(|drawn| drawn.ratio);
    let title = title_block::lay_out(&sheet.title, ratio);
    let side = INNER.x1 - COLUMN;
    let title_top = FRAME.y1 - title.size.height;
    let title_corner = Vec2::new(FRAME.x1 - title.size.width, title_top);
    let (mut side_top, mut left_top) = (INNER.y0, INNER.y0);
    let mut pictures = Scene::default();
    if let Some(drawn) = drawn {
        let slack = ((side - GUTTER - INNER.x0 - drawn.elevation.size.width) / 2.0).max(0.0);
        left_top += drawn.elevation.size.height + GUTTER * 0.8;
        pictures.place(drawn.elevation.scene.clone(), Vec2::new(INNER.x0 + slack, INNER.y0));
        if let Some((view, size)) = &drawn.detail {
            side_top += size.height + GUTTER * 0.5;
            pictures.place(view.clone(), Vec2::new(side, INNER.y0));
        }
    }

    let mut flow = Flow::new(depth);
    // The table below the drawing, as wide as it needs.
    let below = Rect::new(INNER.x0, left_top, side - GUTTER, INNER.y1);
    let least = below.width() - GUTTER - COLUMN;
    let table = tables::knock_ons(sheet, words, below.width());
    let wide = table.width > least;

    // Answer and limits beside the drawing, down to the title block.
    let side_column = Rect::new(side, side_top, INNER.x1, title_top - GUTTER * 0.6);
    flow.run(notes::beside(sheet, words, wide), &mut vec![Column { page: 0, rect: side_column }]);
    let table_column = Rect::new(below.x0, below.y0, below.x0 + table.width, below.y1);
    flow.run(table.blocks, &mut vec![Column { page: 0, rect: table_column }]);

    // Notes beside the table, or below it where it is wide; then in what the side column left free.
    let mut columns = Vec::new();
    if wide {
        let top = flow.end_on(0, table_column).map_or(INNER.y1, |end| end + GUTTER);
        for index in 0..2 {
            let x = below.x0 + f64::from(index) * (COLUMN + GUTTER);
            columns.push(Column { page: 0, rect: Rect::new(x, top, x + COLUMN, below.y1) });
        }
    } else {
        let x = below.x1 - COLUMN;
        columns.push(Column { page: 0, rect: Rect::new(x, below.y0, below.x1, below.y1) });
        if let Some(end) = flow.end_on(0, table_column) {
            columns.push(Column { page: 0, rect: Rect { y0: end + GUTTER, ..table_column } });
        }
    }
    if let Some(end) = flow.end_on(0, side_column) {
        columns.push(Column { page: 0, rect: Rect { y0: end + GUTTER, ..side_column } });
    }
    flow.run(notes::general(sheet, &title.in_full, words, !wide), &mut columns);

    let answer = flow.pages();
    if let Some(ride) = &sheet.ride {
        travel::add(&mut flow, &mut pictures, ride, words);
    }
    depth::add(&mut flow, &sheet.parts, words);
    let pages = Pages { answer, all: flow.pages() };
    for page in 0..pages.all {
        border::draw(&mut scene, corner(page));
    }
    scene.place(pictures, Vec2::ZERO);
    scene.place(title.scene, title_corner);
    for (page, part) in flow.into_parts() {
        scene.place(part, corner(page));
    }
    for page in 1..pages.all {
        let strip = title_block::strip(&sheet.title, page, pages.all);
        let at = Vec2::new(FRAME.x1 - strip.size.width, FRAME.y1 - strip.size.height);
        scene.place(strip.scene, corner(page) + at);
    }
    (scene, pages)
}

/// Columns of the sheets after the first, over a share of their height without the strip at the bottom.
fn further_columns(page: usize, depth: f64) -> Vec<Column> {
    let bottom = INNER.y0 + (INNER.y1 - 60.0 - INNER.y0) * depth;
    (0..3)
        .map(|index| {
            let x = INNER.x0 + f64::from(index) * (COLUMN + GUTTER);
            let rect = Rect::new(x, INNER.y0, x + COLUMN, bottom);
            Column { page, rect }
        })
        .collect()
}

/// The pictures of the first sheet.
struct Drawn {
    elevation: Elevation,
    /// Reduction: 10 for a scale of 1:10.
    ratio: f64,
    detail: Option<(Scene, Size)>,
}

impl Drawn {
    fn of(picture: &Picture) -> Self {
        let style = &Style::PAPER;
        let bikes = Bikes::of(picture);
        let room = Size::new(INNER.width() - COLUMN - GUTTER, BIKE_HEIGHT);
        let scales = RATIOS.map(|ratio| 4.0 / ratio);
        let elevation = elevation::fit(picture, &bikes, style, room, &scales);
        let ratio = 4.0 / elevation.scale;
        let radius = 128.0;
        let detail = bikes.region.map(|region| {
            let largest = radius / region.least_radius();
            let fits = |ratio: &f64| 4.0 / ratio <= largest;
            let ratio = DETAIL_RATIOS.into_iter().find(fits).unwrap_or(10.0);
            let name = format!("Z ({})", scale_name(ratio));
            captioned_view(&bikes, &region, 4.0 / ratio, radius, style, COLUMN, &name)
        });
        Self { elevation, ratio, detail }
    }
}

/// "1:10" or "2:1" (ISO 5455).
fn scale_name(ratio: f64) -> String {
    if ratio < 1.0 { format!("{}:1", 1.0 / ratio) } else { format!("1:{ratio}") }
}

/// A scene and its size, placed by someone else.
struct Part {
    scene: Scene,
    size: Size,
    /// Texts that were cut short and must be told in full elsewhere.
    in_full: Vec<String>,
}

/// Left end of a text's baseline in a row, `down` lines below its top.
fn baseline(x: f64, face: crate::lettering::Type, down: usize) -> Point {
    Point::new(x, f64::from(face.size) * crate::lettering::ASCENT + down as f64 * face.line_height())
}
