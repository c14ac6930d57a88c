//! A photo with its marks.

use std::f64::consts::FRAC_1_SQRT_2;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use knockon_trade::inspection::mark::{Mark, Shape};
use maud::{Markup, html as markup};

use crate::printable::printable;

/// A photo.
#[derive(Clone, Debug)]
pub struct Photo {
    /// Where its picture is: an address, or the picture itself by [`data_uri`].
    pub href: String,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// What it shows.
    pub caption: String,
    /// What somebody drew on it.
    pub marks: Vec<Mark>,
}

/// A picture that stands in the page itself.
pub fn data_uri(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", STANDARD.encode(bytes))
}

/// Width of the picture in the drawing's own units.
const WIDE: f64 = 1000.0;

/// The photo with numbered marks and their words below it.
pub fn figure(photo: &Photo) -> Markup {
    let caption = printable(&photo.caption);
    let name = if caption.is_empty() { "Photo".to_owned() } else { caption.to_string() };
    let told = photo.marks.len();
    let alt = match told {
        0 => name.clone(),
        1 => format!("{name}, with 1 mark"),
        _ => format!("{name}, with {told} marks"),
    };
    markup! {
        figure.photo {
            (marked(photo, &alt))
            figcaption {
                p { (name) }
                @if told > 0 {
                    ol.photo-marks { @for mark in &photo.marks { li { (words(mark)) } } }
                }
            }
        }
    }
}

/// What a mark says, in words.
fn words(mark: &Mark) -> String {
    let kind = match mark.shape {
        Shape::Circle { .. } => "circle",
        Shape::Measure { .. } => "measure",
    };
    if mark.words.is_empty() { kind.to_owned() } else { format!("{kind}: {}", printable(&mark.words)) }
}

fn marked(photo: &Photo, alt: &str) -> Markup {
    let tall = WIDE * f64::from(photo.height.max(1)) / f64::from(photo.width.max(1));
    let view = format!("0 0 {WIDE} {tall:.1}");
    markup! {
        svg.marked viewBox=(view) role="img" aria-label=(alt) {
            image href=(photo.href) width=(WIDE) height=(format!("{tall:.1}")) {}
            @for (index, mark) in photo.marks.iter().enumerate() { (drawn(mark, index + 1, tall)) }
        }
    }
}

/// A mark on its light casing, so that it shows on any picture.
fn drawn(mark: &Mark, number: usize, tall: f64) -> Markup {
    let place = |x: f64, y: f64| (x / 100.0 * WIDE, y / 100.0 * tall);
    let (path, at) = match mark.shape {
        Shape::Circle { x, y, radius } => {
            let ((x, y), r) = (place(x, y), radius / 100.0 * WIDE);
            let path = format!(
                "M{:.1} {y:.1}a{r:.1} {r:.1} 0 1 0 {:.1} 0a{r:.1} {r:.1} 0 1 0 {:.1} 0z",
                x - r,
                2.0 * r,
                -2.0 * r
            );
            (path, (x + r * FRAC_1_SQRT_2, y - r * FRAC_1_SQRT_2))
        }
        Shape::Measure { from, to } => {
            let (a, b) = (place(from.0, from.1), place(to.0, to.1));
            let (along, across) = (b.0 - a.0, b.1 - a.1);
            let length = along.hypot(across).max(1.0);
            let tick = (-across / length * 14.0, along / length * 14.0);
            let cross = |end: (f64, f64)| {
                format!(
                    "M{:.1} {:.1}L{:.1} {:.1}",
                    end.0 - tick.0,
                    end.1 - tick.1,
                    end.0 + tick.0,
                    end.1 + tick.1
                )
            };
            let line = format!("M{:.1} {:.1}L{:.1} {:.1}", a.0, a.1, b.0, b.1);
            (format!("{line}{}{}", cross(a), cross(b)), (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1)))
        }
    };
    let (x, y) = (at.0.clamp(22.0, WIDE - 22.0), at.1.clamp(22.0, (tall - 22.0).max(22.0)));
    markup! {
        path.casing d=(path) {}
        path.line d=(path) {}
        circle.number cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r="20" {}
        text.number x=(format!("{x:.1}")) y=(format!("{y:.1}")) dy=".35em" { (number) }
    }
}
