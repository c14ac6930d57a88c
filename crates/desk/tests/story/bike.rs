use knockon_desk::{BikeId, DeskError, NewQuestion};

use crate::{LARCH, Workshop, at, not_found};

#[test]
fn a_bike_has_a_history_and_any_version_comes_back() {
    let workshop = Workshop::new();
    let id = workshop.bike(LARCH);
    let longer = LARCH.replace("length = 50", "length = 60");
    assert_eq!(workshop.save_bike(id, &longer, " new stem ", 1, &at(5)).unwrap(), 2);
    // The same text again is no new version, whatever was edited.
    assert_eq!(workshop.save_bike(id, &longer, "again", 1, &at(6)).unwrap(), 2);
    assert_eq!(workshop.restore_bike(id, 1, &at(7)).unwrap(), 3);

    let told: Vec<(u32, String, String)> = workshop
        .bike_history(id)
        .unwrap()
        .into_iter()
        .map(|version| (version.number, version.why, version.text))
        .collect();
    let expected = [(3, "version 1 restored", LARCH), (2, "new stem", &longer), (1, "", LARCH)];
    assert_eq!(told, expected.map(|(number, why, text)| (number, why.to_owned(), text.to_owned())));
    assert_eq!(workshop.desk.bike(id).unwrap().stamp, at(7));
    assert_eq!(workshop.bike_version(id, 2).unwrap().record().unwrap().title(), "Larch, size M");
    not_found(workshop.bike_version(id, 4));
    not_found(workshop.restore_bike(id, 4, &at(8)));
}

#[test]
fn an_older_edit_does_not_overwrite_a_newer_one() {
    let workshop = Workshop::new();
    let id = workshop.bike(LARCH);
    let [one, other] = ["A", "B"].map(|name| LARCH.replace("Larch", name));
    workshop.save_bike(id, &one, "", 1, &at(1)).unwrap();
    let late = workshop.save_bike(id, &other, "", 1, &at(2));
    assert!(matches!(late, Err(DeskError::Conflict { what: "bike", now: 2 })), "{late:?}");
    assert_eq!(workshop.desk.bike(id).unwrap().text, one);
}

#[test]
fn a_faulty_record_is_not_kept_and_every_fault_is_told() {
    let workshop = Workshop::new();
    let faulty = "name = 5\n[chart]\nhead_angel = 65\n";
    let Err(DeskError::Record(problems)) = workshop.add_bike(faulty, "", &at(0)) else { panic!("kept") };
    assert_eq!(problems.iter().map(|problem| problem.line_column().0).collect::<Vec<_>>(), [1, 3]);
    assert!(workshop.bikes("", 0, 10).unwrap().is_empty());
    let id = workshop.bike(LARCH);
    assert!(matches!(workshop.save_bike(id, faulty, "", 1, &at(1)), Err(DeskError::Record(_))));
    assert_eq!(workshop.bike_history(id).unwrap().len(), 1);
}

#[test]
fn bikes_are_listed_by_last_touch_and_found_by_words() {
    let workshop = Workshop::new();
    let first = workshop.bike(LARCH);
    let second = workshop
        .add_bike("name = \"Écrin\"\nkind = \"hardtail\"\nnote = \"squeaks in rain\"\n", "", &at(1))
        .unwrap();
    let titles = |words: &str| -> Vec<String> {
        workshop.bikes(words, 0, 10).unwrap().into_iter().map(|row| row.title).collect()
    };
    assert_eq!(titles(""), ["Écrin", "Larch, size M"]);
    workshop.save_bike(first, &LARCH.replace("50", "55"), "", 1, &at(2)).unwrap();
    assert_eq!(titles(" "), ["Larch, size M", "Écrin"]);
    assert_eq!(titles("ecr"), ["Écrin"]);
    assert_eq!(titles("hardtail"), ["Écrin"]);
    assert_eq!(titles("squeaking"), ["Écrin"]);
    assert_eq!(titles("size larch"), ["Larch, size M"]);
    assert_eq!(titles("🚲"), [""; 0]);
    let new = NewQuestion { asked: "?".to_owned(), bike: Some(second), ..NewQuestion::default() };
    workshop.ask(&new, &at(3)).unwrap();
    let rows = workshop.bikes("", 1, 1).unwrap();
    assert_eq!((rows.len(), rows[0].questions, rows[0].version), (1, 1, 1));
    assert_eq!((rows[0].id, rows[0].kind.as_deref(), &rows[0].stamp), (second, Some("hardtail"), &at(1)));
}

#[test]
fn nobody_is_home_at_a_wrong_number() {
    let workshop = Workshop::new();
    not_found(workshop.desk.bike(BikeId(7)));
    not_found(workshop.bike_history(BikeId(7)));
    not_found(workshop.save_bike(BikeId(7), LARCH, "", 1, &at(0)));
}
