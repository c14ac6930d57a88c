//! The brakes: what the rotors do, how hard the bike can slow down, how hot it gets.

use knockon_trade::tables;
use knockon_trade::words::upper_first;
use knockon_trade::workings::braking::{BRISK, Braking, End, FROM, MOST_BY_HAND};

use super::{Writer, cell, moved};
use crate::compose::figures::number;
use crate::part::{Drawn, Figure, HeatChart, HeatCurve, Part, Table};
use crate::sheet::Note;

pub(super) fn part(writer: &mut Writer<'_>, brakes: &Braking) -> Part {
    let mut sentences: Vec<String> = brakes.ends.iter().filter_map(hold).collect();
    sentences.extend(brakes.ends.iter().filter_map(pulled));
    sentences.extend(tips(brakes));
    sentences.extend(way(brakes));
    sentences.extend(brakes.ends.iter().filter_map(hottest));
    sentences.extend(brakes.ends.iter().flat_map(worn));
    let mut notes = levels(writer);
    notes.extend(assumed(writer, brakes));
    let mut tables: Vec<Table> = limits(brakes).into_iter().collect();
    tables.extend(rotors(writer, brakes));
    Part {
        id: "brakes",
        title: "Brakes".to_owned(),
        sentences: sentences.iter().map(|sentence| writer.say(sentence)).collect(),
        figures: figure(brakes).into_iter().collect(),
        tables,
        notes,
    }
}

fn hold(end: &End) -> Option<String> {
    let more = end.more.filter(|more| more.abs() >= 0.5)?;
    let [before, after] = [end.rotor[0]?, end.rotor[1]?];
    if (before - after).abs() < 0.5 {
        return None;
    }
    let word = if more > 0.0 { "more" } else { "less" };
    Some(format!(
        "The {} brake holds the wheel with {} % {word} for the same hand ({} → {} mm of rotor).",
        end.name,
        number(more.abs(), 0),
        number(before, 0),
        number(after, 0),
    ))
}

fn pulled(end: &End) -> Option<String> {
    let (gain, pm) = end.gain?;
    let told = format!(
        "Each newton of the hand on the {} lever holds the tyre with {} ±{} N",
        end.name,
        number(gain, 1),
        number(pm.max(0.1), 1)
    );
    Some(match end.hand {
        Some((hand, pm)) => {
            let hard =
                if hand + pm > MOST_BY_HAND { ": perhaps more than a hand should have to give" } else { "" };
            format!(
                "{told}; to slow down by {} m/s² with it alone takes {} ±{} N{hard}.",
                number(BRISK, 1),
                number(hand, 0),
                number(pm, 0)
            )
        }
        None => format!("{told}."),
    })
}

fn tips(brakes: &Braking) -> Option<String> {
    let (limit, pm) = brakes.tip_over?;
    Some(format!(
        "On the level the rear wheel lifts at {} ±{} m/s² whatever the brake: beyond that a stronger front brake only throws the rider over the bar sooner.",
        number(limit, 1),
        number(pm.max(0.1), 1),
    ))
}

fn way(brakes: &Braking) -> Option<String> {
    let power = brakes.power?;
    let way = &brakes.way;
    Some(format!(
        "Down {} % for {} km at {} km/h the brakes take {} W, {} % of it in front.",
        number(way.gradient, 0),
        number(way.length, 1),
        number(way.speed, 0),
        number(power, 0),
        number(way.front_share, 0),
    ))
}

/// The hottest that a curve gets: °C and ±.
fn peak(end: &End) -> Option<(f64, f64)> {
    let hottest = end.after.iter().max_by(|a, b| a[1].total_cmp(&b[1]))?;
    Some((hottest[1], hottest[2]))
}

fn hottest(end: &End) -> Option<String> {
    let (celsius, pm) = peak(end)?;
    let was = end.before.iter().map(|place| place[1]).reduce(f64::max);
    let told = moved(&cell(was, 0), &number(celsius, 0));
    let reached = tables::heat_levels().iter().rfind(|level| level.celsius <= celsius + pm);
    let level = reached.map_or_else(String::new, |level| {
        let surely = if level.celsius <= celsius - pm { "beyond" } else { "perhaps beyond" };
        format!(", {surely} {} °C, where {}", number(level.celsius, 0), level.what)
    });
    Some(format!("The {} rotor then gets to {told} ±{} °C{level}.", end.name, number(pm, 0)))
}

fn worn(end: &End) -> Vec<String> {
    let rotor = end.rotor_left.map(|left| {
        if left <= 0.0 {
            format!("The {} rotor is worn out: replace it.", end.name)
        } else {
            format!(
                "Of the {} rotor's wear {} % are left, counted from 1.8 mm.",
                end.name,
                number(left.min(100.0), 0)
            )
        }
    });
    let pads = end.lining_left.map(|left| {
        if left <= 0.0 {
            format!("The {} pads are worn out: replace them.", end.name)
        } else {
            format!("The {} pads have {} mm of lining above their least.", end.name, number(left, 1))
        }
    });
    rotor.into_iter().chain(pads).collect()
}

