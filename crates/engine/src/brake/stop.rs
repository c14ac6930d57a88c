//! What stops a bike: where it tips over, where its tyres slide.
//!
//! Decelerations are m/s² along the road. A slope is the angle of the road, radians between −π/2 and π/2, positive downhill, 0
//! on the flat.
//!
//! Rider and bike are one rigid body on two wheels whose tyres keep to one coefficient of friction. Left out: the drag of air
//! and tyres, wheels that spin, suspension that dives, the rider who moves back. Source of the balances: statics (d'Alembert).

use super::{none_negative, only_if};
use crate::Scalar;
use crate::all_above_zero;
use crate::suspension::sag::GRAVITY;

/// Where the centre of mass of rider and bike together is.
///
/// All three are taken along the road and square to it, as the bike measures on the flat. Where a number is unknown (NaN), the
/// height or the wheelbase not above 0 or the centre not between the wheels, results are NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load<T> {
    /// How far the centre of mass is behind the front tyre's contact, mm: at least 0, at most [`Load::wheelbase`].
    pub to_front: T,
    /// How high it is above the ground, mm above 0: 1000 to 1150 with a rider (from memory, unverified).
    pub height: T,
    /// Distance between both tyres' contacts, mm above 0.
    pub wheelbase: T,
}

impl<T: Scalar> Load<T> {
    /// Deceleration at which the rear wheel lifts, m/s². Negative on a slope that tips the bike over as it stands.
    ///
    /// `g·(cos θ·x/h − sin θ)`. Source: moments about the front contact.
    ///
    /// ```
    /// use knockon_engine::brake::stop::Load;
    /// let load = Load { to_front: 600.0_f64, height: 1200.0, wheelbase: 1000.0 };
    /// assert!((load.tip_over(0.0) - 9.806_65 / 2.0).abs() < 1e-12);
    /// // A slope of 1 in 2 takes all of it: tan θ = x/h.
    /// assert!(load.tip_over(0.5_f64.atan()).abs() < 1e-12);
    /// ```
    pub fn tip_over(&self, slope: T) -> T {
        self.where_sound(slope, T::from(0.0), || {
            slope.cos() * self.to_front / self.height * GRAVITY - slope.sin() * GRAVITY
        })
    }

    /// Share of the load that is on the front wheel at a deceleration, m/s² (negative: acceleration), a plain number.
    ///
    /// Above 1 beyond [`Load::tip_over`], negative where the front wheel would lift: neither can last.
    ///
    /// `1 − x/w + (a + g·sin θ)·h/(g·cos θ·w)`. Source: moments about the rear contact.
    ///
    /// ```
    /// use knockon_engine::brake::stop::Load;
    /// let load = Load { to_front: 600.0_f64, height: 1200.0, wheelbase: 1000.0 };
    /// assert!((load.front_share(0.0, 0.0) - 0.4).abs() < 1e-12);
    /// assert!((load.front_share(9.806_65 / 4.0, 0.0) - 0.7).abs() < 1e-12); // 0.4 + 0.25 · 1200/1000
    /// ```
    pub fn front_share(&self, deceleration: T, slope: T) -> T {
        self.where_sound(slope, T::from(0.0), || {
            let carried = -(self.to_front / self.wheelbase) + 1.0;
            carried + held(deceleration, slope) * self.height / (slope.cos() * self.wheelbase * GRAVITY)
        })
    }

    /// Most deceleration with both brakes, m/s², at a coefficient of friction between tyres and road, a plain number of at
    /// least 0.
    ///
    /// Both tyres are about to slide, `g·(µ·cos θ − sin θ)`, or the rear wheel lifts before ([`Load::tip_over`]).
    /// Negative on a slope that the tyres do not hold.
    ///
    /// ```
    /// use knockon_engine::brake::stop::Load;
    /// let load = Load { to_front: 600.0_f64, height: 1200.0, wheelbase: 1000.0 };
    /// assert!((load.both(0.3, 0.0) - 0.3 * 9.806_65).abs() < 1e-12);
    /// assert!((load.both(0.8, 0.0) - 0.5 * 9.806_65).abs() < 1e-12); // tips over
    /// ```
    pub fn both(&self, grip: T, slope: T) -> T {
        if self.tips_first(grip) {
            return self.tip_over(slope);
        }
        self.where_sound(slope, grip, || free(grip * slope.cos() * GRAVITY, slope))
    }

