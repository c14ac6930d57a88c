//! The rear suspension through its travel: the sheet's own part, with a slider above it and handles on the linkage's points.
//!
//! Slider and handles stand outside of what an answer swaps, so that none is taken out of the hand that holds it. Without a
//! script there is the part alone, which says everything at full extension, sag and full travel.

use knockon_sheet::drawing::Page;
use knockon_sheet::sheet::Sheet;
use maud::{Markup, html};

use super::live::{Drawn, of};
use super::state::Side;
use super::working::{Outcome, Working};

/// The section; the style hides it while there is nothing in it.
pub fn section(working: &Working) -> Markup {
    html! {
        section.travel-room aria-labelledby="travel-head" {
            h2 id="travel-head" { "Through the travel" }
            div.travel-tools.js-only {
                label for="travel" { "Travel" }
                // Positions of the drawing; the script says the travel at each.
                input id="travel" type="range" min="0" max="20" step="0.1" value="0" autocomplete="off";
                // The slider itself says this to those who hear the page.
                span.travel-said id="travel-said" aria-hidden="true" {}
                span.travel-buttons {
                    button type="button" id="travel-sag" { "At sag" }
                    button type="button" id="travel-run" { "Go through the travel" }
                }
            }
            p.quiet.small.js-only id="handles-hint" hidden {
                "A point of the linkage is moved by dragging it, or by the arrow keys: 1 mm, with Shift 5 mm."
            }
            div.js-only id="handles" role="group" aria-label="Points of the linkage" {}
            div id="ride" { (ride(working, Drawn::Both)) }
        }
    }
}

/// What an answer swaps.
pub fn ride(working: &Working, drawn: Drawn) -> Markup {
    let sheets: Vec<(Side, &Sheet)> = working.sheets().filter(|(_, sheet)| sheet.ride.is_some()).collect();
    let cannot = working.all().any(|(_, way)| matches!(way.outcome, Outcome::Cannot { .. }));
    html! {
        @match sheets.as_slice() {
            // Seen only above what an earlier answer drew, which the script leaves there.
            [] => { @if cannot { p.notice { "The last change cannot be computed. What is drawn here is how it was before." } } }
            [(side, sheet)] if working.instead.is_none() => {
                div data-lines=(side.field()) { (moving(*side, sheet, drawn)) }
            }
            // Half a window is about as wide as a phone: the table folds as with too many revisions.
            _ => div.side-by-side.too-many {
                @for (side, sheet) in &sheets {
                    div.one-way data-lines=(side.field()) data-name=(side.name()) {
                        h3.whose { (side.name()) }
                        (moving(*side, sheet, Drawn::One(Page::Phone)))
                    }
                }
            }
        }
    }
}

/// The bike on the ground with room for the figures there, and the sheet's part.
fn moving(side: Side, sheet: &Sheet, drawn: Drawn) -> Markup {
    let parts = of(side, sheet);
    html! {
        div.seen.js-only { (parts.standing()) }
        @match drawn {
            Drawn::Both => (parts.suspension()),
            Drawn::One(page) => (parts.suspension_on(page)),
        }
    }
}
