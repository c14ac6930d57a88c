//! The changes: each line of the change language as a row with its rule, its number and what is wrong with it.

use std::sync::Arc;

use knockon_trade::change::{Change, parse, slider, tyre_sizes};
use knockon_trade::findings::{AnswerError, Revision};
use knockon_trade::problem::Problem;
use knockon_trade::question::read_changes;
use knockon_trade::tables;
use knockon_trade::units::literal;
use maud::{Markup, html};

use super::rule::{self, Scale, figure};
use super::state::Side;

/// Lines that are looked at one by one; a question takes far fewer changes.
const MOST_LINES: usize = 60;

/// A line with what became of it.
#[derive(Clone, Debug)]
pub struct Line {
    /// The line as it was typed.
    pub text: String,
    /// How it reads.
    pub kind: Kind,
    /// Its row in the answer's table of revisions.
    pub revision: Option<Revision>,
}

/// How a line reads.
#[derive(Clone, Debug)]
pub enum Kind {
    /// A change, with what is unusual about it.
    Change(Box<Change>, Option<Problem>),
    /// Something that says no change, or none that goes with those before it.
    Wrong(Problem),
    /// Words for people, behind a `#`.
    Remark,
}

impl Line {
    /// True when the line is part of the answer.
    pub fn is_change(&self) -> bool {
        matches!(self.kind, Kind::Change(..))
    }

    /// What is wrong with it.
    pub fn problem(&self) -> Option<&Problem> {
        match &self.kind {
            Kind::Wrong(problem) => Some(problem),
            _ => None,
        }
    }
}

/// Reads each line by itself and with those before it, so that one bad line takes none of the others with it.
pub fn read(texts: &[String]) -> Vec<Line> {
    let mut good: Vec<&str> = Vec::new();
    let mut lines = Vec::new();
    for (index, text) in texts.iter().enumerate() {
        let kind = if index >= MOST_LINES {
            Kind::Wrong(whole(text, "these are more lines than are read").with_help("take some of them out"))
        } else {
            read_one(text, &mut good)
        };
        lines.push(Line { text: text.clone(), kind, revision: None });
    }
    lines
}

fn read_one<'a>(text: &'a str, good: &mut Vec<&'a str>) -> Kind {
    if text.starts_with('#') {
        return Kind::Remark;
    }
    match parse(text) {
        Err(problem) => Kind::Wrong(problem),
        Ok(read) => {
            good.push(text);
            match read_changes(good) {
                Ok(_) => Kind::Change(Box::new(read.change), read.warning),
                Err(problems) => {
                    good.pop();
                    let clash = problems.into_iter().next();
                    Kind::Wrong(
                        clash.unwrap_or_else(|| whole(text, "this does not go with the lines before it")),
                    )
                }
            }
        }
    }
}

fn whole(text: &str, message: impl Into<String>) -> Problem {
    Problem::error("change", &Arc::from(text), 0..text.len(), message)
}

/// The lines that are part of the answer, as one text.
pub fn good(lines: &[Line]) -> String {
    let good: Vec<&str> =
        lines.iter().filter(|line| line.is_change()).map(|line| line.text.as_str()).collect();
    good.join("\n")
}

/// Marks the line that leaves something impossible; false when none does.
pub fn refuse(lines: &mut [Line], error: &AnswerError) -> bool {
    let AnswerError::Impossible { change: refused, .. } = error else { return false };
    let found = lines
        .iter_mut()
        .rev()
        .find(|line| matches!(&line.kind, Kind::Change(change, _) if change.to_string() == *refused));
    let Some(line) = found else { return false };
    line.kind = Kind::Wrong(whole(&line.text, error.to_string()).with_help(error.help()));
    true
}

/// Gives each change its row of the answer.
pub fn letter(lines: &mut [Line], revisions: &[Revision]) {
    let changes = lines.iter_mut().filter(|line| line.is_change());
    for (line, revision) in changes.zip(revisions) {
        line.revision = Some(revision.clone());
    }
}

/// The line as it was meant, where the error knows a nearer word.
pub fn repaired(text: &str, problem: &Problem) -> Option<String> {
    let meant = problem.help.as_deref()?.strip_prefix("did you mean `")?.strip_suffix("`?")?;
    let (before, behind) = (text.get(..problem.place.start)?, text.get(problem.place.end..)?);
    Some(format!("{before}{meant}{behind}"))
}

/// What a technician can say, one example for each property: suggestions of the field that takes a new change.
pub fn sayable() -> Vec<String> {
    let numbers = tables::properties()
        .iter()
        .filter_map(|property| Some(format!("{} {}", property.say.first()?, property.example)));
    let others = ["front tyre 61-622", "rear tyre 61-622", "chip low", "point main pivot up by 5"];
    numbers.chain(others.map(str::to_owned)).collect()
}

/// All rows of a way.
pub fn rows(side: Side, lines: &[Line]) -> Markup {
    html! {
        @if lines.is_empty() {
            p.quiet { "Nothing is changed yet. Say what would be, below." }
        } @else {
            ol.changes { @for (index, line) in lines.iter().enumerate() { (row(side, index, line)) } }
        }
    }
}

