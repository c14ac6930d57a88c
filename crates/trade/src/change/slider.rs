//! A change as a slider: its range, its steps, and its line with another number.

use super::{Change, parse};
use crate::tables::Property;
use crate::units::{self, Dimension, number_end};

/// A slider or stepper for the number of one change. All values are in the unit of the edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Slider {
    /// Left end.
    pub least: f64,
    /// Right end.
    pub most: f64,
    /// Distance of two positions; `least`, `most` and `now` are whole steps apart.
    pub step: f64,
    /// Unit of all values.
    pub unit: &'static str,
    /// The change's number: the new value, or how far a step goes.
    pub now: f64,
    /// The value before the change, where the slider sets a new value and the old one is known.
    pub was: Option<f64>,
}

/// Lengths whose usual range is wider than this move in steps of 5 mm. Chosen so that a slider has about 40 to 150
/// positions; common practice, no source.
const LONG: f64 = 300.0;

/// A slider has at most about so many positions, unless the old and the new value lie further apart.
const MOST_POSITIONS: f64 = 300.0;

/// Finer steps to fall back on where a number is not a whole count of the usual ones, such as a bar of 31.8 mm.
const STEPS: [f64; 7] = [5.0, 1.0, 0.5, 0.1, 0.05, 0.01, 0.001];

/// The slider of a change; `before` is the value before it, where it is known. A tyre has none: a page offers
/// [`super::tyre_sizes`] instead.
///
/// A new value ranges over what is usual of its property, widened to hold the old and the new value. A step (`by`) ranges
/// as far to both sides, by half of what is usual, 40 mm or 10° at most, and nowhere beyond what is possible. It moves by
/// 1 mm, 5 mm on long parts, 0.5°, 1 kg, 0.1 bar, 1 N/mm, 5 mm², 1 cm³, 1 % or a tooth; finer where the number as typed asks for it.
///
/// ```
/// use knockon_trade::change::{parse, slider};
/// let spacers = slider(&parse("spacers below 5").unwrap().change, Some(20.0)).unwrap();
/// assert_eq!((spacers.least, spacers.most, spacers.step), (0.0, 40.0, 1.0));
/// assert_eq!((spacers.now, spacers.was, spacers.unit), (5.0, Some(20.0), "mm"));
/// let step = slider(&parse("spacers below by -10").unwrap().change, None).unwrap();
/// assert_eq!((step.least, step.most, step.now), (-20.0, 20.0, -10.0));
/// assert!(slider(&parse("rear tyre 64-622").unwrap().change, None).is_none());
/// ```
pub fn slider(change: &Change, before: Option<f64>) -> Option<Slider> {
    let (property, by, amount) = match change {
        Change::Number { property, by, amount } => (property, by, amount),
        Change::Point { amount, .. } => return Some(of_point(amount.value)),
        Change::Tyre { .. }
        | Change::Chip { .. }
        | Change::NoIdler
        | Change::End { .. }
        | Change::Series { .. } => return None,
    };
    let now = tidy(amount.value / property.dimension.edge_factor());
    let before = before.filter(|value| value.is_finite());
    let step = step(property, now);
    let [least, most] = if *by { around_zero(property, before) } else { property.usual };
    // A number told to hundredths moves by hundredths: over less of what is usual, or a finger's breadth is too much.
    let reach = step * MOST_POSITIONS / 2.0;
    let [least, most] = if most - least > 2.0 * reach {
        [least.max(now - reach), most.min(now + reach)]
    } else {
        [least, most]
    };
    let was = before.filter(|_| !by);
    let ends = [Some(least), Some(most), Some(now), was];
    let (least, most) = ends
        .into_iter()
        .flatten()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    Some(Slider {
        least: tidy((least / step + 1e-6).floor() * step),
        most: tidy((most / step - 1e-6).ceil() * step),
        step,
        unit: property.dimension.edge_unit(),
        now,
        was,
    })
}

/// A point of the linkage moves by up to 20 mm either way, in whole millimetres; finer where the number as typed asks for it.
fn of_point(by: f64) -> Slider {
    let now = tidy(by);
    let step = finest(1.0, now);
    let far = now.abs().max(20.0).ceil();
    Slider { least: -far, most: far, step, unit: Dimension::Length.edge_unit(), now, was: None }
}

/// A range in which whole millimetres are too coarse.
const SHORT: f64 = 5.0;

