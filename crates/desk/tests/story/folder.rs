use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use knockon_desk::{
    DeskError, Filter, Language, LengthUnit, NewQuestion, QuestionEdit, QuestionId, Role, Settings, State,
    Way,
};
use proptest::prelude::*;

use crate::photo::jpeg_with_gps;
use crate::{LARCH, Workshop, at, refused};

/// Every file of a folder with its content.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                found.insert(path.strip_prefix(folder).unwrap().to_owned(), fs::read(&path).unwrap());
            }
        }
    }
    found
}

/// Exports, takes in to a new workshop, exports that, and compares.
fn round_trip(workshop: &Workshop) -> (Workshop, BTreeMap<PathBuf, Vec<u8>>) {
    let first = workshop.beside("first");
    let mut told = Vec::new();
    workshop.export(&first, |done, total| told.push((done, total))).unwrap();
    assert!(
        told.first().is_some_and(|(done, _)| *done == 0)
            && told.last().is_some_and(|(done, total)| done == total)
    );
    let other = Workshop::new();
    let mut told = Vec::new();
    other.import_folder(&first, &at(9), |done, total| told.push((done, total))).unwrap();
    assert!(told.last().is_some_and(|(done, total)| done == total));
    let second = other.beside("second");
    other.export(&second, |_, _| {}).unwrap();
    let (first, second) = (files(&first), files(&second));
    assert_eq!(first.keys().collect::<Vec<_>>(), second.keys().collect::<Vec<_>>());
    for (path, content) in &first {
        assert!(*content == second[path], "{} differs", path.display());
    }
    (other, first)
}

/// A workshop with something of everything.
fn full() -> Workshop {
    let workshop = Workshop::demo();
    let own = Settings {
        workshop: "Weir & \"Sons\"".into(),
        drawn_by: "Hedda".into(),
        length: LengthUnit::Inch,
        label_language: Language::French,
        tolerances: [("tape".to_owned(), 1.25)].into(),
    };
    workshop.save_settings(&own, &at(1)).unwrap();
    let bike = workshop.bike(LARCH);
    workshop.bike(LARCH);
    workshop.save_bike(bike, &LARCH.replace("50", "55"), "new stem", 1, &at(2)).unwrap();
    workshop.bike("name = \"ÇÇ – λ\"\n");
    workshop.bike("name = \"con\"\n");
    let id = QuestionId(3);
    let version = workshop.question(id).unwrap().version;
    let edit = QuestionEdit {
        asked: "  Two\nlines \"and\" '''quotes''' \\ \u{7f} end".into(),
        rider: "Ágota".into(),
        bike: Some(bike),
        notes: "\n first line\r\n\tsecond".into(),
        state: State::Waiting,
    };
    workshop.edit_question(id, &edit, version, &at(3)).unwrap();
    workshop.save_draft(id, "stem length 40\n\n# a thought  ", Some("bar rise 40\n"), &at(4)).unwrap();
    workshop.publish(id, Way::Instead, &at(5)).unwrap();
    workshop.save_draft(id, "stem length 45", Some(""), &at(6)).unwrap();
    workshop.publish(id, Way::First, &at(7)).unwrap();
    let photo = workshop.add_photo(id, &jpeg_with_gps(), "the crack", &at(8)).unwrap();
    workshop.add_photo(id, &jpeg_with_gps(), "", &at(8)).unwrap();
    workshop.remove_photo(photo).unwrap();
    workshop.add_account("Hedda", "four words of mine", Role::Answer, &at(0)).unwrap();
    workshop
}

