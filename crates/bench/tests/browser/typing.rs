//! Typing changes and numbers.

use crate::keys::Key;
use crate::screen::Screen;
use crate::shown::{DIFFERENCE, after_lines, exact, shows};
use crate::site::Site;
use crate::wait::until;

#[test]
fn a_typed_number_and_a_typed_line_are_answered_at_once() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    let lines = after_lines(&page);
    page.find("spinbutton", "Bar rise").fill("45");
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 45", "grip_stack"));
    assert_ne!(after_lines(&page), lines);
    assert_eq!(page.find("slider", "Bar rise").value(), "45");

    page.find("textbox", "Say a change").fill("stem length 60");
    page.press(Key::Enter);
    page.find("slider", "Stem length");
    let both = "bar rise 45\nstem length 60";
    shows(&page, "Grip reach", DIFFERENCE, exact(&site, "Larch", both, "grip_reach"));
    assert!(page.path().starts_with(&format!("/questions/{question}")), "the page was not left");
    until("both to be saved", || (site.saved(question) == both).then_some(()));
}

#[test]
fn a_mistyped_line_is_told_beside_it_and_mended_by_a_button() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Shorter stem?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("textbox", "Say a change").fill("stem lenght 60");
    page.find("button", "Add").click();
    let repair = page.find("button", "Make it “stem length 60”");
    page.reads("Column 1");
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 20", "grip_stack"));
    repair.click();
    let both = "bar rise 20\nstem length 60";
    shows(&page, "Grip reach", DIFFERENCE, exact(&site, "Larch", both, "grip_reach"));
    page.find("slider", "Stem length");
}

#[test]
fn lines_typed_as_text_are_answered_at_once() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("DisclosureTriangle", "As lines").click();
    page.find("textbox", "Changes, one a line").fill("spacers below 5\nbar rise 33");
    let both = "spacers below 5\nbar rise 33";
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", both, "grip_stack"));
    page.find("slider", "Spacers below");
}
