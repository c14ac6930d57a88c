//! The rear of the bike with its linkage: at full extension in wide ink, at sag and full travel in thin lines.
//!
//! Every part that moves is a group of its own, in millimetres of the frame's axes within one group that turns y up and
//! scales. So a script moves a body to position `i` by writing `matrix(cos sin -sin cos x y)` from the motion's numbers.

use kurbo::{Affine, BezPath, Circle, Line, Point, Rect, Shape as _, Size, Vec2};

use super::{body, path};
use crate::drawing::lanes::triangle;
use crate::drawing::scene::{Anchor, Form, Group, Ink, Item, Scene, Text, Tint};
use crate::drawing::style::Style;
use crate::ride::{LinkagePicture, Machine, Standing};

/// Radius of a pivot, mm.
const PIVOT: f64 = 6.5;
/// Half the length of a slide's rail, mm.
const RAIL: f64 = 55.0;
/// Half the width of a shock's cylinder and of its rod, mm.
const SHOCK: (f64, f64) = (19.0, 7.0);
/// Share of the shock's length that its cylinder takes.
const CYLINDER: f64 = 0.56;
/// Free border of the view, mm.
const BORDER: f64 = 48.0;

/// The view: what is drawn, and how large.
pub(super) struct View {
    pub(super) scene: Scene,
    pub(super) size: Size,
    pub(super) scale: f64,
}

/// The part of the bike that is shown, in frame axes.
fn region(picture: &LinkagePicture) -> Rect {
    let machine = &picture.after;
    let mut points: Vec<Point> = Vec::new();
    for place in [machine.at(0.0), machine.at(f64::MAX)] {
        for (body, turn) in machine.bodies.iter().zip(&place.bodies) {
            points.extend(body.points.iter().map(|point| *turn * *point));
        }
        let (_, cog) = machine.sprockets.unwrap_or((0.0, 0.0));
        points.extend([place.axle + Vec2::new(-cog - 20.0, cog), place.axle - Vec2::new(0.0, cog)]);
    }
    let seen = path::circle(picture);
    points.extend([seen.center - Vec2::new(seen.radius, 0.0), seen.center + Vec2::new(0.0, seen.radius)]);
    let ring = machine.sprockets.map_or(40.0, |(ring, _)| ring);
    points.extend([Point::new(ring, ring), Point::new(-ring, -ring)]);
    let first = Rect::from_points(points[0], points[0]);
    points.iter().fold(first, |rect, point| rect.union_pt(*point)).inflate(BORDER, BORDER)
}

/// Draws into `width`, no higher than `height`.
pub(super) fn view(picture: &LinkagePicture, style: &Style, width: f64, height: f64) -> View {
    let mut region = region(picture);
    // Room for the words beside the axle.
    let words = ["full extension", "full travel"].map(|words| style.regular().width(words));
    let aside = words.into_iter().fold(0.0, f64::max) + 10.0;
    let scale = ((width - aside) / region.width()).min(height / region.height());
    region.x0 += BORDER * 0.8 - aside / scale;
    // What is left over shows more of the bike.
    let spare = (width / scale - region.width()).max(0.0);
    region.x0 -= spare * 0.35;
    region.x1 += spare * 0.65;
    let size = Size::new(width, region.height() * scale);
    let map = Affine::new([scale, 0.0, 0.0, -scale, -region.x0 * scale, region.y1 * scale]);
    let mut scene = Scene::default();
    let inside = Rect::from_origin_size(Point::ZERO, size);
    scene.items.push(Item::Cropped(inside, drawn(picture, scale, map)));
    labels(&mut scene, picture, style, map, size);
    View { scene, size, scale }
}

