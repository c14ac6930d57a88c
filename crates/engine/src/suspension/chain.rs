//! The chain: ring, idlers and cog, the tight run on top and the whole loop, while the suspension moves.
//!
//! The ring turns about the bottom bracket, the cog about the rear axle. Seen from the right the tight run leaves the top of
//! the ring rearward, passes the idlers in their order and comes down on the top of the cog; the lower run is taken to go
//! straight back, a plain outer tangent, since a derailleur's cage or a tensioner only takes up what is left over.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::point::{FramePoint, FrameVector};

use super::linkage::{Linkage, Mount, Pose};

/// Most idlers that a tight run passes; with more, everything here is NaN.
pub const MOST_IDLERS: usize = 4;

/// Most straight spans of a whole loop: one more than pulleys on the tight run's way, and the lower run.
const MOST_SPANS: usize = MOST_IDLERS + 2;

/// Pitch of a bicycle chain, mm: half an inch. Source: ISO 9633 (title only seen; the figure is common practice).
pub const PITCH: f64 = 12.7;

/// Pitch radius of a ring, cog or idler, mm: where the middle of the chain's pins lies, `12.7/(2·sin(π/teeth))`.
///
/// Range: 3 teeth or more; NaN for none. The formula is exact for a chain at its nominal pitch: a worn one lies further out.
/// Source: the pitch diameter of roller-chain wheels in ISO 606 and Machinery's Handbook (attribution from memory; the
/// formula is checked against a published table).
///
/// ```
/// use knockon_engine::suspension::chain::pitch_radius;
/// assert!((pitch_radius(6.0_f64) - 12.7).abs() < 1e-12); // a hexagon's corners lie one side from its middle
/// assert!((2.0 * pitch_radius(32.0_f64) - 129.569).abs() < 1e-3);
/// ```
pub fn pitch_radius<T: Scalar>(teeth: T) -> T {
    (teeth.recip() * std::f64::consts::PI).sin().recip() * (PITCH * 0.5)
}

/// The sizes of ring, idlers and cog, and where the idlers are: what stays while the suspension moves.
#[derive(Clone, Copy, Debug)]
pub struct Pulleys<T> {
    ring: Size<T>,
    cog: Size<T>,
    idlers: [(Mount, Size<T>); MOST_IDLERS],
    count: usize,
}

/// One pulley's size.
#[derive(Clone, Copy, Debug)]
struct Size<T> {
    teeth: T,
    radius: T,
    /// 1 when it turns as the ring does, −1 when the chain passes below it and it turns the other way.
    sense: f64,
}

impl<T: Scalar> Size<T> {
    fn new(teeth: T, over: bool) -> Self {
        Size { teeth, radius: pitch_radius(teeth), sense: if over { 1.0 } else { -1.0 } }
    }
}

/// A pulley at one position of the suspension.
#[derive(Clone, Copy, Debug)]
struct Pulley<T> {
    size: Size<T>,
    centre: FramePoint<T>,
    velocity: FrameVector<T>,
}

/// A straight part of the chain between two pulleys, in frame axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span<T> {
    /// Unit vector in the sense from the ring over the idlers to the cog; on the lower run from the cog to the ring.
    pub direction: FrameVector<T>,
    /// Length between the two points where it touches, mm.
    pub length: T,
    /// Relative velocity of its two pulleys' axes along it, mm per mm of compression.
    pub rate: T,
    /// By how much the chain on its two pulleys grows when the span turns counter-clockwise, mm per radian.
    wrapping: T,
}

impl<T: Scalar> Span<T> {
    fn nowhere(zero: T) -> Self {
        Span { direction: FrameVector { x: zero, y: zero }, length: zero, rate: zero, wrapping: zero }
    }

