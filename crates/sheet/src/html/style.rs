//! The style sheet of the page, and of its parts on somebody else's page.

use super::{MANY_REVISIONS, TOO_MANY_REVISIONS};
use crate::sheet::Sheet;

/// Look of the parts themselves, wherever they stand.
const PARTS: &str = concat!(
    include_str!("parts.css"),
    include_str!("suspension.css"),
    include_str!("depth.css"),
    include_str!("../inspection/inspection.css")
);

/// Look of everything except the drawing's own lines.
pub(super) const STYLE: &str = concat!(
    include_str!("../sheet.css"),
    include_str!("parts.css"),
    include_str!("suspension.css"),
    include_str!("depth.css"),
    include_str!("../inspection/inspection.css"),
    include_str!("layout.css")
);

/// Paper, ink and type, for a page of another layout.
pub(crate) fn of_sheets() -> &'static str {
    concat!(include_str!("../sheet.css"), include_str!("parts.css"))
}

/// The knock-on table with its shares below the figures.
pub(super) const FOLD: &str = concat!(include_str!("fold.css"), include_str!("suspension_fold.css"));

/// The parts in depth where words and tables have room beside each other.
const WIDE: &str = include_str!("depth_wide.css");

/// From this width of theirs on.
const WIDE_FROM: &str = "56rem";

/// The folded table, for the media on which the shares have no room in columns.
pub(super) fn fold(sheet: &Sheet) -> String {
    let revisions = sheet.revisions.len();
    let media = if revisions > TOO_MANY_REVISIONS {
        "all"
    } else if revisions > MANY_REVISIONS {
        "screen and (max-width: 1199px)"
    } else {
        "screen and (max-width: 639px)"
    };
    format!("@media {media} {{\n{FOLD}}}\n@container (min-width: {WIDE_FROM}) {{{WIDE}}}\n")
}

/// The rules of the parts for a page with a style sheet of its own: each holds only inside an element that
/// `scope` selects, so that none touches what else stands there. The page brings the custom properties for the
/// colours; inside an element of class `many` the shares of the knock-on table fold at any width below a wide desk,
/// inside `too-many` always.
///
/// ```
/// let css = knockon_sheet::html::parts_css(".answer-sheet");
/// assert!(css.contains(".answer-sheet table {"));
/// ```
pub fn parts_css(scope: &str) -> String {
    let wide = scoped(WIDE, scope);
    let narrow = scoped(FOLD, scope);
    let many = scoped(FOLD, &format!("{scope} .many"));
    let always = scoped(FOLD, &format!("{scope} .too-many"));
    format!(
        "{}@media screen and (max-width: 639px) {{\n{narrow}}}\n@media screen and (max-width: 1499px) {{\n{many}}}\n{always}@container (min-width: {WIDE_FROM}) {{\n{wide}}}\n",
        scoped(PARTS, scope)
    )
}

/// Puts `scope` before each selector of a flat list of rules. Rules that name no element (`@counter-style`) stay.
fn scoped(css: &str, scope: &str) -> String {
    let mut out = String::with_capacity(css.len() * 2);
    for rule in without_comments(css).split_inclusive('}') {
        let Some((selectors, body)) = rule.split_once('{') else { continue };
        let selectors = selectors.trim();
        if selectors.starts_with('@') {
            out.push_str(selectors);
        } else {
            let all: Vec<String> =
                selectors.split(',').map(|one| format!("{scope} {}", one.trim())).collect();
            out.push_str(&all.join(", "));
        }
        out.push_str(" {");
        out.push_str(body);
        out.push('\n');
    }
    out
}

fn without_comments(css: &str) -> String {
    let mut out = String::with_capacity(css.len());
    let mut rest = css;
    while let Some((before, after)) = rest.split_once("/*") {
        out.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, behind)| behind);
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::{FOLD, PARTS, WIDE, parts_css, scoped};

    #[test]
    fn every_selector_is_scoped_and_no_rule_is_lost() {
        let css = parts_css(".part");
        let rules = |css: &str| css.matches('}').count();
        assert_eq!(rules(&css), rules(PARTS) + 3 * rules(FOLD) + rules(WIDE) + 3);
        for rule in css.split('}') {
            let selectors = rule.rsplit_once('{').map_or("", |(selectors, _)| selectors);
            let selectors = selectors.rsplit('{').next().unwrap_or_default().trim();
            let at_rule = selectors.is_empty() || selectors.starts_with('@');
            assert!(
                at_rule || selectors.split(',').all(|one| one.trim().starts_with(".part ")),
                "{selectors}"
            );
        }
    }

    #[test]
    fn a_list_of_selectors_is_scoped_one_by_one() {
        assert_eq!(scoped("/* x */ a, b > c { d: e; }", ".s"), ".s a, .s b > c { d: e; }\n");
        assert_eq!(scoped("@counter-style x { suffix: y; }", ".s"), "@counter-style x { suffix: y; }\n");
    }
}
