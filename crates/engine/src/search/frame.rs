//! The bike with one combination of the frame's group on it: what is left to decide is where the hand goes.

use crate::bike::{Bike, Parameter};
use crate::change::Step;
use crate::cockpit::{hand, mount};
use crate::geometry::Stance;
use crate::geometry::point::{FramePoint, FrameVector};
use crate::quantity::{Quantities, Quantity, evaluate_placed, standing_on};
use crate::requirement::{Requirement, margins};
use crate::rider::{self, angle_between};
use crate::suspension::linkage::Linkage;
use crate::suspension::placed::Placed;
use crate::suspension::sag::Rests;

use super::Wanted;
use super::aim::{Aim, Off};
use super::tree::{Node, Point};

/// How the value of an aim follows from where spacers and stem hold the bar (`up`, `forward`) and where the bar puts the hand (`x`, `y`, `out`).
#[derive(Clone, Copy, Debug)]
pub(super) enum Reading {
    /// The hand's place does not matter.
    Fixed(f64),
    /// A weighted sum of the five.
    Sum(Sum),
    /// The interior angle of an elbow between two limbs, whose ends are so far apart, forward and upward.
    Elbow { forward: Sum, upward: Sum, limbs: [f64; 2] },
}

/// `constant + mount·(up, forward) + hand·(x, y, out)`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sum {
    constant: f64,
    mount: [f64; 2],
    hand: [f64; 3],
}

impl Sum {
    fn plus(self, more: f64) -> Sum {
        Sum { constant: self.constant + more, ..self }
    }

    #[inline]
    fn value(&self, mount: &Point, hand: &Point) -> f64 {
        self.constant
            + (self.mount[0] * mount.at[0] + self.mount[1] * mount.at[1])
            + (self.hand[0] * hand.at[0] + self.hand[1] * hand.at[1] + self.hand[2] * hand.at[2])
    }

    /// Least and most over two boxes.
    #[inline]
    fn over(&self, mount: &Node, hand: &Node) -> [f64; 2] {
        let (mut low, mut high) = (self.constant, self.constant);
        let mut add = |slope: f64, from: f64, to: f64| {
            let (a, b) = (slope * from, slope * to);
            low += a.min(b);
            high += a.max(b);
        };
        for axis in 0..2 {
            add(self.mount[axis], mount.low[axis], mount.high[axis]);
        }
        for axis in 0..3 {
            add(self.hand[axis], hand.low[axis], hand.high[axis]);
        }
        [low, high]
    }
}

impl Reading {
    #[inline]
    pub fn value(&self, mount: &Point, hand: &Point) -> f64 {
        match self {
            Reading::Fixed(value) => *value,
            Reading::Sum(sum) => sum.value(mount, hand),
            Reading::Elbow { forward, upward, limbs } => {
                angle_between(limbs[0], limbs[1], forward.value(mount, hand).hypot(upward.value(mount, hand)))
            }
        }
    }

    /// Least and most that the value can be in two boxes.
    #[inline]
    fn over(&self, mount: &Node, hand: &Node) -> [f64; 2] {
        match self {
            Reading::Fixed(value) => [*value; 2],
            Reading::Sum(sum) => sum.over(mount, hand),
            Reading::Elbow { forward, upward, limbs: [a, b] } => {
                let [x, y] = [forward.over(mount, hand), upward.over(mount, hand)];
                let nearest = |[low, high]: [f64; 2]| 0_f64.max(low).min(high);
                let furthest = |[low, high]: [f64; 2]| low.abs().max(high.abs());
                let reach = |apart: f64| angle_between(*a, *b, apart.max((a - b).abs()).min(a + b));
                [reach(nearest(x).hypot(nearest(y))), reach(furthest(x).hypot(furthest(y)))]
            }
        }
    }
}

