//! One figure for a page: the elevation, with the detail view beside or below it.

use kurbo::{Circle, Point, Size, Vec2};

use super::detail;
use super::elevation::{self, Bikes};
use super::scene::{Anchor, Form, Ink, Item, Scene, Text, Tint};
use super::style::{Page, Style};
use super::svg::{self, Said};
use crate::picture::Picture;

/// Free border of a figure.
const MARGIN: f64 = 8.0;

/// The bike before and after as one SVG element, without style sheet: the page carries
/// [`drawing_css`](super::drawing_css) and the colours.
pub fn elevation_svg(picture: &Picture, page: Page, title: &str, description: &str) -> String {
    let (scene, size) = compose(picture, page);
    let id = match page {
        Page::Desk => "desk",
        Page::Phone => "phone",
    };
    svg::write(&scene, size, &Said { id, title, description, attributes: "", style: "" })
}

/// The figure and its size.
pub fn compose(picture: &Picture, page: Page) -> (Scene, Size) {
    match page {
        Page::Desk => desk(picture),
        Page::Phone => phone(picture),
    }
}

/// Finely stepped scales, largest first: a screen has no ruler.
fn scales(largest: f64) -> Vec<f64> {
    (0..90).map(|step| largest * 0.97_f64.powi(step)).collect()
}

fn desk(picture: &Picture) -> (Scene, Size) {
    let style = &Style::DESK;
    let bikes = Bikes::of(picture);
    let column = if bikes.region.is_some() { 262.0 } else { 0.0 };
    let width = 1000.0 - 2.0 * MARGIN;
    let room = Size::new(width - column, f64::INFINITY);
    let elevation = elevation::fit(picture, &bikes, style, room, &scales(0.48));
    let mut scene = Scene::default();
    let slack = (room.width - elevation.size.width) / 2.0;
    let mut height = elevation.size.height;
    let shown = elevation.scale;
    scene.place(elevation.scene, Vec2::new(MARGIN + slack, MARGIN));
    if let Some(detail) = detail_view(&bikes, shown, 118.0, style, 236.0) {
        height = height.max(detail.1.height);
        scene.place(detail.0, Vec2::new(MARGIN + width - 236.0, MARGIN));
    }
    (scene, Size::new(1000.0, height + 2.0 * MARGIN))
}

fn phone(picture: &Picture) -> (Scene, Size) {
    let style = &Style::PHONE;
    let bikes = Bikes::of(picture);
    let width = 390.0 - 2.0 * MARGIN;
    let room = Size::new(width, f64::INFINITY);
    let elevation = elevation::fit(picture, &bikes, style, room, &scales(0.24));
    let mut scene = Scene::default();
    let slack = (width - elevation.size.width) / 2.0;
    let mut height = elevation.size.height;
    let shown = elevation.scale;
    scene.place(elevation.scene, Vec2::new(MARGIN + slack, MARGIN));
    if let Some(detail) = detail_view(&bikes, shown, 110.0, style, width) {
        scene.place(detail.0, Vec2::new(MARGIN, MARGIN + height + 14.0));
        height += 14.0 + detail.1.height;
    }
    (scene, Size::new(390.0, height + 2.0 * MARGIN))
}

/// Name, circle and caption of the detail view in a column of `width`, and their size.
fn detail_view(bikes: &Bikes, shown: f64, radius: f64, style: &Style, width: f64) -> Option<(Scene, Size)> {
    let region = bikes.region?;
    let largest = radius / (region.least_radius() * shown);
    let times = [20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5];
    let times = times.into_iter().find(|times| *times <= largest).unwrap_or(1.0);
    let name = format!("Z · {times} × enlarged");
    Some(captioned_view(bikes, &region, times * shown, radius, style, width, &name))
}

/// The view with `name` above and what the arrow means below, centred in `width`.
pub fn captioned_view(
    bikes: &Bikes,
    region: &detail::Region,
    scale: f64,
    radius: f64,
    style: &Style,
    width: f64,
    name: &str,
) -> (Scene, Size) {
    let mut scene = Scene::default();
    let leading = style.regular().line_height();
    let middle = width / 2.0;
    let mut y = leading;
    scene.text(Text::level(Point::new(middle, y), Anchor::Middle, style.semibold(), Tint::Ink, name));
    let circle = Circle::new(Point::new(middle, y + leading * 0.6 + radius), radius - style.edge);
    let view = detail::view(region, circle, scale, &bikes.before, &bikes.after, style);
    scene.place(elevation::single(view), Vec2::ZERO);
    scene.items.push(Item::Drawn(Ink::Detail, Form::Circle(circle)));
    y += leading * 0.6 + 2.0 * radius + leading * 0.3;
    let caption = format!("The {} moves along the arrow.", region.what);
    for line in style.regular().wrap(&caption, width) {
        y += leading;
        scene.text(Text::level(Point::new(middle, y), Anchor::Middle, style.regular(), Tint::Quiet, line));
    }
    (scene, Size::new(width, y + leading * 0.4))
}
