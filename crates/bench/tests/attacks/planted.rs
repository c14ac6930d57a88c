//! Script that somebody writes into a field, to run for whoever reads it.

use knockon_desk::{Format, NewQuestion, QuestionEdit, Settings, State, Way};
use knockon_trade::demo;

use crate::bench::{Bench, stamp};
use crate::client::{Reply, coded};

/// Breaks out of text, of an attribute in double quotes, of a title, a text field and a comment, each with a mark to find.
fn planted(mark: &str) -> String {
    format!(
        "{mark}\"><script>planted()</script><img src=planted onerror=planted()></title></textarea>--><svg/onload=planted()>"
    )
}

/// Nothing of it may stand in a page as markup.
fn harmless(reply: &Reply, path: &str) {
    let kind = reply.header("content-type").unwrap_or_default().to_owned();
    assert_eq!(reply.header("x-content-type-options"), Some("nosniff"), "{path}");
    assert!(reply.header("content-security-policy").is_some(), "{path}");
    if kind.starts_with("text/html") || kind.contains("svg") {
        let text = reply.text();
        for raw in ["<script>planted", "<img src=planted", "<svg/onload", "</title></textarea>--"] {
            assert!(!text.contains(raw), "{path} holds {raw}");
        }
    }
}

/// A bench with something planted in each field, and the addresses that show it.
fn planted_bench() -> (Bench, Vec<String>) {
    let bench = Bench::open();
    let desk = &bench.desk;
    let settings =
        Settings { workshop: planted("M-workshop"), drawn_by: planted("M-drawn"), ..Settings::default() };
    desk.save_settings(&settings, &stamp()).expect("settings");
    let bike = desk.add_bike(&record(), &planted("M-why"), &stamp()).expect("a bike");
    let new = NewQuestion {
        asked: planted("M-asked"),
        rider: planted("M-rider"),
        bike: Some(bike),
        changes: "spacers below 10".to_owned(),
    };
    let question = desk.ask(&new, &stamp()).expect("a question");
    let kept = desk.question(question).expect("kept");
    let edit = QuestionEdit {
        asked: kept.asked,
        rider: kept.rider,
        bike: kept.bike,
        notes: planted("M-notes"),
        state: State::New,
    };
    desk.edit_question(question, &edit, kept.version, &stamp()).expect("notes");
    desk.add_photo(question, crate::photos::PNG, &planted("M-caption"), &stamp()).expect("a photo");
    let sheet = desk.publish(question, Way::First, &stamp()).expect("a sheet");
    let drafts = desk.ask(&new, &stamp()).expect("a question");
    desk.save_draft(drafts, &planted("M-line"), Some(&planted("M-instead")), &stamp()).expect("a draft");
    let mut pages: Vec<String> =
        ["/questions", "/bikes", "/sheets", "/settings", "/questions/new", "/bikes/new"]
            .map(str::to_owned)
            .to_vec();
    let line = coded(&planted("M-link"));
    pages.extend([
        format!("/questions/{question}"),
        format!("/questions/{drafts}"),
        format!("/questions/{question}?do={line}&or={line}"),
        format!("/questions/{question}/live?do={line}&or={line}&width=desk"),
        format!("/questions/{question}/sheet"),
        format!("/bikes/{bike}"),
        format!("/bikes/{bike}/text"),
        format!("/bikes/{bike}/history"),
        format!("/questions?words={line}"),
        format!("/bikes?words={line}"),
        format!("/{line}"),
        format!("/s/{}", sheet.code),
        format!("/s/{}/1", sheet.code),
        format!("/log-in?back={line}"),
        format!("/settings?done={line}"),
    ]);
    for format in Format::ALL {
        pages.push(format!("/s/{}/1.{}", sheet.code, format.extension()));
        pages.push(format!("/questions/{question}/sheet.{}", format.extension()));
    }
    (bench, pages)
}

/// A record of the demo with something planted in its name, its note and a comment.
fn record() -> String {
    let (_, text) = demo::bikes().iter().find(|(stem, _)| *stem == "larch-150").expect("a bike of the demo");
    let (name, note) = (planted("M-name"), planted("M-note"));
    let lines = text.lines().filter(|line| !line.starts_with("name =") && !line.starts_with("note ="));
    let rest = lines.collect::<Vec<_>>().join("\n");
    format!("# {}\nname = '{name}'\nnote = '{note}'\n{rest}\n", planted("M-comment"))
}

#[test]
fn nothing_planted_runs_on_any_page() {
    let (bench, pages) = planted_bench();
    for path in &pages {
        let reply = bench.get(path);
        assert!(reply.status < 500, "{path}: {}", reply.status);
        harmless(&reply, path);
    }
}

#[test]
fn each_planted_text_is_shown_as_text() {
    let (bench, pages) = planted_bench();
    let all: String = pages.iter().map(|path| bench.get(path).text()).collect();
    for mark in [
        "workshop", "drawn", "why", "asked", "rider", "notes", "caption", "line", "link", "name", "note",
        "comment",
    ] {
        let shown = format!("M-{mark}&quot;&gt;&lt;script&gt;");
        assert!(all.contains(&shown), "M-{mark} is shown nowhere, so nothing was tried");
    }
}

#[test]
fn what_was_typed_wrongly_comes_back_as_text() {
    let bench = Bench::open();
    let text = planted("M-typed");
    let forms: [(&str, Vec<(&str, &str)>); 6] = [
        ("/settings", vec![("workshop", &text), ("tol-tape", &text), ("length", &text), ("language", &text)]),
        ("/settings/accounts", vec![("new-name", &text), ("new-password", "x"), ("new-role", &text)]),
        ("/log-in", vec![("name", &text), ("password", &text), ("back", &text)]),
        ("/questions/new", vec![("asked", ""), ("rider", &text), ("changes", &text), ("bike", &text)]),
        ("/bikes/new", vec![("text", &text), ("why", &text)]),
        ("/bikes/import", vec![("table", &text), ("pasted", &text), ("text", &text)]),
    ];
    for (path, form) in forms {
        let reply = bench.ask("POST", path).own().form(&form).send();
        assert!(reply.status < 500, "{path}: {}", reply.status);
        harmless(&reply, path);
    }
}
