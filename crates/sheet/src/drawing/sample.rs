//! Invented bikes to look at and to test with.

use kurbo::{Point, Vec2};

use crate::picture::{CockpitOutline, Dimension, DimensionKind as Kind, Flag, Outline, Part, Picture};

/// The figures of a bike from which an outline is put together, in trade terms.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    pub rear_radius: f64,
    pub front_radius: f64,
    pub rear_rim: Option<f64>,
    pub chainstay: f64,
    pub drop: f64,
    pub reach: f64,
    pub stack: f64,
    pub head_tube: f64,
    pub head_angle: f64,
    pub seat_angle: f64,
    pub fork_length: f64,
    pub offset: f64,
    pub travel: Option<f64>,
    pub saddle_height: Option<f64>,
    pub saddle_tip: f64,
    pub spacers: f64,
    pub stem: f64,
    pub stem_angle: f64,
    pub grip: Option<Vec2>,
    pub drop_bar: bool,
    pub crank: Option<f64>,
    pub suspension: bool,
}

impl Figures {
    /// The bike with both wheels on the ground.
    pub fn outline(&self) -> Outline {
        let mut turn = 0.0;
        let mut outline = self.turned(turn);
        for _ in 0..20 {
            turn -= (outline.front_axle.y - outline.front_radius) / outline.front_axle.x;
            outline = self.turned(turn);
        }
        outline
    }

    /// The bike turned about the rear axle, radians.
    fn turned(&self, turn: f64) -> Outline {
        let axle = Point::new(0.0, self.rear_radius);
        let bb =
            Point::new((self.chainstay.powi(2) - self.drop.powi(2)).sqrt(), self.rear_radius - self.drop);
        let angle = self.head_angle.to_radians();
        let down = Vec2::new(angle.cos(), -angle.sin());
        let forward = Vec2::new(angle.sin(), angle.cos());
        let top = bb + Vec2::new(self.reach, self.stack);
        let bottom = top + down * self.head_tube;
        let crown = bottom + down * 12.0;
        let front = crown + down * self.fork_length + forward * self.offset;
        let seat = self.seat_angle.to_radians();
        let seat_up = Vec2::new(-seat.cos(), seat.sin());
        let place = |p: Point| {
            let (sin, cos) = turn.sin_cos();
            let arm = p - axle;
            axle + Vec2::new(arm.x * cos - arm.y * sin, arm.x * sin + arm.y * cos)
        };
        let spun = |v: Vec2| place(axle + v) - axle;
        let clamp = top - down * (18.0 + self.spacers + 20.0);
        let stem = Vec2::from_angle(self.stem_angle.to_radians());
        let bar = clamp + stem * self.stem;
        Outline {
            rear_axle: axle,
            front_axle: place(front),
            bottom_bracket: place(bb),
            head_tube_top: place(top),
            head_tube_bottom: place(bottom),
            crown: place(crown),
            axis_down: spun(down),
            rear_radius: self.rear_radius,
            front_radius: self.front_radius,
            rear_rim_radius: self.rear_rim,
            front_rim_radius: self.rear_rim,
            upper_stack: 18.0,
            seat_up: spun(seat_up),
            saddle_top: self.saddle_height.map(|height| place(bb + seat_up * height)),
            saddle_tip: self.saddle_tip + turn,
            cockpit: self.grip.map(|grip| CockpitOutline {
                spacers_below: self.spacers,
                spacers_above: 5.0,
                clamp_height: 40.0,
                stem_clamp: place(clamp),
                bar_clamp: place(bar),
                bar_diameter: 35.0,
                grip: place(bar + grip),
                drop_bar: self.drop_bar,
            }),
            crank: self.crank,
            fork_travel: self.travel,
            rear_suspension: self.suspension,
        }
    }
}

/// A 29-inch trail bike.
pub const TRAIL: Figures = Figures {
    rear_radius: 372.0,
    front_radius: 372.0,
    rear_rim: Some(311.0),
    chainstay: 435.0,
    drop: 33.0,
    reach: 475.0,
    stack: 628.0,
    head_tube: 110.0,
    head_angle: 65.1,
    seat_angle: 77.6,
    fork_length: 556.0,
    offset: 44.0,
    travel: Some(150.0),
    saddle_height: Some(735.0),
    saddle_tip: 0.0,
    spacers: 20.0,
    stem: 40.0,
    stem_angle: 24.0,
    grip: Some(Vec2::new(-38.0, 32.0)),
    drop_bar: false,
    crank: Some(170.0),
    suspension: false,
};

