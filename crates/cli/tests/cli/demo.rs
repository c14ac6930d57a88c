//! `knockon` alone.

use crate::run::{Folder, finish};
use crate::words;

#[test]
fn alone_it_answers_the_demo_and_writes_its_sheet() {
    let folder = Folder::new();
    let ran = folder.run(&[]).fine();
    assert_eq!(folder.names(), ["knockon-demo.html"]);
    let sheet = folder.read("knockon-demo.html");
    assert!(sheet.len() <= 150_000, "{} bytes", sheet.len());
    assert!(sheet.starts_with("<!DOCTYPE html>") && sheet.trim_end().ends_with("</html>"));
    let place = folder.path("knockon-demo.html").canonicalize().unwrap();
    let said =
        ran.out.lines().find_map(|line| line.strip_prefix("The whole sheet: ")).expect("it says where");
    assert_eq!(std::path::Path::new(said).canonicalize().unwrap(), place);
    // Invented, and a short answer: it fits a screen of 50 lines.
    assert!(sheet.contains("(demo)"));
    assert!(ran.out.lines().count() <= 50, "{} lines", ran.out.lines().count());
    words!(ran);
}

#[test]
fn the_sheet_fetches_nothing() {
    let folder = Folder::new();
    folder.run(&[]).fine();
    let sheet = folder.read("knockon-demo.html");
    for way_out in ["src=\"http", "href=\"http", "url(http", "@import", "<script"] {
        assert!(!sheet.contains(way_out), "{way_out}");
    }
}

#[test]
fn a_second_run_takes_the_place_of_the_first() {
    let folder = Folder::new();
    folder.run(&[]).fine();
    let first = folder.read("knockon-demo.html");
    folder.run(&[]).fine();
    assert_eq!(folder.read("knockon-demo.html"), first);
    assert_eq!(folder.names(), ["knockon-demo.html"], "nothing half-written is left");
}

#[test]
fn where_it_may_not_write_it_says_so() {
    let folder = Folder::new();
    let kept = folder.write("knockon-demo.html", "mine");
    let mut permissions = std::fs::metadata(&kept).unwrap().permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&kept, permissions).unwrap();
    let ran = finish(folder.command(&[]), None).refused();
    assert!(ran.err.contains("cannot write knockon-demo.html"), "{}", ran.err);
    assert_eq!(folder.read("knockon-demo.html"), "mine");
    assert_eq!(folder.names(), ["knockon-demo.html"]);
}
