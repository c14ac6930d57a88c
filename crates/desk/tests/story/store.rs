use std::fs;
use std::sync::Barrier;

use knockon_desk::{Desk, DeskError, NewQuestion};
use rusqlite::Connection;
use tempfile::TempDir;

use crate::{LARCH, Workshop, at};

#[test]
fn what_is_kept_is_there_when_the_file_is_opened_again() {
    let workshop = Workshop::new();
    let bike = workshop.bike(LARCH);
    let question = workshop.asks("Still here?");
    let path = workshop.path().to_owned();
    let Workshop { folder, desk } = workshop;
    drop(desk);
    let desk = Desk::open(&path).unwrap();
    assert_eq!(desk.bike(bike).unwrap().text, LARCH);
    assert_eq!(desk.question(question).unwrap().asked, "Still here?");
    drop(folder);
}

#[test]
fn a_newer_file_is_refused_and_left_alone() {
    let workshop = Workshop::new();
    let path = workshop.path().to_owned();
    let Workshop { folder, desk } = workshop;
    drop(desk);
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 7).unwrap();
    let before = fs::read(&path).unwrap();
    let opened = Desk::open(&path);
    let Err(error @ DeskError::Newer { found: 7, known: 2 }) = opened else { panic!("{opened:?}") };
    assert!(error.to_string().contains("newer version") && error.help().contains("nothing was changed"));
    assert_eq!(fs::read(&path).unwrap(), before);
    drop(folder);
}

#[test]
fn a_file_that_is_no_workshop_is_refused_and_left_alone() {
    let folder = TempDir::new().unwrap();
    let other = folder.path().join("other.db");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE cakes (name TEXT)").unwrap();
    let text = folder.path().join("letter.txt");
    fs::write(&text, "Dear workshop, ".repeat(400)).unwrap();
    for path in [other, text] {
        let before = fs::read(&path).unwrap();
        assert!(matches!(Desk::open(&path), Err(DeskError::NotAWorkshop(_))), "{}", path.display());
        assert_eq!(fs::read(&path).unwrap(), before);
    }
    let nowhere = folder.path().join("no/such/folder/workshop");
    assert!(matches!(Desk::open(&nowhere), Err(DeskError::File { .. })));
    // An empty file is as good as none.
    let empty = folder.path().join("empty");
    fs::write(&empty, "").unwrap();
    Desk::open(&empty).unwrap();
}

#[test]
fn the_file_is_set_up_to_lose_nothing() {
    let workshop = Workshop::demo();
    let raw = Connection::open(workshop.path()).unwrap();
    let pragma = |name: &str| {
        raw.pragma_query_value(None, name, |row| row.get::<_, rusqlite::types::Value>(0)).unwrap()
    };
    assert_eq!(pragma("journal_mode"), "wal".to_owned().into());
    assert_eq!(pragma("application_id"), 0x6b6e_6f6b_i64.into());
    assert_eq!(pragma("integrity_check"), "ok".to_owned().into());
    // Every table but the index's own is strict: a number stays a number.
    let sql = "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0
        AND name NOT LIKE 'sqlite_%'";
    let mut loose = raw.prepare(sql).unwrap();
    assert!(!loose.exists([]).unwrap());
}

#[test]
fn rows_that_refer_to_nothing_or_say_nonsense_are_refused() {
    let workshop = Workshop::new();
    workshop.bike(LARCH);
    let id = workshop.asks("?");
    let raw = Connection::open(workshop.path()).unwrap();
    raw.pragma_update(None, "foreign_keys", true).unwrap();
    for sql in [
        "UPDATE question SET bike = 99",
        "UPDATE question SET state = 'lost'",
        "UPDATE question SET came = 'today'",
        "DELETE FROM question",
        "DELETE FROM bike",
        "UPDATE bike_version SET number = 0",
        "INSERT INTO account VALUES (1, 'x', 'y', 'admin', 0, 'z')",
        "INSERT INTO session VALUES (x'00', 1, 0, 0)",
        "INSERT INTO photo VALUES (1, 99, '', 10, 10, 0, '', x'')",
        "INSERT INTO tolerance VALUES ('tape', -1.0)",
        "INSERT INTO setting VALUES (2, '', '', 'mm', 'english', 0, '')",
    ] {
        assert!(raw.execute(sql, []).is_err(), "{sql}");
    }
    assert_eq!(workshop.question(id).unwrap().asked, "?");
}

#[test]
fn many_read_and_write_at_once() {
    let workshop = Workshop::new();
    let start = Barrier::new(12);
    std::thread::scope(|scope| {
        for writer in 0..4 {
            let (workshop, start) = (&workshop, &start);
            scope.spawn(move || {
                start.wait();
                for number in 0..25 {
                    workshop.asks(&format!("writer{writer} number{number}"));
                }
            });
        }
        for _ in 0..8 {
            let (workshop, start) = (&workshop, &start);
            scope.spawn(move || {
                start.wait();
                let mut last = 0;
                for _ in 0..50 {
                    let counts = workshop.counts().unwrap();
                    assert!(counts.new >= last);
                    last = counts.new;
                }
            });
        }
    });
    assert_eq!(workshop.counts().unwrap().new, 100);
}

#[test]
fn a_second_desk_on_the_same_file_takes_its_turn() {
    let workshop = Workshop::new();
    let other = Desk::open(workshop.path()).unwrap();
    std::thread::scope(|scope| {
        for desk in [&workshop.desk, &other] {
            scope.spawn(move || {
                for _ in 0..20 {
                    let new = NewQuestion { asked: "?".into(), ..NewQuestion::default() };
                    desk.ask(&new, &at(0)).unwrap();
                }
            });
        }
    });
    assert_eq!((workshop.counts().unwrap().new, other.counts().unwrap().new), (40, 40));
}

/// A workshop holds riders' names and password hashes.
#[cfg(unix)]
#[test]
fn only_the_owner_may_read_the_file_and_its_backup() {
    use std::os::unix::fs::PermissionsExt;
    let workshop = Workshop::demo();
    let copy = workshop.beside("copy");
    workshop.backup(&copy, |_, _| {}).unwrap();
    for path in [workshop.path(), &copy] {
        let mode = std::fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{}", path.display());
    }
}
