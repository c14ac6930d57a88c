//! The axle's path, enlarged: before and after, sag, and the circle about the bottom bracket that it would follow with a
//! chainstay of constant length.

use kurbo::{Affine, BezPath, Circle, Point, Vec2};

use crate::drawing::clearance::{overlap, touches};
use crate::drawing::scene::{Anchor, Form, Ink, Item, Scene, Text, Tint};
use crate::drawing::style::Style;
use crate::ride::{LinkagePicture, Machine};

/// What the circle holds, in frame axes.
pub(super) fn circle(picture: &LinkagePicture) -> Circle {
    let all = || {
        picture
            .before
            .iter()
            .chain([&picture.after])
            .flat_map(|machine| machine.places.iter().map(|place| place.axle))
    };
    let points: Vec<Point> = all().collect();
    let first = kurbo::Rect::from_points(points[0], points[0]);
    let bounds = points.iter().fold(first, |rect, point| rect.union_pt(*point));
    let reach = points.iter().map(|point| point.distance(bounds.center())).fold(10.0, f64::max);
    Circle::new(bounds.center(), reach * 1.16)
}

/// How many times as wide as high the path is drawn, so that a few millimetres rearward can be seen.
pub(super) fn sideways(picture: &LinkagePicture) -> f64 {
    let seen = circle(picture);
    let arc = about_bracket(picture.after.places[0].axle, seen.radius);
    let all = picture.before.iter().chain([&picture.after]).flat_map(|machine| &machine.places);
    let within = kurbo::Shape::path_segments(&arc, 0.1)
        .map(|piece| kurbo::ParamCurve::start(&piece))
        .filter(|at| (at.y - seen.center.y).abs() < 0.8 * seen.radius);
    let wide =
        all.map(|place| place.axle).chain(within).map(|at| (at.x - seen.center.x).abs()).fold(1.0, f64::max);
    let room = 0.42 * seen.radius / wide;
    [10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0].into_iter().find(|times| *times <= room).unwrap_or(1.0)
}

/// The view inside `circle` of the drawing, `wide` times as wide as high.
pub(super) fn view(picture: &LinkagePicture, circle: Circle, scale: f64, wide: f64, style: &Style) -> Scene {
    let map = Affine::translate(circle.center.to_vec2())
        * Affine::scale_non_uniform(scale * wide, -scale)
        * Affine::translate(-self::circle(picture).center.to_vec2());
    let machine = &picture.after;
    let start = machine.places[0].axle;
    let mut curves = vec![(Ink::Centre, map * about_bracket(start, circle.radius / scale))];
    curves.extend(picture.before.iter().map(|before| (Ink::Before, map * path(before))));
    curves.push((Ink::Curve, map * path(machine)));
    let lines: Vec<(Point, Point)> =
        curves.iter().flat_map(|(_, curve)| Form::Path(curve.clone()).segments()).collect();
    let mut inside: Vec<Item> =
        curves.into_iter().map(|(ink, curve)| Item::Drawn(ink, Form::Path(curve))).collect();
    let mut stations = vec![("full extension", map * start)];
    stations.extend(machine.sag.map(|sag| ("sag", map * machine.at(sag).axle)));
    stations.push(("full travel", map * machine.at(f64::MAX).axle));
    for (_, at) in &stations {
        inside.push(Item::Drawn(Ink::Point, Form::Circle(Circle::new(*at, style.arrow * 0.3))));
    }
    let mut scene = Scene::default();
    scene.items.push(Item::Clipped(circle, inside));
    scene.draw(Ink::Detail, Form::Circle(circle));
    for (words, at) in stations {
        let text = label(words, at, &scene, circle, &lines, style);
        scene.text(text);
    }
    scene
}

/// The words beside a place, where they touch no curve and no other words and stay inside the circle.
fn label(
    words: &str,
    at: Point,
    scene: &Scene,
    circle: Circle,
    lines: &[(Point, Point)],
    style: &Style,
) -> Text {
    let (mut best, mut least) = (None, usize::MAX);
    for aside in [0.9, 1.8, 3.0, 4.5, 6.5, 9.0] {
        for down in [0.4, 0.0, 0.9, -0.6, 1.5, -1.2] {
            for (sign, anchor) in [(1.0, Anchor::Start), (-1.0, Anchor::End)] {
                let place = at + Vec2::new(sign * aside * style.arrow, down * f64::from(style.text));
                let text = Text::level(place, anchor, style.regular(), Tint::Ink, words);
                let area = text.area();
                let corners =
                    [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
                let outside = corners
                    .iter()
                    .filter(|corner| circle.center.distance(Point::from(**corner)) > circle.radius)
                    .count();
                let hits = lines.iter().filter(|line| touches(line, area.inflate(1.0, 0.0))).count();
                let others = scene.boxes.iter().filter(|other| overlap(area, **other)).count();
                let wrong = hits + 10 * outside + 30 * others;
                if wrong == 0 {
                    return text;
                }
                if wrong < least {
                    (best, least) = (Some(text), wrong);
                }
            }
        }
    }
    best.unwrap_or_else(|| Text::level(at, Anchor::Start, style.regular(), Tint::Ink, words))
}

fn path(machine: &Machine) -> BezPath {
    let mut path = BezPath::new();
    for (index, place) in machine.places.iter().enumerate() {
        if index == 0 { path.move_to(place.axle) } else { path.line_to(place.axle) }
    }
    path
}

/// Where an axle at a constant distance from the bottom bracket would go, as far as `reach` to both sides.
fn about_bracket(start: Point, reach: f64) -> BezPath {
    let radius = start.to_vec2().hypot();
    let angle = start.to_vec2().atan2();
    let most = (reach * 2.4 / radius).min(1.2);
    let mut path = BezPath::new();
    for step in -24..=24 {
        let at = Vec2::from_angle(angle + most * f64::from(step) / 24.0) * radius;
        if step == -24 { path.move_to(at.to_point()) } else { path.line_to(at.to_point()) }
    }
    path
}