/// A row. Its `data-row` says what kind of controls it has: where that stays the same, the script leaves the controls
/// alone and only sets their values, so that nothing is taken out of the hand that holds it.
fn row(side: Side, index: usize, line: &Line) -> Markup {
    let id = format!("{}{index}", side.prefix());
    let controls = match &line.kind {
        Kind::Change(change, _) => match scale(change, line.revision.as_ref()) {
            Some((scale, step, unit)) => Controls::Number { scale, step, unit },
            None if matches!(**change, Change::Tyre { .. }) => Controls::Tyre,
            // A chip's place, or a chain without its idler: the record's own names, which no list here knows.
            None => Controls::Words,
        },
        Kind::Wrong(_) | Kind::Remark => Controls::Words,
    };
    html! {
        li.change data-row=(controls.kind(line)) id={ "row-" (id) } {
            input type="hidden" name={ (side.prefix()) "line" (index) } value=(line.text);
            div.change-head {
                span.letter data-said { @if let Some(revision) = &line.revision { (knockon_sheet::html::flag(revision.letter)) } }
                @match controls {
                    Controls::Number { scale, step, unit } => (number(side, index, line, &scale, step, unit)),
                    Controls::Tyre => (tyre(side, index, line)),
                    Controls::Words => (words(side, index, line)),
                }
                button.remove name="remove" value=(id) aria-label={ "Remove: " (line.text) } title="Remove this change" { "×" }
            }
            div.said data-said id={ "said-" (id) } { (said(&id, line)) }
        }
    }
}

