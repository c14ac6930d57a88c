use super::markdown;
use crate::fixture;
use crate::sheet::Sheet;
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag};

fn events(markdown: &str) -> Vec<Event<'_>> {
    Parser::new_ext(markdown, Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH).collect()
}

/// What a reader of the rendered page reads, a space for every break.
fn read(markdown: &str) -> String {
    let parts = events(markdown).into_iter().map(|event| match event {
        Event::Text(text) => text.into_string(),
        Event::SoftBreak | Event::HardBreak | Event::End(_) => " ".into(),
        _ => String::new(),
    });
    parts.collect()
}

/// Cells of each row of every table.
fn cells_per_row(markdown: &str) -> Vec<usize> {
    let mut rows = vec![];
    for event in events(markdown) {
        match event {
            Event::Start(Tag::TableHead | Tag::TableRow) => rows.push(0),
            Event::Start(Tag::TableCell) => *rows.last_mut().expect("a cell stands in a row") += 1,
            _ => {}
        }
    }
    rows
}

/// How many elements of each interesting kind the page has.
fn shape(sheet: &Sheet) -> (usize, usize, usize, Vec<usize>) {
    let page = markdown(sheet);
    let count = |wanted: fn(&Tag) -> bool| {
        let all = events(&page);
        all.iter().filter(|event| matches!(event, Event::Start(tag) if wanted(tag))).count()
    };
    (
        count(|tag| matches!(tag, Tag::Heading { .. })),
        count(|tag| matches!(tag, Tag::Item)),
        count(|tag| matches!(tag, Tag::Strong | Tag::Emphasis | Tag::Link { .. } | Tag::Image { .. })),
        cells_per_row(&page),
    )
}

#[test]
fn everything_the_sheet_holds_is_read() {
    let sheet = fixture::larch();
    let page = read(&markdown(&sheet));
    for text in fixture::all_texts(&sheet) {
        assert!(page.contains(text), "{text} is missing");
    }
}

#[test]
fn cautions_come_before_the_tables() {
    let page = markdown(&fixture::larch());
    assert!(page.find("## Cautions").unwrap() < page.find("## Revisions").unwrap());
    assert!(page.find("must not move. A qualified").unwrap() < page.find("| Rev.").unwrap());
}

#[test]
fn hostile_text_changes_no_structure() {
    let sheet = fixture::hostile();
    let page = markdown(&sheet);
    assert!(
        events(&page)
            .iter()
            .all(|event| !matches!(event, Event::Html(_) | Event::InlineHtml(_) | Event::Code(_)))
    );
    let (headings, items, marked, cells) = shape(&sheet);
    let (calm_headings, calm_items, calm_marked, calm_cells) = shape(&fixture::larch());
    assert_eq!((headings, marked, cells), (calm_headings, calm_marked, calm_cells));
    // The hostile sheet holds one more item in "check first" and one more in "how sure".
    assert_eq!(items, calm_items + 2);
    assert!(
        read(&page).contains("<script>alert(1)</script> | **bold** `code` [31m & \"quoted\" <b> # heading")
    );
    assert!(page.chars().all(|character| character == '\n' || !character.is_control()));
}

#[test]
fn a_sheet_that_knows_nothing_has_no_empty_sections() {
    let page = markdown(&fixture::empty());
    assert!(page.contains("**Cannot say:** Too little is known."));
    assert!(!page.contains("## "));
}

proptest! {
    #[test]
    fn any_caution_is_read_in_full(words in "[!-~äß−±]{1,12}( [!-~äß−±]{1,12}){0,9}") {
        let mut sheet = fixture::larch();
        sheet.cautions[1].text.clone_from(&words);
        sheet.knock_ons[3].label.clone_from(&words);
        let page = markdown(&sheet);
        prop_assert!(read(&page).matches(&words).count() >= 2);
        prop_assert_eq!(cells_per_row(&page), cells_per_row(&markdown(&fixture::larch())));
    }
}
