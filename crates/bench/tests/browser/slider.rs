//! Dragging a slider with the mouse.

use std::time::Duration;

use crate::element::Element;
use crate::page::Page;
use crate::screen::Screen;
use crate::shown::{DIFFERENCE, after_lines, exact, number, row, shows};
use crate::site::Site;
use crate::wait::until;

/// Where the thumb of a slider is.
fn thumb(slider: &Element) -> (f64, f64) {
    let (_, y) = slider.middle();
    let [left, _, width, _] = slider.place();
    let share = slider.js("return (this.value - this.min) / (this.max - this.min)").as_f64().unwrap_or(0.5);
    // A thumb stays within the slider; it is some 16 pixels wide.
    (left + 8.0 + share * (width - 16.0), y)
}

/// Presses on the thumb and moves the pointer, step by step as a hand does; the button stays down.
fn drag(page: &Page, slider: &Element, by: f64) -> (f64, f64) {
    let (x, y) = thumb(slider);
    page.mouse("mouseMoved", (x, y), false);
    page.mouse("mousePressed", (x, y), true);
    for step in 1..=12 {
        page.mouse("mouseMoved", (x + by * f64::from(step) / 12.0, y), true);
        std::thread::sleep(Duration::from_millis(16));
    }
    (x + by, y)
}

#[test]
fn dragging_moves_the_drawing_the_number_and_the_words() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 20", "grip_stack"));
    let (lines, words) = (after_lines(&page), page.select("#verdict").text());

    let slider = page.find("slider", "Bar rise");
    let end = drag(&page, &slider, 80.0);
    // The button is still down: the drawing follows the hand and does not wait for it to let go.
    until("the drawing to follow", || (after_lines(&page) != lines).then_some(()));
    page.mouse("mouseReleased", end, false);

    let rise: f64 = slider.value().parse().expect("a slider has a number");
    assert!(rise > 25.0, "the thumb went to {rise}");
    let line = format!("bar rise {rise}");
    let difference = exact(&site, "Larch", &line, "grip_stack");
    shows(&page, "Grip stack", DIFFERENCE, difference);
    assert_ne!(page.select("#verdict").text(), words);
    let sheet = site.desk.answer_of(question, &line).expect("an answer").sheet;
    for sentence in &sheet.answer.sentences {
        page.reads(sentence);
    }
    assert_eq!(page.find("spinbutton", "Bar rise").value(), slider.value());
    until("the draft to be saved", || (site.saved(question) == line).then_some(()));

    // What was dragged is what the next visitor finds.
    let other = site.page(Screen::DESK);
    other.go(&format!("/questions/{question}"));
    assert_eq!(number(&row(&other, "Grip stack")[DIFFERENCE]), Some(difference.round()));
    assert_eq!(after_lines(&other), after_lines(&page));
}

#[test]
fn a_slider_on_a_phone_follows_too() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::PHONE);
    page.go(&format!("/questions/{question}"));
    let lines = after_lines(&page);
    let slider = page.find("slider", "Bar rise");
    let end = drag(&page, &slider, 60.0);
    page.mouse("mouseReleased", end, false);
    until("the drawing to follow", || (after_lines(&page) != lines).then_some(()));
    let line = format!("bar rise {}", slider.value());
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", &line, "grip_stack"));
}
