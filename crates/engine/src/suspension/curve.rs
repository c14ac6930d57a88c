//! Everything that is drawn over the travel.
//!
//! Travel, axle path and leverage are in frame axes, the frame held level, as the trade draws them. Anti-squat, anti-rise
//! and what steering and rider have of it are those of the bike as it stands on the ground in that position. Compression 0
//! is the present shock's full extension, and "so far" counts from there.

mod acceleration;

use num_dual::DualStruct;

use crate::Scalar;
use crate::bike::Bike;
use crate::cockpit::Cockpit;
use crate::geometry::Stance;
use crate::geometry::point::{FramePoint, FrameVector};
use crate::geometry::steering::Steering;
use crate::named::named_numbers;

use self::acceleration::of_axle;
use super::chain::{Chain, Pulleys, kickback};
use super::effect::{anti_rise_by, anti_squat, braked_body};
use super::linkage::{Linkage, Placement, Pose, Stuck};
use super::motion::tree::Tree;
use super::placed::Placed;
use super::rear::{RearAxle, stroke};
use super::spring::{self, Spring};

named_numbers! {
    /// One curve over the shock's stroke. Lengths in mm, angles in radians, shares and ratios as plain numbers.
    Curve {
        /// Compression of the shock from its full extension.
        Compression = "shock_compression", Length;
        /// Vertical travel: rise of the rear axle in frame axes.
        Travel = "travel", Length;
        /// Length of the axle's path so far.
        PathTravel = "path_travel", Length;
        /// Axle ahead of where it is at full extension, in frame axes; negative when it moves rearward.
        AxleForward = "axle_forward", Length;
        /// Leverage ratio: vertical travel of the axle over the shock's compression, at this place.
        Leverage = "leverage", Ratio;
        /// Anti-squat in the gear that the bike is in.
        AntiSquat = "anti_squat", Share;
        /// Anti-rise under the rear brake.
        AntiRise = "anti_rise", Share;
        /// Pedal kickback so far: backward turn of the cranks that the growth of the tight run asks for.
        Kickback = "pedal_kickback", Angle;
        /// Growth of the tight run so far, wraps included.
        TightRun = "tight_run_growth", Length;
        /// Growth of the whole loop that the chain follows so far.
        ChainGrowth = "chain_growth", Length;
        /// Force of the shock's spring.
        ShockForce = "shock_force", Force;
        /// Vertical force at the axle that the spring carries.
        WheelForce = "wheel_force", Force;
        /// Rate of that force over vertical travel.
        WheelRate = "wheel_rate", Rate;
        /// Steering axis from the ground.
        HeadAngle = "head_angle", Angle;
        /// Contact patch behind the steering axis, on the ground.
        Trail = "trail", Length;
        /// Ground to bottom bracket.
        BottomBracketHeight = "bottom_bracket_height", Length;
        /// Level distance between the axles.
        Wheelbase = "wheelbase", Length;
        /// Bottom bracket to middle of the hand, upward.
        GripStack = "grip_stack", Length;
        /// Bottom bracket to middle of the hand, forward.
        GripReach = "grip_reach", Length;
    }
}

/// One number per [`Curve`], in the order of [`Curve::ALL`]; NaN where the bike does not suffice.
pub type Position<T> = [T; Curve::COUNT];

