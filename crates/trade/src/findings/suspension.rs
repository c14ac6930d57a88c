//! The rear suspension through its travel: curves before and after, the linkage where it is drawn, what carries the rider.

use knockon_engine::bike::Bike;
use knockon_engine::comparison::Given;
use knockon_engine::geometry::{FramePoint, FramePoints, Stance};
use knockon_engine::quantity::Quantity;
use knockon_engine::suspension::chain::Pulleys;
use knockon_engine::suspension::curve::Curve;
use knockon_engine::suspension::linkage::{JointKind, Linkage};
use knockon_engine::suspension::rear::{RearAxle, stroke};
use knockon_engine::suspension::sag::{BottomOut, Frequencies, sag};
use knockon_engine::suspension::traced::{Traced, traced};

use super::knock_on::{edge, next};
use super::{AnswerError, Case};
use crate::linkage::words;
use crate::verdict::Next;

/// The rear suspension before and after. Figures are in the units of the edge: mm, degrees, percent, N, N/mm; NaN where
/// the record does not suffice.
#[derive(Clone, Debug)]
pub struct Suspension {
    /// The bike as it is.
    pub before: Travel,
    /// The bike after all changes.
    pub after: Travel,
    /// The linkage as it is drawn; `None` where the record has none.
    pub linkage: Option<Drawn>,
    /// What carries the rider, before and after.
    pub springs: [Springs; 2],
    /// Why the linkage as the record has it cannot move through its stroke, in words; the curves are NaN then.
    pub stuck: Option<String>,
}

/// One bike's suspension at equal steps of the shock's compression, from full extension to full travel.
#[derive(Clone, Debug)]
pub struct Travel {
    /// Every [`Curve`] at every position.
    pub values: Vec<[f64; Curve::COUNT]>,
    /// ± of each.
    pub plus_minus: Vec<[f64; Curve::COUNT]>,
    /// What to measure next for each [`Curve`]: what most of its tolerance comes from, at sag or about there.
    pub measure_next: Vec<Option<Next>>,
    /// Compression of the shock at sag, mm.
    pub sag: Option<f64>,
    /// ± of it.
    pub sag_pm: f64,
    /// Where each part of the linkage is at each position: cos, sin, x, y; a drawn point p goes to R·p + (x, y) in frame
    /// axes. Empty without a linkage.
    pub bodies: Vec<Vec<[f64; 4]>>,
    /// Rear axle at each position, frame axes.
    pub axle: Vec<[f64; 2]>,
    /// Where the frame stands at each position, in the way of `bodies`: a point in frame axes goes to one on the ground, the
    /// bottom bracket above the origin. The fork is fully extended. NaN where the bike is not known well enough.
    pub standing: Vec<[f64; 4]>,
    /// Ends of the chain's straight pieces at each position, frame axes: of the tight run from ring to cog, and of the lower
    /// run back. Empty where ring, cog or linkage are not known.
    pub chain: Vec<[ChainRun; 2]>,
}

/// Ends of a run's straight pieces.
pub type ChainRun = Vec<[[f64; 2]; 2]>;

/// The linkage as it is drawn, frame axes, mm.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// Its points.
    pub points: Vec<DrawnPoint>,
    /// Its parts; the first is the front triangle.
    pub parts: Vec<DrawnPart>,
    /// The shock's eyes, as places in the list of points.
    pub eyes: [usize; 2],
    /// The parts that they are on.
    pub eye_parts: [usize; 2],
    /// The part that carries the rear axle.
    pub axle_part: usize,
    /// Where the points are drawn after the changes.
    pub points_after: Vec<[f64; 2]>,
    /// The rear axle as it is drawn, before and after.
    pub axles: [[f64; 2]; 2],
}

/// One point of a linkage.
#[derive(Clone, Debug)]
pub struct DrawnPoint {
    /// Its name in the record.
    pub name: String,
    /// Where it is drawn before the changes.
    pub at: [f64; 2],
    /// The parts that it is on.
    pub on: Vec<usize>,
    /// Teeth of an idler.
    pub teeth: Option<f64>,
    /// Line of a sliding joint, degrees counter-clockwise from forward.
    pub slides: Option<f64>,
    /// Whether the chain passes over an idler.
    pub over: bool,
}

/// One part of a linkage.
#[derive(Clone, Debug)]
pub struct DrawnPart {
    /// Its name in the record.
    pub name: String,
    /// Its points.
    pub points: Vec<usize>,
}

