use knockon_desk::{Filter, State};

use crate::{Workshop, at};

#[test]
fn the_demo_fills_an_empty_workshop_once() {
    let workshop = Workshop::demo();
    let all = Filter { limit: 100, ..Filter::default() };
    let page = workshop.questions(&all).unwrap();
    assert_eq!(page.rows.len(), knockon_trade::demo::questions().len());
    assert_eq!(workshop.bikes("", 0, 100).unwrap().len(), knockon_trade::demo::bikes().len());
    assert_eq!(workshop.settings().unwrap().workshop, knockon_trade::demo::WORKSHOP);
    let counts = workshop.counts().unwrap();
    assert!(counts.new > 0 && counts.waiting > 0 && counts.set_aside > 0 && counts.urgent > 0, "{counts:?}");
    assert_eq!(counts.answered as usize, workshop.publications("", 0, 100).unwrap().len());
    assert!((2..=3).contains(&counts.answered));
    assert!(!workshop.load_demo(&at(1)).unwrap(), "not twice");
    assert_eq!(workshop.questions(&all).unwrap(), page);
}

#[test]
fn the_demos_questions_came_in_over_the_last_weeks_in_the_order_of_their_numbers() {
    let workshop = Workshop::demo();
    let mut rows = workshop.questions(&Filter { limit: 100, ..Filter::default() }).unwrap().rows;
    rows.sort_by_key(|row| row.id);
    assert!(rows.windows(2).all(|pair| pair[0].came < pair[1].came));
    let weeks = jiff::SignedDuration::from_hours(5 * 7 * 24);
    assert!(rows.iter().all(|row| row.came < at(0).at && row.came > at(0).at - weeks));
    // The one to show first is the newest.
    let first = knockon_trade::demo::question(knockon_trade::demo::questions()[0].0);
    assert_eq!(rows.last().unwrap().asked, first.asked);
    assert!(rows.iter().any(|row| row.rider.is_empty()) && rows.iter().any(|row| !row.rider.is_empty()));
}

#[test]
fn every_question_of_the_demo_gives_its_answer_on_the_desk() {
    let workshop = Workshop::demo();
    for row in workshop.questions(&Filter { limit: 100, ..Filter::default() }).unwrap().rows {
        let question = workshop.question(row.id).unwrap();
        let answered = workshop.answer_of(row.id, &question.draft.changes).unwrap();
        assert_eq!(answered.sheet.title.workshop, knockon_trade::demo::WORKSHOP);
        assert_eq!(row.answer.is_some(), row.state == State::Answered);
    }
}

#[test]
fn a_workshop_that_holds_anything_gets_no_demo() {
    let workshop = Workshop::new();
    workshop.asks("mine");
    assert!(!workshop.load_demo(&at(0)).unwrap());
    assert_eq!(workshop.counts().unwrap().new, 1);
}
