//! Cleaners against surfaces, and what is done in which order. Everything is in the address.

use axum::extract::Query;
use knockon_sheet::report::care::{Asked as Told, cautions, mark, sources};
use knockon_trade::care::{Care, Contact, care, find};
use knockon_trade::tables;
use knockon_trade::words::lower_first;
use maud::{Markup, html};
use serde::Deserialize;

use crate::pages::layout::{Room, page};
use crate::visitor::Visitor;

/// What the form sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    agent: String,
    surface: String,
    routine: String,
}

/// The page.
pub async fn show(visitor: Visitor, Query(asked): Query<Asked>) -> Markup {
    let agent = find(tables::agents(), &asked.agent);
    let surface = find(tables::surfaces(), &asked.surface);
    let routine = find(tables::routines(), &asked.routine);
    let told = match (agent, surface, routine) {
        (_, _, Some(routine)) => Told::Routine(routine),
        (Some(agent), Some(surface), None) => Told::Both(agent, surface),
        (Some(agent), None, None) => Told::Agent(agent),
        (None, Some(surface), None) => Told::Surface(surface),
        (None, None, None) => Told::Everything,
    };
    let body = html! {
        div.cleaning {
            h1 { "Cleaners and surfaces" }
            form.fields.clean-form method="get" action="/cleaning" {
                div.row {
                    div.field {
                        label for="agent" { "Cleaner, lubricant or fluid" }
                        select id="agent" name="agent" {
                            option value="" { "Any" }
                            @for row in tables::agents() { option value=(row.id) selected[agent.is_some_and(|it| it.id == row.id)] { (row.name) } }
                        }
                    }
                    div.field {
                        label for="surface" { "Surface" }
                        select id="surface" name="surface" {
                            option value="" { "Any" }
                            @for row in tables::surfaces() { option value=(row.id) selected[surface.is_some_and(|it| it.id == row.id)] { (row.name) } }
                        }
                    }
                }
                div { button.primary { "Tell what it does" } }
            }
            section aria-labelledby="routines-head" {
                h2 id="routines-head" { "In which order" }
                ul.routines.bare {
                    @for row in tables::routines() {
                        li { a href={ "/cleaning?routine=" (row.id) } aria-current=[(routine.is_some_and(|it| it.id == row.id)).then_some("true")] { (row.title) } }
                    }
                }
            }
            @if !matches!(told, Told::Everything) { (answer(told)) }
            @if matches!(told, Told::Everything) { (matrix()) }
        }
    };
    page(&visitor, Room::Inspect, "Cleaners and surfaces", body)
}

fn answer(told: Told) -> Markup {
    html! {
        section.care-answer aria-labelledby="care-head" aria-live="polite" {
            @match told {
                Told::Everything => {}
                Told::Agent(agent) => {
                    h2 id="care-head" { (agent.name) }
                    p { (agent.is) }
                    (groups(&tables::surfaces().iter().map(|surface| {
                        (surface.name.as_str(), format!("/cleaning?agent={}&surface={}", agent.id, surface.id), care(agent, surface))
                    }).collect::<Vec<_>>()))
                }
                Told::Surface(surface) => {
                    h2 id="care-head" { (surface.name) }
                    (groups(&tables::agents().iter().map(|agent| {
                        (agent.name.as_str(), format!("/cleaning?agent={}&surface={}", agent.id, surface.id), care(agent, surface))
                    }).collect::<Vec<_>>()))
                }
                Told::Both(agent, surface) => {
                    h2 id="care-head" { (agent.name) " on: " (lower_first(&surface.name)) }
                    (one(care(agent, surface)))
                }
                Told::Routine(routine) => {
                    h2 id="care-head" { (routine.title) }
                    p { (routine.when) }
                    ol.routine { @for step in &routine.steps { li { p { (step.action) } p.quiet.small { (step.why) } } } }
                }
            }
            @let all = cautions(told);
            @if !all.is_empty() { (super::cautions(all.iter().map(|caution| caution.text.as_str()))) }
            p.quiet.small { "Sources: " (sources(told).join("; ")) "." }
        }
    }
}

fn one(row: &Care) -> Markup {
    html! {
        p class={ "contact " (row.contact.key()) } { span aria-hidden="true" { (mark(row.contact)) } " " (row.contact.words()) }
        p { (row.effect) }
        p { (row.action) }
    }
}

fn groups(rows: &[(&str, String, &Care)]) -> Markup {
    html! {
        @for contact in Contact::ALL.into_iter().rev() {
            @let all: Vec<_> = rows.iter().filter(|(_, _, row)| row.contact == contact).collect();
            @if !all.is_empty() {
                h3 class={ "contact " (contact.key()) } { span aria-hidden="true" { (mark(contact)) } " " (contact.words()) }
                ul.cares { @for (name, address, row) in all {
                    li { a href=(address) { (name) } ". " (row.effect) " " (row.action) }
                } }
            }
        }
    }
}

/// Everything at a glance; each cell leads to its words.
fn matrix() -> Markup {
    html! {
        section aria-labelledby="matrix-head" {
            h2 id="matrix-head" { "At a glance" }
            p.quiet { @for contact in Contact::ALL { span class={ "contact " (contact.key()) } { (mark(contact)) } " " (lower_first(contact.words())) "  " } "A sign is a start: its page says how, and what could hurt." }
            div.scroll tabindex="0" role="region" aria-label="Table of cleaners and surfaces" {
                table.matrix {
                    thead { tr { th scope="col" { "Cleaner or fluid" } @for surface in tables::surfaces() { th scope="col" { span { (surface.name) } } } } }
                    tbody {
                        @for agent in tables::agents() {
                            tr {
                                th scope="row" { a href={ "/cleaning?agent=" (agent.id) } { (agent.name) } }
                                @for surface in tables::surfaces() {
                                    @let row = care(agent, surface);
                                    td class={ "contact " (row.contact.key()) } {
                                        a href={ "/cleaning?agent=" (agent.id) "&surface=" (surface.id) }
                                            aria-label={ (row.contact.words()) ": " (agent.name) " on " (lower_first(&surface.name)) } { (mark(row.contact)) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
