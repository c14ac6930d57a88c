//! The message that asks the rider for what is missing.

use knockon_desk::{NewQuestion, QuestionId, Stamp};

use crate::screen::Screen;
use crate::site::Site;

/// A bike of which hardly anything was told.
const RECORD: &str = "name = \"Invented\"\n[chart]\nhead_angle = 65\n[cockpit]\nspacers_below = 20\n";

/// A question about it, with the words that ask for what is missing.
fn lacking(site: &Site) -> (QuestionId, Vec<String>) {
    let stamp = Stamp::now("the tests");
    let bike = site.desk.add_bike(RECORD, "", &stamp).expect("the record can be read");
    let changes = "spacers below 5\nstem length 60";
    let question = NewQuestion {
        asked: "Lower?".into(),
        bike: Some(bike),
        changes: changes.into(),
        ..Default::default()
    };
    let question = site.desk.ask(&question, &stamp).expect("a question is kept");
    let missing = site.desk.answer_of(question, changes).expect("an answer").sheet.missing;
    assert!(missing.len() > 1, "{missing:?}");
    (question, missing.into_iter().map(|fact| fact.ask).collect())
}

#[test]
fn the_message_asks_for_what_is_ticked_and_is_copied_whole() {
    let Some(site) = Site::open() else { return };
    let (question, facts) = lacking(&site);
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    let message = page.find("textbox", "Message to the rider");
    for fact in &facts {
        assert!(message.value().contains(fact), "{fact} is not in {}", message.value());
    }
    page.find("checkbox", &facts[0]).click();
    crate::wait::until("the fact to leave the message", || {
        (!message.value().contains(&facts[0])).then_some(())
    });
    assert!(message.value().contains(&facts[1]));
    page.find("button", "Copy the message").click();
    page.reads("opied");
    assert_eq!(page.copied(), message.value());
}
