//! What is known about the question, and two people who edit it.

use axum::http::StatusCode;
use knockon_desk::State;

use crate::bench::{Bench, read};
use crate::form::of;

#[test]
fn state_rider_bike_and_notes_are_saved() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Shorter stem?", None, "stem length 40");
    let form = of(&[
        ("asked", "Shorter stem, please?"),
        ("rider", "Ida Invented"),
        ("bike", &bike.to_string()),
        ("notes", "called twice\r\ncomes on Friday"),
        ("state", "waiting"),
        ("version", "1"),
    ]);
    let page = bench.submit(&format!("/questions/{id}/edit"), &form);
    assert!(read(&page).contains("Shorter stem, please?") && page.contains("value=\"waiting\" selected"));
    let kept = bench.desk.question(id).unwrap();
    assert_eq!((kept.bike, kept.state, kept.rider.as_str()), (Some(bike), State::Waiting, "Ida Invented"));
    assert_eq!(kept.notes, "called twice\ncomes on Friday");
    assert_eq!(kept.draft.changes, "stem length 40", "the changes are kept");
}

#[test]
fn who_saves_second_is_told_and_loses_no_word() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Shorter stem?", Some(bike), "stem length 40");
    let edit = |notes: &str, version: &str| {
        let bike = bike.to_string();
        let form = of(&[
            ("asked", "Shorter stem?"),
            ("bike", &bike),
            ("notes", notes),
            ("state", "new"),
            ("version", version),
        ]);
        bench.post(&format!("/questions/{id}/edit"), &form)
    };
    assert_eq!(edit("the first", "1").status, StatusCode::SEE_OTHER);
    let second = edit("the second", "1");
    assert_eq!(second.status, StatusCode::CONFLICT);
    let page = second.text();
    assert!(page.contains("somebody saved a newer version") && page.contains(">\nthe second</textarea>"));
    assert_eq!(bench.desk.question(id).unwrap().notes, "the first");
    // The page that came back carries the newer version, so that saving again puts these words in.
    assert!(page.contains("name=\"version\" value=\"2\""));
    assert_eq!(edit("the second", "2").status, StatusCode::SEE_OTHER);
    assert_eq!(bench.desk.question(id).unwrap().notes, "the second");
}

#[test]
fn nonsense_is_refused() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Shorter stem?", Some(bike), "stem length 40");
    for (bike, state) in [("1", "solved"), ("seven", "new"), ("4711", "new")] {
        let form = of(&[("asked", "x"), ("bike", bike), ("state", state), ("version", "1")]);
        let status = bench.post(&format!("/questions/{id}/edit"), &form).status;
        assert!(
            status == StatusCode::UNPROCESSABLE_ENTITY || status == StatusCode::NOT_FOUND,
            "{bike} {state}: {status}"
        );
    }
    assert_eq!(bench.desk.question(id).unwrap().version, 1);
}