    /// Most deceleration with the front brake alone, m/s², at a coefficient of friction, a plain number of at least 0.
    ///
    /// The front tyre is about to slide, `µ·g·cos θ·(w − x)/(w − µ·h) − g·sin θ`, or the rear wheel lifts before.
    /// Source: moments about the rear contact, with the friction on the front wheel's load.
    ///
    /// ```
    /// use knockon_engine::brake::stop::Load;
    /// let load = Load { to_front: 600.0_f64, height: 1200.0, wheelbase: 1000.0 };
    /// assert!((load.front_only(0.25, 0.0) - 9.806_65 / 7.0).abs() < 1e-12); // 0.25 · 400/(1000 − 300)
    /// assert!((load.front_only(0.8, 0.0) - 0.5 * 9.806_65).abs() < 1e-12); // tips over
    /// ```
    pub fn front_only(&self, grip: T, slope: T) -> T {
        // Both wheels' and the front one's grip come to the tip-over at the same coefficient: the rear wheel is then empty.
        if self.tips_first(grip) {
            return self.tip_over(slope);
        }
        self.where_sound(slope, grip, || {
            let share = (self.wheelbase - self.to_front) / (self.wheelbase - grip * self.height);
            free(grip * slope.cos() * share * GRAVITY, slope)
        })
    }

    /// Most deceleration with the rear brake alone, m/s², at a coefficient of friction, a plain number of at least 0.
    ///
    /// `µ·g·cos θ·x/(w + µ·h) − g·sin θ`: braking takes load off that wheel. Source: moments about the front contact, with the
    /// friction on the rear wheel's load.
    ///
    /// ```
    /// use knockon_engine::brake::stop::Load;
    /// let load = Load { to_front: 600.0_f64, height: 1200.0, wheelbase: 1000.0 };
    /// assert!((load.rear_only(0.5, 0.0) - 0.1875 * 9.806_65).abs() < 1e-12); // 0.5 · 600/(1000 + 600)
    /// ```
    pub fn rear_only(&self, grip: T, slope: T) -> T {
        self.where_sound(slope, grip, || {
            let share = self.to_front / (self.wheelbase + grip * self.height);
            free(grip * slope.cos() * share * GRAVITY, slope)
        })
    }

    /// Whether the rear wheel lifts before the tyres slide.
    fn tips_first(&self, grip: T) -> bool {
        grip.re() * self.height.re() >= self.to_front.re() && grip.re().is_finite()
    }

    fn where_sound(&self, slope: T, grip: T, result: impl FnOnce() -> T) -> T {
        let sound = all_above_zero(&[self.height, self.wheelbase])
            && none_negative(&[self.to_front, self.wheelbase - self.to_front, grip])
            && slope.re().abs() < std::f64::consts::FRAC_PI_2;
        only_if(sound, result)
    }
}

/// What of a braking force per mass is left on a slope after gravity took its part, m/s².
fn free<T: Scalar>(braking: T, slope: T) -> T {
    braking - slope.sin() * GRAVITY
}