/// Everything of a bike that the search through stems and bars needs.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    /// Aims that the hand's place decides, each with how.
    pub open: Vec<(Aim, Reading)>,
    /// What the other aims amount to.
    pub settled: Off,
    pub touched: u32,
    pub price: f64,
    /// Height above the headset that spacers and stem may take up, mm.
    pub room: f64,
    /// Its combination's number.
    pub number: u64,
    /// Its own stem and bar, by the diameters that they clamp and are clamped at.
    pub cockpit: [(f64, Point); 2],
}

/// A sum of squares that is less by this stays less when that of stem and bar is added, as long as these miss by no more than a
/// thousand noticeable steps.
const CLEAR: f64 = 1e-9;

impl Frame {
    /// The bike after `steps`; `None` where they break a limit that it kept before, or leave nothing that could be ridden.
    pub fn new(wanted: &Wanted<'_>, steps: &[Step<f64>], as_it_is: &AsItIs) -> Option<Frame> {
        let still = steps.iter().all(is_of_the_rider);
        let (bike, linkage) = match steps {
            [] => (*wanted.bike, None),
            _ if still => (wanted.bike.after(steps), None),
            _ => wanted.bike.after_on(wanted.linkage, steps),
        };
        let linkage = linkage.as_ref().or(wanted.linkage);
        let breaks = || breaks_a_limit(wanted, &bike, linkage, as_it_is) || !as_it_is.allows_spacers(&bike);
        if !still && breaks() {
            return None;
        }
        let placed = Placed::new(&bike, linkage);
        let rests = || if wanted.needs_sag() { Rests::find(&bike, linkage).ok() } else { None };
        let at_hand = Probes::new(&placed, rests().as_ref(), wanted.only_standing());
        let mut open = Vec::new();
        let mut settled = Off::default();
        for aim in wanted.aims {
            match at_hand.reading(aim.quantity, &bike) {
                Reading::Fixed(value) => settled = settled + aim.off(value),
                reading => open.push((*aim, reading)),
            }
        }
        // Another fork comes with a steerer that is long enough to be cut.
        let another_fork = steps.iter().any(|step| matches!(step, Step::Set(Parameter::AxleToCrown, _)));
        let room = if another_fork { f64::INFINITY } else { room(&bike, as_it_is) };
        let cockpit = [mount_point(&bike, as_it_is), hand_point(&bike)];
        let frame = Frame { open, settled, touched: 0, price: 0.0, room, number: 0, cockpit };
        settled.miss.is_finite().then_some(frame)
    }

    /// What stems and bars do to the open aims, bit by bit: frames with the same of it differ in what these do not move.
    pub fn alike(&self) -> Vec<u64> {
        let mut bits = Vec::with_capacity(self.open.len() * 7);
        let mut sum = |sum: &Sum| {
            let numbers = [sum.constant].into_iter().chain(sum.mount).chain(sum.hand);
            bits.extend(numbers.map(f64::to_bits));
        };
        for (_, reading) in &self.open {
            match reading {
                Reading::Fixed(value) => sum(&Sum { constant: *value, ..Sum::default() }),
                Reading::Sum(one) => sum(one),
                Reading::Elbow { forward, upward, limbs: [a, b] } => {
                    sum(forward);
                    sum(upward);
                    sum(&Sum { mount: [*a, *b], ..Sum::default() });
                }
            }
        }
        // Which aims are open may differ where a frame leaves one unknown.
        bits.extend(self.open.iter().map(|(aim, _)| aim.quantity as u64));
        bits
    }

    /// Of two that are alike: whether this one is at least as good as the other with every stem and bar, and better wherever the two would
    /// be told apart. What as many go before as are kept holds nothing to keep.
    pub fn goes_before(&self, other: &Frame) -> bool {
        let (a, b) = (&self.settled, &other.settled);
        let no_worse = a.miss <= b.miss
            && self.touched <= other.touched
            && self.price <= other.price
            && self.room >= other.room;
        let clear = a.miss < b.miss - CLEAR * (1.0 + b.miss);
        let first = a.middle <= b.middle && self.number < other.number;
        no_worse && (self.touched < other.touched || self.price < other.price || clear || first)
    }

