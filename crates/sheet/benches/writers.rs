//! What writing an answer costs, and how large it gets, on the demo's first question.
//!
//! `cargo bench -p knockon-sheet`

use divan::Bencher;
use divan::counter::BytesCount;
use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::drawing::Page;
use knockon_sheet::sheet::Sheet;
use knockon_sheet::{drawing, html, json, markdown, text};
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};

fn main() {
    divan::main();
}

fn findings() -> Findings {
    answer(demo::question(demo::questions()[0].0)).expect("the demo is answered")
}

fn sheet() -> Sheet {
    compose(&findings(), &Heading::default())
}

fn written(bencher: Bencher, writer: impl Fn(&Sheet) -> String + Sync) {
    let sheet = sheet();
    let size = writer(&sheet).len();
    bencher.counter(BytesCount::new(size)).bench(|| writer(&sheet));
}

#[divan::bench]
fn words(bencher: Bencher) {
    let findings = findings();
    bencher.bench(|| compose(&findings, &Heading::default()));
}

#[divan::bench]
fn html_page(bencher: Bencher) {
    written(bencher, html::html);
}

#[divan::bench]
fn elevation_desk(bencher: Bencher) {
    written(bencher, |sheet| elevation(sheet, Page::Desk));
}

#[divan::bench]
fn elevation_phone(bencher: Bencher) {
    written(bencher, |sheet| elevation(sheet, Page::Phone));
}

/// One drawing alone: what each move of a slider costs.
fn elevation(sheet: &Sheet, page: Page) -> String {
    let picture = sheet.picture.as_ref().expect("the demo's first question has a drawing");
    drawing::elevation_svg(picture, page, "Side view", "The bike before and after.")
}

#[divan::bench]
fn svg_sheet(bencher: Bencher) {
    written(bencher, drawing::sheet_svg);
}

#[divan::bench]
fn markdown_text(bencher: Bencher) {
    written(bencher, markdown::markdown);
}

#[divan::bench]
fn terminal_text(bencher: Bencher) {
    written(bencher, |sheet| text::text(sheet, 100, text::Style::Plain));
}

#[divan::bench]
fn json_text(bencher: Bencher) {
    let findings = findings();
    bencher.bench(|| json::json(&findings));
}
