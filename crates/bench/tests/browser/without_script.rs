//! Every deed of the working page by plain forms.

use crate::screen::Screen;
use crate::shown::{DIFFERENCE, exact, shows};
use crate::site::Site;

#[test]
fn numbers_steps_new_lines_and_undo_work_by_forms() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 30");
    let page = site.page(Screen::DESK);
    page.without_script();
    page.go(&format!("/questions/{question}"));
    assert!(page.names("slider").is_empty(), "what needs a script is not shown");

    page.find("spinbutton", "Bar rise").fill("44");
    page.find("button", "Redraw").click();
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 44", "grip_stack"));
    assert_eq!(site.saved(question), "bar rise 44");

    page.find("button", "Bar rise: 1 mm more").click();
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 45", "grip_stack"));

    page.find("textbox", "Say a change").fill("stem length 60");
    page.find("button", "Add").click();
    page.find("spinbutton", "Stem length");
    let both = "bar rise 45\nstem length 60";
    shows(&page, "Grip reach", DIFFERENCE, exact(&site, "Larch", both, "grip_reach"));
    assert_eq!(site.saved(question), both);

    page.find("button", "Undo").click();
    crate::wait::until("the stem to be as it was", || {
        page.all("spinbutton", "Stem length").is_empty().then_some(())
    });
    assert_eq!(site.saved(question), "bar rise 45");
    page.find("button", "Redo").click();
    page.find("spinbutton", "Stem length");
    assert_eq!(site.saved(question), both);
}
