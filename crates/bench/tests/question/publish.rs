//! Preview, downloads, publishing.

use axum::http::StatusCode;
use knockon_desk::Format;

use crate::bench::{Bench, read};
use crate::form::{fields, of, with};

#[test]
fn the_preview_frames_the_sheet_and_offers_every_format() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    let reply = bench.get(&format!("/questions/{id}/sheet"));
    assert!(reply.policy.contains("frame-src 'self'") && reply.policy.contains("default-src 'none'"));
    let page = reply.text();
    assert!(page.contains(&format!("<iframe title=\"The sheet\" src=\"/questions/{id}/sheet.html?")));
    let sheet = bench.desk.answer_of(id, "bar rise 40").unwrap().sheet;
    for format in Format::ALL {
        let extension = format.extension();
        assert!(page.contains(&format!("/questions/{id}/sheet.{extension}?")));
        let file = bench.get(&format!("/questions/{id}/sheet.{extension}"));
        assert_eq!(file.status, StatusCode::OK, "{extension}");
        assert_eq!(file.media_type, format.media_type());
        assert!(
            file.policy.contains("default-src 'none'") && !file.policy.contains("script-src"),
            "{}",
            file.policy
        );
        let words: String = file.text().split_whitespace().collect();
        for caution in
            sheet.cautions.iter().filter(|_| matches!(format, Format::Markdown | Format::Text | Format::Json))
        {
            let caution: String = caution.text.split_whitespace().collect();
            assert!(words.contains(&caution), "{extension} lost: {caution}");
        }
    }
    let html = bench.page(&format!("/questions/{id}/sheet.html"));
    for caution in &sheet.cautions {
        assert!(read(&html).contains(&caution.text));
    }
}

#[test]
fn the_preview_shows_the_way_and_the_state_that_was_asked_for() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    let page = bench.page(&format!("/questions/{id}/sheet.txt?do=bar+rise+31&or=stem+length+41&way=instead"));
    // With its unit: a figure over the travel may begin with the same digits.
    let revised = |page: &str, to: &str| page.replace('\u{a0}', " ").contains(&format!("→ {to} mm"));
    assert!(revised(&page, "41") && !revised(&page, "31"));
    let page = bench.page(&format!("/questions/{id}/sheet.txt?do=bar+rise+31&or=stem+length+41"));
    assert!(revised(&page, "31") && !revised(&page, "41"));
}

#[test]
fn publishing_saves_what_is_shown_and_leads_to_the_sheet() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30");
    let form = fields(&bench.page(&format!("/questions/{id}")), "work");
    let reply = bench.post(&format!("/questions/{id}/publish"), &with(&form, "v0", "42"));
    assert_eq!(reply.status, StatusCode::SEE_OTHER);
    let published = bench.desk.publication_of(id).unwrap().expect("a sheet");
    assert_eq!(reply.location, Some(format!("/s/{}", published.code)));
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "bar rise 42");
    let sheet = bench.desk.published_file(&published.code, 1, Format::Text).unwrap();
    assert!(sheet.contains("→ 42"));
    let page = bench.page(&format!("/questions/{id}"));
    assert!(page.contains(&format!("/s/{}", published.code)));

    let preview = bench.page(&format!("/questions/{id}/sheet"));
    assert!(preview.contains("Publish as revision 2"));
    bench.post(
        &format!("/questions/{id}/publish"),
        &of(&[("do", "bar rise 42"), ("or", "stem length 40"), ("way", "instead")]),
    );
    let published = bench.desk.publication_of(id).unwrap().expect("a sheet");
    assert_eq!(published.revision, 2);
    assert!(bench.desk.published_file(&published.code, 2, Format::Text).unwrap().contains("→ 40"));
}

#[test]
fn a_line_that_cannot_be_read_is_never_published_away() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 30");
    let reply =
        bench.post(&format!("/questions/{id}/publish"), &of(&[("do", "bar rise 30\nstem lenght 40")]));
    assert_eq!(reply.status, StatusCode::UNPROCESSABLE_ENTITY);
    let page = reply.text();
    assert!(page.contains("a line cannot be read") && page.contains("stem lenght 40"));
    assert!(bench.desk.publication_of(id).unwrap().is_none());
    assert_eq!(bench.desk.question(id).unwrap().draft.changes, "bar rise 30\nstem lenght 40");
    let preview = bench.page(&format!("/questions/{id}/sheet"));
    assert!(!preview.contains("Publish sheet") && preview.contains("left out"));
}
