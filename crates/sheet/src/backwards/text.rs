//! The options on a terminal.

use knockon_trade::words::{lower_first, upper_first};

use super::{Options, Proposed, Reached};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};
use crate::tone;

/// All options, the cautions, and what it rests on.
pub fn text(options: &Options, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Quiet, "", &options.bike);
    page.paragraph(Ink::Strong, "", &options.verdict);
    page.paragraph(Ink::Plain, "Wanted  ", &upper_first(&format!("{}.", options.wanted.join("; "))));
    if !options.stays.is_empty() {
        page.paragraph(
            Ink::Plain,
            "Stays   ",
            &format!("{}, because nothing else was said.", upper_first(&options.stays.join(", "))),
        );
    }
    page.paragraph(Ink::Plain, "Now     ", &format!("{}.", figures(&options.now, false)));
    for note in &options.notes {
        page.paragraph(Ink::Plain, "", note);
    }
    for option in &options.options {
        page.gap();
        one(&mut page, option);
    }
    if !options.left_out.is_empty() {
        page.heading("Left out");
        for line in &options.left_out {
            page.paragraph(Ink::Plain, "   ", line);
        }
    }
    if !options.cautions.is_empty() {
        page.heading("Caution");
        for (caution, number) in options.cautions.iter().zip(1..) {
            page.paragraph(
                Ink::Caution,
                &format!("{number}  "),
                &format!("{} [{}]", caution.text, caution.source),
            );
        }
    }
    page.gap();
    page.paragraph(Ink::Quiet, "", &format!("{}. {}", options.weighed, options.rests_on.join(" ")));
    let sources: Vec<String> =
        options.sources.iter().zip(1..).map(|(source, number)| format!("[{number}] {source}")).collect();
    page.paragraph(Ink::Quiet, "", &format!("Sources: {}.", sources.join("; ")));
    page.finish()
}

/// Which of two bikes comes nearer, below the options of both.
pub fn nearer_text(sentence: &str, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", sentence);
    page.finish()
}

fn one(page: &mut Lines, option: &Proposed) {
    let mut head = format!("{}: {}", option.title, option.price);
    if option.as_good {
        head.push_str(&format!("; {AS_GOOD}"));
    }
    page.led(Ink::Change, &format!("{}  ", option.number), Ink::Strong, &head);
    for done in &option.things {
        page.paragraph(Ink::Plain, "   ", &format!("{}{} ({})", done.slot, done.what, done.from));
    }
    page.led(Ink::Plain, "   ", Ink::Plain, &format!("{}.", figures(&option.reached, true)));
    let told = option.sheet.answer.tone;
    for verdict in option.open_limits() {
        let lead = format!("   {} ", tone::mark(verdict.tone));
        page.led(tone::ink(verdict.tone), &lead, Ink::Plain, &verdict.sentence);
    }
    if option.open_limits().next().is_none() && !option.sheet.verdicts.is_empty() {
        page.led(
            Ink::Strong,
            &format!("   {} ", tone::mark(told)),
            Ink::Plain,
            &format!("{}.", tone::words(told)),
        );
    }
    if let Some(trial) = &option.trial {
        page.led(Ink::Quiet, "   Try first ", Ink::Plain, &trial.sentence());
    }
}

/// What an option is called that nobody can tell from the nearest.
pub(super) const AS_GOOD: &str = "as near as any, as far as anyone can tell";

fn figures(reached: &[Reached], with_tolerance: bool) -> String {
    let one = |it: &Reached| {
        let pm = if it.plus_minus.is_empty() { String::new() } else { format!(" {}", it.plus_minus) };
        if with_tolerance {
            format!("{} {}{pm}, {}", it.label, it.difference, it.off)
        } else {
            format!("{} {}", lower_first(&it.label), it.off)
        }
    };
    let moving = reached.iter().filter(|it| !with_tolerance || !it.still);
    let text = moving.map(one).collect::<Vec<_>>().join("; ");
    upper_first(&text)
}