/// What a row is worked with.
#[derive(Clone, Copy)]
enum Controls {
    /// Rule, number field and steppers.
    Number { scale: Scale, step: f64, unit: &'static str },
    /// A list of tyre sizes.
    Tyre,
    /// The line itself.
    Words,
}

impl Controls {
    fn kind(&self, line: &Line) -> String {
        // By its words and not its key: all points of a linkage share one.
        let subject = match &line.kind {
            Kind::Change(change, _) => change.label(),
            _ => "".into(),
        };
        let sets = matches!(&line.kind, Kind::Change(change, _) if change.sets());
        match self {
            Controls::Number { scale, step, .. } => {
                format!("number {subject} {sets} {} {} {step} {:?}", scale.least, scale.most, scale.was)
            }
            Controls::Tyre => format!("tyre {subject}"),
            Controls::Words => "words".to_owned(),
        }
    }
}

/// Range and step of a number's rule; the change says the new value, the revision the old one.
fn scale(change: &Change, revision: Option<&Revision>) -> Option<(Scale, f64, &'static str)> {
    let before = revision.and_then(|revision| literal(&revision.before)).map(|(value, _)| value);
    let slider = slider(change, before)?;
    let scale = Scale { least: slider.least, most: slider.most, value: slider.now, was: slider.was };
    Some((scale, slider.step, slider.unit))
}

fn number(side: Side, index: usize, line: &Line, scale: &Scale, step: f64, unit: &str) -> Markup {
    let Kind::Change(change, _) = &line.kind else { return html! {} };
    let prefix = side.prefix();
    let (label, by) = (change.label(), !change.sets());
    let name = if by { format!("{label}, by") } else { label.clone().into_owned() };
    let steps = |count: &str| format!("{prefix}{index}:{count}");
    html! {
        span.name {
            label for={ (prefix) "v" (index) } { (name) }
            // What was stands on the rule already, for those who see it.
            span.range-words.unseen[scale.was.is_some()] data-said { (range_words(line, by)) }
        }
        span.stepper {
            button name="step" value=(steps("-1")) data-step="-1" aria-label={ (label) ": " (figure(step)) " " (unit) " less" } { "−" }
            input type="number" inputmode="decimal" id={ (prefix) "v" (index) } name={ (prefix) "v" (index) }
                value=(typed(scale.value)) step=(step) autocomplete="off" aria-describedby={ "said-" (prefix) (index) };
            button name="step" value=(steps("+1")) data-step="1" aria-label={ (label) ": " (figure(step)) " " (unit) " more" } { "+" }
            span.unit { (unit) }
        }
        input type="hidden" name={ (prefix) "was" (index) } value=(typed(scale.value));
        div.on-rule {
            (rule::drawing(scale))
            input.js-only type="range" min=(scale.least) max=(scale.most) step=(step) value=(scale.value)
                data-for={ (prefix) "v" (index) } data-unit=(unit) data-was=[scale.was.map(figure)] aria-label=(name)
                aria-valuetext=(spoken(scale, unit));
        }
    }
}

/// "5 mm, was 20".
fn spoken(scale: &Scale, unit: &str) -> String {
    let now = format!("{} {unit}", figure(scale.value));
    scale.was.map_or_else(|| now.clone(), |was| format!("{now}, was {}", figure(was)))
}

/// A number as a number field holds it.
fn typed(value: f64) -> String {
    format!("{value}")
}

/// What a step leads from and to; a new value has its old one on the rule.
fn range_words(line: &Line, by: bool) -> Markup {
    html! {
        @if let Some(revision) = &line.revision {
            @if by { (revision.before) " → " (revision.after) " " (revision.unit) }
            @else if revision.before == "?" { "was not told" }
            @else { "was " (revision.before) }
        }
    }
}

fn tyre(side: Side, index: usize, line: &Line) -> Markup {
    let Kind::Change(change, _) = &line.kind else { return html! {} };
    let Change::Tyre { tyre: chosen, .. } = &**change else { return html! {} };
    let wheel = change.label().to_lowercase();
    let sizes = tyre_sizes();
    let listed = sizes.iter().any(|size| size.tyre == *chosen);
    let prefix = side.prefix();
    html! {
        span.name {
            label for={ (prefix) "t" (index) } { (change.label()) }
            span.range-words data-said { (range_words(line, false)) }
        }
        select id={ (prefix) "t" (index) } name={ (prefix) "t" (index) } aria-describedby={ "said-" (prefix) (index) } {
            @if !listed { option value=(line.text) selected { (chosen) } }
            @for size in &sizes {
                @let same = size.tyre == *chosen;
                option value={ @if same { (line.text) } @else { (wheel) " " (size.tyre) } } selected[same] {
                    (size.tyre) @if let Some(name) = size.names.first() { " · " (name) }
                }
            }
        }
    }
}

fn words(side: Side, index: usize, line: &Line) -> Markup {
    let prefix = side.prefix();
    let wrong = line.problem().is_some();
    html! {
        label.unseen for={ (prefix) "t" (index) } { "Line " (index + 1) }
        input.line type="text" id={ (prefix) "t" (index) } name={ (prefix) "t" (index) } value=(line.text) autocomplete="off"
            spellcheck="false" aria-invalid=[wrong.then_some("true")] aria-describedby={ "said-" (prefix) (index) };
    }
}

/// What is wrong or unusual, at its place in the line, with the repair as a button.
fn said(id: &str, line: &Line) -> Markup {
    let (Kind::Wrong(problem) | Kind::Change(_, Some(problem))) = &line.kind else { return html! {} };
    html! {
        div class=(if problem.warning { "unusual" } else { "fault" }) {
            @if !problem.warning { p.quoted { (quoted(&line.text, problem)) } }
            p.wrong {
                @if !problem.warning { "Column " (problem.line_column().1) ": " }
                (coded(&problem.message))
            }
            @match repaired(&line.text, problem) {
                Some(repaired) => {
                    button.repair name="repair" value=(id) { "Make it “" (repaired) "”" }
                }
                None => { @if let Some(help) = &problem.help { p.help { (coded(help)) } } }
            }
        }
    }
}

/// Words between backticks stand out as what somebody types.
fn coded(text: &str) -> Markup {
    html! {
        @for (index, part) in text.split('`').enumerate() {
            @if index % 2 == 1 { code { (part) } } @else { (part) }
        }
    }
}

/// The line with the offending words marked; where something is lacking at the end, a gap is.
fn quoted(text: &str, problem: &Problem) -> Markup {
    let (start, end) = (problem.place.start.min(text.len()), problem.place.end.min(text.len()));
    html! {
        @match (text.get(..start), text.get(start..end), text.get(end..)) {
            (Some(before), Some(marked), Some(behind)) => {
                (before) mark { @if marked.is_empty() { "…" } @else { (marked) } } (behind)
            }
            _ => (text),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::question::state::lines;

    #[test]
    fn a_bad_line_takes_none_of_the_others_with_it() {
        let lines = read(&lines("stem length 40\nstem lenght 35\n# a remark\nbar rise 40\nstem length 50"));
        let told: Vec<Option<usize>> =
            lines.iter().map(|line| line.problem().map(|problem| problem.line_column().1)).collect();
        assert_eq!(told, [None, Some(1), None, None, Some(1)]);
        assert_eq!(good(&lines), "stem length 40\nbar rise 40");
    }

    #[test]
    fn a_repair_changes_only_the_words_that_were_meant_otherwise() {
        let wrong = "stem lenght 35 mm";
        let lines = read(&[wrong.to_owned()]);
        assert_eq!(repaired(wrong, lines[0].problem().unwrap()).as_deref(), Some("stem length 35 mm"));
        let lines = read(&["stem length 35 kg".to_owned()]);
        assert_eq!(repaired("stem length 35 kg", lines[0].problem().unwrap()), None);
    }

    #[test]
    fn every_suggestion_is_a_change() {
        let all = sayable();
        assert!(all.len() > 30);
        for line in &all {
            assert!(parse(line).is_ok(), "{line}");
        }
    }

    #[test]
    fn no_line_breaks_out_of_its_row() {
        let hostile = "\"><script>alert(1)</script> é€ 40";
        let rows = rows(Side::First, &read(&lines(hostile))).into_string();
        assert!(!rows.contains("<script") && rows.contains("&lt;script&gt;"));
    }

    #[test]
    fn very_many_lines_are_told_to_be_too_many() {
        let lines = read(&vec!["bar rise by 1".to_owned(); 70]);
        assert_eq!(lines.len(), 70);
        assert!(lines[65].problem().is_some());
    }
}
