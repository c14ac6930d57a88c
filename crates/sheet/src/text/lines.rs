//! Lines of terminal text: wraps to a width, indents, and colours only when asked to.

use crate::printable::printable;
use crate::tie::tied;
use textwrap::{Options, WordSplitter};

/// Whether the terminal takes colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// No escape sequence at all: for files, pipes and terminals that want none.
    Plain,
    /// Bold and colour from the terminal's own sixteen, so that its theme keeps them legible.
    Colour,
}

/// What a piece of text is, and with it how it looks in [`Style::Colour`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    Plain,
    Strong,
    Change,
    Caution,
    Quiet,
}

impl Ink {
    /// Parameters of the "select graphic rendition" sequence (ECMA-48, SGR).
    fn parameters(self) -> Option<&'static str> {
        match self {
            Ink::Plain => None,
            Ink::Strong => Some("1"),
            Ink::Change => Some("1;33"),
            Ink::Caution => Some("1;31"),
            Ink::Quiet => Some("2"),
        }
    }
}

/// Narrowest page; a smaller width is taken as this one.
const NARROWEST: usize = 20;

/// A page of text that is filled from top to bottom.
pub(crate) struct Lines {
    pub(crate) width: usize,
    style: Style,
    out: String,
}

impl Lines {
    pub(crate) fn new(width: usize, style: Style) -> Self {
        Self { width: width.max(NARROWEST), style, out: String::new() }
    }

    /// An empty line, never two in a row nor one at the top.
    pub(crate) fn gap(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    /// Heading of a section, with a gap above.
    pub(crate) fn heading(&mut self, text: &str) {
        self.gap();
        self.paragraph(Ink::Strong, "", text);
    }

    /// Wrapped text after a lead such as "1  "; further lines hang below the text, not below the lead.
    pub(crate) fn paragraph(&mut self, ink: Ink, lead: &str, text: &str) {
        self.led(ink, lead, ink, text);
    }

    /// A paragraph whose lead has an ink of its own.
    pub(crate) fn led(&mut self, lead_ink: Ink, lead: &str, ink: Ink, text: &str) {
        let indent = " ".repeat(columns(lead));
        let room = self.width.saturating_sub(indent.len()).max(1);
        for (index, line) in wrapped(text, room).iter().enumerate() {
            let start = if index == 0 { lead } else { &indent };
            self.line(&[(lead_ink, start), (ink, line)]);
        }
    }

    /// One line as it is; the caller has seen to its width.
    pub(crate) fn line(&mut self, pieces: &[(Ink, &str)]) {
        let last = pieces.iter().rposition(|(_, text)| !text.trim_end().is_empty());
        for (index, (ink, text)) in pieces.iter().enumerate().take(last.map_or(0, |last| last + 1)) {
            let text = printable(text);
            let text = if Some(index) == last { text.trim_end() } else { &text };
            match ink.parameters().filter(|_| self.style == Style::Colour && !text.trim().is_empty()) {
                Some(parameters) => self.out.push_str(&format!("\u{1b}[{parameters}m{text}\u{1b}[0m")),
                None => self.out.push_str(text),
            }
        }
        self.out.push('\n');
    }

    pub(crate) fn finish(self) -> String {
        self.out
    }
}

/// The text broken into lines of at most `room` columns; only a word longer than that is cut.
pub(crate) fn wrapped(text: &str, room: usize) -> Vec<String> {
    let options = Options::new(room).word_splitter(WordSplitter::NoHyphenation);
    // A no-break space keeps figure and unit together here; on the terminal it is a plain space, so
    // that a copied figure can be searched for.
    textwrap::wrap(&tied(text), options).into_iter().map(|line| line.replace('\u{a0}', " ")).collect()
}

/// Columns that a text takes on the terminal.
pub(crate) fn columns(text: &str) -> usize {
    textwrap::core::display_width(text)
}

#[cfg(test)]
mod tests {
    use super::{Ink, Lines, Style, columns};

    #[test]
    fn further_lines_hang_below_the_text() {
        let mut page = Lines::new(20, Style::Plain);
        page.paragraph(Ink::Plain, "1  ", "one two three four five");
        assert_eq!(page.finish(), "1  one two three\n   four five\n");
    }

    #[test]
    fn colour_wraps_the_same_words() {
        let mut page = Lines::new(40, Style::Colour);
        page.led(Ink::Caution, "!  ", Ink::Plain, "Look out");
        assert_eq!(page.finish(), "\u{1b}[1;31m!  \u{1b}[0mLook out\n");
    }

    #[test]
    fn wide_characters_count_twice() {
        assert_eq!(columns("自転車"), 6);
        let mut page = Lines::new(20, Style::Plain);
        page.paragraph(Ink::Plain, "", &"自転車".repeat(9));
        assert!(page.finish().lines().all(|line| columns(line) <= 20));
    }
}
