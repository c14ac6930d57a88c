//! The rear suspension through its travel: the linkage drawn, a chart per curve, and the table that says the same in words.

use super::{Parts, clean, notes};
use crate::drawing::Page;
use crate::drawing::ride::{chart_svg, linkage_svg, standing_svg};
use crate::figure::{figure, ride_cell};
use crate::ride::{Chart, LinkagePicture, Ride, RideCell, RideRow};
use maud::{Markup, PreEscaped, html as markup};

/// Heads of the table's three columns of figures.
const STATIONS: [&str; 3] = ["full extension", "sag", "full travel"];

/// `page`: the one that the linkage is drawn for; none draws it for both.
pub(super) fn part(parts: Parts, page: Option<Page>) -> Markup {
    let Some(ride) = &parts.sheet.ride else { return markup! {} };
    markup! {
        section.travel data-travel=(ride.motion) {
            h2 { "Through the travel" }
            div.ride {
                @if let Some(linkage) = &ride.linkage { (drawing(parts, ride, linkage, page)) }
                @for chart in &ride.charts { (charted(parts, ride, chart)) }
                (table(ride))
            }
            @if !ride.springs.is_empty() || !ride.untold.is_empty() {
                div.ride-words {
                    @for sentence in &ride.springs { p { (clean(sentence)) } }
                    @for sentence in &ride.untold { p.quiet { (clean(sentence)) } }
                }
            }
        }
    }
}

fn drawing(parts: Parts, ride: &Ride, linkage: &LinkagePicture, page: Option<Page>) -> Markup {
    let title = format!("Rear suspension: {}", clean(&parts.sheet.title.question));
    let description = clean(&format!(
        "The rear of the bike from its right side with its linkage, at full extension in wide lines, at sag and full \
         travel in thin ones, and the rear axle's path enlarged. {} The table \u{201c}Through the travel\u{201d} holds \
         every figure.",
        ride.path
    ));
    let one = |page: Page| PreEscaped(linkage_svg(linkage, page, parts.ids, &title, &description));
    markup! {
        figure.linkage {
            @match page {
                Some(page) => (one(page)),
                None => {
                    div.desk-only { (one(Page::Desk)) }
                    div.phone-only { (one(Page::Phone)) }
                }
            }
            figcaption { (clean(&ride.path)) }
        }
    }
}

pub(super) fn standing(parts: Parts) -> Markup {
    let drawn = parts.sheet.picture.as_ref().zip(parts.sheet.ride.as_ref()).and_then(|(picture, ride)| {
        let title = format!("The bike on the ground: {}", clean(&parts.sheet.title.question));
        let description = "The whole bike from its right side at the slider's place of the rear travel, the fork fully \
                           extended, with the bike at full extension in thin lines behind it.";
        standing_svg(&picture.after, ride, parts.ids, &title, description)
    });
    markup! { @if let Some(svg) = drawn { figure.standing { (PreEscaped(svg)) figcaption { "The fork fully extended." } } } }
}

fn charted(parts: Parts, ride: &Ride, chart: &Chart) -> Markup {
    let id = format!("{}chart-{}", parts.ids, chart.id.replace('_', "-"));
    let moved = if chart.before.is_empty() { "" } else { ", before in thin dashes and after in a wide line" };
    let description = clean(&format!("{} over vertical travel{moved}. {}", chart.label, chart.meaning.text));
    let svg = chart_svg(chart, &ride.travel_unit, &id, &clean(&chart.label), &description);
    markup! {
        figure.chart {
            (PreEscaped(svg))
            figcaption {
                (clean(&chart.meaning.text)) (notes::reference(parts, chart.meaning.source))
                @if !chart.measure_next.is_empty() { " " span.next { (clean(&chart.measure_next)) } }
            }
        }
    }
}

/// Three figures a row; they fold below the row's name where there is no room beside it.
fn table(ride: &Ride) -> Markup {
    markup! {
        @if !ride.rows.is_empty() {
            div.through {
                table role="table" aria-label="Through the travel" {
                    thead role="rowgroup" { tr role="row" {
                        th.label role="columnheader" scope="col" { "Through the travel" }
                        @for station in STATIONS { th role="columnheader" scope="col" { (station) } }
                    } }
                    tbody role="rowgroup" { @for row in &ride.rows { (line(row)) } }
                }
                p.quiet { (clean(&ride.note)) }
            }
        }
    }
}

