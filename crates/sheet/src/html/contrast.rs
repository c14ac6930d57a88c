//! Contrast of every text with its ground, worked out from the style sheet itself.
//!
//! Source: Web Content Accessibility Guidelines 2.2, success criteria 1.4.3 and 1.4.11 and the
//! definitions of "relative luminance" and "contrast ratio".

use super::style::{FOLD, STYLE};
use std::collections::BTreeMap;

/// Colours of text; the drawing sets words in `thin` as well. All of them stand on paper.
const TEXT: [&str; 5] = ["ink", "quiet", "thin", "change", "caution"];

type Palette = BTreeMap<String, [f64; 3]>;

/// The palettes in the order of the style sheet: light, dark, print.
fn palettes() -> Vec<Palette> {
    STYLE.split(":root {").skip(1).map(|block| palette(block.split('}').next().unwrap_or_default())).collect()
}

fn palette(block: &str) -> Palette {
    block
        .split(';')
        .filter_map(|declaration| declaration.trim().strip_prefix("--")?.split_once(": #"))
        .map(|(name, hex)| {
            let channel =
                |at: usize| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).expect("two hex digits"));
            (name.to_owned(), [channel(0), channel(2), channel(4)].map(|value| value / 255.0))
        })
        .collect()
}

fn luminance(colour: [f64; 3]) -> f64 {
    let [red, green, blue] = colour
        .map(|value| if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

fn contrast(one: [f64; 3], other: [f64; 3]) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn the_ratio_is_the_one_of_the_guidelines() {
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast([0.5; 3], [0.5; 3]) - 1.0).abs() < 1e-9);
}

#[test]
fn every_text_reads_on_paper_in_every_mode() {
    let palettes = palettes();
    assert_eq!(palettes.len(), 3);
    for (mode, palette) in ["light", "dark", "print"].iter().zip(&palettes) {
        for name in TEXT {
            let ratio = contrast(palette[name], palette["paper"]);
            assert!(ratio >= 4.5, "{mode}: {name} on paper is {ratio:.2}");
        }
    }
}

#[test]
fn no_text_has_a_colour_that_was_not_checked() {
    let css = format!("{STYLE}\n{FOLD}\n{}", crate::drawing::drawing_css());
    for property in ["color:", "fill:", "stroke:"] {
        for value in css.split(property).skip(1) {
            let value = value.trim_start();
            let name = value.strip_prefix("var(--").and_then(|rest| rest.split(')').next());
            let named = name.is_some_and(|name| TEXT.contains(&name) || name == "paper");
            let inherited = ["currentColor", "inherit", "none"].iter().any(|word| value.starts_with(word));
            assert!(named || inherited, "{property} {}", value.chars().take(30).collect::<String>());
        }
    }
    for ground in css.split("background:").skip(1) {
        assert!(ground.trim_start().starts_with("var(--paper)"), "text stands on paper only");
    }
}
