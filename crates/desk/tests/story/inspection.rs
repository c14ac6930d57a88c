use std::io::Cursor;

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use knockon_desk::{Desk, DeskError, Format, InspectionId, QuestionId, Way};
use knockon_trade::inspection::Grade;
use rusqlite::Connection;

use crate::{LARCH, Workshop, at, not_found, refused};

/// A small picture as a camera sends it.
fn picture() -> Vec<u8> {
    sized(200, 100)
}

fn sized(width: u32, height: u32) -> Vec<u8> {
    let pixel = |x: u32, _| Rgb([x as u8, 90, 120]);
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, pixel))
        .write_to(&mut bytes, ImageFormat::Jpeg)
        .unwrap();
    bytes.into_inner()
}

/// Answers that end in "stop and have it inspected".
const FOUND: [(&str, &str); 10] = [
    ("clean", "all"),
    ("happened", "knock"),
    ("line", "straight"),
    ("fibres", "none"),
    ("catches", "no"),
    ("soft", "none"),
    ("sound", "same"),
    ("creak", "no"),
    ("photo", "taken"),
    ("who", "other-in-hand"),
];

/// An inspection of a carbon frame with all of its answers.
fn inspected(workshop: &Workshop, question: QuestionId) -> InspectionId {
    let id = workshop.begin_inspection(question, "carbon-frame", "down tube", &at(1)).unwrap();
    for (step, answer) in FOUND {
        workshop.observe(id, step, answer, "", &at(2)).unwrap();
    }
    id
}

