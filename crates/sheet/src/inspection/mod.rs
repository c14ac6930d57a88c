//! An inspection on paper: one description, a writer for each format, as a sheet of its own and as a part of an answer's.
//!
//! Whatever the format and however little room there is, every caution is printed whole, and what was not checked is said.

mod html;
mod json;
mod markdown;
mod photo;
mod text;

pub use html::{blank, html, section as html_section};
pub use json::{SCHEMA, json};
pub use markdown::{markdown, section as markdown_section};
pub use photo::{Photo, data_uri, figure};
pub(crate) use text::section as text_section;
pub use text::{message, text};

use knockon_trade::inspection::{Grade, Inspected, Judgement};

use crate::sheet::{Note, Tone};

/// One inspection, in words.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// Name of the protocol.
    pub title: String,
    /// Name of the protocol in commands and addresses.
    pub protocol: &'static str,
    /// Edition of the protocol that was walked.
    pub edition: u32,
    /// Its number where it is kept; empty otherwise.
    pub number: String,
    /// The part, in words; empty when nobody said.
    pub part: String,
    /// Who closed it, and when; empty while nobody did.
    pub signed: String,
    /// The worst grade that is still possible.
    pub grade: Grade,
    /// The outcome in a handful of words.
    pub headline: String,
    /// Why.
    pub because: Vec<String>,
    /// What the technician does, in order.
    pub actions: Vec<String>,
    /// What the rider is told.
    pub rider: String,
    /// When to look again.
    pub interval: Option<String>,
    /// What was found.
    pub found: Vec<FoundRow>,
    /// The step that is asked next; none when the protocol has come to its end.
    pub next: Option<NextRow>,
    /// Questions that could still have mattered and that nobody answered or could tell.
    pub unchecked: Vec<String>,
    /// What the protocol never sees.
    pub not_seen: Vec<String>,
    /// Who may judge such a part.
    pub qualified: String,
    /// Photos of it, with their marks.
    pub photos: Vec<Photo>,
    /// Cautions, strongest first, each with the number of its source in `sources`.
    pub cautions: Vec<Note>,
    /// Sources.
    pub sources: Vec<String>,
}

/// One answer.
#[derive(Clone, Debug)]
pub struct FoundRow {
    /// Name of the step.
    pub step: &'static str,
    /// The question.
    pub ask: String,
    /// The answer in words.
    pub answer: String,
    /// What was written down.
    pub note: String,
    /// The worst grade that it leaves possible.
    pub grade: Grade,
    /// False for a photo, from which no grade comes.
    pub is_graded: bool,
}

/// The question that stands open.
#[derive(Clone, Debug)]
pub struct NextRow {
    /// Name of the step.
    pub step: &'static str,
    /// The question.
    pub ask: String,
    /// Names of its answers.
    pub answers: Vec<&'static str>,
}

/// What the paper says beside the inspection itself.
#[derive(Clone, Debug, Default)]
pub struct Heading {
    /// Workshop.
    pub workshop: String,
    /// The bike; empty when nobody said.
    pub bike: String,
    /// Date, and who wrote it.
    pub drawn: String,
}

