//! Undo and redo.

use crate::keys::Key;
use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;
use crate::wait::until;

/// Waits until the bar's rise is this, on the page and as it is saved.
#[track_caller]
fn rise(site: &Site, page: &Page, question: knockon_desk::QuestionId, wanted: &str) {
    until(&format!("a rise of {wanted}"), || {
        let shown = page.all("spinbutton", "Bar rise").first()?.value();
        (shown == wanted && site.saved(question) == format!("bar rise {wanted}")).then_some(())
    });
}

#[test]
fn what_was_changed_is_undone_and_redone_by_button_and_by_key() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    assert_eq!(page.find("button", "Undo").js("return this.disabled"), true);
    for value in ["30", "40"] {
        page.find("spinbutton", "Bar rise").fill(value);
        rise(&site, &page, question, value);
    }
    page.find("button", "Undo").click();
    rise(&site, &page, question, "30");
    page.find("button", "Redo").click();
    rise(&site, &page, question, "40");

    // Keys mean the whole page only where no text is being typed: there they belong to the field.
    page.select("#main").js("this.focus()");
    page.press(Key::Ctrl('z'));
    rise(&site, &page, question, "30");
    page.press(Key::Ctrl('z'));
    rise(&site, &page, question, "20");
    page.press(Key::CtrlShift('z'));
    rise(&site, &page, question, "30");
}
