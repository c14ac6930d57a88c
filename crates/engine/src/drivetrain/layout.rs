//! One way to lay the chain: what pulls where, how far it wraps around each wheel, what is lost on the way.
//!
//! The tight run is the one that leaves the top of the ring and pulls on the cog; the slack run goes back below. Seen from the
//! right, in frame axes: x forward, y up, origin at the bottom bracket. Everything is taken to lie in one plane.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::Scalar;
use crate::geometry::point::{FramePoint, FrameVector};
use crate::suspension::chain::{PITCH, pitch_radius, tangent, turn_between};

/// A wheel that the chain runs over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wheel<T> {
    /// Its axle.
    pub centre: FramePoint<T>,
    /// Its teeth.
    pub teeth: T,
    /// Whether it turns as the ring does; a wheel on the other side of the chain turns the other way.
    pub with_ring: bool,
}

impl<T: Scalar> Wheel<T> {
    fn signed_radius(&self) -> T {
        let radius = pitch_radius(self.teeth);
        if self.with_ring { radius } else { -radius }
    }
}

/// One way to lay the chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout<T> {
    /// The ring, at the bottom bracket.
    pub ring: Wheel<T>,
    /// Wheels that the tight run passes, from the ring to the cog.
    pub tight: Vec<Wheel<T>>,
    /// The cog, at the rear axle.
    pub cog: Wheel<T>,
    /// Wheels that the slack run passes, from the cog back to the ring.
    pub slack: Vec<Wheel<T>>,
    /// Turns of the cranks for one of the ring: what a gearbox at the cranks makes of them; 1 without one.
    pub cranks_per_ring: T,
    /// What a hub gear or gearbox lets through, a plain number; 1 without one.
    pub inner_efficiency: T,
}

/// Friction in a chain's joints.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joints<T> {
    /// Coefficient of friction between pin and plate, a plain number.
    pub friction: T,
    /// Radius at which they rub, mm.
    pub radius: T,
}

/// What happens at one wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtWheel<T> {
    /// Where, and how large.
    pub wheel: Wheel<T>,
    /// How far the chain wraps around it, radians.
    pub wrap: T,
    /// Tension of the chain that comes in, N; in the sense from the ring's top over the cog.
    pub before: T,
    /// Tension of the chain that goes out, N.
    pub after: T,
    /// What its axle has to hold, N: the sum of both pulls.
    pub on_axle: T,
    /// What bending and straightening the chain costs there, as a part of the power that the chain transmits.
    pub loss: T,
}

/// What happens along the whole chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid<T> {
    /// Every wheel: the ring, the tight run's, the cog, the slack run's.
    pub wheels: Vec<AtWheel<T>>,
    /// Where the chain touches, from each wheel to the next, in the same order; the last goes back to the ring.
    pub spans: Vec<[FramePoint<T>; 2]>,
    /// Tension of the tight run, N.
    pub tight_tension: T,
    /// Tension of the slack run, N.
    pub slack_tension: T,
    /// Length of the chain's loop, mm: spans, and teeth times pitch on each wheel.
    pub length: T,
    /// Height of the chain's lowest point above the bottom bracket, mm; negative below it.
    pub lowest: T,
    /// All that is lost between crank and hub, as a part of the power: chain and inner gears.
    pub loss: T,
}

/// Tension of the tight run, N, for a torque at the ring, N·m: torque over pitch radius.
///
/// ```
/// use knockon_engine::drivetrain::layout::tight_tension;
/// // 1000 N on a 170 mm crank, ring of 32: 170 N·m over 64.78 mm.
/// assert!((tight_tension(170.0_f64, 32.0) - 170.0 / 0.064_784_6).abs() < 0.1);
/// ```
pub fn tight_tension<T: Scalar>(torque: T, ring: T) -> T {
    torque * 1e3 / pitch_radius(ring)
}

