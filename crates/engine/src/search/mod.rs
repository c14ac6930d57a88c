//! Backwards: which parts give the wanted result. Exact over the whole space of choices.
//!
//! A combination takes one choice from each slot. It is judged by how far it misses what is wanted, by how many things are touched for it
//! and by what it costs; kept are those that fewer than `depth` others are at least as good as in every way. Limits are kept: what a
//! combination breaks that the bike keeps now, it is not.
//!
//! The space is not walked one by one. Where the hand goes is a sum: the headset's top with the frame on its wheels, where spacers and stem
//! hold the bar, where the bar puts the hand. So the slots fall into three groups. Each combination of the frame's group is stood on the
//! ground once; those of the other two are points in boxes (`tree.rs`), and two boxes whose best sum cannot be worth keeping are left
//! behind with everything in them (branch and bound); so is a frame that others go before which differ from it in nothing that stems and
//! bars move, in saddle and cranks, say. Nothing that could be kept is ever left out: a test holds this against every
//! combination by itself.

mod aim;
mod frame;
mod kept;
mod space;
mod tree;

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use crate::bike::Bike;
use crate::requirement::Allowances;
use crate::suspension::linkage::Linkage;

pub use aim::Aim;
pub use space::{Choice, Slot};

use frame::{AsItIs, Frame, hand_point, mount_point};
use kept::{Kept, Member, Worth};
use space::{Combinations, Group};
use tree::{Node, Point, Tree};

/// What is wanted, and what may be done for it.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// The bike as it is.
    pub bike: &'a Bike<f64>,
    /// Its linkage, where somebody measured one.
    pub linkage: Option<&'a Linkage<f64>>,
    /// The slots. Those that spacers and stem fill, those that bar and hands fill and all others are three groups; where one slot
    /// is of several, every combination is looked at by itself. Two slots that set the same measure act in their order.
    pub slots: &'a [Slot],
    /// What is wanted.
    pub aims: &'a [Aim],
    /// The figures that the limits carry.
    pub allow: &'a Allowances,
    /// Least height of spacers above the stem, mm, where there are so many.
    pub above_least: f64,
    /// So many things may be touched.
    pub most_touched: u32,
    /// All together may cost this much.
    pub most_price: f64,
    /// A combination is kept while fewer than so many others are at least as good in every way: 1 is the Pareto front.
    pub depth: usize,
}

impl Wanted<'_> {
    /// How many combinations there are.
    pub fn combinations(&self) -> u64 {
        self.slots.iter().fold(1, |product, slot| product.saturating_mul(slot.choices.len() as u64))
    }

    /// Whether a bar goes into a clamp. Where one of the two is not known, nothing speaks against it; where they differ on the bike
    /// already, neither.
    fn go_together(&self, clamp: f64, bar: f64) -> bool {
        let as_it_is = clamp == self.bike.stem_bar_clamp && bar == self.bike.bar_clamp;
        let differ = (clamp - bar).abs() > self.allow.same_clamp;
        as_it_is || !differ
    }

    fn refuses(&self, worth: &Worth) -> bool {
        worth.touched > self.most_touched || worth.price > self.most_price
    }

    fn only_standing(&self) -> bool {
        self.aims.iter().all(|aim| frame::is_standing(aim.quantity))
    }

    fn needs_sag(&self) -> bool {
        !self.only_standing()
    }
}

/// A combination that was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The choice of every slot, in their order.
    pub picks: Vec<usize>,
    /// Root of the sum of the squared misses of all aims; 0 where all is as wanted.
    pub miss: f64,
    /// The same of the distances from the middles of what is wanted.
    pub off_middle: f64,
    /// How many things are touched.
    pub touched: u32,
    /// What it costs.
    pub price: f64,
}

/// How far a search has come.
#[derive(Clone, Copy, Debug)]
pub struct Progress {
    /// Combinations that are settled, looked at or ruled out.
    pub settled: u64,
    /// All combinations.
    pub of: u64,
    /// Least miss so far; infinite where nothing was found yet.
    pub least_miss: f64,
}

