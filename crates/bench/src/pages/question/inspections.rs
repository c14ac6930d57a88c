//! Inspections of a question: those that there are, and the protocols that its words suggest.

use knockon_desk::{Inspection, QuestionId};
use knockon_trade::inspection::protocols;
use knockon_trade::inspection::suggest::suggest;
use maud::{Markup, html};

use crate::pages::inspect::row;

/// The section.
pub fn section(question: QuestionId, asked: &str, all: &[Inspection], may_write: bool) -> Markup {
    let mut suggested = suggest(asked);
    suggested.retain(|protocol| all.iter().all(|begun| begun.protocol != protocol.id));
    html! {
        section.inspections-of id="inspections" aria-labelledby="inspections-head" {
            h2 id="inspections-head" { "Inspections" }
            @if all.is_empty() { p.quiet { "None yet." } }
            ul.bare.inspected { @for inspection in all { (row(inspection, "")) } }
            @if may_write {
                @if !suggested.is_empty() {
                    p { "What was asked suggests:" }
                    div.actions.suggested {
                        @for protocol in &suggested {
                            form method="post" action="/inspections" {
                                input type="hidden" name="question" value=(question);
                                button name="protocol" value=(protocol.id) { (protocol.title) }
                            }
                        }
                    }
                }
                form.another method="post" action="/inspections" {
                    input type="hidden" name="question" value=(question);
                    label.unseen for="protocol" { "Protocol" }
                    select id="protocol" name="protocol" {
                        @for protocol in protocols() { option value=(protocol.id) { (protocol.title) } }
                    }
                    button { "Begin an inspection" }
                }
            }
        }
    }
}
