//! Anti-squat and anti-rise against every body of the linkage cut free.
//!
//! What 100 % means, without virtual work. The bike accelerates by a ground force F at the rear contact; the mass, all of it on
//! the front triangle, resists at its centre, `h` above the ground. The moments about the front contact then press the
//! rear tyre by `ΔN = F·h/W` more onto the road: the vertical load transfer. Let `S` be by how much the shock's force must
//! change to keep every body where it is under F, ΔN and the chain's pull that drives the wheel, and `S₀` what it would be
//! under ΔN alone. The share of the load transfer that the shock need not carry is `1 − S/S₀`: 100 % when the shock feels
//! nothing. With the rear brake F points rearward, ΔN is negative, the chain is slack, and a pad pushes on the rotor.
//!
//! Unknown are the forces of all joints and of the axle, the chain's tension or the pad's force, and the shock's; three
//! equations for every moving body and for the wheel. Nothing here uses velocities.
#![allow(dead_code, reason = "each test binary uses its part")]

use knockon_engine::bike::Bike;
use knockon_engine::geometry::FramePoints;
use knockon_engine::suspension::linkage::{JointKind, Linkage, Pose};
use nalgebra::{DMatrix, DVector, Vector2};

pub type Vector = Vector2<f64>;

pub fn cross(a: Vector, b: Vector) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Where the bike stands: ground directions, contact and the load transfer per newton, in frame axes.
pub struct Ground {
    pub forward: Vector,
    pub up: Vector,
    pub contact: Vector,
    pub transfer: f64,
}

impl Ground {
    pub fn new(bike: &Bike<f64>, pose: &Pose<f64>) -> Self {
        let front = FramePoints::new(bike, 0.0).front_axle;
        let (rear, front) = (Vector::new(pose.axle.x, pose.axle.y), Vector::new(front.x, front.y));
        let between = front - rear;
        // The ground is the common tangent below both wheels.
        let fall = ((bike.front_radius - bike.rear_radius) / between.norm()).asin();
        let angle = between.y.atan2(between.x) - fall;
        let (forward, up) = (Vector::new(angle.cos(), angle.sin()), Vector::new(-angle.sin(), angle.cos()));
        let contact = rear - up * bike.rear_radius;
        let height = (Vector::new(bike.mass_ahead, bike.mass_above) - contact).dot(&up);
        Ground { forward, up, contact, transfer: height / between.dot(&forward) }
    }
}

/// The tight run's lines: for every pulley from the ring on its centre and the span that leaves it, and where the last span
/// touches the cog. From the angle of each tangent's normal, found with an arc cosine and chosen by looking.
struct Lines {
    centres: Vec<(usize, Vector)>,
    spans: Vec<Vector>,
    touch: Vector,
}

fn lines(bike: &Bike<f64>, linkage: &Linkage<f64>, pose: &Pose<f64>) -> Lines {
    let radius = |teeth: f64| 12.7 / 2.0 / (std::f64::consts::PI / teeth).sin();
    let mut pulleys = vec![(0, Vector::zeros(), radius(bike.ring))];
    for idler in &linkage.layout.idlers {
        let at = pose.bodies[idler.mount.body].place(linkage.points[idler.mount.point]);
        let size = radius(idler.teeth) * if idler.over { 1.0 } else { -1.0 };
        pulleys.push((idler.mount.body, Vector::new(at.x, at.y), size));
    }
    pulleys.push((usize::MAX, Vector::new(pose.axle.x, pose.axle.y), radius(bike.cog)));
    let mut touch = Vector::zeros();
    let spans = pulleys
        .windows(2)
        .map(|pair| {
            let ((_, from, r), (_, to, s)) = (pair[0], pair[1]);
            let line = to - from;
            let spread = ((r - s) / line.norm()).acos();
            let tangents = [spread, -spread].map(|spread| {
                let angle = line.y.atan2(line.x) + spread;
                let normal = Vector::new(angle.cos(), angle.sin());
                (to + normal * s - from - normal * r, normal)
            });
            // The chain runs so that the pulley that it passes over lies on its left.
            let (span, normal) =
                tangents.into_iter().find(|(span, normal)| cross(*span, -*normal) > 0.0).unwrap();
            touch = to + normal * s;
            span.normalize()
        })
        .collect();
    Lines { centres: pulleys[1..pulleys.len() - 1].iter().map(|it| (it.0, it.1)).collect(), spans, touch }
}