/// Every curve at one compression of the shock, mm from its own full extension, the fork compressed by `fork_compression` mm.
///
/// Without a linkage the axle follows [`RearAxle::at`], and what a linkage decides is NaN: chain, anti-squat, anti-rise. So is
/// everything that needs a number which the bike does not have, and the spring's curves where its spring is not known.
/// The wheel rate is exact: `(k − F_w·dL/ds)/L²` with the shock's rate `k`, the wheel force `F_w` and the leverage ratio `L`,
/// whose derivative comes from the linkage's accelerations, not from differences. The path so far is a Gauss quadrature of
/// the axle's speed over four places in between: within 0.01 mm, or 0.1 mm where the leverage ratio doubles over the stroke.
///
/// # Errors
/// Where the linkage has no position.
///
/// ```
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::suspension::curve::{Curve, position};
/// # let mut bike = Bike::unknown();
/// # (bike.chainstay, bike.bottom_bracket_drop) = (440.0, 30.0);
/// // Nobody measured the linkage: 150 mm on 60 mm of stroke, 2.5 all along.
/// (bike.rear_travel, bike.shock_stroke, bike.shock_spacer) = (150.0, 60.0, 0.0);
/// (bike.leverage_at_start, bike.leverage_at_end) = (1.0, 1.0);
/// (bike.coil_rate, bike.coil_preload) = (80.0, 0.0);
/// let at = position(&bike, None, 20.0, 0.0).unwrap();
/// assert!((at[Curve::Travel as usize] - 50.0).abs() < 1e-9);
/// assert!((at[Curve::WheelForce as usize] - 640.0).abs() < 1e-9); // 80 · 20 / 2.5
/// assert!((at[Curve::WheelRate as usize] - 12.8).abs() < 1e-9);   // 80 / 2.5²
/// assert!(at[Curve::AntiSquat as usize].is_nan());
/// ```
pub fn position<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    compression: T,
    fork_compression: T,
) -> Result<Position<T>, Stuck> {
    let start = RearAxle::at(bike, linkage, T::from(0.0))?;
    let fixed = Fixed::of(bike, linkage, &start, fork_compression);
    let mut path = T::from(0.0);
    for (place, weight) in GAUSS {
        let axle = RearAxle::at(bike, linkage, compression * place)?;
        path += speed(axle.velocity) * compression * weight;
    }
    let axle = RearAxle::at(bike, linkage, compression)?;
    let acceleration = fixed.acceleration(&axle);
    Ok(fixed.curves(compression, &axle, acceleration, path))
}

/// [`position`] at an axle that is known already, `start` being that at full extension; without the path so far and the wheel
/// rate, which cost as much as all the others together.
pub(super) fn position_at<T: Scalar>(
    placed: &Placed<'_, T>,
    grip: FramePoint<T>,
    [start, axle]: [&RearAxle<T>; 2],
    compression: T,
    fork_compression: T,
) -> Position<T> {
    let unknown = T::from(f64::NAN);
    let acceleration = FrameVector { x: unknown, y: unknown };
    Fixed::new(placed, grip, start, fork_compression).curves(compression, axle, acceleration, unknown)
}

/// Every curve at `count` compressions, equally spaced over the shock's stroke, the fork fully extended.
///
/// As [`position`], but for the path so far: here speed and its change are known at both ends of every step, and the corrected
/// trapezoid `h·(v₀ + v₁)/2 + h²·(v̇₀ − v̇₁)/12` adds it up with an error that goes with the fourth power of the step.
/// Source: the Euler–Maclaurin formula, any text on numerical quadrature.
///
/// # Errors
/// Where the linkage has no position somewhere on the stroke.
///
/// ```
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::suspension::curve::{Curve, trace};
/// # let mut bike = Bike::unknown();
/// # (bike.chainstay, bike.bottom_bracket_drop) = (440.0, 30.0);
/// # (bike.rear_travel, bike.shock_stroke, bike.shock_spacer) = (150.0, 60.0, 0.0);
/// # (bike.leverage_at_start, bike.leverage_at_end) = (1.1, 0.9);
/// let trace = trace(&bike, None, 101).unwrap();
/// assert_eq!(trace[50][Curve::Compression as usize], 30.0);
/// assert!((trace[100][Curve::Travel as usize] - 150.0).abs() < 1e-9);
/// // An arc of 440 mm radius from 30 to 180 mm above its centre: 440 · (asin 180/440 − asin 30/440)
/// let path = 440.0 * ((180.0_f64 / 440.0).asin() - (30.0_f64 / 440.0).asin());
/// assert!((trace[100][Curve::PathTravel as usize] - path).abs() < 1e-6);
/// ```
pub fn trace<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    count: usize,
) -> Result<Vec<Position<T>>, Stuck> {
    let intervals = count.saturating_sub(1).max(1) as f64;
    let (stroke, none) = (stroke(bike), T::from(0.0));
    let place = |index: usize| stroke * (index as f64 / intervals);
    let mut positions = Vec::with_capacity(count);
    let Some(linkage) = linkage else {
        let fixed = Fixed::of(bike, None, &RearAxle::at(bike, None, none)?, none);
        let mut path = Path::new();
        for index in 0..count {
            fixed.add(place(index), &RearAxle::at(bike, None, place(index))?, &mut path, &mut positions);
        }
        return Ok(positions);
    };
    let end = bike.shock_start + place(count.saturating_sub(1));
    let poses = linkage.map(DualStruct::re).sweep(bike.shock_start.re(), end.re(), count)?;
    let axle = |index: usize, plain: &Pose<f64>| {
        let compression = bike.shock_start + place(index);
        let pose = if T::NDERIV == 0 { constant(plain) } else { linkage.lift(plain, compression) };
        RearAxle::of_pose(pose)
    };
    let Some(first) = poses.first() else { return Ok(positions) };
    let fixed = Fixed::of(bike, Some(linkage), &axle(0, first), none);
    let mut path = Path::new();
    for (index, plain) in poses.iter().enumerate() {
        fixed.add(place(index), &axle(index, plain), &mut path, &mut positions);
    }
    Ok(positions)
}

