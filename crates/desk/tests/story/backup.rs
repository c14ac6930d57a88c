use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};

use knockon_desk::{Desk, DeskError, NewQuestion};
use rusqlite::Connection;

use crate::{LARCH, Workshop, at, refused};

#[test]
fn a_backup_holds_everything_and_comes_back() {
    let workshop = Workshop::demo();
    let copy = workshop.beside("copy");
    let mut told = Vec::new();
    workshop.backup(&copy, |done, total| told.push((done, total))).unwrap();
    assert!(told.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    assert!(told.last().is_some_and(|(done, total)| done == total && *total > 0));
    let before = workshop.counts().unwrap();
    workshop.asks("after the backup");

    refused(workshop.backup(&copy, |_, _| {}), "there already");
    let again = workshop.beside("again");
    Desk::restore(&copy, &again, false, |_, _| {}).unwrap();
    assert_eq!(Desk::open(&again).unwrap().counts().unwrap(), before);
    // A copy is one file, and nothing is left beside it.
    let left: Vec<String> = fs::read_dir(workshop.folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with("copy"))
        .collect();
    assert_eq!(left, ["copy"]);
}

#[test]
fn a_backup_is_one_state_while_others_write() {
    let workshop = Workshop::demo();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !done.load(Ordering::Relaxed) {
                // Two at a time: a copy holds both or neither.
                let new =
                    |asked: &str| (NewQuestion { asked: asked.into(), ..NewQuestion::default() }, at(0));
                workshop.ask_all(&[new("left shoe"), new("right shoe")]).unwrap();
            }
        });
        for number in 0..5 {
            let copy = workshop.beside(&format!("copy{number}"));
            workshop.backup(&copy, |_, _| {}).unwrap();
            let copy = Connection::open(copy).unwrap();
            let count = |sql: &str| copy.query_row(sql, [], |row| row.get::<_, String>(0)).unwrap();
            assert_eq!(count("PRAGMA integrity_check"), "ok");
            let shoes = "SELECT sum(asked = 'left shoe') || ' ' || sum(asked = 'right shoe') FROM question";
            let shoes = count(shoes);
            let (left, right) = shoes.split_once(' ').unwrap();
            assert_eq!(left, right);
        }
        done.store(true, Ordering::Relaxed);
    });
}

#[test]
fn restore_writes_over_a_workshop_only_when_told_and_when_nobody_has_it_open() {
    let workshop = Workshop::new();
    workshop.asks("in the backup");
    let copy = workshop.beside("copy");
    workshop.backup(&copy, |_, _| {}).unwrap();
    workshop.asks("only in the workshop");
    let path = workshop.path().to_owned();
    refused(Desk::restore(&copy, &path, false, |_, _| {}), "there already");
    refused(Desk::restore(&copy, &path, true, |_, _| {}), "open in another program");
    assert_eq!(workshop.counts().unwrap().new, 2);
    let Workshop { folder, desk } = workshop;
    drop(desk);
    Desk::restore(&copy, &path, true, |_, _| {}).unwrap();
    assert_eq!(Desk::open(&path).unwrap().counts().unwrap().new, 1);
    drop(folder);
}

/// Whether a fault is the one that is expected.
type Expected = fn(&DeskError) -> bool;

#[test]
fn restore_refuses_what_cannot_be_used_and_leaves_the_workshop_alone() {
    let workshop = Workshop::demo();
    let copy = workshop.beside("copy");
    workshop.backup(&copy, |_, _| {}).unwrap();
    let sound = fs::read(&copy).unwrap();
    let target = workshop.beside("target");
    let old = Desk::open(&target).unwrap();
    old.add_bike(LARCH, "", &at(0)).unwrap();
    drop(old);
    let before = fs::read(&target).unwrap();
    let bad = workshop.beside("bad");

    let mut damaged = sound.clone();
    // Leave the head and the first pages, so that only a look at the whole finds it.
    let half = damaged.len() / 2;
    damaged[half..half + 20_000].fill(0x5a);
    let cut = sound[..sound.len() - 8192].to_vec();
    let mut newer = sound.clone();
    newer[60..64].copy_from_slice(&9_u32.to_be_bytes());
    let cases: [(Vec<u8>, Expected); 5] = [
        (damaged, |error| matches!(error, DeskError::Damaged(_))),
        (cut, |error| matches!(error, DeskError::Damaged(_) | DeskError::Database(_))),
        (newer, |error| matches!(error, DeskError::Newer { found: 9, .. })),
        (b"a letter, not a workshop".repeat(200), |error| matches!(error, DeskError::NotAWorkshop(_))),
        (Vec::new(), |error| matches!(error, DeskError::NotAWorkshop(_))),
    ];
    for (index, (bytes, expected)) in cases.into_iter().enumerate() {
        fs::write(&bad, bytes).unwrap();
        let error = Desk::restore(&bad, &target, true, |_, _| {}).unwrap_err();
        assert!(expected(&error), "{index}: {error:?}");
        assert_eq!(fs::read(&target).unwrap(), before, "{index}");
    }
    let nowhere = Desk::restore(&workshop.beside("nowhere"), &target, true, |_, _| {});
    assert!(matches!(nowhere, Err(DeskError::File { .. })), "{nowhere:?}");
}
