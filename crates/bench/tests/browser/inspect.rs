//! An inspection with a thumb, on a phone, with and without a script; and drawing on a photo.

use serde_json::Value;

use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;
use crate::wait::until;

/// Goes through a whole run by its buttons.
fn goes_through(page: &Page, answers: &[&str]) {
    for answer in answers {
        page.find("button", answer).click();
        page.loaded();
    }
}

/// Answers of a carbon frame that was only scratched, as far as anybody sees.
const MILD: [&str; 10] = [
    "Clean, dry, every side seen",
    "Known: rubbing",
    "No line",
    "None: coating",
    "No, it slides over",
    "None",
    "The same as around it",
    "No",
    "Go on without a photo",
    "Somebody else, with the part in hand",
];

#[test]
fn a_run_is_done_with_a_thumb() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::PHONE);
    page.go("/inspect");
    page.find("link", "Carbon fork or steerer").click();
    page.reads("What it asks");
    page.go("/inspect/carbon-frame");
    page.find("textbox", "Which part").fill("down tube, left");
    page.find("button", "Begin").click();
    page.arrive("the run", |path| path.starts_with("/inspections/"));
    // Wherever one has come to, the question is in view, and every answer is as high as a thumb is wide.
    for answer in MILD {
        page.reads("Question ");
        let targets = page.js(
            "[...document.querySelectorAll('.thumb button')].map(it => it.getBoundingClientRect().height)",
        );
        for height in targets.as_array().expect("a list") {
            assert!(height.as_f64().expect("a number") >= 44.0, "{targets}");
        }
        // The page of the next question may be on its way still.
        let ask = until("the question", || {
            page.try_js("document.querySelector('#ask').getBoundingClientRect().top").ok()?.as_f64()
        });
        assert!(ask < 844.0, "the question stands at {ask}");
        page.find("button", answer).click();
        page.loaded();
    }
    page.reads("Not before somebody qualified has looked into it");
    page.reads("Nobody qualified for this part has had it in hand yet");
    // Every caution is on the page, whole.
    let inspection = site.desk.newest_inspections(1).expect("a list").remove(0);
    assert_eq!(inspection.part, "down tube, left");
    let judgement = inspection.inspected().expect("its protocol").judgement();
    for caution in &judgement.cautions {
        page.reads(&caution.text);
    }
    page.find("textbox", "Signed by").fill("Sam Invented");
    page.find("button", "Sign and close").click();
    page.reads("signed by Sam Invented");
    assert!(page.all("button", "Sign and close").is_empty());
}

#[test]
fn it_works_without_a_script_and_goes_back() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::PHONE);
    page.without_script();
    let id = site.inspect("carbon-frame", "A crack?", &[]);
    page.go(&format!("/inspections/{id}"));
    page.reads("Is the place clean and dry");
    goes_through(&page, &["Clean, dry, every side seen"]);
    page.reads("What happened to it?");
    page.find("textbox", "When and how").fill("a stone");
    goes_through(&page, &["Known: rubbing"]);
    page.reads("Is there a line");
    page.find("link", "Back").click();
    page.reads("What happened to it?");
    goes_through(&page, &["A fall, a crash"]);
    page.reads("Is there a line");
    goes_through(&page, &["Jagged, branched"]);
    page.reads("Do not ride this frame");
    page.find("link", "Change: Is there a line").click();
    page.reads("Is there a line");
    goes_through(&page, &["Cannot tell"]);
    page.reads("Could not be told: is there a line");
    page.reads("Do not ride this frame");
}

