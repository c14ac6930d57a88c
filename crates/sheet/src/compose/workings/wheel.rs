//! The wheels: tyres, pressures, spokes.

use knockon_engine::wheel::pressure::Ruled;
use knockon_engine::wheel::tyre::loaded_radius;
use knockon_trade::tables;
use knockon_trade::words::{join, lower_first, upper_first};
use knockon_trade::workings::wheel::{SpokeWork, TensionWork, TyreWork, WheelWork, usual_drop};

use super::{Writer, length};
use crate::compose::figures::number;
use crate::part::{Part, Table};

pub(super) fn part(writer: &mut Writer<'_>, wheels: &[WheelWork]) -> Option<Part> {
    if wheels.is_empty() {
        return None;
    }
    let sentences: Vec<String> = wheels.iter().flat_map(sentences).collect();
    let mut notes = Vec::new();
    if wheels.iter().any(|wheel| wheel.tyre.is_some()) {
        notes.push(writer.note(
            "The pressure is a place to begin from; lower for grip and comfort until the rim is near, higher for speed on smooth roads. What is printed on tyre and rim always wins, the lower of the two.",
            "D. Adams' fit of F. Berto's chart of measured tyres (15 % drop), 20 to 37 mm wide, which two other fits agree with; wider is extrapolation; the chart itself was not seen",
        ));
        notes.push(writer.note(
            "A tyre on a wider rim stands wider by about 0.4 mm for each mm of the rim.",
            "constant casing length, derived; 0.4 is also a wheel builders' rule (from memory)",
        ));
    }
    if wheels.iter().any(|wheel| wheel.spokes.is_some()) {
        notes.push(writer.note(
            "Round to the nearest length that is sold: at most 0.6 mm down on the tight side, 0.6 mm up on the slack one. Check with one spoke of each side before the rest is cut.",
            "law of cosines in three dimensions, worked examples on public pages; rounding: a public wheel builder's page",
        ));
    }
    let tables: Vec<Table> = [tyres(writer, wheels), spokes(writer, wheels)].into_iter().flatten().collect();
    Some(Part {
        id: "wheels",
        title: "Wheels".to_owned(),
        sentences: sentences.iter().map(|sentence| writer.say(sentence)).collect(),
        figures: Vec::new(),
        tables,
        notes,
    })
}

fn sentences(wheel: &WheelWork) -> Vec<String> {
    let name = wheel.place.word();
    let mut lines = Vec::new();
    if let Some(tyre) = &wheel.tyre {
        lines.extend(width(name, tyre));
        lines.extend(pressure(name, tyre));
        lines.extend(sinks(name, tyre));
    }
    lines.extend(wheel.spokes.as_ref().map(|spokes| laced(name, spokes)));
    lines.extend(wheel.tension.iter().flat_map(|tension| measured(name, tension, wheel.spokes.as_ref())));
    if !wheel.missing.is_empty() {
        let labels: Vec<String> = wheel
            .missing
            .iter()
            .filter_map(|key| tables::property(key))
            .map(|row| lower_first(&row.label))
            .collect();
        lines.push(format!("For the {name} wheel's spokes it takes also: {}.", join(&labels)));
    }
    lines
}

fn width(name: &str, tyre: &TyreWork) -> Option<String> {
    let (inner, inflated) = (tyre.rim_inner?, tyre.inflated?);
    Some(format!(
        "The {name} tyre {} stands about {} mm wide on a rim of {} mm inside.",
        tyre.marked,
        number(inflated, 1),
        number(inner, 0)
    ))
}

fn pressure(name: &str, tyre: &TyreWork) -> Option<String> {
    let (bar, ruled) = tyre.suggested?;
    let (rule, pm) = tyre.rule?;
    let psi = |bar: f64| number(bar / PSI, 0);
    Some(match ruled {
        Ruled::Most => format!(
            "The {name} tyre would want {} bar for its load, more than tyre and rim allow: {} bar ({} psi) and not more. A wider tyre is what it takes.",
            number(rule, 1),
            number(bar, 1),
            psi(bar)
        ),
        Ruled::Least => format!(
            "The {name} tyre would want {} bar for its load, less than tyre and rim ask for: {} bar ({} psi) at least.",
            number(rule, 1),
            number(bar, 1),
            psi(bar)
        ),
        _ => format!(
            "Begin with {} ±{} bar ({} psi) in the {name} tyre.",
            number(bar, 1),
            number(pm.max(0.1), 1),
            psi(bar)
        ),
    })
}

/// One pound-force per square inch, bar. Source: NIST SP 811, appendix B.
const PSI: f64 = knockon_engine::wheel::pressure::POUND_PER_SQUARE_INCH;

