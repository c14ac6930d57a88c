//! One figure for a page: the linkage, with the axle's path enlarged beside or below it.

use kurbo::{Circle, Point, Size, Vec2};

use super::{linkage, path};
use crate::drawing::scene::{Anchor, Scene, Text, Tint};
use crate::drawing::style::{Page, Style};
use crate::drawing::svg::{self, Said};
use crate::ride::LinkagePicture;

/// Free border of the figure.
const MARGIN: f64 = 8.0;

/// The figure as one SVG element; `ids` stands before each of its ids.
pub fn linkage_svg(
    picture: &LinkagePicture,
    page: Page,
    ids: &str,
    title: &str,
    description: &str,
) -> String {
    let (scene, size) = compose(picture, page);
    let id = match page {
        Page::Desk => format!("{ids}linkage-desk"),
        Page::Phone => format!("{ids}linkage-phone"),
    };
    svg::write(&scene, size, &Said { id: &id, title, description, attributes: "", style: "" })
}

/// The figure and its size.
pub(super) fn compose(picture: &LinkagePicture, page: Page) -> (Scene, Size) {
    match page {
        Page::Desk => within(picture, &Style::DESK, 1000.0, 560.0),
        Page::Phone => {
            let width = 390.0 - 2.0 * MARGIN;
            let view = linkage::view(picture, &Style::PHONE, width, 420.0);
            let below = view.size.height + 14.0;
            let detail = detail(picture, &view, 110.0, &Style::PHONE, width);
            put_together(view, detail, Vec2::new(0.0, below), 390.0)
        }
    }
}

/// The figure on a wide page, the view no higher than `height`.
pub(in crate::drawing) fn within(
    picture: &LinkagePicture,
    style: &Style,
    page: f64,
    height: f64,
) -> (Scene, Size) {
    let (width, column) = (page - 2.0 * MARGIN, 236.0);
    let view = linkage::view(picture, style, width - column - 26.0, height);
    let detail = detail(picture, &view, 118.0, style, column);
    put_together(view, detail, Vec2::new(width - column, 0.0), page)
}

fn put_together(view: linkage::View, detail: (Scene, Size), at: Vec2, width: f64) -> (Scene, Size) {
    let corner = Vec2::new(MARGIN, MARGIN);
    let height = view.size.height.max(at.y + detail.1.height);
    let mut scene = Scene::default();
    scene.place(view.scene, corner);
    scene.place(detail.0, corner + at);
    (scene, Size::new(width, height + 2.0 * MARGIN))
}

/// Name, circle and caption in a column of `width`; the circle is marked on the view.
fn detail(
    picture: &LinkagePicture,
    view: &linkage::View,
    radius: f64,
    style: &Style,
    width: f64,
) -> (Scene, Size) {
    let region = path::circle(picture);
    let scale = radius / region.radius;
    let wide = path::sideways(picture);
    let mut scene = Scene::default();
    let leading = style.regular().line_height();
    let middle = width / 2.0;
    let times = figure(scale / view.scale);
    let name = if wide > 1.0 {
        format!("Z · {times} × as high, {} × as wide", figure(wide * scale / view.scale))
    } else {
        format!("Z · {times} × enlarged")
    };
    scene.text(Text::level(Point::new(middle, leading), Anchor::Middle, style.semibold(), Tint::Ink, name));
    let circle = Circle::new(Point::new(middle, leading * 1.6 + radius), radius - style.edge);
    scene.place(path::view(picture, circle, scale, wide, style), Vec2::ZERO);
    let mut y = leading * 1.9 + 2.0 * radius;
    let mut key = vec!["Dash-dotted: a constant distance from the bottom bracket."];
    if picture.before.is_some() {
        key.insert(0, "Thin dashes: before.");
    }
    key.insert(0, "Wide: the axle's path.");
    for line in style.regular().wrap(&key.join(" "), width) {
        y += leading;
        scene.text(Text::level(Point::new(middle, y), Anchor::Middle, style.regular(), Tint::Quiet, line));
    }
    (scene, Size::new(width, y + leading * 0.4))
}

/// A scale with two figures.
fn figure(times: f64) -> String {
    let text = if times < 9.95 { format!("{times:.1}") } else { format!("{times:.0}") };
    text.trim_end_matches(".0").to_owned()
}