#[test]
fn a_reading_that_is_none_comes_back_with_what_is_wrong() {
    let Some(site) = Site::open() else { return };
    let answers =
        [("crack", "none"), ("bolts", "tight"), ("heat", "none"), ("match", "match"), ("mark", "none")];
    let id = site.inspect("rotor", "Too thin?", &answers);
    let page = site.page(Screen::PHONE);
    page.go(&format!("/inspections/{id}"));
    page.find("textbox", "Reading, mm").fill("thick");
    page.find("button", "Keep the reading").click();
    page.reads("is no number");
    assert_eq!(page.js("document.querySelector('#reading').value"), "thick");
    page.find("textbox", "Reading, mm").fill("1,42 ± 0.02");
    page.find("button", "Keep the reading").click();
    // 1.42 mm is below 1.5 mm whatever the ± 0.02.
    page.reads("Do not ride");
}

#[test]
fn marks_are_drawn_with_a_finger_and_kept() {
    let Some(site) = Site::open() else { return };
    let id = site.inspect("carbon-frame", "A crack?", &[("clean", "all")]);
    let photo = site.photo(id);
    site.desk.mark_photo(photo, "", "").expect("marks go");
    let page = site.page(Screen::DESK);
    page.go(&format!("/photos/{photo}/marks"));
    // The page may have moved since the last time.
    let at = |x: f64, y: f64| {
        let place = page.js("(box => [box.left, box.top, box.width, box.height])(document.querySelector('#board svg').getBoundingClientRect())");
        let number = |index: usize| place[index].as_f64().expect("a number");
        (number(0) + number(2) * x, number(1) + number(3) * y)
    };
    let drag = |from: (f64, f64), to: (f64, f64)| {
        page.js("document.querySelector('#board').scrollIntoView({ block: 'start', behavior: 'instant' })");
        page.mouse("mouseMoved", at(from.0, from.1), false);
        page.mouse("mousePressed", at(from.0, from.1), true);
        page.mouse("mouseMoved", at(to.0, to.1), true);
        page.mouse("mouseReleased", at(to.0, to.1), false);
    };
    let numbers = |line: &str, count: usize| -> Vec<f64> {
        line.split_whitespace().skip(1).take(count).map(|text| text.parse().expect("a number")).collect()
    };
    let near = |found: &[f64], wanted: &[f64]| {
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.6), "{found:?} against {wanted:?}");
    };
    drag((0.4, 0.5), (0.5, 0.5));
    page.type_in("start of the line");
    page.find("button", "Measure").click();
    drag((0.2, 0.2), (0.6, 0.3));
    page.type_in("35 mm");
    let text = page.js("document.querySelector('#marks').value");
    let lines: Vec<&str> = text.as_str().expect("a text").lines().collect();
    assert!(lines[0].starts_with("circle ") && lines[0].ends_with("start of the line"), "{text}");
    near(&numbers(lines[0], 3), &[40.0, 50.0, 10.0]);
    assert!(lines[1].starts_with("measure ") && lines[1].ends_with("35 mm"), "{text}");
    near(&numbers(lines[1], 4), &[20.0, 20.0, 60.0, 30.0]);
    assert_eq!(page.js("document.querySelectorAll('#board path.line').length"), Value::from(2));
    // What the script drew is what the server draws.
    let drawn =
        page.js("[...document.querySelectorAll('#board path.line')].map(path => path.getBBox().width)");
    page.find("button", "Keep").click();
    page.arrive("the run", |path| path.starts_with("/inspections/"));
    assert_eq!(site.desk.photo_row(photo).expect("a photo").1.marks.lines().count(), 2);
    page.go(&format!("/photos/{photo}/marks"));
    let again =
        page.js("[...document.querySelectorAll('#board path.line')].map(path => path.getBBox().width)");
    for (a, b) in drawn.as_array().expect("a list").iter().zip(again.as_array().expect("a list")) {
        assert!(
            (a.as_f64().expect("a number") - b.as_f64().expect("a number")).abs() < 0.5,
            "{drawn} {again}"
        );
    }
    page.find("button", "Take the last one back").click();
    page.find("button", "Keep").click();
    page.arrive("the run", |path| path.starts_with("/inspections/"));
    assert_eq!(site.desk.photo_row(photo).expect("a photo").1.marks.lines().count(), 1);
}
