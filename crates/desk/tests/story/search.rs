use knockon_desk::{Filter, NewQuestion, QuestionEdit, QuestionId, State, Way};
use proptest::prelude::*;

use crate::{LARCH, Workshop, at};

/// Numbers of the questions that a filter lists.
fn listed(workshop: &Workshop, filter: &Filter) -> Vec<i64> {
    workshop.questions(filter).unwrap().rows.iter().map(|row| row.id.0).collect()
}

fn found(workshop: &Workshop, words: &str) -> Vec<i64> {
    listed(workshop, &Filter { words: words.to_owned(), ..Filter::default() })
}

#[test]
fn what_presses_comes_first_then_the_newest() {
    let workshop = Workshop::new();
    for asked in ["longer fork?", "the fork cracked", "shorter fork?", "my fork snapped", "any fork?"] {
        workshop.asks(asked);
    }
    assert_eq!(listed(&workshop, &Filter::default()), [4, 2, 5, 3, 1]);
    assert_eq!(found(&workshop, "fork"), [4, 2, 5, 3, 1]);
    assert_eq!(listed(&workshop, &Filter { urgent: true, ..Filter::default() }), [4, 2]);
    let urgent = Filter { urgent: true, words: "snapped".to_owned(), ..Filter::default() };
    assert_eq!(listed(&workshop, &urgent), [4]);
    // Answered or set aside, it presses no more, but keeps its mark.
    workshop.set_state(QuestionId(4), State::SetAside, &at(1)).unwrap();
    assert_eq!(listed(&workshop, &Filter::default()), [2, 5, 4, 3, 1]);
    assert_eq!(found(&workshop, "fork"), [2, 5, 4, 3, 1]);
    assert_eq!(workshop.question(QuestionId(4)).unwrap().urgent, ["broken"]);
    let counts = workshop.counts().unwrap();
    assert_eq!(
        (counts.new, counts.waiting, counts.answered, counts.set_aside, counts.urgent),
        (4, 0, 0, 1, 1)
    );
}

#[test]
fn pages_follow_each_other_without_gap_or_repeat() {
    let workshop = Workshop::new();
    for number in 0..23 {
        workshop.asks(if number % 5 == 0 { "fork snapped" } else { "longer fork" });
    }
    for words in ["", "fork"] {
        let all = found(&workshop, words);
        assert_eq!(all.len(), 23);
        let mut paged = Vec::new();
        loop {
            let offset = paged.len() as u32;
            let page = workshop
                .questions(&Filter { words: words.into(), offset, limit: 4, ..Filter::default() })
                .unwrap();
            paged.extend(page.rows.iter().map(|row| row.id.0));
            assert_eq!(page.more, paged.len() < 23);
            if !page.more {
                break;
            }
        }
        assert_eq!(paged, all, "{words}");
    }
    let beyond = workshop.questions(&Filter { offset: 100, ..Filter::default() }).unwrap();
    assert!(beyond.rows.is_empty() && !beyond.more);
}

#[test]
fn every_text_of_a_question_is_searched() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    let new = NewQuestion {
        asked: "Würde ein kürzerer Vorbau helfen? The spacers rattle.".to_owned(),
        rider: "Ágota at the bakery".to_owned(),
        bike: Some(bike),
        changes: "stem length 40".to_owned(),
    };
    let id = workshop.ask(&new, &at(0)).unwrap();
    let other = workshop.asks("Nothing of that kind");
    let edit = QuestionEdit {
        asked: new.asked.clone(),
        rider: new.rider.clone(),
        bike: Some(bike),
        notes: "telephoned twice".to_owned(),
        state: State::New,
    };
    workshop.edit_question(id, &edit, 1, &at(1)).unwrap();
    for words in [
        "wurde KURZERER",
        "agota",
        "spacer",
        "rattling",
        "larch",
        "stem length",
        "telephone",
        "vorb",
        "rattli",
        "size m larch",
        "the \"rattle\"",
        "bakery ágo",
    ] {
        assert_eq!(found(&workshop, words), [id.0], "{words}");
    }
    assert_eq!(found(&workshop, "kind"), [other.0]);
    assert!(found(&workshop, "rattle kind").is_empty());
    // Marks that the index keeps for itself are no words.
    for words in ["zzevery", "zzstate0", "zzbike1", "zzthing"] {
        assert!(found(&workshop, words).is_empty(), "{words}");
    }
    let published = workshop.publish(id, Way::First, &at(2)).unwrap();
    assert_eq!(found(&workshop, &published.headline), [id.0]);
    // A new title of the bike, a new draft: found under the new words only.
    workshop.save_bike(bike, &LARCH.replace("Larch", "Rowan"), "", 1, &at(3)).unwrap();
    workshop.save_draft(id, "bar rise 30", Some("bar width 780"), &at(3)).unwrap();
    for words in ["rowan", "bar rise", "width"] {
        assert_eq!(found(&workshop, words), [id.0], "{words}");
    }
    assert!(found(&workshop, "larch").is_empty());
}

