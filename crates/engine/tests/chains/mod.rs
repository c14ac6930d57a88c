//! Invented rear linkages, one of every kind that chain and brake act on differently, and a bike around them.
#![allow(dead_code, reason = "each test binary uses its part")]

use std::sync::Arc;

use knockon_engine::Scalar;
use knockon_engine::bike::Bike;
use knockon_engine::geometry::FramePoint;
use knockon_engine::suspension::linkage::{Idler, Joint, JointKind, Layout, Linkage, Mount};
use proptest::prelude::*;

/// The rear axle as drawn: 440 mm of chainstay, 28 mm of drop, 440² − 28² = 439.1082².
pub const AXLE: [f64; 2] = [-439.108_187_126_057_6, 28.0];

/// An invented long-travel bike, every measure filled in that the curves ask for. Wheels of one size, 372 mm; the front axle is
/// level with the rear one in the chart pose: 556·sin 64.5° and so on, solved for the stack.
pub fn bike() -> Bike<f64> {
    let mut bike = Bike::unknown();
    (bike.reach, bike.head_tube, bike.lower_stack, bike.upper_stack) = (455.0, 115.0, 1.0, 12.0);
    (bike.head_angle, bike.seat_angle) = (64.5_f64.to_radians(), 77_f64.to_radians());
    (bike.chainstay, bike.bottom_bracket_drop) = (440.0, 28.0);
    (bike.axle_to_crown, bike.fork_offset, bike.fork_travel) = (556.0, 44.0, 160.0);
    (bike.front_radius, bike.rear_radius) = (372.0, 372.0);
    (bike.spacers_below, bike.stem_length, bike.stem_angle, bike.stem_clamp_height) = (20.0, 45.0, 0.0, 40.0);
    (bike.bar_rise, bike.bar_width, bike.bar_bend, bike.hand_inset) = (25.0, 780.0, 90.0, 60.0);
    (bike.bar_back_sweep, bike.bar_up_sweep) = (8_f64.to_radians(), 5_f64.to_radians());
    (bike.bar_roll, bike.bar_reach) = (0.0, 0.0);
    (bike.shock_stroke, bike.shock_spacer, bike.rear_travel) = (50.0, 0.0, 140.0);
    (bike.leverage_at_start, bike.leverage_at_end) = (1.12, 0.92);
    (bike.coil_rate, bike.coil_preload) = (85.0, 2.0);
    (bike.ring, bike.cog) = (32.0, 24.0);
    (bike.mass_ahead, bike.mass_above) = (40.0, 750.0);
    let (sin, cos) = bike.head_angle.sin_cos();
    bike.stack = 28.0 + 672.0 * sin - 44.0 * cos;
    bike
}

/// The same bike on an air shock with a negative chamber.
pub fn on_air() -> Bike<f64> {
    let mut bike = bike();
    (bike.coil_rate, bike.coil_preload) = (f64::NAN, f64::NAN);
    (bike.shock_air_area, bike.shock_air_length, bike.shock_pressure) = (900.0, 68.0, 12.0);
    (bike.shock_negative_area, bike.shock_negative_length, bike.shock_volume_spacer) = (700.0, 14.0, 0.0);
    bike.air_exponent = 1.3;
    bike
}

/// A linkage being put together: every point on its own.
pub struct Draft {
    layout: Layout,
    points: Vec<FramePoint<f64>>,
    directions: Vec<f64>,
}

impl Draft {
    pub fn new(bodies: usize, axle: usize) -> Self {
        let nowhere = Mount { body: 0, point: 0 };
        Draft {
            layout: Layout {
                bodies,
                joints: vec![],
                eyes: [nowhere; 2],
                axle,
                caliper: Some(axle),
                idlers: vec![],
            },
            points: vec![],
            directions: vec![],
        }
    }

    fn point(&mut self, [x, y]: [f64; 2]) -> usize {
        self.points.push(FramePoint { x, y });
        self.points.len() - 1
    }

