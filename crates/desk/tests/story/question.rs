use knockon_desk::{BikeId, DeskError, NewQuestion, QuestionEdit, QuestionId, State};

use crate::{LARCH, Workshop, at, not_found, refused};

#[test]
fn a_question_comes_in_is_edited_and_set_aside() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    let new = NewQuestion {
        asked: " Shorter stem?\nOr higher bar? ".to_owned(),
        rider: "Ines, by telephone ".to_owned(),
        bike: None,
        changes: "stem length 40\nbar rise".to_owned(),
    };
    let id = workshop.ask(&new, &at(3)).unwrap();
    let question = workshop.question(id).unwrap();
    assert_eq!(
        (question.asked.as_str(), question.rider.as_str()),
        ("Shorter stem?\nOr higher bar?", "Ines, by telephone")
    );
    assert_eq!((question.state, question.version, question.came), (State::New, 1, at(3).at));
    // A line with a fault is kept as it was typed.
    assert_eq!((question.draft.number, question.draft.changes.as_str()), (1, "stem length 40\nbar rise"));
    assert!(!question.can_undo && !question.can_redo && question.urgent.is_empty());

    let edit = QuestionEdit {
        asked: "It cracked after a crash".to_owned(),
        rider: String::new(),
        bike: Some(bike),
        notes: "call back".to_owned(),
        state: State::Waiting,
    };
    assert_eq!(workshop.edit_question(id, &edit, 1, &at(4)).unwrap(), 2);
    let question = workshop.question(id).unwrap();
    assert_eq!(question.urgent, ["crack", "crash"]);
    assert_eq!((question.bike, question.notes.as_str(), question.stamp), (Some(bike), "call back", at(4)));
    let late = workshop.edit_question(id, &QuestionEdit::default(), 1, &at(5));
    assert!(matches!(late, Err(DeskError::Conflict { what: "question", now: 2 })), "{late:?}");

    workshop.set_state(id, State::SetAside, &at(6)).unwrap();
    let question = workshop.question(id).unwrap();
    assert_eq!((question.state, question.version), (State::SetAside, 3));
}

#[test]
fn what_is_not_there_or_says_nothing_is_refused() {
    let workshop = Workshop::new();
    refused(workshop.ask(&NewQuestion::default(), &at(0)), "nothing was asked");
    let nowhere = NewQuestion { asked: "?".to_owned(), bike: Some(BikeId(9)), ..NewQuestion::default() };
    not_found(workshop.ask(&nowhere, &at(0)));
    let id = workshop.asks("?");
    let nowhere = QuestionEdit { bike: Some(BikeId(9)), ..QuestionEdit::default() };
    not_found(workshop.edit_question(id, &nowhere, 1, &at(0)));
    refused(
        workshop.ask(&NewQuestion { asked: "x".repeat(70_000), ..NewQuestion::default() }, &at(0)),
        "bytes",
    );
    refused(workshop.save_draft(id, &"x".repeat(70_000), None, &at(0)), "longer than any");
    not_found(workshop.question(QuestionId(99)));
    not_found(workshop.set_state(QuestionId(99), State::New, &at(0)));
    not_found(workshop.save_draft(QuestionId(99), "", None, &at(0)));
    not_found(workshop.undo(QuestionId(99)));
    assert_eq!(workshop.question(id).unwrap().version, 1);
}

#[test]
fn many_questions_come_in_together_or_not_at_all() {
    let workshop = Workshop::new();
    let new = |asked: &str| (NewQuestion { asked: asked.to_owned(), ..NewQuestion::default() }, at(0));
    let ids = workshop.ask_all(&[new("one"), new("two")]).unwrap();
    assert_eq!(ids, [QuestionId(1), QuestionId(2)]);
    refused(workshop.ask_all(&[new("three"), new(" ")]), "nothing was asked");
    assert_eq!(workshop.counts().unwrap().new, 2);
}

#[test]
fn drafts_go_back_and_forth() {
    let workshop = Workshop::new();
    let id = workshop.asks("?");
    let save =
        |changes: &str, instead: Option<&str>| workshop.save_draft(id, changes, instead, &at(1)).unwrap();
    assert_eq!(save("a", None).number, 2);
    assert_eq!(save("a", Some("b")).number, 3);
    assert_eq!(save("a", Some("b")).number, 3, "the same again is no step");
    let ends = || {
        let question = workshop.question(id).unwrap();
        (question.draft.number, question.can_undo, question.can_redo)
    };
    assert_eq!(ends(), (3, true, false));
    assert_eq!(workshop.undo(id).unwrap().instead, None);
    assert_eq!(ends(), (2, true, true));
    assert_eq!(workshop.undo(id).unwrap().changes, "");
    assert_eq!(workshop.undo(id).unwrap().number, 1, "there is nothing before the first");
    assert_eq!(ends(), (1, false, true));
    assert_eq!(workshop.redo(id).unwrap().changes, "a");
    // What was undone is dropped when something new is tried.
    assert_eq!(save("c", None).number, 3);
    assert_eq!(workshop.redo(id).unwrap().changes, "c");
    assert_eq!(ends(), (3, true, false));
}

#[test]
fn five_hundred_steps_are_kept() {
    let workshop = Workshop::new();
    let id = workshop.asks("?");
    for step in 0..510 {
        workshop.save_draft(id, &format!("bar rise {step}"), None, &at(step)).unwrap();
    }
    let mut back = 0;
    while workshop.question(id).unwrap().can_undo {
        workshop.undo(id).unwrap();
        back += 1;
    }
    assert_eq!(back, 499);
}
