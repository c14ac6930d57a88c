//! Anti-squat and anti-rise: what pedalling and braking do to the rear suspension.
//!
//! Both compare two things that act on the rear linkage while the bike accelerates or brakes at `a`, mass `m`, wheelbase `W`,
//! centre of mass `h` above the ground: the ground's push `m·a` along the road, and the load `m·a·h/W` that moves from one
//! axle to the other. *100 %* means that the two cancel in the linkage: the shock's force, and with it the compression, stays
//! as it was. 0 % means that the road's push does nothing there. By virtual work, as the axle rises by `dy`, relative to the
//! front triangle, and the place of the tyre that touches the ground moves forward by `dx_c`:
//!
//! `share = −(dx_c/dy)·W/h`
//!
//! The wheel is locked to the chain for anti-squat and to the caliper's body for anti-rise. Directions, `W` and `h` are
//! those of the bike as it stands on the ground in that position. Assumed, as in the trade: a rigid chain, idlers and
//! joints without friction, all mass on the front triangle, cranks that stand still against it, no slope.
//!
//! Source of the definitions: T. Foale, *Motorcycle Handling and Chassis Design*; V. Cossalter, *Motorcycle Dynamics*
//! (attribution from memory, unverified); the formula by virtual work is this program's own derivation and is checked against
//! free bodies with every joint's force written down.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::Stance;
use crate::geometry::point::{FramePoint, FrameVector};

use super::chain::Chain;
use super::linkage::{JointKind, Linkage, Pose};

/// A joint nearer than this to the axle, mm, turns about it: far less than anybody measures, far more than rounding.
const CONCENTRIC: f64 = 0.01;

/// Anti-squat, a plain number, 1 for 100 %: `−(dx_c/dy)·W/h` with `dx_c = dx_A − (r_w/r_cog)·(δA·t̂)`.
///
/// - `stance`: the bike on the ground in that position, [`Stance::compressed`];
/// - `velocity`: of the rear axle in frame axes; `tight`: rate of the tight run, [`Chain::rate`], both per mm of compression;
/// - `cog_radius`: pitch radius of the cog, mm.
///
/// Range: any; NaN where something is unknown. The height of the centre of mass is the least certain figure in it: the share
/// goes with its inverse.
///
/// ```
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::geometry::{FramePoint, Stance};
/// # use knockon_engine::geometry::point::FrameVector;
/// # use knockon_engine::suspension::effect::anti_squat;
/// # let mut bike = Bike::unknown();
/// # (bike.stack, bike.reach, bike.head_angle) = (600.0, 400.0, 90_f64.to_radians());
/// # (bike.head_tube, bike.lower_stack, bike.axle_to_crown, bike.fork_offset) = (100.0, 0.0, 500.0, 300.0);
/// # (bike.chainstay, bike.bottom_bracket_drop) = (500.0, 0.0);
/// # (bike.front_radius, bike.rear_radius) = (350.0, 350.0);
/// // Axles level with the bottom bracket at −500 and 700 mm: W = 1200 mm; mass at 650 + 350 = 1000 mm = h.
/// (bike.mass_ahead, bike.mass_above) = (0.0, 650.0);
/// let stance = Stance::compressed(&bike, 0.0, FramePoint { x: -500.0, y: 0.0 });
/// // The axle goes 0.2 mm back for 2 mm up; the tight run grows by those 0.2 mm; wheel 350 mm, cog 35 mm.
/// let share = anti_squat(&bike, &stance, FrameVector { x: -0.2, y: 2.0 }, 0.2, 35.0);
/// assert!((share - 1.32).abs() < 1e-12); // −(−0.2 − 10·0.2)/2 · 1200/1000
/// ```
pub fn anti_squat<T: Scalar>(
    bike: &Bike<T>,
    stance: &Stance<T>,
    velocity: FrameVector<T>,
    tight: T,
    cog_radius: T,
) -> T {
    // The held chain turns the cog, and the wheel, forward as the run grows: its lowest point goes backward.
    let turn = -tight / cog_radius;
    share(bike, stance, velocity, turn)
}

