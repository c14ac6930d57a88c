use super::html;
use super::style::{FOLD, STYLE};
use crate::fixture;
use crate::sheet::{RevisionRow, Sheet};
use proptest::prelude::*;
use std::collections::HashSet;

/// One tag of a page: name and attributes.
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
}

/// Reads the page tag by tag. Fails on tags that do not nest, unquoted attributes, attributes given twice.
fn tags(page: &str) -> Result<Vec<Tag>, String> {
    let (mut tags, mut open) = (Vec::new(), Vec::new());
    let mut rest = page.strip_prefix("<!DOCTYPE html>").ok_or("no document type")?;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        let end = rest.find('>').ok_or("tag without end")?;
        let (inside, after) = (&rest[..end], &rest[end + 1..]);
        rest = after;
        if let Some(name) = inside.strip_prefix('/') {
            if open.pop().as_deref() != Some(name) {
                return Err(format!("</{name}> closes nothing"));
            }
            continue;
        }
        let closed = inside.ends_with('/');
        let tag = tag(inside.trim_end_matches('/'))?;
        if tag.name == "style" {
            rest = &rest[rest.find("</style>").ok_or("style without end")?..];
        }
        if !closed && tag.name != "meta" {
            open.push(tag.name.clone());
        }
        tags.push(tag);
    }
    if open.is_empty() { Ok(tags) } else { Err(format!("left open: {open:?}")) }
}

fn tag(inside: &str) -> Result<Tag, String> {
    let (name, mut rest) = inside.split_once(char::is_whitespace).unwrap_or((inside, ""));
    if !name.starts_with(|first: char| first.is_ascii_alphabetic()) {
        return Err(format!("<{inside}> is no tag"));
    }
    let mut attributes: Vec<(String, String)> = Vec::new();
    while !rest.trim().is_empty() {
        let (key, value) = rest.trim_start().split_once("=\"").ok_or(format!("<{inside}>"))?;
        let (value, after) = value.split_once('"').ok_or(format!("<{inside}>"))?;
        if attributes.iter().any(|(known, _)| known == key) {
            return Err(format!("{key} twice in <{inside}>"));
        }
        attributes.push((key.to_owned(), value.to_owned()));
        rest = after;
    }
    Ok(Tag { name: name.to_owned(), attributes })
}

fn values(tags: &[Tag], key: &str) -> Vec<String> {
    let attributes = tags.iter().flat_map(|tag| &tag.attributes);
    attributes.filter(|(name, _)| name == key).map(|(_, value)| value.clone()).collect()
}

/// What is read on the page: no tags, no style, entities resolved, plain spaces.
fn read(page: &str) -> String {
    let body = page.split_once("<body>").expect("a body").1;
    let parts = body.split('<').map(|part| part.split_once('>').map_or("", |(_, text)| text));
    let text: String = parts.collect();
    [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&"), ("\u{a0}", " ")]
        .iter()
        .fold(text, |text, (from, to)| text.replace(from, to))
}

fn many_revisions() -> Sheet {
    let mut sheet = fixture::larch();
    for letter in 'D'..='K' {
        let first = sheet.revisions[0].clone();
        sheet.revisions.push(RevisionRow { letter, ..first });
        sheet.knock_ons.iter_mut().for_each(|row| row.shares.push("+12".into()));
        let row = sheet.knock_ons[0].clone();
        sheet.knock_ons.push(row);
    }
    sheet
}

fn all() -> [Sheet; 4] {
    [fixture::larch(), fixture::hostile(), fixture::empty(), many_revisions()]
}

#[test]
fn pages_are_well_formed_and_light() {
    for sheet in all() {
        let page = html(&sheet);
        tags(&page).unwrap();
        assert!(page.len() <= 150_000, "{} bytes", page.len());
    }
}

#[test]
fn ids_are_unique_and_every_reference_finds_one() {
    for sheet in all() {
        let page = html(&sheet);
        let tags = tags(&page).unwrap();
        let ids = values(&tags, "id");
        let unique: HashSet<&String> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "{ids:?}");
        for link in values(&tags, "href") {
            let target = link.strip_prefix('#').expect("links stay on the page").to_owned();
            assert!(unique.contains(&target), "{link} leads nowhere");
        }
        for label in values(&tags, "aria-labelledby").iter().flat_map(|ids| ids.split(' ')) {
            assert!(unique.contains(&label.to_owned()), "{label} labels nothing");
        }
    }
}

