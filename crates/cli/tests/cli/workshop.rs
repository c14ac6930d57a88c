//! `knockon backup`, `restore`, `export` and `import`: a whole workshop as one file and as plain files.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::json;

use crate::run::Folder;
use crate::words;

/// A folder with a demo workshop in it that has one question of its own.
fn with_workshop() -> Folder {
    let folder = Folder::new();
    let server = folder.open(&["workshop.db", "--demo"]);
    assert_eq!(server.post("/api/v1/questions", &json!({ "asked": "Does it all come back?" })).0, 201);
    server.signal("TERM");
    folder
}

/// Whether the workshop has the question of its own.
#[track_caller]
fn has_it_all(folder: &Folder, workshop: &str) {
    let server = folder.open(&[workshop, "--no-browser"]);
    let listed = server.json("/api/v1/questions?words=come%20back&limit=1");
    assert_eq!(listed["questions"][0]["asked"], "Does it all come back?");
    assert!(server.json("/api/v1/bikes?limit=200")["bikes"].as_array().unwrap().len() >= 9);
    assert!(!server.json("/api/v1/sheets")["sheets"].as_array().unwrap().is_empty());
}

#[test]
fn a_backup_is_made_while_the_workshop_is_in_use() {
    let folder = with_workshop();
    let server = folder.open(&["workshop.db"]);
    server.post("/api/v1/questions", &json!({ "asked": "Asked just now?" }));
    let ran = folder.run(&["backup", "workshop.db", "copy.db"]).fine();
    assert!(ran.out.starts_with("wrote copy.db ("), "{}", ran.out);
    drop(server);
    folder.run(&["restore", "copy.db", "again.db"]).fine();
    has_it_all(&folder, "again.db");
    let server = folder.open(&["again.db"]);
    let listed = server.json("/api/v1/questions?words=just%20now");
    assert_eq!(listed["questions"][0]["asked"], "Asked just now?");
}

#[test]
fn nothing_is_written_over_unless_that_was_asked_for() {
    let folder = with_workshop();
    folder.run(&["backup", "workshop.db", "copy.db"]).fine();
    let kept = std::fs::read(folder.path("copy.db")).unwrap();
    words!(folder.run(&["backup", "workshop.db", "copy.db"]));
    assert_eq!(std::fs::read(folder.path("copy.db")).unwrap(), kept);
    let ran = folder.run(&["restore", "copy.db", "workshop.db"]).refused();
    assert!(ran.err.contains("workshop.db is already there") && ran.err.contains("--replace"), "{}", ran.err);

    let server = folder.open(&["workshop.db"]);
    server.post("/api/v1/questions", &json!({ "asked": "Younger than the copy?" }));
    server.signal("TERM");
    folder.run(&["restore", "copy.db", "workshop.db", "--replace"]).fine();
    has_it_all(&folder, "workshop.db");
    let server = folder.open(&["workshop.db"]);
    assert_eq!(server.json("/api/v1/questions?words=younger")["questions"], json!([]));
}

#[test]
fn what_is_no_workshop_is_neither_copied_nor_brought_back() {
    let folder = with_workshop();
    folder.write("letter.txt", "Dear workshop");
    for arguments in [
        &["backup", "letter.txt", "copy.db"][..],
        &["backup", "missing.db", "copy.db"],
        &["restore", "letter.txt", "again.db"],
        &["restore", "missing.db", "again.db"],
        &["restore", "letter.txt", "workshop.db", "--replace"],
        &["export", "missing.db", "files"],
        &["export", "letter.txt", "files"],
        &["import", "missing", "again.db"],
        &["import", "letter.txt", "again.db"],
    ] {
        let ran = folder.run(arguments).refused();
        assert!(ran.err.contains("error: ") && ran.err.contains("help:"), "{arguments:?}: {}", ran.err);
        for name in ["copy.db", "again.db", "files", "missing.db"] {
            assert!(!folder.path(name).exists(), "{arguments:?} made {name}");
        }
    }
    has_it_all(&folder, "workshop.db");
}

/// Every file of a folder, by its path in it.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
                found.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    found
}

#[test]
fn plain_files_hold_the_whole_workshop() {
    let folder = with_workshop();
    folder.run(&["export", "workshop.db", "files"]).fine();
    folder.run(&["import", "files", "again.db"]).fine();
    has_it_all(&folder, "again.db");
    folder.run(&["export", "again.db", "more"]).fine();
    let (first, second) = (files(&folder.path("files")), files(&folder.path("more")));
    assert!(first.len() > 20, "{:?}", first.keys());
    assert_eq!(first.keys().collect::<Vec<_>>(), second.keys().collect::<Vec<_>>());
    for (name, bytes) in &first {
        assert_eq!(String::from_utf8_lossy(bytes), String::from_utf8_lossy(&second[name]), "{name}");
    }
    let ran = folder.run(&["import", "files", "again.db"]).refused();
    assert!(ran.err.contains("error: ") && ran.err.contains("help:"), "{}", ran.err);
}

#[test]
fn a_faulty_file_is_named_with_its_line_and_nothing_is_taken_in() {
    let folder = with_workshop();
    folder.run(&["export", "workshop.db", "files"]).fine();
    let names = files(&folder.path("files"));
    let (name, text) = names
        .iter()
        .find_map(|(name, bytes)| {
            Some((name, std::str::from_utf8(bytes).ok().filter(|text| text.contains("[chart]"))?))
        })
        .expect("a bike's record");
    let line = 1 + text.lines().position(|line| line == "[chart]").unwrap();
    let faulty = text.replacen("[chart]\n", "[chart]\nstak = 612\n", 1);
    folder.write(&format!("files/{name}"), faulty);
    let ran = folder.run(&["import", "files", "again.db"]).refused();
    let file = Path::new(name).file_name().unwrap().to_string_lossy().into_owned();
    assert!(ran.err.contains(&file) && ran.err.contains(&format!(":{}:", line + 1)), "{}", ran.err);
    assert!(!folder.names().iter().any(|name| name.starts_with("again.db")), "{:?}", folder.names());
}