/// The search was told to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped;

/// Finds the combinations that are worth keeping, by their miss. `watch` is asked now and then whether to go on.
///
/// ```
/// # use std::ops::ControlFlow;
/// # use knockon_engine::{bike::{Bike, Parameter}, change::Step, quantity::Quantity, requirement::Allowances};
/// # use knockon_engine::search::{Aim, Choice, Slot, Wanted, search};
/// let mut bike = Bike::unknown();
/// (bike.saddle_height, bike.crank_length) = (735.0, 170.0);
/// let crank = |length: f64| Choice { steps: vec![Step::Set(Parameter::CrankLength, length)], touched: 1, price: 90.0 };
/// let slots = [Slot { choices: vec![Choice::as_it_is(), crank(165.0), crank(160.0), crank(155.0)] }];
/// let aims = [Aim { quantity: Quantity::SaddleToPedal, range: [894.0, 896.0], scale: 5.0 }];
/// let allow = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };
/// # let (bike, allow) = (&bike, &allow);
/// let wanted = Wanted { bike, linkage: None, slots: &slots, aims: &aims, allow, above_least: 0.0,
///     most_touched: 5, most_price: f64::INFINITY, depth: 1 };
/// let found = search(&wanted, &mut |_| ControlFlow::Continue(())).unwrap();
/// // 160 mm does it; touching nothing is 9 mm off, but costs nothing.
/// assert_eq!(found.iter().map(|it| (it.picks[0], it.miss)).collect::<Vec<_>>(), [(2, 0.0), (0, 1.8)]);
/// ```
///
/// # Errors
/// When `watch` says to stop.
pub fn search(
    wanted: &Wanted<'_>,
    watch: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Vec<Found>, Stopped> {
    let mut search = Search::new(wanted);
    search.run(watch)?;
    Ok(search.found())
}

/// So many boxes are looked at between two looks at the watch.
const BETWEEN_LOOKS: u32 = 1 << 14;
/// So many combinations of the frame's group are stood on the ground before the best of them are searched.
const AT_ONCE: u64 = 4096;

#[derive(Debug)]
struct Search<'a> {
    wanted: &'a Wanted<'a>,
    frames: Combinations<'a>,
    mounts: Combinations<'a>,
    hands: Combinations<'a>,
    /// Whether every combination is a bike by itself.
    together: bool,
    before: AsItIs,
    /// Spacers and stems, by the diameter that they clamp.
    mount_trees: Vec<(f64, Tree)>,
    /// Bars, by the diameter that they are clamped at.
    hand_trees: Vec<(f64, Tree)>,
    /// Those of both that go together.
    pairs: Vec<(usize, usize)>,
    kept: Kept,
    settled: u64,
    looks: u32,
}

/// Frames by what stems and bars do on them.
type Alike<'f> = BTreeMap<Vec<u64>, Vec<&'f Frame>>;

type Watch<'w> = &'w mut dyn FnMut(Progress) -> ControlFlow<()>;

impl<'a> Search<'a> {
    fn new(wanted: &'a Wanted<'a>) -> Self {
        // A slot that sets the cockpit and more is no part of a sum: then every combination is a bike by itself.
        let together = wanted.slots.iter().any(Slot::is_mixed);
        let group = if together { Combinations::together } else { Combinations::of };
        let [frames, mounts, hands] =
            [Group::Frame, Group::Mount, Group::Hand].map(|it| group(it, wanted.slots));
        let before = AsItIs::new(wanted);
        let trees = |points: ByClamp| -> Vec<(f64, Tree)> {
            points.into_iter().map(|(clamp, points)| (clamp, Tree::new(points))).collect()
        };
        let mount_trees = trees(mount_points(wanted, &mounts, &before));
        let hand_trees = trees(hand_points(wanted, &hands));
        let mut pairs = Vec::new();
        for (mount, (clamp, _)) in mount_trees.iter().enumerate() {
            for (hand, (bar, _)) in hand_trees.iter().enumerate() {
                if wanted.go_together(*clamp, *bar) {
                    pairs.push((mount, hand));
                }
            }
        }
        Search {
            wanted,
            frames,
            mounts,
            hands,
            together,
            before,
            mount_trees,
            hand_trees,
            pairs,
            kept: Kept::new(wanted.depth),
            settled: 0,
            looks: 0,
        }
    }