    pub fn pivot(mut self, bodies: [usize; 2], at: [f64; 2]) -> Self {
        let point = self.point(at);
        self.layout.joints.push(Joint { bodies, point, kind: JointKind::Pivot });
        self
    }

    pub fn slide(mut self, bodies: [usize; 2], at: [f64; 2], degrees: f64) -> Self {
        let point = self.point(at);
        self.directions.push(degrees.to_radians());
        let direction = self.directions.len() - 1;
        self.layout.joints.push(Joint { bodies, point, kind: JointKind::Slide { direction } });
        self
    }

    pub fn idler(mut self, body: usize, at: [f64; 2], teeth: f64, over: bool) -> Self {
        let point = self.point(at);
        self.layout.idlers.push(Idler { mount: Mount { body, point }, teeth, over });
        self
    }

    pub fn caliper(mut self, body: usize) -> Self {
        self.layout.caliper = Some(body);
        self
    }

    pub fn shock(mut self, first: (usize, [f64; 2]), second: (usize, [f64; 2])) -> Linkage<f64> {
        let eyes = [first, second].map(|(body, at)| Mount { body, point: self.point(at) });
        self.layout.eyes = eyes;
        Linkage {
            layout: Arc::new(self.layout),
            points: self.points,
            directions: self.directions,
            axle: FramePoint { x: AXLE[0], y: AXLE[1] },
        }
    }
}

/// A swing arm about one pivot, its shock in front of it: radius to the axle about three times that to the eye.
pub fn single_pivot(pivot: [f64; 2]) -> Draft {
    Draft::new(2, 1).pivot([0, 1], pivot)
}

/// Finishes a single pivot with the shock 165 mm above its pivot.
pub fn with_shock(draft: Draft, pivot: [f64; 2]) -> Linkage<f64> {
    draft.shock((1, [pivot[0] - 20.0, pivot[1] + 165.0]), (0, [pivot[0] + 190.0, pivot[1] + 190.0]))
}

/// Four-bar with the axle on the coupler: chainstay (1), seatstay (2), rocker (3).
pub fn four_bar() -> Draft {
    Draft::new(4, 2)
        .pivot([0, 1], [0.0, 45.0])
        .pivot([1, 2], [-400.0, 20.0])
        .pivot([2, 3], [-90.0, 340.0])
        .pivot([3, 0], [70.0, 330.0])
}