/// Anti-squat in one call, for one pose of a linkage and a fork compressed by `fork_compression` mm: see [`anti_squat`].
///
/// ```
/// # use std::sync::Arc;
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::geometry::{FramePoint, Stance};
/// # use knockon_engine::suspension::linkage::{Joint, JointKind, Layout, Linkage, Mount};
/// # let mut bike = Bike::unknown();
/// # (bike.stack, bike.reach, bike.head_angle) = (600.0, 400.0, 90_f64.to_radians());
/// # (bike.head_tube, bike.lower_stack, bike.axle_to_crown, bike.fork_offset) = (100.0, 0.0, 485.0, 365.0);
/// # (bike.chainstay, bike.bottom_bracket_drop) = (435_f64.hypot(15.0), 15.0);
/// # (bike.front_radius, bike.rear_radius) = (350.0, 350.0);
/// # (bike.ring, bike.cog, bike.mass_ahead, bike.mass_above) = (24.0, 24.0, 0.0, 715.0);
/// # let linkage = |x: f64, y: f64| Linkage {
/// #     layout: Arc::new(Layout {
/// #         bodies: 2,
/// #         joints: vec![Joint { bodies: [0, 1], point: 0, kind: JointKind::Pivot }],
/// #         eyes: [Mount { body: 1, point: 1 }, Mount { body: 0, point: 2 }],
/// #         axle: 1,
/// #         caliper: Some(1),
/// #         idlers: vec![],
/// #     }),
/// #     points: [(x, y), (x, y + 150.0), (x + 200.0, y + 170.0)].map(|(x, y)| FramePoint { x, y }).to_vec(),
/// #     directions: vec![],
/// #     axle: FramePoint { x: -435.0, y: 15.0 },
/// # };
/// # use knockon_engine::suspension::effect::anti_squat_of;
/// // The swing arm turns about the bottom bracket, ring and cog are alike: the chain's line is parallel to the line from
/// // axle to pivot, which from −435, 15 to 0, 0 falls by 15/435. Wheelbase 1200 mm, mass 1050 mm above the ground.
/// let linkage = linkage(0.0, 0.0);
/// let share = anti_squat_of(&bike, &linkage, &linkage.pose(0.0).unwrap(), 0.0);
/// assert!((share + 15.0 / 435.0 * 1200.0 / 1050.0).abs() < 1e-9);
/// ```
pub fn anti_squat_of<T: Scalar>(
    bike: &Bike<T>,
    linkage: &Linkage<T>,
    pose: &Pose<T>,
    fork_compression: T,
) -> T {
    let stance = Stance::compressed(bike, fork_compression, pose.axle);
    let rate = Chain::new(bike, linkage, pose).rate();
    anti_squat(bike, &stance, pose.axle_velocity, rate, super::chain::pitch_radius(bike.cog))
}

