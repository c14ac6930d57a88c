//! What may be chosen from: slots, each with what can be put into it.

use crate::bike::Parameter;
use crate::change::Step;

/// One thing that can be put into a slot.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What it does to the bike; nothing for the choice that leaves the slot as it is.
    pub steps: Vec<Step<f64>>,
    /// How many things are touched for it: 0 for leaving the slot as it is.
    pub touched: u32,
    /// What it costs, 0 or more, in any one money.
    pub price: f64,
}

impl Choice {
    /// The slot as it is.
    pub fn as_it_is() -> Self {
        Choice { steps: Vec::new(), touched: 0, price: 0.0 }
    }
}

/// Choices of which one is taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    /// The choices, at least one.
    pub choices: Vec<Choice>,
}

/// What a slot has a say in: the hand's place is the sum of where the headset's top is, where spacers and stem hold the bar, and where the
/// bar puts the hand, so that three groups are searched instead of every combination.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Group {
    /// Everything that moves frame, wheels, saddle, cranks; what is left over.
    Frame,
    /// Spacers and stem.
    Mount,
    /// Bar and hands.
    Hand,
}

impl Slot {
    /// Whether it sets something of the cockpit beside something else: stem and bar in one, say.
    pub(super) fn is_mixed(&self) -> bool {
        let mut steps = self.choices.iter().flat_map(|choice| &choice.steps).filter_map(touched);
        self.group() == Group::Frame && steps.any(|parameter| is_mount(parameter) || is_hand(parameter))
    }

    fn group(&self) -> Group {
        let all_in = |within: fn(Parameter) -> bool| {
            let steps = || self.choices.iter().flat_map(|choice| &choice.steps);
            steps().next().is_some() && steps().all(|step| touched(step).is_some_and(within))
        };
        if all_in(is_mount) {
            Group::Mount
        } else if all_in(is_hand) {
            Group::Hand
        } else {
            Group::Frame
        }
    }
}

fn touched(step: &Step<f64>) -> Option<Parameter> {
    match step {
        Step::Set(parameter, _) | Step::By(parameter, _) => Some(*parameter),
        _ => None,
    }
}

fn is_mount(parameter: Parameter) -> bool {
    use Parameter as P;
    matches!(
        parameter,
        P::SpacersBelow
            | P::SpacersAbove
            | P::StemLength
            | P::StemAngle
            | P::StemClampHeight
            | P::StemBarClamp
    )
}

fn is_hand(parameter: Parameter) -> bool {
    use Parameter as P;
    matches!(
        parameter,
        P::BarClamp
            | P::BarRise
            | P::BarWidth
            | P::BarBackSweep
            | P::BarUpSweep
            | P::BarRoll
            | P::BarBend
            | P::BarReach
            | P::HandInset
    )
}

/// The slots of one group, and every combination of their choices by a number.
#[derive(Debug)]
pub(super) struct Combinations<'a> {
    /// Places among all slots.
    slots: Vec<usize>,
    all: &'a [Slot],
}

impl<'a> Combinations<'a> {
    pub fn of(group: Group, all: &'a [Slot]) -> Self {
        let slots = (0..all.len()).filter(|slot| all[*slot].group() == group).collect();
        Combinations { slots, all }
    }

    /// All slots in one group, the frame's, and none in the others.
    pub fn together(group: Group, all: &'a [Slot]) -> Self {
        let slots = if group == Group::Frame { (0..all.len()).collect() } else { Vec::new() };
        Combinations { slots, all }
    }

    /// How many there are; 1 where no slot is in the group.
    pub fn count(&self) -> u64 {
        self.slots
            .iter()
            .fold(1, |product, slot| product.saturating_mul(self.all[*slot].choices.len() as u64))
    }

    /// Slot and choice of a combination, in the order of the slots.
    pub fn picks(&self, mut number: u64) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.slots.iter().map(move |slot| {
            let choices = self.all[*slot].choices.len() as u64;
            let pick = number % choices;
            number /= choices;
            (*slot, pick as usize)
        })
    }

    /// What a combination does to the bike, how many things it touches and what it costs.
    pub fn sum(&self, number: u64, steps: &mut Vec<Step<f64>>) -> (u32, f64) {
        steps.clear();
        let (mut touched, mut price) = (0, 0.0);
        for (slot, pick) in self.picks(number) {
            let choice = &self.all[slot].choices[pick];
            steps.extend_from_slice(&choice.steps);
            touched += choice.touched;
            price += choice.price;
        }
        (touched, price)
    }
}