/// What it costs to bend or to straighten a chain under `tension`, N, at a wheel of `teeth`, as a part of the power that a chain
/// under `tight` N transmits: each joint turns by `2π/teeth` against friction, `π/2·µ·T·r·2π/teeth` per joint, one joint a pitch;
/// the π/2 because the pin presses on half of its bushing.
///
/// Range: sound, oiled chains. Left out: rollers on the teeth (a tenth of the whole), the wheel's own bearing, plates that rub in a
/// chain that runs askew, the air: measured losses of derailleur drives are 1 to 7 %. Source: Spicer et al., Effects of frictional
/// loss on bicycle chain drive efficiency, J. Mech. Design 123(4), 2001, first loss, as restated in later public work.
///
/// ```
/// use knockon_engine::drivetrain::layout::{Joints, bending_loss};
/// let joints = Joints { friction: 0.1_f64, radius: 12.7 / 6.283_185_307 };
/// // With a radius of pitch/2π the loss is π/2·µ/teeth: 0.15708/20 = 0.785 %.
/// assert!((bending_loss(1000.0, 1000.0, 20.0, &joints) - 0.007_853_98).abs() < 1e-8);
/// ```
pub fn bending_loss<T: Scalar>(tension: T, tight: T, teeth: T, joints: &Joints<T>) -> T {
    tension / tight * joints.friction * joints.radius / teeth * (FRAC_PI_2 * TAU / PITCH)
}

impl<T: Scalar> Layout<T> {
    /// The chain on this layout under a torque at the cranks, N·m, with a slack run that is pulled with `slack` N.
    ///
    /// Every number that hangs on two wheels that overlap is NaN.
    ///
    /// ```
    /// use knockon_engine::drivetrain::layout::{Joints, Layout, Wheel};
    /// use knockon_engine::geometry::point::FramePoint;
    /// let wheel = |x: f64, teeth: f64| Wheel { centre: FramePoint { x, y: 0.0 }, teeth, with_ring: true };
    /// let plain = Layout {
    ///     ring: wheel(0.0, 20.0), tight: vec![], cog: wheel(-381.0, 20.0), slack: vec![],
    ///     cranks_per_ring: 1.0, inner_efficiency: 1.0,
    /// };
    /// let laid = plain.laid(100.0, 0.0, &Joints { friction: 0.0, radius: 1.8 });
    /// assert!((laid.length / 12.7 - 80.0).abs() < 1e-9); // two spans of 30 pitches, 20 teeth once
    /// assert!((laid.wheels[0].wrap - std::f64::consts::PI).abs() < 1e-12);
    /// assert_eq!(laid.loss, 0.0); // no friction, no loss
    /// ```
    pub fn laid(&self, torque: T, slack: T, joints: &Joints<T>) -> Laid<T> {
        let tight = tight_tension(torque * self.cranks_per_ring, self.ring.teeth);
        let way: Vec<Wheel<T>> = [self.ring]
            .into_iter()
            .chain(self.tight.iter().copied())
            .chain([self.cog])
            .chain(self.slack.iter().copied())
            .collect();
        let count = way.len();
        let runs: Vec<(FrameVector<T>, T)> = (0..count)
            .map(|at| {
                let (from, to) = (&way[at], &way[(at + 1) % count]);
                tangent((from.centre, from.signed_radius()), (to.centre, to.signed_radius()))
            })
            .collect();
        let tension = |run: usize| if run <= self.tight.len() { tight } else { slack };
        let mut length = T::from(0.0);
        let mut lowest = T::from(f64::INFINITY);
        let mut wheels = Vec::with_capacity(count);
        let mut loss = T::from(1.0) - self.inner_efficiency;
        for (at, wheel) in way.iter().enumerate() {
            let before = (at + count - 1) % count;
            let (come, go) = (runs[before].0, runs[at].0);
            let mut wrap = turn_between(come, go);
            if !wheel.with_ring {
                wrap = -wrap;
            }
            // Ring and cog are wrapped the long way round where they have to be, a pulley never is.
            let end = at == 0 || at == self.tight.len() + 1;
            if end && wrap.re() < 0.0 {
                wrap += TAU;
            }
            let [in_, out] = [before, at].map(tension);
            let (x, y) = (go.x * out - come.x * in_, go.y * out - come.y * in_);
            let cost = bending_loss(in_ + out, tight, wheel.teeth, joints);
            loss += cost * self.inner_efficiency;
            length += runs[at].1 + wheel.teeth * wrap * (PITCH / TAU);
            let foot = wheel.centre.y - pitch_radius(wheel.teeth);
            if foot.re() < lowest.re() {
                lowest = foot;
            }
            let on_axle = (x * x + y * y).sqrt();
            wheels.push(AtWheel { wheel: *wheel, wrap, before: in_, after: out, on_axle, loss: cost });
        }
        let spans = (0..count).map(|at| {
            let touch = |wheel: &Wheel<T>| {
                let outward = FrameVector { x: runs[at].0.y, y: -runs[at].0.x };
                wheel.centre.along(outward, wheel.signed_radius())
            };
            [touch(&way[at]), touch(&way[(at + 1) % count])]
        });
        Laid {
            spans: spans.collect(),
            wheels,
            tight_tension: tight,
            slack_tension: slack,
            length,
            lowest,
            loss,
        }
    }

