//! No page has a barrier that axe-core can find, whatever the screen.

use serde_json::{Value, json};

use crate::page::Page;
use crate::places;
use crate::screen::Screen;
use crate::site::Site;

const AXE: &str = include_str!("axe/axe.min.js");

/// The rules of WCAG 2.0 to 2.2, levels A and AA.
const RULES: [&str; 4] = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"];

/// What axe finds wrong on the page as it is now, each with the elements concerned.
pub fn barriers(page: &Page) -> Vec<String> {
    page.js(&format!("{AXE}; 0"));
    let options = json!({ "runOnly": { "type": "tag", "values": RULES }, "resultTypes": ["violations"] });
    let found = page.js(&format!("axe.run(document, {options}).then(result => result.violations)"));
    found.as_array().expect("axe answers with a list").iter().map(in_words).collect()
}

fn in_words(violation: &Value) -> String {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let nodes = violation["nodes"].as_array().map(Vec::as_slice).unwrap_or_default();
    let nodes: Vec<String> = nodes
        .iter()
        .map(|node| {
            format!(
                "\n    {}\n      {}",
                text(&node["html"]),
                text(&node["failureSummary"]).replace('\n', " ")
            )
        })
        .collect();
    let [impact, id, help] = ["impact", "id", "help"].map(|key| text(&violation[key]));
    format!("{impact} {id}: {help}{}", nodes.join(""))
}

fn every_page(screen: Screen) {
    let Some(site) = Site::open() else { return };
    let page = site.page(screen);
    let mut found = Vec::new();
    for place in places::every(&site) {
        place.open(&page);
        found.extend(
            barriers(&page).into_iter().map(|barrier| format!("{}, {screen}: {barrier}", place.name)),
        );
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn axe_finds_nothing_on_any_page_at_the_desk() {
    every_page(Screen::DESK);
}

#[test]
fn axe_finds_nothing_on_any_page_on_a_phone() {
    every_page(Screen::PHONE);
}

#[test]
fn axe_finds_nothing_on_any_page_at_the_desk_in_the_dark() {
    every_page(Screen::DESK.dark());
}

#[test]
fn axe_finds_nothing_on_any_page_on_a_phone_in_the_dark() {
    every_page(Screen::PHONE.dark());
}

#[test]
fn axe_does_find_a_barrier() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.go("/questions");
    page.js("document.querySelector('main').insertAdjacentHTML('beforeend', '<img src=\"/assets/none.png\"><input>')");
    page.expect_trouble("404");
    let found = barriers(&page);
    assert!(found.iter().any(|barrier| barrier.starts_with("critical image-alt")), "{found:?}");
    assert!(found.iter().any(|barrier| barrier.starts_with("critical label")), "{found:?}");
}