/// What carries the rider, in figures. `None` where the record does not suffice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Springs {
    /// Load on the rear axle at sag, N.
    pub rear_load: Option<f64>,
    /// Load on the front axle at sag, N.
    pub front_load: Option<f64>,
    /// Whether the shock's sag follows from its spring rather than from what it is set up to.
    pub rear_by_spring: bool,
    /// Whether the fork's does.
    pub fork_by_spring: bool,
    /// Rate of the coil spring on the shock, N/mm.
    pub coil_rate: Option<f64>,
    /// Pressure in the shock, bar.
    pub pressure: Option<f64>,
    /// Rate of the coil spring in the fork, N/mm.
    pub fork_coil_rate: Option<f64>,
    /// Pressure in the fork, bar.
    pub fork_pressure: Option<f64>,
    /// Energy that the shock's spring takes up over the whole stroke, J.
    pub energy: Option<f64>,
    /// Energy that the fork's spring takes up over the whole travel, J.
    pub fork_energy: Option<f64>,
    /// Frequency at which the rear bounces about its sag, Hz.
    pub rear_frequency: Option<f64>,
    /// Frequency at which the front bounces about its sag, Hz.
    pub front_frequency: Option<f64>,
}

/// Positions of a chart, in strides of four between those whose tolerance is computed.
const STRIDES: usize = 5;
const POSITIONS: usize = STRIDES * 4 + 1;

pub(super) fn through_the_travel(case: &Case<'_>) -> Result<Option<Suspension>, AnswerError> {
    if !stroke(case.before).is_finite() && !stroke(case.after).is_finite() {
        return Ok(None);
    }
    let [before, after] = [0, 1].map(|which| axles(case, which));
    let (before, stuck) = match before {
        Ok(before) => (before, None),
        Err(why) => (Vec::new(), Some(why)),
    };
    let after = match after {
        Err(why) if stuck.is_none() => return Err(AnswerError::Stuck(why)),
        after => after.unwrap_or_default(),
    };
    let none = Given { steps: &[], ..case.given };
    Ok(Some(Suspension {
        before: travel(case, none, 0, &before),
        after: travel(case, case.given, 1, &after),
        linkage: drawn(case),
        springs: [0, 1].map(|which| springs(bike(case, which), case.linkages[which])),
        stuck,
    }))
}

fn bike<'a>(case: &Case<'a>, which: usize) -> &'a Bike<f64> {
    if which == 0 { case.before } else { case.after }
}

/// The rear axle at every position, or why the linkage does not go through the whole stroke.
fn axles(case: &Case<'_>, which: usize) -> Result<Vec<RearAxle<f64>>, String> {
    let (bike, linkage) = (bike(case, which), case.linkages[which]);
    let stroke = stroke(bike);
    let (Some(linkage), Some(built)) = (linkage, &case.build.linkage) else {
        let at = |position: usize| stroke * position as f64 / (POSITIONS - 1) as f64;
        let axles = (0..POSITIONS).map(|position| RearAxle::at(bike, None, at(position)));
        return Ok(axles.filter_map(Result::ok).collect());
    };
    let poses = linkage.sweep(bike.shock_start, bike.shock_start + stroke, POSITIONS);
    let poses = poses.map_err(|stuck| words(&stuck, built))?;
    if poses.iter().any(|pose| pose.axle_velocity.y <= 0.0) {
        // It moves, but no rear suspension does so: no figure of it would mean anything.
        return Err("the rear wheel would go down instead of up while the shock gets shorter".to_owned());
    }
    Ok(poses.into_iter().map(RearAxle::of_pose).collect())
}

fn travel(case: &Case<'_>, given: Given<'_>, which: usize, axles: &[RearAxle<f64>]) -> Travel {
    let (bike, linkage) = (bike(case, which), case.linkages[which]);
    let traced = traced(&case.build.bike, given, STRIDES, case.build.inputs.len());
    let table = |of: &dyn Fn(&Traced, usize, Curve) -> f64| {
        (0..POSITIONS)
            .map(|position| {
                std::array::from_fn(|curve| {
                    let curve = Curve::ALL[curve];
                    of(&traced, position, curve) * edge(curve.dimension())
                })
            })
            .collect()
    };
    let sag = sag(bike, linkage).ok().map(|sag| sag.shock).filter(|shock| shock.is_finite());
    // Where sag is not known, about where it would be.
    let at = sag.map_or(0.3, |sag| sag / stroke(bike)) * (POSITIONS - 1) as f64;
    let places = places(bike, linkage, axles);
    let row = Quantity::ShockSag as usize;
    let estimates = if which == 0 { &case.assessment.before } else { &case.assessment.after };
    Travel {
        values: table(&|traced, position, curve| traced.value(position, curve)),
        plus_minus: table(&|traced, position, curve| traced.plus_minus(position, curve)),
        measure_next: Curve::ALL.iter().map(|curve| measure_next(case, &traced, *curve, at)).collect(),
        sag,
        sag_pm: estimates.plus_minus(row) * stroke(bike),
        bodies: places.bodies,
        axle: places.axle,
        standing: places.standing,
        chain: places.chain,
    }
}

