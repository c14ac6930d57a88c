//! Invented linkages of common kinds, and the two reference linkages. Millimetres, bottom bracket at the origin, x forward.

#![allow(dead_code, reason = "each test program uses a part")]

use std::sync::Arc;

use knockon_engine::geometry::point::{FramePoint, FrameVector};
use knockon_engine::suspension::linkage::{Idler, Joint, JointKind, Layout, Linkage, Mount, Placement, Pose};

/// A point.
pub fn point(x: f64, y: f64) -> FramePoint<f64> {
    FramePoint { x, y }
}

/// The point `length` from another at an angle in degrees, counter-clockwise from forward.
pub fn polar(from: FramePoint<f64>, length: f64, degrees: f64) -> FramePoint<f64> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    point(from.x + length * cos, from.y + length * sin)
}

/// Distance of two points.
pub fn distance(a: FramePoint<f64>, b: FramePoint<f64>) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// Where two circles meet: on the left of the way from `a` to `b`, or on its right. NaN where they do not.
pub fn meeting(a: FramePoint<f64>, ra: f64, b: FramePoint<f64>, rb: f64, left: bool) -> FramePoint<f64> {
    let d = distance(a, b);
    let along = (d * d + ra * ra - rb * rb) / (2.0 * d);
    let across = (ra * ra - along * along).sqrt() * if left { 1.0 } else { -1.0 };
    let (ux, uy) = ((b.x - a.x) / d, (b.y - a.y) / d);
    point(a.x + along * ux - across * uy, a.y + along * uy + across * ux)
}

/// Joints and points of a linkage, one after another.
pub struct Builder {
    pub layout: Layout,
    pub points: Vec<FramePoint<f64>>,
    pub directions: Vec<f64>,
}

impl Builder {
    pub fn new(bodies: usize) -> Self {
        let nowhere = Mount { body: 0, point: 0 };
        let layout =
            Layout { bodies, joints: vec![], eyes: [nowhere; 2], axle: 1, caliper: None, idlers: vec![] };
        Builder { layout, points: vec![], directions: vec![] }
    }

    pub fn mount(&mut self, body: usize, at: FramePoint<f64>) -> Mount {
        self.points.push(at);
        Mount { body, point: self.points.len() - 1 }
    }

    pub fn pivot(mut self, one: usize, two: usize, at: FramePoint<f64>) -> Self {
        let point = self.mount(one, at).point;
        self.layout.joints.push(Joint { bodies: [one, two], point, kind: JointKind::Pivot });
        self
    }

    pub fn slide(mut self, line_of: usize, point_of: usize, at: FramePoint<f64>, degrees: f64) -> Self {
        let point = self.mount(line_of, at).point;
        self.directions.push(degrees.to_radians());
        let kind = JointKind::Slide { direction: self.directions.len() - 1 };
        self.layout.joints.push(Joint { bodies: [line_of, point_of], point, kind });
        self
    }

    pub fn idler(mut self, body: usize, at: FramePoint<f64>, teeth: f64, over: bool) -> Self {
        let mount = self.mount(body, at);
        self.layout.idlers.push(Idler { mount, teeth, over });
        self
    }

    pub fn shock(mut self, eyes: [(usize, FramePoint<f64>); 2]) -> Self {
        self.layout.eyes = eyes.map(|(body, at)| self.mount(body, at));
        self
    }

    pub fn axle(mut self, body: usize, at: FramePoint<f64>) -> Linkage<f64> {
        self.layout.axle = body;
        self.layout.caliper = Some(body);
        Linkage { layout: Arc::new(self.layout), points: self.points, directions: self.directions, axle: at }
    }
}

/// A linkage with the stroke that it is tried over.
pub struct Example {
    pub name: &'static str,
    pub linkage: Linkage<f64>,
    pub stroke: f64,
}

pub fn examples() -> Vec<Example> {
    let example = |name, linkage, stroke| Example { name, linkage, stroke };
    vec![
        example("single pivot", single_pivot(), 55.0),
        example("four-bar", four_bar(), 55.0),
        example("two short links", short_links(), 34.0),
        example("rocker and push link", push_link(), 50.0),
        example("sliding carriage", carriage(), 28.0),
        example("high pivot with idler", high_pivot(), 55.0),
        example("floating shock", floating_shock(), 50.0),
        example("block on the swing arm", block(), 40.0),
        example("two loops", two_loops(), 34.0),
    ]
}

