//! The link to a state.

use knockon_desk::Stamp;

use crate::screen::Screen;
use crate::shown::{DIFFERENCE, after_lines, exact, shows};
use crate::site::Site;

#[test]
fn a_link_opens_the_same_state_whatever_was_saved_since() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("spinbutton", "Bar rise").fill("37");
    let difference = exact(&site, "Larch", "bar rise 37", "grip_stack");
    shows(&page, "Grip stack", DIFFERENCE, difference);
    let address = page.find("link", "Link to this state").attribute("href");
    crate::wait::until("the draft to be saved", || (site.saved(question) == "bar rise 37").then_some(()));
    site.desk
        .save_draft(question, "bar rise 10", None, &Stamp::now("somebody else"))
        .expect("a draft is saved");

    let other = site.page(Screen::DESK);
    other.go(&address);
    shows(&other, "Grip stack", DIFFERENCE, difference);
    assert_eq!(other.find("spinbutton", "Bar rise").value(), "37");
    assert_eq!(after_lines(&other), after_lines(&page));
    assert_eq!(site.saved(question), "bar rise 10", "looking changes nothing");
}

#[test]
fn the_link_is_copied_as_a_whole_address() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    let address = page.find("link", "Link to this state").attribute("href");
    page.find("button", "Copy the link").click();
    assert_eq!(page.copied(), format!("{}{address}", site.address));
}
