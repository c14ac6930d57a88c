//! Two texts line by line.

use std::time::Duration;

use maud::{Markup, html};
use similar::{ChangeTag, TextDiff};

/// Lines that did not change and are shown around those that did.
const AROUND: usize = 2;

/// After this the difference is a rougher one: two long texts without a common line would take minutes.
const LONGEST: Duration = Duration::from_millis(100);

/// What changed from `before` to `after`, with a sign before each line that is gone or new.
pub fn lines(before: &str, after: &str) -> Markup {
    let diff = TextDiff::configure().timeout(LONGEST).diff_lines(before, after);
    let groups = diff.grouped_ops(AROUND);
    html! {
        @if groups.is_empty() { p.quiet { "No line differs." } }
        @else {
            div.line-difference tabindex="0" role="region" aria-label="Lines that differ" {
                @for (nth, group) in groups.iter().enumerate() {
                    @if nth > 0 { p.gap aria-label="unchanged lines left out" { "⋮" } }
                    @for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
                        (line(change.tag(), change.value().trim_end_matches(['\n', '\r'])))
                    }
                }
            }
        }
    }
}

fn line(tag: ChangeTag, text: &str) -> Markup {
    match tag {
        ChangeTag::Delete => html! { del { span.sign { "−" } (text) } },
        ChangeTag::Insert => html! { ins { span.sign { "+" } (text) } },
        ChangeTag::Equal => html! { div.same { span.sign { } (text) } },
    }
}

#[cfg(test)]
mod tests {
    use super::lines;

    #[test]
    fn lines_that_are_gone_and_new_have_their_signs() {
        let shown = lines("a\nb\nc\n", "a\nB <i>\nc\n").into_string();
        assert!(shown.contains("<del><span class=\"sign\">−</span>b</del>"), "{shown}");
        assert!(shown.contains("<ins><span class=\"sign\">+</span>B &lt;i&gt;</ins>"), "{shown}");
    }

    #[test]
    fn far_lines_are_left_out() {
        let text = |middle: &str| format!("first\n{}{middle}\n", "same\n".repeat(9));
        let shown = lines(&text("one"), &text("two")).into_string();
        assert!(!shown.contains("first") && shown.matches("same</div>").count() == 2, "{shown}");
        assert!(lines("a\n", "a\n").into_string().contains("No line differs"));
    }
}