pub fn single_pivot() -> Linkage<f64> {
    Builder::new(2)
        .pivot(0, 1, point(10.0, 80.0))
        .shock([(0, point(120.0, 290.0)), (1, point(-90.0, 230.0))])
        .axle(1, point(-430.0, 15.0))
}

/// Axle on the coupler.
pub fn four_bar() -> Linkage<f64> {
    reference_b(186.0, 370.0, 120.0)
}

pub fn short_links() -> Linkage<f64> {
    Builder::new(4)
        .pivot(0, 1, point(20.0, 30.0))
        .pivot(0, 3, point(-40.0, 260.0))
        .pivot(1, 2, point(-45.0, -5.0))
        .pivot(3, 2, point(-110.0, 262.0))
        .shock([(3, point(-40.0, 305.0)), (0, point(160.0, 300.0))])
        .axle(2, point(-430.0, 10.0))
}

/// Single pivot whose rocker is driven by a push link.
pub fn push_link() -> Linkage<f64> {
    Builder::new(4)
        .pivot(0, 1, point(10.0, 50.0))
        .pivot(0, 2, point(-50.0, 280.0))
        .pivot(1, 3, point(-150.0, 120.0))
        .pivot(3, 2, point(-110.0, 300.0))
        .shock([(2, point(0.0, 320.0)), (0, point(130.0, 164.0))])
        .axle(1, point(-430.0, 10.0))
}

/// A carriage slides on the front triangle, the rear triangle is pivoted on it and guided by an upper link.
pub fn carriage() -> Linkage<f64> {
    Builder::new(4)
        .slide(0, 1, point(0.0, 20.0), 110.0)
        .pivot(1, 2, point(-10.0, 20.0))
        .pivot(0, 3, point(-40.0, 280.0))
        .pivot(3, 2, point(-110.0, 283.5))
        .shock([(3, point(-40.0, 322.0)), (0, point(160.0, 318.0))])
        .axle(2, point(-430.0, 10.0))
}

pub fn high_pivot() -> Linkage<f64> {
    Builder::new(2)
        .pivot(0, 1, point(-20.0, 180.0))
        .idler(1, point(-15.0, 175.0), 18.0, true)
        .shock([(1, point(-50.0, 330.0)), (0, point(170.0, 340.0))])
        .axle(1, point(-430.0, 15.0))
}

/// The shock sits between the rocker and the swing arm.
pub fn floating_shock() -> Linkage<f64> {
    Builder::new(4)
        .pivot(0, 1, point(10.0, 50.0))
        .pivot(0, 2, point(-50.0, 280.0))
        .pivot(1, 3, point(-150.0, 120.0))
        .pivot(3, 2, point(-110.0, 300.0))
        .shock([(2, point(20.0, 330.0)), (1, point(40.0, 120.0))])
        .axle(1, point(-430.0, 10.0))
}

/// A block that is pivoted on the rocker slides along the swing arm; `order` swaps which joint closes the loop, `line_of`
/// says whose line it is.
pub fn block_joined(order: [usize; 2], line_of_block: bool) -> Linkage<f64> {
    let mut builder = Builder::new(4);
    for body in order {
        builder = builder.pivot(0, body, if body == 1 { point(10.0, 50.0) } else { point(-50.0, 280.0) });
    }
    let (line_of, point_of) = if line_of_block { (3, 1) } else { (1, 3) };
    builder
        .slide(line_of, point_of, point(-140.0, 190.0), 190.0)
        .pivot(2, 3, point(-130.0, 200.0))
        .shock([(2, point(20.0, 320.0)), (0, point(90.0, 130.0))])
        .axle(1, point(-430.0, 10.0))
}

pub fn block() -> Linkage<f64> {
    block_joined([1, 2], false)
}

/// A four-bar whose rocker drives a second one by a push link.
pub fn two_loops() -> Linkage<f64> {
    Builder::new(6)
        .pivot(0, 1, point(10.0, 30.0))
        .pivot(1, 2, point(-390.0, -5.0))
        .pivot(2, 3, point(-120.0, 260.0))
        .pivot(0, 3, point(-40.0, 270.0))
        .pivot(3, 4, point(-40.0, 333.0))
        .pivot(4, 5, point(120.0, 330.0))
        .pivot(0, 5, point(120.0, 270.0))
        .shock([(5, point(170.0, 262.0)), (0, point(150.0, 60.0))])
        .axle(2, point(-430.0, 15.0))
}

