use std::collections::HashSet;

use knockon_desk::{DeskError, Format, NewQuestion, QuestionId, Settings, State, Way};
use knockon_sheet::units::LengthUnit;

use crate::{LARCH, Workshop, at, not_found, refused};

fn asked(workshop: &Workshop, changes: &str) -> QuestionId {
    let bike = workshop.bike(LARCH);
    let new = NewQuestion {
        asked: "Shorter stem?".into(),
        bike: Some(bike),
        changes: changes.into(),
        ..NewQuestion::default()
    };
    workshop.ask(&new, &at(0)).unwrap()
}

#[test]
fn a_published_sheet_stays_as_it_was() {
    let workshop = Workshop::new();
    let id = asked(&workshop, "stem length 40");
    assert_eq!(workshop.publication_of(id).unwrap(), None);
    let first = workshop.publish(id, Way::First, &at(1)).unwrap();
    assert_eq!((first.revision, first.revisions, first.question), (1, 1, id));
    assert_eq!(
        (first.title.as_str(), first.bike.as_str(), &first.stamp),
        ("Shorter stem?", "Larch, size M", &at(1))
    );
    assert_eq!(workshop.question(id).unwrap().state, State::Answered);
    let files = |revision: u32| {
        Format::ALL.map(|format| workshop.published_file(&first.code, revision, format).unwrap())
    };
    let before = files(1);
    assert!(before[0].contains("0001 / 1") && before[3].contains("sheet 0001 / 1"));
    assert!(before[1].starts_with("<svg") && before[2].starts_with("# Shorter stem?"));
    assert!(before[4].contains("\"stem length 40\""));
    assert!(before[3].contains("2 Mar 2026, Hedda"));

    // Everything changes under it: the bike, the changes, the settings.
    let bike = workshop.question(id).unwrap().bike.unwrap();
    workshop.save_bike(bike, &LARCH.replace("Larch", "Rowan"), "", 1, &at(2)).unwrap();
    workshop.save_draft(id, "stem length 35", Some("bar rise 40"), &at(2)).unwrap();
    workshop
        .save_settings(
            &Settings { workshop: "Weir & Sons".into(), length: LengthUnit::Inch, ..Settings::default() },
            &at(2),
        )
        .unwrap();
    assert_eq!(files(1), before);
    let second = workshop.publish(id, Way::Instead, &at(3)).unwrap();
    assert_eq!((&second.code, second.revision, second.revisions), (&first.code, 2, 2));
    assert_eq!(second.bike, "Rowan, size M");
    assert_eq!(files(1), before);
    let after = files(2);
    assert!(after[3].contains("0001 / 2") && after[3].contains("Weir & Sons"));
    assert!(after[4].contains("\"bar rise 40\""));
    // The old one knows that it was replaced.
    let old = workshop.publication(&first.code, Some(1)).unwrap();
    assert_eq!((old.revision, old.revisions, old.bike.as_str()), (1, 2, "Larch, size M"));
    assert_eq!(workshop.publication(&first.code, None).unwrap(), second);
    assert_eq!(workshop.publication_of(id).unwrap(), Some(second));
}

#[test]
fn the_file_itself_refuses_to_alter_a_published_sheet() {
    let workshop = Workshop::new();
    let id = asked(&workshop, "stem length 40");
    workshop.publish(id, Way::First, &at(1)).unwrap();
    let raw = rusqlite::Connection::open(workshop.path()).unwrap();
    for sql in [
        "UPDATE sheet_file SET content = ''",
        "DELETE FROM sheet_file",
        "UPDATE sheet SET headline = ''",
        "DELETE FROM sheet",
    ] {
        let told = raw.execute(sql, []).unwrap_err().to_string();
        assert!(told.contains("a published sheet"), "{sql}: {told}");
    }
}

#[test]
fn what_cannot_be_answered_is_not_published() {
    let workshop = Workshop::new();
    let id = workshop.asks("no bike yet");
    refused(workshop.publish(id, Way::First, &at(1)), "no bike");
    refused(workshop.answer_of(id, "stem length 40"), "no bike");
    let id = asked(&workshop, "stem lenght 40");
    let Err(DeskError::Changes(problems)) = workshop.publish(id, Way::First, &at(1)) else {
        panic!("published")
    };
    assert_eq!(problems.len(), 1);
    refused(workshop.publish(id, Way::Instead, &at(1)), "no second way");
    workshop.save_draft(id, "spacers below by -200", None, &at(1)).unwrap();
    assert!(matches!(workshop.publish(id, Way::First, &at(1)), Err(DeskError::Answer(_))));
    assert_eq!(
        (workshop.publication_of(id).unwrap(), workshop.question(id).unwrap().state),
        (None, State::New)
    );
    not_found(workshop.publish(QuestionId(99), Way::First, &at(1)));
    for code in ["", "abcdefgh", "../../etc", "%", "' OR 1=1 --"] {
        not_found(workshop.publication(code, None));
        not_found(workshop.published_file(code, 1, Format::Html));
    }
}

