use knockon_desk::{NewQuestion, QuestionId, Way};

use crate::{LARCH, Workshop, at};

/// A workshop with answered questions, and one that nobody answered.
fn workshop() -> Workshop {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    for (asked, changes) in [
        ("Would a shorter stem make it less nervous?", "stem length 40"),
        ("Longer fork, stem down, higher bar?", "spacers below 5\nbar rise 40"),
        ("Does a 2.5 tyre fit at the back?", "rear tyre 64-622"),
        ("My hands go numb, more spacers under the stem?", "spacers below by +10"),
        ("Wide bar from my old bike", "bar width 800"),
        ("Are shorter cranks kinder to my knees?", "crank length 165"),
        ("Would flared drops help on gravel?", "bar width 780"),
    ] {
        let new = NewQuestion {
            asked: asked.into(),
            bike: Some(bike),
            changes: changes.into(),
            ..NewQuestion::default()
        };
        let id = workshop.ask(&new, &at(0)).unwrap();
        workshop.publish(id, Way::First, &at(1)).unwrap();
    }
    workshop.asks("Numb hands, more spacers under the stem, not answered yet");
    workshop
}

fn alike(workshop: &Workshop, text: &str) -> Vec<i64> {
    workshop.alike_text(text, 3).unwrap().iter().map(|row| row.id.0).collect()
}

#[test]
fn the_answered_question_that_says_the_same_comes_first() {
    let workshop = workshop();
    assert_eq!(alike(&workshop, "Numb hands. Would more spacers help?").first(), Some(&4));
    assert_eq!(alike(&workshop, "does a wider tyre fit the back").first(), Some(&3));
    assert_eq!(alike(&workshop, "My knees hurt, are short cranks the thing?"), [6]);
    let row = &workshop.alike_text("Numb hands. More spacers?", 1).unwrap()[0];
    assert!(row.answer.is_some() && row.excerpt.is_none());
}

#[test]
fn nonsense_resembles_nothing() {
    let workshop = workshop();
    for text in [
        "",
        "?",
        "the",
        "fork",
        "Do you sell gift vouchers for my nephew's birthday?",
        "When are you open on Saturday, and is there a place to park?",
        "My llama ate the stem of a geranium, what now, should somebody call a vet?",
        "🚲 🚲 🚲",
        "\" OR asked:stem",
    ] {
        assert_eq!(alike(&workshop, text), [0; 0], "{text}");
    }
}

#[test]
fn the_same_parts_make_questions_alike_without_a_shared_word() {
    let workshop = workshop();
    let id = workshop.asks("Pins and needles after an hour");
    assert!(workshop.alike(id, 3).unwrap().is_empty());
    workshop.save_draft(id, "spacers below by +5", None, &at(2)).unwrap();
    let alike: Vec<QuestionId> = workshop.alike(id, 3).unwrap().iter().map(|row| row.id).collect();
    assert_eq!(alike, [QuestionId(4)]);
    // A question does not resemble itself, answered or not.
    assert!(workshop.alike(QuestionId(4), 5).unwrap().iter().all(|row| row.id != QuestionId(4)));
}

#[test]
fn the_demos_question_is_found_that_was_answered_before() {
    let workshop = Workshop::demo();
    let page = workshop.questions(&knockon_desk::Filter::default()).unwrap();
    let id = |text: &str| page.rows.iter().find(|row| row.asked.starts_with(text)).unwrap().id;
    let (again, first) = (id("Higher bar but stem down"), id("Longer fork, stem down"));
    workshop.publish(first, Way::First, &at(1)).unwrap();
    assert_eq!(workshop.alike(again, 3).unwrap()[0].id, first);
}
