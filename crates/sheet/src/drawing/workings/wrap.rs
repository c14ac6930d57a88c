//! The chain on a wheel.

use std::f64::consts::TAU;

use kurbo::{Affine, BezPath, Circle, Point, Vec2};

use super::layouts::runs;
use crate::part::LaidOut;

/// The arc of a wheel that the chain lies on.
pub(super) struct Wrap {
    wheel: Circle,
    first: f64,
    sweep: f64,
    /// Of the runs at its two ends.
    pub(super) pulls: [f64; 2],
}

impl Wrap {
    /// Each of the two runs that touch a wheel goes on in the arc without a bend; none where there are not two.
    pub(super) fn of(wheel: Circle, layout: &LaidOut) -> Option<Self> {
        let near = |at: Point| (at.distance(wheel.center) - wheel.radius).abs() < 0.02 * wheel.radius + 0.5;
        let ends = runs(layout).flat_map(|(from, to, pull)| [(from, to, pull), (to, from, pull)]);
        let touching: Vec<_> = ends.filter(|(at, ..)| near(*at)).collect();
        let [(start, beyond, one), (end, _, other)] = touching[..] else { return None };
        let (first, last) = ((start - wheel.center).atan2(), (end - wheel.center).atan2());
        let turns_left = (start - wheel.center).cross(start - beyond) > 0.0;
        let sweep = if turns_left { (last - first).rem_euclid(TAU) } else { -(first - last).rem_euclid(TAU) };
        // Nearly all round: the chain passes the wheel without bending.
        (sweep.abs() < 0.9 * TAU).then_some(Self { wheel, first, sweep, pulls: [one, other] })
    }

    /// A place on it, so much outside the pitch circle.
    pub(super) fn at(&self, share: f64, outside: f64) -> Point {
        self.wheel.center + Vec2::from_angle(self.first + self.sweep * share) * (self.wheel.radius + outside)
    }

    pub(super) fn shares() -> impl DoubleEndedIterator<Item = f64> {
        (0..=24).map(|place| f64::from(place) / 24.0)
    }

    /// Its outline: each tooth takes some of the pull, so that the chain's width goes over from one run's to the other's.
    pub(super) fn tapered(&self, widths: [f64; 2], scale: f64, map: Affine) -> BezPath {
        let halves = widths.map(|width| width / 2.0 / scale);
        let half = |share: f64| halves[0] + (halves[1] - halves[0]) * share;
        let outer = Self::shares().map(|share| self.at(share, half(share)));
        let inner = Self::shares().rev().map(|share| self.at(share, -half(share)));
        let mut path = BezPath::new();
        for (place, at) in outer.chain(inner).enumerate() {
            if place == 0 { path.move_to(at) } else { path.line_to(at) }
        }
        path.close_path();
        map * path
    }
}
