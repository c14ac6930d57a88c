//! Another size or another bike beside the first: which of the two comes nearer.

use knockon_desk::BikeId;
use knockon_sheet::backwards::Options;
use knockon_sheet::compose::backwards::nearer;
use knockon_trade::backwards::{ReachError, Reached};
use maud::{Markup, html};

use super::again;
use super::asked::Asked;
use super::options::one;
use crate::pages::questions::sentence;

/// Which comes nearer, or why that cannot be told.
pub fn against(asked: &Asked, first: &Reached, or: &Result<Reached, ReachError>) -> Markup {
    html! {
        section.against aria-label="Which comes nearer" {
            @match or {
                Ok(or) => {
                    p { strong { (nearer(first, or)) } }
                    (again(&turned(asked), "/backwards", &format!("Work on {} instead", or.bike)))
                }
                Err(error) => p { "The other bike: " (sentence(&error.to_string())) " " (sentence(&error.help())) }
            }
        }
    }
}

/// The options of the other bike.
pub fn options(asked: &Asked, bike: BikeId, options: &Options, may_write: bool) -> Markup {
    html! {
        section.other-bike aria-label={ "Options for " (options.bike) } {
            h2 { (options.bike) ": " (options.verdict) }
            @for note in &options.notes { p.quiet { (note) } }
            @if !options.options.is_empty() {
                ol.offered { @for option in &options.options { (one(asked, Some(bike), option, may_write)) } }
            }
            @if !options.cautions.is_empty() {
                h3.caution { "Caution" }
                ol.cautions { @for caution in &options.cautions { li { (caution.text) } } }
            }
        }
    }
}

/// The same question with the two bikes in each other's place.
fn turned(asked: &Asked) -> Asked {
    Asked { bike: asked.or, or: asked.bike, compare: Vec::new(), ..asked.clone() }
}
