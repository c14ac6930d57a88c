//! Which of two bikes, or of two sizes of one, comes nearer to the same position.

use std::cmp::Ordering;

use knockon_engine::quantity::Quantity;

use super::wish::Target;
use super::{Reach, Reached, edge, notice};

/// Two bikes against each other, by the best that can be done to each.
#[derive(Clone, Debug)]
pub struct Nearer {
    /// What is wanted of both and told by both records; they are weighed by this alone.
    pub by: Vec<Quantity>,
    /// What is wanted of one alone, because the other one's record does not tell it.
    pub not_by: Vec<Quantity>,
    /// The bikes, in the order that they were given in.
    pub bikes: [Near; 2],
}

/// How near one bike comes.
#[derive(Clone, Debug)]
pub struct Near {
    /// The bike's name.
    pub bike: String,
    /// The proposal that comes nearest; `None` where the bike is nearest as it is.
    pub proposal: Option<usize>,
    /// How far it misses, in steps that a rider notices: root of the weighted sum of squares.
    pub miss: f64,
    /// ± of that.
    pub pm: f64,
}

impl Nearer {
    /// `Less` where the first comes nearer, `Equal` where what is known of them does not tell.
    pub fn order(&self) -> Ordering {
        let [a, b] = &self.bikes;
        // Each bike has a tolerance of its own; that of the position wanted is the same for both and cancels.
        if (a.miss - b.miss).abs() <= a.pm.hypot(b.pm) + 1e-9 {
            Ordering::Equal
        } else {
            a.miss.total_cmp(&b.miss)
        }
    }
}

/// Weighs two answers to the same question; `None` where one of the bikes cannot be brought there at all or they share no target.
pub fn nearer(one: &Reached, other: &Reached) -> Option<Nearer> {
    let wants = |answer: &Reached, target: &Target| {
        answer.targets.iter().any(|other| other.quantity == target.quantity)
    };
    let by = |target: &&Target| wants(one, target) && wants(other, target);
    let both: Vec<Target> = one.targets.iter().filter(by).cloned().collect();
    if both.is_empty() {
        return None;
    }
    let all = one.targets.iter().chain(&other.targets);
    Some(Nearer {
        by: both.iter().map(|target| target.quantity).collect(),
        not_by: all.filter(|target| !by(target)).map(|target| target.quantity).collect(),
        bikes: [near(one, &both)?, near(other, &both)?],
    })
}

/// The best that can be done to a bike for these targets.
fn near(answer: &Reached, targets: &[Target]) -> Option<Near> {
    let now = answer.miss_now.map(|_| (None, answer.now.as_slice()));
    let proposed = answer.proposals.iter().enumerate().map(|(at, it)| (Some(at), it.reaches.as_slice()));
    let ways = now.into_iter().chain(proposed).map(|(proposal, reaches)| {
        let (miss, pm) = miss(reaches, targets);
        Near { bike: answer.bike.clone(), proposal, miss, pm }
    });
    ways.min_by(|a, b| a.miss.total_cmp(&b.miss))
}

/// How far these miss the targets, in noticeable steps, with its ±: independent parts add in quadrature.
///
/// Source: law of propagation of uncertainty, JCGM 100:2008, 5.1.2. Where nothing is missed the root has no slope; there the ± of all parts
/// together bounds it.
fn miss(reaches: &[Reach], targets: &[Target]) -> (f64, f64) {
    let parts: Vec<(f64, f64)> = targets
        .iter()
        .filter_map(|target| {
            let reach = reaches.iter().find(|reach| reach.quantity == target.quantity)?;
            let step = notice(target.quantity) * edge(target.quantity) / target.weight.sqrt();
            Some((reach.off / step, reach.off_pm / step))
        })
        .collect();
    let root = |squares: f64| squares.sqrt();
    let miss = root(parts.iter().map(|(off, _)| off * off).sum());
    let pm = if miss > 0.0 {
        root(parts.iter().map(|(off, pm)| (off / miss * pm).powi(2)).sum())
    } else {
        root(parts.iter().map(|(_, pm)| pm * pm).sum())
    };
    (miss, pm)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reach(quantity: Quantity, off: f64, off_pm: f64) -> Reach {
        Reach { quantity, by: true, value: None, difference: 0.0, pm: 0.0, wanted: [0.0, 0.0], off, off_pm }
    }

    fn answer(bike: &str, off: &[(Quantity, f64, f64)]) -> Reached {
        Reached {
            bike: bike.to_owned(),
            targets: off.iter().map(|(quantity, ..)| Target::unchanged(*quantity)).collect(),
            now: off.iter().map(|(quantity, off, pm)| reach(*quantity, *off, *pm)).collect(),
            miss_now: Some(0.0),
            proposals: Vec::new(),
            left_out: Vec::new(),
            slots: Vec::new(),
            combinations: 0,
            refused: Vec::new(),
            notes: Vec::new(),
        }
    }

    /// 3 and 4 noticeable steps off are 5 together, and ± 0.2 and ± 0.4 of a step are √((0.6·0.2)² + (0.8·0.4)²).
    #[test]
    fn misses_add_in_quadrature_and_so_do_their_tolerances() {
        let step = |quantity: Quantity| notice(quantity) * edge(quantity);
        let (stack, reached) = (Quantity::GripStack, Quantity::GripReach);
        let far = [
            (stack, 3.0 * step(stack), 0.2 * step(stack)),
            (reached, -4.0 * step(reached), 0.4 * step(reached)),
        ];
        let near = [(stack, step(stack), 0.1 * step(stack)), (reached, 0.0, 0.4 * step(reached))];
        let weighed = nearer(&answer("far", &far), &answer("near", &near)).expect("both can be weighed");
        assert!((weighed.bikes[0].miss - 5.0).abs() < 1e-12);
        assert!((weighed.bikes[0].pm - 0.12_f64.hypot(0.32)).abs() < 1e-12);
        assert_eq!(weighed.order(), Ordering::Greater);
    }

    #[test]
    fn what_one_record_does_not_tell_is_not_weighed() {
        let (stack, back) = (Quantity::GripStack, Quantity::SaddleSetback);
        let told = answer("told", &[(stack, 2.0, 1.0), (back, 90.0, 1.0)]);
        let untold = answer("untold", &[(stack, 2.5, 1.0)]);
        let weighed = nearer(&told, &untold).expect("the stack is in both");
        assert_eq!(weighed.order(), Ordering::Equal, "half a millimetre within ± 1.4");
        assert_eq!((weighed.by, weighed.not_by), (vec![stack], vec![back]));
        assert!(nearer(&told, &answer("nothing", &[])).is_none());
    }
}
