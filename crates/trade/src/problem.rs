//! What is wrong with a text, where, and how to mend it.

use std::fmt;
use std::sync::Arc;

use miette::{Diagnostic, LabeledSpan, NamedSource, Severity, SourceCode, SourceSpan};

/// One error or warning about a text that somebody wrote.
#[derive(Clone, Debug)]
pub struct Problem {
    /// What is wrong, in one sentence.
    pub message: String,
    /// How to mend it.
    pub help: Option<String>,
    /// Place of the offending text, in bytes.
    pub place: std::ops::Range<usize>,
    /// True for a warning: the text is used all the same.
    pub warning: bool,
    source: Arc<NamedSource<Arc<str>>>,
}

impl Problem {
    /// An error at a place of `text`, which is called `name` when it is shown.
    pub fn error(
        name: &str,
        text: &Arc<str>,
        place: std::ops::Range<usize>,
        message: impl Into<String>,
    ) -> Self {
        Problem {
            message: message.into(),
            help: None,
            place,
            warning: false,
            source: Arc::new(NamedSource::new(name, Arc::clone(text))),
        }
    }

    /// The same with a way to mend it.
    #[must_use]
    pub fn with_help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same as a warning.
    #[must_use]
    pub fn as_warning(mut self) -> Self {
        self.warning = true;
        self
    }

    /// Line and column of the place, both from 1; columns in characters.
    pub fn line_column(&self) -> (usize, usize) {
        let text = self.source.inner();
        let start = floor(text, self.place.start);
        let before = &text[..start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// The offending text.
    pub fn offending(&self) -> &str {
        let text = self.source.inner();
        &text[floor(text, self.place.start)..floor(text, self.place.end)]
    }

    /// The line that it stands in.
    pub fn line(&self) -> &str {
        self.source.inner().lines().nth(self.line_column().0 - 1).unwrap_or_default()
    }

    /// Name of the file or other source.
    pub fn source_name(&self) -> &str {
        self.source.name()
    }
}

/// The nearest character boundary at or before a byte, within the text.
fn floor(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Problem {}

impl Diagnostic for Problem {
    fn severity(&self) -> Option<Severity> {
        Some(if self.warning { Severity::Warning } else { Severity::Error })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&*self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let span = SourceSpan::from((self.place.start, self.place.len()));
        Some(Box::new(std::iter::once(LabeledSpan::new_with_span(Some("here".into()), span))))
    }
}

/// The candidate that `word` was most likely meant to be, if any comes near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (strsim::jaro_winkler(&word, &candidate.to_lowercase()), candidate))
        .filter(|(likeness, _)| *likeness > 0.72)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}
