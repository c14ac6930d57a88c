//! Style, script and type as they are sent: compiled in, put together once, named by their content.
//!
//! Each file in `assets/` has one concern; a browser gets all of one kind in one piece. An address with the right digest
//! may be kept for ever, because other content has another address.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::LazyLock;

use axum::Router;
use axum::extract::{Path, Query};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use serde::Deserialize;

use crate::app::App;
use crate::errors::Fault;

/// The style's pieces; later ones win.
const STYLE: &[&str] = &[
    include_str!("../assets/base.css"),
    include_str!("../assets/form.css"),
    include_str!("../assets/listing.css"),
    include_str!("../assets/questions.css"),
    include_str!("../assets/bikes.css"),
    include_str!("../assets/sheets.css"),
    include_str!("../assets/rule.css"),
    include_str!("../assets/question.css"),
    include_str!("../assets/travel.css"),
    include_str!("../assets/settings.css"),
    include_str!("../assets/gauge.css"),
    include_str!("../assets/fits.css"),
    include_str!("../assets/backwards.css"),
    include_str!("../assets/workings.css"),
    include_str!("../assets/inspect.css"),
];

/// The script's pieces, each a function of its own that runs when the page is there.
const SCRIPT: &[&str] = &[
    include_str!("../assets/base.js"),
    include_str!("../assets/questions.js"),
    include_str!("../assets/bikes.js"),
    include_str!("../assets/sheets.js"),
    include_str!("../assets/rule.js"),
    include_str!("../assets/question.js"),
    include_str!("../assets/travel.js"),
    include_str!("../assets/backwards.js"),
    include_str!("../assets/marks.js"),
];

/// The sheet's typeface, regular.
const REGULAR: &[u8] = include_bytes!("../../sheet/fonts/knockon-condensed-400.woff2");

/// The sheet's typeface, semibold.
const SEMIBOLD: &[u8] = include_bytes!("../../sheet/fonts/knockon-condensed-600.woff2");

/// A file as it is sent.
#[derive(Debug)]
pub struct Asset {
    name: &'static str,
    media_type: &'static str,
    bytes: Vec<u8>,
    digest: String,
}

/// The style.
pub static CSS: LazyLock<Asset> = LazyLock::new(|| {
    // The sheet's own rules come first, so that the app's colours win over the drawing's.
    let sheet =
        format!("{}{}", knockon_sheet::drawing::drawing_css(), knockon_sheet::html::parts_css(".sheet-part"));
    let compare = knockon_sheet::backwards::compare_css();
    let css = format!("{}{}{sheet}{compare}{}", face(400, &FONTS[0]), face(600, &FONTS[1]), STYLE.join("\n"));
    Asset::new("bench.css", "text/css; charset=utf-8", css.into_bytes())
});

/// The script.
pub static JS: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("bench.js", "text/javascript; charset=utf-8", SCRIPT.join("\n").into_bytes())
});

static FONTS: LazyLock<[Asset; 2]> = LazyLock::new(|| {
    [
        Asset::new("knockon-condensed-400.woff2", "font/woff2", REGULAR.to_vec()),
        Asset::new("knockon-condensed-600.woff2", "font/woff2", SEMIBOLD.to_vec()),
    ]
});

/// The sign in a browser's tab: a revision's flag.
static ICON: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("icon.svg", "image/svg+xml", include_bytes!("../assets/icon.svg").to_vec()));

/// Where a browser looks for the icon of any page, also of a sheet, which names none.
pub const ICON_PATH: &str = "/favicon.ico";

impl Asset {
    fn new(name: &'static str, media_type: &'static str, bytes: Vec<u8>) -> Self {
        let mut hasher = DefaultHasher::new();
        bytes.hash(&mut hasher);
        Self { name, media_type, bytes, digest: format!("{:016x}", hasher.finish()) }
    }

    /// Its address, with the digest.
    pub fn address(&self) -> String {
        format!("/assets/{}?v={}", self.name, self.digest)
    }