fn line(row: &RideRow) -> Markup {
    markup! {
        tr role="row" {
            th.label role="rowheader" scope="row" { (clean(&row.label)) }
            @for (cell, station) in row.cells.iter().zip(STATIONS) { (figures(cell, row, station)) }
        }
    }
}

fn figures(cell: &RideCell, row: &RideRow, station: &str) -> Markup {
    let spoken = ride_cell(cell, &row.unit);
    markup! {
        td role="cell" data-station=(station) {
            @if spoken.is_empty() { "–" }
            @if !cell.before.is_empty() { span.was { (clean(&figure(&cell.before, &row.unit))) "\u{a0}→" } " " }
            @if !cell.after.is_empty() {
                span.now[!cell.before.is_empty()] { (clean(&figure(&cell.after, &row.unit))) }
            }
            @if !cell.plus_minus.is_empty() { " " span.pm { "±" (clean(&figure(&cell.plus_minus, &row.unit))) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use crate::compose::suspension::sample;
    use crate::fixture;
    use crate::html::{Parts, html};
    use crate::markdown::markdown;
    use crate::sheet::Sheet;
    use crate::text::{Style, text};

    fn sheet() -> Sheet {
        Sheet { ride: Some(sample::ride("four-bar", true)), ..fixture::larch() }
    }

    #[test]
    fn a_bike_without_suspension_has_no_such_part() {
        assert!(Parts::of(&fixture::larch()).suspension().into_string().is_empty());
        assert!(!html(&fixture::larch()).contains("class=\"travel\""));
    }

    #[test]
    fn no_id_stands_twice_and_every_drawing_has_a_name() {
        let page = html(&sheet());
        let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        assert_eq!(ids.iter().collect::<HashSet<_>>().len(), ids.len());
        let part = Parts::of(&sheet()).with_ids("or-").suspension().into_string();
        let own: Vec<&str> = part.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        assert!(!own.is_empty() && own.iter().all(|id| id.starts_with("or-")), "{own:?}");
        assert_eq!(part.matches("<svg").count(), part.matches("<title").count());
        assert_eq!(part.matches("<svg").count(), part.matches("<desc").count());
        let defined = |id: &str| part.contains(&format!(" id=\"{id}\""));
        let clips = part.split("url(#").skip(1).filter_map(|rest| rest.split(')').next());
        assert!(clips.into_iter().all(defined));
        assert!(!page.contains("<script"));
    }

    #[test]
    fn every_row_and_meaning_is_in_every_text() {
        let sheet = sheet();
        let ride = sheet.ride.as_ref().unwrap();
        let squeezed = |text: &str| text.split_whitespace().collect::<String>();
        let pages =
            [html(&sheet), markdown(&sheet), text(&sheet, 100, Style::Plain), text(&sheet, 40, Style::Plain)];
        for page in pages.map(|page| squeezed(&page)) {
            for row in &ride.rows {
                assert!(page.contains(&squeezed(&row.label)), "{}", row.label);
            }
            for chart in &ride.charts {
                assert!(page.contains(&squeezed(&chart.meaning.text)), "{}", chart.label);
            }
            assert!(page.contains(&squeezed(&ride.path)));
        }
    }

    #[test]
    fn a_script_finds_the_motion() {
        let part = Parts::of(&sheet()).suspension().into_string();
        let data = part.split("data-travel=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
        let motion: serde_json::Value = serde_json::from_str(&data.replace("&quot;", "\"")).unwrap();
        for list in ["bodies", "axle"] {
            assert_eq!(motion[list].as_array().map(Vec::len), Some(sample::COUNT), "{list}");
        }
        assert_eq!(motion["shown"][1]["values"].as_array().map(Vec::len), Some(sample::COUNT));
        assert_eq!(motion["eyes"].as_array().map(Vec::len), Some(2));
        assert_eq!(motion["chain"]["tight"].as_array().map(Vec::len), Some(sample::COUNT));
    }
}