#[test]
fn a_folder_taken_in_and_written_again_is_the_same_folder() {
    let workshop = full();
    let (other, written) = round_trip(&workshop);
    let all = Filter { limit: 100, ..Filter::default() };
    assert_eq!(other.questions(&all).unwrap(), workshop.questions(&all).unwrap());
    assert_eq!(other.bikes("", 0, 100).unwrap(), workshop.bikes("", 0, 100).unwrap());
    assert_eq!(other.settings().unwrap(), workshop.settings().unwrap());
    assert_eq!(other.publications("", 0, 100).unwrap(), workshop.publications("", 0, 100).unwrap());
    // Found by its words as before.
    let words = Filter { words: "agota quotes rise".into(), ..Filter::default() };
    assert_eq!(
        other.questions(&Filter { words: "agota quotes".into(), ..words.clone() }).unwrap().rows.len(),
        1
    );
    assert!(other.questions(&words).unwrap().rows.is_empty(), "the second way is empty now");
    // Nobody's way in is passed on.
    assert!(!other.has_accounts().unwrap());
    let texts: String = written.values().map(|content| String::from_utf8_lossy(content)).collect();
    assert!(!texts.contains("argon2"));
    // New ones go on counting.
    let next = other.asks("next");
    assert_eq!(
        next.0,
        workshop
            .counts()
            .map(|counts| counts.new + counts.waiting + counts.answered + counts.set_aside)
            .map(i64::from)
            .unwrap()
            + 1
    );
}

#[test]
fn the_files_are_for_people() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    let new = NewQuestion {
        asked: "Shorter stem?".into(),
        rider: "Ines".into(),
        bike: Some(bike),
        changes: "stem length 40\nbar rise 40".into(),
    };
    workshop.ask(&new, &at(0)).unwrap();
    let folder = workshop.beside("folder");
    workshop.export(&folder, |_, _| {}).unwrap();
    let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
    assert_eq!(read("bikes/larch-size-m.toml"), LARCH);
    let expected = "asked = \"Shorter stem?\"\nrider = \"Ines\"\nbike = \"larch-size-m\"\nchanges = [\n    \"stem length 40\",\n    \"bar rise 40\",\n]\ntried_at = \"2026-03-02T12:00:00Z\"\ntried_by = \"Hedda\"\nstate = \"new\"\ncame = \"2026-03-02T12:00:00Z\"\nat = \"2026-03-02T12:00:00Z\"\nwho = \"Hedda\"\n";
    assert_eq!(read("questions/0001.toml"), expected);
}

#[test]
fn an_export_is_brought_up_to_date_and_other_files_stay() {
    let workshop = full();
    let folder = workshop.beside("folder");
    workshop.export(&folder, |_, _| {}).unwrap();
    fs::create_dir(folder.join(".git")).unwrap();
    fs::write(folder.join(".git/config"), "mine").unwrap();
    fs::write(folder.join("bikes/README"), "mine").unwrap();
    let photo = workshop.photos(QuestionId(3)).unwrap()[0].id;
    assert!(folder.join(format!("photos/{photo:04}.jpg")).is_file());
    // The demo has a picture as well.
    for question in (1..=60).map(QuestionId) {
        for row in workshop.photos(question).unwrap_or_default() {
            workshop.remove_photo(row.id).unwrap();
        }
    }
    let bike =
        workshop.bikes("Larch, size M", 0, 9).unwrap().into_iter().find(|row| row.version == 2).unwrap();
    workshop.save_bike(bike.id, "name = \"Rowan\"\n", "", 2, &at(9)).unwrap();
    workshop.export(&folder, |_, _| {}).unwrap();
    assert!(!folder.join("photos").exists(), "an empty folder goes too");
    assert!(folder.join("bikes/rowan.toml").is_file() && folder.join("bikes/rowan/0002.toml").is_file());
    assert!(!folder.join("bikes/larch-size-m-2.toml").exists());
    assert_eq!(fs::read_to_string(folder.join(".git/config")).unwrap(), "mine");
    assert_eq!(fs::read_to_string(folder.join("bikes/README")).unwrap(), "mine");
    let strange = workshop.beside("strange");
    fs::create_dir(&strange).unwrap();
    fs::write(strange.join("letter"), "mine").unwrap();
    refused(workshop.export(&strange, |_, _| {}), "other files");
}

#[test]
fn the_files_of_a_hand_made_workshop_are_taken_in() {
    let workshop = Workshop::new();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    workshop.import_folder(&demo, &at(0), |_, _| {}).unwrap();
    let first = workshop.question(QuestionId(1)).unwrap();
    assert_eq!((first.asked.as_str(), first.came), ("Longer fork, stem down, higher bar?", at(0).at));
    assert!(workshop.answer_of(QuestionId(1), &first.draft.changes).is_ok());
    assert_eq!(workshop.bikes("", 0, 100).unwrap().len(), knockon_trade::demo::bikes().len());
    refused(workshop.import_folder(&demo, &at(0), |_, _| {}), "something in this workshop");
}