/// Every kind, by name.
pub fn examples() -> Vec<(&'static str, Linkage<f64>)> {
    let low = [10.0, 60.0];
    let high = [-10.0, 170.0];
    let rocker_shock = |draft: Draft| draft.shock((3, [138.0, 350.0]), (0, [120.0, 140.0]));
    vec![
        ("single pivot", with_shock(single_pivot(low), low)),
        ("axle on the coupler", rocker_shock(four_bar())),
        ("two short links", {
            Draft::new(4, 2)
                .pivot([0, 1], [10.0, -5.0])
                .pivot([1, 2], [-55.0, -20.0])
                .pivot([2, 3], [-75.0, 215.0])
                .pivot([3, 0], [20.0, 190.0])
                .shock((3, [-10.0, 255.0]), (0, [190.0, 280.0]))
        }),
        ("linkage-driven single pivot", {
            rocker_shock(
                Draft::new(4, 1)
                    .pivot([0, 1], [0.0, 60.0])
                    .pivot([1, 2], [-380.0, 50.0])
                    .pivot([2, 3], [-90.0, 340.0])
                    .pivot([3, 0], [70.0, 330.0]),
            )
        }),
        ("slider", {
            Draft::new(4, 1)
                .slide([0, 2], [-20.0, 40.0], 105.0)
                .pivot([2, 1], [-20.0, 40.0])
                .pivot([1, 3], [-75.0, 215.0])
                .pivot([3, 0], [20.0, 190.0])
                .shock((3, [-10.0, 255.0]), (0, [190.0, 280.0]))
        }),
        ("slider on the swing arm", {
            // The block (3) turns about the front triangle and lets a rail of the swing arm (1) pass.
            Draft::new(4, 1)
                .pivot([0, 2], [60.0, 190.0])
                .pivot([2, 1], [-60.0, 215.0])
                .pivot([0, 3], [-10.0, 20.0])
                .slide([1, 3], [-10.0, 20.0], 100.0)
                .shock((2, [40.0, 270.0]), (0, [230.0, 290.0]))
        }),
        (
            "high pivot, idler on the frame",
            with_shock(single_pivot(high).idler(0, [-5.0, 185.0], 16.0, true), high),
        ),
        ("high pivot, idler on the swing arm", {
            with_shock(single_pivot(high).idler(1, [-70.0, 180.0], 16.0, true), high)
        }),
        ("two idlers, one under", {
            with_shock(
                single_pivot(high).idler(0, [-5.0, 185.0], 16.0, true).idler(1, [-150.0, 150.0], 14.0, false),
                high,
            )
        }),
        ("four-bar, idler on the coupler, floating caliper", {
            // The brake's arm (4) turns about the axle, a rod (5) holds it to the front triangle.
            rocker_shock(
                Draft::new(6, 2)
                    .pivot([0, 1], [0.0, 45.0])
                    .pivot([1, 2], [-400.0, 20.0])
                    .pivot([2, 3], [-90.0, 340.0])
                    .pivot([3, 0], [70.0, 330.0])
                    .pivot([2, 4], AXLE)
                    .pivot([4, 5], [-400.0, 120.0])
                    .pivot([5, 0], [-60.0, 120.0])
                    .idler(1, [-120.0, 90.0], 14.0, true)
                    .caliper(4),
            )
        }),
        ("six bars", {
            Draft::new(6, 1)
                .pivot([0, 1], [0.0, 60.0])
                .pivot([1, 2], [-220.0, 90.0])
                .pivot([2, 3], [-130.0, 240.0])
                .pivot([3, 0], [-40.0, 250.0])
                .pivot([3, 4], [-60.0, 330.0])
                .pivot([4, 5], [60.0, 345.0])
                .pivot([5, 0], [70.0, 260.0])
                .shock((5, [40.0, 346.0]), (0, [240.0, 330.0]))
        }),
    ]
}

/// One of the linkages, each of its points moved by up to 6 mm either way, on a bike whose chain and weights vary.
pub fn any_example() -> impl Strategy<Value = (Bike<f64>, Linkage<f64>)> {
    let count = examples().len();
    let moves = prop::collection::vec(-6.0..6.0_f64, 40);
    let gears = (26_u8..=40, 10_u8..=52);
    (0..count, moves, gears, 600.0..900.0_f64, -60.0..120.0_f64).prop_map(
        |(which, moves, (ring, cog), above, ahead)| {
            let mut linkage = examples().swap_remove(which).1;
            let axle = (linkage.axle.x, linkage.axle.y);
            for (place, point) in linkage.points.iter_mut().enumerate() {
                // What turns about the axle goes on doing so.
                if (point.x, point.y) != axle {
                    point.x += moves[2 * place % moves.len()];
                    point.y += moves[(2 * place + 1) % moves.len()];
                }
            }
            let mut bike = bike();
            (bike.ring, bike.cog) = (f64::from(ring), f64::from(cog));
            (bike.mass_above, bike.mass_ahead) = (above, ahead);
            (bike, linkage)
        },
    )
}

/// Bike and linkage as constants of another scalar.
pub fn constants<T: Scalar>(bike: &Bike<f64>, linkage: &Linkage<f64>) -> (Bike<T>, Linkage<T>) {
    (Bike::constant(bike), Linkage::constant(linkage))
}

pub fn close(value: f64, expected: f64, within: f64, what: &str) {
    assert!((value - expected).abs() <= within, "{what}: {value} is not {expected} within {within}");
}