fn sinks(name: &str, tyre: &TyreWork) -> Option<String> {
    let (drop, share) = (tyre.drop?, tyre.drop_share?);
    let bar = tyre.pressure?;
    let much = if share > usual_drop() * 200.0 { ": near its rim" } else { "" };
    Some(format!(
        "At the {} bar that it has, the {name} tyre sinks by about {} mm, {} % of its height{much}.",
        number(bar, 1),
        number(drop, 0),
        number(share, 0)
    ))
}

/// Evenness that a sound wheel keeps to, percent. From memory, unverified.
const EVEN: f64 = 20.0;

fn measured(name: &str, tension: &TensionWork, spokes: Option<&SpokeWork>) -> Vec<String> {
    let mut lines = Vec::new();
    for (side, word) in ["left", "right"].into_iter().enumerate() {
        let Some(spread) = tension.spread[side] else { continue };
        let mean = tension.mean[side]
            .map_or_else(String::new, |mean| format!(" pull with {} N on average and", number(mean, 0)));
        let uneven = if spread > EVEN { ": uneven, look for a loose or a bent one" } else { "" };
        lines.push(format!(
            "By the meter the {name} wheel's {word} spokes{mean} differ from their mean by up to {} %{uneven}.",
            number(spread, 0)
        ));
    }
    if let (Some(ratio), Some(spokes)) = (tension.left_over_right, spokes) {
        lines.push(format!(
            "Left over right that is {} %; a rim in the middle asks for {} %.",
            number(ratio, 0),
            number(spokes.left_over_right, 0)
        ));
    }
    lines
}

fn laced(name: &str, spokes: &SpokeWork) -> String {
    let [left, right] = spokes.lengths;
    let ratio = spokes.left_over_right;
    let tension = if (ratio - 100.0).abs() < 1.0 {
        "both sides pull alike".to_owned()
    } else if ratio < 100.0 {
        format!("the left ones pull with {} % of the right ones", number(ratio, 0))
    } else {
        format!("the right ones pull with {} % of the left ones", number(10_000.0 / ratio, 0))
    };
    let before = spokes.before.map_or_else(String::new, |[left, right]| {
        format!(" Before they were {} mm and {} mm.", number(left, 1), number(right, 1))
    });
    format!(
        "The {name} wheel's {} spokes are {} ±{} mm long on the left and {} ±{} mm on the right; {tension}.{before}",
        number(spokes.spokes, 0),
        number(left.0, 1),
        number(left.1.max(0.1), 1),
        number(right.0, 1),
        number(right.1.max(0.1), 1),
    )
}

fn tyres(writer: &Writer<'_>, wheels: &[WheelWork]) -> Option<Table> {
    let rows: Vec<Vec<String>> = wheels
        .iter()
        .filter_map(|wheel| {
            let tyre = wheel.tyre.as_ref()?;
            let bar = |value: Option<f64>| super::cell(value, 1);
            Some(vec![
                format!("{}, {}", upper_first(wheel.place.word()), tyre.marked),
                writer.say(length(tyre.inflated, 1)),
                writer.say(length(Some(tyre.radius), 0)),
                tyre.load.map_or_else(|| "–".to_owned(), |load| number(load, 0)),
                bar(tyre.suggested.map(|(value, _)| value)),
                bar(tyre.limits[0]),
                bar(tyre.limits[1]),
                writer.say(length(tyre.drop, 1)),
                writer.say(length(tyre.drop.map(|drop| loaded_radius(tyre.radius, drop)), 0)),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        title: "Tyres".to_owned(),
        head: [
            "Tyre",
            "Width",
            "Radius",
            "Load, N",
            "Begin with, bar",
            "Least, bar",
            "Most, bar",
            "Sinks by",
            "Radius under load",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows,
    })
}

fn spokes(writer: &Writer<'_>, wheels: &[WheelWork]) -> Option<Table> {
    let rows: Vec<Vec<String>> = wheels
        .iter()
        .filter_map(|wheel| Some((wheel, wheel.spokes.as_ref()?)))
        .flat_map(|(wheel, spokes)| {
            ["left", "right"].into_iter().enumerate().map(move |(side, word)| {
                let (long, pm) = spokes.lengths[side];
                (
                    format!("{}, {word}", upper_first(wheel.place.word())),
                    format!("{} mm", number(long, 1)),
                    format!("±{} mm", number(pm.max(0.1), 1)),
                    number(spokes.crosses[side], 0),
                    number(spokes.bracing[side], 1),
                    number(if side == 0 { spokes.left_over_right } else { 100.0 }, 0),
                )
            })
        })
        .map(|(name, long, pm, crosses, bracing, tension)| {
            vec![name, writer.say(long), writer.say(pm), crosses, bracing, tension]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        title: "Spokes".to_owned(),
        head: ["Side", "Length", "±", "Crosses", "Bracing angle, °", "Tension of the right side, %"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    })
}
