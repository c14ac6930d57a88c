//! The suspension moved through its travel, and without a script.

use std::collections::BTreeMap;

use knockon_desk::QuestionId;
use serde_json::json;

use crate::keys::Key;
use crate::page::Page;
use crate::screen::Screen;
use crate::site::Site;
use crate::wait::until;

/// What stands beside the slider, each figure by its name.
pub fn read_out(page: &Page) -> BTreeMap<String, String> {
    let rows = page.js("Object.fromEntries([...document.querySelectorAll('.readout > div')] \
             .map(row => [row.children[0].textContent, row.children[1].textContent]))");
    serde_json::from_value(rows).expect("names and figures")
}

/// Cells of a row of the table through the travel: at full extension, at sag, at full travel.
pub fn through(page: &Page, label: &str) -> Vec<String> {
    let cells = page.js(&format!(
        "[...document.querySelectorAll('.through tr')].filter(row => row.querySelector('th')?.textContent === {}) \
             .flatMap(row => [...row.querySelectorAll('td')].map(cell => \
                 (cell.querySelector('.now') ?? cell.querySelector('span:not(.was):not(.pm)') ?? cell).textContent))",
        json!(label)
    ));
    serde_json::from_value(cells).expect("cells")
}

/// Transforms of every body, the wheel and the shock, and where the marks on the charts are.
fn standing(page: &Page) -> Vec<String> {
    let moving = page.js(
        "[...[...document.querySelectorAll('[data-body], [data-axle], [data-shock], [data-frame]')].map(g => g.getAttribute('transform')), \
          ...[...document.querySelectorAll('.at line')].map(line => line.getAttribute('x1'))]",
    );
    serde_json::from_value(moving).expect("transforms")
}

fn open(site: &Site, page: &Page) -> QuestionId {
    let question = site.ask("The pivot higher?", "Bulrush", "bar rise 30");
    page.go(&format!("/questions/{question}"));
    question
}

/// A figure's digits.
fn digits(figure: &str) -> String {
    figure.chars().filter(|c| c.is_ascii_digit() || ".−".contains(*c)).collect()
}

/// How far below the ground the lowest line of the whole bike is, px.
fn below_ground(page: &Page) -> f64 {
    let far = page.js(
        "(() => { const svg = document.querySelector('.standing svg'); \
         const at = (node, x, y) => new DOMPoint(x, y).matrixTransform(node.getScreenCTM()); \
         const bottom = circle => { const [x, y, r] = ['cx', 'cy', 'r'].map(name => circle[name].baseVal.value); \
             const [middle, edge] = [at(circle, x, y), at(circle, x + r, y)]; \
             return middle.y + Math.hypot(edge.x - middle.x, edge.y - middle.y); }; \
         const lowest = Math.max(...[...svg.querySelectorAll('g.standing circle')].map(bottom)); \
         const ground = svg.querySelector(':scope > path.kd-wide'); const end = ground.getPointAtLength(0); \
         return lowest - at(ground, end.x, end.y).y; })()",
    );
    far.as_f64().expect("a distance")
}

#[test]
fn the_whole_bike_stands_on_the_ground_wherever_the_slider_is() {
    let Some(site) = Site::open() else { return };
    for (bike, change) in [("Bulrush", "bar rise 30"), ("Hornbeam", "shock stroke 60")] {
        let page = site.page(Screen::DESK);
        let question = site.ask("Lower?", bike, change);
        page.go(&format!("/questions/{question}"));
        let slider = page.find("slider", "Travel");
        slider.js("this.focus()");
        let place = || page.js("document.querySelector('.standing [data-frame]').getAttribute('transform')");
        let mut last = place();
        for step in 0..5 {
            assert!(below_ground(&page).abs() < 0.1, "{bike} at {step}: {}", below_ground(&page));
            (0..4).for_each(|_| page.press(Key::Right));
            let now = place();
            assert_ne!(now, last, "{bike}");
            last = now;
        }
    }
}

#[test]
fn the_slider_moves_the_linkage_the_marks_and_the_figures() {
    let Some(site) = Site::open() else { return };
    for screen in [Screen::DESK, Screen::PHONE] {
        let page = site.page(screen);
        open(&site, &page);
        let slider = page.find("slider", "Travel");
        assert_eq!(slider.attribute("aria-valuetext"), "0\u{a0}mm of 150, full extension");
        let before = standing(&page);
        slider.js("this.focus()");
        page.press(Key::Right);
        let one = standing(&page);
        assert_eq!(before.len(), one.len());
        // The front triangle stays in its own axes; three drawings of it, and nothing else, are where they were.
        let same = before.iter().zip(&one).filter(|(before, after)| before == after).count();
        assert_eq!(same, 3, "{before:?} {one:?}");
        assert_eq!(slider.value(), "1");

        page.press(Key::End);
        assert_eq!(slider.attribute("aria-valuetext"), "150\u{a0}mm of 150, full travel");
        let figures = read_out(&page);
        for label in
            ["Leverage ratio", "Anti-squat", "Pedal kickback", "Head angle", "Trail", "Bottom bracket height"]
        {
            let table = through(&page, label);
            assert_eq!(
                digits(&figures[label]),
                digits(table[2].split('±').next().unwrap_or_default()),
                "{label}: {table:?}"
            );
        }
        // The mark stands at the chart's right end, where the curve ends.
        let off = page.js(
            "Math.max(...[...document.querySelectorAll('g.chart')].map(chart => \
                 Math.abs(chart.dataset.x1 - chart.nextElementSibling.querySelector('line').getAttribute('x1'))))",
        );
        assert!(off.as_f64().expect("a distance") < 0.1, "{off}");

        page.find("button", "At sag").click();
        assert!(
            slider.attribute("aria-valuetext").ends_with(", at sag"),
            "{}",
            slider.attribute("aria-valuetext")
        );
        let sag = digits(&through(&page, "Vertical travel")[1]);
        assert!(slider.attribute("aria-valuetext").starts_with(&format!("{sag}\u{a0}mm")));
    }
}