/// Anti-rise under the rear brake, a plain number, 1 for 100 %: `−(dx_c/dy)·W/h` with `dx_c = dx_A + r_w·dθ`, `θ` the turn of
/// the caliper's body, counter-clockwise.
///
/// NaN where nobody said which body carries the caliper, and where that body neither carries the axle nor turns about it:
/// then the share depends on where the pads are, and that is not in the record.
///
/// ```
/// # use std::sync::Arc;
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::geometry::{FramePoint, Stance};
/// # use knockon_engine::suspension::linkage::{Joint, JointKind, Layout, Linkage, Mount};
/// # let mut bike = Bike::unknown();
/// # (bike.stack, bike.reach, bike.head_angle) = (600.0, 400.0, 90_f64.to_radians());
/// # (bike.head_tube, bike.lower_stack, bike.axle_to_crown, bike.fork_offset) = (100.0, 0.0, 485.0, 365.0);
/// # (bike.chainstay, bike.bottom_bracket_drop) = (435_f64.hypot(15.0), 15.0);
/// # (bike.front_radius, bike.rear_radius) = (350.0, 350.0);
/// # (bike.ring, bike.cog, bike.mass_ahead, bike.mass_above) = (24.0, 24.0, 0.0, 715.0);
/// # let linkage = |x: f64, y: f64| Linkage {
/// #     layout: Arc::new(Layout {
/// #         bodies: 2,
/// #         joints: vec![Joint { bodies: [0, 1], point: 0, kind: JointKind::Pivot }],
/// #         eyes: [Mount { body: 1, point: 1 }, Mount { body: 0, point: 2 }],
/// #         axle: 1,
/// #         caliper: Some(1),
/// #         idlers: vec![],
/// #     }),
/// #     points: [(x, y), (x, y + 150.0), (x + 200.0, y + 170.0)].map(|(x, y)| FramePoint { x, y }).to_vec(),
/// #     directions: vec![],
/// #     axle: FramePoint { x: -435.0, y: 15.0 },
/// # };
/// # use knockon_engine::suspension::effect::anti_rise;
/// // One pivot, 430 mm ahead of the rear contact and 400 mm above the ground; wheelbase 1200 mm, mass 1050 mm above the
/// // ground.
/// let linkage = linkage(-5.0, 65.0);
/// let pose = linkage.pose(0.0).unwrap();
/// let stance = Stance::compressed(&bike, 0.0, pose.axle);
/// assert!((anti_rise(&bike, &stance, &linkage, &pose) - 400.0 / 430.0 * 1200.0 / 1050.0).abs() < 1e-9);
/// ```
pub fn anti_rise<T: Scalar>(bike: &Bike<T>, stance: &Stance<T>, linkage: &Linkage<T>, pose: &Pose<T>) -> T {
    match braked_body(linkage) {
        Some(body) => anti_rise_by(bike, stance, pose, body),
        None => T::from(f64::NAN),
    }
}

/// Anti-rise by the turn of `body`, which carries the caliper.
#[inline]
pub(super) fn anti_rise_by<T: Scalar>(bike: &Bike<T>, stance: &Stance<T>, pose: &Pose<T>, body: usize) -> T {
    share(bike, stance, pose.axle_velocity, pose.bodies[body].spin)
}

/// The body that carries the caliper, if the brake's moment acts on it wherever the pads are: it carries the axle, or is joined
/// by pivots at the axle's place to the body that does. `None` otherwise, and where nobody said which body carries it.
pub fn braked_body<T: Scalar>(linkage: &Linkage<T>) -> Option<usize> {
    let layout = &linkage.layout;
    let caliper = layout.caliper?;
    let at_axle = |point: FramePoint<T>| {
        let (x, y) = ((point.x - linkage.axle.x).re(), (point.y - linkage.axle.y).re());
        x.hypot(y) <= CONCENTRIC
    };
    // Bodies whose point at the axle's place stays there.
    let mut reached = 1_u32 << layout.axle;
    for _ in 0..layout.bodies {
        for joint in &layout.joints {
            let [a, b] = joint.bodies.map(|body| 1_u32 << body);
            let joins = reached & (a | b) != 0 && joint.kind == JointKind::Pivot;
            if joins && at_axle(linkage.points[joint.point]) {
                reached |= a | b;
            }
        }
    }
    (reached & (1 << caliper) != 0).then_some(caliper)
}

/// `−(dx_c/dy)·W/h` for a wheel that turns by `turn`, counter-clockwise, while its axle moves by `velocity`.
#[inline]
fn share<T: Scalar>(bike: &Bike<T>, stance: &Stance<T>, velocity: FrameVector<T>, turn: T) -> T {
    let axle = stance.direction(velocity);
    let contact = axle.x + bike.rear_radius * turn;
    let mass = stance.from_bottom_bracket(FramePoint { x: bike.mass_ahead, y: bike.mass_above });
    let height = mass.y + stance.bottom_bracket_height();
    -(contact * stance.wheelbase()) / (axle.y * height)
}
