//! The quantities that ask how the suspension moves: over the whole stroke, and at sag.

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::FramePoint;
use crate::quantity::{Quantities, Quantity};

use super::chain::{Pulleys, kickback};
use super::curve::{Curve, position_at};
use super::linkage::Linkage;
use super::placed::Placed;
use super::rear::{RearAxle, stroke};
use super::sag::Rests;
use super::spring;

/// Fills in the quantities that ask how the suspension moves, where the bike rests and where frame and hand are with the fork
/// extended being known. What the bike does not suffice for, and what lies where the linkage cannot go, stays NaN.
pub(crate) fn ride<T: Scalar>(
    placed: &Placed<'_, T>,
    grip: FramePoint<T>,
    rests: Option<&Rests>,
    quantities: &mut Quantities<T>,
) {
    let (bike, linkage) = (placed.bike, placed.linkage);
    let Ok(start) = RearAxle::at(bike, linkage, T::from(0.0)) else {
        quantities[Quantity::RearTravel as usize] = T::from(f64::NAN);
        return;
    };
    over_the_stroke(bike, linkage, &start, quantities);
    if let Some(rests) = rests {
        at_sag(placed, grip, &start, rests, quantities);
    }
}

/// `start` is the axle at full extension.
fn over_the_stroke<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    start: &RearAxle<T>,
    quantities: &mut Quantities<T>,
) {
    let stroke = stroke(bike);
    if !stroke.re().is_finite() {
        return;
    }
    let mut put = |quantity: Quantity, value: T| quantities[quantity as usize] = value;
    put(Quantity::InnerSpacer, bike.shock_stroke - stroke);
    let Ok(axle) = RearAxle::at(bike, linkage, stroke) else {
        put(Quantity::RearTravel, T::from(f64::NAN));
        return;
    };
    let travel = axle.place.y - start.place.y;
    put(Quantity::RearTravel, travel);
    put(Quantity::LeverageMean, travel / stroke);
    put(Quantity::Progression, (start.velocity.y - axle.velocity.y) / start.velocity.y);
    if let Some(spring) = spring::shock(bike) {
        put(Quantity::WheelForceAtEnd, spring.force(stroke) / axle.velocity.y);
    }
    if let (Some(linkage), Some(first), Some(last)) = (linkage, &start.pose, &axle.pose) {
        let pulleys = Pulleys::new(bike, linkage);
        let (first, last) = (pulleys.chain(linkage, first), pulleys.chain(linkage, last));
        put(Quantity::PedalKickback, kickback(last.growth(&first), pulleys.ring_radius()));
        put(Quantity::ChainGrowth, last.loop_growth(&first));
    }
}

fn at_sag<T: Scalar>(
    placed: &Placed<'_, T>,
    grip: FramePoint<T>,
    start: &RearAxle<T>,
    rests: &Rests,
    quantities: &mut Quantities<T>,
) {
    let (bike, linkage) = (placed.bike, placed.linkage);
    let Ok([shock, fork]) = rests.compressions(placed) else { return };
    let zero = T::from(0.0);
    let (fork_is_rigid, rear_is_rigid) = (bike.fork_travel == zero, bike.shock_sag == zero);
    let mut put = |quantity: Quantity, value: T| quantities[quantity as usize] = value;
    if !fork_is_rigid {
        put(Quantity::ForkSag, fork);
    }
    if !rear_is_rigid {
        put(Quantity::ShockSag, shock / stroke(bike));
        let told = bike.shock_pressure.re().is_finite() && !bike.coil_rate.re().is_finite();
        let (quantity, wanted) = if told {
            (Quantity::PressureForSag, rests.pressure(placed))
        } else {
            (Quantity::CoilRateForSag, rests.coil_rate(placed))
        };
        put(quantity, wanted.unwrap_or(T::from(f64::NAN)));
    }
    if !fork_is_rigid && let Some(wanted) = rests.in_fork(placed) {
        let quantity = if bike.fork_coil_rate.re().is_finite() {
            Quantity::ForkCoilRateForSag
        } else {
            Quantity::ForkPressureForSag
        };
        put(quantity, wanted.unwrap_or(T::from(f64::NAN)));
    }
    if fork_is_rigid && rear_is_rigid {
        return;
    }
    let Ok(axle) = RearAxle::at(bike, linkage, shock) else { return };
    let here = position_at(placed, grip, [start, &axle], shock, fork);
    let of = |curve: Curve| here[curve as usize];
    put(Quantity::HeadAngleAtSag, of(Curve::HeadAngle));
    put(Quantity::TrailAtSag, of(Curve::Trail));
    put(Quantity::BottomBracketHeightAtSag, of(Curve::BottomBracketHeight));
    put(Quantity::GripStackAtSag, of(Curve::GripStack));
    put(Quantity::GripReachAtSag, of(Curve::GripReach));
    if !rear_is_rigid {
        put(Quantity::RearSag, of(Curve::Travel));
        put(Quantity::AntiSquatAtSag, of(Curve::AntiSquat));
        put(Quantity::AntiRiseAtSag, of(Curve::AntiRise));
    }
}
