//! A pile of pasted messages, parted.

/// The messages of a pile, in order.
///
/// Where a line holds nothing but three or more dashes, equal signs, underscores or stars, such lines part the messages,
/// and a message keeps its paragraphs. Without any such line, empty lines part them.
pub fn messages(pile: &str) -> Vec<String> {
    let lines: Vec<&str> = pile.lines().map(str::trim_end).collect();
    let parted_by: fn(&str) -> bool =
        if lines.iter().any(|line| is_rule(line)) { is_rule } else { |line| line.trim().is_empty() };
    lines
        .split(|line| parted_by(line))
        .map(|message| message.join("\n").trim().to_owned())
        .filter(|message| !message.is_empty())
        .collect()
}

fn is_rule(line: &str) -> bool {
    let line = line.trim();
    let first = line.chars().next();
    line.chars().count() >= 3
        && first.is_some_and(|first| "-=_*–—".contains(first))
        && line.chars().all(|letter| Some(letter) == first)
}

#[cfg(test)]
mod tests {
    use super::messages;

    #[test]
    fn empty_lines_part_messages() {
        assert_eq!(messages("one\ntwo lines\n\n \t\nthree\n"), ["one\ntwo lines", "three"]);
        assert_eq!(messages("\r\n\r\none\r\n\r\ntwo\r\n"), ["one", "two"]);
    }

    #[test]
    fn a_drawn_line_parts_messages_that_have_paragraphs() {
        assert_eq!(
            messages("one\n\nstill one\n---\ntwo\n=====\n\nthree"),
            ["one\n\nstill one", "two", "three"]
        );
        assert_eq!(messages("one\n——————\ntwo"), ["one", "two"]);
    }

    #[test]
    fn dashes_within_a_message_are_its_own() {
        assert_eq!(messages("a -- b\n--\n- c"), ["a -- b\n--\n- c"]);
        assert_eq!(messages("---\n\n---"), [""; 0]);
        assert_eq!(messages(" \n"), [""; 0]);
    }
}
