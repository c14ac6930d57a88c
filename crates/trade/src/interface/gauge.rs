//! "What do I have?": from a few readings to the standards that they can be of.
//!
//! A reading of a part made to a standard differs from the nominal figure by what the tool gets wrong and by what the part is off,
//! both taken as normal and independent (JCGM 100:2008). The standards of an interface are ranked by the likelihood of all
//! readings together, each thought to be as common as any other before anything was measured.

use crate::tables;

use super::taken::{Taken, tool};
use super::{Interface, Measure, Standard};

/// A reading that is further off than this many standard uncertainties is of another standard: 99.7 % of readings are nearer.
/// Source: the normal distribution, any table.
const FAR: f64 = 3.0;

/// A standard that the readings can be of.
#[derive(Clone, Debug)]
pub struct Match {
    /// The interface.
    pub interface: &'static Interface,
    /// The standard.
    pub standard: &'static Standard,
    /// By how much each reading is off the nominal figure, in the order of the readings; `None` where the standard does not say.
    pub off: Vec<Option<f64>>,
    /// Share among all that the readings can be of, a plain number; of those that they cannot be of, 0.
    pub share: f64,
    /// Sum of the squares of each difference over its standard uncertainty.
    squares: f64,
    /// The largest of those, not squared.
    worst: f64,
}

/// A measure that tells the remaining standards apart.
#[derive(Clone, Debug)]
pub struct Apart {
    /// What to measure.
    pub measure: &'static Measure,
    /// What may be found, and which standards that would leave.
    pub finds: Vec<(f64, Vec<String>)>,
}

/// What the readings can be of.
#[derive(Clone, Debug, Default)]
pub struct Gauged {
    /// The standards that the readings can be of, likeliest first.
    pub matches: Vec<Match>,
    /// Where there are none: the nearest few.
    pub nearest: Vec<Match>,
    /// What to measure next, where several are left that a measure would tell apart.
    pub next: Option<Apart>,
}

/// How many are told where none fits.
const NEAREST: usize = 3;

/// Ranks the standards that have every measure that was read.
///
/// ```
/// use knockon_trade::interface::{gauge::gauge, taken::taken};
/// let one = gauge(&[taken("axle 15").unwrap()]);
/// assert_eq!(one.matches.len(), 3); // 15 × 100, 15 × 110, 15 × 150
/// assert_eq!(one.next.unwrap().measure.id, "over_locknut");
/// let both = gauge(&[taken("axle 15.0").unwrap(), taken("hub width 110").unwrap()]);
/// assert_eq!(both.matches[0].standard.name, "15 × 110");
/// assert!(both.next.is_none());
/// ```
pub fn gauge(readings: &[Taken]) -> Gauged {
    let mut all: Vec<Match> = tables::interfaces()
        .iter()
        .flat_map(|interface| interface.standards.iter().map(move |standard| (interface, standard)))
        .filter_map(|(interface, standard)| of(readings, interface, standard))
        .collect();
    all.sort_by(|a, b| a.squares.total_cmp(&b.squares));
    let (mut matches, mut others): (Vec<Match>, Vec<Match>) = all.into_iter().partition(|it| it.worst <= FAR);
    let likelihood = |it: &Match| (-0.5 * it.squares).exp();
    let sum: f64 = matches.iter().map(likelihood).sum();
    for it in &mut matches {
        it.share = likelihood(it) / sum;
    }
    others.truncate(if matches.is_empty() { NEAREST } else { 0 });
    let next = apart(readings, &matches);
    Gauged { matches, nearest: others, next }
}

/// How a standard compares with the readings; `None` where it does not have all that was read.
fn of(readings: &[Taken], interface: &'static Interface, standard: &'static Standard) -> Option<Match> {
    let off: Vec<Option<f64>> = readings
        .iter()
        .map(|taken| standard.nominal(&taken.measure.id).map(|nominal| taken.value - nominal))
        .collect();
    let scores: Option<Vec<f64>> =
        readings.iter().zip(&off).map(|(taken, off)| off.map(|off| score(taken, off))).collect();
    let scores = scores.filter(|scores| !scores.is_empty())?;
    let worst = scores.iter().fold(0.0, |most: f64, score| most.max(score.abs()));
    let squares = scores.iter().map(|score| score * score).sum();
    Some(Match { interface, standard, off, share: 0.0, squares, worst })
}

/// A difference over its standard uncertainty.
fn score(taken: &Taken, off: f64) -> f64 {
    if taken.measure.is_counted() {
        return if off == 0.0 { 0.0 } else { f64::INFINITY };
    }
    off / taken.uncertainty.hypot(taken.measure.as_made / 2.0)
}

/// The measure after which fewest standards are left on average, and how many of them.
fn apart(readings: &[Taken], matches: &[Match]) -> Option<Apart> {
    let read = |measure: &Measure| readings.iter().any(|taken| taken.measure.id == measure.id);
    let left = |measure: &Measure| -> f64 {
        let alike = |a: &Match| matches.iter().filter(|b| !tells_apart(measure, a, b)).count();
        matches.iter().map(|it| it.share * alike(it) as f64).sum()
    };
    let measures = tables::measures().iter().filter(|measure| !read(measure));
    let best = measures.min_by(|a, b| left(a).total_cmp(&left(b)))?;
    if left(best) > matches.len() as f64 - 0.5 {
        return None;
    }
    let mut finds: Vec<(f64, Vec<String>)> = Vec::new();
    for it in matches {
        let Some(nominal) = it.standard.nominal(&best.id) else { continue };
        match finds.iter_mut().find(|(known, _)| *known == nominal) {
            Some((_, names)) => names.push(it.standard.name.clone()),
            None => finds.push((nominal, vec![it.standard.name.clone()])),
        }
    }
    finds.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(Apart { measure: best, finds })
}

/// Whether a reading by calliper would tell two standards apart: their figures lie further from each other than twice what a
/// reading may be off.
fn tells_apart(measure: &Measure, a: &Match, b: &Match) -> bool {
    let (Some(one), Some(other)) = (a.standard.nominal(&measure.id), b.standard.nominal(&measure.id)) else {
        return false;
    };
    if measure.is_counted() {
        return one != other;
    }
    (one - other).abs() > 2.0 * FAR * tool().hypot(measure.as_made / 2.0)
}