    fn run(&mut self, watch: Watch<'_>) -> Result<(), Stopped> {
        let (count, mut steps) = (self.frames.count(), Vec::new());
        let per_frame = self.mounts.count().saturating_mul(self.hands.count());
        let mut from = 0;
        while from < count {
            let to = (from + AT_ONCE).min(count);
            let mut stood = Vec::new();
            for number in from..to {
                let (touched, price) = self.frames.sum(number, &mut steps);
                if let Some(frame) = Frame::new(self.wanted, &steps, &self.before) {
                    stood.push(Frame { touched, price, number, ..frame });
                } else {
                    self.settled += per_frame;
                }
                if number % 64 == 0 {
                    self.look(watch)?;
                }
            }
            stood.sort_by(|a, b| a.settled.miss.total_cmp(&b.settled.miss).then(a.touched.cmp(&b.touched)));
            let mut searched: Alike<'_> = BTreeMap::new();
            for frame in &stood {
                if !self.together && self.is_behind(frame, &mut searched) {
                    self.settled += per_frame;
                    continue;
                }
                let settled = self.settled;
                if self.together {
                    self.offer_whole(frame);
                }
                let pairs = if self.together { 0 } else { self.pairs.len() };
                for pair in 0..pairs {
                    self.descend_from_roots(frame, pair, watch)?;
                }
                self.settled = settled + per_frame;
            }
            from = to;
        }
        Ok(())
    }

