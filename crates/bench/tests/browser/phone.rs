//! On a phone, 390 pixels wide.

use crate::places;
use crate::screen::Screen;
use crate::site::Site;

#[test]
fn nothing_has_to_be_scrolled_sideways_on_any_page() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::PHONE);
    let mut wide = Vec::new();
    for place in places::every(&site) {
        place.open(&page);
        let width = page.js("document.documentElement.scrollWidth").as_f64().unwrap_or(f64::NAN);
        let window = page.js("window.innerWidth").as_f64().unwrap_or(f64::NAN);
        if width > 390.0 || window > 390.0 {
            // What reaches furthest is most likely to blame.
            let furthest = page.js(
                "[...document.querySelectorAll('main *, header *, footer *')] \
                     .map(element => [element.getBoundingClientRect().right, element.outerHTML.slice(0, 120)]) \
                     .sort((a, b) => b[0] - a[0])[0]?.join(': ')",
            );
            wide.push(format!("{}: {width} wide in a window of {window}; {furthest}", place.name));
        }
    }
    assert!(wide.is_empty(), "{wide:#?}");
}

#[test]
fn verdict_and_cautions_are_in_view_wherever_one_has_scrolled_to() {
    let Some(site) = Site::open() else { return };
    let lines = "fork axle-to-crown 576\nspacers below 5\nbar rise 40";
    let question = site.ask("Longer fork?", "Larch", lines);
    let page = site.page(Screen::PHONE);
    page.go(&format!("/questions/{question}"));
    let sheet = site.desk.answer_of(question, lines).expect("an answer").sheet;
    assert!(!sheet.cautions.is_empty());
    for caution in &sheet.cautions {
        page.reads(&caution.text);
    }
    for share in [0.0, 0.5, 1.0] {
        page.js(&format!("scrollTo(0, document.documentElement.scrollHeight * {share})"));
        let in_view = page.js(&format!(
            "[...document.querySelectorAll('main *')].some(element => \
                 element.checkVisibility() && element.textContent.includes({}) && element.children.length < 4 && \
                 (place => place.top >= 0 && place.bottom <= innerHeight && place.height > 10) \
                     (element.getBoundingClientRect()))",
            serde_json::json!(sheet.answer.headline)
        ));
        assert_eq!(in_view, true, "“{}” is out of view at {share} of the page", sheet.answer.headline);
        let cautions = page.find("link", "caution").place();
        assert!(
            cautions[1] >= 0.0 && cautions[1] + cautions[3] <= 844.0,
            "cautions at {cautions:?} at {share}"
        );
    }
}
