//! What the desk keeps, told as stories: one module per noun.

mod account;
mod alike;
mod backup;
mod bike;
mod demo;
mod folder;
mod inspection;
mod photo;
mod publish;
mod question;
mod search;
mod settings;
mod store;

use std::ops::Deref;
use std::path::PathBuf;

use jiff::Timestamp;
use knockon_desk::{BikeId, Desk, DeskError, NewQuestion, QuestionId, Stamp};
use tempfile::TempDir;

/// A new workshop in a folder of its own.
struct Workshop {
    folder: TempDir,
    desk: Desk,
}

impl Workshop {
    fn new() -> Workshop {
        let folder = TempDir::new().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.knockon")).expect("a new workshop");
        Workshop { folder, desk }
    }

    fn demo() -> Workshop {
        let workshop = Workshop::new();
        assert!(workshop.load_demo(&at(0)).expect("the demo"));
        workshop
    }

    /// A path beside the workshop's file.
    fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn bike(&self, text: &str) -> BikeId {
        self.add_bike(text, "", &at(0)).expect("a bike")
    }

    fn asks(&self, asked: &str) -> QuestionId {
        let new = NewQuestion { asked: asked.to_owned(), ..NewQuestion::default() };
        self.ask(&new, &at(0)).expect("a question")
    }
}

impl Deref for Workshop {
    type Target = Desk;

    fn deref(&self) -> &Desk {
        &self.desk
    }
}

/// Noon of a day, and some minutes.
fn at(minutes: i64) -> Stamp {
    let noon: Timestamp = "2026-03-02T12:00:00Z".parse().expect("a time");
    Stamp { at: noon + jiff::SignedDuration::from_mins(minutes), who: "Hedda".to_owned() }
}

/// A record that suffices for an answer.
const LARCH: &str = "name = \"Larch\"\nsize = \"M\"\n[chart]\nhead_angle = 65\n[cockpit]\nspacers_below = 20\n[stem]\nlength = 50\n";

#[track_caller]
fn refused<T: std::fmt::Debug>(result: Result<T, DeskError>, why: &str) {
    match result {
        Err(DeskError::Refused { why: told, help }) => {
            assert!(told.contains(why), "{told}");
            assert!(!help.is_empty());
        }
        other => panic!("not refused: {other:?}"),
    }
}

#[track_caller]
fn not_found<T: std::fmt::Debug>(result: Result<T, DeskError>) {
    match result {
        Err(DeskError::NotFound { what, .. }) => assert!(!what.is_empty()),
        other => panic!("found: {other:?}"),
    }
}
