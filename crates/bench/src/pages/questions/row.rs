//! One question of a list.

use knockon_desk::{QuestionRow, State};
use knockon_trade::urgent;
use knockon_trade::words::upper_first;
use maud::{Markup, html};

use crate::pages::listing::beginning;
use crate::pages::time::ago;

/// Longest beginning of the rider's words in a list, characters.
const LONGEST: usize = 220;

/// Number, the rider's words, safety words, bike, state and age.
pub fn row(row: &QuestionRow) -> Markup {
    let open = matches!(row.state, State::New | State::Waiting);
    html! {
        li.row {
            span.number { span.unseen { "Question " } (row.id) }
            div.what {
                (words(row))
                (marks(&row.urgent, open))
                @if let Some(answer) = &row.answer { p.answer { "Answer: " (answer) } }
            }
            p.whose {
                @if let Some((bike, title)) = &row.bike { a href={ "/bikes/" (bike) } { (title) } }
                @else { span.quiet { "No bike yet" } }
                @if !row.rider.trim().is_empty() { span.rider { span.unseen { "Rider: " } (row.rider) } }
            }
            p.state.new[row.state == State::New] { (upper_first(row.state.word())) }
            p.age { (ago(row.came)) }
        }
    }
}

/// The words as a link; where a search found them, what it found is marked.
fn words(row: &QuestionRow) -> Markup {
    let said = beginning(&row.asked, LONGEST);
    let said = if said.is_empty() { "No words written down".to_owned() } else { said };
    let found = row.excerpt.as_deref().unwrap_or_default();
    let whole = !found.is_empty()
        && one_line(&found.iter().map(|(piece, _)| piece.as_str()).collect::<String>()) == said;
    html! {
        p.words {
            a href={ "/questions/" (row.id) } { @if whole { (marked(found)) } @else { (said) } }
        }
        @if !found.is_empty() && !whole { p.excerpt { (marked(found)) } }
    }
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn marked(pieces: &[(String, bool)]) -> Markup {
    html! { @for (piece, hit) in pieces { @if *hit { mark { (piece) } } @else { (piece) } } }
}

/// The safety words of a question, each with a triangle. Those of a question that is done are told more quietly.
pub fn marks(words: &[String], open: bool) -> Markup {
    html! {
        @if !words.is_empty() {
            ul.marks.done[!open] aria-label="Safety words" {
                @for word in words { li title=[urgent::why(word)] { (triangle()) (word) } }
            }
        }
    }
}

/// The shape beside a safety word; the word beside it says what it means.
pub fn triangle() -> Markup {
    html! {
        svg.triangle viewBox="0 0 16 16" width="16" height="16" aria-hidden="true" focusable="false" {
            path d="M8 1.5 15.2 14.5H.8Z" {}
            path.bang d="M8 5.6v4.4M8 11.4v1.4" {}
        }
    }
}
