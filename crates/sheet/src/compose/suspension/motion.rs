//! What a script needs to move the drawing, as one JSON object: places in millimetres, and the figures that it
//! shows in the sheet's units.

use knockon_engine::suspension::curve::Curve;
use serde_json::{Value, json};

use super::words::ROWS;
use super::{Given, decimals, unit};
use crate::ride::Machine;

/// What is read off at any place; the travel comes first and says where that is.
const SHOWN: [Curve; 9] = [
    Curve::Travel,
    Curve::Leverage,
    Curve::AntiSquat,
    Curve::AntiRise,
    Curve::Kickback,
    Curve::WheelForce,
    Curve::HeadAngle,
    Curve::Trail,
    Curve::BottomBracketHeight,
];

/// The object; empty arrays where the record has no linkage.
pub(super) fn json(given: &Given, machine: Option<&Machine>) -> String {
    let travel = &given.suspension.after;
    let bodies: Vec<Value> =
        travel.bodies.iter().map(|bodies| bodies.iter().map(|body| list(body)).collect()).collect();
    let chain = machine.filter(|machine| machine.chain.len() == machine.places.len()).map(|machine| {
        let of = |run: usize| -> Value {
            let runs = machine.chain.iter().map(|runs| &runs[run]);
            runs.map(|run| run.iter().map(|at| list(&[at.x, at.y])).collect::<Value>()).collect()
        };
        json!({ "tight": of(0), "slack": of(1) })
    });
    let eyes: Option<Value> = machine.map(|machine| {
        machine.eyes.iter().map(|(body, at)| json!({ "body": body, "at": list(&[at.x, at.y]) })).collect()
    });
    let object = json!({
        "count": travel.values.len(),
        "sag": machine.and_then(|machine| machine.sag).or_else(|| super::sag(travel)).map(number),
        "bodies": bodies,
        "axle": travel.axle.iter().map(|at| list(at)).collect::<Value>(),
        "standing": travel.standing.iter().map(|at| list(at)).collect::<Value>(),
        "eyes": eyes,
        "chain": chain,
        "shown": shown(given),
        "points": points(given),
    });
    object.to_string()
}

/// Curves to read off, in the sheet's units and with the decimals that they deserve there.
fn shown(given: &Given) -> Value {
    let (travel, units) = (&given.suspension.after, given.units);
    ROWS.iter()
        .filter(|(of, _)| SHOWN.contains(of))
        .filter(|(of, _)| *of == Curve::Travel || super::curve(travel, *of).any(f64::is_finite))
        .map(|(of, label)| {
            let unit = unit(*of);
            json!({
                "label": label,
                "unit": units.label(unit),
                "decimals": units.decimals(unit, decimals(*of), None),
                "values": super::curve(travel, *of).map(|value| number(units.figure(value, unit))).collect::<Value>(),
            })
        })
        .collect()
}

/// Every point of the linkage where it is drawn after the changes, on a body that it moves with.
fn points(given: &Given) -> Value {
    let Some(drawn) = &given.suspension.linkage else { return json!([]) };
    let points = drawn.points.iter().zip(&drawn.points_after);
    points
        .filter_map(|(point, at)| {
            Some(json!({ "name": point.name, "body": point.on.first()?, "at": list(at) }))
        })
        .collect()
}

/// Four decimals; null where it is not known.
fn number(value: f64) -> Value {
    if value.is_finite() { json!((value * 1e4).round() / 1e4) } else { Value::Null }
}

fn list(values: &[f64]) -> Value {
    values.iter().map(|value| number(*value)).collect()
}
