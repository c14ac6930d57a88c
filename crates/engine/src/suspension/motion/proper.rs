//! Whether a linkage's places are any.

use crate::Scalar;
use crate::geometry::point::FramePoint;
use crate::suspension::linkage::{JointKind, Linkage, Stuck};

use super::drawn::between;

/// What the points span.
#[derive(Clone, Copy)]
pub struct Span {
    least: [f64; 2],
    most: [f64; 2],
}

impl Default for Span {
    fn default() -> Self {
        Span { least: [f64::INFINITY; 2], most: [f64::NEG_INFINITY; 2] }
    }
}

impl Span {
    /// Widens it to a point; false where that is not finite.
    pub fn take<T: Scalar>(&mut self, point: &FramePoint<T>) -> bool {
        let at = [point.x.re(), point.y.re()];
        for (axis, value) in at.into_iter().enumerate() {
            self.least[axis] = self.least[axis].min(value);
            self.most[axis] = self.most[axis].max(value);
        }
        at.iter().all(|value| value.is_finite())
    }

    /// Its diagonal and its farthest coordinate.
    pub fn size(&self) -> (f64, f64) {
        let [x, y] = [0, 1].map(|axis| self.most[axis] - self.least[axis]);
        let far = self.least.iter().chain(&self.most).fold(0.0_f64, |far, value| far.max(value.abs()));
        (x.hypot(y), far)
    }
}

/// Refuses a link whose two pivots coincide and that carries no eye: it turns idly and guides nothing.
///
/// # Errors
/// [`Stuck::Misplaced`] for the second of the two joints.
pub fn idle_link<T: Scalar>(linkage: &Linkage<T>, size: f64) -> Result<(), Stuck> {
    let layout = &*linkage.layout;
    for body in 1..layout.bodies {
        let mut on_it = layout.joints.iter().enumerate().filter(|(_, joint)| joint.bodies.contains(&body));
        if let (Some((_, one)), Some((index, two)), None) = (on_it.next(), on_it.next(), on_it.next()) {
            let kinds = [one.kind, two.kind].map(|kind| kind == JointKind::Pivot);
            let gap = between(linkage.points[one.point], linkage.points[two.point]);
            let short = gap.x.re().hypot(gap.y.re()) < 1e-9 * size;
            if kinds == [true; 2] && short && layout.eyes.iter().all(|eye| eye.body != body) {
                return Err(Stuck::Misplaced { joint: Some(index) });
            }
        }
    }
    Ok(())
}
