//! Facts to ask the rider for: a list to tick, and the words to send.

use knockon_sheet::sheet::MissingRow;
use maud::{Markup, html};

use super::working::Working;

/// The checklist and the message.
pub fn section(working: &Working, workshop: &str) -> Markup {
    let missing = working.missing();
    html! {
        @if missing.is_empty() {
            p.quiet { @if working.sheets().next().is_some() { "Nothing: every fact that this answer needs is known." } @else { "Nothing yet." } }
        } @else {
            ul.bare.checklist {
                @for row in &missing {
                    li { label {
                        input type="checkbox" checked data-fact=(fact(row)) autocomplete="off";
                        span { (row.ask) }
                        " " span.quiet.small { "Needed for: " (row.needed_for) }
                    } }
                }
            }
            @let text = message(working, &missing, workshop);
            label for="message" { "Message to the rider" }
            textarea id="message" readonly rows=(text.lines().count().clamp(6, 14)) data-message=(text) { (text) }
            div.actions {
                button.js-only type="button" data-copy="message" { "Copy the message" }
                span.copied role="status" {}
            }
            p.no-js.quiet.small { "Select the text and copy it." }
        }
    }
}

/// A greeting, exactly what is missing, how to find out, and thanks.
pub fn message(working: &Working, missing: &[&MissingRow], workshop: &str) -> String {
    let question = &working.question;
    let mut text = format!("{},\n\n", greeting(&question.rider));
    text += "thank you for your question";
    if let Some(bike) = &working.bike {
        text += &format!(" about your {bike}");
    }
    if !question.asked.trim().is_empty() {
        text += &format!(" (“{}”)", excerpt(&question.asked));
    }
    text += match missing.len() {
        1 => ". One thing is missing before we can answer it:\n",
        _ => ". Some things are missing before we can answer it:\n",
    };
    for row in missing {
        text += &format!("\n{}\n", fact(row));
    }
    text += "\nIf you are not sure how to measure it, a photo with the tape held in place is fine, or come by and we do it \
             together.\n\nThank you\n";
    text + workshop
}

/// One fact of the message; the script takes out those that are not ticked.
fn fact(row: &MissingRow) -> String {
    format!("– {}\n  {}", row.ask, row.how)
}

/// By name where the field holds a name; an address or a number is none.
fn greeting(rider: &str) -> String {
    let name = rider.split([',', ';', '<', '(']).next().unwrap_or_default().trim();
    let is_name = !name.is_empty()
        && name.chars().count() <= 40
        && name.chars().all(|c| c.is_alphabetic() || matches!(c, ' ' | '-' | '\'' | '’' | '.'));
    if is_name { format!("Hello {name}") } else { "Hello".to_owned() }
}

/// Enough of the rider's words to know which question it is.
fn excerpt(asked: &str) -> String {
    let words: String = asked.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.chars().count() <= 120 {
        return words;
    }
    let cut: String = words.chars().take(117).collect();
    format!("{}…", cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rider_is_greeted_by_name_where_there_is_one() {
        assert_eq!(greeting("Mara Invented"), "Hello Mara Invented");
        assert_eq!(greeting("Mara, 0123 456"), "Hello Mara");
        for no_name in ["", "mara@example.org", "0123 456789", "<script>"] {
            assert_eq!(greeting(no_name), "Hello", "{no_name}");
        }
    }

    #[test]
    fn a_long_question_is_cut_between_words() {
        let long = "word ".repeat(60);
        let cut = excerpt(&long);
        assert!(cut.chars().count() <= 120 && cut.ends_with("word…"), "{cut}");
        assert_eq!(excerpt("short\n one"), "short one");
    }
}
