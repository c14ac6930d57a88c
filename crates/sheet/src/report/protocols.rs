//! The protocols of inspection: a list, and one of them as it asks.

use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::{Protocol, protocols};
use serde::Serialize;

use crate::text::Style;
use crate::text::lines::{Ink, Lines, columns};

/// Every protocol under its heading.
pub fn list(width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    let widest = protocols().iter().map(|protocol| columns(&protocol.id)).max().unwrap_or(0);
    let mut area = "";
    for protocol in protocols() {
        if protocol.area != area {
            area = &protocol.area;
            page.heading(area);
        }
        let gap = " ".repeat(widest - columns(&protocol.id) + 2);
        page.led(Ink::Change, &format!("{}{gap}", protocol.id), Ink::Plain, &protocol.title);
    }
    page.gap();
    page.paragraph(
        Ink::Quiet,
        "",
        "`knockon inspect NAME` asks the questions; `--blank FILE` writes the form to fill in by hand. No protocol clears a part.",
    );
    page.finish()
}

#[derive(Serialize)]
struct Listed<'a> {
    protocol: &'a str,
    edition: u32,
    title: &'a str,
    area: &'a str,
    about: &'a str,
    mildest: &'static str,
    steps: Vec<Asked<'a>>,
}

#[derive(Serialize)]
struct Asked<'a> {
    step: &'a str,
    ask: &'a str,
    kind: &'static str,
    unit: &'static str,
    answers: Vec<&'a str>,
}

/// The same as JSON: what a program needs to write a file of answers.
///
/// # Panics
/// Never: there are texts and whole numbers alone.
pub fn list_json() -> String {
    let all: Vec<Listed<'_>> = protocols().iter().map(listed).collect();
    serde_json::to_string_pretty(&all).expect("texts and whole numbers")
}

fn listed(protocol: &Protocol) -> Listed<'_> {
    Listed {
        protocol: &protocol.id,
        edition: protocol.edition,
        title: &protocol.title,
        area: &protocol.area,
        about: &protocol.about,
        mildest: protocol.mildest.key(),
        steps: protocol
            .steps
            .iter()
            .map(|step| Asked {
                step: &step.id,
                ask: &step.ask,
                kind: match step.kind {
                    Kind::Choice => "choice",
                    Kind::Which => "which",
                    Kind::Number => "number",
                    Kind::Photo => "photo",
                },
                unit: knockon_trade::inspection::given::unit(step),
                answers: if step.kind == Kind::Number {
                    Vec::new()
                } else {
                    step.answers.iter().map(|answer| answer.id.as_str()).collect()
                },
            })
            .collect(),
    }
}

/// What stands above the first question: what the protocol is for, and what is done before anything is looked at.
pub fn opening(protocol: &Protocol, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", &protocol.title);
    page.paragraph(Ink::Plain, "", &protocol.about);
    if !protocol.before.is_empty() {
        page.heading("Before you look");
        for what in &protocol.before {
            page.led(Ink::Quiet, "·  ", Ink::Plain, what);
        }
    }
    page.finish()
}

/// One question with how to look and its answers, numbered.
pub fn question(step: &knockon_trade::inspection::Step, number: usize, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.led(Ink::Change, &format!("{number}  "), Ink::Strong, &step.ask);
    for look in step.looks() {
        page.led(Ink::Quiet, "   ", Ink::Quiet, &format!("{}: {}", look.say, look.how));
    }
    if !step.how.is_empty() {
        page.led(Ink::Quiet, "   ", Ink::Quiet, &step.how);
    }
    match step.kind {
        Kind::Photo => page.paragraph(Ink::Plain, "   ", "y  taken    n  no photo"),
        Kind::Number => {
            let unit = knockon_trade::inspection::given::unit(step);
            let tolerance = step.tolerance.unwrap_or_default();
            page.paragraph(
                Ink::Plain,
                "   ",
                &format!("a number in {unit}; without a ± it counts as ± {tolerance}"),
            );
            page.paragraph(Ink::Plain, "   ", "?  cannot tell");
        }
        Kind::Choice | Kind::Which => {
            for (index, answer) in step.answers.iter().enumerate() {
                page.led(Ink::Plain, &format!("   {}  ", index + 1), Ink::Plain, &answer.say);
            }
            page.paragraph(Ink::Plain, "   ", "?  Cannot tell");
        }
    }
    page.finish()
}
