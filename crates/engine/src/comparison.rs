//! Before and after: every quantity and every margin, plain or with tolerance.

use crate::Scalar;
use crate::bike::{Bike, Parameter};
use crate::change::Step;
use crate::quantity::{Dimension, Quantities, Quantity, evaluate_at};
use crate::requirement::{Allowances, Requirement, margins};
use crate::suspension::linkage::Linkage;
use crate::suspension::sag::Rests;
use crate::tolerance::{Estimates, Formula, Uncertain, propagate, propagate_linear};

/// Before, after, their difference, and the margins of the limits, each with its tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// One row per [`Quantity`].
    pub before: Estimates,
    /// One row per [`Quantity`].
    pub after: Estimates,
    /// After minus before, one row per [`Quantity`].
    pub difference: Estimates,
    /// One row per [`Requirement`].
    pub margins: Estimates,
}

/// Every quantity before and after `steps`, and every margin after them.
pub fn compare<T: Scalar>(
    before: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    steps: &[Step<T>],
    allow: &Allowances,
) -> (Quantities<T>, Quantities<T>, [T; Requirement::COUNT]) {
    let (after, linkage_after) = before.after_on(linkage, steps);
    let both = [(before, linkage), (&after, linkage_after.as_ref())];
    compare_at(both, allow, &both.map(|(bike, linkage)| Rests::find(bike, linkage).ok()))
}

fn compare_at<T: Scalar>(
    [before, after]: [(&Bike<T>, Option<&Linkage<T>>); 2],
    allow: &Allowances,
    [rests, rests_after]: &[Option<Rests>; 2],
) -> (Quantities<T>, Quantities<T>, [T; Requirement::COUNT]) {
    (
        evaluate_at(before.0, before.1, rests.as_ref()),
        evaluate_at(after.0, after.1, rests_after.as_ref()),
        margins(before, after, allow),
    )
}

/// What a comparison is made of beside the bike: numbers in a row, for [`propagate`].
#[derive(Clone, Copy)]
pub struct Given<'a> {
    /// The linkage, where somebody measured one.
    pub linkage: Option<&'a Linkage<Uncertain>>,
    /// The steps.
    pub steps: &'a [Step<Uncertain>],
}

impl<'a> Given<'a> {
    /// The numbers in a row: the bike's parameters in their order, then the linkage's, then those of each step.
    pub fn numbers<'n>(&self, before: &'n Bike<Uncertain>) -> Vec<&'n Uncertain>
    where
        'a: 'n,
    {
        let mut numbers: Vec<&Uncertain> =
            Parameter::ALL.iter().map(|parameter| before.get(*parameter)).collect();
        numbers.extend(self.linkage.iter().flat_map(|linkage| linkage.numbers()));
        numbers.extend(self.steps.iter().flat_map(|step| step.numbers()));
        numbers
    }

    /// Bike, linkage and steps from numbers that were laid in a row by [`Given::numbers`].
    pub fn taken_from<T: Scalar>(&self, numbers: &[T]) -> (Bike<T>, Option<Linkage<T>>, Vec<Step<T>>) {
        let bike = Bike::from_fn(|parameter| numbers[parameter as usize]);
        let mut rest = numbers[Parameter::ALL.len()..].iter().copied();
        // `numbers` has laid down one number for each that the linkage and a step hold.
        let mut next = |number: &Uncertain| rest.next().unwrap_or_else(|| T::from(number.value));
        let linkage = self.linkage.map(|linkage| linkage.map(&mut next));
        let steps = self.steps.iter().map(|step| step.map(&mut next)).collect();
        (bike, linkage, steps)
    }
}

/// [`compare`] as a formula of the numbers of [`Given`].
pub struct Comparison<'a> {
    /// Linkage and steps.
    pub given: Given<'a>,
    /// The figures that the limits carry.
    pub allow: &'a Allowances,
    rests: [Option<Rests>; 2],
}

impl<'a> Comparison<'a> {
    /// The comparison of `before` with itself after the given steps. Where both rest is found here, once for all derivatives.
    pub fn new(before: &Bike<Uncertain>, given: Given<'a>, allow: &'a Allowances) -> Self {
        let plain = |number: &Uncertain| number.value;
        let steps: Vec<Step<f64>> = given.steps.iter().map(|step| step.map(plain)).collect();
        let linkage = given.linkage.map(|linkage| linkage.map(plain));
        let before = before.map(plain);
        let (after, linkage_after) = before.after_on(linkage.as_ref(), &steps);
        let rests =
            [Rests::find(&before, linkage.as_ref()).ok(), Rests::find(&after, linkage_after.as_ref()).ok()];
        Comparison { given, allow, rests }
    }
}

const COUNT: usize = Quantity::COUNT;

