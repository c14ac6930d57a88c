//! A record's linkage on the bike's form: to read. Its names and parts are its own, so it is edited as text.

use knockon_desk::BikeVersion;
use knockon_trade::record::linkage::{Linkage, Point};
use knockon_trade::words::plain;
use maud::{Markup, html};

/// Its points, and where to edit them; nothing for a record without a linkage.
pub fn told(bike: &BikeVersion) -> Markup {
    let linkage = bike.record().ok().and_then(|record| record.linkage);
    html! { @if let Some(linkage) = linkage { (group(bike, &linkage)) } }
}

fn group(bike: &BikeVersion, linkage: &Linkage) -> Markup {
    html! {
        details.group.linkage-told open {
            summary {
                h2 { "Linkage" }
                span.quiet { (linkage.points.len()) " points" }
            }
            p {
                "Points, parts and distances are edited in the "
                a href={ "/bikes/" (bike.bike) "/text" } { "text of the record" } ". "
                span.quiet { "Forward and up are from the bottom bracket, at full extension." }
            }
            div.scroll tabindex="0" role="group" aria-label="Points of the linkage" {
                table {
                    thead {
                        tr {
                            th scope="col" { "Point" }
                            th.figure scope="col" { "forward, mm" }
                            th.figure scope="col" { "up, mm" }
                            th scope="col" { "of" }
                        }
                    }
                    tbody { @for point in &linkage.points { (row(point, linkage)) } }
                }
            }
        }
    }
}

fn row(point: &Point, linkage: &Linkage) -> Markup {
    html! {
        tr {
            th scope="row" { (point.name) }
            td.figure { (plain(point.x.value)) }
            td.figure { (plain(point.y.value)) }
            td {
                (point.on.join(", "))
                @if linkage.shock.contains(&point.name) { span.quiet { ", the shock" } }
                @if let Some(idler) = &point.idler { span.quiet { ", idler with " (plain(idler.teeth)) " teeth" } }
                @if linkage.chip.as_ref().is_some_and(|chip| chip.moves == point.name) { span.quiet { ", in a chip" } }
            }
        }
    }
}
