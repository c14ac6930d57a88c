//! Makes text mean itself in CommonMark and in the tables of GitHub Flavored Markdown.

use crate::printable::printable;

/// The text on one line, with everything that Markdown would take as markup escaped.
pub(crate) fn escaped(text: &str) -> String {
    let text = printable(text);
    let text = text.trim();
    let mut out = String::with_capacity(text.len() + 8);
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let entity =
            character == '&' && characters.peek().is_some_and(|next| *next == '#' || next.is_alphanumeric());
        if entity || r"\`*_[]<>|~$".contains(character) {
            out.push('\\');
        }
        out.push(character);
    }
    escape_start(&mut out);
    out
}

/// What starts a heading, a list, an underline or a rule when it comes first in a line. "+8" and
/// "65.1" start none: a list needs a space after its sign.
fn escape_start(out: &mut String) {
    let digits = out.chars().take_while(char::is_ascii_digit).count();
    let (sign, after) = out[digits..].split_at(out[digits..].chars().next().map_or(0, char::len_utf8));
    let list = after.is_empty() || after.starts_with(' ');
    let starts = match sign {
        "." | ")" => digits > 0 && list,
        "+" => digits == 0 && list,
        "-" => digits == 0 && (list || after.starts_with('-')),
        "#" | "=" => digits == 0,
        _ => false,
    };
    if starts {
        out.insert(digits, '\\');
    }
}

#[cfg(test)]
mod tests {
    use super::escaped;
    use proptest::prelude::*;
    use pulldown_cmark::{Event, Options, Parser};

    /// What a reader of the rendered page reads.
    fn read(markdown: &str) -> String {
        let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
        Parser::new_ext(markdown, options)
            .map(|event| match event {
                Event::Text(text) => text.into_string(),
                Event::Start(_) | Event::End(_) => String::new(),
                other => format!("{other:?}"),
            })
            .collect()
    }

    #[test]
    fn markup_means_itself() {
        for text in [
            "<script>alert(1)</script>",
            "a | b **c** `d` _e_ ~~f~~ [g](h) ![i](j) &lt; &#35; \\n",
            "# not a heading",
            "- not a list",
            "12. not a list",
            "+8 mm",
            "=====",
            "---",
            "7)",
            "-",
        ] {
            assert_eq!(read(&escaped(text)), text);
        }
    }

    #[test]
    fn plain_words_stay_readable_in_the_source() {
        let text = "Stem & bar: 20 → 5 mm, −0.8° (±0.1), Ø 35-1/8!";
        assert_eq!(escaped(text), text);
        assert_eq!(escaped("+8"), "+8");
        assert_eq!(escaped("65.1°"), "65.1°");
    }

    proptest! {
        #[test]
        fn whatever_is_typed_is_what_is_read(text in "[ -~äß−±]{0,80}") {
            prop_assert_eq!(read(&escaped(&text)), text.trim());
        }
    }
}
