use super::lines::columns;
use super::{Style, short, text};
use crate::fixture;
use crate::sheet::Sheet;
use proptest::prelude::*;

/// Letters alone, so that line breaks and indents do not matter.
fn dense(text: &str) -> String {
    text.chars().filter(|character| !character.is_whitespace()).collect()
}

fn says_every_caution(page: &str, sheet: &Sheet) -> bool {
    let page = dense(page);
    sheet.cautions.iter().all(|note| page.contains(&dense(&note.text)))
}

/// The text without the colour that this writer itself adds.
fn bleached(text: &str) -> String {
    ["1", "2", "0", "1;33", "1;31"]
        .iter()
        .fold(text.to_owned(), |text, code| text.replace(&format!("\u{1b}[{code}m"), ""))
}

#[test]
fn every_caution_stands_in_full_at_any_width() {
    let sheet = fixture::larch();
    for width in 0..=120 {
        assert!(says_every_caution(&text(&sheet, width, Style::Plain), &sheet), "text at {width}");
        assert!(says_every_caution(&short(&sheet, width, Style::Plain), &sheet), "short at {width}");
    }
}

#[test]
fn no_line_is_wider_than_asked() {
    for sheet in [fixture::larch(), fixture::hostile(), fixture::empty()] {
        for width in 20..=140 {
            for page in [text(&sheet, width, Style::Plain), short(&sheet, width, Style::Plain)] {
                let widest = page.lines().max_by_key(|line| columns(line)).unwrap_or_default();
                assert!(columns(widest) <= width, "{width}: {widest}");
            }
        }
    }
}

#[test]
fn colour_changes_no_word() {
    for sheet in [fixture::larch(), fixture::hostile()] {
        for width in [40, 60, 100] {
            let coloured = text(&sheet, width, Style::Colour);
            assert!(coloured.contains('\u{1b}'));
            assert_eq!(bleached(&coloured), text(&sheet, width, Style::Plain));
        }
    }
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    let sheet = fixture::hostile();
    let plain = text(&sheet, 80, Style::Plain);
    assert!(plain.chars().all(|character| character == '\n' || !character.is_control()));
    assert!(!plain.contains('\u{202e}'));
    let coloured = bleached(&text(&sheet, 80, Style::Colour));
    assert!(!coloured.contains('\u{1b}') && !coloured.contains('\u{7}'));
}

#[test]
fn at_eighty_columns_the_table_is_aligned() {
    let page = text(&fixture::larch(), 80, Style::Plain);
    let rows: Vec<&str> = page.lines().skip_while(|line| !line.starts_with("What moves")).take(9).collect();
    assert!(rows.iter().all(|row| columns(row) == columns(rows[0])), "{rows:#?}");
    assert!(rows[1].contains("+10") && rows[1].contains("−14") && rows[1].contains("+15"));
}

#[test]
fn at_sixty_columns_the_shares_stand_below() {
    let page = text(&fixture::larch(), 60, Style::Plain);
    assert!(page.contains("\n  A +10, B −14, C +15\n"), "{page}");
}

#[test]
fn the_whole_sheet_is_told_in_order() {
    let page = text(&fixture::larch(), 80, Style::Plain);
    let parts = [
        "Longer fork, stem down, higher bar?",
        "✗ Does not fit: Not with this fork.",
        "Revisions",
        "What moves",
        "Did not move: Chainstay length",
        "Limits",
        "±  Steerer length: Measure first",
        "Check first",
        "How sure",
        "Ask the rider",
        "CAUTION",
        "Assumed",
        "Sources",
        "[4] Assumption of this program.",
    ];
    let mut rest = page.as_str();
    for part in parts {
        let at = rest.find(part).unwrap_or_else(|| panic!("{part} is missing or out of order:\n{page}"));
        rest = &rest[at + part.len()..];
    }
}

#[test]
fn the_short_form_counts_what_it_leaves_out() {
    let page = short(&fixture::larch(), 80, Style::Plain);
    assert!(page.contains("2 more moved"));
    assert!(page.contains("Few riders would feel that."));
    assert!(!page.contains("Sources"));
}

#[test]
fn a_sheet_that_knows_nothing_still_answers() {
    let page = text(&fixture::empty(), 80, Style::Plain);
    assert!(page.contains("? Cannot say: Too little is known."));
}

proptest! {
    #[test]
    fn any_words_keep_the_width_and_the_cautions(words in "\\PC{0,200}", width in 40_usize..120) {
        let mut sheet = fixture::larch();
        sheet.title.question.clone_from(&words);
        sheet.knock_ons[2].label.clone_from(&words);
        sheet.revisions[1].label.clone_from(&words);
        sheet.verdicts[0].sentence = words;
        let page = text(&sheet, width, Style::Plain);
        prop_assert!(page.lines().all(|line| columns(line) <= width));
        prop_assert!(says_every_caution(&page, &sheet));
    }
}
