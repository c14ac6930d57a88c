//! `knockon gears`, `chain`, `brakes`, `wheel` and `torque`: one thing in depth.

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::report;
use knockon_trade::findings::answer_in_depth;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::workings::braking::Way;
use knockon_trade::workings::torque::{Asked, joints};
use knockon_trade::workings::{Told, Topic};

use crate::arguments::{Bolts, Brakes, Depth};
use crate::printer::Printer;
use crate::{BadInput, Ended, files};

/// A part of the answer: its names on a sheet, and what a record has to tell for it.
pub(crate) struct Part {
    topic: Topic,
    names: &'static [&'static str],
    needs: &'static str,
}

pub(crate) const GEARS: Part = Part {
    topic: Topic::Gears,
    names: &["gears", "layouts"],
    needs: "write the teeth under [drivetrain]: ring_teeth = \"34-50\" and cog_teeth = \"11-13-15-18-21-24-28-32\"",
};
pub(crate) const CHAIN: Part = Part {
    topic: Topic::Chain,
    names: &["chain"],
    needs: "write under [drivetrain] ring_teeth and cog_teeth, or chain_24, what 24 pieces of the chain measure",
};
pub(crate) const BRAKES: Part =
    Part { topic: Topic::Brakes, names: &["brakes"], needs: "write the rotors: [brake.front] rotor = 180" };
pub(crate) const WHEEL: Part = Part {
    topic: Topic::Wheels,
    names: &["wheels"],
    needs: "write the tyres: [wheel.front] tyre = \"50-622\"; or hub and rim for the spokes",
};

pub(crate) fn run(asked: &Depth, part: &Part, printer: &Printer) -> Result<Ended, BadInput> {
    on_a_way(asked, part, &Way::usual(), printer)
}

pub(crate) fn brakes(asked: &Brakes, printer: &Printer) -> Result<Ended, BadInput> {
    let way = Way {
        gradient: asked.gradient,
        length: asked.length,
        speed: asked.speed,
        front_share: asked.front_share,
        air: asked.air,
    };
    if let Some(fault) = way.fault() {
        return Err(printer.fail(&fault, "say for example --gradient 10 --length 4 --speed 25"));
    }
    on_a_way(&asked.depth, &BRAKES, &way, printer)
}

fn on_a_way(asked: &Depth, part: &Part, way: &Way, printer: &Printer) -> Result<Ended, BadInput> {
    let record = files::record(&asked.record, printer)?;
    let read = read_changes(&asked.changes).map_err(|problems| {
        printer.problems(&problems);
        BadInput
    })?;
    printer.problems(&read.warnings);
    let question = Question { asked: String::new(), record, changes: read.changes, inspections: Vec::new() };
    let findings = answer_in_depth(question, Told::Only(part.topic), way)
        .map_err(|error| printer.fail(&error.to_string(), &error.help()))?;
    let sheet = compose(&findings, &Heading::default());
    let Some(text) = report::depth::depth(&sheet, part.names, printer.width, printer.style) else {
        return Err(printer.fail("the record does not say enough for that", part.needs));
    };
    if asked.json {
        printer.out(&format!("{}\n", report::depth::depth_json(&findings)));
    } else {
        printer.out(&text);
    }
    Ok(Ended::Answered)
}

pub(crate) fn torque(asked: &Bolts, printer: &Printer) -> Result<Ended, BadInput> {
    let fail = |error: String| printer.fail(&error, "`knockon torque` lists every joint");
    let words = asked.joint.join(" ");
    let rows =
        if words.is_empty() && asked.thread.is_some() { Vec::new() } else { joints(&words).map_err(fail)? };
    let bolt = asked.thread.as_ref().map(|thread| {
        let asked = Asked {
            thread: thread.clone(),
            class: asked.class.clone(),
            friction: asked.state.clone(),
            torque: asked.torque,
            makers: asked.makers,
            depth: asked.depth,
        };
        asked.work()
    });
    let bolt = bolt
        .transpose()
        .map_err(|error: String| printer.fail(&error, "say for example --thread M5 --class 8.8"))?;
    if asked.json {
        printer.out(&format!("{}\n", report::depth::bolts_json(&rows, bolt.as_ref())));
    } else {
        printer.out(&report::depth::bolts(&rows, bolt.as_ref(), printer.width, printer.style));
    }
    Ok(Ended::Answered)
}
