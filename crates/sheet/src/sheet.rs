//! One description of the answer. Every writer reads this and decides nothing of its own.

use crate::inspection::Inspection;
use crate::part::Part;
use crate::picture::Picture;
use crate::ride::Ride;

/// The whole answer, already in words and rounded figures.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What the title block says.
    pub title: TitleBlock,
    /// The short answer.
    pub answer: Answer,
    /// The lettered changes, in the order they were asked for.
    pub revisions: Vec<RevisionRow>,
    /// Every quantity that moved, most noticeable first.
    pub knock_ons: Vec<KnockOnRow>,
    /// Names of the quantities that were computed and did not move.
    pub unmoved: Vec<String>,
    /// Limits that the changes touch, worst first.
    pub verdicts: Vec<VerdictRow>,
    /// Inspections of its parts.
    pub inspections: Vec<Inspection>,
    /// What it takes beside the parts that were asked for: adapters, and parts in the place of others.
    pub takes: Vec<String>,
    /// What to check or measure before anything is bought or ridden, most useful first.
    pub check_first: Vec<String>,
    /// How sure the answer is: which input dominates, what was assumed, what the chart disagrees about.
    pub how_sure: Vec<String>,
    /// Facts to ask the rider for, each with how to measure it.
    pub missing: Vec<MissingRow>,
    /// Safety cautions, strongest first. No writer may drop or shorten one.
    pub cautions: Vec<Note>,
    /// What was assumed because the record is silent.
    pub assumptions: Vec<Note>,
    /// The numbered sources: number `n` in a note or row is `sources[n - 1]`.
    pub sources: Vec<String>,
    /// What the drawing shows; absent when the record does not suffice for one.
    pub picture: Option<Picture>,
    /// The rear suspension through its travel; absent where the bike has none or too little is known.
    pub ride: Option<Ride>,
    /// Gears, chain, brakes, wheels in depth.
    pub parts: Vec<Part>,
}

impl Sheet {
    /// Whether it answers what was inspected and no change: what moves is then beside the point.
    pub(crate) fn is_of_inspection_alone(&self) -> bool {
        self.revisions.is_empty() && !self.inspections.is_empty()
    }
}

/// The fields of the title block (ISO 7200).
#[derive(Clone, Debug)]
pub struct TitleBlock {
    /// The question, as asked.
    pub question: String,
    /// Bike and size.
    pub bike: String,
    /// Workshop that answers.
    pub workshop: String,
    /// Date of the drawing, and who drew it where that is known; empty when nobody said.
    pub drawn: String,
    /// Sheet number, such as "0042 / 1"; empty when nobody said.
    pub sheet: String,
    /// How the frame data is known: published, measured, in part assumed.
    pub frame_data: String,
    /// Letter of the last revision, or "–".
    pub revision: String,
    /// Units of lengths and angles: "mm, degrees".
    pub units: String,
}

/// One of the four outcomes that a limit, and with it the whole answer, can have; that there is no limit to judge; or one of the four
/// grades of an inspection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Every limit that was touched is kept with room to spare.
    Fits,
    /// At least one limit is broken.
    DoesNotFit,
    /// A limit cannot be told from the tolerance: measure, then ask again.
    MeasureFirst,
    /// Something needed is unknown.
    CannotSay,
    /// The changes touch no limit; only an answer has this tone.
    NoLimit,
    /// Of an inspection: it is not used again before it was replaced or repaired.
    DoNotRide,
    /// Of an inspection: it is not used before somebody qualified has inspected it.
    Inspect,
    /// Of an inspection: it may be used, and is looked at again.
    RideWithCheck,
    /// Of an inspection: for the eye alone, in the judgement of whoever signed.
    Cosmetic,
}

/// The short answer: a headline and at most three sentences.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Outcome that colours the headline (never by colour alone: the words say it too).
    pub tone: Tone,
    /// A handful of words.
    pub headline: String,
    /// One to three sentences that a rider understands.
    pub sentences: Vec<String>,
}

/// One row of the revision table.
#[derive(Clone, Debug)]
pub struct RevisionRow {
    /// A, B, C …
    pub letter: char,
    /// What changed, in words: "Spacers below the stem".
    pub label: String,
    /// Value before, with no unit: "20".
    pub before: String,
    /// Value after: "5".
    pub after: String,
    /// Unit of both: "mm", "°" or empty.
    pub unit: String,
}

/// One row of the knock-on table. Figures are rounded to what the tolerance deserves.
#[derive(Clone, Debug)]
pub struct KnockOnRow {
    /// "Grip stack".
    pub label: String,
    /// Unit of the row's figures: "mm", "°", "%".
    pub unit: String,
    /// Before, or "?" when it is not known.
    pub before: String,
    /// After, or "?".
    pub after: String,
    /// Signed difference: "+8", "−0.8", "0".
    pub difference: String,
    /// Tolerance of the difference, ± two standard uncertainties: "2".
    pub plus_minus: String,
    /// Share of each revision, in the order of [`Sheet::revisions`]; "·" where it has none.
    pub shares: Vec<String>,
    /// "yes", "no" or "maybe".
    pub noticed: String,
}

/// One limit and how it came out.
#[derive(Clone, Debug)]
pub struct VerdictRow {
    /// The outcome.
    pub tone: Tone,
    /// "Axle to crown".
    pub label: String,
    /// One sentence: the limit, the value, the margin, and what to do.
    pub sentence: String,
    /// Number of the source in [`Sheet::sources`].
    pub source: usize,
}

/// One fact to ask for.
#[derive(Clone, Debug)]
pub struct MissingRow {
    /// The question in the rider's words.
    pub ask: String,
    /// How to find out, at home or in the workshop.
    pub how: String,
    /// What it is needed for.
    pub needed_for: String,
}

/// A sentence with the number of its source in [`Sheet::sources`].
#[derive(Clone, Debug)]
pub struct Note {
    /// The sentence.
    pub text: String,
    /// Number of its source.
    pub source: usize,
}