    /// The same parts turned over: what sat in the slack run sits in the tight one, mirrored about the line from the bottom bracket
    /// to the rear axle, and the other way round.
    #[must_use]
    pub fn turned_over(&self) -> Self {
        let (axle, zero) = (self.cog.centre, T::from(0.0));
        let squared = axle.x * axle.x + axle.y * axle.y;
        let mirror = |wheel: &Wheel<T>| {
            let along = (wheel.centre.x * axle.x + wheel.centre.y * axle.y) / squared * 2.0;
            let centre =
                FramePoint { x: along * axle.x - wheel.centre.x, y: along * axle.y - wheel.centre.y };
            Wheel { centre, ..*wheel }
        };
        let turned = |run: &[Wheel<T>]| run.iter().rev().map(mirror).collect();
        Layout {
            ring: Wheel { centre: FramePoint { x: zero, y: zero }, ..self.ring },
            tight: turned(&self.slack),
            slack: turned(&self.tight),
            ..self.clone()
        }
    }

    /// How often a joint bends or straightens under the tight run's pull on one way round.
    ///
    /// ```
    /// # use knockon_engine::drivetrain::layout::{Layout, Wheel};
    /// # use knockon_engine::geometry::point::FramePoint;
    /// # let wheel = |x: f64, teeth: f64| Wheel { centre: FramePoint { x, y: 0.0 }, teeth, with_ring: true };
    /// # let plain = Layout {
    /// #     ring: wheel(0.0, 20.0), tight: vec![], cog: wheel(-381.0, 20.0), slack: vec![],
    /// #     cranks_per_ring: 1.0, inner_efficiency: 1.0,
    /// # };
    /// assert_eq!(plain.engagements_under_load(), 2); // onto the ring, off the cog
    /// ```
    pub fn engagements_under_load(&self) -> usize {
        2 + 2 * self.tight.len()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::drivetrain::chain_length::around;

    fn at(x: f64, y: f64, teeth: f64, with_ring: bool) -> Wheel<f64> {
        Wheel { centre: FramePoint { x, y }, teeth, with_ring }
    }

    fn derailleur(ring: f64, cog: f64) -> Layout<f64> {
        Layout {
            ring: at(0.0, 0.0, ring, true),
            tight: vec![],
            cog: at(-438.0, 30.0, cog, true),
            slack: vec![at(-428.0, -45.0, 12.0, false), at(-398.0, -130.0, 12.0, true)],
            cranks_per_ring: 1.0,
            inner_efficiency: 1.0,
        }
    }

    const DRY: Joints<f64> = Joints { friction: 0.0, radius: 1.8 };
    const OILED: Joints<f64> = Joints { friction: 0.1, radius: 1.8 };

    #[test]
    fn without_pulleys_it_is_the_open_drive() {
        let mut plain = derailleur(34.0, 17.0);
        plain.slack.clear();
        let centres = 438.0_f64.hypot(30.0);
        assert!((plain.laid(100.0, 0.0, &DRY).length - around(34.0, 17.0, centres)).abs() < 1e-9);
    }

    /// The loop turns once in all, whatever it passes.
    #[test]
    fn wraps_add_up_to_one_turn() {
        let laid = derailleur(32.0, 21.0).laid(100.0, 20.0, &DRY);
        let turns: f64 =
            laid.wheels.iter().map(|at| if at.wheel.with_ring { at.wrap } else { -at.wrap }).sum();
        assert!((turns.abs() - TAU).abs() < 1e-9, "{turns}");
    }

    /// A cage that is turned over carries the pedalling load; upright it carries the tensioner's pull.
    #[test]
    fn a_cage_turned_over_carries_the_load() {
        let layout = derailleur(32.0, 21.0);
        let cage = |laid: &Laid<f64>| {
            let pulleys = laid.wheels.iter().filter(|at| (at.wheel.teeth - 12.0).abs() < 0.1);
            pulleys.map(|at| at.on_axle).fold(0.0_f64, f64::max)
        };
        let (as_built, over) =
            (layout.laid(170.0, 20.0, &OILED), layout.turned_over().laid(170.0, 20.0, &OILED));
        assert!(cage(&as_built) <= 40.0, "no more than twice the tensioner's pull");
        assert!(cage(&over) > 1000.0, "{}", cage(&over));
        assert!(over.loss > as_built.loss);
        let back = layout.turned_over().turned_over();
        for (wheel, same) in layout.slack.iter().zip(&back.slack) {
            assert!((wheel.centre.x - same.centre.x).hypot(wheel.centre.y - same.centre.y) < 1e-9);
        }
    }

    /// Each span touches both of its wheels at a right angle to their radius, and a pulley's axle holds 2·T·sin(wrap/2).
    #[test]
    fn spans_are_tangents_and_axles_hold_both_pulls() {
        let laid = derailleur(32.0, 24.0).laid(120.0, 25.0, &DRY);
        let count = laid.wheels.len();
        for (place, [from, to]) in laid.spans.iter().enumerate() {
            for (point, at) in [(from, &laid.wheels[place]), (to, &laid.wheels[(place + 1) % count])] {
                let radius = [point.x - at.wheel.centre.x, point.y - at.wheel.centre.y];
                let along = (to.x - from.x) * radius[0] + (to.y - from.y) * radius[1];
                assert!(along.abs() < 1e-8);
                assert!((radius[0].hypot(radius[1]) - pitch_radius(at.wheel.teeth)).abs() < 1e-9);
            }
        }
        let pulleys: Vec<&AtWheel<f64>> =
            laid.wheels.iter().filter(|at| (at.before - at.after).abs() < 1e-9).collect();
        assert_eq!(pulleys.len(), 2);
        for at in pulleys {
            assert!((at.on_axle - 2.0 * at.before * (at.wrap / 2.0).sin().abs()).abs() < 1e-9);
        }
    }

    /// 52 × 15 with µ 0.1 and a pin of 1.8 mm: 98.80 %, computed outside of this project from Spicer's expression.
    #[test]
    fn spicers_expression() {
        let mut plain = derailleur(52.0, 15.0);
        plain.slack.clear();
        let efficiency = 1.0 - plain.laid(100.0, 0.0, &OILED).loss;
        assert!((efficiency - 0.9880).abs() < 5e-5, "{efficiency}");
    }

    proptest! {
        /// An idler in the tight run costs, and the smaller it is, the more.
        #[test]
        fn an_idler_costs(teeth in 12.0..20.0_f64, more in 1.0..4.0) {
            let with = |teeth| {
                let mut layout = derailleur(32.0, 21.0);
                layout.tight.push(at(-40.0, 160.0, teeth, true));
                layout.laid(150.0, 20.0, &OILED).loss
            };
            prop_assert!(with(teeth) > with(teeth + more));
            prop_assert!(with(teeth + more) > derailleur(32.0, 21.0).laid(150.0, 20.0, &OILED).loss);
        }

        #[test]
        fn a_gearbox_in_a_low_gear_pulls_harder(cranks in 0.5..1.0) {
            let mut layout = derailleur(32.0, 21.0);
            let plain = layout.laid(100.0, 20.0, &OILED).tight_tension;
            layout.cranks_per_ring = cranks;
            prop_assert!((layout.laid(100.0, 20.0, &OILED).tight_tension - plain * cranks).abs() < 1e-9);
        }
    }
}
