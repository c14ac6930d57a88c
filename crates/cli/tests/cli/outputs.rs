//! Files that `what-if` writes.

use crate::run::{Folder, Ran, flat, there};

const ASK: [&str; 4] = ["what-if", "demo:larch-150", "spacers below by -15", "--asked=Lower?"];

fn ask(folder: &Folder, more: &[&str]) -> Ran {
    folder.run(&[&ASK[..], more].concat())
}

#[test]
fn every_file_is_written_whole_beside_the_text() {
    let folder = Folder::new();
    let ran = ask(&folder, &["--html", "a.html", "--svg", "a.svg", "--markdown", "a.md"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.contains("Fits"));
    assert_eq!(folder.names(), ["a.html", "a.md", "a.svg"]);
    for name in ["a.html", "a.svg", "a.md"] {
        assert!(ran.err.contains(&format!("wrote {name}")), "{}", ran.err);
        assert!(folder.read(name).contains("Larch 150"), "{name}");
    }
    assert!(folder.read("a.html").trim_end().ends_with("</html>"));
    let svg = folder.read("a.svg");
    assert!(svg.contains("<svg") && svg.trim_end().ends_with("</svg>"));
    assert!(folder.read("a.md").starts_with('#'), "a heading first");
}

#[test]
fn files_and_json_go_together() {
    let folder = Folder::new();
    let ran = ask(&folder, &["--json", "--markdown", "a.md"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_eq!(ran.json()["question"], "Lower?", "what was written is told on standard error only");
}

#[test]
fn a_sheet_that_does_not_fit_is_written_too() {
    let folder = Folder::new();
    let ran = folder.run(&["what-if", "demo:larch-150", "fork axle-to-crown 576", "--html", "a.html"]);
    assert_eq!(ran.status, 1);
    assert!(flat(&folder.read("a.html")).contains("10 mm too long"));
}

#[test]
fn nothing_is_left_behind_where_it_cannot_be_written() {
    let folder = Folder::new();
    folder.write("file", "not a folder");
    for place in ["nowhere/a.html", "file/a.html"] {
        for kind in ["--html", "--svg", "--markdown"] {
            let ran = ask(&folder, &[kind, place]).refused();
            assert!(ran.err.contains(&format!("cannot write {place}")), "{}", ran.err);
            assert!(ran.err.contains("help:"), "{}", ran.err);
        }
    }
    assert_eq!(folder.names(), ["file"]);
    assert!(!there(&folder.path("nowhere")));
}

#[test]
fn a_folder_is_not_written_over() {
    let folder = Folder::new();
    std::fs::create_dir(folder.path("sheets")).unwrap();
    let ran = ask(&folder, &["--html", "sheets"]).refused();
    assert!(ran.err.contains("cannot write sheets"), "{}", ran.err);
    assert_eq!(folder.names(), ["sheets"]);
}

#[test]
fn a_write_protected_file_is_kept() {
    let folder = Folder::new();
    let path = folder.write("a.html", "signed");
    let mut permissions = std::fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&path, permissions).unwrap();
    let ran = ask(&folder, &["--html", "a.html"]).refused();
    assert!(ran.err.contains("write-protected"), "{}", ran.err);
    assert_eq!(folder.read("a.html"), "signed");
    assert_eq!(folder.names(), ["a.html"]);
}

#[cfg(unix)]
#[test]
fn a_link_goes_on_pointing_where_it_pointed() {
    let folder = Folder::new();
    folder.write("sheet-7.html", "old");
    std::os::unix::fs::symlink("sheet-7.html", folder.path("latest.html")).unwrap();
    assert_eq!(ask(&folder, &["--html", "latest.html"]).status, 0);
    assert!(folder.read("sheet-7.html").contains("Larch 150"));
    assert!(folder.path("latest.html").is_symlink());
    assert_eq!(folder.names(), ["latest.html", "sheet-7.html"]);
}

#[test]
fn a_record_is_not_written_over_by_its_own_sheet() {
    let folder = Folder::new();
    folder.write("bike.toml", "[stem]\nlength = 50\n");
    folder.write("wishes.txt", "stem length 40");
    for (kind, place) in [("--html", "bike.toml"), ("--svg", "./bike.toml"), ("--markdown", "wishes.txt")] {
        let ran =
            folder.run(&["what-if", "bike.toml", "--changes-from", "wishes.txt", kind, place]).refused();
        assert!(ran.err.contains(&format!("{place} is named twice")), "{}", ran.err);
    }
    assert_eq!(folder.read("bike.toml"), "[stem]\nlength = 50\n");
    assert_eq!(folder.read("wishes.txt"), "stem length 40");
}

#[test]
fn two_sheets_do_not_share_a_file() {
    let folder = Folder::new();
    let ran = ask(&folder, &["--html", "sheet", "--svg", "./sheet"]).refused();
    assert!(ran.err.contains("sheet is named twice"), "{}", ran.err);
    assert_eq!(folder.names().len(), 0);
    #[cfg(unix)] // a device is no file to be written over
    assert_eq!(ask(&folder, &["--html", "/dev/null", "--svg", "/dev/null"]).status, 0);
}

#[test]
fn a_hyphen_is_no_file_to_write_to() {
    let folder = Folder::new();
    for kind in ["--html", "--svg", "--markdown"] {
        let ran = ask(&folder, &[kind, "-"]).refused();
        assert!(ran.err.contains("only text and JSON go to standard output"), "{}", ran.err);
    }
    assert_eq!(folder.names().len(), 0);
}

#[test]
fn names_with_spaces_and_other_alphabets_are_names() {
    let folder = Folder::new();
    let ran = ask(&folder, &["--html", "Bögen für Ø 31,8.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(there(&folder.path("Bögen für Ø 31,8.html")));
}
