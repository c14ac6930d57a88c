//! A list of parts against one bike: which of them go on it.
//!
//! The list is a table as a spreadsheet saves it. Its first column names the part; the heading of every other column is a phrase of
//! the change language and a cell below it the value: under `fork axle` stands `15 × 110`. What a part says nothing of stays empty.
//! Columns headed `price` and `count` say what it costs and how many there are.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::Step;
use knockon_engine::comparison::{Given, limits};
use knockon_engine::requirement::{Outcome, Requirement};
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::tolerance::Uncertain;

use crate::build::{Build, BuildError};
use crate::change::{self, Change};
use crate::findings::{Judging, allowances, cautions_of, limits_told, steps};
use crate::fit::Fitting;
use crate::import::separate::{Cell, Separator, clean, rows};
use crate::problem::Problem;
use crate::question::Question;
use crate::record::Record;
use crate::tables::{self, Caution};
use crate::verdict::Verdict;

/// One part of a list.
#[derive(Clone, Debug)]
pub struct Offer {
    /// Its name.
    pub name: String,
    /// The line that it stands in, counted from 1.
    pub line: usize,
    /// What it is made to, as changes of a bike.
    pub changes: Vec<Change>,
    /// What it costs, in any one money; `None` where the list does not say.
    pub price: Option<f64>,
    /// How many there are; `None` where the list does not say.
    pub count: Option<u32>,
}

/// What a column says of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Nothing,
    Change,
    Price,
    Count,
}

impl Column {
    fn headed(heading: &str) -> Column {
        match change::normal(heading).as_str() {
            "price" => Column::Price,
            "count" => Column::Count,
            heading if change::is_phrase(heading) => Column::Change,
            _ => Column::Nothing,
        }
    }
}

/// A list that was read.
#[derive(Clone, Debug, Default)]
pub struct Offers {
    /// The parts that could be read.
    pub offers: Vec<Offer>,
    /// Cells that cannot be read, whose parts are left out but for a price or count, and columns that say nothing of a bike.
    pub problems: Vec<Problem>,
}

/// Reads a list. `name` is what the text is called in a problem: a file's path.
///
/// ```
/// use knockon_trade::shelf::offers;
/// let list = offers("list.csv", "part,seat post,price,shelf\nInvented post,27.2,30,B4\nAnother,29.5,20,C1").unwrap();
/// assert_eq!((list.offers.len(), list.offers[0].changes[0].to_string()), (1, "seat post 27.2".to_owned()));
/// assert_eq!(list.offers[0].price, Some(30.0));
/// // The column of shelves, and the post that no standard has.
/// assert_eq!(list.problems.len(), 2);
/// assert_eq!(list.problems[1].line_column().0, 3);
/// ```
///
/// # Errors
/// When the text is no such table: no heading names anything on a bike, or there is no line below.
pub fn offers(name: &str, text: &str) -> Result<Offers, Problem> {
    let source: Arc<str> = Arc::from(text);
    let text = clean(text);
    let widest = |separator: &Separator| rows(&text, *separator).first().map_or(0, Vec::len);
    let separators = [Separator::Tab, Separator::Semicolon, Separator::Comma];
    let separator = separators.into_iter().max_by_key(widest).unwrap_or(Separator::Comma);
    let mut rows = rows(&text, separator).into_iter();
    let lines = line_places(&source);
    let place = |line: usize| lines.get(line.saturating_sub(1)).cloned().unwrap_or(0..0);
    let example = "say for example `part,seat post` in the first line and `My post,27.2` below it";
    let Some(head) = rows.next() else {
        return Err(Problem::error(name, &source, 0..0, "the list is empty").with_help(example));
    };
    let mut list = Offers::default();
    let mut columns = vec![Column::Nothing; head.len()];
    for (column, cell) in head.iter().enumerate().skip(1) {
        columns[column] = Column::headed(&cell.text);
        if columns[column] == Column::Nothing && !cell.is_empty() {
            let problem = Problem::error(
                name,
                &source,
                place(cell.line),
                format!("nothing on a bike is called `{}`: this column is passed over", cell.text),
            );
            list.problems
                .push(problem.with_help("`knockon changes` lists what a heading can be").as_warning());
        }
    }
    if !columns.contains(&Column::Change) {
        let line = head.first().map_or(1, |cell| cell.line);
        let message = "no heading of the list names anything on a bike";
        return Err(Problem::error(name, &source, place(line), message).with_help(example));
    }
    let at_line = |line: usize, problem: &Problem| {
        let told = Problem::error(name, &source, place(line), problem.message.clone());
        match &problem.help {
            Some(help) => told.with_help(help.clone()),
            None => told,
        }
    };
    // A list says the same things again and again: each is read once.
    let mut known: HashMap<(usize, String), Result<Change, Problem>> = HashMap::new();
    for row in rows {
        let mut odd = Vec::new();
        match offer(&head, &columns, row, &mut known, &mut odd) {
            Ok(offer) => list.offers.push(offer),
            Err((line, problem)) => list.problems.push(at_line(line, &problem)),
        }
        list.problems.extend(odd.iter().map(|(line, problem)| at_line(*line, problem).as_warning()));
    }
    Ok(list)
}