/// Without the tail that a way through radians or inches leaves.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// The coarsest sensible step that reaches the number.
fn step(property: &Property, now: f64) -> f64 {
    let [least, most] = property.usual;
    let usual = match property.dimension {
        Dimension::Length if most - least > LONG => 5.0,
        Dimension::Length if most - least < SHORT => 0.1,
        Dimension::Area => 5.0,
        Dimension::Length
        | Dimension::Mass
        | Dimension::Rate
        | Dimension::Volume
        | Dimension::Share
        | Dimension::Teeth
        | Dimension::Pieces
        | Dimension::Count
        | Dimension::Power
        | Dimension::Cadence => 1.0,
        Dimension::Angle => 0.5,
        Dimension::Pressure | Dimension::Ratio => 0.1,
    };
    finest(usual, now)
}

/// The usual step, or the coarsest finer one of which the number is a whole count.
fn finest(usual: f64, now: f64) -> f64 {
    let reaches = |step: &f64| (now / step - (now / step).round()).abs() < 1e-6;
    STEPS.into_iter().filter(|step| *step <= usual).find(reaches).unwrap_or(0.001)
}

fn around_zero(property: &Property, before: Option<f64>) -> [f64; 2] {
    let [least, most] = property.usual;
    let far = match property.dimension {
        Dimension::Length => 40.0,
        Dimension::Angle => 10.0,
        _ => f64::INFINITY,
    };
    let far = f64::min((most - least) / 2.0, far);
    let [low, high] = property.possible;
    match before {
        Some(before) => [(-far).max(low - before).min(0.0), far.min(high - before).max(0.0)],
        None => [-far, far],
    }
}

/// The same line with its number replaced by `amount`, which is in the unit of the edge; phrase, marks, unit and ± stay as
/// they were typed. `None` when the line says no change of a number, or the amount is none.
///
/// ```
/// use knockon_trade::change::with_amount;
/// assert_eq!(with_amount("Spacers below -> 5 mm ± 1", 7.0).as_deref(), Some("Spacers below -> 7 mm ± 1"));
/// assert_eq!(with_amount("fork travel by +10", 20.0).as_deref(), Some("fork travel by +20"));
/// assert_eq!(with_amount("bar rise 1.5 in", 25.4).as_deref(), Some("bar rise 1 in"));
/// assert_eq!(with_amount("rear tyre 64-622", 61.0), None);
/// ```
pub fn with_amount(line: &str, amount: f64) -> Option<String> {
    let (dimension, old) = match parse(line).ok()?.change {
        Change::Number { property, amount, .. } => (property.dimension, amount),
        Change::Point { amount, .. } => (Dimension::Length, amount),
        Change::Tyre { .. }
        | Change::Chip { .. }
        | Change::NoIdler
        | Change::End { .. }
        | Change::Series { .. } => return None,
    };
    if !amount.is_finite() {
        return None;
    }
    let place = parse::value_place(line)?;
    let value = &line[place.clone()];
    let end = number_end(value)?;
    let (typed, _) = units::literal(&value[..end])?;
    // One of the typed unit in that of the edge. Of a typed 0 nothing can be told; a bare number is read in its stead.
    let unit = units::read(&format!("1{}", unit_of(&value[end..])), dimension).ok()?.value;
    debug_assert!((typed * unit - old.value).abs() <= 1e-6 * old.value.abs().max(1.0));
    let new = number(amount * dimension.edge_factor() / unit, &value[..end]);
    Some(format!("{}{new}{}", &line[..place.start], &value[end..]) + &line[place.end..])
}

/// The unit at the start of what follows a number, up to its tolerance.
fn unit_of(rest: &str) -> &str {
    rest.split('±').next().and_then(|unit| unit.split("+-").next()).unwrap_or_default().trim()
}