/// A file's name, its faulty content, a part of the message, and the fault's line and column.
type Case = (String, Vec<u8>, &'static str, (usize, usize));

#[test]
fn faults_name_file_line_and_column_and_nothing_is_taken_in() {
    let workshop = full();
    let folder = workshop.beside("folder");
    workshop.export(&folder, |_, _| {}).unwrap();
    let sound = files(&folder);
    let code = workshop.publication_of(QuestionId(3)).unwrap().unwrap().code;
    let photo = workshop.photos(QuestionId(3)).unwrap()[0].id;
    let cases: Vec<Case> = vec![
        ("workshop.toml".into(), b"form = 3\n".to_vec(), "form 3", (1, 8)),
        ("workshop.toml".into(), b"form = 1\nlength = \"ell\"\n".to_vec(), "unknown variant", (2, 10)),
        (
            "questions/0001.toml".into(),
            b"asked = \"a\"\nbike = \"nobody\"\n".to_vec(),
            "no bike `nobody`",
            (2, 8),
        ),
        ("questions/0001.toml".into(), b"asked = \"a\"\nstate = \"lost\"\n".to_vec(), "no state", (2, 9)),
        ("questions/0001.toml".into(), b"asked = \"a\"\ncame = \"soon\"\n".to_vec(), "year", (2, 8)),
        ("questions/0001.toml".into(), b"asked = \"a\"\n\ncolour = 1\n".to_vec(), "unknown field", (3, 1)),
        ("questions/0001.toml".into(), b"asked = \"\"\n".to_vec(), "nothing was asked", (1, 1)),
        ("questions/0001.toml".into(), b"asked = \n".to_vec(), "", (1, 9)),
        ("questions/x.toml".into(), b"asked = \"a\"\n".to_vec(), "must begin with", (1, 1)),
        ("questions/3-again.toml".into(), b"asked = \"a\"\n".to_vec(), "number 3 already", (1, 1)),
        ("bikes/larch-size-m.toml".into(), b"[chart]\nhead_angle = 165\n".to_vec(), "", (2, 14)),
        (
            "bikes/larch-size-m/history.toml".into(),
            b"bike = 10\nversion = []\n".to_vec(),
            "at least one",
            (1, 1),
        ),
        (format!("photos/{photo:04}.jpg"), b"<svg onload=alert(1)>".to_vec(), "neither a JPEG", (1, 1)),
        ("photos/0099.jpg".into(), jpeg_with_gps(), "no question names", (1, 1)),
        (
            format!("sheets/{code}/2.toml"),
            fs::read(folder.join(format!("sheets/{code}/1.toml"))).unwrap().repeat(2),
            "duplicate key",
            (0, 0),
        ),
        ("questions/0002.toml".into(), vec![0xff, 0xfe, 0x00], "no UTF-8", (1, 1)),
    ];
    let mut wrong = Vec::new();
    for (name, content, message, place) in cases {
        fs::write(folder.join(&name), content).unwrap();
        let other = Workshop::new();
        let result = other.import_folder(&folder, &at(0), |_, _| {});
        let Err(DeskError::Folder(problems)) = result else { panic!("{name}: {result:?}") };
        let problem = &problems[0];
        let placed = place == (0, 0) || problem.line_column() == place;
        if !Path::new(problem.source_name()).ends_with(&name) || !problem.message.contains(message) || !placed
        {
            wrong.push(format!(
                "{}, {:?}: {}",
                problem.source_name(),
                problem.line_column(),
                problem.message
            ));
        }
        assert!(other.questions(&Filter::default()).unwrap().rows.is_empty(), "{name}");
        assert!(other.bikes("", 0, 9).unwrap().is_empty(), "{name}");
        match sound.get(Path::new(&name)) {
            Some(before) => fs::write(folder.join(&name), before).unwrap(),
            None => fs::remove_file(folder.join(&name)).unwrap(),
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // A sheet that is missing in the middle, and one under an address that is none.
    let other = Workshop::new();
    fs::rename(folder.join(format!("sheets/{code}/1.toml")), workshop.beside("away")).unwrap();
    let Err(DeskError::Folder(problems)) = other.import_folder(&folder, &at(0), |_, _| {}) else {
        panic!("taken in")
    };
    assert!(problems[0].message.contains("revision 1"), "{}", problems[0].message);
    refused(other.import_folder(&workshop.beside("nowhere"), &at(0), |_, _| {}), "holds no workshop");
}

#[test]
fn a_photo_with_metadata_loses_them_on_the_way_in() {
    let workshop = full();
    let folder = workshop.beside("folder");
    workshop.export(&folder, |_, _| {}).unwrap();
    let photo = workshop.photos(QuestionId(3)).unwrap()[0].id;
    fs::write(folder.join(format!("photos/{photo:04}.jpg")), jpeg_with_gps()).unwrap();
    let other = Workshop::new();
    other.import_folder(&folder, &at(0), |_, _| {}).unwrap();
    let (_, bytes) = other.photo(photo).unwrap();
    assert!(!bytes.windows(4).any(|window| window == b"Exif"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Whatever is typed into a question comes through the files unharmed.
    #[test]
    fn any_text_comes_through(asked in "\\PC{1,40}x", notes in any::<String>(), changes in any::<String>(), instead in any::<Option<String>>()) {
        let workshop = Workshop::new();
        let id = workshop.asks(&asked);
        let edit = QuestionEdit { asked, notes, ..QuestionEdit::default() };
        workshop.edit_question(id, &edit, 1, &at(1)).unwrap();
        workshop.save_draft(id, &changes, instead.as_deref(), &at(2)).unwrap();
        let (other, _) = round_trip(&workshop);
        let (mut before, mut after) = (workshop.question(id).unwrap(), other.question(id).unwrap());
        // Versions and steps begin anew.
        for question in [&mut before, &mut after] {
            question.version = 0;
            question.draft.number = 0;
            question.can_undo = false;
        }
        prop_assert_eq!(before, after);
    }
}

/// Links lead out of the folder: an export must not write or remove there, an import must not read, and so publish, it.
#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let workshop = full();
    let (folder, elsewhere) = (workshop.beside("exported"), workshop.beside("elsewhere"));
    fs::create_dir(&elsewhere).unwrap();
    fs::write(elsewhere.join("0099.jpg"), "a photo of mine").unwrap();
    workshop.export(&folder, |_, _| {}).unwrap();

    fs::remove_dir_all(folder.join("photos")).unwrap();
    symlink(&elsewhere, folder.join("photos")).unwrap();
    refused(workshop.export(&folder, |_, _| {}), "is a link");
    assert_eq!(fs::read_to_string(elsewhere.join("0099.jpg")).unwrap(), "a photo of mine");
    fs::remove_file(folder.join("photos")).unwrap();

    let question = folder.join("questions/0001.toml");
    fs::remove_file(&question).unwrap();
    symlink(elsewhere.join("0099.jpg"), &question).unwrap();
    refused(workshop.export(&folder, |_, _| {}), "is a link");
    assert!(Workshop::new().import_folder(&folder, &at(1), |_, _| {}).is_err());
    assert_eq!(fs::read_to_string(elsewhere.join("0099.jpg")).unwrap(), "a photo of mine");
}

#[test]
fn files_that_no_export_wrote_stay() {
    let workshop = full();
    let folder = workshop.beside("exported");
    workshop.export(&folder, |_, _| {}).unwrap();
    for mine in ["questions/README.md", "bikes/my-own.toml", "photos/holiday.jpg", "sheets/notes.txt"] {
        fs::write(folder.join(mine), "mine").unwrap();
    }
    // What an earlier export left goes.
    fs::write(folder.join("questions/0999.toml"), "old").unwrap();
    workshop.export(&folder, |_, _| {}).unwrap();
    for mine in ["questions/README.md", "bikes/my-own.toml", "photos/holiday.jpg", "sheets/notes.txt"] {
        assert_eq!(fs::read_to_string(folder.join(mine)).unwrap(), "mine", "{mine}");
    }
    assert!(!folder.join("questions/0999.toml").exists());
}