    fn between(from: &Pulley<T>, to: &Pulley<T>) -> Self {
        let (direction, length) = tangent(
            (from.centre, from.size.radius * from.size.sense),
            (to.centre, to.size.radius * to.size.sense),
        );
        let wrapping = from.size.radius * from.size.sense - to.size.radius * to.size.sense;
        let (vx, vy) = (to.velocity.x - from.velocity.x, to.velocity.y - from.velocity.y);
        Span { direction, length, rate: vx * direction.x + vy * direction.y, wrapping }
    }

    /// By how much the chain along this span and on its pulleys is longer than at `start`, mm.
    ///
    /// `ℓ − ℓ₀ + e·(α − α₀)` with the span's direction `α`: what the span gains and what its ends take up of the arcs, whose
    /// other ends belong to the neighbouring spans or are fixed in frame axes. Its derivative is [`Span::rate`], since
    /// `d = (ℓ − i·e)·u` gives `ḋ·u = ℓ̇ + e·α̇`.
    fn growth(&self, start: &Self) -> T {
        let (now, then) = (self.direction, start.direction);
        let turned = turn_between(then, now);
        self.length - start.length + self.wrapping * turned
    }
}

/// The chain from one wheel to the next, in the sense in which it runs: unit vector and length between the points where it
/// touches, mm. Each wheel is its centre and its radius, mm, positive where it turns as the ring does (clockwise from the right)
/// with the chain on its outward side. NaN where the wheels overlap, as two in one plane cannot.
///
/// With the outward normal `n` of the direction `u` (`u` turned clockwise), the axes lie `d = ℓ·u + e·n` apart, `e = r₁ − r₂`, so
/// `ℓ² = d² − e²`.
pub(crate) fn tangent<T: Scalar>(
    (from, radius): (FramePoint<T>, T),
    (to, next): (FramePoint<T>, T),
) -> (FrameVector<T>, T) {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let wrapping = radius - next;
    let squared = dx * dx + dy * dy;
    let apart = radius.abs() + next.abs();
    let length = if (squared - apart * apart).re() > 0.0 {
        (squared - wrapping * wrapping).sqrt()
    } else {
        T::from(f64::NAN)
    };
    let inverse = squared.recip();
    let direction = FrameVector {
        x: (length * dx - wrapping * dy) * inverse,
        y: (length * dy + wrapping * dx) * inverse,
    };
    (direction, length)
}

/// Turn from one direction to another, counter-clockwise, radians, less than half a turn either way.
pub(crate) fn turn_between<T: Scalar>(from: FrameVector<T>, to: FrameVector<T>) -> T {
    (from.x * to.y - from.y * to.x).atan2(from.x * to.x + from.y * to.y)
}

/// The chain's way at one position of the suspension, in frame axes.
#[derive(Clone, Copy, Debug)]
pub struct Chain<T> {
    pulleys: [Size<T>; MOST_SPANS],
    spans: [Span<T>; MOST_SPANS],
    count: usize,
}

impl<T: Scalar> Pulleys<T> {
    /// The ring and cog that the bike's chain is on and the linkage's idlers.
    pub fn new(bike: &Bike<T>, linkage: &Linkage<T>) -> Self {
        let listed = &linkage.layout.idlers;
        let unknown = T::from(f64::NAN);
        let (ring, cog) = if listed.len() > MOST_IDLERS { (unknown, unknown) } else { (bike.ring, bike.cog) };
        let (ring, cog) = (Size::new(ring, true), Size::new(cog, true));
        let mut idlers = [(Mount { body: 0, point: 0 }, ring); MOST_IDLERS];
        for (place, idler) in idlers.iter_mut().zip(listed) {
            *place = (idler.mount, Size::new(T::from(idler.teeth), idler.over));
        }
        Pulleys { ring, cog, idlers, count: listed.len().min(MOST_IDLERS) }
    }

    /// Pitch radius of the ring, mm.
    pub fn ring_radius(&self) -> T {
        self.ring.radius
    }

    /// Pitch radius of the cog, mm.
    pub fn cog_radius(&self) -> T {
        self.cog.radius
    }