/// Composes the words.
pub fn compose(inspected: &Inspected, judgement: &Judgement) -> Inspection {
    let protocol = judgement.protocol;
    let sources: Vec<String> = judgement.sources.iter().map(ToString::to_string).collect();
    let number = |source: &str| sources.iter().position(|known| known == source).map_or(0, |at| at + 1);
    let found = judgement.found.iter().map(|found| FoundRow {
        step: &found.step.id,
        ask: found.step.ask.clone(),
        answer: found.given.words(found.step),
        note: found.note.clone(),
        grade: found.grade,
        is_graded: !found.step.answers.is_empty(),
    });
    Inspection {
        title: protocol.title.clone(),
        protocol: &protocol.id,
        edition: inspected.edition,
        number: inspected.number.clone(),
        part: inspected.part.clone(),
        signed: inspected.signed.clone(),
        grade: judgement.grade,
        headline: judgement.outcome.say.clone(),
        because: judgement.because.clone(),
        actions: judgement.outcome.actions.clone(),
        rider: judgement.outcome.rider.clone(),
        interval: judgement.outcome.interval.clone(),
        found: found.collect(),
        next: judgement.next.map(|step| NextRow {
            step: &step.id,
            ask: step.ask.clone(),
            answers: step.answers.iter().map(|answer| answer.id.as_str()).collect(),
        }),
        unchecked: judgement.unchecked.iter().map(|step| step.ask.clone()).collect(),
        not_seen: protocol.not_seen.clone(),
        qualified: protocol.qualified.clone(),
        photos: Vec::new(),
        cautions: judgement
            .cautions
            .iter()
            .map(|caution| Note { text: caution.text.clone(), source: number(&caution.source) })
            .collect(),
        sources,
    }
}

impl Inspection {
    /// The tone of its grade.
    pub fn tone(&self) -> Tone {
        tone_of(self.grade)
    }

    /// Grade and outcome in one sentence; an outcome that begins with its grade's own words says them once.
    pub fn graded(&self) -> String {
        let words = self.grade.words();
        if self.headline.to_lowercase().starts_with(&words.to_lowercase()) {
            format!("{}.", self.headline)
        } else {
            format!("{words}: {}.", self.headline)
        }
    }

    /// What is said of an inspection that nobody has brought to its end.
    pub fn open(&self) -> Option<&'static str> {
        self.next.is_some().then_some(OPEN)
    }

    /// Number, edition and who closed it, for a line below the title.
    pub fn about(&self) -> String {
        let number =
            if self.number.is_empty() { String::new() } else { format!("inspection {}", self.number) };
        let signed = if self.signed.is_empty() {
            "not signed".to_owned()
        } else {
            format!("signed by {}", self.signed)
        };
        let all = [
            self.part.clone(),
            number,
            format!("protocol {}, edition {}", self.protocol, self.edition),
            signed,
        ];
        all.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(" · ")
    }
}

/// What is said of an inspection that nobody has brought to its end.
const OPEN: &str = "This inspection is not finished: until it is, the worst that is still possible counts.";

/// Headings of the parts, the same in every format.
pub(crate) mod heading {
    pub(crate) const BECAUSE: &str = "Why";
    pub(crate) const ACTIONS: &str = "What to do";
    pub(crate) const RIDER: &str = "For the rider";
    pub(crate) const INTERVAL: &str = "Look again";
    pub(crate) const FOUND: &str = "What was found";
    pub(crate) const UNCHECKED: &str = "Not checked";
    pub(crate) const NOT_SEEN: &str = "What this protocol never sees";
    pub(crate) const QUALIFIED: &str = "Who may judge it";
    pub(crate) const PHOTOS: &str = "Photos";
    pub(crate) const SIGNATURES: &str = "Signatures";
}

/// The lines to sign on.
pub(crate) const SIGNATURES: [&str; 3] = [
    "Looked at by (name, training for this part, date, signature)",
    "Judged by somebody qualified (name, date, signature)",
    "The rider has read this and the cautions (date, signature)",
];

/// Said below the photos, wherever they are shown.
pub const NO_EYES: &str = "Marks were drawn by hand. Nothing on this sheet was read from a photo.";

/// The class of an element that tells a tone on a page.
pub fn class(tone: Tone) -> &'static str {
    crate::tone::class(tone)
}

/// The tone of a grade.
pub fn tone_of(grade: Grade) -> Tone {
    match grade {
        Grade::Cosmetic => Tone::Cosmetic,
        Grade::RideWithCheck => Tone::RideWithCheck,
        Grade::Inspect => Tone::Inspect,
        Grade::DoNotRide => Tone::DoNotRide,
    }
}

#[cfg(test)]
mod tests;
