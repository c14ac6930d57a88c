//! Every gear: a chart, the chain from above, a table.

use knockon_engine::drivetrain::gear::range;
use knockon_engine::quantity::Quantity;
use knockon_trade::findings::Findings;
use knockon_trade::workings::gears::{BRISK, FanWork, GAP, GearRow, Gears, SAME};

use super::{Writer, cell, moved};
use crate::compose::figures::number;
use crate::part::{Drawn, Fan, Figure, GearChart, Part, RingLine, Table};

/// Angle from which on a chain is loud and wears fast, degrees. Common practice, no source: 2 to 3° are named.
const ASKEW: f64 = 3.0;

pub(super) fn part(writer: &mut Writer<'_>, findings: &Findings, gears: &Gears) -> Part {
    let mut sentences = vec![extremes(gears), steps(gears)];
    sentences.extend(climb(findings, gears));
    sentences.extend(gears.fan.as_ref().map(askew));
    if gears.ends_only {
        sentences.push(
            "Of the cassette only its smallest and its largest cog are known; what lies between is left out."
                .to_owned(),
        );
    }
    let mut figures = vec![chart(gears)];
    figures.extend(gears.fan.as_ref().map(fan));
    let notes = vec![
        writer.note(
            format!(
                "Developments are good to ±{} %, the wheel's radius; a loaded tyre rolls about 1 % less far. Speeds at {} turns a minute.",
                number((gears.relative_pm * 100.0).max(0.1), 1),
                number(BRISK, 0)
            ),
            "definitions of the trade; common practice, no source",
        ),
        writer.note(
            format!("Gears less than {} % apart are counted as one; from {} % on a step is felt as a gap.", number(SAME * 100.0, 0), number(GAP * 100.0, 0)),
            "common practice, no source; figures from memory, unverified",
        ),
    ];
    Part {
        id: "gears",
        title: "Gears".to_owned(),
        sentences: sentences.iter().map(|sentence| writer.say(sentence)).collect(),
        figures,
        tables: std::iter::once(table(gears)).chain(climbs(gears)).collect(),
        notes,
    }
}

fn extremes(gears: &Gears) -> String {
    let ends = |rows: &[GearRow]| Some((*rows.first()?, *rows.last()?));
    let Some((low, high)) = ends(&gears.after) else { return String::new() };
    let told = |old: Option<f64>, new: f64| {
        moved(&old.map_or_else(|| "–".to_owned(), |old| number(old, 2)), &number(new, 2))
    };
    let before = ends(&gears.before);
    let reach = |rows: (GearRow, GearRow)| range(rows.0.ratio, rows.1.ratio) * 100.0;
    let wide = moved(
        &before.map_or_else(|| "–".to_owned(), |rows| number(reach(rows), 0)),
        &number(reach((low, high)), 0),
    );
    format!(
        "One turn of the cranks takes the bike {} m in the lowest gear and {} m in the highest: a range of {wide} %.",
        told(before.map(|rows| rows.0.development), low.development),
        told(before.map(|rows| rows.1.development), high.development),
    )
}

fn steps(gears: &Gears) -> String {
    let steps: Vec<f64> = gears.after.iter().filter_map(|row| row.step).collect();
    let count = gears.after.len();
    let own = count - gears.overlapping.min(count);
    let Some(most) = steps.iter().copied().reduce(f64::max) else {
        return "It has one gear.".to_owned();
    };
    let overlap = match gears.overlapping {
        0 => format!("{count} gears"),
        more => format!(
            "{count} gears, of which {more} are nearly the same as another, so {own} that a rider can tell apart"
        ),
    };
    let gap = if most >= GAP * 100.0 && !gears.ends_only { ", which is felt as a gap" } else { "" };
    format!("It has {overlap}; the largest step from one to the next is {} %{gap}.", number(most, 0))
}

fn climb(findings: &Findings, gears: &Gears) -> Option<String> {
    let climb = findings.knock_ons.iter().find(|it| it.quantity == Quantity::SteepestClimb)?;
    let (slope, pm) = (climb.after?, climb.after_pm?);
    Some(format!(
        "At {} turns a minute the rider can hold a slope of about {} ±{} % in the lowest gear.",
        number(gears.climbing_cadence, 0),
        number(slope, 0),
        number(pm.max(1.0), 0),
    ))
}

fn askew(fan: &FanWork) -> String {
    let (ring, cog) = (fan.rings[fan.worst.0].1, fan.cogs[fan.worst.1].1);
    let much = if fan.worst_angle >= ASKEW { ", where it is loud and wears fast" } else { "" };
    format!(
        "The chain runs most askew on {} × {}: {}°{much}.",
        number(ring, 0),
        number(cog, 0),
        number(fan.worst_angle, 1)
    )
}

