//! By keyboard alone.

use crate::keys::Key;
use crate::page::Page;
use crate::screen::Screen;
use crate::shown::{DIFFERENCE, exact, number, row, shows};
use crate::site::Site;
use crate::wait::until;

/// Most controls that a page may have before the one that is wanted.
const FURTHEST: usize = 150;

/// Goes on by Tab, or back by Shift+Tab, until the focus is on the control. Wherever it is on the way, it can be seen.
#[track_caller]
fn walk(page: &Page, key: Key, role: &str, name: &str) {
    let mut passed = Vec::new();
    for _ in 0..FURTHEST {
        page.press(key);
        let here = page.focused();
        assert!(focus_is_seen(page), "nobody sees that the focus is on {here:?} at {}", page.path());
        if here.0 == role && here.1.contains(name) {
            return;
        }
        passed.push(here);
    }
    panic!("no {role} “{name}” on the way: {passed:?}");
}

/// Whether what has the focus has an outline or shadow, within the window.
fn focus_is_seen(page: &Page) -> bool {
    let seen = page.js(
        "(() => { const active = document.activeElement; \
           if (active === document.body || active.tagName === 'IFRAME') return true; \
           const style = getComputedStyle(active), place = active.getBoundingClientRect(); \
           const lined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2; \
           const within = place.bottom > 0 && place.top < innerHeight && place.right > 0 && place.left < innerWidth \
                          && place.width > 1 && place.height > 1; \
           return (lined || style.boxShadow !== 'none') && within; })()",
    );
    seen == true
}

#[test]
fn from_the_list_to_a_published_sheet_without_a_mouse() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.go("/questions");
    walk(&page, Key::Tab, "link", "New question");
    page.press(Key::Enter);
    page.arrive("the form of a new question", |path| path == "/questions/new");
    walk(&page, Key::Tab, "textbox", "The rider’s words");
    page.type_in("Higher bar on the long bike?");
    walk(&page, Key::Tab, "combobox", "Bike");
    for _ in 0..20 {
        let chosen = page.js("document.activeElement.selectedOptions[0].text");
        if chosen.as_str().is_some_and(|chosen| chosen.contains("Larch 150")) {
            break;
        }
        page.press(Key::Down);
    }
    walk(&page, Key::Tab, "textbox", "Changes");
    page.type_in("bar rise 30");
    walk(&page, Key::Tab, "button", "Keep and open");
    page.press(Key::Enter);
    page.arrive("the new question", |path| path.starts_with("/questions/") && path != "/questions/new");

    walk(&page, Key::Tab, "slider", "Bar rise");
    page.press(Key::Right);
    page.press(Key::Right);
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 32", "grip_stack"));
    until("the focus to stay", || (page.focused().0 == "slider").then_some(()));
    walk(&page, Key::ShiftTab, "spinbutton", "Bar rise");
    page.press(Key::Up);
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 33", "grip_stack"));
    walk(&page, Key::Tab, "button", "Publish sheet");
    page.press(Key::Space);
    page.arrive("the published sheet", |path| path.starts_with("/s/"));
    let shown = number(&row(&page, "Grip stack")[DIFFERENCE]);
    assert_eq!(shown, Some(exact(&site, "Larch", "bar rise 33", "grip_stack").round()));
}

#[test]
fn the_first_stop_leads_past_the_head_of_the_page() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.go("/questions");
    walk(&page, Key::Tab, "link", "Skip to");
    page.press(Key::Enter);
    page.press(Key::Tab);
    let inside = page.js("document.activeElement.closest('main') !== null");
    assert_eq!(inside, true, "the focus went to {:?}", page.focused());
}
