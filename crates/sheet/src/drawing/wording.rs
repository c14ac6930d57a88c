//! The words of a dimension, measured once for all the scales at which a place is tried for them.

use std::borrow::Cow;

use super::style::Style;
use crate::lettering::Type;
use crate::picture::Dimension;

/// A dimension with its words measured.
pub struct Wording<'a> {
    /// What they are the words of.
    pub dimension: &'a Dimension,
    /// Name and value.
    pub text: Words,
    /// By how much it moved.
    pub change: Words,
}

impl<'a> Wording<'a> {
    /// Measures the words in the sizes of `style`.
    pub fn of(dimension: &'a Dimension, style: &Style) -> Self {
        let text = Words::of(&dimension.text, style.regular());
        let change = Words::of(&dimension.change, style.semibold());
        Self { dimension, text, change }
    }
}

/// Words that are not yet broken into lines.
pub struct Words {
    face: Type,
    /// All of them on one line; none when there are none.
    line: Option<String>,
    width: f64,
}

/// Words broken into lines.
pub struct Broken<'a> {
    /// From top to bottom.
    pub lines: Vec<Cow<'a, str>>,
    /// Width of the longest.
    pub widest: f64,
}

impl Words {
    fn of(text: &str, face: Type) -> Self {
        let line = face.wrap(&held_together(text), f64::INFINITY).pop();
        let width = line.as_deref().map_or(0.0, |line| face.width(line));
        Self { face, line, width }
    }

    /// As few lines as have room in `width`.
    pub fn broken(&self, width: f64) -> Broken<'_> {
        match &self.line {
            None => Broken { lines: Vec::new(), widest: 0.0 },
            Some(line) if self.width <= width => {
                Broken { lines: vec![Cow::Borrowed(line.as_str())], widest: self.width }
            }
            Some(line) => {
                let lines = self.face.wrap(line, width);
                let widest = lines.iter().map(|line| self.face.width(line)).fold(0.0, f64::max);
                Broken { lines: lines.into_iter().map(Cow::Owned).collect(), widest }
            }
        }
    }
}

/// No-break spaces before signs, so that a letter stays with its figure.
pub fn held_together(text: &str) -> String {
    let mut text = crate::printable::printable(text).into_owned();
    for sign in ['+', '−', '±'] {
        text = text.replace(&format!(" {sign}"), &format!("\u{a0}{sign}"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_have_room_stay_on_one_line() {
        let words = Words::of("wheelbase 1232: A +9", Type::regular(10));
        let broken = words.broken(1000.0);
        assert_eq!(broken.lines, ["wheelbase 1232: A\u{a0}+9"]);
        assert_eq!(broken.widest, Type::regular(10).width("wheelbase 1232: A +9"));
        let broken = words.broken(broken.widest - 1.0);
        assert_eq!(broken.lines, ["wheelbase 1232:", "A\u{a0}+9"]);
        assert_eq!(broken.widest, Type::regular(10).width("wheelbase 1232:"));
    }

    #[test]
    fn no_words_take_no_line() {
        let words = Words::of(" ", Type::regular(10));
        assert!(words.broken(100.0).lines.is_empty());
    }
}
