//! The means of these tests themselves: a fault on a page is seen.

use crate::chromium::chromium;
use crate::keys::Key;
use crate::page::Page;
use crate::screen::Screen;
use crate::wait::until;

fn page(markup: &str) -> Option<Page> {
    let page = Page::open(chromium()?, "", Screen::DESK);
    page.go(&format!("data:text/html,<title>t</title>{markup}"));
    Some(page)
}

#[test]
fn errors_exceptions_and_broken_policies_are_seen() {
    for (markup, told) in [
        ("<script>console.error('a message')</script>", "a message"),
        ("<script>throw new Error('thrown')</script>", "thrown"),
        (
            "<meta http-equiv=Content-Security-Policy content=\"style-src 'none'\"><p style='color:red'>",
            "Content Security Policy",
        ),
    ] {
        let Some(page) = page(markup) else { return };
        until(&format!("trouble with {markup}"), || {
            page.trouble().iter().any(|line| line.contains(told)).then_some(())
        });
        page.expect_trouble(told);
    }
}

#[test]
fn things_are_found_by_role_and_name_and_used_by_mouse_and_keyboard() {
    let markup = "<label>Words <input></label><button onclick='this.textContent=\"Pressed\"'>Press</button>\
                  <input type=range aria-label=Rise min=0 max=10 value=5>";
    let Some(page) = page(markup) else { return };
    page.find("textbox", "Words").fill("stem");
    assert_eq!(page.find("textbox", "Words").value(), "stem");
    page.press(Key::Tab);
    assert_eq!(page.focused(), ("button".to_owned(), "Press".to_owned()));
    page.press(Key::Enter);
    page.reads("Pressed");
    page.press(Key::Tab);
    page.press(Key::Right);
    assert_eq!(page.find("slider", "Rise").value(), "6");
    page.find("button", "Pressed").click();
    assert_eq!(page.focused().1, "Pressed");
    assert_eq!(page.names("slider"), ["Rise"]);
}

#[test]
fn without_script_nothing_runs_and_forms_work() {
    let Some(page) = page("") else { return };
    page.without_script();
    page.go("data:text/html,<p>still</p><script>document.body.textContent='ran'</script>");
    assert_eq!(page.text().trim(), "still");
}