fn levels(writer: &mut Writer<'_>) -> Vec<Note> {
    let rows = tables::heat_levels().iter();
    rows.map(|row| {
        writer.note(
            format!(
                "{} from about {} °C of the rotor on. {}",
                upper_first(&row.what),
                number(row.celsius, 0),
                row.note
            ),
            &row.source,
        )
    })
    .collect()
}

fn assumed(writer: &mut Writer<'_>, brakes: &Braking) -> Vec<Note> {
    let mut notes = vec![writer.note(
        "One lump of metal that takes all of the heat, blown at by the bike's own wind; good to a third at best. No brake is cleared by this: let it cool before it smells, squeals or the lever comes nearer, and follow its maker.",
        "m·c·dT/dt = P − hA(T − Ta) − εσA(T⁴ − Ta⁴); h after Limpert's form for car discs (from memory); emissivity 0.4 and cooling areas from memory, unverified; c of AISI 410 steel from a public data sheet",
    )];
    if brakes.ends.iter().any(|end| !end.levers_are_told) {
        notes.push(writer.note(
            "Levers and pistons are not all told and taken as usual: a lever of 5 to 1, pistons of 4.8 times the master's area at one pad, pads of a friction of 0.4, each give or take a third.",
            "from memory, unverified",
        ));
    }
    for end in &brakes.ends {
        let known = if end.mass_is_told { "the record's" } else { "one of its size" };
        notes.push(
            writer.note(
                format!(
                    "{} rotor: a ring of {} g, {known}.",
                    upper_first(end.name),
                    number(end.mass * 1000.0, 0)
                ),
                tables::rotor(end.rotor[1].unwrap_or(f64::NAN))
                    .map_or("from the record", |row| row.source.as_str()),
            ),
        );
    }
    notes.push(writer.note(
        "Limits of grip are for a rigid bike and a rider who keeps still; the time to react is not counted.",
        "moments about the contacts (d'Alembert); grips from memory, unverified",
    ));
    notes
}

fn limits(brakes: &Braking) -> Option<Table> {
    let rows: Vec<Vec<String>> = brakes
        .limits
        .iter()
        .map(|limit| {
            vec![
                upper_first(&limit.grip.road),
                number(limit.grip.friction, 1),
                number(limit.both, 1),
                number(limit.front, 1),
                number(limit.rear, 1),
                number(limit.distance, 1),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        title: "How hard it can slow down".to_owned(),
        head: [
            "Road".to_owned(),
            "Grip".to_owned(),
            "Both brakes, m/s²".to_owned(),
            "Front alone, m/s²".to_owned(),
            "Rear alone, m/s²".to_owned(),
            format!("Way from {} km/h, m", number(FROM, 0)),
        ]
        .to_vec(),
        rows,
    })
}

fn rotors(writer: &Writer<'_>, brakes: &Braking) -> Option<Table> {
    let size = |value: Option<f64>| writer.say(super::length(value, 0));
    let rows: Vec<Vec<String>> = brakes
        .ends
        .iter()
        .map(|end| {
            let hottest = peak(end).map_or_else(
                || "–".to_owned(),
                |(celsius, pm)| format!("{} ±{}", number(celsius, 0), number(pm, 0)),
            );
            vec![
                upper_first(end.name),
                moved(&size(end.rotor[0]), &size(end.rotor[1])),
                moved(&size(end.effective[0]), &size(end.effective[1])),
                end.more
                    .filter(|more| more.abs() >= 0.5)
                    .map_or_else(|| "–".to_owned(), |more| crate::compose::figures::signed(more, 0)),
                hottest,
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        title: "Rotors".to_owned(),
        head: ["Brake", "Rotor", "Effective radius", "Hold, %", "Hottest, °C"].map(str::to_owned).to_vec(),
        rows,
    })
}

fn figure(brakes: &Braking) -> Option<Figure> {
    let curves: Vec<HeatCurve> = brakes
        .ends
        .iter()
        .filter(|end| !end.after.is_empty())
        .map(|end| HeatCurve {
            label: format!("{} rotor", upper_first(end.name)),
            after: end.after.clone(),
            before: end.before.clone(),
        })
        .collect();
    (!curves.is_empty()).then(|| Figure {
        id: "rotor_temperature",
        title: "Rotors on the way down".to_owned(),
        description: "Temperature of each rotor over the minutes of the way down, with its tolerance, and the temperatures at which \
                      something happens to a brake."
            .to_owned(),
        caption: "The band is what the estimate is worth.".to_owned(),
        drawn: Drawn::Heat(HeatChart {
            curves,
            levels: tables::heat_levels().iter().map(|level| (level.what.clone(), level.celsius)).collect(),
        }),
    })
}