#[test]
fn the_wheel_is_drawn_where_the_travel_says() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    open(&site, &page);
    // Height of the axle above the bottom bracket, mm, from the pixels and the drawing's own scale.
    let height = || {
        page.js(
            "(() => { const svg = [...document.querySelectorAll('figure.linkage svg')].find(svg => svg.getClientRects().length); \
               const at = what => { const m = svg.querySelector(what).getScreenCTM(); return m.f; }; \
               const scale = svg.querySelector('g.linkage').getScreenCTM().a; \
               return (at('[data-ring]') - at('[data-axle]')) / scale; })()",
        )
        .as_f64()
        .expect("a height")
    };
    let start = height();
    // 30 mm of drop, as the record has it.
    assert!((start - 30.0).abs() < 1.5, "{start}");
    page.find("slider", "Travel").js("this.focus()");
    page.press(Key::End);
    let travel: f64 = digits(&through(&page, "Vertical travel")[2]).parse().expect("a number");
    assert!((height() - start - travel).abs() < 0.6, "{start} {} {travel}", height());
}

#[test]
fn the_place_is_kept_when_an_answer_comes() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    open(&site, &page);
    let slider = page.find("slider", "Travel");
    slider.js("this.focus()");
    for _ in 0..7 {
        page.press(Key::Right);
    }
    let (place, figures) = (standing(&page), read_out(&page));
    page.find("textbox", "Say a change").fill("point main pivot up by 6");
    page.press(Key::Enter);
    until("another leverage", || (read_out(&page)["Anti-squat"] != figures["Anti-squat"]).then_some(()));
    assert_eq!(page.find("slider", "Travel").value(), "7");
    assert_ne!(standing(&page), place);
    // The drawing stands where the slider does: the first body that moves is not at full extension.
    let moved = page.js(
        "(() => { const part = document.querySelector('.travel'), motion = JSON.parse(part.dataset.travel); \
           const drawn = part.querySelector('[data-body=\"1\"]').getAttribute('transform').match(/[-\\d.e]+/g).map(Number); \
           const [cos, sin, x, y] = motion.bodies[7][1]; \
           return Math.max(...[cos, sin, -sin, cos, x, y].map((value, index) => Math.abs(value - drawn[index]))); })()",
    );
    assert!(moved.as_f64().expect("a number") < 1e-3, "{moved}");
}

#[test]
fn who_wants_no_motion_goes_from_station_to_station() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.prefer(&[("prefers-reduced-motion", "reduce")]);
    open(&site, &page);
    let said = || page.find("slider", "Travel").attribute("aria-valuetext");
    let go = page.find("button", "Go through the travel");
    for end in [", at sag", ", full travel", ", full extension"] {
        go.click();
        assert!(said().ends_with(end), "{} rather than {end}", said());
    }
    assert_eq!(go.text(), "Go through the travel", "nothing runs");

    page.prefer(&[("prefers-reduced-motion", "no-preference")]);
    go.click();
    until("the linkage to move by itself", || (page.find("slider", "Travel").value() != "0").then_some(()));
    page.find("button", "Stop").click();
    let place = standing(&page);
    page.js("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))");
    assert_eq!(standing(&page), place);
}

#[test]
fn nothing_that_is_drawn_lies_over_a_caution() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    let question = site.ask("The pivot higher?", "Bulrush", "point main pivot up by 4");
    page.go(&format!("/questions/{question}"));
    page.find("application", "main pivot");
    // The linkage, and then the slider itself, at the place of the strip along the lower edge.
    for part in ["figure.linkage", ".travel-tools", ".handle"] {
        let covered = page.js(&format!(
            "(() => {{ const box = document.querySelector('.caution-box').getBoundingClientRect(); \
               const part = document.querySelector('{part}').getBoundingClientRect(); \
               scrollBy({{ top: part.top + part.height / 2 - (box.top + box.height / 2), behavior: 'instant' }}); \
               const found = []; \
               for (let x = box.left + 5; x < box.right; x += 20) for (let y = box.top + 5; y < box.bottom; y += 10) {{ \
                 const top = document.elementFromPoint(x, y); \
                 if (!top?.closest('.caution-box')) found.push(top?.outerHTML.slice(0, 100)); \
               }} \
               return found; }})()"
        ));
        assert_eq!(covered, json!([]), "{part}");
    }
}

#[test]
fn a_bike_without_a_rear_suspension_has_no_slider() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Sedge", "bar rise 30");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("slider", "Bar rise");
    assert!(page.all("slider", "Travel").is_empty());
    assert!(page.all("heading", "Through the travel").is_empty());
}

#[test]
fn without_a_script_the_table_and_the_drawing_are_there() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::PHONE);
    page.without_script();
    open(&site, &page);
    page.find("heading", "Through the travel");
    page.find("table", "Through the travel");
    page.reads("Leverage ratio");
    assert!(page.names("slider").is_empty() && page.names("application").is_empty());
    assert!(page.all("button", "At sag").is_empty());
}
