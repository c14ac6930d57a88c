//! Dragging what is wanted: the options follow.

use crate::screen::Screen;
use crate::site::Site;
use crate::wait::until;

#[test]
fn options_follow_a_dragged_rule_and_the_address_leads_back() {
    let Some(site) = Site::open() else { return };
    let bike = site.bike("Larch");
    let page = site.page(Screen::DESK);
    page.go(&format!("/backwards?bike={bike}"));
    page.reads("the options appear here");
    let rule = page.find("slider", "Grip stack, change wanted");
    rule.js("this.value = 15; this.dispatchEvent(new Event('input', { bubbles: true }))");
    page.reads("Option 1");
    assert_eq!(page.find("spinbutton", "Grip stack").value(), "15");
    let first = page.select("#reached").text();
    until("the address to hold the state", || page.path().contains("by_grip_stack=15").then_some(()));

    rule.js("this.value = 30; this.dispatchEvent(new Event('input', { bubbles: true }))");
    until("other options", || (page.select("#reached").text() != first).then_some(()));
    page.find("textbox", "In words, one a line").fill("bar rise at most 30\nkeep stem");
    until("the words to be heard", || {
        let told = page.select("#reached").text();
        (!told.contains("Stem: stem") && !told.contains("bar rise 50")).then_some(())
    });
    let address = page.path();
    let told = page.select("#reached h2").text();
    page.go(&address);
    assert_eq!(page.select("#reached h2").text(), told);
    assert_eq!(page.find("spinbutton", "Grip stack").value(), "30");

    // Side by side by the form's own button.
    page.find("button", "Put side by side").click();
    page.arrive("the comparison", |path| path.starts_with("/backwards/compare"));
    page.reads("Does it fit?");
}

#[test]
fn without_its_script_the_button_finds_the_parts() {
    let Some(site) = Site::open() else { return };
    let bike = site.bike("Larch");
    let page = site.page(Screen::PHONE);
    page.without_script();
    page.go(&format!("/backwards?bike={bike}"));
    page.find("spinbutton", "Grip stack").fill("12");
    page.find("button", "Find the parts").click();
    page.arrive("the options", |path| path.contains("by_grip_stack=12"));
    page.reads("Option 1");
    page.reads("Caution");
}

#[test]
fn without_any_answer_the_options_are_not_passed_off_as_new() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.go(&format!("/backwards?bike={}&by_grip_stack=10", site.bike("Larch")));
    page.reads("Option 1");
    page.expect_trouble("ERR_INTERNET_DISCONNECTED");
    page.offline(true);
    page.find("spinbutton", "Grip stack").fill("20");
    until("the page to say so", || {
        page.select("#reached-state").text().contains("No answer came").then_some(())
    });
    page.offline(false);
    page.find("spinbutton", "Grip stack").fill("21");
    until("the page to take it back", || page.select("#reached-state").text().is_empty().then_some(()));
    page.reads("Option 1");
}
