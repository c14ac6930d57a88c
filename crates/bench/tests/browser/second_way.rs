//! Two ways side by side.

use crate::screen::Screen;
use crate::shown::{DIFFERENCE, exact, shows};
use crate::site::Site;
use crate::wait::until;

/// Columns of the differences where there are two ways: before, then difference, tolerance, noticed of each.
const FIRST: usize = 1;
const INSTEAD: usize = 4;

#[test]
fn a_second_way_stands_beside_the_first_and_can_take_its_place() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar or more spacers?", "Larch", "bar rise 40");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("button", "Or instead").click();
    page.find("heading", "First way");
    let rise = until("a second field", || {
        let mut fields = page.all("spinbutton", "Bar rise");
        (fields.len() == 2).then(|| fields.remove(1))
    });
    rise.fill("50");
    shows(&page, "Grip stack", FIRST, exact(&site, "Larch", "bar rise 40", "grip_stack"));
    shows(&page, "Grip stack", INSTEAD, exact(&site, "Larch", "bar rise 50", "grip_stack"));
    let drawings = page.js("document.querySelectorAll('#drawing figure svg').length");
    assert_eq!(drawings, 2);
    until("both ways to be saved", || {
        let draft = site.desk.question(question).expect("the question").draft;
        (draft.changes == "bar rise 40" && draft.instead.as_deref() == Some("bar rise 50")).then_some(())
    });

    page.find("button", "Do this instead").click();
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 50", "grip_stack"));
    until("one way to be left", || (site.saved(question) == "bar rise 50").then_some(()));
    assert_eq!(page.all("spinbutton", "Bar rise").len(), 1);
}