#[test]
fn filters_narrow_together() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    for (asked, on) in [("fork", true), ("fork", false), ("stem", true), ("fork broke", true)] {
        let new = NewQuestion { asked: asked.into(), bike: on.then_some(bike), ..NewQuestion::default() };
        workshop.ask(&new, &at(0)).unwrap();
    }
    workshop.set_state(QuestionId(1), State::Waiting, &at(0)).unwrap();
    let filter = |words: &str, state: Option<State>, urgent: bool, on: bool| {
        let filter =
            Filter { words: words.to_owned(), state, urgent, bike: on.then_some(bike), ..Filter::default() };
        listed(&workshop, &filter)
    };
    assert_eq!(filter("", None, false, true), [4, 3, 1]);
    assert_eq!(filter("", Some(State::New), false, false), [4, 3, 2]);
    assert_eq!(filter("", Some(State::New), false, true), [4, 3]);
    assert_eq!(filter("", Some(State::Waiting), false, true), [1]);
    assert_eq!(filter("", Some(State::New), true, true), [4]);
    assert_eq!(filter("", Some(State::Waiting), true, false), [0; 0]);
    assert_eq!(filter("", None, true, true), [4]);
    assert_eq!(filter("fork", None, false, true), [4, 1]);
    assert_eq!(filter("fork", Some(State::Waiting), false, true), [1]);
}

#[test]
fn an_excerpt_shows_the_hits() {
    let workshop = Workshop::new();
    workshop.asks("A\u{1}fork \u{2}that\n\u{1}creaks");
    let row = workshop.questions(&Filter { words: "creak fork".into(), ..Filter::default() }).unwrap().rows;
    let pieces = row[0].excerpt.clone().unwrap();
    let hits: Vec<&str> = pieces.iter().filter(|(_, hit)| *hit).map(|(text, _)| text.as_str()).collect();
    assert_eq!(hits, ["fork", "creaks"]);
    let whole: String = pieces.iter().map(|(text, _)| text.as_str()).collect();
    assert_eq!(whole, "A fork  that  creaks");
    assert_eq!(workshop.questions(&Filter::default()).unwrap().rows[0].excerpt, None);
}

#[test]
fn nothing_that_is_typed_breaks_the_search() {
    let workshop = Workshop::new();
    workshop.asks("fork and stem");
    let long = "fork ".repeat(20_000);
    let one_word = "f".repeat(100_000);
    for (words, hit) in [
        ("\"", false),
        ("\"fork\"", true),
        ("\"fork", true),
        ("fork\"", true),
        ("\"\"\"", false),
        ("*", false),
        ("fo*", true),
        ("*fork", true),
        ("fork*stem", false),
        ("fork AND stem", true),
        ("AND", true),
        ("OR", false),
        ("NOT fork", false),
        ("NEAR(fork stem)", false),
        ("fork NEAR/2 stem", false),
        ("(fork", true),
        ("fork)", true),
        ("((((", false),
        ("asked:fork", false),
        ("asked : fork", false),
        ("{asked} : fork", false),
        ("-fork", true),
        ("^fork", true),
        ("fork + stem", true),
        ("🚲", false),
        ("🚲 fork", true),
        ("fork 🚲", true),
        ("'", false),
        ("'; DROP TABLE question; --", false),
        ("%", false),
        ("fo_k", false),
        ("\0", false),
        ("fork\0stem", true),
        ("f\u{300}ork", true),
        ("\u{300}", false),
        ("\u{202e}fork", true),
        ("ⓕ", false),
        ("²", false),
        ("\\", false),
        (long.as_str(), true),
        (one_word.as_str(), false),
        ("fork\u{a0}stem", true),
        ("fork\nstem", true),
    ] {
        let shown: String = words.chars().take(40).collect();
        assert_eq!(!found(&workshop, words).is_empty(), hit, "{shown:?}");
        workshop.bikes(words, 0, 5).unwrap();
        workshop.publications(words, 0, 5).unwrap();
        workshop.alike_text(words, 5).unwrap();
    }
    assert_eq!(found(&workshop, ""), [1]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever is typed, the search answers; and what a text is made of finds it.
    #[test]
    fn any_text_can_be_searched(words in "\\PC{0,60}", text in "[a-zäöüéß]{3,12}( [a-z0-9]{1,8}){0,4}") {
        let workshop = Workshop::new();
        workshop.asks(&text);
        workshop.questions(&Filter { words, ..Filter::default() }).unwrap();
        prop_assert_eq!(found(&workshop, &text), [1]);
    }
}
