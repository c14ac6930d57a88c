//! Words and marks of the four outcomes, so that no writer tells one by colour alone.

use crate::sheet::Tone;

/// The outcome in words.
pub(crate) fn words(tone: Tone) -> &'static str {
    match tone {
        Tone::Fits => "Fits",
        Tone::DoesNotFit => "Does not fit",
        Tone::MeasureFirst => "Measure first",
        Tone::CannotSay => "Cannot say",
        Tone::NoLimit => "No limit touched",
    }
}

/// The class of an element that tells the outcome on a page.
pub(crate) fn class(tone: Tone) -> &'static str {
    match tone {
        Tone::Fits => "fits",
        Tone::DoesNotFit => "does-not-fit",
        Tone::MeasureFirst => "measure-first",
        Tone::CannotSay => "cannot-say",
        Tone::NoLimit => "no-limit",
    }
}

/// A one-column mark for plain text. "±" stands for "the tolerance decides".
pub(crate) fn mark(tone: Tone) -> char {
    match tone {
        Tone::Fits => '✓',
        Tone::DoesNotFit => '✗',
        Tone::MeasureFirst => '±',
        Tone::CannotSay => '?',
        Tone::NoLimit => '–',
    }
}

#[cfg(test)]
mod tests {
    use super::{mark, words};
    use crate::sheet::Tone;
    use std::collections::HashSet;
    use unicode_width::UnicodeWidthChar;

    const ALL: [Tone; 5] = [Tone::Fits, Tone::DoesNotFit, Tone::MeasureFirst, Tone::CannotSay, Tone::NoLimit];

    #[test]
    fn every_outcome_differs_in_word_and_mark() {
        assert_eq!(ALL.map(words).into_iter().collect::<HashSet<_>>().len(), ALL.len());
        assert_eq!(ALL.map(mark).into_iter().collect::<HashSet<_>>().len(), ALL.len());
        assert!(ALL.map(mark).iter().all(|sign| sign.width() == Some(1)));
    }
}
