//! What a record says about itself that cannot be true, or hardly can.
//!
//! That a shock's stroke is less than half of its length, and that a tyre's height differs from its marking by no more than
//! 30 %, are from memory, unverified; the other rules are geometry.

use super::parse::Reader;
use crate::tables;
use crate::units::shown;

/// Reports values that contradict each other as errors, and values out of the usual as warnings.
pub(super) fn contradictions(reader: &mut Reader<'_>) {
    let found: Vec<(&str, String, String)> = rules(reader);
    for (key, message, help) in found {
        let problem = reader.error(reader.place(key), message).with_help(help);
        reader.problem(problem);
    }
    unusual(reader);
}

fn rules(reader: &Reader<'_>) -> Vec<(&'static str, String, String)> {
    let record = &reader.record;
    let value = |key: &str| record.fact(key).map(|fact| fact.value);
    let mut found = Vec::new();
    let mut say = |key, message: String, help: &str| found.push((key, message, help.to_owned()));

    if let Some([least, most]) = record.axle_to_crown_allowed
        && least > most
    {
        let message = format!("the least axle to crown, {least} mm, is more than the most, {most} mm");
        say("fork.axle_to_crown_allowed", message, "write the smaller number first");
    }
    if let (Some(chainstay), Some(drop)) = (value("chart.chainstay"), value("chart.bottom_bracket_drop"))
        && chainstay <= drop.abs()
    {
        say(
            "chart.bottom_bracket_drop",
            format!("the bottom bracket cannot lie {drop} mm below an axle that is only {chainstay} mm away"),
            "drop is measured straight down from the level of the rear axle",
        );
    }
    if let (Some(length), Some(offset)) = (value("fork.axle_to_crown"), value("fork.offset"))
        && length <= offset.abs()
    {
        say(
            "fork.offset",
            format!("an offset of {offset} mm does not go with {length} mm axle to crown"),
            "check both",
        );
    }
    if let (Some(eyes), Some(stroke)) = (value("shock.eye_to_eye"), value("shock.stroke"))
        && stroke >= eyes * 0.5
    {
        say(
            "shock.stroke",
            format!("a shock of {eyes} mm eye to eye cannot have {stroke} mm of stroke"),
            "the body alone takes more than half of the length; are the two swapped?",
        );
    }
    if let (Some(width), Some(inset)) = (value("bar.width"), value("bar.hand_inset"))
        && inset * 2.0 >= width
    {
        say(
            "bar.hand_inset",
            format!("hands {inset} mm from the ends of a {width} mm bar would cross"),
            "it is counted from the bar's end",
        );
    }
    if let (Some(width), Some(bend)) = (value("bar.width"), value("bar.bend"))
        && bend * 2.0 >= width
    {
        say(
            "bar.bend",
            format!("a bend {bend} mm from the middle lies beyond the end of a {width} mm bar"),
            "it is counted from the bar's middle",
        );
    }
    if let (Some(height), Some(setback)) = (value("saddle.height"), value("saddle.setback"))
        && setback.abs() >= height
    {
        say(
            "saddle.setback",
            format!("a setback of {setback} mm does not go with a saddle height of {height} mm"),
            "check both",
        );
    }
    for (tyre, key) in [(&record.front_tyre, "wheel.front.radius"), (&record.rear_tyre, "wheel.rear.radius")]
    {
        if let (Some(tyre), Some(radius)) = (tyre, value(key)) {
            let expected = tyre.bead_seat_radius() + tyre.width;
            if (radius - expected).abs() > 0.3 * tyre.width {
                say(
                    key,
                    format!(
                        "a {tyre} tyre has a radius of about {}, not {}",
                        shown(expected.round(), "mm"),
                        shown(radius, "mm")
                    ),
                    "measure from the ground to the axle's middle, or take out the one that is wrong",
                );
            }
        }
    }
    found
}

fn unusual(reader: &mut Reader<'_>) {
    let small = reader.record.is_small();
    let mut found = Vec::new();
    for (key, fact) in &reader.record.facts {
        let Some(property) = tables::property(key) else { continue };
        let edge = fact.value / property.dimension.edge_factor();
        let [mut least, most] = property.usual;
        if small && least > 0.0 && property.dimension == crate::units::Dimension::Length {
            least *= 0.5;
        }
        if !(least..=most).contains(&edge) {
            let unit = property.dimension.edge_unit();
            found.push((
                *key,
                format!("{key} is {}, which is unusual", shown(edge, unit)),
                format!("usual is {} to {}; it is used as it stands", shown(least, unit), shown(most, unit)),
            ));
        }
    }
    for (key, message, help) in found {
        let problem = reader.error(reader.place(key), message).with_help(help).as_warning();
        reader.problem(problem);
    }
}
