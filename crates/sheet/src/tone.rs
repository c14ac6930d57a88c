//! Words and marks of the outcomes and grades, so that no writer tells one by colour alone.

use knockon_trade::inspection::Grade;

use crate::sheet::Tone;
use crate::text::lines::Ink;

/// The outcome in words.
pub(crate) fn words(tone: Tone) -> &'static str {
    match tone {
        Tone::Fits => "Fits",
        Tone::DoesNotFit => "Does not fit",
        Tone::MeasureFirst => "Measure first",
        Tone::CannotSay => "Cannot say",
        Tone::NoLimit => "No limit touched",
        Tone::DoNotRide => Grade::DoNotRide.words(),
        Tone::Inspect => Grade::Inspect.words(),
        Tone::RideWithCheck => Grade::RideWithCheck.words(),
        Tone::Cosmetic => Grade::Cosmetic.words(),
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
        Tone::DoNotRide => Grade::DoNotRide.key(),
        Tone::Inspect => Grade::Inspect.key(),
        Tone::RideWithCheck => Grade::RideWithCheck.key(),
        Tone::Cosmetic => Grade::Cosmetic.key(),
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
        Tone::DoNotRide => '⊘',
        Tone::Inspect => '!',
        Tone::RideWithCheck => '↻',
        Tone::Cosmetic => '○',
    }
}

/// How the outcome looks in plain text.
pub(crate) fn ink(tone: Tone) -> Ink {
    if is_warning(tone) { Ink::Caution } else { Ink::Strong }
}

/// Whether the outcome itself is a warning.
pub(crate) fn is_warning(tone: Tone) -> bool {
    matches!(tone, Tone::DoesNotFit | Tone::DoNotRide | Tone::Inspect)
}

#[cfg(test)]
mod tests {
    use super::{mark, words};
    use crate::sheet::Tone;
    use std::collections::HashSet;
    use unicode_width::UnicodeWidthChar;

    const ALL: [Tone; 9] = [
        Tone::Fits,
        Tone::DoesNotFit,
        Tone::MeasureFirst,
        Tone::CannotSay,
        Tone::NoLimit,
        Tone::DoNotRide,
        Tone::Inspect,
        Tone::RideWithCheck,
        Tone::Cosmetic,
    ];

    #[test]
    fn every_outcome_differs_in_word_and_mark() {
        assert_eq!(ALL.map(words).into_iter().collect::<HashSet<_>>().len(), ALL.len());
        assert_eq!(ALL.map(mark).into_iter().collect::<HashSet<_>>().len(), ALL.len());
        assert!(ALL.map(mark).iter().all(|sign| sign.width() == Some(1)));
    }
}
