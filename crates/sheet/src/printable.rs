//! Keeps characters that steer a terminal or reorder a line out of what is printed.

use std::borrow::Cow;

/// The text on one line, with control characters and direction overrides taken out.
///
/// People type the question and the record; pasted text can carry escape sequences that recolour or
/// rewrite a terminal, and direction overrides that make "20" read as "02". Line breaks and tabs become
/// spaces because every writer breaks lines itself.
pub(crate) fn printable(text: &str) -> Cow<'_, str> {
    if text.chars().all(|character| !steers(character)) {
        return Cow::Borrowed(text);
    }
    let kept = text
        .chars()
        .filter_map(|character| match character {
            '\n' | '\r' | '\t' | '\u{85}' | '\u{2028}' | '\u{2029}' => Some(' '),
            other if steers(other) => None,
            other => Some(other),
        })
        .collect();
    Cow::Owned(kept)
}

/// True for what must not be printed as it is: controls, separators of lines, direction overrides.
fn steers(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{2028}' | '\u{2029}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}'
        )
}

#[cfg(test)]
mod tests {
    use super::printable;
    use proptest::prelude::*;

    #[test]
    fn escape_sequences_lose_their_escape() {
        assert_eq!(printable("a\u{1b}[31mred\u{7}\u{9b}2J"), "a[31mred2J");
        assert_eq!(printable("one\ntwo\tthree"), "one two three");
        assert_eq!(printable("20\u{202e}5"), "205");
    }

    #[test]
    fn ordinary_text_is_untouched() {
        let text = "Ø 35 mm, −0.8°, ±2 – naïve 自転車";
        assert_eq!(printable(text), text);
    }

    proptest! {
        #[test]
        fn nothing_that_steers_is_left(text in "\\PC*|.*") {
            prop_assert!(!printable(&text).chars().any(char::is_control));
        }
    }
}
