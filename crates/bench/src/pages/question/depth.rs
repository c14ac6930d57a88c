//! Gears, chain, brakes and wheels in depth, where a change touches them: the sheet's own parts.

use maud::{Markup, html};

use super::live::of;
use super::working::Working;

/// The section; the style hides it while there is nothing in it.
pub fn section(working: &Working) -> Markup {
    html! { div.depth-room { div id="depth" { (parts(working)) } } }
}

/// What an answer swaps.
pub fn parts(working: &Working) -> Markup {
    html! {
        @for (side, sheet) in working.sheets() {
            @if working.instead.is_some() && !sheet.parts.is_empty() { h3.whose { (side.name()) } }
            (of(side, sheet).in_depth())
        }
    }
}
