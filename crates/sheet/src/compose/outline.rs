//! What the drawing shows, from the bikes before and after.

use knockon_engine::bike::Bike;
use knockon_engine::cockpit::Cockpit;
use knockon_engine::geometry::point::{FramePoint, FrameVector};
use knockon_engine::geometry::{FramePoints, GroundPoint, Stance};
use knockon_engine::quantity::Quantity;
use knockon_engine::rider::saddle_top;
use knockon_trade::findings::{Findings, KnockOn};
use knockon_trade::record::Kind;
use kurbo::{Point, Vec2};

use super::figures;
use crate::picture::{CockpitOutline, Dimension, DimensionKind, Flag, Outline, Part, Picture};
use crate::units::Units;

/// Facts without which a drawing would be of no bike in particular.
const NEEDED: [&str; 3] = ["chart.stack", "chart.reach", "chart.head_angle"];
const COCKPIT: [&str; 4] = ["stem.length", "stem.angle", "bar.rise", "cockpit.spacers_below"];

pub(super) fn picture(findings: &Findings, units: Units) -> Option<Picture> {
    let untold = |key: &str| findings.untold.iter().any(|untold| untold == key);
    if NEEDED.iter().any(|key| untold(key)) {
        return None;
    }
    let (before, after) = &findings.bikes;
    let known = Known {
        cockpit: !COCKPIT.iter().any(|key| untold(key)),
        saddle: !untold("saddle.height"),
        crank: !untold("crank.length"),
        kind: findings.question.record.kind,
    };
    let before_outline = known.outline(before, before)?;
    Some(Picture {
        after: known.outline(after, before)?,
        before: before_outline,
        flags: findings
            .revisions
            .iter()
            .map(|revision| Flag { letter: revision.letter, part: part(revision.change.key()) })
            .collect(),
        dimensions: dimensions(findings, units, known.cockpit),
    })
}

struct Known {
    cockpit: bool,
    saddle: bool,
    crank: bool,
    kind: Option<Kind>,
}

impl Known {
    fn outline(&self, bike: &Bike<f64>, before: &Bike<f64>) -> Option<Outline> {
        let points = FramePoints::new(bike, 0.0);
        let stance = Stance::on(bike, points.front_axle, points.rear_axle);
        let at = |point: FramePoint<f64>| ground(stance.on_ground(point));
        let toward = |vector: FrameVector<f64>| {
            let turned = stance.direction(vector);
            Vec2::new(turned.x, turned.y)
        };
        let rim = |radius: f64, width: f64| (radius - width).is_finite().then_some(radius - width);
        let (seat_sin, seat_cos) = bike.seat_angle.sin_cos();
        let outline = Outline {
            rear_axle: at(points.rear_axle),
            front_axle: at(points.front_axle),
            bottom_bracket: at(FramePoint::bottom_bracket()),
            head_tube_top: at(points.steerer_top),
            head_tube_bottom: at(points.steerer_bottom),
            crown: at(points.crown),
            axis_down: toward(points.axis_down),
            rear_radius: bike.rear_radius,
            front_radius: bike.front_radius,
            rear_rim_radius: rim(bike.rear_radius, bike.rear_tyre_width),
            front_rim_radius: rim(bike.front_radius, bike.front_tyre_width),
            upper_stack: bike.upper_stack,
            seat_up: toward(FrameVector { x: -seat_cos, y: seat_sin }),
            saddle_top: self.saddle.then(|| at(saddle_top(bike))),
            saddle_tip: stance.turn - Stance::new(before, 0.0).turn,
            cockpit: self.cockpit.then(|| {
                let cockpit = Cockpit::new(bike, &points);
                CockpitOutline {
                    spacers_below: bike.spacers_below,
                    spacers_above: bike.spacers_above,
                    clamp_height: bike.stem_clamp_height,
                    stem_clamp: at(cockpit.stem_clamp),
                    bar_clamp: at(cockpit.bar_clamp),
                    // Drawn as the commonest size where it is not known; nothing is computed from it.
                    bar_diameter: if bike.bar_clamp.is_finite() { bike.bar_clamp } else { 31.8 },
                    grip: at(cockpit.grip),
                    drop_bar: bike.bar_reach > 20.0,
                }
            }),
            crank: self.crank.then_some(bike.crank_length),
            fork_travel: (bike.fork_travel > 0.0).then_some(bike.fork_travel),
            rear_suspension: self.kind == Some(Kind::FullSuspension),
        };
        outline.front_axle.is_finite().then_some(outline)
    }
}

fn ground(point: GroundPoint<f64>) -> Point {
    Point::new(point.x, point.y)
}

/// The part that a change's flag points at.
fn part(key: &str) -> Part {
    match key {
        "cockpit.spacers_below" | "cockpit.spacers_above" | "cockpit.steerer_length" => Part::Spacers,
        "headset.upper_stack" => Part::UpperHeadset,
        "headset.lower_stack" => Part::LowerHeadset,
        "headset.angle" => Part::HeadTube,
        "wheel.front.radius" | "wheel.front.tyre" | "wheel.front.axle" | "brake.front.mount" => {
            Part::FrontWheel
        }
        "wheel.rear.radius" | "wheel.rear.tyre" | "wheel.rear.axle" | "brake.rear.mount" | "frame.axle"
        | "frame.brake_mount" => Part::RearWheel,
        "chart.chainstay" => Part::Chainstay,
        "chart.bottom_bracket_drop" => Part::BottomBracket,
        "rider.mass" | "rider.kit" => Part::Saddle,
        "linkage.idler" => Part::Crank,
        key if key.starts_with("stem.") => Part::Stem,
        key if key.starts_with("bar.") => Part::Bar,
        key if key.starts_with("fork.") => Part::Fork,
        key if key.starts_with("saddle.") || key == "frame.seat_tube" => Part::Saddle,
        key if key.starts_with("shock.") || key.starts_with("linkage.") || key == "rear.travel" => {
            Part::Shock
        }
        _ => Part::Crank,
    }
}

