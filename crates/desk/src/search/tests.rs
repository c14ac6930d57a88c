use super::*;
use crate::Stamp;

#[test]
fn what_is_typed_becomes_quoted_words() {
    assert_eq!(typed("  "), None);
    assert_eq!(typed("\"* ( ) 🚲"), None);
    assert_eq!(typed("fork").as_deref(), Some("(\"fork\" *)"));
    assert_eq!(typed("OR fork\"* x").as_deref(), Some("\"OR\" AND \"fork*\" AND (\"x\" *)"));
    assert_eq!(typed("creaki").as_deref(), Some("(\"creaki\" * OR \"creaking\")"));
    let many = typed(&"word ".repeat(100)).unwrap();
    assert_eq!(many.matches("word").count(), MOST_WORDS);
}

#[test]
fn an_unfinished_ending_is_finished() {
    let becomes = |word: &str, whole: &str| completed(word).iter().any(|word| word == whole);
    assert!(becomes("creakin", "creaking"));
    assert!(becomes("adjustme", "adjustment"));
    assert!(becomes("Adjuste", "adjusted"));
    assert_eq!(completed("creak"), [""; 0]);
    assert_eq!(completed("ei"), [""; 0]);
}

#[test]
fn an_excerpt_falls_into_pieces() {
    let pieces = pieces("a \u{1}b\u{2} c\u{1}d\u{2}");
    let expected = [("a ", false), ("b", true), (" c", false), ("d", true)];
    assert_eq!(pieces, expected.map(|(text, hit)| (text.to_owned(), hit)));
    assert_eq!(super::pieces(""), []);
}

#[test]
fn things_are_found_beside_lines_with_faults() {
    assert_eq!(
        thing_marks("stem length 40\nsteam lenght\nstem length by 5; front tyre 50-622"),
        ["zzthingstemqlength", "zzthingwheelqfrontqradius"]
    );
}

/// Every list walks along an index: its cost does not grow with the number of questions.
#[test]
fn lists_neither_sort_nor_read_everything() {
    let folder = tempfile::tempdir().unwrap();
    let desk = Desk::open(&folder.path().join("workshop")).unwrap();
    desk.load_demo(&Stamp::now("test")).unwrap();
    let plan = |sql: &str, values: &[&dyn ToSql]| -> String {
        desk.read(|connection| {
            let mut statement = connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}"))?;
            let rows = statement.query_map(values, |row| row.get::<_, String>(3))?;
            Ok(rows.collect::<rusqlite::Result<Vec<_>>>()?.join("; "))
        })
        .unwrap()
    };
    let page: [&dyn ToSql; 2] = [&50, &0];
    let narrow = |value: &'static dyn ToSql| -> [&dyn ToSql; 3] { [&50, &0, value] };
    for (plan, index) in [
        (plan(ALL, &page), "USING COVERING INDEX question_by_pressing"),
        (plan(URGENT, &page), "INDEX question_"),
        (plan(BY_STATE, &narrow(&"new")), "USING COVERING INDEX question_by_state"),
        (plan(BY_BIKE, &narrow(&1)), "USING COVERING INDEX question_by_bike"),
        (plan(BY_WORDS, &narrow(&"fork")), "VIRTUAL TABLE INDEX"),
        (plan(COUNT, &[]), "USING COVERING INDEX question_by_state"),
        (plan(COUNT_URGENT, &[]), "COVERING INDEX question_"),
        (plan(ROW, &[&1]), "SEARCH question USING INTEGER PRIMARY KEY"),
    ] {
        assert!(plan.contains(index), "{plan}");
        assert!(!plan.contains("TEMP B-TREE"), "{plan}");
    }
    let row = plan(ROW, &[&1]);
    assert!(!row.contains("SCAN"), "{row}");
}
