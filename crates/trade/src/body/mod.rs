//! Where to begin on a bike, from measures of a rider: starting points for saddle height, crank length and bar width.
//!
//! The rules are in `data/body.toml`, what can be measured in `data/body_measures.toml`. They are starting points, no fitting and
//! no medical advice; [`cautions`] go before them wherever they are told.

mod beside;
mod measured;

use knockon_engine::Scalar;
use knockon_engine::quantity::Quantity;
use knockon_engine::rider::body as rule;
use knockon_engine::tolerance::{Formula, Uncertain, propagate_linear};
use serde::Deserialize;

pub use beside::{Beside, bar_of, beside};
pub use measured::{BodyMeasure, Measured, measured, read_measures, with_record};

use crate::tables::{self, Caution};

/// A rule that says where to begin; a row of `data/body.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// Snake-case name.
    pub id: String,
    /// The rule in words.
    pub says: String,
    /// The measures that it takes, by their names.
    pub needs: Vec<String>,
    /// What is known to be wrong with it. No surface leaves it out.
    pub weakness: String,
    /// Its source.
    pub source: String,
}

/// Every rule, in the order of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// 0.883 × inseam, from the bottom bracket.
    InseamToBracket,
    /// 1.09 × inseam, from the pedal.
    InseamToPedal,
    /// A range of knee angles, from the pedal.
    KneeAngle,
    /// A part of the leg.
    LegToCrank,
    /// A part of the tibia.
    TibiaToCrank,
    /// As wide as the shoulders.
    ShouldersToDropBar,
    /// Wider than the shoulders.
    ShouldersToFlatBar,
}

impl Way {
    /// Every rule.
    pub const ALL: [Way; 7] = [
        Way::InseamToBracket,
        Way::InseamToPedal,
        Way::KneeAngle,
        Way::LegToCrank,
        Way::TibiaToCrank,
        Way::ShouldersToDropBar,
        Way::ShouldersToFlatBar,
    ];

    /// Its row.
    pub fn rule(self) -> &'static Rule {
        &tables::body_rules()[self as usize]
    }
}

/// What a starting point is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Bottom bracket to top of saddle, along the seat line.
    SaddleHeight,
    /// Pedal axle to top of saddle, told where the crank is not known.
    PedalToSaddle,
    /// Bottom bracket to pedal axle.
    CrankLength,
    /// Middle of one hood to the middle of the other.
    DropBar,
    /// End to end.
    FlatBar,
}

impl What {
    /// Snake-case name.
    pub fn id(self) -> &'static str {
        match self {
            What::SaddleHeight => "saddle_height",
            What::PedalToSaddle => "saddle_to_pedal",
            What::CrankLength => "crank_length",
            What::DropBar => "drop_bar_width",
            What::FlatBar => "flat_bar_width",
        }
    }

    /// What it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            What::SaddleHeight => "Saddle height, bottom bracket to top of saddle",
            What::PedalToSaddle => "Pedal axle to top of saddle, the pedal at its farthest",
            What::CrankLength => "Crank length, bottom bracket to pedal axle",
            What::DropBar => "Drop bar, middle of one hood to the middle of the other",
            What::FlatBar => "Flat bar, end to end",
        }
    }

    /// The record's key whose change it would be.
    pub fn key(self) -> &'static str {
        match self {
            What::SaddleHeight | What::PedalToSaddle => "saddle.height",
            What::CrankLength => "crank.length",
            What::DropBar | What::FlatBar => "bar.width",
        }
    }
}

/// Kind of bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Bar {
    Drop,
    Flat,
}

/// Where to begin by one rule.
#[derive(Clone, Debug)]
pub struct StartingPoint {
    /// What it is for.
    pub what: What,
    /// The rule.
    pub way: Way,
    /// The value, mm; moved by the measures in their order.
    pub value: Uncertain,
    /// Least and most that the rule allows, mm, where it is a range.
    pub range: Option<[f64; 2]>,
    /// The engine's quantity that has an exact value by it, and that value, mm.
    pub target: Option<(Quantity, Uncertain)>,
}

impl StartingPoint {
    /// "±" of the value by the measures alone, two standard uncertainties, mm. What the rule is worth is not in it.
    pub fn plus_minus(&self) -> f64 {
        2.0 * self.value.standard_uncertainty()
    }
}

/// The crank is the last measure that the rules take.
const TAKES: [&str; 6] = ["inseam", "thigh", "lower_leg", "tibia", "shoulder_width", "crank"];

