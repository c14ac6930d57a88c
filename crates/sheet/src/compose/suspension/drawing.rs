//! The linkage as it is drawn: bodies, pivots and chainwheels before and after, and the front triangle behind them.

use knockon_engine::bike::Bike;
use knockon_engine::geometry::Stance;
use knockon_engine::suspension::chain::pitch_radius;
use kurbo::{Affine, Point};

use super::{Given, sag};
use crate::compose::figures;
use crate::picture::Outline;
use crate::ride::{Body, LinkagePicture, Machine, Pulley, Standing};
use crate::units::Units;
use knockon_trade::findings::{Drawn, Travel};

/// Widths of a seat tube and a down tube as they are drawn; nothing is computed from them.
const TUBES: (f64, f64) = (36.0, 48.0);

pub(super) fn linkage(given: &Given, drawn: &Drawn, same: bool) -> Option<LinkagePicture> {
    let before_points: Vec<Point> = drawn.points.iter().map(|point| at(point.at)).collect();
    let after_points: Vec<Point> = drawn.points_after.iter().map(|point| at(*point)).collect();
    let after = machine(drawn, &given.suspension.after, (&after_points, drawn.axles[1]), given.bikes.1)?;
    let before = if same {
        None
    } else {
        machine(drawn, &given.suspension.before, (&before_points, drawn.axles[0]), given.bikes.0)
            .filter(|before| *before != after)
    };
    let radius = given.bikes.1.rear_radius;
    let rim = radius - given.bikes.1.rear_tyre_width;
    Some(LinkagePicture {
        tubes: given
            .outline
            .map(|outline| tubes(outline, Stance::new(given.bikes.1, 0.0).turn))
            .unwrap_or_default(),
        // A wheel of a common size where nobody said; nothing is computed from it.
        tyre: if radius.is_finite() { radius } else { 365.0 },
        rim: rim.is_finite().then_some(rim),
        after,
        before,
    })
}

fn at([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

/// None where a place is not known.
fn machine(
    drawn: &Drawn,
    travel: &Travel,
    (points, axle): (&[Point], [f64; 2]),
    bike: &Bike<f64>,
) -> Option<Machine> {
    let places: Vec<Standing> = travel
        .bodies
        .iter()
        .zip(&travel.axle)
        .map(|(bodies, axle)| Standing {
            bodies: bodies.iter().map(|body| placed(*body)).collect(),
            axle: at(*axle),
        })
        .collect();
    let whole = |standing: &Standing| {
        standing.axle.is_finite()
            && standing.bodies.len() == drawn.parts.len()
            && standing.bodies.iter().all(Affine::is_finite)
    };
    if places.is_empty() || !places.iter().all(whole) || !points.iter().all(|point| point.is_finite()) {
        return None;
    }
    let point = |index: usize| points.get(index).copied();
    let (mut pivots, mut rails, mut idlers) = (Vec::new(), Vec::new(), Vec::new());
    for (drawn, at) in drawn.points.iter().zip(points) {
        match (drawn.teeth, drawn.slides) {
            (Some(teeth), _) => idlers.extend(drawn.on.first().map(|body| Pulley {
                body: *body,
                at: *at,
                radius: pitch_radius(teeth),
                over: drawn.over,
            })),
            (None, Some(degrees)) => rails.push((*at, drawn.on.clone(), degrees.to_radians())),
            (None, None) if drawn.on.len() > 1 => pivots.push((*at, drawn.on.clone())),
            _ => {}
        }
    }
    let sprockets = (pitch_radius(bike.ring), pitch_radius(bike.cog));
    Some(Machine {
        bodies: drawn
            .parts
            .iter()
            .map(|part| Body {
                name: part.name.clone(),
                points: part.points.iter().filter_map(|index| point(*index)).collect(),
            })
            .collect(),
        pivots,
        rails,
        idlers,
        eyes: [(drawn.eye_parts[0], point(drawn.eyes[0])?), (drawn.eye_parts[1], point(drawn.eyes[1])?)],
        axle: (drawn.axle_part, at(axle)),
        sprockets: (sprockets.0.is_finite() && sprockets.1.is_finite()).then_some(sprockets),
        sag: sag(travel),
        chain: travel
            .chain
            .iter()
            .map(|runs| [0, 1].map(|run| runs[run].iter().flatten().map(|end| at(*end)).collect()))
            .collect(),
        places,
    })
}

/// Where the frame stands at full extension, when that is known all over the travel.
pub(super) fn standing(travel: &Travel) -> Option<Affine> {
    let first = travel.standing.first()?;
    travel.standing.iter().flatten().all(|value| value.is_finite()).then(|| placed(*first))
}

/// From cosine, sine and shift.
fn placed([cos, sin, x, y]: [f64; 4]) -> Affine {
    Affine::new([cos, sin, -sin, cos, x, y])
}

/// Seat tube and down tube in frame axes: the elevation turned back by as much as the frame is turned on the ground.
fn tubes(outline: &Outline, turn: f64) -> Vec<(Point, Point, f64)> {
    if !turn.is_finite() {
        return Vec::new();
    }
    let level = Affine::rotate(-turn) * Affine::translate(-outline.bottom_bracket.to_vec2());
    let up = Affine::rotate(-turn) * outline.seat_up.to_point();
    let low = level * outline.head_tube_bottom.lerp(outline.head_tube_top, 0.3);
    let high = level * outline.head_tube_bottom.lerp(outline.head_tube_top, 0.8);
    // The seat tube ends where a top tube would meet it.
    let seat = (up.to_vec2() * 0.72 * high.y).to_point();
    vec![(seat, high, TUBES.0), (Point::ORIGIN, low, TUBES.1), (Point::ORIGIN, seat, TUBES.0)]
}

/// How far rearward the axle goes, and where that is.
pub(super) fn path_words(units: Units, machine: &Machine) -> String {
    let start = machine.places[0].axle;
    let behind = |at: Point| start.x - at.x;
    let amount = |value: f64| figures::amount(units, value, None, "mm");
    let end = machine.places[machine.places.len() - 1].axle;
    let Some(furthest) =
        machine.places.iter().map(|place| place.axle).max_by(|a, b| behind(*a).total_cmp(&behind(*b)))
    else {
        return String::new();
    };
    let back = behind(furthest);
    if back < 0.5 {
        return format!(
            "The axle never moves rearward; at full travel it is {} further forward.",
            amount(behind(end))
        );
    }
    let there = amount(furthest.y - start.y);
    let most = format!("The axle moves rearward by up to {}, at {there} of travel", amount(back));
    let last = behind(end);
    if back - last < 0.5 {
        format!("{most}.")
    } else if last >= 0.0 {
        format!("{most}; at full travel {} of that remain.", amount(last))
    } else {
        format!("{most}; at full travel it is {} ahead of where it began.", amount(last))
    }
}