#[test]
fn an_answer_takes_the_workshops_settings() {
    let workshop = Workshop::new();
    let id = asked(&workshop, "");
    let text = LARCH.replace("spacers_below = 20", "spacers_below = { value = 20, with = \"tape\" }");
    let bike = workshop.question(id).unwrap().bike.unwrap();
    workshop.save_bike(bike, &text, "", 1, &at(1)).unwrap();
    let spread = || {
        let answered = workshop.answer_of(id, "spacers below 5").unwrap();
        assert_eq!(answered.question.changes.len(), 1);
        let grip = answered.findings.knock_ons.iter().find(|row| row.quantity.id() == "grip_stack").unwrap();
        (grip.difference_pm.unwrap(), answered.sheet.knock_ons[0].unit.clone(), answered.sheet.title.workshop)
    };
    let (usual, unit, name) = spread();
    assert_eq!((unit.as_str(), name.as_str()), ("mm", ""));
    let own = Settings {
        workshop: "Weir & Sons".into(),
        length: LengthUnit::Inch,
        tolerances: [("tape".to_owned(), 8.0)].into(),
        ..Settings::default()
    };
    workshop.save_settings(&own, &at(2)).unwrap();
    let (wider, unit, name) = spread();
    // The usual tape is good to 2 mm: four times that, and the rest of the tolerance stays.
    assert!(wider > 2.0 * usual, "{wider} {usual}");
    assert_eq!((unit.as_str(), name.as_str()), ("in", "Weir & Sons"));
}

#[test]
fn sheets_are_listed_newest_first_and_found_by_words() {
    let workshop = Workshop::new();
    let first = asked(&workshop, "stem length 40");
    let second = asked(&workshop, "bar rise 40");
    for (id, minute) in [(first, 1), (second, 2), (first, 3)] {
        workshop.publish(id, Way::First, &at(minute)).unwrap();
    }
    let listed = |words: &str| -> Vec<(QuestionId, u32)> {
        let sheets = workshop.publications(words, 0, 10).unwrap();
        sheets.iter().map(|sheet| (sheet.question, sheet.revision)).collect()
    };
    assert_eq!(listed(""), [(first, 2), (second, 1)]);
    assert_eq!(listed("rise"), [(second, 1)]);
    assert_eq!(listed("larch stem"), [(first, 2), (second, 1)]);
    assert_eq!(workshop.publications("", 1, 1).unwrap()[0].question, second);
}

#[test]
fn several_who_publish_at_once_get_revisions_of_their_own() {
    let workshop = Workshop::new();
    let id = asked(&workshop, "stem length 40");
    let revisions: Vec<u32> = std::thread::scope(|scope| {
        let publishers: Vec<_> =
            (0..4).map(|_| scope.spawn(|| workshop.publish(id, Way::First, &at(1)))).collect();
        publishers
            .into_iter()
            .filter_map(|publisher| publisher.join().unwrap().ok())
            .map(|one| one.revision)
            .collect()
    });
    let distinct: HashSet<u32> = revisions.iter().copied().collect();
    assert_eq!(distinct.len(), revisions.len());
    let newest = workshop.publication_of(id).unwrap().unwrap().revisions;
    assert_eq!(newest as usize, revisions.len());
    for revision in 1..=newest {
        let page = workshop.published_file(
            &workshop.publication_of(id).unwrap().unwrap().code,
            revision,
            Format::Text,
        );
        assert!(page.unwrap().contains(&format!("0001 / {revision}")));
    }
}

#[test]
fn addresses_cannot_be_guessed_from_each_other() {
    let workshop = Workshop::new();
    let codes: HashSet<String> = (0..12)
        .map(|_| workshop.publish(asked(&workshop, "stem length 40"), Way::First, &at(1)).unwrap().code)
        .collect();
    assert_eq!(codes.len(), 12);
    for code in &codes {
        assert!(
            code.len() == 8 && code.chars().all(|c| c.is_ascii_digit() || c.is_ascii_lowercase()),
            "{code}"
        );
    }
    // Counting up would share beginnings; drawing eight of 31 letters hardly ever shares four of them.
    let beginnings: HashSet<&str> = codes.iter().map(|code| &code[..4]).collect();
    assert!(beginnings.len() >= 11);
}

#[test]
fn what_others_said_meanwhile_is_not_published() {
    let workshop = Workshop::new();
    let id = asked(&workshop, "stem length 40");
    let seen = workshop.question(id).unwrap().draft;
    workshop.save_draft(id, "bar rise 40", None, &at(1)).unwrap();
    let refused = workshop.publish_draft(id, Way::First, &seen, &at(2));
    assert!(matches!(refused, Err(DeskError::Conflict { what: "question", .. })));
    assert_eq!(workshop.publication_of(id).unwrap(), None);
    let seen = workshop.question(id).unwrap().draft;
    assert_eq!(workshop.publish_draft(id, Way::First, &seen, &at(3)).unwrap().revision, 1);
}