/// What locks the wheel.
pub enum Lock {
    Nothing,
    Chain,
    /// A pad on the caliper's body, 80 mm from the axle in this direction, degrees.
    Pad(f64),
}

/// The change of the shock's force that holds every body under a forward force and an upward one at the contact.
pub fn shock_force(
    bike: &Bike<f64>,
    linkage: &Linkage<f64>,
    pose: &Pose<f64>,
    ground: &Ground,
    [forward, upward]: [f64; 2],
    lock: &Lock,
) -> f64 {
    let layout = &linkage.layout;
    let moving = layout.bodies - 1;
    let size = 3 * (moving + 1);
    let mut matrix = DMatrix::<f64>::zeros(size, size);
    let mut right = DVector::<f64>::zeros(size);
    let mut column = 0;
    // Bodies from 1 to `moving`, then the wheel; the front triangle is held by what carries it.
    let wheel = layout.bodies;
    let push = |matrix: &mut DMatrix<f64>, column: usize, body: usize, at: Vector, force: Vector| {
        if body > 0 {
            let row = 3 * (body - 1);
            matrix[(row, column)] += force.x;
            matrix[(row + 1, column)] += force.y;
            matrix[(row + 2, column)] += cross(at, force);
        }
    };
    let place = |body: usize, point: usize| {
        let at = pose.bodies[body].place(linkage.points[point]);
        Vector::new(at.x, at.y)
    };
    for joint in &layout.joints {
        let [first, second] = joint.bodies;
        let at = place(second, joint.point);
        let forces = match joint.kind {
            JointKind::Pivot => vec![Vector::x(), Vector::y()],
            JointKind::Slide { direction } => {
                let (cos, sin) = pose.bodies[first].turn_cos_sin;
                let line = linkage.directions[direction] + sin.atan2(cos);
                vec![Vector::new(-line.sin(), line.cos())]
            }
        };
        for force in &forces {
            push(&mut matrix, column, second, at, *force);
            push(&mut matrix, column, first, at, -*force);
            column += 1;
        }
        if forces.len() == 1 {
            for (body, sign) in [(second, 1.0), (first, -1.0)] {
                if body > 0 {
                    matrix[(3 * (body - 1) + 2, column)] += sign;
                }
            }
            column += 1;
        }
    }
    let axle = Vector::new(pose.axle.x, pose.axle.y);
    for force in [Vector::x(), Vector::y()] {
        push(&mut matrix, column, layout.axle, axle, force);
        push(&mut matrix, column, wheel, axle, -force);
        column += 1;
    }
    match lock {
        // One equation must still hold the wheel: a free couple that then turns out zero.
        Lock::Nothing => matrix[(3 * (wheel - 1) + 2, column)] = 1.0,
        Lock::Chain => {
            let lines = lines(bike, linkage, pose);
            for (place, (body, centre)) in lines.centres.iter().enumerate() {
                push(&mut matrix, column, *body, *centre, lines.spans[place + 1] - lines.spans[place]);
            }
            push(&mut matrix, column, wheel, lines.touch, -*lines.spans.last().unwrap());
        }
        Lock::Pad(degrees) => {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let (at, along) = (axle + Vector::new(cos, sin) * 80.0, Vector::new(-sin, cos));
            push(&mut matrix, column, wheel, at, along);
            push(&mut matrix, column, layout.caliper.unwrap(), at, -along);
        }
    }
    column += 1;
    let [one, other] = layout.eyes;
    let (from, to) = (place(one.body, one.point), place(other.body, other.point));
    let apart = (to - from).normalize();
    push(&mut matrix, column, other.body, to, apart);
    push(&mut matrix, column, one.body, from, -apart);
    assert_eq!(column + 1, size, "as many unknowns as equations");

    let load = ground.forward * forward + ground.up * upward;
    let row = 3 * (wheel - 1);
    right[row] = -load.x;
    right[row + 1] = -load.y;
    right[row + 2] = -cross(ground.contact, load);
    let solved = matrix.lu().solve(&right).expect("the bodies can be held");
    solved[column]
}

pub fn share(bike: &Bike<f64>, linkage: &Linkage<f64>, pose: &Pose<f64>, sign: f64, lock: &Lock) -> f64 {
    let ground = Ground::new(bike, pose);
    let load = ground.transfer * sign;
    let force = shock_force(bike, linkage, pose, &ground, [sign, load], lock);
    let alone = shock_force(bike, linkage, pose, &ground, [0.0, load], &Lock::Nothing);
    1.0 - force / alone
}