impl Formula for Comparison<'_> {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let (bike, linkage, steps) = self.given.taken_from(numbers);
        let (after, linkage_after) = bike.after_on(linkage.as_ref(), &steps);
        let both = [(&bike, linkage.as_ref()), (&after, linkage_after.as_ref())];
        let (before, after, margins) = compare_at(both, self.allow, &self.rests);
        let mut results = Vec::with_capacity(3 * COUNT + margins.len());
        results.extend_from_slice(&before);
        results.extend_from_slice(&after);
        results.extend(before.iter().zip(&after).map(|(before, after)| *after - *before));
        results.extend_from_slice(&margins);
        results
    }

    /// 1 mm or 0.1°, before and after. Standover and the load on the wheels have inputs of their own that move nothing
    /// else, and nearly straight; they would only crowd out the others.
    fn unit(&self, row: usize) -> Option<f64> {
        let quantity = *Quantity::ALL.get(row % COUNT).filter(|_| row < 2 * COUNT)?;
        match quantity.dimension() {
            _ if quantity == Quantity::Standover => None,
            Dimension::Length => Some(1.0),
            Dimension::Angle => Some(0.1_f64.to_radians()),
            _ => None,
        }
    }
}

/// The margins of [`compare`] alone, as a formula of the numbers of [`Given`].
struct Margins<'a> {
    given: Given<'a>,
    allow: &'a Allowances,
}

impl Formula for Margins<'_> {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let (bike, linkage, steps) = self.given.taken_from(numbers);
        let (after, linkage_after) = bike.after_on(linkage.as_ref(), &steps);
        margins((&bike, linkage.as_ref()), (&after, linkage_after.as_ref()), self.allow).to_vec()
    }

    fn unit(&self, _: usize) -> Option<f64> {
        None
    }
}

/// Every margin after `steps`, one row per [`Requirement`], with its tolerance to first order: what a long list of parts is judged by.
///
/// ```
/// # use knockon_engine::{bike::{Bike, Parameter}, change::Step, comparison::{Given, limits}};
/// # use knockon_engine::{requirement::{Allowances, Requirement}, tolerance::Uncertain};
/// let mut bike = Bike::unknown().map(|&value| Uncertain::exact(value));
/// bike.spacers_allowed = Uncertain::exact(30.0);
/// let spacers = Uncertain { value: 25.0, moves: vec![(0, 0.5)] };
/// let steps = [Step::Set(Parameter::SpacersBelow, spacers)];
/// let allow = Allowances { same_clamp: 0.1, tyre_gap: 6.0, bottom_gap: 5.0 };
/// let margins = limits(&bike, Given { linkage: None, steps: &steps }, &allow, 1);
/// let row = Requirement::SpacersBelow as usize;
/// assert_eq!((margins.value(row), margins.plus_minus(row)), (5.0, 1.0));
/// ```
pub fn limits(before: &Bike<Uncertain>, given: Given<'_>, allow: &Allowances, inputs: usize) -> Estimates {
    propagate_linear(&Margins { given, allow }, &given.numbers(before), inputs)
}

/// Every quantity before and after, their difference and every margin, with the tolerance that `inputs` independent
/// inputs give them.
///
/// ```
/// # use knockon_engine::{bike::{Bike, Parameter}, change::Step, comparison::{Given, assess}, quantity::Quantity};
/// # use knockon_engine::{requirement::Allowances, tolerance::Uncertain};
/// let mut bike = Bike::unknown().map(|&value| Uncertain::exact(value));
/// bike.saddle_height = Uncertain { value: 735.0, moves: vec![(0, 0.5)] };
/// bike.crank_length = Uncertain { value: 170.0, moves: vec![(1, 0.1)] };
/// let crank = Uncertain { value: 165.0, moves: vec![(2, 0.1)] };
/// let steps = [Step::Set(Parameter::CrankLength, crank)];
/// let allow = Allowances { same_clamp: 0.1, tyre_gap: 6.0, bottom_gap: 5.0 };
/// let result = assess(&bike, Given { linkage: None, steps: &steps }, &allow, 3);
/// let row = Quantity::SaddleToPedal as usize;
/// assert_eq!(result.difference.value(row), -5.0);
/// // The saddle's own uncertainty is in both and cancels; the two cranks remain: √(0.1² + 0.1²).
/// assert!((result.difference.standard_uncertainty(row) - 0.02_f64.sqrt()).abs() < 1e-12);
/// ```
pub fn assess(before: &Bike<Uncertain>, given: Given<'_>, allow: &Allowances, inputs: usize) -> Assessment {
    let all = propagate(&Comparison::new(before, given, allow), &given.numbers(before), inputs);
    Assessment {
        before: all.rows(0..COUNT),
        after: all.rows(COUNT..2 * COUNT),
        difference: all.rows(2 * COUNT..3 * COUNT),
        margins: all.rows(3 * COUNT..3 * COUNT + Requirement::COUNT),
    }
}