    /// The chain's way with `linkage`, which must be the one that the pulleys were made for, in `pose`.
    pub fn chain(&self, linkage: &Linkage<T>, pose: &Pose<T>) -> Chain<T> {
        let zero = T::from(0.0);
        let (ring, cog) = self.ends(pose);
        let mut chain = Chain {
            pulleys: [self.ring; MOST_SPANS],
            spans: [Span::nowhere(zero); MOST_SPANS],
            count: self.count,
        };
        let mut last = ring;
        for place in 0..self.count {
            let idler = self.idler(place, linkage, pose);
            chain.spans[place] = Span::between(&last, &idler);
            chain.pulleys[place + 1] = idler.size;
            last = idler;
        }
        chain.spans[self.count] = Span::between(&last, &cog);
        chain.pulleys[self.count + 1] = self.cog;
        chain.spans[self.count + 1] = Span::between(&cog, &ring);
        chain
    }

    /// Where the chain leaves each pulley and meets the next, in frame axes, mm: along the tight run from the ring over the
    /// idlers to the cog, and along the lower run from the cog to the ring. `None` where it has no way.
    ///
    /// ```
    /// # use std::sync::Arc;
    /// # use knockon_engine::bike::Bike;
    /// # use knockon_engine::geometry::point::FramePoint;
    /// # use knockon_engine::suspension::chain::{Pulleys, pitch_radius};
    /// # use knockon_engine::suspension::linkage::{Layout, Linkage, MOST_BODIES, Mount, Placement, Pose};
    /// # let mut bike = Bike::unknown();
    /// # let eye = Mount { body: 0, point: 0 };
    /// # let layout = Layout { bodies: 1, joints: vec![], eyes: [eye; 2], axle: 0, caliper: None, idlers: vec![] };
    /// # let axle = FramePoint { x: -440.0, y: 0.0 };
    /// # let linkage = Linkage { layout: Arc::new(layout), points: vec![], directions: vec![], axle };
    /// # let rest = Placement::at_rest();
    /// # let pose = Pose { compression: 0.0, bodies: [rest; MOST_BODIES], axle, axle_velocity: rest.drift };
    /// // Ring and cog alike, the axle level behind the bottom bracket: straight back from the ring's top.
    /// (bike.ring, bike.cog) = (20.0, 20.0);
    /// let [tight, lower] = Pulleys::new(&bike, &linkage).touching(&linkage, &pose).unwrap();
    /// let top = pitch_radius(20.0_f64);
    /// assert_eq!(tight, [[FramePoint { x: 0.0, y: top }, FramePoint { x: -440.0, y: top }]]);
    /// assert_eq!(lower, [[FramePoint { x: -440.0, y: -top }, FramePoint { x: 0.0, y: -top }]]);
    /// ```
    pub fn touching(&self, linkage: &Linkage<T>, pose: &Pose<T>) -> Option<[Vec<[FramePoint<T>; 2]>; 2]> {
        let (ring, cog) = self.ends(pose);
        let idlers = (0..self.count).map(|place| self.idler(place, linkage, pose));
        let tight: Vec<Pulley<T>> = [ring].into_iter().chain(idlers).chain([cog]).collect();
        let run = |pulleys: &[Pulley<T>]| -> Option<Vec<[FramePoint<T>; 2]>> {
            let pairs = pulleys.windows(2).map(|pair| (&pair[0], &pair[1]));
            pairs
                .map(|(from, to)| {
                    let Span { direction, length, .. } = Span::between(from, to);
                    // Outward of a pulley that turns as the ring does; the radius has the other sense on any other.
                    let outward = FrameVector { x: direction.y, y: -direction.x };
                    let touch = |pulley: &Pulley<T>| {
                        pulley.centre.along(outward, pulley.size.radius * pulley.size.sense)
                    };
                    length.re().is_finite().then(|| [touch(from), touch(to)])
                })
                .collect()
        };
        Some([run(&tight)?, run(&[cog, ring])?])
    }

