//! What the page shows: the drawing, every caution, and the digits of the one function that answers.

use axum::http::StatusCode;
use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::sheet::Sheet;
use knockon_trade::{demo, findings::answer};

use crate::bench::{Bench, read};
use crate::form::{encoded, of};

fn sheet(stem: &str) -> Sheet {
    compose(&answer(demo::question(stem)).expect("the demo's questions have answers"), &Heading::default())
}

#[track_caller]
fn holds_all_cautions(page: &str, sheet: &Sheet, place: &str) {
    let text = read(page);
    assert!(!sheet.cautions.is_empty());
    for caution in &sheet.cautions {
        assert!(text.contains(&caution.text), "{place} lost: {}", caution.text);
    }
}

#[test]
fn every_question_of_the_demo_has_its_drawing_its_verdict_and_all_its_cautions() {
    let bench = Bench::empty();
    for (stem, id, lines) in bench.ask_all() {
        let sheet = sheet(stem);
        let query = encoded(&of(&[("do", &lines)]));
        let two = encoded(&of(&[("do", ""), ("or", &lines)]));
        for address in [
            format!("/questions/{id}"),
            format!("/questions/{id}/live?{query}&width=desk"),
            format!("/questions/{id}/live?{query}&width=phone"),
            format!("/questions/{id}?{two}"),
            format!("/questions/{id}/live?{two}"),
        ] {
            let page = bench.page(&address);
            holds_all_cautions(&page, &sheet, &address);
            let drawn = page.contains("class=\"kd kd-desk\"") || page.contains("class=\"kd kd-phone\"");
            assert_eq!(drawn, sheet.picture.is_some(), "{address}");
            assert!(drawn || page.contains("Too little is known of the bike to draw it."), "{address}");
            let text = read(&page);
            assert!(text.contains(&sheet.answer.headline), "{address}: {}", sheet.answer.headline);
            for sentence in &sheet.answer.sentences {
                assert!(text.contains(sentence.as_str()), "{address}: {sentence}");
            }
        }
    }
}

#[test]
fn the_table_has_the_digits_of_the_one_function_that_answers() {
    let bench = Bench::empty();
    for (stem, id, _) in bench.ask_all() {
        let sheet = sheet(stem);
        for address in [format!("/questions/{id}"), format!("/questions/{id}/live")] {
            let page = bench.page(&address);
            let rows: Vec<String> = page.split("<tr").map(|row| read(&format!("<tr{row}"))).collect();
            for knock_on in &sheet.knock_ons {
                let row = rows.iter().find(|row| row.starts_with(&knock_on.label));
                let row = row.unwrap_or_else(|| panic!("{address} has no row {}", knock_on.label));
                for figure in [&knock_on.before, &knock_on.after, &knock_on.difference, &knock_on.plus_minus]
                {
                    assert!(
                        row.contains(figure.as_str()),
                        "{address}, {}: {figure} in {row}",
                        knock_on.label
                    );
                }
            }
        }
    }
}

#[test]
fn live_has_one_drawing_of_the_size_asked_for_and_nothing_of_the_frame() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    for (width, class) in [("desk", "kd kd-desk"), ("phone", "kd kd-phone")] {
        let page = bench.page(&format!("/questions/{id}/live?width={width}"));
        assert_eq!(
            page.matches("class=\"kd kd-desk\"").count() + page.matches("class=\"kd kd-phone\"").count(),
            1
        );
        assert!(page.contains(class) && !page.contains("<html") && !page.contains("<nav"));
    }
    let two = bench.page(&format!("/questions/{id}/live?do=bar+rise+40&or=bar+rise+30"));
    assert_eq!(two.matches("class=\"kd kd-phone\"").count(), 2);
}

#[test]
fn a_slider_shows_what_was_and_what_would_be() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Lower?", Some(bike), "spacers below 5");
    let page = bench.page(&format!("/questions/{id}"));
    // The record of the invented bike has 20 mm of spacers below the stem.
    assert!(page.contains(">was 20<"));
    assert!(page.contains("name=\"v0\" value=\"5\"") && page.contains("type=\"range\""));
    assert!(page.contains("aria-valuetext=\"5 mm, was 20\""));
}

#[test]
fn safety_words_come_first_with_their_reason() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("There is a crack in the frame. Higher bar?", Some(bike), "bar rise 40");
    let page = bench.page(&format!("/questions/{id}"));
    let why = knockon_trade::urgent::why("crack").expect("a crack is urgent");
    let text = read(&page);
    let (reason, title) = (text.find(why).expect("the reason is shown"), page.find("<h1").expect("a title"));
    assert!(
        page.find("crack").is_some_and(|at| at < page.len())
            && reason < text.find("Larch 150").expect("the bike")
    );
    assert!(page.find("notice caution urgent").is_some_and(|notice| notice < title));
    let harmless = bench.ask("Higher bar?", Some(bike), "bar rise 40");
    assert!(!bench.page(&format!("/questions/{harmless}")).contains("notice caution urgent"));
}

#[test]
fn missing_facts_are_asked_for_in_a_message_that_asks_exactly_them() {
    let bench = Bench::empty();
    let mut lacking = 0;
    for (stem, id, _) in bench.ask_all() {
        let sheet = sheet(stem);
        let page = bench.page(&format!("/questions/{id}"));
        let message = page
            .split_once("id=\"message\"")
            .map(|(_, rest)| read(rest.split("</textarea>").next().unwrap_or_default()));
        match message {
            None => assert!(sheet.missing.is_empty(), "{stem} has no message"),
            Some(message) => {
                lacking += 1;
                assert!(message.contains("Hello Mara Invented,"));
                for fact in &sheet.missing {
                    assert!(
                        message.contains(&fact.ask) && message.contains(&fact.how),
                        "{stem}: {}",
                        fact.ask
                    );
                }
                let asked = message.lines().filter(|line| line.starts_with("– ")).count();
                assert_eq!(asked, sheet.missing.len(), "{stem}");
            }
        }
    }
    assert!(lacking > 0);
}

#[test]
fn a_question_without_a_bike_says_so_and_offers_to_choose_one() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Shorter stem?", None, "stem length 40\nstem lenght 3");
    let address = format!("/questions/{id}");
    let page = bench.page(&address);
    assert!(page.contains("This question has no bike"));
    assert!(page.contains(&format!("<option value=\"{bike}\">")));
    // The lines are read all the same, and the live parts are there too.
    assert!(page.contains("name=\"v0\"") && page.contains("Column 1"));
    assert!(bench.page(&format!("{address}/live")).contains("Which bike?"));
    assert_eq!(bench.get("/questions/4711").status, StatusCode::NOT_FOUND);
    assert_eq!(bench.get("/questions/4711/live").status, StatusCode::NOT_FOUND);
}