#[test]
fn every_answer_is_kept_with_who_and_when() {
    let workshop = Workshop::new();
    let question = workshop.asks("A crack in the frame?");
    let id = workshop.begin_inspection(question, "carbon-frame", " down tube ", &at(1)).unwrap();
    workshop.observe(id, "line", "1", " 40 mm ", &at(3)).unwrap();
    workshop.observe(id, "line", "jagged", "48 mm", &at(4)).unwrap();
    let kept = workshop.inspection(id).unwrap();
    assert_eq!((kept.part.as_str(), kept.answers.len()), ("down tube", 1));
    assert_eq!((kept.answers[0].answer.as_str(), kept.answers[0].note.as_str()), ("jagged", "48 mm"));
    assert_eq!(kept.answers[0].stamp, at(4));
    assert_eq!(kept.inspected().unwrap().judgement().grade, Grade::DoNotRide);
    assert_eq!(workshop.inspections(question).unwrap().len(), 1);
    assert_eq!(workshop.newest_inspections(5).unwrap()[0].id, id);
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_lost() {
    let workshop = Workshop::new();
    let question = workshop.asks("Is the rotor too thin?");
    not_found(workshop.begin_inspection(question, "no-such", "", &at(0)));
    not_found(workshop.begin_inspection(QuestionId(99), "rotor", "", &at(0)));
    let id = workshop.begin_inspection(question, "rotor", "", &at(0)).unwrap();
    not_found(workshop.observe(id, "no-such", "x", "", &at(0)));
    refused(workshop.observe(id, "crack", "perhaps", "", &at(0)), "no answer");
    refused(workshop.observe(id, "thickness", "thick", "", &at(0)), "no number");
    refused(workshop.observe(id, "thickness", "40 mm", "", &at(0)), "not possible");
    refused(workshop.observe(id, "crack", "none", &"x".repeat(2000), &at(0)), "characters");
    workshop.observe(id, "thickness", "0,07 in ± 0.001 in", "", &at(0)).unwrap();
    // 0.07 in are 1.778 mm.
    assert!(workshop.inspection(id).unwrap().answers[0].answer.starts_with("1.778 mm"));
    refused(workshop.sign_inspection(id, "Sam", &at(1)), "a question is open");
    not_found(workshop.observe(InspectionId(77), "crack", "none", "", &at(0)));
}

#[test]
fn a_signed_inspection_stands_until_it_is_opened_again() {
    let workshop = Workshop::new();
    let question = workshop.asks("A crack in the frame?");
    let id = inspected(&workshop, question);
    refused(workshop.sign_inspection(id, "  ", &at(3)), "nobody signs");
    workshop.sign_inspection(id, "Sam Invented", &at(3)).unwrap();
    assert_eq!(workshop.inspection(id).unwrap().signed.unwrap().who, "Sam Invented");
    let photo = workshop.add_photo(question, &picture(), "", &at(3)).unwrap();
    refused(workshop.observe(id, "line", "none", "", &at(4)), "has signed");
    refused(workshop.describe_inspection(id, "top tube", &at(4)), "has signed");
    refused(workshop.add_photo_of(id, &picture(), "", &at(4)), "has signed");
    refused(workshop.sign_inspection(id, "Ada", &at(4)), "has signed");
    refused(workshop.remove_inspection(id), "has signed");
    // A photo of the question alone is nobody's signature.
    workshop.mark_photo(photo, "circle 1 2 3", "").unwrap();
    workshop.open_inspection(id, &at(5)).unwrap();
    workshop.observe(id, "line", "none", "", &at(6)).unwrap();
    assert_eq!(workshop.remove_inspection(id).unwrap(), question);
    not_found(workshop.inspection(id));
}

#[test]
fn photos_are_marked_and_outlive_their_inspection() {
    let workshop = Workshop::new();
    let question = workshop.asks("A crack in the frame?");
    let id = workshop.begin_inspection(question, "carbon-frame", "", &at(1)).unwrap();
    let photo = workshop.add_photo_of(id, &picture(), "lamp from the left", &at(2)).unwrap();
    workshop.mark_photo(photo, "circle 40 50 8 the line\n\nmeasure 1 2 3 4 12 mm\n", "closer").unwrap();
    let (of, row) = workshop.photo_row(photo).unwrap();
    assert_eq!((of, row.inspection), (question, Some(id)));
    assert_eq!(row.marks, "circle 40 50 8 the line\nmeasure 1 2 3 4 12 mm");
    assert_eq!(row.caption, "closer");
    match workshop.mark_photo(photo, "circle 40 50 8\nblob 1 2", "closer") {
        Err(DeskError::Marks(problems)) => assert_eq!(problems[0].line_column(), (2, 1)),
        other => panic!("{other:?}"),
    }
    assert_eq!(workshop.photo_row(photo).unwrap().1.marks, row.marks);
    workshop.remove_inspection(id).unwrap();
    assert_eq!(workshop.photo_row(photo).unwrap().1.inspection, None);
    assert_eq!(workshop.photos(question).unwrap().len(), 1);
}

#[test]
fn the_published_sheet_shows_the_inspection_and_its_photos_for_good() {
    let workshop = Workshop::new();
    // No bike is on record: an inspection needs none.
    let question = workshop.asks("Crashed, and there is a crack in the carbon frame. Can I ride it?");
    let id = inspected(&workshop, question);
    let photo = workshop.add_photo_of(id, &picture(), "lamp from the left", &at(2)).unwrap();
    workshop.mark_photo(photo, "circle 40 50 8 the line", "lamp from the left").unwrap();
    workshop.sign_inspection(id, "Sam Invented", &at(3)).unwrap();
    let published = workshop.publish(question, Way::First, &at(4)).unwrap();
    assert_eq!(published.headline, "Not before somebody qualified has looked into it.");
    let page = workshop.published_file(&published.code, 1, Format::Html).unwrap();
    assert!(page.contains("data:image/jpeg;base64,") && page.contains("circle: the line"));
    assert!(page.contains("signed by Sam Invented, 2 Mar 2026") && !page.contains("/photos/"));
    let sheet = workshop.answer_of(question, "").unwrap().sheet;
    assert!(sheet.cautions.len() >= 4);
    for format in Format::ALL {
        let file = workshop.published_file(&published.code, 1, format).unwrap();
        let key = if format == Format::Json { "\"inspect\"" } else { "Stop and have it inspected" };
        // A drawing breaks its lines where it must.
        let bare: String =
            file.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text)).collect();
        let bare = if format == Format::Svg { bare } else { file };
        let without = |text: &str| text.split_whitespace().collect::<String>().to_lowercase();
        assert!(without(&bare).contains(&without(key)), "{format:?}");
    }
    // What is published stays as it is.
    workshop.open_inspection(id, &at(5)).unwrap();
    workshop.observe(id, "line", "jagged", "", &at(6)).unwrap();
    assert_eq!(workshop.published_file(&published.code, 1, Format::Html).unwrap(), page);
    assert_eq!(workshop.answer_of(question, "").unwrap().sheet.answer.headline, "Do not ride this frame.");
}

