//! The whole bike on the ground, its rear suspension where a slider puts it: small, without words, and made to move.
//!
//! In millimetres of the frame's axes within a group that stands the frame on the ground (`data-frame`), which is within
//! one that turns y up and scales. The parts of the linkage and the wheel are marked as on the linkage's own drawing.

use kurbo::{Affine, Point, Rect, Size, Vec2};

use super::{body, linkage};
use crate::drawing::bike::{self, Build, Piece, Shape};
use crate::drawing::scene::{Form, Group, Ink, Item, Scene};
use crate::drawing::svg::{self, Said};
use crate::picture::Outline;
use crate::ride::Ride;

/// Width of the drawing, in its units.
const WIDTH: f64 = 420.0;
/// Room around the bike at full extension, mm: it tips and sinks.
const ROOM: f64 = 60.0;

/// The drawing as one SVG element; `ids` stands before each of its ids. None where it is not known how the bike stands.
pub fn standing_svg(
    outline: &Outline,
    ride: &Ride,
    ids: &str,
    title: &str,
    description: &str,
) -> Option<String> {
    let (scene, size) = compose(outline, ride)?;
    let id = format!("{ids}standing");
    Some(svg::write(&scene, size, &Said { id: &id, title, description, attributes: "", style: "" }))
}

fn compose(outline: &Outline, ride: &Ride) -> Option<(Scene, Size)> {
    let start = ride.standing?;
    // From the ground that the outline stands on to the frame's axes.
    let level = start.inverse() * Affine::translate(Vec2::new(-outline.bottom_bracket.x, 0.0));
    let shapes = bike::shapes(outline, &Build::of(outline, outline));
    let on_ground = |shape: &Shape| shape.bounds - Vec2::new(outline.bottom_bracket.x, 0.0);
    let bounds = shapes.iter().map(on_ground).reduce(|a, b| a.union(b))?;
    let bounds = Rect::new(bounds.x0, 0.0, bounds.x1, bounds.y1).inflate(ROOM, 0.0);
    let scale = WIDTH / bounds.width();
    let size = Size::new(WIDTH, bounds.height() * scale + 4.0);
    let map = Affine::new([scale, 0.0, 0.0, -scale, -bounds.x0 * scale, size.height - 2.0]);
    let mut scene = Scene::default();
    for shape in shapes.iter().filter(|shape| matches!(shape.ink, Ink::Solid | Ink::Wide)) {
        let there = map * Affine::translate(Vec2::new(-outline.bottom_bracket.x, 0.0));
        scene.draw(Ink::Ghost, shape.form.mapped(there));
    }
    let ground = size.height - 2.0;
    scene.line(Ink::Wide, Point::new(0.0, ground), Point::new(WIDTH, ground));
    let frame = Group {
        attributes: vec![("data-frame", String::new())],
        map: Some(start),
        items: frame(&shapes, ride, level, scale),
    };
    scene.items.push(Item::Group(Group {
        attributes: vec![("class", "standing".to_owned())],
        map: Some(map),
        items: vec![Item::Group(frame)],
    }));
    Some((scene, size))
}

/// Everything that stands on the frame, what lies behind first.
fn frame(shapes: &[Shape], ride: &Ride, level: Affine, scale: f64) -> Vec<Item> {
    let drawn = |pick: &dyn Fn(Piece) -> bool, by: Affine| -> Vec<Item> {
        let chosen = shapes.iter().filter(|shape| pick(shape.piece));
        chosen
            .map(|shape| Item::Drawn(shape.ink, shape.form.mapped(Affine::scale(scale) * by * level)))
            .collect()
    };
    // The wheel's middle is its group's origin.
    let hub =
        shapes.iter().find(|shape| shape.piece == Piece::RearTyre).map(|tyre| level * tyre.bounds.center());
    let hub = hub.unwrap_or_default();
    let wheel = drawn(&is_wheel, Affine::translate(-hub.to_vec2()));
    let still =
        |items| linkage::moving("still", ("data-still", String::new()), Affine::IDENTITY, scale, items);
    let mut items = vec![
        linkage::moving("axle", ("data-axle", String::new()), Affine::translate(hub.to_vec2()), scale, wheel),
        still(drawn(&|piece| !is_wheel(piece) && !is_rear(piece), Affine::IDENTITY)),
    ];
    match &ride.linkage {
        Some(picture) => items.extend(linkage::parts(&picture.after, scale)),
        None => {
            // The arm of which no more is known than that it holds the axle at the chainstay's length.
            let mut arm = body::plate(&[Point::ORIGIN, hub], body::EDGE);
            arm.apply_affine(Affine::scale(scale));
            let arm = vec![Item::Drawn(Ink::Solid, Form::Path(arm))];
            items.push(linkage::moving("arm", ("data-arm", String::new()), Affine::IDENTITY, scale, arm));
        }
    }
    items
}

fn is_wheel(piece: Piece) -> bool {
    matches!(piece, Piece::RearTyre | Piece::RearRim | Piece::RearHub)
}

/// What the elevation hints at, and what moves here instead.
fn is_rear(piece: Piece) -> bool {
    matches!(
        piece,
        Piece::SeatStay | Piece::ChainStay | Piece::Linkage | Piece::ShockShaft | Piece::ShockBody
    )
}
