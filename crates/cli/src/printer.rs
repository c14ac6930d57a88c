//! The only place that prints: what the terminal takes, how wide it is, and how a problem looks.

use std::cell::Cell;
use std::io::{self, IsTerminal, Write};

use knockon_sheet::text::Style;
use knockon_trade::problem::Problem;
use miette::{GraphicalReportHandler, GraphicalTheme, ThemeCharacters, ThemeStyles};

use crate::BadInput;

/// Widest page of text; longer lines read badly.
const WIDEST: usize = 100;
/// Most problems that are printed at once: past these, nobody reads on.
const MOST_PROBLEMS: usize = 20;

pub(crate) struct Printer {
    /// How text for standard output looks.
    pub(crate) style: Style,
    /// Columns of a page.
    pub(crate) width: usize,
    colour_errors: bool,
    lost: Cell<bool>,
}

impl Printer {
    pub(crate) fn new(no_color: bool) -> Self {
        let wanted = !no_color && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let colour = |terminal: bool| wanted && terminal && !dumb;
        let columns = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
        let width = columns
            .or_else(|| terminal_size::terminal_size().map(|(width, _)| usize::from(width.0)))
            .unwrap_or(WIDEST);
        Printer {
            style: if colour(io::stdout().is_terminal()) { Style::Colour } else { Style::Plain },
            width: width.clamp(20, WIDEST),
            colour_errors: colour(io::stderr().is_terminal()),
            lost: Cell::new(false),
        }
    }

    /// Prints to standard output. A reader that went away (`knockon … | head`) is not an error; a full disk is.
    pub(crate) fn out(&self, text: &str) {
        let mut out = io::stdout().lock();
        if let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush())
            && error.kind() != io::ErrorKind::BrokenPipe
        {
            self.lost.set(true);
            self.fail(&format!("cannot write to standard output: {error}"), "");
        }
    }

    /// Whether something that was to be printed did not get out.
    pub(crate) fn lost_output(&self) -> bool {
        self.lost.get()
    }

    /// Prints a line about what was done to standard error.
    #[allow(clippy::unused_self)] // whoever prints holds a printer
    pub(crate) fn note(&self, text: &str) {
        // What was typed or read can carry escape sequences; a message quotes it all the same.
        let _ = writeln!(io::stderr().lock(), "{}", text.replace(steers_a_terminal, "\u{fffd}"));
    }

    /// How questions look.
    pub(crate) fn asking(&self) -> Style {
        if self.colour_errors { Style::Colour } else { Style::Plain }
    }

    /// Prints a question of the program's own to standard error, as it is: standard output is for the answer.
    #[allow(clippy::unused_self)] // whoever prints holds a printer
    pub(crate) fn say(&self, text: &str) {
        let mut out = io::stderr().lock();
        let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    }

    /// Prints problems to standard error.
    pub(crate) fn problems(&self, problems: &[Problem]) {
        for problem in problems.iter().take(MOST_PROBLEMS) {
            let plain = self.report(problem, ThemeStyles::none());
            if self.colour_errors && !plain.contains(steers_a_terminal) {
                let _ = writeln!(io::stderr().lock(), "{}", self.report(problem, ThemeStyles::ansi()));
            } else {
                self.note(&plain);
            }
        }
        if let Some(more) = problems.len().checked_sub(MOST_PROBLEMS).filter(|more| *more > 0) {
            self.note(&format!("… and {more} more like these"));
        }
    }

    fn report(&self, problem: &Problem, styles: ThemeStyles) -> String {
        let theme = GraphicalTheme { characters: ThemeCharacters::unicode(), styles };
        let handler =
            GraphicalReportHandler::new_themed(theme).with_width(self.width.max(60)).with_links(false);
        let mut text = String::new();
        if handler.render_report(&mut text, problem).is_err() {
            text = problem.to_string();
        }
        text.trim_end().to_owned()
    }

    /// Says in one line what is wrong and how to mend it.
    pub(crate) fn fail(&self, message: &str, help: &str) -> BadInput {
        self.note(&format!("error: {message}"));
        if !help.is_empty() {
            self.note(&format!("  help: {help}"));
        }
        BadInput
    }
}

/// True for control characters and direction overrides, which recolour, rewrite or reorder what a terminal shows.
fn steers_a_terminal(character: char) -> bool {
    (character.is_control() && !matches!(character, '\n' | '\t'))
        || matches!(character, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
