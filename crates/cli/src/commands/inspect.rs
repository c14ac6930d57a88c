//! `knockon inspect`: asks by a protocol, or reads the answers from a file.

use std::io::BufRead;

use knockon_sheet::inspection::{self, Heading};
use knockon_sheet::report::protocols;
use knockon_trade::demo;
use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::script::{LONGEST_NOTE, read_answers, suggestion, written};
use knockon_trade::inspection::{Given, Grade, Inspected, Observation, Protocol, Step, judge, protocol};

use crate::arguments::Inspect;
use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(asked: &Inspect, printer: &Printer) -> Result<Ended, BadInput> {
    let wanted = match &asked.protocol {
        Some(name) => Some(
            protocol(name)
                .ok_or_else(|| printer.fail(&format!("there is no protocol `{name}`"), &suggestion(name)))?,
        ),
        None => None,
    };
    let heading =
        |bike: &str| Heading { workshop: String::new(), bike: bike.to_owned(), drawn: super::today() };
    let read = match (wanted, &asked.answers) {
        (None, None) if asked.blank.is_some() => {
            return Err(
                printer.fail("a form is of one protocol", "name it: `knockon inspect` lists them all")
            );
        }
        (None, None) => {
            let all = if asked.json {
                format!("{}\n", protocols::list_json())
            } else {
                protocols::list(printer.width, printer.style)
            };
            printer.out(&all);
            return Ok(Ended::Answered);
        }
        (Some(protocol), None) => {
            if let Some(path) = &asked.blank {
                files::write(path, &inspection::blank(protocol, &heading("")), printer)?;
                printer.note(&format!("wrote {}", path.display()));
                return Ok(Ended::Answered);
            }
            Read {
                inspected: Inspected::new(protocol, &asked.part, questions(protocol, printer)?),
                bike: String::new(),
                by: String::new(),
            }
        }
        (wanted, Some(path)) => {
            let text = match path.strip_prefix("demo:") {
                Some(stem) => of_demo(stem, printer)?.to_owned(),
                None => files::read(path, printer)?,
            };
            let script = read_answers(files::shown(path), &text, wanted).map_err(|problems| {
                printer.problems(&problems);
                BadInput
            })?;
            Read {
                inspected: Inspected::new(script.protocol, &asked.part, script.observations),
                bike: script.bike,
                by: script.by,
            }
        }
    };
    let bike = if asked.bike.is_empty() { read.bike } else { asked.bike.clone() };
    let by = if asked.by.is_empty() { read.by } else { asked.by.clone() };
    let found = read.inspected;
    if let Some(path) = &asked.save {
        files::write(path, &written(found.protocol, &bike, &by, &found.observations), printer)?;
        printer.note(&format!("wrote {}", path.display()));
    }
    let judgement = found.judgement();
    let part = inspection::compose(&found, &judgement);
    let mut about = heading(&bike);
    if !by.is_empty() {
        about.drawn = format!("{}, {by}", about.drawn);
    }
    let outputs =
        [(&asked.html, inspection::html as fn(&_, &_) -> String), (&asked.markdown, inspection::markdown)];
    for (path, writer) in outputs {
        if let Some(path) = path {
            files::write(path, &writer(&part, &about), printer)?;
            printer.note(&format!("wrote {}", path.display()));
        }
    }
    if asked.json {
        printer.out(&format!("{}\n", inspection::json(&part, &about)));
    } else if asked.message {
        printer.out(&inspection::message(&part, printer.width, printer.style));
    } else {
        printer.out(&inspection::text(&part, &about, printer.width, printer.style));
    }
    Ok(if judgement.grade >= Grade::Inspect { Ended::DoesNotFit } else { Ended::Answered })
}

/// A file of answers of the demo workshop.
fn of_demo(stem: &str, printer: &Printer) -> Result<&'static str, BadInput> {
    let all = demo::inspections();
    all.iter().find(|(known, _)| *known == stem).map(|(_, text)| *text).ok_or_else(|| {
        let names: Vec<&str> = all.iter().map(|(known, _)| *known).collect();
        printer.fail(
            &format!("the demo workshop has no inspection `{stem}`"),
            &format!("there are {}", names.join(", ")),
        )
    })
}

/// An inspection with what its file says beside it.
struct Read {
    inspected: Inspected,
    bike: String,
    by: String,
}

/// What somebody types at a question.
enum Typed {
    Answer(Given),
    Back,
    Stop,
}

/// Asks until the protocol comes to its end, or standard input does.
fn questions(protocol: &'static Protocol, printer: &Printer) -> Result<Vec<Observation>, BadInput> {
    printer.say(&protocols::opening(protocol, printer.width, printer.asking()));
    printer.say("\nb goes back, q stops: what was not asked then counts as not told.\n");
    let mut observations: Vec<Observation> = Vec::new();
    let mut input = std::io::stdin().lock();
    while let Some(step) = judge(protocol, &observations).next {
        printer.say(&format!(
            "\n{}",
            protocols::question(step, observations.len() + 1, printer.width, printer.asking())
        ));
        match answer(step, &mut input, printer)? {
            Typed::Back => {
                if observations.pop().is_none() {
                    printer.say("This is the first question.\n");
                }
            }
            Typed::Stop => break,
            Typed::Answer(given) => {
                let note = note(step, &mut input, printer)?;
                observations.push(Observation { step: step.id.clone(), given, note });
            }
        }
    }
    printer.say("\n");
    Ok(observations)
}

/// Reads until it is an answer.
fn answer(step: &Step, input: &mut impl BufRead, printer: &Printer) -> Result<Typed, BadInput> {
    loop {
        let Some(typed) = line("> ", input, printer)? else { return Ok(Typed::Stop) };
        match (typed.to_lowercase().as_str(), step.kind) {
            ("b" | "back", _) => return Ok(Typed::Back),
            ("q" | "stop" | "quit", _) => return Ok(Typed::Stop),
            ("y" | "yes", Kind::Photo) => return Ok(Typed::Answer(Given::Photo)),
            ("n" | "no" | "none", Kind::Photo) => return Ok(Typed::Answer(Given::CannotTell)),
            (_, Kind::Photo) => printer.say("Type y when it was taken, n for no photo.\n"),
            _ => match Given::read(step, &typed) {
                Ok(given) => return Ok(Typed::Answer(given)),
                Err(fault) => printer.note(&format!("{}: {}.", fault.why, fault.help)),
            },
        }
    }
}

fn note(step: &Step, input: &mut impl BufRead, printer: &Printer) -> Result<String, BadInput> {
    let Some(write) = &step.write else { return Ok(String::new()) };
    printer.say(&format!("Write down, or leave it empty: {write}\n"));
    let note = line("note > ", input, printer)?.unwrap_or_default();
    Ok(note.chars().take(LONGEST_NOTE).collect())
}

/// One line; `None` at the end of the input.
fn line(prompt: &str, input: &mut impl BufRead, printer: &Printer) -> Result<Option<String>, BadInput> {
    printer.say(prompt);
    let mut line = String::new();
    let read = input.read_line(&mut line).map_err(|error| {
        printer.fail(&format!("cannot read an answer: {error}"), "answers are lines of UTF-8 text")
    })?;
    Ok((read > 0).then(|| line.trim().to_owned()))
}