    fn ends(&self, pose: &Pose<T>) -> (Pulley<T>, Pulley<T>) {
        let zero = T::from(0.0);
        let still = FrameVector { x: zero, y: zero };
        let ring = Pulley { size: self.ring, centre: FramePoint { x: zero, y: zero }, velocity: still };
        (ring, Pulley { size: self.cog, centre: pose.axle, velocity: pose.axle_velocity })
    }

    fn idler(&self, place: usize, linkage: &Linkage<T>, pose: &Pose<T>) -> Pulley<T> {
        let (mount, size) = self.idlers[place];
        let (body, drawn) = (&pose.bodies[mount.body], linkage.points[mount.point]);
        Pulley { size, centre: body.place(drawn), velocity: body.velocity(drawn) }
    }
}

impl<T: Scalar> Chain<T> {
    /// The chain of `bike` with `linkage` in `pose`. For many poses make the [`Pulleys`] once.
    ///
    /// NaN where ring or cog are unknown, where two pulleys that follow each other overlap, or with more than
    /// [`MOST_IDLERS`] idlers.
    pub fn new(bike: &Bike<T>, linkage: &Linkage<T>, pose: &Pose<T>) -> Self {
        Pulleys::new(bike, linkage).chain(linkage, pose)
    }

    /// The straight spans of the tight run, from the ring over the idlers to the cog.
    pub fn spans(&self) -> &[Span<T>] {
        &self.spans[..=self.count]
    }

    /// The lower run, from the cog to the ring.
    pub fn lower(&self) -> &Span<T> {
        &self.spans[self.count + 1]
    }

    /// By how much the tight run grows, mm per mm of the shock's compression, ring and cog held in frame axes: every span's
    /// relative end displacement along its own direction, added up. Exact for chains that do not stretch and idlers that
    /// turn freely.
    pub fn rate(&self) -> T {
        self.spans().iter().fold(T::from(0.0), |sum, span| sum + span.rate)
    }

    /// By how much the tight run has grown since `start`, wraps on ring, idlers and cog included, mm; ring and cog held in
    /// frame axes. The integral of [`Chain::rate`] over the compression.
    ///
    /// Spans, directions and arcs are those of the pitch circles. Range: each span turns by less than half a turn.
    ///
    /// ```
    /// # use std::sync::Arc;
    /// # use knockon_engine::bike::Bike;
    /// # use knockon_engine::geometry::point::FramePoint;
    /// # use knockon_engine::suspension::chain::Chain;
    /// # use knockon_engine::suspension::linkage::{Layout, Linkage, MOST_BODIES, Mount, Placement, Pose};
    /// // No linkage's pose is needed to see it: ring and cog alike, the axle 440 mm behind and level, then 1 mm further back.
    /// let mut bike = Bike::unknown();
    /// (bike.ring, bike.cog) = (20.0, 20.0);
    /// let eye = Mount { body: 0, point: 0 };
    /// let layout = Layout { bodies: 1, joints: vec![], eyes: [eye; 2], axle: 0, caliper: None, idlers: vec![] };
    /// let axle = FramePoint { x: -440.0, y: 0.0 };
    /// let linkage = Linkage { layout: Arc::new(layout), points: vec![], directions: vec![], axle };
    /// let rest = Placement::at_rest();
    /// let start = Pose { compression: 0.0, bodies: [rest; MOST_BODIES], axle, axle_velocity: rest.drift };
    /// let moved = Pose { axle: FramePoint { x: -441.0, y: 0.0 }, ..start };
    /// let [start, moved] = [start, moved].map(|pose| Chain::new(&bike, &linkage, &pose));
    /// assert!((moved.growth(&start) - 1.0).abs() < 1e-12);      // the upper run
    /// assert!((moved.loop_growth(&start) - 2.0).abs() < 1e-12); // upper and lower run
    /// ```
    pub fn growth(&self, start: &Self) -> T {
        let spans = self.spans().iter().zip(start.spans());
        spans.fold(T::from(0.0), |sum, (now, then)| sum + now.growth(then))
    }

