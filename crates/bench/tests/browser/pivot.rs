//! Points of the linkage moved by hand.

use std::time::Duration;

use crate::element::Element;
use crate::keys::Key;
use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;
use crate::travel::{read_out, through};
use crate::wait::until;

/// CSS pixels to a millimetre of the drawing that is seen.
fn scale(page: &Page) -> f64 {
    let scale = page.js(
        "[...document.querySelectorAll('g.linkage')].find(g => g.ownerSVGElement.getClientRects().length).getScreenCTM().a",
    );
    scale.as_f64().expect("a scale")
}

/// Drags a handle by so many millimetres to the right and upward; the button stays down.
fn drag(page: &Page, handle: &Element, (x, y): (f64, f64)) -> (f64, f64) {
    let (left, top) = handle.middle();
    let scale = scale(page);
    page.mouse("mouseMoved", (left, top), false);
    page.mouse("mousePressed", (left, top), true);
    let at = |share: f64| (left + x * scale * share, top - y * scale * share);
    for step in 1..=10 {
        page.mouse("mouseMoved", at(f64::from(step) / 10.0), true);
        std::thread::sleep(Duration::from_millis(16));
    }
    at(1.0)
}

#[test]
fn dragging_a_pivot_writes_its_lines_and_changes_the_table_and_is_undone() {
    let Some(site) = Site::open() else { return };
    for screen in [Screen::DESK, Screen::PHONE] {
        let question = site.ask("The pivot higher?", "Bulrush", "bar rise 30");
        let page = site.page(screen);
        page.go(&format!("/questions/{question}"));
        let handle = page.find("application", "main pivot, 0 mm forward, 0 mm up");
        let before = through(&page, "Leverage ratio");
        let end = drag(&page, &handle, (6.0, -4.0));
        // The button is still down, and the answer is there already.
        until("another leverage", || (through(&page, "Leverage ratio") != before).then_some(()));
        page.mouse("mouseReleased", end, false);
        let both = "bar rise 30\npoint main pivot forward by 6\npoint main pivot up by -4";
        until("both lines to be saved", || (site.saved(question) == both).then_some(()));
        page.find("application", "main pivot, 6 mm forward, 4 mm down");
        page.find("slider", "Point main pivot, forward, by");

        // What the table shows is what the one function that answers says.
        let sheet = site.desk.answer_of(question, both).expect("an answer").sheet;
        let rows = sheet.ride.expect("a suspension").rows;
        let row = rows.iter().find(|row| row.label == "Leverage ratio").expect("a leverage");
        let shown = through(&page, "Leverage ratio");
        for (cell, shown) in row.cells.iter().zip(&shown) {
            assert!(shown.contains(&cell.after), "{shown} {cell:?}");
        }

        page.find("button", "Undo").click();
        until("the bike to be as it was", || {
            (site.saved(question) == "bar rise 30" && through(&page, "Leverage ratio") == before)
                .then_some(())
        });
        page.find("application", "main pivot, 0 mm forward, 0 mm up");
        assert!(page.all("slider", "Point main pivot").is_empty());
    }
}

#[test]
fn arrow_keys_move_a_point_and_a_line_at_nought_goes() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("The pivot higher?", "Bulrush", "");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("application", "rocker eye").js("this.focus()");
    let leverage = read_out(&page)["Leverage ratio"].clone();
    page.press(Key::Up);
    until("one line", || (site.saved(question) == "point rocker eye up by 1").then_some(()));
    page.press(Key::ShiftRight);
    let both = "point rocker eye up by 1\npoint rocker eye forward by 5";
    until("two lines", || (site.saved(question) == both).then_some(()));
    until("another leverage", || (read_out(&page)["Leverage ratio"] != leverage).then_some(()));
    // The handle keeps the focus while the drawing below it is swapped.
    assert_eq!(page.focused(), ("application".to_owned(), "rocker eye, 5 mm forward, 1 mm up".to_owned()));
    page.press(Key::Down);
    until("one line again", || (site.saved(question) == "point rocker eye forward by 5").then_some(()));
}

#[test]
fn a_line_that_somebody_typed_goes_on_from_its_number_and_keeps_its_tolerance() {
    let Some(site) = Site::open() else { return };
    let question =
        site.ask("The pivot higher?", "Bulrush", "point Main-pivot up by 0.5 cm ± 1 mm\nbar rise 30");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("application", "main pivot, 0 mm forward, 5 mm up").js("this.focus()");
    page.press(Key::Up);
    let lines = "point main pivot up by 6 ± 1 mm\nbar rise 30";
    until("the line to go on", || (site.saved(question) == lines).then_some(()));
    page.find("application", "main pivot, 0 mm forward, 6 mm up");
    assert_eq!(page.find("spinbutton", "Point main pivot, up").value(), "6");
}

#[test]
fn the_ruler_of_a_point_moves_its_handle() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("The pivot higher?", "Bulrush", "point main pivot up by 2");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("spinbutton", "Point main pivot, up").fill("9");
    page.find("application", "main pivot, 0 mm forward, 9 mm up");
    page.find("button", "Point main pivot, up: 1 mm less").click();
    page.find("application", "main pivot, 0 mm forward, 8 mm up");
}

#[test]
fn who_goes_too_far_finds_back() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("The pivot higher?", "Bulrush", "");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    let handle = page.find("application", "rocker eye, 0 mm forward, 0 mm up");
    let (before, scale) = (through(&page, "Leverage ratio"), scale(&page));
    // The eye comes within a few millimetres of the rocker's pivot at (0.5, 281): no turn of the rocker shortens the shock
    // by its 55 mm any more.
    let (x, y) = (-31.0, -48.0);
    let end = drag(&page, &handle, (x, y));
    until("the program to say so", || page.text().contains("cannot be computed").then_some(()));
    let start = (end.0 - x * scale, end.1 + y * scale);
    page.mouse("mouseMoved", start, true);
    page.mouse("mouseReleased", start, false);
    until("the bike to be as it was", || {
        (through(&page, "Leverage ratio") == before && !page.text().contains("cannot be computed"))
            .then_some(())
    });
    until("nothing to be saved", || site.saved(question).is_empty().then_some(()));
}

#[test]
fn each_of_two_ways_has_its_own_handles() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("The pivot higher?", "Bulrush", "point main pivot up by 4");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("button", "Or instead").click();
    page.find("application", "Or instead: main pivot, 0 mm forward, 4 mm up").js("this.focus()");
    page.press(Key::Up);
    until("the second way to be saved", || {
        let draft = site.desk.question(question).expect("the question").draft;
        (draft.changes == "point main pivot up by 4"
            && draft.instead.as_deref() == Some("point main pivot up by 5"))
        .then_some(())
    });
    page.find("application", "First way: main pivot, 0 mm forward, 4 mm up");
}
