//! The options on the page.

use knockon_desk::BikeId;
use knockon_sheet::backwards::{Options, Proposed, Reached, fit};
use knockon_sheet::drawing::Page;
use knockon_sheet::html::Parts;
use knockon_trade::problem::Problem;
use knockon_trade::words::{lower_first, upper_first};
use maud::{Markup, html};

use super::asked::Asked;
use crate::pages::listing::address;
use crate::pages::questions::sentence;

/// Past so many faults of a list nobody reads on.
const MOST_PROBLEMS: usize = 20;

/// What comes of the wishes: verdict, options, cautions.
pub fn all(asked: &Asked, options: &Options, problems: &[Problem], may_write: bool) -> Markup {
    html! {
        @if !problems.is_empty() {
            div.notice {
                p { strong { "Not everything of the list could be read" } }
                ul {
                    @for problem in problems.iter().take(MOST_PROBLEMS) { li { code { (problem.line().trim()) } ": " (sentence(&problem.message)) } }
                    @if problems.len() > MOST_PROBLEMS { li { "and " (problems.len() - MOST_PROBLEMS) " more" } }
                }
            }
        }
        h2 { (options.verdict) }
        dl.wanted {
            div { dt { "Wanted" } dd { (upper_first(&options.wanted.join("; "))) } }
            @if !options.stays.is_empty() { div { dt { "Stays" } dd { (upper_first(&options.stays.join(", "))) ", because nothing else was said" } } }
            div { dt { "Now" } dd { @for (at, it) in options.now.iter().enumerate() { @if at > 0 { "; " (lower_first(&it.label)) } @else { (it.label) } " " (it.off) } } }
            @for note in &options.notes { div { dt { "Note" } dd { (note) } } }
        }
        @if !options.options.is_empty() {
            ol.offered { @for option in &options.options { (one(asked, asked.bike, option, may_write)) } }
            p {
                button form="backwards" formaction="/backwards/compare" formmethod=(if asked.stock.is_empty() { "get" } else { "post" }) { "Put side by side" }
                " " span.quiet.small { "the ticked ones, up to four; without a tick the first four" }
            }
        }
        @if !options.left_out.is_empty() {
            details { summary { "Left out (" (options.left_out.len()) ")" } ul { @for line in &options.left_out { li { (line) } } } }
        }
        @if !options.cautions.is_empty() {
            h3.caution { "Caution" }
            ol.cautions { @for caution in &options.cautions { li { (caution.text) } } }
        }
        p.quiet.small { (options.weighed) ". " (options.rests_on.join(" ")) }
        p.quiet.small { "Sources: " (options.sources.join("; ")) "." }
    }
}

/// One option of a bike; those of the bike that was asked for first can be ticked to stand side by side.
pub fn one(asked: &Asked, bike: Option<BikeId>, option: &Proposed, may_write: bool) -> Markup {
    let number = option.number;
    let ticked = bike == asked.bike;
    let bike = bike.map(|bike| bike.to_string()).unwrap_or_default();
    html! {
        li.proposal {
            div.proposal-head {
                h3 { "Option " (number) ": " (option.title) }
                span.price { (option.price) }
                @if ticked { label.compare { input type="checkbox" name="compare" value=(number) form="backwards" checked[asked.compare.contains(&number)]; " compare" } }
            }
            @if option.as_good { p.quiet.small { "As near as any, as far as anyone can tell." } }
            // What it looks like, of the first: the after-line follows the hand that drags.
            @if number == 1 { figure.elevation.sheet-part { (Parts::of(&option.sheet).with_ids(if ticked { "first-" } else { "or-" }).elevation(Page::Phone)) } }
            ul.things { @for done in &option.things { li { (done.slot) (done.what) " " span.quiet { (done.from) } } } }
            ul.figures { @for it in option.reached.iter().filter(|it| !it.still) { (reached(it)) } }
            ul.fit.sheet-part { (fit(option)) }
            @if let Some(trial) = &option.trial { p { strong { "Try first: " } (trial.sentence()) } }
            @if may_write {
                p { a href=(address("/questions/new", &[("bike", &bike), ("changes", &option.lines.join("\n"))])) { "Keep it as a question" } }
            }
        }
    }
}

fn reached(it: &Reached) -> Markup {
    html! {
        li class=[(!it.met).then_some("off")] {
            (it.label) " " strong { (it.difference) } " " span.quiet { (it.plus_minus) } " " (it.off)
        }
    }
}
