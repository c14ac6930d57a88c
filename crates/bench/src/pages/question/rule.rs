//! A steel rule, drawn: ticks, figures, a long tick where the bike stands now, and a pointer at the new value.
//!
//! All places are attributes of the drawing, none is a style: the page's policy allows no style in the markup. The script
//! lays a range input over it, whose thumb is then the pointer.

use std::fmt::Write as _;

use maud::{Markup, html};

/// What a rule shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Left end.
    pub least: f64,
    /// Right end.
    pub most: f64,
    /// Where the pointer stands.
    pub value: f64,
    /// Where the bike stands now, when that is known.
    pub was: Option<f64>,
}

/// Most ticks on a rule: more would touch each other on a phone.
const MOST_TICKS: f64 = 52.0;

/// Width of the drawing's own units; the drawing is stretched to its place.
const WIDTH: f64 = 1000.0;

/// Steps of short, middle and long ticks.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Division {
    short: f64,
    middle: f64,
    long: f64,
}

impl Division {
    /// The finest division with few enough ticks for a span. Like a real rule, it goes by one, two or five.
    fn of(span: f64) -> Self {
        let decade = 10_f64.powf((span / MOST_TICKS).log10().floor());
        let steps = [(1.0, 5.0, 10.0), (2.0, 10.0, 20.0), (5.0, 10.0, 50.0), (10.0, 50.0, 100.0)];
        let (short, middle, long) =
            steps.into_iter().find(|(short, _, _)| span / (short * decade) <= MOST_TICKS).unwrap_or(steps[3]);
        Self { short: short * decade, middle: middle * decade, long: long * decade }
    }
}

impl Scale {
    /// Share of the rule's length, held within the rule.
    fn share(&self, value: f64) -> f64 {
        let span = self.most - self.least;
        if span > 0.0 { ((value - self.least) / span).clamp(0.0, 1.0) } else { 0.0 }
    }

    fn percent(&self, value: f64) -> String {
        format!("{:.2}%", self.share(value) * 100.0)
    }

    /// Multiples of a step on the rule.
    fn multiples(&self, step: f64) -> impl Iterator<Item = f64> {
        let first = (self.least / step - 1e-6).ceil() as i64;
        let last = (self.most / step + 1e-6).floor() as i64;
        (first..=last).map(move |count| count as f64 * step)
    }

    /// The ticks of one height as one path, without those that a longer tick covers.
    fn ticks(&self, step: f64, but: &[f64], height: u32) -> String {
        let covered = |value: f64| {
            but.iter().any(|longer| ((value / longer).round() * longer - value).abs() < step / 10.0)
        };
        self.multiples(step).filter(|value| !covered(*value)).fold(String::new(), |mut path, value| {
            let _ = write!(path, "M{:.1} 0v{height}", self.share(value) * WIDTH);
            path
        })
    }
}

/// The drawing. It says nothing that the fields beside it do not say, so it is hidden from those who hear the page.
pub fn drawing(scale: &Scale) -> Markup {
    let division = Division::of(scale.most - scale.least);
    let Division { short, middle, long } = division;
    html! {
        svg.rule aria-hidden="true" focusable="false" {
            svg.ticks viewBox="0 0 1000 14" preserveAspectRatio="none" x="0" y="17" width="100%" height="14" {
                path d=(scale.ticks(short, &[middle, long], 5)) {}
                path d=(scale.ticks(middle, &[long], 8)) {}
                path.long d=(scale.ticks(long, &[], 11)) {}
            }
            @for value in figures(scale, division) {
                text.figure x=(scale.percent(value)) y="38" { (figure(value)) }
            }
            @if let Some(was) = scale.was {
                line.was x1=(scale.percent(was)) x2=(scale.percent(was)) y1="4" y2="42" {}
                text.was x=(scale.percent(was)) y="53" text-anchor=(anchor(scale.share(was))) { "was " (figure(was)) }
            }
            svg.pointer.no-js x=(scale.percent(scale.value)) y="0" overflow="visible" {
                path d="M-7 1h14v9l-7 7l-7-7z" {}
            }
        }
    }
}

/// Nearer than this share of the rule to the long tick of what was, a figure would lie under it.
const TOO_NEAR: f64 = 0.05;

/// Values with a figure: those of the long ticks, or of the middle ones where there are hardly any long ones.
fn figures(scale: &Scale, division: Division) -> Vec<f64> {
    let long: Vec<f64> = scale.multiples(division.long).collect();
    let mut all = if long.len() > 1 { long } else { scale.multiples(division.middle).collect() };
    if let Some(was) = scale.was {
        all.retain(|value| (scale.share(*value) - scale.share(was)).abs() >= TOO_NEAR);
    }
    all
}

/// A figure with no more digits than it needs.
pub fn figure(value: f64) -> String {
    knockon_trade::words::plain(value)
}

/// Words at an end of the rule stay on it.
fn anchor(share: f64) -> &'static str {
    match share {
        share if share < 0.1 => "start",
        share if share > 0.9 => "end",
        _ => "middle",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(least: f64, most: f64) -> Scale {
        Scale { least, most, value: least, was: None }
    }

    #[test]
    fn any_span_has_enough_ticks_and_not_too_many() {
        for span in [0.5, 1.0, 3.0, 10.0, 37.0, 40.0, 52.0, 53.0, 130.0, 400.0, 999.0, 5200.0] {
            let division = Division::of(span);
            let ticks = span / division.short;
            assert!((10.0..=MOST_TICKS).contains(&ticks), "{span}: {ticks}");
            assert!(figures(&scale(0.0, span), division).len() > 1, "{span}");
        }
    }

    #[test]
    fn a_rule_of_forty_has_a_tick_per_millimetre_and_a_figure_every_ten() {
        let rule = scale(0.0, 40.0);
        assert_eq!(Division::of(40.0), Division { short: 1.0, middle: 5.0, long: 10.0 });
        let ticks = |step, but: &[f64]| rule.ticks(step, but, 5).matches('M').count();
        assert_eq!((ticks(1.0, &[5.0, 10.0]), ticks(5.0, &[10.0]), ticks(10.0, &[])), (32, 4, 5));
        assert_eq!(figures(&rule, Division::of(40.0)), [0.0, 10.0, 20.0, 30.0, 40.0]);
    }

    #[test]
    fn what_lies_beyond_the_rule_is_shown_at_its_end() {
        let rule = Scale { least: 0.0, most: 40.0, value: 90.0, was: Some(-3.0) };
        assert_eq!((rule.percent(90.0), rule.percent(-3.0)), ("100.00%".to_owned(), "0.00%".to_owned()));
        let svg = drawing(&rule).into_string();
        assert!(svg.contains("was −3") && !svg.contains("style"));
    }

    #[test]
    fn a_rule_without_length_is_drawn_all_the_same() {
        assert!(drawing(&scale(5.0, 5.0)).into_string().contains("<svg"));
    }
}
