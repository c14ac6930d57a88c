//! A bolt, and the usual torques of a bicycle's joints.

use knockon_trade::words::upper_first;
use knockon_trade::workings::torque::{BoltWork, JointRow};

use super::Writer;
use crate::compose::figures::number;
use crate::part::{Part, Table};
use crate::sheet::Note;
use crate::units::Units;

/// What is said with every torque. No writer may drop one.
pub const CAUTIONS: [&str; 4] = [
    "The figure that is printed on the part or named by its maker always wins: it knows the clamp, the insert and the tube, a bolt's strength does not.",
    "Carbon: no grease unless the maker asks for it, assembly paste where it must not slip, a torque wrench, small steps, and never on a part that is scratched, crushed or was in a crash.",
    "Stem, bar, brakes and axles: check by hand that nothing turns or slips before the first ride, and again after it.",
    "A bolt that was overtightened, bent or rusted is replaced, and so is a thread that gave way; let somebody qualified judge the part it was in.",
];

/// The part about joints and a bolt, with its sources.
pub fn torque(joints: &[&JointRow], bolt: Option<&BoltWork>) -> (Part, Vec<String>) {
    let mut sources = Vec::new();
    let mut writer = Writer { units: Units::default(), sources: &mut sources };
    let mut sentences = Vec::new();
    let mut tables = Vec::new();
    let mut notes = Vec::new();
    if let Some(bolt) = bolt {
        sentences.extend(told(bolt));
        tables.push(table(bolt));
        notes.extend(noted(&mut writer, bolt));
    }
    if !joints.is_empty() {
        tables.push(usual(joints));
        for joint in joints {
            notes.push(writer.note(format!("{}: {}", upper_first(&joint.name), joint.mind), &joint.source));
        }
    }
    let part =
        Part { id: "torque", title: "Torque".to_owned(), sentences, figures: Vec::new(), tables, notes };
    (part, sources)
}

fn told(bolt: &BoltWork) -> Vec<String> {
    let name = format!("{} {}", bolt.thread.name, bolt.class.name);
    let [least, usual, most] = bolt.preload;
    let mut lines = vec![format!(
        "A bolt {name}, {}, bears {} N·m; that is what it can stand, never what the joint wants.",
        bolt.friction.name,
        number(bolt.bears, 1)
    )];
    lines.push(format!(
        "At {} N·m it clamps with {} N, by the friction with {} to {} N: up to {} % of what leaves it unstretched.",
        number(bolt.torque, 1),
        hundreds(usual),
        hundreds(least),
        hundreds(most),
        number(bolt.worst_share, 0)
    ));
    if bolt.worst_share > 100.0 {
        lines.push("That can stretch the bolt for good: too much.".to_owned());
    }
    if bolt.maker_wins {
        lines.push(format!(
            "The maker's {} N·m is used, not the figure that was asked.",
            number(bolt.torque, 1)
        ));
    }
    if let Some(enough) = bolt.deep_enough {
        let deep = number(bolt.engagement[3], 1);
        lines.push(if enough {
            format!("It goes deep enough for a thread in aluminium, which wants {deep} mm.")
        } else {
            format!("It does not go deep enough for a thread in aluminium, which wants {deep} mm: a longer bolt, or another part.")
        });
    }
    lines
}

/// To two figures that matter.
fn hundreds(newtons: f64) -> String {
    number((newtons / 100.0).round() * 100.0, 0)
}

fn noted(writer: &mut Writer<'_>, bolt: &BoltWork) -> Vec<Note> {
    vec![
        writer.note(
            format!("T = K·d·F with K {} here, from the friction of thread and head.", number(bolt.nut_factor, 2)),
            "VDI 2230's form (from memory), checked against published torque tables; short form: Shigley, section 8-8",
        ),
        writer.note(
            format!("Friction {}: {} to {}.", bolt.friction.name, number(bolt.friction.range[0], 2), number(bolt.friction.range[2], 2)),
            &bolt.friction.source,
        ),
        writer.note(
            format!("{}, {}: {} N/mm² without lasting stretch.", bolt.class.name, bolt.class.material, number(bolt.class.proof, 0)),
            &bolt.class.source,
        ),
        writer.note(
            format!("{}: {}.", bolt.thread.name, bolt.thread.used),
            &bolt.thread.source,
        ),
    ]
}

fn table(bolt: &BoltWork) -> Table {
    let row = |name: &str, value: String| vec![name.to_owned(), value];
    Table {
        title: format!("Bolt {} {}", bolt.thread.name, bolt.class.name),
        head: ["", "Figure"].map(str::to_owned).to_vec(),
        rows: vec![
            row("Stress area", format!("{} mm²", number(bolt.area, 1))),
            row("Load without lasting stretch", format!("{} N", hundreds(bolt.proof))),
            row("Torque that the bolt bears", format!("{} N·m", number(bolt.bears, 1))),
            row("Torque told about", format!("{} N·m", number(bolt.torque, 1))),
            row("Clamps with, least friction", format!("{} N", hundreds(bolt.preload[2]))),
            row("Clamps with, usual friction", format!("{} N", hundreds(bolt.preload[1]))),
            row("Clamps with, most friction", format!("{} N", hundreds(bolt.preload[0]))),
            row(
                "Depth in steel, by strength / rule",
                format!("{} / {} mm", number(bolt.engagement[0], 1), number(bolt.engagement[2], 1)),
            ),
            row(
                "Depth in aluminium, by strength / rule",
                format!("{} / {} mm", number(bolt.engagement[1], 1), number(bolt.engagement[3], 1)),
            ),
        ],
    }
}

fn usual(joints: &[&JointRow]) -> Table {
    let rows = joints.iter().map(|joint| {
        let [least, most] = joint.torque;
        vec![
            upper_first(&joint.name),
            format!("{} to {}", number(least, 0), number(most, 0)),
            joint.thread.clone().unwrap_or_else(|| "–".to_owned()),
        ]
    });
    Table {
        title: "Usual torques; the maker's figure wins".to_owned(),
        head: ["Joint", "N·m", "Thread"].map(str::to_owned).to_vec(),
        rows: rows.collect(),
    }
}
