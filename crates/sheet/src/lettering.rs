//! The sheet's own typeface: how wide a text is, how it wraps, and the CSS that embeds it.
//!
//! The fonts have no kerning, so a text is exactly as wide as the sum of its glyphs' advances, in every
//! browser. Whatever reserves a box with these widths can rely on it.

use std::sync::LazyLock;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use ttf_parser::Face as FontFace;
use unicode_width::UnicodeWidthChar;

/// Name of the family, for `font-family`.
pub const FAMILY: &str = "Knockon Condensed";

/// Height of the tallest accented capital above the baseline, as a share of the type size.
pub const ASCENT: f64 = 0.93;

/// Depth of the lowest descender below the baseline, as a share of the type size.
pub const DESCENT: f64 = 0.24;

/// Distance of two baselines, as a share of the type size.
pub const LEADING: f64 = 1.32;

/// How heavy a text is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// 400.
    Regular,
    /// 600.
    Semibold,
}

/// A weight at a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Type {
    /// Size in units of the drawing.
    pub size: u8,
    /// Weight.
    pub weight: Weight,
}

impl Type {
    /// Regular weight at `size`.
    pub const fn regular(size: u8) -> Self {
        Self { size, weight: Weight::Regular }
    }

    /// Semibold weight at `size`.
    pub const fn semibold(size: u8) -> Self {
        Self { size, weight: Weight::Semibold }
    }

    /// Distance of two baselines.
    pub fn line_height(self) -> f64 {
        f64::from(self.size) * LEADING
    }

    /// Width of `text` on one line.
    pub fn width(self, text: &str) -> f64 {
        text.chars().map(|c| self.weight.advance(c)).sum::<f64>() * f64::from(self.size)
    }

    /// Breaks `text` into lines no wider than `width`; a word that is wider alone is broken inside.
    ///
    /// Breaks only at plain spaces, so no-break spaces hold a letter and its figure together.
    pub fn wrap(self, text: &str, width: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        let mut used = 0.0;
        let space = self.width(" ");
        for word in text.split([' ', '\n', '\t']).filter(|word| !word.is_empty()) {
            let own = self.width(word);
            let needed = if line.is_empty() { own } else { used + space + own };
            if needed <= width {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
                used = needed;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = self.break_word(word, width, &mut lines);
            used = self.width(&line);
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// Puts all but the last piece of an over-wide word into `lines` and returns the last piece.
    fn break_word(self, word: &str, width: f64, lines: &mut Vec<String>) -> String {
        let mut piece = String::new();
        for c in word.chars() {
            let longer = format!("{piece}{c}");
            if !piece.is_empty() && self.width(&longer) > width {
                lines.push(std::mem::take(&mut piece));
            }
            piece.push(c);
        }
        piece
    }
}

impl Weight {
    /// Advance width of one character, as a share of the type size.
    ///
    /// A character that the font lacks is drawn from the reader's own fonts: assumed generously wide.
    fn advance(self, c: char) -> f64 {
        let font = match self {
            Self::Regular => &*REGULAR,
            Self::Semibold => &*SEMIBOLD,
        };
        font.glyph_index(c).and_then(|glyph| font.glyph_hor_advance(glyph)).map_or_else(
            || c.width().unwrap_or(0) as f64 * 0.75,
            |advance| f64::from(advance) / f64::from(font.units_per_em()),
        )
    }
}

static REGULAR: LazyLock<FontFace<'static>> =
    LazyLock::new(|| parse(include_bytes!("../fonts/knockon-condensed-400.ttf")));
static SEMIBOLD: LazyLock<FontFace<'static>> =
    LazyLock::new(|| parse(include_bytes!("../fonts/knockon-condensed-600.ttf")));

fn parse(bytes: &'static [u8]) -> FontFace<'static> {
    FontFace::parse(bytes, 0).expect("the fonts that are compiled in can be read")
}

/// The two `@font-face` rules, with the fonts inside, so that nothing is loaded from anywhere.
pub fn font_face_css() -> String {
    let weights: [(u16, &[u8]); 2] = [
        (400, include_bytes!("../fonts/knockon-condensed-400.woff2")),
        (600, include_bytes!("../fonts/knockon-condensed-600.woff2")),
    ];
    let mut css = String::new();
    for (weight, bytes) in weights {
        css.push_str(&format!(
            "@font-face{{font-family:\"{FAMILY}\";font-weight:{weight};font-style:normal;\
             src:url(data:font/woff2;base64,{}) format(\"woff2\")}}\n",
            STANDARD.encode(bytes)
        ));
    }
    css
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advances of the original font's own metrics table, in thousandths of the type size.
    #[test]
    fn widths_are_the_fonts_own() {
        assert!((Type::regular(10).width("0123456789") - 54.0).abs() < 1e-9);
        assert!((Type::regular(100).width(".") - 24.8).abs() < 1e-9);
        assert!((Type::regular(100).width("− +±") - (3.0 * 54.0 + 21.2)).abs() < 1e-9);
    }

    #[test]
    fn every_mark_of_the_sheet_is_in_both_fonts() {
        for c in "–—‘’“”…·×±°½→≤≥Δ−ÄéŁőž".chars() {
            assert!(REGULAR.glyph_index(c).is_some(), "{c} in the regular weight");
            assert!(SEMIBOLD.glyph_index(c).is_some(), "{c} in the semibold weight");
        }
    }

    #[test]
    fn no_line_is_wider_than_asked() {
        let face = Type::semibold(12);
        let text = "A supercalifragilistic word, then short ones and a no\u{a0}break pair";
        let lines = face.wrap(text, 60.0);
        assert!(lines.iter().all(|line| face.width(line) <= 60.0), "{lines:?}");
        let joined: String = lines.concat().split(' ').collect();
        assert_eq!(joined, text.split(' ').collect::<String>());
    }
}
