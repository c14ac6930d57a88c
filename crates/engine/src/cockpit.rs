//! Stem, bar and hands, in three dimensions, and the steerer that carries them.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::FramePoints;
use crate::geometry::point::FramePoint;

/// Where stem, bar and hand lie, in frame axes. The hand's lateral place is [`Cockpit::hand_out`].
#[derive(Clone, Copy, Debug)]
pub struct Cockpit<T> {
    /// Middle of the stem's steerer clamp, on the steering axis.
    pub stem_clamp: FramePoint<T>,
    /// Centre of the bar where the stem clamps it.
    pub bar_clamp: FramePoint<T>,
    /// Middle of the hand.
    pub grip: FramePoint<T>,
    /// Middle of the hand, out from the middle plane, mm.
    pub hand_out: T,
}

impl<T: Scalar> Cockpit<T> {
    /// Places the cockpit on the steerer.
    ///
    /// The bar's roll is set in the chart pose; clamped in the stem, the bar turns with the steerer after that.
    ///
    /// ```
    /// # use knockon_engine::{bike::Bike, geometry::FramePoints, cockpit::Cockpit};
    /// let mut bike = Bike::unknown();
    /// (bike.stack, bike.reach, bike.head_angle) = (600.0, 400.0, 90_f64.to_radians());
    /// (bike.head_tube, bike.upper_stack, bike.spacers_below, bike.stem_clamp_height) = (100.0, 10.0, 20.0, 40.0);
    /// (bike.stem_length, bike.stem_angle) = (50.0, 0.0);
    /// (bike.bar_width, bike.hand_inset, bike.bar_bend, bike.bar_rise) = (760.0, 60.0, 100.0, 25.0);
    /// (bike.bar_back_sweep, bike.bar_up_sweep, bike.bar_roll, bike.bar_reach) = (0.0, 0.0, 0.0, 0.0);
    /// let cockpit = Cockpit::new(&bike, &FramePoints::new(&bike, 0.0));
    /// assert!((cockpit.grip.y - 675.0).abs() < 1e-9); // 600 + 10 + 20 + 40/2 + rise 25 + 20 … = 600+10+20+20+25
    /// assert!((cockpit.grip.x - 450.0).abs() < 1e-9); // 400 + 50
    /// ```
    #[inline]
    pub fn new(bike: &Bike<T>, points: &FramePoints<T>) -> Self {
        let (u, n) = (points.axis_down, points.axis_forward);
        let Mount { up, forward } = mount(bike);
        let stem_clamp = points.steerer_top.along(u, -(bike.upper_stack + clamp_middle(bike)));
        let bar_clamp = points.steerer_top.along(n, forward).along(u, -(bike.upper_stack + up));
        // An angled headset turns the bar with the steerer: a slacker axis leans it toward the rider.
        let Hand { x, y, out: hand_out } = hand(bike, bike.bar_roll - bike.headset_turn);
        let grip = FramePoint { x: bar_clamp.x + x, y: bar_clamp.y + y };
        Cockpit { stem_clamp, bar_clamp, grip, hand_out }
    }
}

/// Where the stem holds the bar, seen from the top of the headset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mount<T> {
    /// Up along the steerer, mm.
    pub up: T,
    /// Forward, square to the steerer, mm.
    pub forward: T,
}

/// Where spacers and stem hold the bar: `spacers + clamp/2 + ℓ·sin a` up the steerer, `ℓ·cos a` ahead of it.
/// Source: plane trigonometry; the stem's angle is that from the normal to the steerer (common practice, no source).
///
/// ```
/// # use knockon_engine::{bike::Bike, cockpit::mount};
/// let mut bike = Bike::unknown();
/// (bike.spacers_below, bike.stem_clamp_height) = (20.0, 40.0);
/// (bike.stem_length, bike.stem_angle) = (50.0, 30_f64.to_radians());
/// assert!((mount(&bike).up - 65.0).abs() < 1e-12); // 20 + 40/2 + 50·sin 30°
/// ```
#[inline]
pub fn mount<T: Scalar>(bike: &Bike<T>) -> Mount<T> {
    let (sin, cos) = bike.stem_angle.sin_cos();
    Mount { up: clamp_middle(bike) + bike.stem_length * sin, forward: bike.stem_length * cos }
}

/// Top of the headset to the middle of the stem's steerer clamp, mm.
#[inline]
fn clamp_middle<T: Scalar>(bike: &Bike<T>) -> T {
    bike.spacers_below + bike.stem_clamp_height * 0.5
}

/// Where the middle of the hand is, seen from the bar's centre in the stem, in frame axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand<T> {
    /// Forward, mm.
    pub x: T,
    /// Upward, mm.
    pub y: T,
    /// Out from the middle plane, mm.
    pub out: T,
}

/// Where the bar puts the hand when its rise direction leans `lean` radians back from the vertical.
/// Source: plane trigonometry of sweeps that begin at the bends (common practice, no source).
///
/// ```
/// # use knockon_engine::{bike::Bike, cockpit::hand};
/// let mut bike = Bike::unknown();
/// (bike.bar_width, bike.hand_inset, bike.bar_bend, bike.bar_rise) = (760.0, 60.0, 100.0, 25.0);
/// (bike.bar_back_sweep, bike.bar_up_sweep, bike.bar_reach) = (0.0, 0.0, 0.0);
/// let hand = hand(&bike, 90_f64.to_radians());
/// assert!((hand.x + 25.0).abs() < 1e-12 && hand.y.abs() < 1e-12); // laid back, the rise points at the rider
/// assert_eq!(hand.out, 320.0);
/// ```
#[inline]
pub fn hand<T: Scalar>(bike: &Bike<T>, lean: T) -> Hand<T> {
    let out = bike.bar_width * 0.5 - bike.hand_inset;
    let rise = bike.bar_rise - bike.hand_inset * bike.bar_up_sweep.tan();
    let back = (out - bike.bar_bend) * bike.bar_back_sweep.tan() - bike.bar_reach;
    let (sin, cos) = lean.sin_cos();
    Hand { x: -(sin * rise) - cos * back, y: cos * rise - sin * back, out }
}

/// Steerer length that the stack of parts needs above the crown race seat, mm: head tube, both headset heights,
/// spacers and stem clamp, less the gap that the top cap needs to preload the bearings.
/// Source: common practice, no source.
///
/// ```
/// # use knockon_engine::{bike::Bike, cockpit::steerer_needed};
/// let mut bike = Bike::unknown();
/// (bike.lower_stack, bike.head_tube, bike.upper_stack) = (1.0, 115.0, 12.0);
/// (bike.spacers_below, bike.stem_clamp_height, bike.spacers_above, bike.top_cap_gap) = (20.0, 40.0, 5.0, 3.0);
/// assert_eq!(steerer_needed(&bike), 190.0); // 1 + 115 + 12 + 20 + 40 + 5 − 3
/// ```
pub fn steerer_needed<T: Scalar>(bike: &Bike<T>) -> T {
    bike.lower_stack
        + bike.head_tube
        + bike.upper_stack
        + bike.spacers_below
        + bike.stem_clamp_height
        + bike.spacers_above
        - bike.top_cap_gap
}
