//! What was asked: a bike and the changes that somebody thinks of.

use std::ops::Range;
use std::sync::Arc;

use toml_edit::{Document, Item};

use crate::change::{self, Change};
use crate::inspection::Inspected;
use crate::problem::{Problem, nearest};
use crate::record::Record;

/// Most changes in one question: the shares are exact over all of their subsets.
pub const MOST_CHANGES: usize = knockon_engine::attribution::MOST_PLAYERS;

/// A question, ready to be answered.
#[derive(Clone, Debug)]
pub struct Question {
    /// The words in which it was asked; empty when nobody wrote them down.
    pub asked: String,
    /// The bike.
    pub record: Record,
    /// The changes; the first is revision A.
    pub changes: Vec<Change>,
    /// Inspections of the bike's parts.
    pub inspections: Vec<Inspected>,
}

impl Question {
    /// What changes do to a bike, in no words.
    pub fn about(record: &Record, changes: &[Change]) -> Self {
        let (record, changes) = (record.clone(), changes.to_vec());
        Question { asked: String::new(), record, changes, inspections: Vec::new() }
    }

    /// Whether a change is about one of these record keys.
    pub(crate) fn touches(&self, keys: &[String]) -> bool {
        let names = |change: &Change, key: &String| key == change.key() || key == change.subject();
        self.changes.iter().any(|change| keys.iter().any(|key| names(change, key)))
    }
}

/// Changes that were read, with what was odd about them.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    /// The changes, in the order of the lines.
    pub changes: Vec<Change>,
    /// Values that are possible but out of the usual.
    pub warnings: Vec<Problem>,
}

/// A question as a file keeps it: nothing of it has been looked up or read yet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The rider's words; empty when nobody wrote them down.
    pub asked: String,
    /// Name of the bike's file, without its ending.
    pub bike: String,
    /// The changes, one a line, for [`read_changes`].
    pub changes: Vec<String>,
}

/// Keys of a question file.
const KEYS: [&str; 3] = ["asked", "bike", "changes"];

/// Reads a question file. `name` is what the text is called in an error: a file's path.
///
/// ```
/// use knockon_trade::question::read_question;
/// let asked = read_question("q.toml", "bike = \"larch\"\nchanges = [\"stem length 40\"]").unwrap();
/// assert_eq!((asked.bike.as_str(), asked.changes.len()), ("larch", 1));
/// let errors = read_question("q.toml", "bike = \"larch\"\nchange = [\"stem length 40\"]").unwrap_err();
/// assert_eq!(errors[0].line_column(), (2, 1));
/// assert_eq!(errors[0].help.as_deref(), Some("did you mean `changes`?"));
/// ```
///
/// # Errors
/// Every fault of the text: what is no TOML, unknown keys, values of the wrong kind, and a missing `bike` or `changes`.
pub fn read_question(name: &str, text: &str) -> Result<Asked, Vec<Problem>> {
    let source: Arc<str> = Arc::from(text);
    let error = |place: Range<usize>, message: String, help: &str| {
        Problem::error(name, &source, place, message).with_help(help)
    };
    let document = Document::parse(text).map_err(|fault| {
        let why = fault.message().lines().next().unwrap_or("syntax error").to_owned();
        vec![error(fault.span().unwrap_or(0..0), format!("this is not TOML: {why}"), EXAMPLE)]
    })?;
    let table = document.as_table();
    let mut asked = Asked::default();
    let mut errors = Vec::new();
    for (key, item) in table {
        let place = item.span().unwrap_or(0..0);
        match key {
            "asked" => match item.as_str() {
                Some(words) => asked.asked = words.trim().to_owned(),
                None => {
                    errors.push(error(place, "`asked` must be a text in quotes".to_owned(), "asked = \"…\""));
                }
            },
            "bike" => match item.as_str().map(str::trim).filter(|stem| !stem.is_empty()) {
                Some(stem) => asked.bike = stem.to_owned(),
                None => errors.push(error(
                    place,
                    "`bike` must name a bike's file".to_owned(),
                    "bike = \"larch-150\"",
                )),
            },
            "changes" => match lines(item) {
                Some(lines) => asked.changes = lines,
                None => errors.push(error(
                    place,
                    "`changes` must be a list of texts in quotes".to_owned(),
                    EXAMPLE,
                )),
            },
            _ => {
                let place = table.get_key_value(key).and_then(|(key, _)| key.span()).unwrap_or(place);
                let help = nearest(key, KEYS).map_or_else(
                    || format!("a question has {}", KEYS.join(", ")),
                    |near| format!("did you mean `{near}`?"),
                );
                errors.push(error(place, format!("a question has no `{key}`"), &help));
            }
        }
    }
    for key in ["bike", "changes"].into_iter().filter(|key| !table.contains_key(key)) {
        errors.push(error(text.len()..text.len(), format!("a question needs `{key}`"), EXAMPLE));
    }
    if errors.is_empty() { Ok(asked) } else { Err(errors) }
}

