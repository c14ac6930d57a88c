//! What a visitor prefers: dark or light, and no motion.

use serde_json::Value;

use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;

/// Luminance of paper, ink and the drawing's ink, each from 0 to 255.
fn tones(page: &Page) -> [f64; 3] {
    let tones = page.js(
        "(() => { const tone = colour => { const [r, g, b] = colour.match(/[\\d.]+/g).map(Number); \
                                          return 0.2126 * r + 0.7152 * g + 0.0722 * b; }; \
           const of = (selector, what) => tone(getComputedStyle(document.querySelector(selector))[what]); \
           return [of('body', 'backgroundColor'), of('body', 'color'), of('figure svg .kd-solid', 'stroke')]; })()",
    );
    [0, 1, 2].map(|index| tones[index].as_f64().expect("a colour"))
}

#[test]
fn in_the_dark_paper_is_dark_and_ink_is_light_and_back() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 40");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    for (screen, dark) in [(Screen::DESK, false), (Screen::DESK.dark(), true), (Screen::DESK, false)] {
        page.look_at(screen);
        let [paper, ink, line] = tones(&page);
        assert_eq!(paper < 90.0, dark, "paper {paper}");
        assert_eq!(ink > 180.0, dark, "ink {ink}");
        assert_eq!(line > 180.0, dark, "line {line}");
        assert!((paper - ink).abs() > 120.0, "ink {ink} on paper {paper}");
    }
}

/// How long an element would take to move that was told to.
fn motion(page: &Page) -> Value {
    page.js(
        "(() => { const moving = document.createElement('p'); document.body.append(moving); \
           moving.style.transition = 'opacity 3s'; moving.style.animation = 'any 3s infinite'; \
           const style = getComputedStyle(moving); const result = style.transitionDuration + ' ' + style.animationName; \
           moving.remove(); return result; })()",
    )
}

#[test]
fn who_wants_no_motion_gets_none() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.go("/questions");
    assert_eq!(motion(&page), "3s any");
    page.prefer(&[("prefers-reduced-motion", "reduce")]);
    assert_eq!(motion(&page), "0s none");
}