#[test]
fn nothing_is_loaded_and_nothing_runs() {
    for sheet in all() {
        let page = html(&sheet);
        let tags = tags(&page).unwrap();
        let foreign = ["script", "link", "iframe", "img", "image", "object", "embed", "use"];
        assert!(tags.iter().all(|tag| !foreign.contains(&tag.name.as_str())));
        assert!(tags.iter().flat_map(|tag| &tag.attributes).all(|(key, _)| !key.starts_with("on")));
        assert!(page.split("url(").skip(1).all(|url| url.starts_with("data:") || url.starts_with('#')));
        assert!(!page.contains("@import"));
    }
}

#[test]
fn hostile_text_is_read_as_text() {
    let page = html(&fixture::hostile());
    let count = |page: &str, name: &str| tags(page).unwrap().iter().filter(|tag| tag.name == name).count();
    assert_eq!(count(&page, "b") + count(&page, "script"), 0);
    assert!(
        read(&page).contains("<script>alert(1)</script> | **bold** `code` [31m & \"quoted\" <b> # heading")
    );
    let body = page.split_once("<body>").unwrap().1;
    assert!(body.chars().all(|character| character == '\n' || !character.is_control()));
    assert!(!body.contains('\u{202e}'));
}

#[test]
fn everything_the_sheet_holds_is_read() {
    let sheet = fixture::larch();
    let page = read(&html(&sheet));
    for text in fixture::all_texts(&sheet) {
        assert!(page.contains(text), "{text} is missing");
    }
}

#[test]
fn both_drawings_are_there_and_one_is_shown() {
    let page = html(&fixture::larch());
    let classes = values(&tags(&page).unwrap(), "class");
    for wanted in ["desk-only", "phone-only"] {
        assert_eq!(classes.iter().filter(|class| *class == wanted).count(), 1);
        assert!(STYLE.contains(&format!(".{wanted} {{ display: none; }}")));
    }
    let undrawn = html(&fixture::empty());
    assert!(values(&tags(&undrawn).unwrap(), "class").contains(&"sheet undrawn".to_owned()));
}

#[test]
fn headings_go_down_one_step_at_a_time() {
    for sheet in all() {
        let page = html(&sheet);
        let levels: Vec<u32> =
            tags(&page).unwrap().iter().filter_map(|tag| tag.name.strip_prefix('h')?.parse().ok()).collect();
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1);
        assert_eq!(levels[0], 1);
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
    }
}

#[test]
fn table_heads_say_what_they_head() {
    let page = html(&fixture::larch());
    let tags = tags(&page).unwrap();
    let heads: Vec<&Tag> = tags.iter().filter(|tag| tag.name == "th").collect();
    assert!(heads.iter().all(|tag| tag.attributes.iter().any(|(key, _)| key == "scope")));
    let count = |name: &str| tags.iter().filter(|tag| tag.name == name).count();
    // A table that says its role may own rows only, so its name is not in a caption.
    let has = |tag: &Tag, name: &str| tag.attributes.iter().any(|(key, _)| key == name);
    let named = tags.iter().filter(|tag| tag.name == "table" && has(tag, "role") && has(tag, "aria-label"));
    assert_eq!(count("table"), count("caption") + named.count());
}

#[test]
fn no_style_hides_a_caution() {
    let css = format!("{STYLE}{FOLD}");
    for rule in css.split('}').filter(|rule| rule.contains("display: none") || rule.contains("visibility")) {
        let selector = rule.rsplit_once('{').map_or("", |(selector, _)| selector);
        let hides =
            |part: &str| ["caution", "notes", "li", "ol", "*"].iter().any(|word| part.starts_with(word));
        assert!(!selector.split([' ', ',', '.', '\n']).any(hides), "{rule}");
    }
}

proptest! {
    // Each case draws the bike twice; the words differ only in where they are escaped.
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_words_make_a_well_formed_page(words in "\\PC{0,60}") {
        let mut sheet = fixture::larch();
        sheet.title.question.clone_from(&words);
        sheet.revisions[0].label.clone_from(&words);
        sheet.verdicts[0].sentence.clone_from(&words);
        sheet.cautions[0].text = words;
        prop_assert!(tags(&html(&sheet)).is_ok());
    }
}

#[test]
fn the_more_revisions_the_sooner_the_table_folds() {
    let mut sheet = fixture::larch();
    assert!(html(&sheet).contains("@media screen and (max-width: 639px) {\n/* The knock-on"));
    sheet.revisions = vec![sheet.revisions[0].clone(); 5];
    assert!(html(&sheet).contains("@media screen and (max-width: 1199px) {\n/* The knock-on"));
    sheet.revisions = vec![sheet.revisions[0].clone(); 12];
    assert!(html(&sheet).contains("@media all {\n/* The knock-on"));
}