/// Quantities that can be drawn as a dimension.
const DRAWN: [(Quantity, DimensionKind, bool); 11] = [
    (Quantity::GripReach, DimensionKind::GripReach, true),
    (Quantity::GripStack, DimensionKind::GripStack, true),
    (Quantity::Reach, DimensionKind::Reach, false),
    (Quantity::Stack, DimensionKind::Stack, false),
    (Quantity::Wheelbase, DimensionKind::Wheelbase, false),
    (Quantity::BottomBracketHeight, DimensionKind::BottomBracketHeight, false),
    (Quantity::SaddleToGripReach, DimensionKind::SaddleToGripReach, true),
    (Quantity::SaddleToGripDrop, DimensionKind::SaddleToGripDrop, true),
    (Quantity::HeadAngle, DimensionKind::HeadAngle, false),
    (Quantity::SeatAngle, DimensionKind::SeatAngle, false),
    (Quantity::Trail, DimensionKind::Trail, false),
];

/// Most dimensions on one drawing, so that each can be read.
const MOST: usize = 6;

fn dimensions(findings: &Findings, units: Units, cockpit: bool) -> Vec<Dimension> {
    let mut drawn: Vec<(&KnockOn, DimensionKind)> = DRAWN
        .iter()
        .filter(|(_, _, needs_cockpit)| cockpit || !needs_cockpit)
        .filter_map(|(quantity, kind, _)| {
            let knock_on = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == *quantity)?;
            let worth = knock_on.after.is_some()
                && (findings.revisions.is_empty() || figures::is_shown(findings, knock_on));
            worth.then_some((knock_on, *kind))
        })
        .collect();
    if !findings.revisions.is_empty() {
        leave_out_repeats(findings, &mut drawn);
    }
    // The hands first, as a rider feels them first; the sort is stable, so that what moved equally keeps its order.
    let hands = |kind: DimensionKind| matches!(kind, DimensionKind::GripStack | DimensionKind::GripReach);
    drawn.sort_by(|a, b| {
        let first = |drawn: &(&KnockOn, DimensionKind)| hands(drawn.1) && drawn.0.weight() > 0.2;
        first(b).cmp(&first(a)).then(b.0.weight().total_cmp(&a.0.weight()))
    });
    drawn.truncate(MOST);
    drawn
        .into_iter()
        .map(|(knock_on, kind)| Dimension {
            kind,
            text: format!(
                "{} {}{}",
                figures::label(knock_on).to_lowercase(),
                figures::value(units, knock_on.after, knock_on.after_pm, knock_on.unit),
                behind(units, knock_on)
            ),
            change: change(findings, units, knock_on),
        })
        .collect()
}

/// What stands behind a figure on the drawing. Millimetres go without saying.
fn behind(units: Units, knock_on: &KnockOn) -> String {
    match knock_on.unit {
        "°" => "°".to_owned(),
        unit if units.converts(unit) => format!("\u{a0}{}", units.length_label()),
        _ => String::new(),
    }
}

/// A frame's own reach and stack repeat what the grips show; the distances to the saddle do too, unless the saddle is what
/// is changed; the seat angle repeats the head angle unless the headset is turned.
fn leave_out_repeats(findings: &Findings, drawn: &mut Vec<(&KnockOn, DimensionKind)>) {
    let grips = drawn.iter().any(|(_, kind)| *kind == DimensionKind::GripStack);
    let saddle = findings.revisions.iter().any(|revision| revision.change.key().starts_with("saddle."));
    let head = drawn.iter().any(|(_, kind)| *kind == DimensionKind::HeadAngle);
    drawn.retain(|(_, kind)| match kind {
        DimensionKind::Stack | DimensionKind::Reach => !grips,
        DimensionKind::SaddleToGripReach | DimensionKind::SaddleToGripDrop => saddle || !grips,
        DimensionKind::SeatAngle => !head,
        _ => true,
    });
}

/// Most revisions whose shares are written on a dimension; the table has them all.
const MOST_SHARES: usize = 4;

fn change(findings: &Findings, units: Units, knock_on: &KnockOn) -> String {
    if !figures::is_shown(findings, knock_on) {
        return String::new();
    }
    let unit = behind(units, knock_on);
    // Letters stand once, behind both figures.
    let between = if unit == "°" { "°" } else { "" };
    let mut text = format!(
        "{}{between} ±{}{unit}",
        figures::difference(units, knock_on),
        figures::plus_minus(units, knock_on)
    );
    let shares: Vec<String> = findings
        .revisions
        .iter()
        .zip(figures::shares(units, knock_on))
        .filter(|(_, share)| share != "·")
        .map(|(revision, share)| format!("{} {share}", revision.letter))
        .collect();
    if (2..=MOST_SHARES).contains(&shares.len()) {
        text.push_str(": ");
        text.push_str(&shares.join(", "));
    }
    text
}
