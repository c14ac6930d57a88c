//! Ways to lay the chain, side by side.

use knockon_trade::workings::layouts::Compared;
use kurbo::Point;

use super::{Writer, cell, length};
use crate::compose::figures::number;
use crate::part::{Drawn, Figure, LaidOut, Part, Table};
use knockon_engine::suspension::chain::pitch_radius;

pub(super) fn part(writer: &mut Writer<'_>, compared: &[Compared]) -> Option<Part> {
    let first = compared.first()?;
    let mut sentences = vec![format!(
        "With the rider's weight on a level crank, {} N·m, in the lowest gear the tight run pulls with {} N and the slack run with {} N.",
        number(first.torque, 0),
        number(first.laid.tight_tension, 0),
        number(first.laid.slack_tension, 0),
    )];
    sentences.extend(over(compared));
    let mut notes: Vec<_> = compared
        .iter()
        .filter(|it| !it.turned_over)
        .map(|it| writer.note(format!("{}: {}", it.row.label, it.row.why), &it.row.source))
        .collect();
    notes.push(writer.note(
        "Losses are those of the chain's joints and of inner gears alone; rollers, bearings and a chain that runs askew add to each of them, together 1 to 7 % of a derailleur drive.",
        "articulation loss of Spicer et al., J. Mech. Design 123(4), 2001, with µ 0.09 (as restated in later public work) and a pin of 3.6 mm (from memory)",
    ));
    Some(Part {
        id: "layouts",
        title: "Ways to lay the chain".to_owned(),
        sentences: sentences.iter().map(|sentence| writer.say(sentence)).collect(),
        figures: vec![figure(compared)],
        tables: vec![table(writer, compared)],
        notes,
    })
}

fn over(compared: &[Compared]) -> Option<String> {
    let built = compared.iter().find(|it| !it.turned_over)?;
    let over = compared.iter().find(|it| it.turned_over)?;
    Some(format!(
        "Turned over, with its cage in the tight run, the derailleur's cage would hold {} N instead of {} N, and {} % of the pedalling would be lost in the joints instead of {} %.",
        number(over.on_pulley?, 0),
        number(built.on_pulley?, 0),
        number(over.laid.loss * 100.0, 1),
        number(built.laid.loss * 100.0, 1),
    ))
}

fn name(it: &Compared) -> String {
    if it.turned_over { format!("{}, turned over", it.row.label) } else { it.row.label.clone() }
}

/// How far the chain lies around ring and cog.
fn wraps(it: &Compared) -> String {
    let ends = it.laid.wheels.first().zip(it.laid.wheels.iter().find(|at| at.wheel.centre == it.cog));
    ends.map_or_else(
        || "–".to_owned(),
        |(ring, cog)| format!("{} / {}", number(ring.wrap.to_degrees(), 0), number(cog.wrap.to_degrees(), 0)),
    )
}

fn table(writer: &Writer<'_>, compared: &[Compared]) -> Table {
    let head = [
        "Way",
        "Tight run, N",
        "Slack run, N",
        "Most on a pulley, N",
        "Bends under load",
        "Wrap on ring / cog, °",
        "Loss, %",
        "Above the ground",
        "Across",
        "Range, %",
        "Step, %",
        "Mass, kg",
    ];
    let rows = compared.iter().map(|it| {
        vec![
            name(it),
            number(it.laid.tight_tension, 0),
            number(it.laid.slack_tension, 0),
            cell(it.on_pulley, 0),
            it.engagements.to_string(),
            wraps(it),
            number(it.laid.loss * 100.0, 1),
            writer.say(length(it.clearance, 0)),
            writer.say(length(Some(it.row.across), 0)),
            cell(it.range, 0),
            number(it.row.step, 0),
            number(it.row.mass, 1),
        ]
    });
    Table {
        title: "Ways to lay the chain, in the lowest gear".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: rows.collect(),
    }
}

fn figure(compared: &[Compared]) -> Figure {
    let laid = compared.iter().map(|it| {
        let wheels = it.laid.wheels.iter().map(|at| {
            let radius = pitch_radius(at.wheel.teeth);
            (Point::new(at.wheel.centre.x, at.wheel.centre.y), radius, number(at.wheel.teeth, 0))
        });
        let runs = it
            .laid
            .spans
            .iter()
            .zip(&it.laid.wheels)
            .map(|([from, to], at)| (Point::new(from.x, from.y), Point::new(to.x, to.y), at.after));
        LaidOut {
            label: name(it),
            wheels: wheels.collect(),
            runs: runs.collect(),
            ground: it.ground,
            tyre: it.tyre,
            tight: format!("{} N", number(it.laid.tight_tension, 0)),
            slack: format!("{} N", number(it.laid.slack_tension, 0)),
            clearance: length(it.clearance, 0),
        }
    });
    Figure {
        id: "tension_diagram",
        title: "What pulls where".to_owned(),
        description: "Each way to lay the chain from the bike's right side; the harder a run pulls, the wider it is drawn. The table \
                      holds every figure."
            .to_owned(),
        caption: "The wider a run, the harder it pulls.".to_owned(),
        drawn: Drawn::Layouts(laid.collect()),
    }
}