/// A sheet holds its photos in itself: a large one is printed at 1,024 pixels, a small one as it is.
#[test]
fn a_sheets_photos_are_no_larger_than_paper_needs() {
    let workshop = Workshop::new();
    let question = workshop.asks("A crack in the frame?");
    let id = inspected(&workshop, question);
    for (width, height) in [(2000, 1000), (900, 600)] {
        workshop.add_photo_of(id, &sized(width, height), "", &at(2)).unwrap();
    }
    let (part, _) = workshop.inspection_sheet(id).unwrap();
    let sizes: Vec<(u32, u32)> = part
        .photos
        .iter()
        .map(|photo| {
            let base64 = photo.href.strip_prefix("data:image/jpeg;base64,").unwrap();
            let bytes = base64::Engine::decode(&base64::engine::general_purpose::STANDARD, base64).unwrap();
            let picture = image::load_from_memory(&bytes).unwrap();
            (picture.width(), picture.height())
        })
        .collect();
    assert_eq!(sizes, [(1024, 512), (900, 600)]);
}

/// A program never clears what the rider fears: a mild outcome answers only when somebody signed it, and the cautions stay.
#[test]
fn a_mild_inspection_answers_only_in_somebodys_name() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    let asked = "Is this a crack in the lacquer?";
    let new = knockon_desk::NewQuestion { asked: asked.into(), bike: Some(bike), ..Default::default() };
    let question = workshop.ask(&new, &at(0)).unwrap();
    let id = workshop.begin_inspection(question, "carbon-frame", "", &at(1)).unwrap();
    for (step, _) in FOUND {
        // The first answer of each step is its mildest.
        workshop.observe(id, step, "1", "", &at(2)).unwrap();
    }
    assert_eq!(workshop.inspection(id).unwrap().inspected().unwrap().judgement().grade, Grade::Cosmetic);
    let before = workshop.answer_of(question, "").unwrap().sheet;
    assert_eq!(before.answer.headline, "Do not ride it yet.");
    workshop.sign_inspection(id, "Sam Invented", &at(3)).unwrap();
    let after = workshop.answer_of(question, "").unwrap().sheet;
    assert_eq!(after.answer.headline, "In the judgement of whoever signs, the coating alone.");
    assert!(after.answer.sentences.join(" ").contains("This is the judgement of Sam Invented"));
    let texts = |sheet: &knockon_sheet::sheet::Sheet| {
        sheet.cautions.iter().map(|note| note.text.clone()).collect::<Vec<_>>()
    };
    assert_eq!(texts(&before), texts(&after));
    // A second fear that nobody looked into is not answered by it.
    let edit = knockon_desk::QuestionEdit {
        asked: format!("{asked} And the brakes do not work."),
        bike: Some(bike),
        ..Default::default()
    };
    workshop.edit_question(question, &edit, 1, &at(4)).unwrap();
    assert_eq!(workshop.answer_of(question, "").unwrap().sheet.answer.headline, "Do not ride it yet.");
}

#[test]
fn a_folder_holds_inspections_and_gives_them_back() {
    let workshop = Workshop::new();
    let question = workshop.asks("A crack in the frame?");
    let id = inspected(&workshop, question);
    workshop.observe(id, "line", "straight", "48 mm, \"from the weld\"", &at(2)).unwrap();
    let photo = workshop.add_photo_of(id, &picture(), "left", &at(2)).unwrap();
    workshop.mark_photo(photo, "circle 40 50 8 the line\nmeasure 1 2 3 4 12 mm", "left").unwrap();
    workshop.sign_inspection(id, "Sam Invented", &at(3)).unwrap();
    let folder = workshop.beside("folder");
    workshop.export(&folder, |_, _| {}).unwrap();
    let again = Desk::open(&workshop.beside("again.db")).unwrap();
    again.import_folder(&folder, &at(9), |_, _| {}).unwrap();
    assert_eq!(again.inspection(id).unwrap(), workshop.inspection(id).unwrap());
    let (of, row) = again.photo_row(photo).unwrap();
    assert_eq!((of, row.inspection, row.marks.lines().count()), (question, Some(id), 2));
    let second = workshop.beside("second");
    again.export(&second, |_, _| {}).unwrap();
    let file = "questions/0001.toml";
    assert_eq!(
        std::fs::read_to_string(folder.join(file)).unwrap(),
        std::fs::read_to_string(second.join(file)).unwrap()
    );
    // Faults are told with their place, and nothing is taken in.
    let text = std::fs::read_to_string(folder.join(file)).unwrap();
    for (from, to, says) in [
        ("carbon-frame", "carbon-fram", "no protocol"),
        ("\"straight\"", "\"stright\"", "no answer"),
        ("circle 40", "cirle 40", "marks cannot be used"),
        ("inspection = 1", "inspection = 4", "has no inspection 4"),
    ] {
        assert!(text.contains(from), "{from}\n{text}");
        std::fs::write(folder.join(file), text.replacen(from, to, 1)).unwrap();
        let other = Desk::open(&workshop.beside(&format!("{to}.db").replace(['"', ' ', '='], ""))).unwrap();
        match other.import_folder(&folder, &at(9), |_, _| {}) {
            Err(DeskError::Folder(problems)) => {
                assert!(problems.iter().any(|problem| problem.message.contains(says)), "{problems:?}");
                assert!(problems[0].line_column().0 > 1);
            }
            other => panic!("{to}: {other:?}"),
        }
    }
}

