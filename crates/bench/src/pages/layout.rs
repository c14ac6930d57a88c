//! The frame of every page: heading, rooms, search, footer.

use maud::{DOCTYPE, Markup, html};

use crate::assets::{CSS, JS};
use crate::visitor::Visitor;

/// Where a page belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Room {
    /// Questions and their working pages.
    Questions,
    /// Bikes and their records.
    Bikes,
    /// Published sheets.
    Sheets,
    /// Whether parts go on a bike.
    Fits,
    /// From a wanted result to parts.
    Backwards,
    /// Inspections by protocol, and cleaners against surfaces.
    Inspect,
    /// Gears, chain, brakes and wheels in depth.
    Workings,
    /// Torques.
    Bolts,
    /// What a part is, by a few readings.
    Gauge,
    /// Settings and accounts.
    Settings,
    /// Nowhere in particular.
    None,
}

/// The rooms in the order of the heading.
const ROOMS: [(Room, &str, &str); 10] = [
    (Room::Questions, "Questions", "/questions"),
    (Room::Bikes, "Bikes", "/bikes"),
    (Room::Sheets, "Sheets", "/sheets"),
    (Room::Fits, "Fits", "/fits"),
    (Room::Backwards, "Backwards", "/backwards"),
    (Room::Workings, "Workings", "/workings"),
    (Room::Inspect, "Inspect", "/inspect"),
    (Room::Gauge, "Gauge", "/gauge"),
    (Room::Bolts, "Bolts", "/bolts"),
    (Room::Settings, "Settings", "/settings"),
];

/// A whole page for a visitor. It takes the body for itself, so that a call with `html!` inside reads well.
#[allow(clippy::needless_pass_by_value)]
pub fn page(visitor: &Visitor, here: Room, title: &str, body: Markup) -> Markup {
    framed(Some(visitor), here, title, &body)
}

/// A whole page for somebody who is not known, who is shown no rooms.
#[allow(clippy::needless_pass_by_value)]
pub fn public_page(title: &str, body: Markup) -> Markup {
    framed(None, Room::None, title, &body)
}

fn framed(visitor: Option<&Visitor>, here: Room, title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Knockon" }
                link rel="stylesheet" href=(CSS.address());
                script src=(JS.address()) defer {}
            }
            body {
                a.skip href="#main" { "Skip to the page’s content" }
                (heading(visitor, here))
                main id="main" tabindex="-1" { (body) }
                (footing(visitor))
            }
        }
    }
}

fn heading(visitor: Option<&Visitor>, here: Room) -> Markup {
    html! {
        header.top {
            a.name href="/" { "Knockon" }
            @if visitor.is_some() {
                nav aria-label="Rooms" {
                    ul {
                        @for (room, name, address) in ROOMS {
                            li { a href=(address) aria-current=[(room == here).then_some("page")] { (name) } }
                        }
                    }
                }
                form.search role="search" method="get" action="/questions" {
                    label.unseen for="find" { "Find a question, bike or answer" }
                    input id="find" type="search" name="words" placeholder="Find a question, bike or answer" maxlength="200";
                    button.unseen { "Find" }
                }
            }
        }
    }
}

fn footing(visitor: Option<&Visitor>) -> Markup {
    html! {
        footer.foot {
            @if let Some(visitor) = visitor {
                @let workshop = &visitor.workshop;
                p {
                    @if workshop.name.is_empty() { "Knockon" } @else { (workshop.name) }
                    @if workshop.demo { " · " strong { "invented demo" } ", no real bikes or riders" }
                }
                @if workshop.accounts {
                    form method="post" action="/log-out" {
                        span { (visitor.name) @if !visitor.may_write() { ", may read" } }
                        button.plain { "Log out" }
                    }
                }
            } @else {
                p { "Knockon" }
            }
        }
    }
}