fn offer(
    head: &[Cell],
    columns: &[Column],
    row: Vec<Cell>,
    known: &mut HashMap<(usize, String), Result<Change, Problem>>,
    odd: &mut Vec<(usize, Problem)>,
) -> Result<Offer, (usize, Problem)> {
    let mut cells = row.into_iter();
    let first = cells.next();
    let line = first.as_ref().map_or(0, |cell| cell.line);
    let mut offer = Offer {
        name: first.map_or_else(String::new, |cell| cell.text),
        line,
        changes: Vec::new(),
        price: None,
        count: None,
    };
    for (cell, column) in cells.zip(1..) {
        if cell.is_empty() {
            continue;
        }
        match columns.get(column).copied().unwrap_or(Column::Nothing) {
            Column::Nothing => continue,
            // A part whose price nobody can read is a part all the same.
            Column::Price => {
                match price(&cell.text) {
                    Ok(price) => offer.price = Some(price),
                    Err(problem) => odd.push((line, problem)),
                }
                continue;
            }
            Column::Count => {
                match count(&cell.text) {
                    Ok(count) => offer.count = Some(count),
                    Err(problem) => odd.push((line, problem)),
                }
                continue;
            }
            Column::Change => {}
        }
        let read = known.entry((column, cell.text)).or_insert_with_key(|(column, value)| {
            change::parse(&format!("{} {value}", head[*column].text)).map(|read| read.change)
        });
        match read {
            Ok(change) => offer.changes.push(change.clone()),
            Err(problem) => return Err((line, problem.clone())),
        }
    }
    Ok(offer)
}

/// A price: a number, 0 or more, with or without a sign of money about it.
fn price(text: &str) -> Result<f64, Problem> {
    let number: String = text.chars().filter(|c| c.is_ascii_digit() || ".,-−".contains(*c)).collect();
    let value = crate::units::literal(&number).map(|(value, _)| value);
    value.filter(|value| value.is_finite() && *value >= 0.0).ok_or_else(|| {
        cell_problem(text, format!("`{text}` is not a price"), "a price is a number, 0 or more: 49.90")
    })
}

fn count(text: &str) -> Result<u32, Problem> {
    text.trim().parse().map_err(|_| {
        cell_problem(text, format!("`{text}` is not a count"), "a count is a whole number, 0 or more")
    })
}

fn cell_problem(text: &str, message: String, help: &str) -> Problem {
    Problem::error("cell", &Arc::from(text), 0..text.len(), message).with_help(help)
}

/// Where each line stands in a text.
fn line_places(text: &str) -> Vec<Range<usize>> {
    let start = |line: &str| line.as_ptr() as usize - text.as_ptr() as usize;
    text.lines().map(|line| start(line)..start(line) + line.len()).collect()
}

impl Offers {
    /// The cautions that the parts of the list bring, strongest first.
    pub fn cautions(&self) -> Vec<&'static Caution> {
        cautions_of(self.offers.iter().flat_map(|offer| &offer.changes), "")
    }
}

/// How one part of a list comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Its place in the list.
    pub offer: usize,
    /// The worst of its verdicts; "cannot say" where it meets nothing that is known.
    pub outcome: Outcome,
    /// What it meets on the bike, worst first.
    pub verdicts: Vec<Verdict>,
    /// What it takes in between; where it does not fit and this is not empty, that mends all that is broken.
    pub needs: Vec<String>,
}