/// Everything that is cut off at the view's edge, what lies behind first.
fn drawn(picture: &LinkagePicture, scale: f64, map: Affine) -> Vec<Item> {
    let machine = &picture.after;
    let start = machine.at(0.0);
    let mut items = Vec::new();
    for (from, to, width) in &picture.tubes {
        let mut path = body::plate(&[*from, *to], width / 2.0);
        path.apply_affine(map);
        items.push(Item::Drawn(Ink::FineSolid, Form::Path(path)));
    }
    for place in machine.sag.into_iter().chain([f64::MAX]) {
        items.extend(ghost(machine, &machine.at(place), map));
    }
    let mut moving = vec![wheel(picture, &start, scale)];
    moving.extend(chain_runs(machine));
    moving.push(ring(machine, scale));
    moving.extend(parts(machine, scale));
    items.push(Item::Group(Group {
        attributes: vec![("class", "linkage".to_owned())],
        map: Some(map),
        items: moving,
    }));
    if let Some(before) = &picture.before {
        items.extend(outlines(before, map));
    }
    items
}

/// What moves together, drawn at `scale` units to the millimetre so that its lines keep their width.
pub(super) fn moving(
    class: &str,
    data: (&'static str, String),
    map: Affine,
    scale: f64,
    items: Vec<Item>,
) -> Item {
    let inner = Group { attributes: Vec::new(), map: Some(Affine::scale(1.0 / scale)), items };
    let mut attributes = vec![("class", class.to_owned())];
    attributes.push(data);
    Item::Group(Group { attributes, map: Some(map), items: vec![Item::Group(inner)] })
}

fn circle(ink: Ink, at: Point, radius: f64, scale: f64) -> Item {
    Item::Drawn(ink, Form::Circle(Circle::new((at.to_vec2() * scale).to_point(), radius * scale)))
}

fn wheel(picture: &LinkagePicture, start: &Standing, scale: f64) -> Item {
    let mut items = vec![circle(Ink::Wide, Point::ORIGIN, picture.tyre, scale)];
    if let Some(rim) = picture.rim {
        items.push(circle(Ink::Fine, Point::ORIGIN, rim, scale));
    }
    if let Some((_, cog)) = picture.after.sprockets {
        items.push(circle(Ink::Centre, Point::ORIGIN, cog, scale));
    }
    moving("axle", ("data-axle", String::new()), Affine::translate(start.axle.to_vec2()), scale, items)
}

/// Bodies and shock at full extension, each in a group that a script can move.
pub(super) fn parts(machine: &Machine, scale: f64) -> Vec<Item> {
    let start = machine.at(0.0);
    let mut parts = bodies(machine, &start, scale, Ink::Solid);
    parts.extend(shock(machine, &start, scale, Ink::Solid));
    parts
}

/// Ring, and bottom bracket; they stay where they are.
fn ring(machine: &Machine, scale: f64) -> Item {
    let mut items = Vec::new();
    if let Some((ring, _)) = machine.sprockets {
        items.push(circle(Ink::Centre, Point::ORIGIN, ring, scale));
    }
    items.push(circle(Ink::Solid, Point::ORIGIN, 17.0, scale));
    moving("ring", ("data-ring", String::new()), Affine::IDENTITY, scale, items)
}

fn polyline(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for pair in points.chunks(2) {
        if let [from, to] = pair {
            path.move_to(*from);
            path.line_to(*to);
        }
    }
    path
}

/// Both runs in millimetres, so that a script can write their path anew.
fn chain_runs(machine: &Machine) -> Vec<Item> {
    let Some([tight, slack]) = machine.chain.first() else { return Vec::new() };
    [("tight", Ink::Chain, tight), ("slack", Ink::SlackChain, slack)]
        .into_iter()
        .map(|(name, ink, points)| {
            Item::Group(Group {
                attributes: vec![("data-chain", name.to_owned())],
                map: None,
                items: vec![Item::Drawn(ink, Form::Path(polyline(points)))],
            })
        })
        .collect()
}

/// The points that a body is drawn round: its own and, on the axle's body, the axle.
fn corners(machine: &Machine, index: usize) -> Vec<Point> {
    let mut points = machine.bodies[index].points.clone();
    if machine.axle.0 == index {
        points.push(machine.axle.1);
    }
    points
}

/// Every body in a group of its own, with the pivots that lie on top of it.
fn bodies(machine: &Machine, start: &Standing, scale: f64, ink: Ink) -> Vec<Item> {
    // The axle's body lies behind the others. Of the front triangle, pivots, rails and idlers are drawn: on top of all.
    let mut order: Vec<usize> = (0..machine.bodies.len()).collect();
    order.sort_by_key(|index| (*index == 0, *index != machine.axle.0));
    let top =
        |on: &[usize]| on.iter().copied().max_by_key(|body| order.iter().position(|known| known == body));
    order
        .iter()
        .map(|index| {
            let mut items = Vec::new();
            if *index > 0 {
                let mut path = body::plate(&corners(machine, *index), body::EDGE);
                path.apply_affine(Affine::scale(scale));
                items.push(Item::Drawn(ink, Form::Path(path)));
            }
            for (at, _, direction) in machine.rails.iter().filter(|(_, on, _)| on.first() == Some(index)) {
                items.extend(rail(*at, *direction, scale));
            }
            let on_top = |on: &[usize]| top(on) == Some(*index);
            for (at, _) in machine.pivots.iter().filter(|(_, on)| on_top(on)) {
                items.push(circle(Ink::FineSolid, *at, PIVOT, scale));
                items.push(circle(Ink::Point, *at, 1.8, scale));
            }
            for (at, _, direction) in machine.rails.iter().filter(|(_, on, _)| on_top(on)) {
                items.push(slider(*at, *direction, scale));
            }
            for idler in machine.idlers.iter().filter(|idler| idler.body == *index) {
                items.push(circle(Ink::Centre, idler.at, idler.radius, scale));
                items.push(circle(Ink::FineSolid, idler.at, 5.0, scale));
            }
            if machine.axle.0 == *index {
                items.push(circle(Ink::Solid, machine.axle.1, 9.0, scale));
                items.push(circle(Ink::Point, machine.axle.1, 2.2, scale));
            }
            moving("body", ("data-body", index.to_string()), start.bodies[*index], scale, items)
        })
        .collect()
}

/// Two parallel lines that a block slides between.
fn rail(at: Point, direction: f64, scale: f64) -> Vec<Item> {
    let way = Vec2::from_angle(direction);
    let (along, aside) = (way * RAIL, Vec2::new(-way.y, way.x) * 9.0);
    [aside, -aside]
        .into_iter()
        .map(|aside| {
            let line = Line::new(at - along + aside, at + along + aside);
            Item::Drawn(Ink::Wide, Form::Path(Affine::scale(scale) * line.to_path(0.1)))
        })
        .collect()
}

fn slider(at: Point, direction: f64, scale: f64) -> Item {
    let block = Rect::new(-15.0, -7.5, 15.0, 7.5).to_path(0.1);
    let place = Affine::scale(scale) * Affine::translate(at.to_vec2()) * Affine::rotate(direction);
    Item::Drawn(Ink::FineSolid, Form::Path(place * block))
}

/// Where the eyes are, and the turn of the line from the first to the second.
fn eyes(machine: &Machine, standing: &Standing) -> ([Point; 2], f64) {
    let at = machine.eyes.map(|(body, at)| standing.bodies.get(body).map_or(at, |turn| *turn * at));
    (at, (at[1] - at[0]).atan2())
}

/// Cylinder and rod, each in a group that stands on its eye and lies along the shock.
fn shock(machine: &Machine, start: &Standing, scale: f64, ink: Ink) -> Vec<Item> {
    let (at, turn) = eyes(machine, start);
    let length = at[0].distance(at[1]);
    let place = |eye: Point| Affine::translate(eye.to_vec2()) * Affine::rotate(turn);
    let block = |x0: f64, x1: f64, half: f64| {
        let rect = Rect::new(x0, -half, x1, half).to_rounded_rect(half.min(6.0) * 0.8);
        Item::Drawn(ink, Form::Path(Affine::scale(scale) * rect.to_path(0.05)))
    };
    let eye = |items: &mut Vec<Item>| {
        items.push(circle(Ink::Solid, Point::ORIGIN, 10.0, scale));
        items.push(circle(Ink::Point, Point::ORIGIN, 1.8, scale));
    };
    // The rod lies behind the cylinder that it slides into.
    let mut rod = vec![block(-length * (1.0 - CYLINDER) - 14.0, 0.0, SHOCK.1)];
    eye(&mut rod);
    let mut cylinder = vec![block(0.0, length * CYLINDER, SHOCK.0)];
    eye(&mut cylinder);
    vec![
        moving("shock", ("data-shock", "rod".to_owned()), place(at[1]), scale, rod),
        moving("shock", ("data-shock", "cylinder".to_owned()), place(at[0]), scale, cylinder),
    ]
}

/// Centre lines of the bodies and the shock at another position, and the axle there.
fn ghost(machine: &Machine, standing: &Standing, map: Affine) -> Vec<Item> {
    let mut items = Vec::new();
    for index in 1..machine.bodies.len() {
        let corners = body::hull(&corners(machine, index));
        let mut path = BezPath::new();
        for (place, corner) in corners.iter().enumerate() {
            let at = map * standing.bodies[index] * *corner;
            if place == 0 { path.move_to(at) } else { path.line_to(at) }
        }
        if corners.len() > 2 {
            path.close_path();
        }
        items.push(Item::Drawn(Ink::Ghost, Form::Path(path)));
    }
    let (eyes, _) = eyes(machine, standing);
    items.push(Item::Drawn(Ink::Ghost, Form::Path(map * Line::new(eyes[0], eyes[1]).to_path(0.1))));
    items.push(Item::Drawn(Ink::Ghost, Form::Circle(Circle::new(standing.axle, 9.0)).mapped(map)));
    items
}

/// The bodies as they were, at full extension, in the line of old positions.
fn outlines(machine: &Machine, map: Affine) -> Vec<Item> {
    let standing = machine.at(0.0);
    let mut items: Vec<Item> = (1..machine.bodies.len())
        .map(|index| {
            let mut path = body::plate(&corners(machine, index), body::EDGE);
            path.apply_affine(map * standing.bodies[index]);
            Item::Drawn(Ink::Before, Form::Path(path))
        })
        .collect();
    let (eyes, _) = eyes(machine, &standing);
    let mut path = body::plate(&eyes, SHOCK.0 * 0.5);
    path.apply_affine(map);
    items.push(Item::Drawn(Ink::Before, Form::Path(path)));
    items
}

/// What each position of the axle is, behind it, and the circle that is enlarged beside the view.
fn labels(scene: &mut Scene, picture: &LinkagePicture, style: &Style, map: Affine, size: Size) {
    let machine = &picture.after;
    let leading = style.regular().line_height();
    let scale = map.determinant().abs().sqrt();
    let seen = path::circle(picture);
    let circle = Circle::new(map * seen.center, seen.radius * scale);
    scene.items.push(Item::Cropped(
        Rect::from_origin_size(Point::ZERO, size),
        vec![Item::Drawn(Ink::Detail, Form::Circle(circle))],
    ));
    let mut stations = vec![("full extension", machine.at(0.0).axle, true)];
    stations.extend(machine.sag.map(|sag| ("sag", machine.at(sag).axle, false)));
    stations.push(("full travel", machine.at(f64::MAX).axle, false));
    let (_, cog) = machine.sprockets.unwrap_or((0.0, 0.0));
    let aside = (circle.radius + 4.0).max(cog * scale + 14.0);
    let widest = stations.iter().map(|(words, ..)| style.semibold().width(words)).fold(0.0, f64::max);
    let x = (circle.center.x - aside).max(widest + 2.0);
    // From the lowest upward, each at least a line above the last.
    let mut last = f64::INFINITY;
    for (words, axle, ink) in stations {
        let at = map * axle;
        let y = at.y.min(last - leading);
        last = y;
        let (face, tint) = if ink { (style.semibold(), Tint::Ink) } else { (style.regular(), Tint::Quiet) };
        scene.text(Text::level(Point::new(x, y + 4.0), Anchor::End, face, tint, words));
        let from = Point::new(x + 4.0, y);
        let tip = at - Vec2::new(11.0 * scale, 0.0);
        scene.line(Ink::Dimension, from, tip);
        let along = (tip - from).normalize();
        scene.draw(Ink::Arrowhead, triangle(tip, along, style.arrow * 0.8, style.arrow * 0.22));
    }
    let name = Text::level(
        Point::new(circle.center.x, (circle.center.y - circle.radius - 5.0).max(f64::from(style.text))),
        Anchor::Middle,
        style.semibold(),
        Tint::Ink,
        "Z",
    );
    scene.text(name);
}
