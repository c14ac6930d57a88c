//! `knockon reach-for`: from the result that is wanted to the parts that give it.

use std::ops::ControlFlow;

use knockon_sheet::backwards;
use knockon_sheet::compose::Heading;
use knockon_sheet::compose::backwards::{nearer, options};
use knockon_sheet::report::body;
use knockon_trade::backwards::transfer::from_body;
use knockon_trade::backwards::wish::{self, Wish};
use knockon_trade::backwards::{Asked, Reached, reach};
use knockon_trade::body::{bar_of, cautions, read_measures, starting_points, with_record};
use knockon_trade::demo;
use knockon_trade::question::read_changes;
use knockon_trade::record::Record;
use knockon_trade::shelf::{Offer, offers};

use crate::arguments::ReachFor;
use crate::printer::Printer;
use crate::progress::Progress;
use crate::{BadInput, Ended, files};

pub(crate) fn run(given: &ReachFor, printer: &Printer) -> Result<Ended, BadInput> {
    let record = files::record(&given.record, printer)?;
    let asked = asked(given, &record, printer)?;
    let other = given.or.as_ref().map(|name| files::record(name, printer)).transpose()?;
    let bikes = [Some(&record), other.as_ref()];
    let several = other.is_some();
    let answers: Vec<Reached> = bikes
        .into_iter()
        .flatten()
        .map(|bike| answer(bike, several, &asked, printer))
        .collect::<Result<_, _>>()?;
    let heading = Heading { drawn: super::today(), ..Heading::default() };
    if given.json {
        let objects: Vec<String> = answers.iter().map(backwards::json).collect();
        printer.out(&match objects.as_slice() {
            [one] => format!("{one}\n"),
            several => format!("[{}]\n", several.join(",\n")),
        });
    } else {
        for (at, answer) in answers.iter().enumerate() {
            if at > 0 {
                printer.out("\n");
            }
            printer.out(&backwards::text(&options(answer, &heading), printer.width, printer.style));
        }
        if let [one, other] = answers.as_slice() {
            let told = backwards::nearer_text(&nearer(one, other), printer.width, printer.style);
            printer.out(&format!("\n{told}"));
        }
    }
    let first = options(&answers[0], &heading);
    if let Some(path) = &given.html {
        files::write(path, &backwards::comparison(&first, &given.compare, "", &heading.drawn), printer)?;
        printer.note(&format!("wrote {}", path.display()));
    }
    if let Some(path) = &given.markdown {
        files::write(path, &backwards::comparison_markdown(&first, &given.compare), printer)?;
        printer.note(&format!("wrote {}", path.display()));
    }
    let any = answers.iter().any(|answer| !answer.proposals.is_empty());
    Ok(if any { Ended::Answered } else { Ended::DoesNotFit })
}

fn asked(given: &ReachFor, bike: &Record, printer: &Printer) -> Result<Asked, BadInput> {
    let (mut wishes, mut problems) = (Vec::new(), Vec::new());
    let kept = given.keep.iter().map(|name| format!("keep {name}"));
    let without = given.without.iter().map(|change| format!("without {change}"));
    for line in given.targets.iter().cloned().chain(kept).chain(without) {
        match wish::parse(&line) {
            Ok(wish) => wishes.push(wish),
            Err(problem) => problems.push(problem),
        }
    }
    let as_with = match read_changes(&given.as_with) {
        Ok(read) => read.changes,
        Err(more) => {
            problems.extend(more);
            Vec::new()
        }
    };
    let measured = read_measures(&given.body).unwrap_or_else(|more| {
        problems.extend(more);
        Vec::new()
    });
    if !problems.is_empty() {
        printer.problems(&problems);
        return Err(BadInput);
    }
    if !measured.is_empty() {
        let points = starting_points(&with_record(measured, bike), Some(bar_of(bike)));
        for line in [body::STARTING_POINTS, body::TOLERANCE] {
            printer.note(line);
        }
        for caution in cautions(&points) {
            printer.note(&format!("!  {}", caution.text));
        }
        let begin = from_body(&points, &wishes);
        wishes.extend(begin);
    }
    let targets = wishes.iter().any(Wish::wants);
    if !targets && given.like.is_none() && as_with.is_empty() {
        return Err(printer.fail(
            "nothing is wanted",
            "say for example \"grip stack +15\", or --like with the record of another bike",
        ));
    }
    let like: Option<Record> = given.like.as_ref().map(|name| files::record(name, printer)).transpose()?;
    let stock = given.stock.as_ref().map(|path| parts(path, printer)).transpose()?.unwrap_or_default();
    Ok(Asked { wishes, like, as_with, stock, stock_only: given.stock_only, most: usize::from(given.most) })
}

/// The parts of a stock list; those that cannot be read are told and left out.
fn parts(path: &str, printer: &Printer) -> Result<Vec<Offer>, BadInput> {
    let text = if path == "demo:drawer" { demo::drawer().to_owned() } else { files::read(path, printer)? };
    let list = offers(files::shown(path), &text).map_err(|problem| {
        printer.problems(&[problem]);
        BadInput
    })?;
    printer.problems(&list.problems);
    Ok(list.offers)
}

fn answer(record: &Record, several: bool, asked: &Asked, printer: &Printer) -> Result<Reached, BadInput> {
    let mut progress = Progress::new("weighing", "combinations", printer);
    let reached = reach(record, asked, &mut |at| {
        progress.step(at.settled, at.of);
        ControlFlow::Continue(())
    });
    drop(progress);
    reached.map_err(|error| {
        let whose = if several { format!("{}: ", record.title()) } else { String::new() };
        printer.fail(&format!("{whose}{error}"), &error.help())
    })
}