    /// Whether as many as are kept go before a frame among those that were searched already; else it is one of them from now on.
    fn is_behind<'f>(&self, frame: &'f Frame, searched: &mut Alike<'f>) -> bool {
        let alike = searched.entry(frame.alike()).or_default();
        let depth = self.wanted.depth.max(1);
        if alike.iter().filter(|other| other.goes_before(frame)).nth(depth - 1).is_some() {
            return true;
        }
        alike.push(frame);
        false
    }

    /// A bike with a stem and a bar of its own.
    fn offer_whole(&mut self, frame: &Frame) {
        let [(clamp, mount), (bar, hand)] = &frame.cockpit;
        let goes = mount.stacked <= frame.room && self.wanted.go_together(*clamp, *bar);
        let worth = Worth { off: frame.off(mount, hand), touched: frame.touched, price: frame.price };
        if goes && !self.wanted.refuses(&worth) {
            self.kept.offer(Member { worth, place: [frame.number, 0, 0] });
        }
    }

    fn descend_from_roots(&mut self, frame: &Frame, pair: usize, watch: Watch<'_>) -> Result<(), Stopped> {
        let mut open = vec![(0, 0)];
        while let Some((mount, hand)) = open.pop() {
            self.looks += 1;
            if self.looks >= BETWEEN_LOOKS {
                self.look(watch)?;
            }
            let (mount_tree, hand_tree) = self.pairs[pair];
            let (mounts, hands) = (&self.mount_trees[mount_tree].1, &self.hand_trees[hand_tree].1);
            let (a, b) = (&mounts.nodes[mount], &hands.nodes[hand]);
            let best = best(frame, a, b);
            if a.stacked > frame.room || self.wanted.refuses(&best) || self.kept.rules_out(&best) {
                self.settled += a.len() * b.len();
                continue;
            }
            match (a.is_leaf(), b.is_leaf()) {
                (true, true) => {
                    for a in &mounts.points[a.start..a.end] {
                        if a.stacked > frame.room {
                            continue;
                        }
                        for b in &hands.points[b.start..b.end] {
                            let worth = Worth {
                                off: frame.off(a, b),
                                touched: frame.touched + a.touched + b.touched,
                                price: frame.price + a.price + b.price,
                            };
                            if self.wanted.refuses(&worth) {
                                continue;
                            }
                            self.kept.offer(Member { worth, place: [frame.number, a.number, b.number] });
                        }
                    }
                    self.settled += a.len() * b.len();
                }
                // The larger is opened; what promises more is looked at first, which is what is put down last.
                (false, leaf) if leaf || a.len() >= b.len() => {
                    let mut parts =
                        a.children.map(|child| (frame.least(&mounts.nodes[child], b).miss, child));
                    parts.sort_by(|x, y| y.0.total_cmp(&x.0));
                    open.extend(parts.map(|(_, child)| (child, hand)));
                }
                _ => {
                    let mut parts = b.children.map(|child| (frame.least(a, &hands.nodes[child]).miss, child));
                    parts.sort_by(|x, y| y.0.total_cmp(&x.0));
                    open.extend(parts.map(|(_, child)| (mount, child)));
                }
            }
        }
        Ok(())
    }

    fn look(&mut self, watch: Watch<'_>) -> Result<(), Stopped> {
        self.looks = 0;
        let least_miss = self.kept.members().first().map_or(f64::INFINITY, |it| it.worth.off.miss.sqrt());
        let progress = Progress { settled: self.settled, of: self.wanted.combinations(), least_miss };
        if watch(progress).is_break() { Err(Stopped) } else { Ok(()) }
    }

    fn found(&self) -> Vec<Found> {
        let picks = |member: &Member| {
            let mut picks = vec![0; self.wanted.slots.len()];
            for (group, number) in [&self.frames, &self.mounts, &self.hands].into_iter().zip(member.place) {
                for (slot, pick) in group.picks(number) {
                    picks[slot] = pick;
                }
            }
            picks
        };
        let members = self.kept.members().iter();
        members
            .map(|member| Found {
                picks: picks(member),
                miss: member.worth.off.miss.sqrt(),
                off_middle: member.worth.off.middle.sqrt(),
                touched: member.worth.touched,
                price: member.worth.price,
            })
            .collect()
    }
}

/// What no combination of two boxes is better than.
#[inline]
fn best(frame: &Frame, a: &Node, b: &Node) -> Worth {
    Worth {
        off: frame.least(a, b),
        touched: frame.touched + a.touched + b.touched,
        price: frame.price + a.price + b.price,
    }
}

/// Points by the diameter that they clamp, or are clamped at.
type ByClamp = Vec<(f64, Vec<Point>)>;

fn put(all: &mut ByClamp, clamp: f64, point: Point) {
    match all.iter_mut().find(|(known, _)| *known == clamp || (known.is_nan() && clamp.is_nan())) {
        Some((_, points)) => points.push(point),
        None => all.push((clamp, vec![point])),
    }
}

fn mount_points(wanted: &Wanted<'_>, mounts: &Combinations<'_>, before: &AsItIs) -> ByClamp {
    let (mut all, mut steps) = (Vec::new(), Vec::new());
    for number in 0..mounts.count() {
        let (touched, price) = mounts.sum(number, &mut steps);
        let bike = if steps.is_empty() { *wanted.bike } else { wanted.bike.after(&steps) };
        if before.allows_spacers(&bike) {
            let (clamp, point) = mount_point(&bike, before);
            put(&mut all, clamp, Point { touched, price, number, ..point });
        }
    }
    all
}

fn hand_points(wanted: &Wanted<'_>, hands: &Combinations<'_>) -> ByClamp {
    let (mut all, mut steps) = (Vec::new(), Vec::new());
    for number in 0..hands.count() {
        let (touched, price) = hands.sum(number, &mut steps);
        let bike = if steps.is_empty() { *wanted.bike } else { wanted.bike.after(&steps) };
        let (clamp, point) = hand_point(&bike);
        put(&mut all, clamp, Point { touched, price, number, ..point });
    }
    all
}
