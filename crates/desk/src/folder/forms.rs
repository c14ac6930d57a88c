//! What the files of a folder hold.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::{Language, LengthUnit, State, Way};

/// Form of the folder that this program writes and reads.
pub(super) const FORM: u32 = 2;

/// `workshop.toml`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Workshop {
    pub(super) form: Spanned<u32>,
    #[serde(default, rename = "workshop")]
    pub(super) name: String,
    #[serde(default)]
    pub(super) drawn_by: String,
    #[serde(default)]
    pub(super) length: LengthUnit,
    #[serde(default)]
    pub(super) label_language: Language,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(super) tolerances: BTreeMap<String, f64>,
}

/// `bikes/STEM/history.toml`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct History {
    /// The bike's number.
    pub(super) bike: Spanned<i64>,
    /// Oldest first. The newest one's text is `bikes/STEM.toml`.
    #[serde(rename = "version")]
    pub(super) versions: Vec<Version>,
}

/// One version of a bike.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Version {
    pub(super) number: Spanned<u32>,
    pub(super) at: Timestamp,
    pub(super) who: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) why: String,
}

/// `questions/0042.toml`. Written by hand, `asked` or `changes` is enough.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Question {
    #[serde(default)]
    pub(super) asked: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) rider: String,
    /// Name of the bike's file, without its ending.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) bike: Option<Spanned<String>>,
    /// One a line.
    #[serde(default)]
    pub(super) changes: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) instead: Option<Vec<String>>,
    /// When and by whom the changes were saved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) tried_at: Option<Timestamp>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) tried_by: Option<String>,
    #[serde(default)]
    pub(super) state: StateWord,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) notes: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) came: Option<Timestamp>,
    /// When and by whom it was edited last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) at: Option<Timestamp>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) who: Option<String>,
    #[serde(default, rename = "photo", skip_serializing_if = "Vec::is_empty")]
    pub(super) photos: Vec<Photo>,
    #[serde(default, rename = "inspection", skip_serializing_if = "Vec::is_empty")]
    pub(super) inspections: Vec<Inspection>,
}

impl Photo {
    /// The marks as one text.
    pub(super) fn marked(&self) -> String {
        self.marks.as_ref().map(|marks| text(marks.get_ref())).unwrap_or_default()
    }
}

/// An inspection of a question.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Inspection {
    pub(super) number: Spanned<i64>,
    pub(super) protocol: Spanned<String>,
    pub(super) edition: u32,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) part: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) signed_by: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) signed_at: Option<Timestamp>,
    pub(super) at: Timestamp,
    pub(super) who: String,
    #[serde(default, rename = "found", skip_serializing_if = "Vec::is_empty")]
    pub(super) answers: Vec<FoundAt>,
}

/// What was found at one step.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FoundAt {
    pub(super) step: Spanned<String>,
    pub(super) answer: Spanned<String>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) note: String,
    pub(super) at: Timestamp,
    pub(super) who: String,
}

/// A photo of a question; the picture is `photos/NUMBER.jpg`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Photo {
    pub(super) number: Spanned<i64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) caption: String,
    /// The inspection that it was taken for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) inspection: Option<Spanned<i64>>,
    /// One a line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) marks: Option<Spanned<Vec<String>>>,
    pub(super) at: Timestamp,
    pub(super) who: String,
}

/// `sheets/CODE/1.toml`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Sheet {
    pub(super) question: Spanned<i64>,
    pub(super) way: WayWord,
    pub(super) title: String,
    pub(super) bike: String,
    pub(super) headline: String,
    pub(super) sentences: String,
    pub(super) changes: Vec<String>,
    pub(super) at: Timestamp,
    pub(super) who: String,
}

/// A state by its key.
#[derive(Clone, Copy, Default, Serialize, Deserialize)]
#[serde(try_from = "String", into = "&'static str")]
pub(super) struct StateWord(pub(super) State);

impl TryFrom<String> for StateWord {
    type Error = String;

    fn try_from(key: String) -> Result<Self, String> {
        State::of_key(&key).map(StateWord).ok_or_else(|| {
            let known = State::ALL.map(State::key).join(", ");
            format!("`{key}` is no state of a question; known are {known}")
        })
    }
}

impl From<StateWord> for &'static str {
    fn from(word: StateWord) -> Self {
        word.0.key()
    }
}

/// A way by its key.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "String", into = "&'static str")]
pub(super) struct WayWord(pub(super) Way);

impl TryFrom<String> for WayWord {
    type Error = String;

    fn try_from(key: String) -> Result<Self, String> {
        Way::of_key(&key).map(WayWord).ok_or_else(|| {
            let known = Way::ALL.map(Way::key).join(", ");
            format!("`{key}` is no way of a question; known are {known}")
        })
    }
}

impl From<WayWord> for &'static str {
    fn from(word: WayWord) -> Self {
        word.0.key()
    }
}

/// Lines of a text, so that they stand below each other in a file; nothing is lost.
pub(super) fn lines(text: &str) -> Vec<String> {
    if text.is_empty() { Vec::new() } else { text.split('\n').map(str::to_owned).collect() }
}

/// The text of lines.
pub(super) fn text(lines: &[String]) -> String {
    lines.join("\n")
}
