//! A save that does not come through.

use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;
use crate::wait::until;

/// Waits until the page says something of its saving.
#[track_caller]
fn says(page: &Page, words: &str) {
    until(&format!("the page to say “{words}”"), || {
        page.select("#saving").text().contains(words).then_some(())
    });
}

/// Whether the browser would ask before it leaves the page.
fn holds_back(page: &Page) -> bool {
    page.js("(() => { const leave = new Event('beforeunload', { cancelable: true }); dispatchEvent(leave); \
                  return leave.defaultPrevented; })()")
        == true
}

#[test]
fn a_save_that_fails_is_told_and_made_up_for() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    assert!(!holds_back(&page));
    page.expect_trouble("ERR_BLOCKED_BY_CLIENT");
    page.block(&["*/draft"]);
    page.find("spinbutton", "Bar rise").fill("38");
    says(&page, "not saved");
    assert_eq!(site.saved(question), "bar rise 20");
    assert_eq!(page.find("spinbutton", "Bar rise").value(), "38");
    assert!(holds_back(&page), "nobody leaves by mistake what is not saved");

    page.block(&[]);
    until("the draft to be saved by itself", || (site.saved(question) == "bar rise 38").then_some(()));
    says(&page, "saved");
    assert_eq!(page.find("spinbutton", "Bar rise").value(), "38");
    until("the page to be free to leave", || (!holds_back(&page)).then_some(()));
}

#[test]
fn without_any_answer_the_figures_are_not_passed_off_as_new() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.expect_trouble("ERR_INTERNET_DISCONNECTED");
    page.offline(true);
    page.find("spinbutton", "Bar rise").fill("38");
    says(&page, "No answer from the program");
    assert!(holds_back(&page), "nobody leaves by mistake what is not saved");

    page.offline(false);
    until("the draft to be saved by itself", || (site.saved(question) == "bar rise 38").then_some(()));
    says(&page, "saved");
    assert_eq!(page.find("slider", "Bar rise").value(), "38");
}
