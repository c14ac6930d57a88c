//! The drawing on a page, with its text for those who do not see it.

use super::{Parts, clean};
use crate::drawing::{Page, elevation_svg};
use crate::figure;
use crate::sheet::Sheet;
use maud::{Markup, PreEscaped, html as markup};

/// Differences that the drawing's description names; the table has them all.
const DESCRIBED: usize = 4;

pub(super) fn both(parts: Parts) -> Markup {
    markup! {
        @if parts.sheet.picture.is_some() {
            figure.elevation {
                div.desk-only { (one(parts, Page::Desk)) }
                div.phone-only { (one(parts, Page::Phone)) }
            }
        }
    }
}

pub(super) fn one(parts: Parts, page: Page) -> Markup {
    let Some(picture) = &parts.sheet.picture else { return markup! {} };
    let title = format!("Side view: {}", clean(&parts.sheet.title.question));
    let svg = elevation_svg(picture, page, &title, &description(parts.sheet));
    PreEscaped(if parts.ids.is_empty() { svg } else { with_ids(&svg, page, parts.ids) })
}

/// The drawing with `ids` before each of its ids and each reference to one. They occur in the tags only: what stands
/// between tags is left alone.
fn with_ids(svg: &str, page: Page, ids: &str) -> String {
    let own = match page {
        Page::Desk => "desk-",
        Page::Phone => "phone-",
    };
    let mut out = String::with_capacity(svg.len() + 256);
    for piece in svg.split_inclusive('>') {
        let (text, tag) = piece.split_at(piece.rfind('<').unwrap_or(piece.len()));
        out.push_str(text);
        if tag.contains("id=") || tag.contains("aria-labelledby=") || tag.contains("url(#") {
            let tag = tag.replace(&format!("=\"{own}"), &format!("=\"{ids}{own}"));
            let tag = tag.replace(&format!(" {own}desc\""), &format!(" {ids}{own}desc\""));
            out.push_str(&tag.replace(&format!("url(#{own}"), &format!("url(#{ids}{own}")));
        } else {
            out.push_str(tag);
        }
    }
    out
}

/// What the drawing shows, for those who do not see it.
fn description(sheet: &Sheet) -> String {
    let moved: Vec<String> = sheet
        .knock_ons
        .iter()
        .take(DESCRIBED)
        .map(|row| {
            format!(
                "{} {} {}",
                row.label,
                figure::figure(&row.difference, &row.unit),
                figure::plus_minus(row)
            )
        })
        .collect();
    let moved = if moved.is_empty() { "nothing moves".to_owned() } else { moved.join(", ") };
    clean(&format!(
        "The bike from its right side, before in a thin dashed line and after in a wide line: {moved}. \
         The table \u{201c}What moves\u{201d} holds every figure."
    ))
}
