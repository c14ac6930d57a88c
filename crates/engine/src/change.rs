//! What one step does to a bike.

use crate::Scalar;
use crate::bike::{Bike, Parameter};
use crate::suspension::linkage::Linkage;
use crate::suspension::rear::{stroke, stroke_for_travel};

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
    /// A point of the linkage lies elsewhere in the drawn pose; the shock keeps its length.
    Move {
        /// Which one.
        point: LinkagePoint,
        /// Forward, mm.
        x: T,
        /// Upward, mm.
        y: T,
    },
    /// A chip at a pivot of the linkage: its hole moves in one of the two parts that it joins, the drawn pose with it; the shock
    /// keeps its length.
    Hole {
        /// Place of the joint in [`Layout::joints`](crate::suspension::linkage::Layout::joints).
        joint: usize,
        /// The part that the chip is in.
        body: usize,
        /// Forward, mm.
        x: T,
        /// Upward, mm.
        y: T,
    },
    /// Other rings, cogs or inner gears.
    Row {
        /// Which row.
        row: Row,
        /// Smallest: teeth, or a ratio.
        least: T,
        /// Largest.
        most: T,
        /// How many there are; NaN where nobody told.
        count: T,
        /// Distance between neighbours, middle to middle, mm; of no consequence for inner gears.
        spacing: T,
    },
    /// The chain runs straight from ring to cog, past the idlers.
    NoIdlers,
    /// Something that was said and changes nothing by itself.
    Nothing,
}

/// A row of a drivetrain's wheels or gears.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Row {
    /// The rings.
    Rings,
    /// The cogs.
    Cogs,
    /// The gears of a hub or gearbox.
    Inner,
}

