//! Drawn marks of the outcomes and grades: they differ in shape, so that they read without colour and
//! without a font that holds the sign.

use crate::sheet::Tone;
use maud::{Markup, html as markup};

/// The mark, hidden from screen readers because the words always stand beside it.
pub(crate) fn mark(tone: Tone) -> Markup {
    let (class, outer, inner) = match tone {
        // A tick in a circle.
        Tone::Fits => ("mark", CIRCLE, "M5.6 10.4l3 3.2l5.8-7"),
        // A cross on a full square set on its corner.
        Tone::DoesNotFit => {
            ("mark full", "M10-.5L20.5 10L10 20.5L-.5 10z", "M6.8 6.8l6.4 6.4M13.2 6.8l-6.4 6.4")
        }
        // A dimension line between its two extension lines.
        Tone::MeasureFirst => ("mark", "M1 2v16M19 2v16", "M2 10h16M6 6.8l-4 3.2l4 3.2M14 6.8l4 3.2l-4 3.2"),
        // A dashed circle round nothing but a point.
        Tone::CannotSay => ("mark gap", CIRCLE, "M9 10h2"),
        // A level line: nothing was judged.
        Tone::NoLimit => ("mark", "", "M3 10h14"),
        // A bar across a full circle.
        Tone::DoNotRide => ("mark full", CIRCLE, "M4 10h12"),
        // A lens with its handle.
        Tone::Inspect => ("mark", "M8 1a7 7 0 1 0 0 14a7 7 0 1 0 0-14z", "M13 13l6 6M8 5v6"),
        // Once round, and again.
        Tone::RideWithCheck => ("mark", "M17 6a8 8 0 1 0 1 6", "M18 1v5h-5"),
        // An empty circle.
        Tone::Cosmetic => ("mark", CIRCLE, ""),
    };
    markup! {
        svg class=(class) viewBox="-1 -1 22 22" aria-hidden="true" { path d=(outer) {} path d=(inner) {} }
    }
}

const CIRCLE: &str = "M10 1a9 9 0 1 0 0 18a9 9 0 1 0 0-18z";