fn lines(rows: &[GearRow]) -> Vec<RingLine> {
    let mut rings: Vec<f64> = rows.iter().map(|row| row.ring).collect();
    rings.sort_by(f64::total_cmp);
    rings.dedup();
    rings
        .into_iter()
        .map(|ring| RingLine {
            label: format!("ring {}", number(ring, 0)),
            gears: rows
                .iter()
                .filter(|row| row.ring == ring)
                .map(|row| {
                    let inner = row.inner != 1.0 || rows.iter().any(|other| other.inner != 1.0);
                    let name = if inner { number(row.inner, 2) } else { number(row.cog, 0) };
                    (row.development, name)
                })
                .collect(),
        })
        .collect()
}

fn chart(gears: &Gears) -> Figure {
    let before = if gears.before == gears.after { Vec::new() } else { lines(&gears.before) };
    Figure {
        id: "gear_chart",
        title: "Every gear by its development".to_owned(),
        description: "A ladder for each ring with a rung for each gear, higher the further one turn of the cranks takes the \
                      bike. Equal steps in per cent are equally high. The table holds every figure."
            .to_owned(),
        caption: if lines(&gears.after).len() > 1 {
            "Lower is easier. Rungs of two ladders at one height are the same gear twice.".to_owned()
        } else {
            "Lower is easier. Where rungs lie far apart a gear is missed between them.".to_owned()
        },
        drawn: Drawn::Gears(GearChart { unit: "m".to_owned(), rings: lines(&gears.after), before }),
    }
}

fn fan(fan: &FanWork) -> Figure {
    let named = |places: &[(f64, f64)]| places.iter().map(|(at, teeth)| (*at, number(*teeth, 0))).collect();
    Figure {
        id: "chain_fan",
        title: "The chain from above".to_owned(),
        description: "Rings in front and cogs behind at their distance from the frame's middle, with the chain from each to each; \
                      the one that runs most askew is drawn wide."
            .to_owned(),
        caption: "The straighter a chain runs, the quieter it is and the longer it lasts.".to_owned(),
        drawn: Drawn::Fan(Fan {
            rings: named(&fan.rings),
            cogs: named(&fan.cogs),
            centres: fan.centres,
            worst: (fan.worst.0, fan.worst.1, format!("{}°", number(fan.worst_angle, 1))),
        }),
    }
}

fn climbs(gears: &Gears) -> Option<Table> {
    let (power, guess) = gears.climbing_power;
    let rows: Vec<Vec<String>> = gears
        .climbs
        .iter()
        .map(|climb| {
            let gear = climb.gear.and_then(|at| gears.after.get(at));
            vec![
                format!("{} %", number(climb.slope, 0)),
                number(climb.speed, 1),
                number(climb.cadence, 0),
                gear.map_or_else(|| "too hard".to_owned(), name),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        title: format!(
            "On a slope, with {} W{}",
            number(power, 0),
            if guess { ", a guess: tell the rider's power" } else { "" }
        ),
        head: [
            "Slope".to_owned(),
            "Speed, km/h".to_owned(),
            "Cadence in the lowest gear, /min".to_owned(),
            format!("Highest gear at {} /min", number(gears.climbing_cadence, 0)),
        ]
        .to_vec(),
        rows,
    })
}

/// "28 × 36", with the inner ratio where there is one.
fn name(row: &GearRow) -> String {
    let name = format!("{} × {}", number(row.ring, 0), number(row.cog, 0));
    if row.inner == 1.0 { name } else { format!("{name} × {}", number(row.inner, 3)) }
}

fn table(gears: &Gears) -> Table {
    let inner = gears.after.iter().any(|row| row.inner != 1.0);
    let askew = gears.after.iter().any(|row| row.chain_angle.is_some());
    let gain = gears.after.iter().any(|row| row.gain_ratio.is_some());
    let mut head = vec!["Gear", "Ratio", "Development, m", "Speed, km/h", "Step, %"];
    if gain {
        head.push("Gain ratio");
    }
    if askew {
        head.push("Chain askew, °");
    }
    let rows = gears.after.iter().map(|row| {
        let mut name = format!("{} × {}", number(row.ring, 0), number(row.cog, 0));
        if inner {
            name = format!("{name} × {}", number(row.inner, 3));
        }
        let mut cells = vec![
            name,
            number(row.ratio, 2),
            number(row.development, 2),
            number(row.speed, 1),
            cell(row.step, 0),
        ];
        if gain {
            cells.push(cell(row.gain_ratio, 2));
        }
        if askew {
            cells.push(cell(row.chain_angle, 1));
        }
        cells
    });
    Table {
        title: "Every gear, lowest first".to_owned(),
        rows: rows.collect(),
        head: head.into_iter().map(str::to_owned).collect(),
    }
}