/// Reference linkage A: a single pivot at the origin, its arm of 430 mm at `theta` degrees.
pub fn reference_a(theta: f64) -> Linkage<f64> {
    let pivot = point(0.0, 0.0);
    Builder::new(2)
        .pivot(0, 1, pivot)
        .shock([(0, point(60.0, 190.0)), (1, polar(pivot, 180.0, theta - 35.0))])
        .axle(1, polar(pivot, 430.0, theta))
}

/// Points of reference linkage B at a crank angle in degrees: `[P1, P2, P3, P4, axle, rocker's eye, frame's eye]`.
pub fn points_b(theta: f64, coupler: f64, rocker: f64) -> [FramePoint<f64>; 7] {
    let (p1, p4) = (point(0.0, 0.0), point(-40.0, 230.0));
    let p2 = polar(p1, 400.0, theta);
    // Seen from P2 the upper one is on the left of the way to P4.
    let p3 = meeting(p2, coupler, p4, rocker, true);
    let (ux, uy) = ((p3.x - p2.x) / coupler, (p3.y - p2.y) / coupler);
    let axle = point(p2.x - 25.0 * ux - 20.0 * uy, p2.y - 25.0 * uy + 20.0 * ux);
    let eye = polar(p4, 70.0, (p3.y - p4.y).atan2(p3.x - p4.x).to_degrees() + 190.0);
    [p1, p2, p3, p4, axle, eye, point(-20.0, 40.0)]
}

/// Reference linkage B, a four-bar with the axle on its coupler, drawn with its crank at `theta` degrees. Bodies: crank,
/// coupler, rocker.
pub fn reference_b(theta: f64, coupler: f64, rocker: f64) -> Linkage<f64> {
    let [p1, p2, p3, p4, axle, eye, frame] = points_b(theta, coupler, rocker);
    Builder::new(4)
        .pivot(0, 1, p1)
        .pivot(1, 2, p2)
        .pivot(2, 3, p3)
        .pivot(3, 0, p4)
        .shock([(3, eye), (0, frame)])
        .axle(2, axle)
}

/// The widest gap of a pose, mm: of every joint's points, and of the shock's length. Reads nothing but placements.
pub fn widest_gap(linkage: &Linkage<f64>, pose: &Pose<f64>) -> f64 {
    let mut widest = 0.0_f64;
    let mut open = |gap: f64| widest = if gap <= widest { widest } else { gap };
    let on = |body: usize| -> &Placement<f64> { &pose.bodies[body] };
    for joint in &linkage.layout.joints {
        let drawn = linkage.points[joint.point];
        let [first, second] = joint.bodies.map(on);
        let (a, b) = (first.place(drawn), second.place(drawn));
        match joint.kind {
            JointKind::Pivot => open(distance(a, b)),
            JointKind::Slide { direction } => {
                // A second point of the line, 100 mm on, as the first body carries it; and a mark of the second body that
                // lay there: the line through both bodies' marks stays one line where they do not turn.
                let (sin, cos) = linkage.directions[direction].sin_cos();
                let mark = point(drawn.x + 100.0 * cos, drawn.y + 100.0 * sin);
                let (c, d) = (first.place(mark), second.place(mark));
                let off =
                    |p: FramePoint<f64>| ((c.x - a.x) * (p.y - a.y) - (c.y - a.y) * (p.x - a.x)) / 100.0;
                open(off(b).abs());
                open(off(d).abs());
            }
        }
    }
    for body in &pose.bodies {
        let (cos, sin) = body.turn_cos_sin;
        open((cos.hypot(sin) - 1.0).abs() * 1000.0);
    }
    let [a, b] = linkage.layout.eyes.map(|eye| (eye.body, linkage.points[eye.point]));
    let drawn = distance(a.1, b.1);
    open((distance(on(a.0).place(a.1), on(b.0).place(b.1)) - (drawn - pose.compression)).abs());
    widest
}

/// Where the point of a moving body is that does not move: its instant centre.
pub fn instant_centre(body: &Placement<f64>) -> FramePoint<f64> {
    let FrameVector { x, y } = body.drift;
    point(body.shift.x - y / body.spin, body.shift.y + x / body.spin)
}