/// A workshop's file of the first form is brought to the second, and keeps what is in it.
#[test]
fn an_older_file_opens_with_everything_in_it() {
    let workshop = Workshop::new();
    let path = workshop.beside("old.db");
    let old = Connection::open(&path).unwrap();
    old.execute_batch(include_str!("../../src/migrations/0001-workshop.sql")).unwrap();
    old.execute_batch(
        "INSERT INTO question (asked, rider, state, notes, came, urgent, pressing, draft, version, at, who)
             VALUES ('A crack?', '', 'new', '', 0, 'crack', 1, 1, 1, 0, 'x');
         INSERT INTO draft (question, number, changes, at, who) VALUES (1, 1, '', 0, 'x');
         INSERT INTO photo (question, caption, width, height, at, who, jpeg) VALUES (1, 'left', 10, 10, 0, 'x', x'ffd8');",
    )
    .unwrap();
    old.pragma_update(None, "user_version", 1).unwrap();
    drop(old);
    let desk = Desk::open(&path).unwrap();
    let photos = desk.photos(QuestionId(1)).unwrap();
    assert_eq!(
        (photos[0].caption.as_str(), photos[0].marks.as_str(), photos[0].inspection),
        ("left", "", None)
    );
    desk.begin_inspection(QuestionId(1), "carbon-frame", "", &at(0)).unwrap();
}

#[test]
fn what_came_out_is_written_into_the_bikes_record_without_losing_a_word() {
    let workshop = Workshop::new();
    let text = format!("# the rider's own words\n{LARCH}");
    let bike = workshop.bike(&text);
    let new = knockon_desk::NewQuestion { asked: "A crack?".into(), bike: Some(bike), ..Default::default() };
    let question = workshop.ask(&new, &at(0)).unwrap();
    let id = workshop.begin_inspection(question, "carbon-frame", "", &at(1)).unwrap();
    // As long as it is open nothing is written down.
    refused(workshop.note_condition(id, &at(1)), "nothing to write");
    for (step, answer) in FOUND {
        workshop.observe(id, step, answer, "", &at(2)).unwrap();
    }
    assert_eq!(workshop.note_condition(id, &at(3)).unwrap(), bike);
    let newest = workshop.desk.bike(bike).unwrap();
    assert!(
        newest.text.starts_with("# the rider's own words")
            && newest.text.contains("condition = \"doubtful\"")
    );
    assert!(newest.why.contains("inspection 1"), "{}", newest.why);
    let sheet = workshop.answer_of(question, "spacers below 5").unwrap().sheet;
    assert!(
        sheet.verdicts.iter().any(|row| row.label.starts_with("Frame") && row.sentence.contains("doubtful"))
    );
    workshop.observe(id, "line", "jagged", "", &at(4)).unwrap();
    workshop.note_condition(id, &at(5)).unwrap();
    assert!(workshop.desk.bike(bike).unwrap().text.contains("condition = \"damaged\""));
    // A mild outcome is no clearance: it is not written over what stands there.
    for (step, _) in FOUND {
        workshop.observe(id, step, "1", "", &at(6)).unwrap();
    }
    refused(workshop.note_condition(id, &at(7)), "nothing to write");
    let without = workshop.asks("A crack?");
    let other = inspected(&workshop, without);
    refused(workshop.note_condition(other, &at(8)), "no bike");
}
