//! Marks on a photo: circles and measures that somebody drew, each with its words. Nothing is read from the picture itself.
//!
//! One mark a line, in hundredths of the picture's width and height from its upper left corner, so that they hold at any size:
//!
//! ```text
//! circle 40 55 6 start of the line
//! measure 20 30 60 32 35 mm
//! ```
//!
//! A circle has its centre and its radius (hundredths of the width), a measure its two ends.

use std::fmt;
use std::sync::Arc;

use crate::problem::{Problem, nearest};
use crate::units::{literal, number_end};

/// Most marks on one photo.
pub const MOST_MARKS: usize = 12;

/// Longest words of a mark, characters.
pub const LONGEST_WORDS: usize = 80;

/// Where a mark is, in hundredths of the picture's width and height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Centre, and radius in hundredths of the width.
    Circle {
        /// Centre from the left.
        x: f64,
        /// Centre from the top.
        y: f64,
        /// Radius.
        radius: f64,
    },
    /// A line with a tick at each end.
    Measure {
        /// One end: from the left, from the top.
        from: (f64, f64),
        /// The other.
        to: (f64, f64),
    },
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Where.
    pub shape: Shape,
    /// What it shows, or what was measured; may be empty.
    pub words: String,
}

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.shape {
            Shape::Circle { x, y, radius } => write!(f, "circle {x} {y} {radius}")?,
            Shape::Measure { from, to } => write!(f, "measure {} {} {} {}", from.0, from.1, to.0, to.1)?,
        }
        if self.words.is_empty() { Ok(()) } else { write!(f, " {}", self.words) }
    }
}

/// Reads marks, one a line; empty lines are passed over.
///
/// ```
/// use knockon_trade::inspection::mark::read_marks;
/// let marks = read_marks("circle 40 55 6 start of the line\nmeasure 20 30 60 32 35 mm").unwrap();
/// assert_eq!(marks[1].words, "35 mm");
/// assert_eq!(marks[0].to_string(), "circle 40 55 6 start of the line");
/// let errors = read_marks("cirle 40 55 6").unwrap_err();
/// assert_eq!(errors[0].help.as_deref(), Some("did you mean `circle`?"));
/// ```
///
/// # Errors
/// Every line that is no mark, with its place.
pub fn read_marks(text: &str) -> Result<Vec<Mark>, Vec<Problem>> {
    let source: Arc<str> = Arc::from(text);
    let (mut marks, mut errors) = (Vec::new(), Vec::new());
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let place = start..start + line.trim_end().len();
        start += line.len();
        if line.trim().is_empty() {
            continue;
        }
        match mark(line.trim()) {
            Ok(mark) if marks.len() < MOST_MARKS => marks.push(mark),
            Ok(_) => {
                let message = format!("a photo has at most {MOST_MARKS} marks");
                errors.push(
                    Problem::error("marks", &source, place, message)
                        .with_help("leave some out, or use another photo"),
                );
            }
            Err((message, help)) => {
                errors.push(Problem::error("marks", &source, place, message).with_help(help));
            }
        }
    }
    if errors.is_empty() { Ok(marks) } else { Err(errors) }
}

const EXAMPLE: &str = "write for example `circle 40 55 6 start of the line` or `measure 20 30 60 32 35 mm`";

fn mark(line: &str) -> Result<Mark, (String, String)> {
    let (kind, mut rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let count = match kind {
        "circle" => 3,
        "measure" => 4,
        _ => {
            let help = nearest(kind, ["circle", "measure"]);
            let help = help.map_or_else(|| EXAMPLE.to_owned(), |near| format!("did you mean `{near}`?"));
            return Err((format!("`{kind}` is no mark"), help));
        }
    };
    let mut numbers = Vec::with_capacity(count);
    for _ in 0..count {
        rest = rest.trim_start();
        let end = number_end(rest).filter(|end| rest[*end..].chars().next().is_none_or(char::is_whitespace));
        let number = end.and_then(|end| Some((literal(&rest[..end])?.0, end)));
        let Some((number, end)) = number else {
            return Err((format!("a {kind} has {count} numbers before its words"), EXAMPLE.to_owned()));
        };
        if !(0.0..=100.0).contains(&number) {
            let message = format!("{number} is outside of the picture");
            return Err((
                message,
                "numbers are hundredths of its width and height, from 0 to 100".to_owned(),
            ));
        }
        // A tenth of a hundredth is less than a pixel of what is kept.
        numbers.push((number * 10.0).round() / 10.0);
        rest = &rest[end..];
    }
    let words = rest.trim();
    if words.chars().count() > LONGEST_WORDS {
        return Err((
            format!("the words of a mark have at most {LONGEST_WORDS} characters"),
            "shorten them".to_owned(),
        ));
    }
    let shape = match numbers[..] {
        [x, y, radius] if radius > 0.0 => Shape::Circle { x, y, radius },
        [a, b, c, d] if (a, b) != (c, d) => Shape::Measure { from: (a, b), to: (c, d) },
        _ => return Err((format!("this {kind} has no size"), EXAMPLE.to_owned())),
    };
    Ok(Mark { shape, words: words.to_owned() })
}

/// The marks as [`read_marks`] reads them again.
pub fn written(marks: &[Mark]) -> String {
    marks.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_mark_is_told_where_it_stands() {
        let text = "circle 10 10 5\n\nsquare 1 2 3\ncircle 10 10\nmeasure 1 2 300 4\nmeasure 1 1 1 1\ncircle 1 2 3mm";
        let errors = read_marks(text).unwrap_err();
        let lines: Vec<usize> = errors.iter().map(|error| error.line_column().0).collect();
        assert_eq!(lines, [3, 4, 5, 6, 7]);
        assert!(errors.iter().all(|error| error.help.is_some()));
        assert!(read_marks(&"circle 1 1 1\n".repeat(MOST_MARKS + 1)).is_err());
    }

    #[test]
    fn marks_are_written_as_they_are_read() {
        let text = "circle 40.5 55 6\nmeasure 0 100 60.1 32 35 mm, from the weld";
        assert_eq!(written(&read_marks(text).unwrap()), text);
    }
}