/// Gauss–Legendre on 0..1, four points: places and weights. Source: Abramowitz and Stegun, table 25.4, from ±0.861136 and
/// ±0.339981 with 0.347855 and 0.652145, more digits from their closed forms.
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_93),
    (0.330_009_478_207_571_87, 0.326_072_577_431_273_07),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_07),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_93),
];

fn speed<T: Scalar>(velocity: FrameVector<T>) -> T {
    (velocity.x * velocity.x + velocity.y * velocity.y).sqrt()
}

/// A plain pose as one in `T`, without derivatives.
fn constant<T: Scalar>(pose: &Pose<f64>) -> Pose<T> {
    let vector = |it: FrameVector<f64>| FrameVector { x: T::from(it.x), y: T::from(it.y) };
    Pose {
        compression: T::from(pose.compression),
        bodies: pose.bodies.map(|body| Placement {
            turn_cos_sin: (T::from(body.turn_cos_sin.0), T::from(body.turn_cos_sin.1)),
            shift: vector(body.shift),
            spin: T::from(body.spin),
            drift: vector(body.drift),
        }),
        axle: FramePoint { x: T::from(pose.axle.x), y: T::from(pose.axle.y) },
        axle_velocity: vector(pose.axle_velocity),
    }
}

/// The length of the axle's path, added up on the way.
struct Path<T> {
    length: T,
    last: Option<Passed<T>>,
}

/// The axle at a place that its path has passed.
struct Passed<T> {
    compression: T,
    place: FramePoint<T>,
    speed: T,
    /// How fast the speed changes.
    gain: T,
}

impl<T: Scalar> Path<T> {
    fn new() -> Self {
        Path { length: T::from(0.0), last: None }
    }

    /// The trapezoidal rule with its end correction: the error goes with the fourth power of the step. Where the axle all but
    /// stands still the correction means nothing, and the path is at least the straight way.
    fn go_on(&mut self, compression: T, axle: &RearAxle<T>, acceleration: FrameVector<T>) {
        let velocity = axle.velocity;
        let fast = speed(velocity);
        let gain = (velocity.x * acceleration.x + velocity.y * acceleration.y) / fast;
        if let Some(last) = &self.last {
            let step = compression - last.compression;
            let along = (fast + last.speed) * step * 0.5 + (last.gain - gain) * step * step / 12.0;
            let (x, y) = (axle.place.x - last.place.x, axle.place.y - last.place.y);
            let straight = (x * x + y * y).sqrt();
            self.length += if along.re() < straight.re() { straight } else { along };
        }
        self.last = Some(Passed { compression, place: axle.place, speed: fast, gain });
    }
}

/// What stays along the stroke.
struct Fixed<'a, T> {
    bike: &'a Bike<T>,
    front_axle: FramePoint<T>,
    grip: FramePoint<T>,
    spring: Option<Spring<T>>,
    start: FramePoint<T>,
    linked: Option<Linked<'a, T>>,
}

