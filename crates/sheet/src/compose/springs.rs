//! What carries the rider, in sentences.

use knockon_engine::quantity::Quantity;
use knockon_engine::suspension::sag::GRAVITY;
use knockon_engine::suspension::spring::{POUND_PER_INCH, rates_sold};
use knockon_trade::findings::{Findings, KnockOn, Springs, Suspension};
use knockon_trade::tables;

use super::figures::{number, signed};

/// Sentences about load, sag, the spring that it takes, and how both ends go together.
pub(super) fn sentences(findings: &Findings, suspension: &Suspension) -> Vec<String> {
    let [_, after] = &suspension.springs;
    let mut lines = Vec::new();
    lines.extend(loads(after));
    lines.extend(sag(findings, after));
    lines.extend(coil(findings, after));
    lines.extend(pressure(findings, (Quantity::PressureForSag, "shock", after.pressure)));
    lines.extend(fork_sag(findings, after));
    lines.extend(fork_coil(findings, after));
    lines.extend(pressure(findings, (Quantity::ForkPressureForSag, "fork", after.fork_pressure)));
    lines.extend(energy(after));
    lines.extend(balance(after));
    lines
}

fn find(findings: &Findings, quantity: Quantity) -> Option<&KnockOn> {
    findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity)
}

fn loads(springs: &Springs) -> Option<String> {
    let (rear, front) = (springs.rear_load?, springs.front_load?);
    let kilograms = |newtons: f64| number(newtons / GRAVITY, 0);
    Some(format!(
        "With the rider at rest the rear wheel carries about {} kg and the front wheel {} kg.",
        kilograms(rear),
        kilograms(front),
    ))
}

fn sag(findings: &Findings, springs: &Springs) -> Option<String> {
    let sag = find(findings, Quantity::ShockSag)?;
    let (after, pm) = (sag.after?, sag.after_pm?);
    let told = format!("{} ±{} %", number(after, 0), number(pm.max(1.0), 0));
    Some(if springs.rear_by_spring {
        format!("By its spring the shock sags by {told} of its stroke, friction left out.")
    } else {
        format!(
            "The shock is taken to be set up to sag by {told} of its stroke; the record does not say enough of its spring to work that out."
        )
    })
}

fn coil(findings: &Findings, springs: &Springs) -> Option<String> {
    let wanted = find(findings, Quantity::CoilRateForSag)?;
    let (rate, pm) = (wanted.after?, wanted.after_pm?);
    let pounds = |rate: f64| number(rate / POUND_PER_INCH, 0);
    let (below, above) = rates_sold(rate);
    let now = springs
        .coil_rate
        .map_or_else(String::new, |now| format!(" The spring that is on has {} lb/in.", pounds(now)));
    Some(format!(
        "For the wanted sag a coil spring would need {} ±{} N/mm ({} lb/in); sold next to that are {} and {} lb/in.{now}",
        number(rate, 1),
        number(pm.max(0.1), 1),
        pounds(rate),
        pounds(below),
        pounds(above),
    ))
}

fn fork_sag(findings: &Findings, springs: &Springs) -> Option<String> {
    let sag = find(findings, Quantity::ForkSag).filter(|_| springs.fork_by_spring)?;
    let (after, pm, travel) = (sag.after?, sag.after_pm?, find(findings, Quantity::ForkTravel)?.after?);
    Some(format!(
        "By its spring the fork sags by {} ±{} % of its travel, friction left out.",
        number(after / travel * 100.0, 0),
        number((pm / travel * 100.0).max(1.0), 0),
    ))
}

fn fork_coil(findings: &Findings, springs: &Springs) -> Option<String> {
    let wanted = find(findings, Quantity::ForkCoilRateForSag)?;
    let (rate, pm) = (wanted.after?, wanted.after_pm?);
    let now = springs
        .fork_coil_rate
        .map_or_else(String::new, |now| format!(" The one that is in it has {} N/mm.", number(now, 1)));
    Some(format!(
        "For the wanted sag the fork would need a spring of {} ±{} N/mm.{now}",
        number(rate, 1),
        number(pm.max(0.1), 1),
    ))
}

fn pressure(findings: &Findings, (quantity, part, present): (Quantity, &str, Option<f64>)) -> Option<String> {
    let wanted = find(findings, quantity)?;
    let (bar, pm) = (wanted.after?, wanted.after_pm?);
    let now = present
        .filter(|now| (bar - now).abs() >= 0.05)
        .map_or_else(String::new, |now| format!(", {} bar from what is in it", signed(bar - now, 1)));
    Some(format!(
        "For the wanted sag the {part} takes about {} ±{} bar ({} psi){now}. Stay below the pressure marked on it.",
        number(bar, 1),
        number(pm.max(0.1), 1),
        number(bar / psi(), 0),
    ))
}

fn energy(springs: &Springs) -> Option<String> {
    let rear = springs
        .energy
        .map(|energy| format!("Over its whole stroke the shock's spring takes up {} J", number(energy, 0)));
    let front = springs
        .fork_energy
        .map(|energy| format!("Over its whole travel the fork's spring takes up {} J", number(energy, 0)));
    let both = match (rear, front) {
        (Some(rear), Some(front)) => format!("{rear}. {front}"),
        (rear, front) => rear.or(front)?,
    };
    Some(format!("{both}, damping and bump stop left out."))
}

/// Ends whose frequencies differ by less than this part are told to be alike. From memory, unverified.
const ALIKE: f64 = 0.05;

fn balance(springs: &Springs) -> Option<String> {
    let (rear, front) = (springs.rear_frequency?, springs.front_frequency?);
    let firmer = match front / rear {
        ratio if ratio > 1.0 + ALIKE => "the front is the firmer end",
        ratio if ratio < 1.0 - ALIKE => "the rear is the firmer end",
        _ => "both ends are about as firm",
    };
    Some(format!(
        "At sag the front bounces at {} Hz and the rear at {} Hz by their springs: {firmer}.",
        number(front, 1),
        number(rear, 1),
    ))
}

/// Bar in a pound-force per square inch, from the table of units.
fn psi() -> f64 {
    let row = tables::units().iter().find(|unit| unit.symbols.iter().any(|symbol| symbol == "psi"));
    row.map_or(f64::NAN, |unit| unit.factor)
}