    /// What two boxes together cannot miss by less than.
    #[inline]
    pub fn least(&self, mount: &Node, hand: &Node) -> Off {
        self.open
            .iter()
            .fold(self.settled, |sum, (aim, reading)| sum + aim.least_over(reading.over(mount, hand)))
    }

    #[inline]
    pub fn off(&self, mount: &Point, hand: &Point) -> Off {
        self.open.iter().fold(self.settled, |sum, (aim, reading)| sum + aim.off(reading.value(mount, hand)))
    }
}

/// What the bike keeps and takes up before anything is touched.
#[derive(Clone, Debug)]
pub(super) struct AsItIs {
    margins: [f64; Requirement::COUNT],
    /// What stands on the headset, mm.
    stacked: f64,
    /// Headset and head tube, mm.
    under: f64,
    /// Least height of spacers above the stem, mm: no more than there are.
    above_least: f64,
}

impl AsItIs {
    pub fn new(wanted: &Wanted<'_>) -> Self {
        let bike = wanted.bike;
        let both = (bike, wanted.linkage);
        AsItIs {
            margins: margins(both, both, wanted.allow),
            stacked: bike.spacers_below + bike.stem_clamp_height + bike.spacers_above,
            under: under_the_stack(bike),
            above_least: wanted.above_least.min(bike.spacers_above),
        }
    }

    /// Whether a bike has no more spacers below the stem than the fork's maker allows, or than are there already.
    pub fn allows_spacers(&self, bike: &Bike<f64>) -> bool {
        let over = (-self.margins[Requirement::SpacersBelow as usize]).max(0.0);
        // What is not known is not refused.
        let is_over = bike.spacers_below - bike.spacers_allowed > over + 1e-9;
        !is_over
    }
}

/// Where spacers and stem of a bike hold the bar, with the diameter that they clamp.
pub(super) fn mount_point(bike: &Bike<f64>, before: &AsItIs) -> (f64, Point) {
    let mount = mount(bike);
    let stacked = bike.spacers_below + bike.stem_clamp_height + before.above_least;
    // A hair of room: heights have been added up in another order.
    let stacked = if stacked.is_nan() { f64::NEG_INFINITY } else { stacked - 1e-6 };
    let at = [mount.up, mount.forward, 0.0];
    (bike.stem_bar_clamp, Point { at, touched: 0, price: 0.0, stacked, number: 0 })
}

/// Where the bar of a bike puts the hand, with the diameter that it is clamped at.
pub(super) fn hand_point(bike: &Bike<f64>) -> (f64, Point) {
    let hand = hand(bike, bike.bar_roll);
    let at = [hand.x, hand.y, hand.out];
    (bike.bar_clamp, Point { at, touched: 0, price: 0.0, stacked: f64::NEG_INFINITY, number: 0 })
}

fn under_the_stack(bike: &Bike<f64>) -> f64 {
    bike.lower_stack + bike.head_tube + bike.upper_stack
}

/// Room on the steerer above the headset, mm. Where nobody has measured the steerer, what stands on it now has room.
fn room(bike: &Bike<f64>, before: &AsItIs) -> f64 {
    let told = bike.steerer_length + bike.top_cap_gap - under_the_stack(bike);
    let now = before.stacked + before.under - under_the_stack(bike);
    match (told.is_finite(), now.is_finite()) {
        // A stack that is over by a hair of rounding is on the bike all the same.
        (true, _) => told.max(now),
        (false, true) => now,
        (false, false) => f64::INFINITY,
    }
}

/// A limit that gets worse and is then broken by its best value; those of stem, spacers and bar are looked at where these are chosen.
fn breaks_a_limit(
    wanted: &Wanted<'_>,
    bike: &Bike<f64>,
    linkage: Option<&Linkage<f64>>,
    before: &AsItIs,
) -> bool {
    let after = margins((wanted.bike, wanted.linkage), (bike, linkage), wanted.allow);
    let elsewhere = [Requirement::SteererLength, Requirement::SpacersBelow, Requirement::BarClamp];
    Requirement::ALL.iter().filter(|it| !elsewhere.contains(it)).any(|requirement| {
        let [was, is] = [before.margins, after].map(|margins| margins[*requirement as usize]);
        is < -1e-9 && (was.is_nan() || is < was - 1e-9)
    })
}

