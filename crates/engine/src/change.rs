//! What one step does to a bike.

use crate::Scalar;
use crate::bike::{Bike, Parameter};

/// One change, in the engine's terms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step<T> {
    /// The parameter gets a new value (mm or radians).
    Set(Parameter, T),
    /// The parameter moves by this much (mm or radians).
    By(Parameter, T),
    /// A tyre with this nominal width on a rim with this bead seat radius, mm.
    Tyre {
        /// Which wheel.
        wheel: Wheel,
        /// Bead seat radius, mm.
        bead_seat_radius: T,
        /// Nominal section width, mm.
        width: T,
    },
}

/// Front or rear.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Wheel {
    Front,
    Rear,
}

/// Height of an inflated tyre above its bead seat, mm: its width, and 2.5 mm more below 28 mm, times the ratio that
/// real tyres keep to it. Source: ISO 5775-1 (older edition, as summarised in public encyclopaedias).
///
/// ```
/// use knockon_engine::change::section_height;
/// assert_eq!(622.0 + 2.0 * section_height(25.0, 1.0), 677.0); // 25-622 → 677 mm over the tyre
/// assert_eq!(622.0 + 2.0 * section_height(37.0, 1.0), 696.0);
/// ```
pub fn section_height<T: Scalar>(width: T, ratio: T) -> T {
    if width < 28.0 { (width + 2.5) * ratio } else { width * ratio }
}

impl<T: Scalar> Bike<T> {
    /// The bike after all `steps`, in order.
    ///
    /// Steps drag along what they carry: fork travel moves axle to crown one for one unless a step sets that itself;
    /// an angled headset turns the steering axis; a shorter shock lifts the rear axle by the leverage ratio; a shorter
    /// stroke stops the same suspension curve earlier.
    ///
    /// ```
    /// # use knockon_engine::{bike::{Bike, Parameter}, change::Step};
    /// let mut bike = Bike::unknown();
    /// (bike.fork_travel, bike.axle_to_crown) = (160.0, 556.0);
    /// let after = bike.after(&[Step::By(Parameter::ForkTravel, 10.0)]);
    /// assert_eq!((after.fork_travel, after.axle_to_crown), (170.0, 566.0));
    /// ```
    #[must_use]
    pub fn after(&self, steps: &[Step<T>]) -> Self {
        let mut bike = *self;
        let length_is_given = steps.iter().any(|step| step.touches(Parameter::AxleToCrown));
        for step in steps {
            match *step {
                Step::Set(parameter, value) => bike.change(parameter, value, length_is_given),
                Step::By(parameter, by) => {
                    let value = *bike.get(parameter) + by;
                    bike.change(parameter, value, length_is_given);
                }
                Step::Tyre { wheel, bead_seat_radius, width } => {
                    let radius = bead_seat_radius + section_height(width, bike.section_ratio);
                    let (old_radius, old_width) = match wheel {
                        Wheel::Front => (&mut bike.front_radius, &mut bike.front_tyre_width),
                        Wheel::Rear => (&mut bike.rear_radius, &mut bike.rear_tyre_width),
                    };
                    (*old_radius, *old_width) = (radius, width);
                }
            }
        }
        bike
    }

    fn change(&mut self, parameter: Parameter, new: T, length_is_given: bool) {
        let old = *self.get(parameter);
        match parameter {
            Parameter::ForkTravel if !length_is_given => {
                self.axle_to_crown += new - old;
            }
            Parameter::HeadsetAngle => self.headset_turn += new - old,
            Parameter::EyeToEye => {
                let ratio = self.rear_travel / self.shock_stroke * self.leverage_at_start;
                self.rear_axle_lift += (old - new) * ratio;
            }
            Parameter::ShockStroke => {
                let mean = self.rear_travel / old;
                self.rear_travel += (new - old) * mean * self.leverage_at_end;
                // The mean is another one now, over the same curve: what is told relative to it moves against it.
                let shift = mean / (self.rear_travel / new);
                self.leverage_at_start *= shift;
                self.leverage_at_end *= shift;
            }
            _ => {}
        }
        *self.get_mut(parameter) = new;
    }
}

impl<T> Step<T> {
    /// Whether the step sets or moves `parameter` by name.
    pub fn touches(&self, parameter: Parameter) -> bool {
        match self {
            Step::Set(set, _) | Step::By(set, _) => *set == parameter,
            Step::Tyre { wheel: Wheel::Front, .. } => {
                matches!(parameter, Parameter::FrontRadius | Parameter::FrontTyreWidth)
            }
            Step::Tyre { wheel: Wheel::Rear, .. } => {
                matches!(parameter, Parameter::RearRadius | Parameter::RearTyreWidth)
            }
        }
    }

    /// The numbers that the step holds, in the order in which [`Step::map`] meets them.
    pub fn numbers(&self) -> Vec<&T> {
        match self {
            Step::Set(_, number) | Step::By(_, number) => vec![number],
            Step::Tyre { bead_seat_radius, width, .. } => vec![bead_seat_radius, width],
        }
    }

    /// The same step with its numbers converted.
    pub fn map<U>(&self, mut convert: impl FnMut(&T) -> U) -> Step<U> {
        match self {
            Step::Set(parameter, value) => Step::Set(*parameter, convert(value)),
            Step::By(parameter, by) => Step::By(*parameter, convert(by)),
            Step::Tyre { wheel, bead_seat_radius, width } => Step::Tyre {
                wheel: *wheel,
                bead_seat_radius: convert(bead_seat_radius),
                width: convert(width),
            },
        }
    }
}