    /// By how much the whole loop has grown since `start`, upper and lower run and the wraps on all pulleys, mm. Arcs on the
    /// pitch circles, as in [`Chain::growth`].
    pub fn loop_growth(&self, start: &Self) -> T {
        self.growth(start) + self.lower().growth(start.lower())
    }

    /// Length of the whole loop, mm: all spans, and on every pulley the teeth that it covers times the pitch, which is what
    /// the chain's links really lie on (an arc of the pitch circle is longer, together by less than 1 mm).
    ///
    /// Range: the chain covers less than half a turn of every idler and less than a whole one of the cog; the ring has the
    /// rest, since the loop turns once in all. Errors: half a tooth's polygon effect, below 0.1 mm. Source: the exact length
    /// of an open drive, as in Machinery's Handbook and ANSI B29.1 (attribution from memory).
    ///
    /// ```
    /// # use std::sync::Arc;
    /// # use knockon_engine::bike::Bike;
    /// # use knockon_engine::geometry::point::FramePoint;
    /// # use knockon_engine::suspension::chain::Chain;
    /// # use knockon_engine::suspension::linkage::{Layout, Linkage, MOST_BODIES, Mount, Placement, Pose};
    /// # let mut bike = Bike::unknown();
    /// # let eye = Mount { body: 0, point: 0 };
    /// # let layout = Layout { bodies: 1, joints: vec![], eyes: [eye; 2], axle: 0, caliper: None, idlers: vec![] };
    /// # let axle = FramePoint { x: -381.0, y: 0.0 };
    /// # let linkage = Linkage { layout: Arc::new(layout), points: vec![], directions: vec![], axle };
    /// # let rest = Placement::at_rest();
    /// # let pose = Pose { compression: 0.0, bodies: [rest; MOST_BODIES], axle, axle_velocity: rest.drift };
    /// // Ring and cog of 20 teeth, 381 mm apart, 30 pitches: two spans of 30 pitches and all 20 teeth once.
    /// (bike.ring, bike.cog) = (20.0, 20.0);
    /// assert!((Chain::new(&bike, &linkage, &pose).loop_length() / 12.7 - 80.0).abs() < 1e-12);
    /// ```
    pub fn loop_length(&self) -> T {
        let last = self.count + 1;
        let mut length = self.lower().length;
        let mut left = T::from(std::f64::consts::TAU);
        for place in 0..last {
            length += self.spans[place].length;
            let size = &self.pulleys[place + 1];
            let mut turn = turn_between(self.spans[place].direction, self.spans[place + 1].direction);
            if place + 1 == last && turn.re() < 0.0 {
                turn += std::f64::consts::TAU;
            }
            left -= turn;
            length += teeth_length(size, turn * size.sense);
        }
        length + teeth_length(&self.pulleys[0], left)
    }
}

/// Length of the links on the teeth that a wrap of `angle` radians covers, mm.
fn teeth_length<T: Scalar>(size: &Size<T>, angle: T) -> T {
    size.teeth * angle * (PITCH / std::f64::consts::TAU)
}

/// Pedal kickback: by how much the cranks turn backward while the tight run grows by `growth` mm, the rear wheel held still in
/// frame axes, radians; negative where they turn forward. `growth/r_ring`.
///
/// It is the turn that the geometry asks for. Whether it reaches the feet also depends on the freehub, which lets go while
/// the wheel turns faster than the chain.
///
/// ```
/// use knockon_engine::suspension::chain::kickback;
/// // 20 mm of growth on a ring of 64.78 mm pitch radius: 20/64.78 = 0.3087 rad = 17.7°
/// assert!((kickback(20.0_f64, 64.78).to_degrees() - 17.69).abs() < 0.01);
/// ```
pub fn kickback<T: Scalar>(growth: T, ring_radius: T) -> T {
    growth / ring_radius
}
