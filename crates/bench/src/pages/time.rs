//! Times as people say them.

use jiff::Timestamp;
use maud::{Markup, html};

/// "2 days ago", with the exact time for machines and on hovering. The script keeps it true while the page is open.
pub fn ago(at: Timestamp) -> Markup {
    html! {
        time data-ago datetime=(at.strftime("%Y-%m-%dT%H:%M:%SZ")) title=(at.strftime("%Y-%m-%d %H:%M UTC")) {
            (words(at, Timestamp::now()))
        }
    }
}

/// How long before `now` it was, in the largest unit of which there is at least one.
pub fn words(at: Timestamp, now: Timestamp) -> String {
    const UNITS: [(i64, &str); 5] =
        [(365 * 86_400, "year"), (30 * 86_400, "month"), (86_400, "day"), (3_600, "hour"), (60, "minute")];
    let seconds = now.as_second() - at.as_second();
    UNITS.iter().find(|(unit, _)| seconds >= *unit).map_or_else(
        || "just now".to_owned(),
        |(unit, name)| {
            let count = seconds / unit;
            format!("{count} {name}{} ago", if count == 1 { "" } else { "s" })
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_unit_that_fits_is_named() {
        let now = Timestamp::from_second(1_800_000_000).expect("a time");
        let said =
            |seconds: i64| words(Timestamp::from_second(1_800_000_000 - seconds).expect("a time"), now);
        assert_eq!(said(-5), "just now");
        assert_eq!(said(59), "just now");
        assert_eq!(said(60), "1 minute ago");
        assert_eq!(said(7_199), "1 hour ago");
        assert_eq!(said(2 * 86_400), "2 days ago");
        assert_eq!(said(65 * 86_400), "2 months ago");
        assert_eq!(said(800 * 86_400), "2 years ago");
    }
}