/// A road bike.
pub const ROAD: Figures = Figures {
    rear_radius: 336.0,
    front_radius: 336.0,
    rear_rim: Some(311.0),
    chainstay: 412.0,
    drop: 72.0,
    reach: 386.0,
    stack: 560.0,
    head_tube: 150.0,
    head_angle: 73.0,
    seat_angle: 73.5,
    fork_length: 372.0,
    offset: 45.0,
    travel: None,
    saddle_height: Some(740.0),
    saddle_tip: -0.02,
    spacers: 15.0,
    stem: 100.0,
    stem_angle: 11.0,
    grip: Some(Vec2::new(98.0, 8.0)),
    drop_bar: true,
    crank: Some(172.5),
    suspension: false,
};

/// A child's bike with 20-inch wheels.
pub const CHILD: Figures = Figures {
    rear_radius: 252.0,
    front_radius: 252.0,
    rear_rim: Some(203.0),
    chainstay: 330.0,
    drop: -2.0,
    reach: 300.0,
    stack: 400.0,
    head_tube: 90.0,
    head_angle: 69.5,
    seat_angle: 70.0,
    fork_length: 320.0,
    offset: 40.0,
    travel: None,
    saddle_height: Some(455.0),
    saddle_tip: 0.03,
    spacers: 10.0,
    stem: 50.0,
    stem_angle: 20.0,
    grip: Some(Vec2::new(-60.0, 90.0)),
    drop_bar: false,
    crank: Some(127.0),
    suspension: false,
};

fn dimension(kind: Kind, text: &str, change: &str) -> Dimension {
    Dimension { kind, text: text.to_owned(), change: change.to_owned() }
}

fn flags(parts: &[Part]) -> Vec<Flag> {
    ('A'..='Z').zip(parts).map(|(letter, part)| Flag { letter, part: *part }).collect()
}

/// Longer fork, lower stem, higher bar on the trail bike. Its figures are made up, not computed.
pub fn trail() -> Picture {
    let after = Figures { fork_length: 576.0, spacers: 5.0, grip: Some(Vec2::new(-40.0, 47.0)), ..TRAIL };
    Picture {
        before: TRAIL.outline(),
        after: after.outline(),
        flags: flags(&[Part::Fork, Part::Spacers, Part::Bar]),
        dimensions: vec![
            dimension(Kind::GripStack, "grip stack 733", "+8 ±2: A +10, B −14, C +15"),
            dimension(Kind::GripReach, "grip reach 443", "−4 ±2: A −12, B +6, C +2"),
            dimension(Kind::HeadAngle, "head angle 64.2°", "−0.8° ±0.1"),
            dimension(Kind::BottomBracketHeight, "bottom bracket 345", "+6 ±1"),
            dimension(Kind::Wheelbase, "wheelbase 1232", "+9 ±1"),
            dimension(Kind::Trail, "trail 126", "+6 ±1"),
        ],
    }
}

/// A wider rear tyre on the road bike.
pub fn road() -> Picture {
    let after = Figures { rear_radius: 343.0, ..ROAD };
    Picture {
        before: ROAD.outline(),
        after: after.outline(),
        flags: flags(&[Part::RearWheel]),
        dimensions: vec![
            dimension(Kind::BottomBracketHeight, "bottom bracket 268", "+4 ±1"),
            dimension(Kind::HeadAngle, "head angle 73.4°", "+0.4° ±0.1"),
            dimension(Kind::SeatAngle, "seat angle 73.9°", "+0.4° ±0.1"),
            dimension(Kind::Trail, "trail 54", "−2 ±1"),
            dimension(Kind::SaddleToGripDrop, "saddle to grip drop 61", "+2 ±1"),
        ],
    }
}

/// The saddle of the child's bike put up.
pub fn child() -> Picture {
    let after = Figures { saddle_height: Some(480.0), saddle_tip: 0.0, ..CHILD };
    Picture {
        before: CHILD.outline(),
        after: after.outline(),
        flags: flags(&[Part::Saddle, Part::Saddle]),
        dimensions: vec![
            dimension(Kind::SaddleToGripDrop, "saddle to grip drop −95", "+23 ±2"),
            dimension(Kind::SaddleToGripReach, "saddle to grip reach 455", "+9 ±2"),
        ],
    }
}

/// A downhill bike on which nothing was changed.
pub fn unchanged() -> Picture {
    let figures = Figures {
        fork_length: 590.0,
        head_angle: 63.0,
        travel: Some(200.0),
        suspension: true,
        saddle_height: Some(640.0),
        chainstay: 450.0,
        ..TRAIL
    };
    Picture {
        before: figures.outline(),
        after: figures.outline(),
        flags: Vec::new(),
        dimensions: vec![
            dimension(Kind::Reach, "reach 475", ""),
            dimension(Kind::Stack, "stack 628", ""),
            dimension(Kind::Wheelbase, "wheelbase 1290", ""),
            dimension(Kind::HeadAngle, "head angle 63°", ""),
        ],
    }
}