    /// Its content.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// Where the files are fetched.
pub fn routes() -> Router<App> {
    Router::new().route("/assets/{name}", get(asset)).route(ICON_PATH, get(icon))
}

/// Which content an address asks for.
#[derive(Deserialize)]
struct Version {
    v: Option<String>,
}

/// The name is compared with those that exist; no path leads to a file.
async fn asset(
    Path(name): Path<String>,
    Query(version): Query<Version>,
    headers: HeaderMap,
) -> Result<Response, Fault> {
    let asset = find(&name).ok_or_else(|| Fault::not_found("such file"))?;
    let tag = format!("\"{}\"", asset.digest);
    let kept = if version.v.as_deref() == Some(&asset.digest) {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let about = [(ETAG, tag.clone()), (CACHE_CONTROL, kept.to_owned())];
    if headers.get(IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, about).into_response());
    }
    Ok((about, [(CONTENT_TYPE, asset.media_type)], asset.bytes.as_slice()).into_response())
}

async fn icon() -> Response {
    let about = [(CACHE_CONTROL, "public, max-age=86400"), (CONTENT_TYPE, ICON.media_type)];
    (about, ICON.bytes.as_slice()).into_response()
}

fn find(name: &str) -> Option<&'static Asset> {
    [&*CSS, &*JS, &FONTS[0], &FONTS[1], &*ICON].into_iter().find(|asset| asset.name == name)
}

/// The rule that tells the browser where a weight is.
fn face(weight: u16, font: &Asset) -> String {
    format!(
        "@font-face {{ font-family: \"{}\"; font-weight: {weight}; font-display: swap; \
         src: url(\"{}\") format(\"woff2\"); }}\n",
        knockon_sheet::lettering::FAMILY,
        font.address()
    )
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    /// Relative luminance of `#rrggbb` (WCAG 2.2, definition of the term).
    fn luminance(colour: &str) -> f64 {
        let channel = |at: usize| {
            let value =
                f64::from(u8::from_str_radix(&colour[at..at + 2], 16).expect("two hexadecimal digits"))
                    / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// Contrast ratio (WCAG 2.2, definition of the term).
    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// The colours of each `:root` that has any: paper, blue print, print.
    fn grounds() -> Vec<BTreeMap<&'static str, &'static str>> {
        STYLE[0]
            .split(":root {")
            .skip(1)
            .map(|block| {
                let block = block.split('}').next().unwrap_or_default();
                let tokens =
                    block.lines().filter_map(|line| line.trim().strip_prefix("--")?.strip_suffix(';'));
                tokens
                    .filter_map(|token| token.split_once(": "))
                    .filter(|(_, value)| value.starts_with('#'))
                    .collect()
            })
            .filter(|tokens: &BTreeMap<_, _>| !tokens.is_empty())
            .collect()
    }

    #[test]
    fn the_ratio_is_that_of_the_definition() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((contrast("#777777", "#777777") - 1.0).abs() < 1e-9);
    }

    #[test]
    fn every_text_is_legible_on_every_ground() {
        let grounds = grounds();
        assert_eq!(grounds.len(), 3, "paper, blue print and print");
        for colours in grounds {
            for ground in ["paper", "card"] {
                for text in ["ink", "quiet", "change", "caution"] {
                    let ratio = contrast(colours[text], colours[ground]);
                    assert!(ratio >= 4.5, "{text} on {ground}: {ratio:.2}");
                }
                let edge = contrast(colours["thin"], colours[ground]);
                assert!(edge >= 3.0, "a control's edge on {ground}: {edge:.2}");
            }
        }
    }

    #[test]
    fn the_style_loads_nothing_from_elsewhere() {
        let css = String::from_utf8_lossy(CSS.bytes()).into_owned();
        assert!(
            !css.contains("http:")
                && !css.contains("https:")
                && !css.contains("@import")
                && !css.contains("url(//")
        );
    }
}
