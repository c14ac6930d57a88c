//! `knockon read-table`: records from a pasted table.

use crate::run::{Folder, run};
use crate::words;

/// Invented; three sizes and a line that no record holds.
const TABLE: &str = "Size\tS\tM\tL\nReach (mm)\t430\t455\t480\nStack (mm)\t612\t621\t630\n\
    Head tube angle\t64.5\t64.5\t64.5\nChainstay length\t435\t435\t435\nPaint\tred\tblue\tgreen\n";

#[test]
fn it_writes_a_record_for_each_size_that_show_accepts() {
    let folder = Folder::new();
    folder.write("table.tsv", TABLE);
    let arguments =
        ["read-table", "table.tsv", "--name", "Willow", "--kind", "hardtail", "--out", "new/bikes"];
    let ran = folder.run(&arguments).fine();
    let mut reaches = Vec::new();
    for size in ["s", "m", "l"] {
        let path = format!("new/bikes/willow-{size}.toml");
        assert!(ran.out.contains(&format!("wrote {path}")), "{}", ran.out);
        let shown = folder.run(&["show", &path]).fine();
        assert!(shown.out.contains("Willow") && shown.out.contains("hardtail"), "{}", shown.out);
        let reach = shown.out.lines().find(|line| line.starts_with("Reach")).expect("a reach");
        reaches.push(reach.split_whitespace().nth(1).unwrap().to_owned());
        assert_eq!(folder.run(&["what-if", &path, "stem length 40"]).status, 0);
    }
    assert_eq!(reaches, ["430", "455", "480"]);
    words!(ran);
}

#[test]
fn it_lists_what_it_did_not_understand() {
    let folder = Folder::new();
    folder.write("table.tsv", TABLE);
    let ran = folder.run(&["read-table", "table.tsv", "--out", "bikes"]).fine();
    let list = ran.out.split_once("Not understood").expect("a list").1;
    assert!(list.contains("line 6") && list.contains("Paint"), "{}", ran.out);
}

#[test]
fn it_reads_standard_input() {
    let folder = Folder::new();
    folder.run_with_input(&["read-table", "-", "--name", "Willow", "--out", "."], TABLE).fine();
    assert_eq!(folder.names(), ["willow-l.toml", "willow-m.toml", "willow-s.toml"]);
}

#[test]
fn it_writes_over_nothing_unless_told() {
    let folder = Folder::new();
    folder.write("table.tsv", TABLE);
    folder.write("willow-l.toml", "mine");
    let arguments = ["read-table", "table.tsv", "--name", "Willow", "--out", "."];
    let ran = folder.run(&arguments);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("willow-l.toml is already there; nothing was written"), "{}", ran.err);
    assert!(ran.err.contains("--replace"), "{}", ran.err);
    assert!(!ran.out.contains("wrote"), "{}", ran.out);
    assert_eq!(folder.names(), ["table.tsv", "willow-l.toml"], "not even the sizes that were free");
    assert_eq!(folder.read("willow-l.toml"), "mine");
    folder.run(&[&arguments[..], &["--replace"]].concat()).fine();
    assert!(folder.read("willow-l.toml").contains("480"));
}

#[test]
fn a_text_that_is_no_table_gives_no_record() {
    let folder = Folder::new();
    folder.write("letter.txt", "Dear workshop,\nhow are you?\n");
    let ran = folder.run(&["read-table", "letter.txt", "--out", "bikes"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("gave no record") && ran.err.contains("help:"), "{}", ran.err);
    assert_eq!(folder.names(), ["letter.txt"], "no empty folder either");
}

#[test]
fn a_folder_that_cannot_be_made() {
    let folder = Folder::new();
    folder.write("table.tsv", TABLE);
    let ran = folder.run(&["read-table", "table.tsv", "--out", "table.tsv/bikes"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("cannot make table.tsv/bikes"), "{}", ran.err);
}

#[test]
fn a_kind_of_bike_that_there_is_not() {
    let ran = run(&["read-table", "table.tsv", "--out", ".", "--kind", "tandem"]).refused();
    assert!(ran.err.contains("tandem") && ran.err.contains("full suspension"), "{}", ran.err);
}
