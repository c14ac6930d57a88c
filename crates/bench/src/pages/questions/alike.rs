//! Answered questions that resemble a text: the same question again takes a minute.

use axum::extract::{Query, State};
use knockon_desk::QuestionRow;
use maud::{Markup, html};
use serde::Deserialize;

use super::row;
use crate::app::App;
use crate::errors::Fault;
use crate::pages::listing::beginning;
use crate::visitor::Visitor;

/// Most answered questions that are shown beside a new one.
pub const MOST: u32 = 3;

/// Longest text that is compared, characters: its beginning says what it is about.
const COMPARED: usize = 2_000;

/// A text that somebody is writing.
#[derive(Deserialize)]
pub struct Text {
    #[serde(default)]
    asked: String,
}

/// Safety words and answered questions for a text, for the script that asks while somebody writes.
pub async fn fragment(State(app): State<App>, _: Visitor, Query(text): Query<Text>) -> Result<Markup, Fault> {
    let words = words_in(&text.asked);
    let asked: String = text.asked.chars().take(COMPARED).collect();
    let rows = app
        .desk(
            move |desk| if asked.trim().is_empty() { Ok(Vec::new()) } else { desk.alike_text(&asked, MOST) },
        )
        .await?;
    Ok(html! { (safety(&words)) (found(&rows)) })
}

/// The safety words of a text.
pub fn words_in(text: &str) -> Vec<String> {
    knockon_trade::urgent::words_in(text).into_iter().map(str::to_owned).collect()
}

/// Which safety words were found, and why each is urgent.
pub fn safety(words: &[String]) -> Markup {
    html! {
        @if !words.is_empty() {
            ul.safety.bare aria-label="Safety words" {
                @for word in words {
                    li { (row::triangle()) strong { (word) } @if let Some(why) = knockon_trade::urgent::why(word) { ": " (why) } }
                }
            }
        }
    }
}

/// The answered questions, each with its answer.
pub fn found(rows: &[QuestionRow]) -> Markup {
    html! {
        @if !rows.is_empty() {
            div.answered-before {
                p { strong { "Answered before" } }
                ul {
                    @for row in rows {
                        li {
                            a href={ "/questions/" (row.id) } target="_blank" {
                                "Question " (row.id) ": " (beginning(&row.asked, 120))
                                span.unseen { " (opens in a new tab)" }
                            }
                            @if let Some((_, title)) = &row.bike { span.quiet { " · " (title) } }
                            @if let Some(answer) = &row.answer { p.answer { (answer) } }
                        }
                    }
                }
            }
        }
    }
}