/// A number as its predecessor was typed: with its sign, its minus and its comma.
fn number(value: f64, typed: &str) -> String {
    let value = tidy(value);
    let mut text = format!("{:.3}", value.abs()).trim_end_matches('0').trim_end_matches('.').to_owned();
    if typed.contains(',') {
        text = text.replace('.', ",");
    }
    let minus = typed.chars().next().filter(|sign| matches!(sign, '−' | '–')).unwrap_or('-');
    if value < 0.0 && text != "0" {
        text.insert(0, minus);
    } else if typed.starts_with('+') {
        text.insert(0, '+');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;

    fn of(line: &str, before: Option<f64>) -> Slider {
        slider(&parse(line).expect(line).change, before).expect("a slider")
    }

    #[test]
    fn a_range_is_widened_to_hold_what_was_and_what_is() {
        let slider = of("spacers below 55", Some(61.5));
        assert_eq!((slider.least, slider.most), (0.0, 62.0));
        assert_eq!(of("bar rise -20", Some(10.0)).least, -20.0);
    }

    #[test]
    fn steps_suit_the_part() {
        assert_eq!(of("stem length 40", None).step, 1.0);
        assert_eq!(of("stem angle 6", None).step, 0.5);
        assert_eq!(of("bar width 800", None).step, 5.0);
        // 31.8 mm is not a whole count of millimetres, and 782 not of five.
        assert_eq!(of("bar clamp 31.8", None).step, 0.1);
        assert_eq!(of("bar width 782", None).step, 1.0);
        // 1.5 in = 38.1 mm.
        assert_eq!((of("bar rise 1.5 in", None).now, of("bar rise 1.5 in", None).step), (38.1, 0.1));
    }

    #[test]
    fn a_step_leaves_nothing_impossible() {
        // 15 mm can be taken from 15 mm of spacers, and no more.
        assert_eq!(of("spacers below by -5", Some(15.0)).least, -15.0);
        assert_eq!(of("headset angle by -1", Some(0.0)).least, -2.0);
        assert_eq!(of("spacers below by -30", Some(15.0)).least, -30.0);
    }

    #[test]
    fn every_property_has_a_slider_on_whose_grid_its_example_lies() {
        for property in tables::properties().iter().filter(|property| !property.say.is_empty()) {
            for line in
                [format!("{} {}", property.say[0], property.example), format!("{} by -1", property.say[0])]
            {
                let slider = of(&line, None);
                let steps = (slider.now - slider.least) / slider.step;
                assert!((steps - steps.round()).abs() < 1e-6, "{line}: {slider:?}");
                assert!(slider.least <= slider.now && slider.now <= slider.most, "{line}: {slider:?}");
                let positions = (slider.most - slider.least) / slider.step;
                assert!((3.0..=400.0).contains(&positions), "{line}: {positions} positions");
            }
        }
    }

    #[test]
    fn a_line_keeps_everything_but_its_number() {
        for (line, amount, expected) in [
            ("stem length 40", 35.0, "stem length 35"),
            ("  STEM-length   to 40mm  ", 37.5, "  STEM-length   to 37.5mm  "),
            ("bar roll by −5°", -2.5, "bar roll by −2.5°"),
            ("bar roll by -5", 2.5, "bar roll by 2.5"),
            ("fork travel by +10", -10.0, "fork travel by -10"),
            ("fork axle to crown 576 +- 2", 566.0, "fork axle to crown 566 +- 2"),
            ("saddle height 72,5 cm ± 2 mm", 731.0, "saddle height 73,1 cm ± 2 mm"),
            ("bar rise 0 in", 50.8, "bar rise 2 in"),
            ("stem angle 0.5 rad", 0.0, "stem angle 0 rad"),
            ("spacers below by +5", 0.0, "spacers below by +0"),
        ] {
            assert_eq!(with_amount(line, amount).as_deref(), Some(expected), "{line}");
        }
        for line in ["stem lenght 40", "stem length", "front tyre 50-622", ""] {
            assert_eq!(with_amount(line, 1.0), None, "{line}");
        }
        assert_eq!(with_amount("stem length 40", f64::NAN), None);
    }

    #[test]
    fn the_new_line_says_the_new_amount() {
        for line in ["stem length 40", "bar rise 1.5 in", "bar roll by 5", "headset angle -1.5°"] {
            let Change::Number { property, .. } = parse(line).expect(line).change else { continue };
            for amount in [1.0, 1.5, 0.0, -1.0] {
                let Ok(read) = parse(&with_amount(line, amount).expect("a line")) else { continue };
                let Change::Number { amount: new, .. } = read.change else { panic!("{line}") };
                // Three digits after the point: at most 0.0005 in = 0.0127 mm off.
                let off = new.value / property.dimension.edge_factor() - amount;
                assert!(off.abs() < 0.013, "{line} {amount}: {off}");
            }
        }
    }
}