/// What stays along the stroke of a linkage.
struct Linked<'a, T> {
    linkage: &'a Linkage<T>,
    tree: Option<Tree>,
    pulleys: Pulleys<T>,
    start: Chain<T>,
    braked: Option<usize>,
}

impl<'a, T: Scalar> Fixed<'a, T> {
    fn of(
        bike: &'a Bike<T>,
        linkage: Option<&'a Linkage<T>>,
        start: &RearAxle<T>,
        fork_compression: T,
    ) -> Self {
        let placed = Placed::new(bike, linkage);
        let grip = Cockpit::new(bike, &placed.points).grip;
        Self::new(&placed, grip, start, fork_compression)
    }

    /// `start` is the axle with the shock fully extended.
    fn new(placed: &Placed<'a, T>, grip: FramePoint<T>, start: &RearAxle<T>, fork_compression: T) -> Self {
        let (bike, linkage) = (placed.bike, placed.linkage);
        let linked = linkage.zip(start.pose.as_ref()).map(|(linkage, pose)| {
            let pulleys = Pulleys::new(bike, linkage);
            let start = pulleys.chain(linkage, pose);
            Linked {
                linkage,
                tree: Tree::new(&linkage.layout).ok(),
                pulleys,
                start,
                braked: braked_body(linkage),
            }
        });
        let front_axle = placed.points.front_axle_after(fork_compression);
        Fixed { bike, front_axle, grip, spring: spring::shock(bike), start: start.place, linked }
    }

    /// Second derivative of the axle's place over the compression, per mm.
    fn acceleration(&self, axle: &RearAxle<T>) -> FrameVector<T> {
        match (&self.linked, &axle.pose) {
            (Some(Linked { tree: Some(tree), linkage, .. }), Some(pose)) => of_axle(tree, linkage, pose),
            _ => axle.acceleration,
        }
    }

    /// All curves at the next place of a trace, the first at full extension.
    fn add(&self, compression: T, axle: &RearAxle<T>, path: &mut Path<T>, positions: &mut Vec<Position<T>>) {
        let acceleration = self.acceleration(axle);
        path.go_on(compression, axle, acceleration);
        positions.push(self.curves(compression, axle, acceleration, path.length));
    }

    fn curves(
        &self,
        compression: T,
        axle: &RearAxle<T>,
        acceleration: FrameVector<T>,
        path: T,
    ) -> Position<T> {
        let bike = self.bike;
        let unknown = T::from(f64::NAN);
        let stance = Stance::on(bike, self.front_axle, axle.place);
        let leverage = axle.velocity.y;
        let (mut squat, mut rise, mut run, mut whole) = (unknown, unknown, unknown, unknown);
        let mut back = unknown;
        if let (Some(linked), Some(pose)) = (&self.linked, &axle.pose) {
            let chain = linked.pulleys.chain(linked.linkage, pose);
            run = chain.growth(&linked.start);
            whole = chain.loop_growth(&linked.start);
            back = kickback(run, linked.pulleys.ring_radius());
            squat = anti_squat(bike, &stance, axle.velocity, chain.rate(), linked.pulleys.cog_radius());
            if let Some(body) = linked.braked {
                rise = anti_rise_by(bike, &stance, pose, body);
            }
        }
        let (shock, rate) = match &self.spring {
            Some(spring) => (spring.force(compression), spring.rate(compression)),
            None => (unknown, unknown),
        };
        let wheel = shock / leverage;
        let head_angle = bike.head_angle + bike.headset_turn - stance.turn;
        let grip = stance.from_bottom_bracket(self.grip);
        [
            compression,
            axle.place.y - self.start.y,
            path,
            axle.place.x - self.start.x,
            leverage,
            squat,
            rise,
            back,
            run,
            whole,
            shock,
            wheel,
            (rate - wheel * acceleration.y) / (leverage * leverage),
            head_angle,
            Steering::new(head_angle, bike.front_radius, bike.fork_offset).trail,
            stance.bottom_bracket_height(),
            stance.wheelbase(),
            grip.y,
            grip.x,
        ]
    }
}
