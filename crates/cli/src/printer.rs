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
    pub(crate) fn note(&self, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{text}");
    }

    /// Prints problems to standard error.
    pub(crate) fn problems(&self, problems: &[Problem]) {
        let styles = if self.colour_errors { ThemeStyles::ansi() } else { ThemeStyles::none() };
        let theme = GraphicalTheme { characters: ThemeCharacters::unicode(), styles };
        let handler =
            GraphicalReportHandler::new_themed(theme).with_width(self.width.max(60)).with_links(false);
        for problem in problems.iter().take(MOST_PROBLEMS) {
            let mut text = String::new();
            if handler.render_report(&mut text, problem).is_err() {
                text = problem.to_string();
            }
            self.note(text.trim_end());
        }
        if let Some(more) = problems.len().checked_sub(MOST_PROBLEMS).filter(|more| *more > 0) {
            self.note(&format!("… and {more} more like these"));
        }
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
