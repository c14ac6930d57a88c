//! The drawing: from a [`Picture`](crate::picture::Picture) to a finished scene, and from that to SVG.
//!
//! In reading order: what a finished drawing is (`scene`), sizes per page (`style`), the bike's parts
//! (`bike`), where dimensions stand (`wording`, `measure`, `lanes`, `angles`), flags (`flags`, `clearance`), the enlarged
//! region (`detail`), the elevation put together (`elevation`), one figure for a page (`figure`), the
//! whole A3 sheet (`paper`), what a part of the answer works out (`workings`), and the writer that decides nothing (`svg`).

mod angles;
mod bike;
mod clearance;
mod detail;
mod elevation;
mod figure;
mod flags;
mod lanes;
mod measure;
pub mod paper;
pub mod ride;
mod scene;
mod style;
mod svg;
mod wording;
pub mod workings;

pub use self::figure::elevation_svg;
pub use self::paper::sheet_svg;
pub use self::style::Page;

/// Classes of every drawing. Colours come from `--ink`, `--paper`, `--change`, `--caution` and `--thin`.
pub fn drawing_css() -> &'static str {
    include_str!("drawing.css")
}

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;
