//! The answer to "which parts give me that?": one description, with one writer per format.

mod compare;
mod json;
mod text;

pub use self::compare::{compare_css, comparison, comparison_markdown, comparison_parts, fit};
pub use self::json::{SCHEMA, json};
pub use self::text::{nearer_text, text};

use crate::sheet::{Note, Sheet, Tone, VerdictRow};

/// Most options that stand side by side.
pub const MOST_COMPARED: usize = 4;

/// Proposals in words and rounded figures.
#[derive(Clone, Debug)]
pub struct Options {
    /// The bike.
    pub bike: String,
    /// What was asked for: "grip stack +15 mm".
    pub wanted: Vec<String>,
    /// What stays as it is because nobody wants it otherwise: "grip width".
    pub stays: Vec<String>,
    /// What the bike is now, against that.
    pub now: Vec<Reached>,
    /// How much was weighed: "41,160 combinations of spacers (28), stem (42) and bar (35), all of them weighed".
    pub weighed: String,
    /// The proposals, nearest first.
    pub options: Vec<Proposed>,
    /// In a sentence: whether all is reached, and if not, what cannot be.
    pub verdict: String,
    /// Parts that were not tried or dropped, each with why.
    pub left_out: Vec<String>,
    /// What is not taken from another bike, and why.
    pub notes: Vec<String>,
    /// Cautions of all proposals, strongest first. No writer may drop or shorten one.
    pub cautions: Vec<Note>,
    /// What the figures of parts and prices rest on.
    pub rests_on: Vec<String>,
    /// The numbered sources: number `n` in a note is `sources[n - 1]`.
    pub sources: Vec<String>,
}

/// One proposal.
#[derive(Clone, Debug)]
pub struct Proposed {
    /// Its number, from 1.
    pub number: usize,
    /// What is touched: "Stem and bar roll".
    pub title: String,
    /// What is done, a thing each.
    pub things: Vec<Done>,
    /// "nothing to buy", or what it costs.
    pub price: String,
    /// What is wanted, and what it comes to.
    pub reached: Vec<Reached>,
    /// Whether nobody can tell it from the nearest.
    pub as_good: bool,
    /// Whether no other is at least as near, as cheap and touches as little.
    pub front: bool,
    /// How to try it before anything is bought.
    pub trial: Option<Trial>,
    /// The changes as the change language says them, for the question what they do.
    pub lines: Vec<String>,
    /// The whole answer to that question.
    pub sheet: Sheet,
}

impl Proposed {
    /// The limits that do not simply hold.
    fn open_limits(&self) -> impl Iterator<Item = &VerdictRow> {
        self.sheet.verdicts.iter().filter(|verdict| verdict.tone != Tone::Fits)
    }
}

/// One thing that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// "Stem: " before a name of the stock list; empty where the changes say what they are about.
    pub slot: String,
    /// What is put there: "stem length 40, stem angle 6", or a name of the stock list.
    pub what: String,
    /// "with what is on the bike", "to buy, about 50" or "from the list, line 4".
    pub from: String,
}

/// What one quantity comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// "Grip stack".
    pub label: String,
    /// Its row in the table of what moves: "Development, lowest gear, m".
    pub row: String,
    /// By how much it moves, with its unit: "+14.6 mm".
    pub difference: String,
    /// "±0.8 mm".
    pub plus_minus: String,
    /// "as wanted", "0.4 mm short", "2.1 mm too far", "1 mm too much".
    pub off: String,
    /// Whether it is as wanted.
    pub met: bool,
    /// Whether it is as wanted because it does not move.
    pub still: bool,
}

/// A proposal, imitated with what is on the bike.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// What is done: "spacers below 30".
    pub how: Vec<String>,
    /// What it gets right, each with how far it is off: "grip stack (0.3 mm)".
    pub right: Vec<String>,
    /// What it gets wrong.
    pub wrong: Vec<String>,
}

impl Trial {
    /// In a sentence.
    pub fn sentence(&self) -> String {
        let how = self.how.join(", ");
        let part = |what: &str, list: &[String]| {
            if list.is_empty() { String::new() } else { format!("{what} {}", list.join(", ")) }
        };
        let told = [part("right:", &self.right), part("wrong:", &self.wrong)];
        let told: Vec<String> = told.into_iter().filter(|it| !it.is_empty()).collect();
        format!("{how} – {}.", told.join("; "))
    }
}