fn measure_next(case: &Case<'_>, traced: &Traced, curve: Curve, at: f64) -> Option<Next> {
    let position = (at.round() as usize).min(POSITIONS - 1);
    let (input, share) = *traced.variance_shares(position, curve).first()?;
    Some(next(&case.build.inputs[input], share))
}

#[derive(Default)]
struct Places {
    bodies: Vec<Vec<[f64; 4]>>,
    axle: Vec<[f64; 2]>,
    standing: Vec<[f64; 4]>,
    chain: Vec<[ChainRun; 2]>,
}

fn places(bike: &Bike<f64>, linkage: Option<&Linkage<f64>>, axles: &[RearAxle<f64>]) -> Places {
    let mut places = Places::default();
    let pulleys = linkage.map(|linkage| Pulleys::new(bike, linkage));
    let front_axle = FramePoints::new(bike, 0.0).front_axle;
    let place = |point: FramePoint<f64>| [point.x, point.y];
    for axle in axles {
        places.axle.push(place(axle.place));
        let stance = Stance::on(bike, front_axle, axle.place);
        let (sin, cos) = stance.turn.sin_cos();
        places.standing.push([cos, sin, 0.0, stance.bottom_bracket_height()]);
        if let (Some(pose), Some(linkage), Some(pulleys)) = (&axle.pose, linkage, &pulleys) {
            let runs = pulleys.touching(linkage, pose);
            places
                .chain
                .extend(runs.map(|runs| runs.map(|run| run.iter().map(|ends| ends.map(place)).collect())));
            let bodies = pose.bodies[..linkage.layout.bodies].iter();
            places.bodies.push(
                bodies
                    .map(|body| [body.turn_cos_sin.0, body.turn_cos_sin.1, body.shift.x, body.shift.y])
                    .collect(),
            );
        }
    }
    places
}

fn drawn(case: &Case<'_>) -> Option<Drawn> {
    let built = case.build.linkage.as_ref()?;
    let [Some(before), Some(after)] = case.linkages else { return None };
    let layout = &before.layout;
    let place = |point: &FramePoint<f64>| [point.x, point.y];
    let mut points: Vec<DrawnPoint> = built
        .points
        .iter()
        .zip(&before.points)
        .map(|(name, at)| DrawnPoint {
            name: name.clone(),
            at: place(at),
            on: Vec::new(),
            teeth: None,
            slides: None,
            over: true,
        })
        .collect();
    for joint in &layout.joints {
        points[joint.point].on.extend(joint.bodies);
        if let JointKind::Slide { direction } = joint.kind {
            points[joint.point].slides = Some(before.directions[direction].to_degrees());
        }
    }
    // The first part of a sliding joint carries its line, so a joint's parts keep their order.
    let on = |point: &mut DrawnPoint, body: usize| {
        if !point.on.contains(&body) {
            point.on.push(body);
        }
    };
    for eye in layout.eyes {
        on(&mut points[eye.point], eye.body);
    }
    for idler in &layout.idlers {
        let point = &mut points[idler.mount.point];
        on(point, idler.mount.body);
        (point.teeth, point.over) = (Some(idler.teeth), idler.over);
    }
    for point in &mut points {
        // The first part of a sliding joint carries its line, so their order stays.
        let mut known = Vec::new();
        point.on.retain(|part| {
            !known.contains(part) && {
                known.push(*part);
                true
            }
        });
    }
    let parts = built.parts.iter().enumerate();
    let on = |part: usize| (0..points.len()).filter(|at| points[*at].on.contains(&part)).collect();
    let parts = parts.map(|(part, name)| DrawnPart { name: name.clone(), points: on(part) }).collect();
    Some(Drawn {
        parts,
        eyes: layout.eyes.map(|eye| eye.point),
        eye_parts: layout.eyes.map(|eye| eye.body),
        axle_part: layout.axle,
        points_after: after.points.iter().map(place).collect(),
        axles: [place(&before.axle), place(&after.axle)],
        points,
    })
}

fn springs(bike: &Bike<f64>, linkage: Option<&Linkage<f64>>) -> Springs {
    let known = |value: f64| value.is_finite().then_some(value);
    let Ok(balance) = sag(bike, linkage) else { return Springs::default() };
    let frequencies = Frequencies::at(bike, linkage, &balance).ok();
    Springs {
        rear_load: known(balance.rear_load),
        front_load: known(balance.front_load),
        rear_by_spring: balance.rear_by_spring,
        fork_by_spring: balance.fork_by_spring,
        coil_rate: known(bike.coil_rate),
        pressure: known(bike.shock_pressure),
        fork_coil_rate: known(bike.fork_coil_rate),
        fork_pressure: known(bike.fork_pressure),
        energy: known(BottomOut::shock(bike).energy),
        fork_energy: known(BottomOut::fork(bike).energy),
        rear_frequency: frequencies.as_ref().and_then(|both| known(both.rear)),
        front_frequency: frequencies.as_ref().and_then(|both| known(both.front)),
    }
}