/// What one rule gives: least, best and most, and the quantity's value; NaN for what is not known.
struct Line<T> {
    what: What,
    values: [T; 3],
    target: Option<(Quantity, T)>,
}

fn lines<T: Scalar>(measures: &[T]) -> [Line<T>; Way::ALL.len()] {
    let [inseam, thigh, lower_leg, tibia, shoulders, crank] = [0, 1, 2, 3, 4, 5].map(|at| measures[at]);
    // Without a crank the pedal is as far as the rule goes.
    let from_pedal = |far: [T; 3]| {
        let target = Some((Quantity::SaddleToPedal, far[1]));
        if crank.re().is_nan() {
            return Line { what: What::PedalToSaddle, values: far, target };
        }
        let values = far.map(|far| rule::saddle_height_on_crank(far, crank));
        Line { what: What::SaddleHeight, values, target }
    };
    let single = |what, value| Line { what, values: [value; 3], target: None };
    let bracket = rule::saddle_height_by_inseam(inseam);
    let [straighter, more_bent] = rule::KNEE_FLEXION;
    let by_knee = [more_bent, f64::midpoint(straighter, more_bent), straighter]
        .map(|flexion| rule::pedal_to_saddle_by_knee(thigh, lower_leg, T::from(flexion.to_radians())));
    let drop = rule::drop_bar_by_shoulders(shoulders);
    let [narrow, wide] = rule::flat_bar_by_shoulders(shoulders);
    [
        Line {
            target: Some((Quantity::SaddleToPedal, bracket + crank)),
            ..single(What::SaddleHeight, bracket)
        },
        from_pedal([rule::pedal_to_saddle_by_inseam(inseam); 3]),
        from_pedal(by_knee),
        single(What::CrankLength, rule::crank_by_leg(inseam)),
        single(What::CrankLength, rule::crank_by_tibia(tibia)),
        // The hands rest on the hoods.
        Line { target: Some((Quantity::GripWidth, drop)), ..single(What::DropBar, drop) },
        Line { what: What::FlatBar, values: [narrow, (narrow + wide) * 0.5, wide], target: None },
    ]
}

/// Every rule's value and its quantity's, two rows a rule.
struct Rules;

impl Formula for Rules {
    fn results<T: Scalar>(&self, numbers: &[T]) -> Vec<T> {
        let nan = T::from(f64::NAN);
        let both = |line: Line<T>| [line.values[1], line.target.map_or(nan, |(_, value)| value)];
        lines(numbers).into_iter().flat_map(both).collect()
    }
}

/// Where to begin, by every rule whose measures were taken. Of a measure that is there twice, the first counts. With no kind of
/// bar, both are told.
///
/// ```
/// use knockon_trade::body::{What, measured, starting_points};
/// let points = starting_points(&[measured("inseam 830").unwrap(), measured("crank 170").unwrap()], None);
/// let heights: Vec<f64> =
///     points.iter().filter(|point| point.what == What::SaddleHeight).map(|point| point.value.value).collect();
/// assert!((heights[0] - 732.89).abs() < 1e-9); // 0.883 · 830
/// assert!((heights[1] - 734.7).abs() < 1e-9); // 1.09 · 830 − 170
/// ```
pub fn starting_points(measured: &[Measured], bar: Option<Bar>) -> Vec<StartingPoint> {
    let numbers = TAKES.map(|id| {
        let found = measured.iter().enumerate().find(|(_, it)| it.measure.id == id);
        found.map_or_else(|| Uncertain::exact(f64::NAN), |(input, it)| known(input, it))
    });
    let plain = numbers.each_ref().map(|number| number.value);
    let estimates = propagate_linear(&Rules, &numbers, measured.len());
    let row = |row: usize| {
        let by = estimates.contributions(row).iter().copied().enumerate();
        Uncertain { value: estimates.value(row), moves: by.filter(|(_, by)| *by != 0.0).collect() }
    };
    let told = |what| match bar {
        Some(Bar::Drop) => what != What::FlatBar,
        Some(Bar::Flat) => what != What::DropBar,
        None => true,
    };
    Way::ALL
        .into_iter()
        .zip(lines(&plain))
        .enumerate()
        .filter(|(_, (_, line))| line.values[1].is_finite() && told(line.what))
        .map(|(index, (way, line))| {
            let [least, _, most] = line.values;
            let target = line.target.filter(|(_, value)| value.is_finite());
            StartingPoint {
                what: line.what,
                way,
                value: row(2 * index),
                range: (least < most).then_some([least, most]),
                target: target.map(|(quantity, _)| (quantity, row(2 * index + 1))),
            }
        })
        .collect()
}