/// A bike that parts of a list are held against, one after the other.
pub struct Shelf {
    question: Question,
    before: Bike<f64>,
    drawn: Option<Linkage<f64>>,
    /// The whole bike: for parts that move the rear suspension.
    whole: Build,
    /// The bike with the inputs that limits read and no others: the rest costs time and tells nothing.
    lean: Build,
}

impl Shelf {
    /// A record's bike.
    ///
    /// # Errors
    /// When the record describes no possible bike.
    pub fn new(record: &Record) -> Result<Shelf, BuildError> {
        let whole = Build::new(record)?;
        let before = whole.bike.map(|number| number.value);
        let drawn = whole.linkage.as_ref().map(|built| built.linkage.map(|number| number.value));
        let question = Question::about(record, &[]);
        Ok(Shelf { question, before, drawn, lean: lean(&whole), whole })
    }

    /// How a part comes out on the bike.
    ///
    /// ```
    /// use knockon_trade::{demo, shelf::{Shelf, offers}};
    /// use knockon_engine::requirement::Outcome;
    /// let mut shelf = Shelf::new(&demo::bike("bulrush-150").unwrap()).unwrap();
    /// let list = offers("list", "part,front hub\nOne,15 × 110\nOther,20 × 110").unwrap();
    /// let outcomes: Vec<Outcome> = list.offers.iter().map(|it| shelf.judge(&it.changes).outcome).collect();
    /// assert_eq!(outcomes, [Outcome::Fits, Outcome::DoesNotFit]);
    /// ```
    pub fn judge(&mut self, changes: &[Change]) -> Ranked {
        self.question.changes.clear();
        self.question.changes.extend_from_slice(changes);
        let mut verdicts: Vec<Verdict> = Fitting::new(&self.question.record, changes)
            .judge_touched()
            .into_iter()
            .map(|judged| judged.verdict)
            .collect();
        // The linkage's many numbers are taken along only where they can matter.
        let behind = |change: &Change| {
            ["shock.", "rear.", "linkage."].iter().any(|part| change.key().starts_with(part))
                || change.subject() == "wheel.rear.radius"
        };
        let build = if changes.iter().any(behind) { &mut self.whole } else { &mut self.lean };
        let inputs = build.inputs.len();
        match steps(build, &self.question) {
            Ok(steps) if steps.iter().any(|step| !matches!(step, Step::Nothing)) => {
                let drawn = self.drawn.as_ref().filter(|_| build.linkage.is_some());
                verdicts.extend(moved(&self.question, build, (&self.before, drawn), &steps));
            }
            Ok(_) => {}
            Err(error) => verdicts.push(not_of_this_bike(&error.to_string())),
        }
        build.inputs.truncate(inputs);
        verdicts.sort_by_key(Verdict::rank);
        let broken = verdicts.iter().filter(|verdict| verdict.outcome == Outcome::DoesNotFit);
        let mended = broken.clone().all(|verdict| verdict.needs.is_some());
        let needs = verdicts.iter().filter_map(|verdict| verdict.needs.clone());
        let needs = if mended { needs.collect() } else { Vec::new() };
        let outcome = verdicts.first().map_or(Outcome::CannotSay, |verdict| verdict.outcome);
        Ranked { offer: 0, outcome, verdicts, needs }
    }

    /// Every part of a list: those that fit first, then those that fit with something in between, and the others by how they come
    /// out; within each in the order of the list.
    pub fn rank(&mut self, offers: &[Offer]) -> Vec<Ranked> {
        let judged = offers.iter().enumerate();
        let mut all: Vec<Ranked> =
            judged.map(|(offer, it)| Ranked { offer, ..self.judge(&it.changes) }).collect();
        all.sort_by_key(Ranked::group);
        all
    }
}

/// The limits that follow from how the whole bike stands, as far as the changes touch them.
fn moved(
    question: &Question,
    build: &Build,
    (before, drawn): (&Bike<f64>, Option<&Linkage<f64>>),
    steps: &[Step<Uncertain>],
) -> Vec<Verdict> {
    let values: Vec<Step<f64>> = steps.iter().map(|step| step.map(|number| number.value)).collect();
    let (after, drawn_after) = before.after_on(drawn, &values);
    let linkage = build.linkage.as_ref().map(|built| &built.linkage);
    let margins = limits(&build.bike, Given { linkage, steps }, &allowances(), build.inputs.len());
    let on = Judging {
        question,
        fitting: &Fitting::new(&question.record, &question.changes),
        build,
        before,
        after: &after,
        linkages: [drawn, drawn_after.as_ref()],
        margins: &margins,
    };
    limits_told(&on, true)
}

