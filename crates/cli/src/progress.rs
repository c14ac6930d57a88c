//! How far a long piece of work is: a line that rewrites itself on a terminal, plain lines elsewhere, nothing at all for
//! work that is done in a moment.

use std::io::{self, IsTerminal};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::printer::Printer;

/// What takes less is done before anybody wonders.
const MOMENT: Duration = Duration::from_millis(500);
/// Plain lines do not come faster than this: they may end in a log.
const BETWEEN_LINES: Duration = Duration::from_secs(2);

/// The progress of one piece of work.
pub(crate) struct Progress<'a> {
    what: &'static str,
    unit: &'static str,
    printer: &'a Printer,
    bar: Option<ProgressBar>,
    pace: Pace,
}

impl<'a> Progress<'a> {
    /// Work that begins now; `what` is done to so many `unit`.
    pub(crate) fn new(what: &'static str, unit: &'static str, printer: &'a Printer) -> Self {
        let bar = io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
            let shape = format!("{what}: {{pos}} of {{len}} {unit} {{wide_bar}} {{percent}} %");
            bar.with_style(
                ProgressStyle::with_template(&shape).unwrap_or_else(|_| ProgressStyle::default_bar()),
            )
        });
        Progress { what, unit, printer, bar, pace: Pace::new(Instant::now()) }
    }

    /// `done` of `total` are done.
    pub(crate) fn step(&mut self, done: u64, total: u64) {
        let now = Instant::now();
        match &self.bar {
            Some(bar) => {
                if bar.is_hidden() && self.pace.is_long(now) {
                    bar.set_draw_target(ProgressDrawTarget::stderr());
                }
                bar.set_length(total);
                bar.set_position(done);
            }
            None => {
                if self.pace.is_due(now) {
                    self.printer.note(&line(self.what, self.unit, done, total));
                }
            }
        }
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

fn line(what: &str, unit: &str, done: u64, total: u64) -> String {
    let percent = (done * 100).checked_div(total).unwrap_or(100);
    format!("{what}: {done} of {total} {unit}, {percent} %")
}

/// When to say something.
struct Pace {
    began: Instant,
    said: Option<Instant>,
}

impl Pace {
    fn new(now: Instant) -> Self {
        Pace { began: now, said: None }
    }

    /// Whether the work takes longer than a moment.
    fn is_long(&self, now: Instant) -> bool {
        now.duration_since(self.began) >= MOMENT
    }

    /// Whether a line is due; it counts as said.
    fn is_due(&mut self, now: Instant) -> bool {
        let due = self.is_long(now) && self.said.is_none_or(|said| now.duration_since(said) >= BETWEEN_LINES);
        if due {
            self.said = Some(now);
        }
        due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_work_says_nothing_and_long_work_not_too_much() {
        let began = Instant::now();
        let mut pace = Pace::new(began);
        let due: Vec<u64> = (0..60)
            .map(|tenth| tenth * 100)
            .filter(|ms| pace.is_due(began + Duration::from_millis(*ms)))
            .collect();
        assert_eq!(due, [500, 2500, 4500]);
    }

    #[test]
    fn a_line_counts() {
        assert_eq!(line("backup", "pages", 30, 120), "backup: 30 of 120 pages, 25 %");
        assert_eq!(line("export", "files", 0, 0), "export: 0 of 0 files, 100 %");
    }
}
