//! Where the rider's body says to begin: what each rule gives, and what is known against it.

use knockon_sheet::report::body::{STARTING_POINTS, TOLERANCE, figure};
use knockon_trade::body::{StartingPoint, cautions};
use knockon_trade::words::upper_first;
use maud::{Markup, html};

pub fn points(points: &[StartingPoint]) -> Markup {
    html! {
        @if !points.is_empty() {
            section.begin aria-label="Starting points" {
                h2 { (STARTING_POINTS) }
                ol.cautions { @for caution in cautions(points) { li.caution { (caution.text) } } }
                dl.points {
                    @for point in points {
                        div {
                            dt { (point.what.words()) ": " strong { (figure(point)) } }
                            dd {
                                (upper_first(&point.way.rule().says)) "."
                                span.quiet.small { " Known against it: " (point.way.rule().weakness) " Source: " (point.way.rule().source) "." }
                            }
                        }
                    }
                }
                p.quiet.small { (TOLERANCE) }
            }
        }
    }
}