/// The build with nothing but what limits of a bike without a linkage read: inputs that move one of their parameters, or that a
/// limit asks for by name.
fn lean(whole: &Build) -> Build {
    let read = |parameter: &&Parameter| Requirement::reads(**parameter);
    let moves = |input: usize| {
        let moved =
            |parameter: &Parameter| whole.bike.get(*parameter).moves.iter().any(|(by, _)| *by == input);
        Parameter::ALL.iter().filter(read).any(moved)
    };
    let asked = |key: &str| {
        key.starts_with("wheel.")
            || tables::requirements().iter().any(|row| row.needs.iter().any(|need| need == key))
    };
    let kept: Vec<usize> =
        (0..whole.inputs.len()).filter(|input| moves(*input) || asked(&whole.inputs[*input].key)).collect();
    let place = |input: usize| kept.iter().position(|known| *known == input);
    let number = |parameter: Parameter| {
        let number = whole.bike.get(parameter);
        let moves = number.moves.iter().filter_map(|(input, by)| Some((place(*input)?, *by)));
        let moves = if Requirement::reads(parameter) { moves.collect() } else { Vec::new() };
        Uncertain { value: number.value, moves }
    };
    Build {
        bike: Bike::from_fn(number),
        inputs: kept.iter().map(|input| whole.inputs[*input].clone()).collect(),
        linkage: None,
        chart: Vec::new(),
        ..whole.clone()
    }
}

/// A verdict on a part that speaks of something that the bike does not have.
fn not_of_this_bike(why: &str) -> Verdict {
    Verdict {
        outcome: Outcome::CannotSay,
        sentence: format!("{why}."),
        ..Verdict::on("not_of_this_bike", "This bike", &[])
    }
}

impl Ranked {
    /// Place of its group: fits, fits with something in between, measure first, cannot say, does not fit. A part that takes something
    /// in between goes by what is open beside that.
    pub fn group(&self) -> usize {
        let open = self.verdicts.iter().map(|it| it.outcome).filter(|it| *it != Outcome::DoesNotFit).max();
        match self.outcome {
            Outcome::DoesNotFit if self.needs.is_empty() => 4,
            Outcome::DoesNotFit if open.is_none_or(|open| open == Outcome::Fits) => 1,
            outcome => match if outcome == Outcome::DoesNotFit { open.unwrap_or(outcome) } else { outcome } {
                Outcome::Fits => 0,
                Outcome::MeasureFirst => 2,
                _ => 3,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What [`Requirement::reads`] leaves out moves no margin, so leaving its tolerance out loses nothing.
    #[test]
    fn a_lean_bike_has_the_margins_of_the_whole_one() {
        for bike in ["larch-150", "bulrush-150", "sedge"] {
            let record = crate::demo::bike(bike).expect("a demo bike");
            let mut shelf = Shelf::new(&record).expect("a possible bike");
            let lines = ["bar rise 20", "spacers below 10", "stem length 50", "front tyre 64-622"];
            shelf.question.changes =
                lines.iter().map(|line| change::parse(line).expect("a change").change).collect();
            let of = |build: &mut Build| {
                let steps = steps(build, &shelf.question).expect("steps");
                limits(&build.bike, Given { linkage: None, steps: &steps }, &allowances(), build.inputs.len())
            };
            let (whole, lean) = (of(&mut shelf.whole), of(&mut shelf.lean));
            for row in 0..Requirement::COUNT {
                let [a, b] =
                    [&whole, &lean].map(|estimates| (estimates.value(row), estimates.plus_minus(row)));
                let same = |a: f64, b: f64| (a - b).abs() < 1e-12 || (a.is_nan() && b.is_nan());
                assert!(
                    same(a.0, b.0) && same(a.1, b.1),
                    "{bike}: {:?}: {a:?}, {b:?}",
                    Requirement::ALL[row]
                );
            }
        }
        assert!(Requirement::reads(Parameter::AxleToCrown) && !Requirement::reads(Parameter::BarRise));
    }
}
