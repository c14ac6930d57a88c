//! The forms without a script, undo, bad lines, and links.

use axum::http::StatusCode;

use crate::bench::{Bench, read, stamp};
use crate::form::{fields, of, value, with};

#[test]
fn numbers_steps_and_lines_go_round_without_a_script() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30 mm\nspacers below by -5");
    let (address, draft) = (format!("/questions/{id}"), format!("/questions/{id}/draft"));
    let form = fields(&bench.page(&address), "work");
    assert_eq!((value(&form, "v0"), value(&form, "v1")), ("30", "-5"));

    let page = bench.submit(&draft, &with(&form, "v0", "35"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "do"), "bar rise 35 mm\nspacers below by -5");
    let page = bench.submit(&draft, &with(&form, "step", "1:-1"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "do"), "bar rise 35 mm\nspacers below by -6");
    let page = bench.submit(&draft, &with(&form, "add", "stem length 40"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "v2"), "40");
    let page = bench.submit(&draft, &with(&form, "remove", "0"));
    assert_eq!(value(&fields(&page, "work"), "do"), "spacers below by -6\nstem length 40");
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "spacers below by -6\nstem length 40");
}

#[test]
fn a_form_sent_as_it_came_changes_nothing() {
    let bench = Bench::empty();
    for (stem, id, lines) in bench.ask_all() {
        let address = format!("/questions/{id}");
        let form = fields(&bench.page(&address), "work");
        bench.submit(&format!("{address}/draft"), &form);
        let kept = bench.desk.question(id).unwrap();
        assert_eq!((kept.draft.changes, kept.can_undo), (lines, false), "{stem}");
    }
}

#[test]
fn what_was_saved_is_undone_and_redone() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30");
    let address = format!("/questions/{id}");
    let now = |page: &str| value(&fields(page, "work"), "do").to_owned();
    let page = bench.page(&address);
    assert!(page.contains("formaction=\"/questions/1/undo\" disabled"));
    let page = bench.submit(&format!("{address}/draft"), &with(&fields(&page, "work"), "v0", "40"));
    assert!(!page.contains("formaction=\"/questions/1/undo\" disabled"));
    let page = bench.submit(&format!("{address}/undo"), &fields(&page, "work"));
    assert_eq!(now(&page), "bar rise 30");
    let page = bench.submit(&format!("{address}/redo"), &fields(&page, "work"));
    assert_eq!(now(&page), "bar rise 40");
}

#[test]
fn the_script_is_told_what_is_kept() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30");
    let quiet = of(&[("quiet", "1"), ("do", "bar rise 41"), ("or", "bar rise 20")]);
    let kept = bench.post(&format!("/questions/{id}/draft"), &quiet);
    assert_eq!(kept.status, StatusCode::OK);
    assert_eq!(kept.text(), r#"{"do":"bar rise 41","or":"bar rise 20","can_undo":true,"can_redo":false}"#);
    let undone = bench.post(&format!("/questions/{id}/undo"), &of(&[("quiet", "1")]));
    assert_eq!(undone.text(), r#"{"do":"bar rise 30","or":null,"can_undo":false,"can_redo":true}"#);
}

#[test]
fn a_bad_line_is_kept_told_at_its_column_and_mended_and_the_good_ones_are_answered() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    let address = format!("/questions/{id}");
    let form = fields(&bench.page(&address), "work");
    let page = bench.submit(&format!("{address}/draft"), &with(&form, "add", "set stem lenght 40"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "do"), "bar rise 40\nset stem lenght 40");
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "bar rise 40\nset stem lenght 40");
    assert!(page.contains("<mark>set stem lenght</mark>") && read(&page).contains("Column 1: "));
    assert!(read(&page).contains("left out of this answer"));
    assert!(read(&page).contains("Bar rise25 → 40 mm"), "the good line is answered");

    // The line itself can be edited, and where a nearer word is known a button mends it.
    let page = bench.submit(&format!("{address}/draft"), &with(&form, "t1", "stem lenght 40"));
    assert!(read(&page).contains("Make it “stem length 40”"));
    let page = bench.submit(&format!("{address}/draft"), &with(&fields(&page, "work"), "repair", "1"));
    assert_eq!(value(&fields(&page, "work"), "do"), "bar rise 40\nstem length 40");
    assert!(!page.contains("class=\"fault\""));
}

#[test]
fn a_step_that_leaves_the_impossible_is_told_at_its_line() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Lower?", Some(bike), "bar rise 40\nspacers below by -90");
    let page = bench.page(&format!("/questions/{id}"));
    let text = read(&page);
    assert!(text.contains("which cannot be") && text.contains("One line cannot be read"), "{text}");
    assert!(page.contains("name=\"v0\" value=\"40\"") && page.contains("name=\"t1\""));
}

#[test]
fn a_link_reopens_the_same_state_whatever_was_saved_since() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30\nspacers below by +5");
    let page = bench.page(&format!("/questions/{id}"));
    let link = page
        .split_once("id=\"link\"")
        .and_then(|(_, rest)| rest.split('"').nth(1))
        .expect("a link")
        .replace("&amp;", "&");
    bench.desk.save_draft(id, "stem length 60", Some("bar rise 10"), &stamp()).unwrap();
    let form = fields(&bench.page(&link), "work");
    assert_eq!(value(&form, "do"), "bar rise 30\nspacers below by +5");
    assert!(!form.iter().any(|(name, _)| name == "or"), "the second way is of a later state");
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "stem length 60", "looking changes nothing");
}

#[test]
fn far_too_much_is_refused_and_saves_nothing() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30");
    let long = of(&[("do", &"bar rise by 1\n".repeat(2000))]);
    assert_eq!(bench.post(&format!("/questions/{id}/draft"), &long).status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "bar rise 30");
}