/// Braking force per mass that a deceleration takes on a slope, m/s².
fn held<T: Scalar>(deceleration: T, slope: T) -> T {
    deceleration + slope.sin() * GRAVITY
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix3, Vector2, Vector3};
    use proptest::prelude::*;

    fn load() -> impl Strategy<Value = Load<f64>> {
        (900.0..1400.0, 0.2..0.8, 600.0..1300.0).prop_map(|(wheelbase, share, height)| Load {
            to_front: wheelbase * share,
            height,
            wheelbase,
        })
    }

    /// A body of 1 kg in the world's axes: both contacts' forces and gravity accelerate it against its way and do not turn it.
    /// The contacts' forces are given per unknown; solved are both unknowns and the deceleration.
    fn balance(slope: f64, forces: [(Vector2<f64>, Vector2<f64>); 2]) -> Vector3<f64> {
        let (along, _) = axes(slope);
        let [(at, first), (on, second)] = forces;
        let rows = Matrix3::new(
            first.x,
            second.x,
            along.x,
            first.y,
            second.y,
            along.y,
            at.perp(&first),
            on.perp(&second),
            0.0,
        );
        rows.lu().solve(&Vector3::new(0.0, GRAVITY, 0.0)).unwrap()
    }

    /// Loads on the front and the rear wheel and the deceleration where each wheel's friction is this part of its load.
    fn sliding(load: &Load<f64>, slope: f64, front: f64, rear: f64) -> Vector3<f64> {
        let (along, up) = axes(slope);
        let from_centre = |ahead: f64| along * ahead - up * load.height;
        balance(
            slope,
            [
                (from_centre(load.to_front), up - along * front),
                (from_centre(load.to_front - load.wheelbase), up - along * rear),
            ],
        )
    }

    fn axes(slope: f64) -> (Vector2<f64>, Vector2<f64>) {
        (Vector2::new(slope.cos(), -slope.sin()), Vector2::new(slope.sin(), slope.cos()))
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn decelerations_balance_a_rigid_body(load in load(), slope in -0.4..0.4, grip in 0.05..1.5) {
            // With the rear wheel in the air the front contact has load and friction, whatever they are.
            let (along, up) = axes(slope);
            let front = along * load.to_front - up * load.height;
            let tipping = balance(slope, [(front, up), (front, -along)])[2];
            prop_assert!((load.tip_over(slope) - tipping).abs() < 1e-9);

            for (ours, front, rear) in [
                (load.both(grip, slope), grip, grip),
                (load.front_only(grip, slope), grip, 0.0),
                (load.rear_only(grip, slope), 0.0, grip),
            ] {
                let slides = grip < load.to_front / load.height || front == 0.0;
                if !slides {
                    prop_assert!((ours - tipping).abs() < 1e-9);
                    continue;
                }
                let [on_front, on_rear, deceleration] = sliding(&load, slope, front, rear).into();
                prop_assert!(on_rear > 0.0);
                prop_assert!((ours - deceleration).abs() < 1e-9);
                let share = on_front / (on_front + on_rear);
                prop_assert!((load.front_share(ours, slope) - share).abs() < 1e-9);
            }
        }

        /// One wheel alone never stops a bike harder than both, nor both harder than it takes to tip over.
        #[test]
        fn both_brakes_do_most(load in load(), slope in -0.4..0.4, grip in 0.0..1.5) {
            let both = load.both(grip, slope);
            prop_assert!(both <= load.tip_over(slope) + 1e-12);
            prop_assert!(load.front_only(grip, slope) <= both + 1e-12);
            prop_assert!(load.rear_only(grip, slope) <= both + 1e-12);
        }
    }

    /// Riel, Maximal Braking on a Standard Bicycle, 2005: 0.7 g on the level is 0.6 g down a grade of 10 % (a rounded figure;
    /// the paper counts the slope positive uphill).
    #[test]
    fn a_slope_takes_what_was_published() {
        let load = Load { to_front: 700.0, height: 1000.0, wheelbase: 1100.0 };
        assert!((load.tip_over(0.0) / GRAVITY - 0.7).abs() < 1e-12);
        assert!((load.tip_over(0.1_f64.atan()) / GRAVITY - 0.6).abs() < 0.005);
    }

    #[test]
    fn the_rear_wheel_is_empty_where_it_lifts() {
        let load = Load { to_front: 620.0, height: 1110.0, wheelbase: 1180.0 };
        for slope in [-0.2, 0.0, 0.3_f64] {
            assert!((load.front_share(load.tip_over(slope), slope) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_unknown_or_absurd_is_nan() {
        let load = Load { to_front: 600.0, height: 1100.0, wheelbase: 1100.0 };
        let behind = Load { to_front: 1200.0, ..load };
        let unknown = Load { height: f64::NAN, ..load };
        for it in [behind, unknown] {
            assert!(it.tip_over(0.0).is_nan() && it.front_share(1.0, 0.0).is_nan());
            for grip in [0.3, 1.2] {
                assert!(it.both(grip, 0.0).is_nan());
                assert!(it.front_only(grip, 0.0).is_nan() && it.rear_only(grip, 0.0).is_nan());
            }
        }
        for grip in [f64::NAN, -0.1, f64::INFINITY] {
            assert!(load.both(grip, 0.0).is_nan() && load.front_only(grip, 0.0).is_nan());
        }
        assert!(load.tip_over(2.0).is_nan());
    }
}
