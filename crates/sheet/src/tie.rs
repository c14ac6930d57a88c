//! Keeps a figure and what belongs to it on one line.

use crate::printable::printable;
use std::iter::once;

const NO_BREAK_SPACE: char = '\u{a0}';

/// Words that stand behind a figure and mean nothing without it.
const UNITS: [&str; 22] = [
    "mm", "cm", "m", "km", "kg", "g", "N", "Nm", "N·m", "N/mm", "N/mm²", "bar", "psi", "%", "°", "°C", "W",
    "m/s²", "km/h", "teeth", "pieces", "mm²",
];

/// The printable text with no-break spaces between figures and units ("5 mm") and before "±".
pub(crate) fn tied(text: &str) -> String {
    let text = printable(text);
    let words: Vec<&str> = text.split(' ').collect();
    let mut out = String::with_capacity(text.len() + 4);
    for (word, next) in words.iter().zip(words.iter().skip(1).map(Some).chain(once(None))) {
        out.push_str(word);
        if let Some(next) = next {
            out.push(if belongs(word, next) { NO_BREAK_SPACE } else { ' ' });
        }
    }
    out
}

/// True when `next` is the unit or the tolerance of the figure at the end of `word`.
fn belongs(word: &str, next: &str) -> bool {
    let bare = next.trim_end_matches(['.', ',', ';', ':', '!', '?', ')']);
    word.ends_with(|character: char| character.is_ascii_digit())
        && (UNITS.contains(&bare) || next.starts_with('±'))
}

#[cfg(test)]
mod tests {
    use super::tied;

    #[test]
    fn a_unit_stays_with_its_figure() {
        assert_eq!(tied("10 mm too long, has 180 ±4."), "10\u{a0}mm too long, has 180\u{a0}±4.");
        assert_eq!(tied("set to 6 N·m."), "set to 6\u{a0}N·m.");
    }

    #[test]
    fn other_words_break_as_before() {
        let text = "two  spaces, 3 notes, 12 months, m at the start";
        assert_eq!(tied(text), text);
    }
}