/// A point of a linkage that a change can move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LinkagePoint {
    /// By its place in [`Linkage::points`].
    Listed(usize),
    /// The rear axle.
    Axle,
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
    /// The bike after all `steps`, in order; nobody has measured its linkage.
    ///
    /// Steps drag along what they carry: fork travel moves axle to crown one for one unless a step sets that itself;
    /// an angled headset turns the steering axis; a shorter shock lifts the rear axle by the leverage ratio; a shorter
    /// stroke stops the same suspension curve earlier, whether another shock or a spacer in it does that; less rear travel
    /// is such a spacer.
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
        self.after_on(None, steps).0
    }

    /// [`Bike::after`] with a measured linkage, and that linkage after the steps. Where the steps leave a linkage that
    /// cannot be put together, the rear axle is NaN.
    #[must_use]
    pub fn after_on(&self, linkage: Option<&Linkage<T>>, steps: &[Step<T>]) -> (Self, Option<Linkage<T>>) {
        let mut bike = *self;
        let mut linkage = linkage.cloned();
        let length_is_given = steps.iter().any(|step| step.touches(Parameter::AxleToCrown));
        for step in steps {
            match *step {
                Step::Set(parameter, value) => {
                    bike.change(linkage.as_ref(), parameter, value, length_is_given);
                }
                Step::By(parameter, by) => {
                    let value = bike.present(linkage.as_ref(), parameter) + by;
                    bike.change(linkage.as_ref(), parameter, value, length_is_given);
                }
                Step::Tyre { wheel, bead_seat_radius, width } => {
                    let radius = bead_seat_radius + section_height(width, bike.section_ratio);
                    let (old_radius, old_width) = match wheel {
                        Wheel::Front => (&mut bike.front_radius, &mut bike.front_tyre_width),
                        Wheel::Rear => (&mut bike.rear_radius, &mut bike.rear_tyre_width),
                    };
                    (*old_radius, *old_width) = (radius, width);
                }
                Step::Move { point, x, y } => {
                    if let Some(linkage) = &mut linkage {
                        bike.shock_start += linkage.moved(point, x, y);
                    }
                }
                Step::Hole { joint, body, x, y } => {
                    linkage = linkage.map(|linkage| {
                        linkage
                            .rehung(joint, body, x, y)
                            .unwrap_or_else(|_| linkage.map(|_| T::from(f64::NAN)))
                    });
                }
                Step::Row { row, least, most, count, spacing } => {
                    bike.put_row(row, [least, most], count, spacing);
                }
                Step::NoIdlers => linkage = linkage.map(Linkage::without_idlers),
                Step::Nothing => {}
            }
        }
        if let Some(linkage) = &linkage
            && steps.iter().any(Step::moves_the_rear)
        {
            bike.put_rear_axle(linkage);
        }
        (bike, linkage)
    }

    /// Other rings, cogs or inner gears. Of a single ring or cog the chain is on that one; of several it is told apart.
    fn put_row(&mut self, row: Row, [least, most]: [T; 2], count: T, spacing: T) {
        let single = count == T::from(1.0);
        match row {
            Row::Rings => {
                (self.ring_smallest, self.ring_largest, self.ring_count) = (least, most, count);
                self.ring_spacing = spacing;
                if single {
                    self.ring = most;
                }
            }
            Row::Cogs => {
                (self.cog_smallest, self.cog_largest, self.cog_count) = (least, most, count);
                self.cog_spacing = spacing;
                if single {
                    self.cog = most;
                }
            }
            Row::Inner => (self.inner_lowest, self.inner_highest) = (least, most),
        }
    }

    /// The rear travel comes from the linkage where there is one.
    fn present(&self, linkage: Option<&Linkage<T>>, parameter: Parameter) -> T {
        match (parameter, linkage) {
            (Parameter::RearTravel, Some(linkage)) => linkage.travel(self),
            _ => *self.get(parameter),
        }
    }

    fn change(&mut self, linkage: Option<&Linkage<T>>, parameter: Parameter, new: T, length_is_given: bool) {
        let old = *self.get(parameter);
        match parameter {
            Parameter::ForkTravel if !length_is_given => {
                self.axle_to_crown += new - old;
            }
            // The only ring or cog is the one that the chain is on.
            Parameter::Ring if self.ring_count == T::from(1.0) => {
                (self.ring_smallest, self.ring_largest) = (new, new);
            }
            Parameter::Cog if self.cog_count == T::from(1.0) => {
                (self.cog_smallest, self.cog_largest) = (new, new);
            }
            Parameter::HeadsetAngle => self.headset_turn += new - old,
            Parameter::EyeToEye => self.shorten_shock(old - new),
            Parameter::BushingOffset => self.shorten_shock(new - old),
            Parameter::ShockStroke => self.cut_stroke(new - self.shock_spacer),
            Parameter::ShockSpacer => self.cut_stroke(self.shock_stroke - new),
            Parameter::RearTravel => {
                let left = match linkage {
                    Some(linkage) => stroke_for_travel(self, linkage, new),
                    None => stroke(self) + (new - old) / (old / stroke(self) * self.leverage_at_end),
                };
                self.cut_stroke(left);
                self.shock_spacer = self.shock_stroke - left;
            }
            _ => {}
        }
        *self.get_mut(parameter) = new;
    }

    /// The shock, fully extended, holds its mounts `by` mm nearer to each other.
    fn shorten_shock(&mut self, by: T) {
        self.shock_start += by;
        self.rear_axle_lift += by * (self.rear_travel / stroke(self) * self.leverage_at_start);
    }

    /// The shock stops after `new` mm instead of its present stroke, on the same curve.
    fn cut_stroke(&mut self, new: T) {
        let old = stroke(self);
        let mean = self.rear_travel / old;
        self.rear_travel += (new - old) * mean * self.leverage_at_end;
        // The mean is another one now, over the same curve: what is told relative to it moves against it.
        let shift = mean / (self.rear_travel / new);
        self.leverage_at_start *= shift;
        self.leverage_at_end *= shift;
    }

    /// The rear axle where the linkage holds it with the shock fully extended.
    fn put_rear_axle(&mut self, linkage: &Linkage<T>) {
        let unknown = T::from(f64::NAN);
        let axle = linkage.pose(self.shock_start).map(|pose| pose.axle);
        let (x, y) = axle.map_or((unknown, unknown), |axle| (axle.x, axle.y));
        self.rear_axle_lift = y - self.bottom_bracket_drop;
        self.rear_axle_shift = x + (self.chainstay * self.chainstay - y * y).sqrt();
    }
}

impl<T> Step<T> {
    /// Whether the step can move the rear axle in frame axes.
    fn moves_the_rear(&self) -> bool {
        matches!(self, Step::Move { .. } | Step::Hole { .. })
            || self.touches(Parameter::EyeToEye)
            || self.touches(Parameter::BushingOffset)
    }

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
            Step::Move { .. } | Step::Hole { .. } | Step::Row { .. } | Step::NoIdlers | Step::Nothing => {
                false
            }
        }
    }

    /// The numbers that the step holds, in the order in which [`Step::map`] meets them.
    pub fn numbers(&self) -> Vec<&T> {
        match self {
            Step::Set(_, number) | Step::By(_, number) => vec![number],
            Step::Tyre { bead_seat_radius, width, .. } => vec![bead_seat_radius, width],
            Step::Move { x, y, .. } | Step::Hole { x, y, .. } => vec![x, y],
            Step::Row { least, most, count, spacing, .. } => vec![least, most, count, spacing],
            Step::NoIdlers | Step::Nothing => Vec::new(),
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
            Step::Move { point, x, y } => Step::Move { point: *point, x: convert(x), y: convert(y) },
            Step::Hole { joint, body, x, y } => {
                Step::Hole { joint: *joint, body: *body, x: convert(x), y: convert(y) }
            }
            Step::Row { row, least, most, count, spacing } => Step::Row {
                row: *row,
                least: convert(least),
                most: convert(most),
                count: convert(count),
                spacing: convert(spacing),
            },
            Step::NoIdlers => Step::NoIdlers,
            Step::Nothing => Step::Nothing,
        }
    }
}
