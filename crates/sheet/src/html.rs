//! The sheet as one self-contained page: no script, no network, ready for screen, phone and paper.
//!
//! The order of the markup is the order on a phone, and the one that a screen reader speaks; on a desk
//! the style sheet moves the parts to their places on a drawing sheet. [`Parts`] are the pieces, for
//! whatever else shows an answer; they look alike there with [`parts_css`].

mod answer;
mod depth;
mod elevation;
mod marks;
mod notes;
mod notice;
mod parts;
mod style;
mod suspension;
mod tables;

pub use self::answer::judged;
pub(crate) use self::marks::mark;
pub use self::notice::{Newer, with_notice, with_notice_and_link};
pub use self::parts::Parts;
pub(crate) use self::style::of_sheets as style_of_sheets;
pub use self::style::parts_css;
pub use self::tables::flag;

use self::style::{STYLE, fold};
use crate::drawing::drawing_css;
use crate::lettering::font_face_css;
use crate::sheet::{Sheet, TitleBlock};
use crate::tie::tied;
use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

/// Above this many revisions the knock-on table takes the whole width for its share columns.
const MANY_REVISIONS: usize = 4;

/// Above this many revisions not even the whole width has room for them side by side.
const TOO_MANY_REVISIONS: usize = 11;

/// The whole page.
pub fn html(sheet: &Sheet) -> String {
    let many = sheet.revisions.len() > MANY_REVISIONS;
    let undrawn = sheet.picture.is_none();
    let parts = Parts::of(sheet);
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
                    (parts.elevations())
                    div.side {
                        (parts.answer())
                        (parts.revisions())
                        (parts.limits())
                        (parts.check_first())
                    }
                    div.moves {
                        (parts.knock_ons())
                        (parts.missing())
                    }
                    (parts.suspension())
                    (parts.in_depth())
                    (parts.inspections())
                    (parts.general_notes())
                    (parts.title_block())
                }
            }
        }
    };
    markup.into_string()
}

/// Text for an element: maud escapes it, this drops what no page may hold and ties units to figures.
pub(crate) fn clean(text: &str) -> String {
    tied(text)
}

/// A figure of a knock-on row with its unit, as the table has it: millimetres go without saying.
///
/// ```
/// assert_eq!(knockon_sheet::html::figure("−0.8", "°"), "−0.8°");
/// ```
pub fn figure(value: &str, unit: &str) -> String {
    clean(&crate::figure::figure(value, unit))
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

#[cfg(test)]
mod contrast;
#[cfg(test)]
mod tests;