/// What a question file looks like, for errors.
const EXAMPLE: &str = "a question has lines such as `bike = \"larch-150\"` and `changes = [\"stem length 40\", \"bar rise 40\"]`";

fn lines(item: &Item) -> Option<Vec<String>> {
    item.as_array()?.iter().map(|line| line.as_str().map(str::to_owned)).collect()
}

/// Reads the lines of one question. Blank lines and lines that begin with `#` are passed over; a semicolon separates two
/// changes on one line.
///
/// ```
/// let read = knockon_trade::question::read_changes(&["stem length 40; bar rise 40"]).unwrap();
/// assert_eq!(read.changes.len(), 2);
/// ```
///
/// # Errors
/// Every line that does not say a change, changes that contradict each other, or more than [`MOST_CHANGES`].
pub fn read_changes<S: AsRef<str>>(lines: &[S]) -> Result<Changes, Vec<Problem>> {
    let mut read = Changes::default();
    let mut errors = Vec::new();
    let parts = lines.iter().flat_map(|line| line.as_ref().split([';', '\n']));
    let parts = parts.map(str::trim).filter(|part| !part.is_empty() && !part.starts_with('#'));
    // So many are too many changes or many errors; whichever it is, it is known by then.
    for part in parts.take(8 * MOST_CHANGES) {
        match change::parse(part) {
            Ok(one) => {
                let rival = read.changes.iter().find(|other| {
                    other.subject() == one.change.subject() && (other.sets() || one.change.sets())
                });
                if let Some(rival) = rival {
                    errors.push(
                        whole(part, format!("`{part}` and `{rival}` change the same thing")).with_help(
                            "keep one of them; several steps (`by …`) of one thing may stand together",
                        ),
                    );
                } else {
                    read.changes.push(one.change);
                    read.warnings.extend(one.warning);
                }
            }
            Err(error) => errors.push(error),
        }
    }
    if read.changes.len() > MOST_CHANGES {
        let line = read.changes[MOST_CHANGES].to_string();
        errors.push(
            whole(&line, format!("a question takes at most {MOST_CHANGES} changes, this is one more"))
                .with_help("ask in two questions, the second on the bike that the first leaves"),
        );
    }
    if errors.is_empty() { Ok(read) } else { Err(errors) }
}

fn whole(line: &str, message: String) -> Problem {
    Problem::error("change", &Arc::from(line), 0..line.len(), message)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_of_a_question_file_is_told_at_its_place() {
        let text = "asked = 5\nbikes = \"larch\"\nchanges = [\"stem length 40\", 7]\nweather = \"fine\"\n";
        let errors = read_question("q.toml", text).unwrap_err();
        let told: Vec<(&str, (usize, usize))> =
            errors.iter().map(|error| (error.message.as_str(), error.line_column())).collect();
        assert_eq!(
            told,
            [
                ("`asked` must be a text in quotes", (1, 9)),
                ("a question has no `bikes`", (2, 1)),
                ("`changes` must be a list of texts in quotes", (3, 11)),
                ("a question has no `weather`", (4, 1)),
                ("a question needs `bike`", (5, 1)),
            ]
        );
        assert_eq!(errors[1].help.as_deref(), Some("did you mean `bike`?"));
        assert_eq!(errors[3].help.as_deref(), Some("a question has asked, bike, changes"));
        assert!(errors.iter().all(|error| error.source_name() == "q.toml"));
    }

    #[test]
    fn what_is_no_toml_says_where() {
        let errors = read_question("q.toml", "bike = \"larch\"\nchanges = [\"a\"\n").unwrap_err();
        assert_eq!(errors.len(), 1);
        assert!(errors[0].message.starts_with("this is not TOML"), "{}", errors[0].message);
        assert!(errors[0].line_column().0 >= 2);
    }

    #[test]
    fn a_question_may_have_no_words_and_no_changes() {
        let asked = read_question("q.toml", "bike = \"larch\"\nchanges = []").unwrap();
        assert_eq!(asked, Asked { asked: String::new(), bike: "larch".into(), changes: Vec::new() });
    }
}