/// Steps of what neither frame, suspension nor any limit here knows of: they cost no look at the linkage.
fn is_of_the_rider(step: &Step<f64>) -> bool {
    use Parameter as P;
    match step {
        Step::Set(parameter, _) | Step::By(parameter, _) => {
            matches!(parameter, P::SaddleHeight | P::SaddleSetback | P::CrankLength)
        }
        Step::Nothing => true,
        _ => false,
    }
}

/// Quantities that only ask how the bike stands, with the suspension extended.
pub(super) fn is_standing(quantity: Quantity) -> bool {
    (quantity as usize) <= Quantity::ElbowAngle as usize
}

/// The quantities with the hand in three places: everything but the elbow is a sum of what its place does to it.
struct Probes {
    values: [Quantities<f64>; 3],
    /// Top of the headset, and the directions up the steerer and forward of it, in frame axes.
    top: FramePoint<f64>,
    up: [f64; 2],
    forward: [f64; 2],
    /// Sine and cosine of the turn of an angled headset.
    turn: (f64, f64),
    /// The rider's shoulder, from the bottom bracket on the ground.
    shoulder: FrameVector<f64>,
}

/// How far apart the probed places are, mm.
const APART: f64 = 1000.0;

impl Probes {
    fn new(placed: &Placed<'_, f64>, rests: Option<&Rests>, standing_only: bool) -> Probes {
        let (bike, points) = (placed.bike, &placed.points);
        let stance = Stance::on(bike, points.front_axle, points.rear_axle);
        let at = |x: f64, y: f64| {
            let grip = FramePoint { x, y };
            if standing_only {
                standing_on(bike, points, grip, 0.0).0
            } else {
                evaluate_placed(placed, grip, 0.0, rests)
            }
        };
        Probes {
            values: [at(0.0, 0.0), at(APART, 0.0), at(0.0, APART)],
            top: points.steerer_top.along(points.axis_down, -bike.upper_stack),
            up: [-points.axis_down.x, -points.axis_down.y],
            forward: [points.axis_forward.x, points.axis_forward.y],
            turn: bike.headset_turn.sin_cos(),
            shoulder: rider::shoulder(bike, stance.from_bottom_bracket(rider::saddle_top(bike))),
        }
    }

    fn reading(&self, quantity: Quantity, bike: &Bike<f64>) -> Reading {
        match quantity {
            Quantity::GripWidth => Reading::Sum(Sum { hand: [0.0, 0.0, 2.0], ..Sum::default() }),
            Quantity::ElbowAngle => {
                let limbs = [bike.upper_arm, bike.forearm];
                let forward = self.sum(Quantity::GripReach).plus(-self.shoulder.x);
                Reading::Elbow {
                    forward,
                    upward: self.sum(Quantity::GripStack).plus(-self.shoulder.y),
                    limbs,
                }
            }
            _ => {
                let [zero, x, y] = self.values.map(|values| values[quantity as usize]);
                if x == zero && y == zero { Reading::Fixed(zero) } else { Reading::Sum(self.sum(quantity)) }
            }
        }
    }

    fn sum(&self, quantity: Quantity) -> Sum {
        let [zero, x, y] = self.values.map(|values| values[quantity as usize]);
        let (dx, dy) = ((x - zero) / APART, (y - zero) / APART);
        let along = |direction: [f64; 2]| dx * direction[0] + dy * direction[1];
        // The bar turns with the steerer.
        let (sin, cos) = self.turn;
        Sum {
            constant: zero + dx * self.top.x + dy * self.top.y,
            mount: [along(self.up), along(self.forward)],
            hand: [dx * cos - dy * sin, dx * sin + dy * cos, 0.0],
        }
    }
}
