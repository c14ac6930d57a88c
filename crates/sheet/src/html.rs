//! The sheet as one self-contained page: no script, no network, ready for screen, phone and paper.
//!
//! The order of the markup is the order on a phone, and the one that a screen reader speaks; on a desk
//! the style sheet moves the parts to their places on a drawing sheet.

mod marks;
mod notes;
mod tables;

use crate::drawing::{Page, drawing_css, elevation_svg};
use crate::figure;
use crate::lettering::font_face_css;
use crate::sheet::{Answer, Sheet, TitleBlock, VerdictRow};
use crate::tie::tied;
use crate::tone;
use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

/// Look of everything except the drawing's own lines.
const STYLE: &str = include_str!("sheet.css");

/// The knock-on table with its shares below the figures.
const FOLD: &str = include_str!("html/fold.css");

/// Above this many revisions the knock-on table takes the whole width for its share columns.
const MANY_REVISIONS: usize = 4;

/// Above this many revisions not even the whole width has room for them side by side.
const TOO_MANY_REVISIONS: usize = 11;

/// Differences that the drawing's description names; the table has them all.
const DESCRIBED: usize = 4;

/// The whole page.
pub fn html(sheet: &Sheet) -> String {
    let many = sheet.revisions.len() > MANY_REVISIONS;
    let undrawn = sheet.picture.is_none();
    let markup = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (clean(&sheet.title.question)) " – " (clean(&sheet.answer.headline)) }
                style { (PreEscaped(font_face_css())) (PreEscaped(STYLE)) (PreEscaped(drawing_css())) (PreEscaped(fold(sheet))) }
            }
            body {
                main class={ "sheet" @if many { " many" } @if undrawn { " undrawn" } } {
                    (zones())
                    (head(&sheet.title))
                    (figure(sheet))
                    div.side {
                        (answer(sheet))
                        (tables::revisions(&sheet.revisions))
                        (verdicts(sheet))
                        (check_first(sheet))
                    }
                    div.moves {
                        (tables::knock_ons(sheet))
                        (tables::missing(&sheet.missing))
                    }
                    (notes::general_notes(sheet))
                    (title_block(&sheet.title))
                }
            }
        }
    };
    markup.into_string()
}

/// The folded table, for the media on which the shares have no room in columns.
fn fold(sheet: &Sheet) -> String {
    let revisions = sheet.revisions.len();
    let media = if revisions > TOO_MANY_REVISIONS {
        "all"
    } else if revisions > MANY_REVISIONS {
        "screen and (max-width: 1199px)"
    } else {
        "screen and (max-width: 639px)"
    };
    format!("@media {media} {{\n{FOLD}}}\n")
}

/// Text for an element: maud escapes it, this drops what no page may hold and ties units to figures.
fn clean(text: &str) -> String {
    tied(text)
}

/// The grid reference along the frame (ISO 5457), an ornament for the eye only.
fn zones() -> Markup {
    markup! {
        div.zones.across aria-hidden="true" { @for number in 1..=8 { span { (number) } } }
        div.zones.down aria-hidden="true" { @for letter in 'A'..='F' { span { (letter) } } }
    }
}

fn head(title: &TitleBlock) -> Markup {
    markup! {
        header.head {
            h1 { (clean(&title.question)) }
            p { (clean(&title.bike)) }
        }
    }
}

/// Both sizes of the drawing; the style sheet shows one and takes the other from the page altogether.
fn figure(sheet: &Sheet) -> Markup {
    let title = format!("Side view: {}", clean(&sheet.title.question));
    let description = description(sheet);
    markup! {
        @if let Some(picture) = &sheet.picture {
            figure.elevation {
                div.desk-only { (PreEscaped(elevation_svg(picture, Page::Desk, &title, &description))) }
                div.phone-only { (PreEscaped(elevation_svg(picture, Page::Phone, &title, &description))) }
            }
        }
    }
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

fn answer(sheet: &Sheet) -> Markup {
    let Answer { tone, headline, sentences } = &sheet.answer;
    let cautions = sheet.cautions.len();
    markup! {
        section class={ "answer " (tone::class(*tone)) } {
            h2 {
                span.tone { (marks::mark(*tone)) (tone::words(*tone)) }
                span.headline { (clean(headline)) }
            }
            p { (clean(&sentences.join(" "))) }
            @if cautions > 0 {
                p.to-cautions {
                    a href="#cautions" {
                        @if cautions == 1 { "Read the caution in note 1" }
                        @else { "Read the cautions in notes 1 to " (cautions) }
                    }
                }
            }
        }
    }
}

fn verdicts(sheet: &Sheet) -> Markup {
    markup! {
        @if !sheet.verdicts.is_empty() {
            section.verdicts {
                h2 { "Limits" }
                ul { @for row in &sheet.verdicts { (verdict(sheet, row)) } }
            }
        }
    }
}

fn verdict(sheet: &Sheet, row: &VerdictRow) -> Markup {
    markup! {
        li class=(tone::class(row.tone)) {
            (marks::mark(row.tone))
            p {
                strong { (clean(&row.label)) }
                " "
                span.tone { (tone::words(row.tone)) }
            }
            p { (clean(&row.sentence)) (notes::reference(sheet, row.source)) }
        }
    }
}

fn check_first(sheet: &Sheet) -> Markup {
    markup! {
        @if !sheet.check_first.is_empty() {
            section.check-first {
                h2 { "Check first" }
                ol { @for item in &sheet.check_first { li { (clean(item)) } } }
            }
        }
    }
}

/// The fields of ISO 7200, in the corner where a drawing has them.
fn title_block(title: &TitleBlock) -> Markup {
    let field = |class: &str, name: &str, value: &str| {
        let value = if value.is_empty() { "–" } else { value };
        markup! { div class=(class) { dt { (name) } dd { (clean(value)) } } }
    };
    markup! {
        footer.title-block {
            dl {
                (field("question", "Question", &title.question))
                (field("bike", "Bike", &title.bike))
                (field("workshop", "Workshop", &title.workshop))
                (field("third", "Drawn", &title.drawn))
                (field("third", "Sheet", &title.sheet))
                (field("third", "Rev.", &title.revision))
                (field("units", "Units", "mm, degrees · ± is 95\u{a0}%"))
                (field("frame-data", "Frame data", &title.frame_data))
            }
        }
    }
}

#[cfg(test)]
mod contrast;
#[cfg(test)]
mod tests;