fn known(input: usize, measured: &Measured) -> Uncertain {
    Uncertain { value: measured.value, moves: vec![(input, measured.uncertainty)] }
}

/// Two rules for the same thing, and how far apart they are for this rider.
#[derive(Clone, Debug)]
pub struct Apart {
    /// The two.
    pub rules: [Way; 2],
    /// By how much the second gives more than the first, mm; none where that depends on a crank that is not known. What both
    /// rules take moves both, so its tolerance is small.
    pub by: Option<Uncertain>,
    /// The crank length on which they agree, mm, where one measures from the bottom bracket and one from the pedal.
    pub agree_on_crank: Option<Uncertain>,
}

/// Every two rules for the same thing.
///
/// ```
/// use knockon_trade::body::{apart, measured, starting_points};
/// let apart = apart(&starting_points(&[measured("inseam 830").unwrap()], None));
/// let crank = apart[0].agree_on_crank.as_ref().unwrap();
/// assert!((crank.value - 171.81).abs() < 1e-9); // (1.09 − 0.883) · 830
/// ```
pub fn apart(points: &[StartingPoint]) -> Vec<Apart> {
    let less = |a: &Uncertain, b: &Uncertain| Uncertain::combined(b.value - a.value, [(a, -1.0), (b, 1.0)]);
    let mut all = Vec::new();
    for (index, first) in points.iter().enumerate() {
        for second in &points[index + 1..] {
            let by = (first.what == second.what).then(|| less(&first.value, &second.value));
            let agree_on_crank = match &second.target {
                Some((Quantity::SaddleToPedal, pedal)) if first.way == Way::InseamToBracket => {
                    Some(less(&first.value, pedal))
                }
                _ => None,
            };
            if by.is_some() || agree_on_crank.is_some() {
                all.push(Apart { rules: [first.way, second.way], by, agree_on_crank });
            }
        }
    }
    all
}

/// The cautions that go before every starting point, strongest first.
pub(crate) const CAUTIONS: [&str; 2] = ["body_pain", "body_start"];

/// Every caution: those of starting points, and those that setting a bike to these ones brings.
pub fn cautions(points: &[StartingPoint]) -> Vec<&'static Caution> {
    let brings =
        |caution: &Caution| points.iter().any(|it| caution.when.iter().any(|key| key == it.what.key()));
    let mut all: Vec<&Caution> = tables::cautions()
        .iter()
        .filter(|caution| CAUTIONS.contains(&caution.id.as_str()) || brings(caution))
        .collect();
    all.sort_by_key(|caution| caution.rank);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_and_measures_name_each_other() {
        let ways: Vec<String> = Way::ALL.iter().map(|way| format!("{way:?}").to_lowercase()).collect();
        let rows: Vec<String> = tables::body_rules().iter().map(|row| row.id.replace('_', "")).collect();
        assert_eq!(ways, rows);
        let measures: Vec<&str> = tables::body_measures().iter().map(|row| row.id.as_str()).collect();
        assert_eq!(measures, TAKES);
        for row in tables::body_rules() {
            assert!(row.weakness.len() > 40, "{} says nothing against itself", row.id);
            assert!(row.needs.iter().all(|id| measures.contains(&id.as_str())), "{}", row.id);
            assert!(!row.needs.is_empty(), "{}", row.id);
        }
    }

    #[test]
    fn every_measure_can_be_read_and_is_kept_where_a_record_keeps_it() {
        for row in tables::body_measures() {
            let read = measured(&row.reading()).unwrap_or_else(|problem| panic!("{}: {problem}", row.id));
            assert_eq!(read.measure.id, row.id);
            assert!(row.possible[0] < row.possible[1], "{}", row.id);
            if let Some(key) = row.key.as_deref() {
                let property = tables::property(key).unwrap_or_else(|| panic!("no property {key}"));
                assert!(property.possible[0] <= row.possible[1], "{key}");
            }
        }
    }

    #[test]
    fn every_caution_of_a_starting_point_has_its_row() {
        let told: Vec<&str> = cautions(&[]).iter().map(|caution| caution.id.as_str()).collect();
        assert_eq!(told, CAUTIONS);
    }
}
