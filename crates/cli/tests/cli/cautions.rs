//! No surface drops, shortens or reorders a safety caution.

use serde_json::Value;

use crate::run::{Folder, finish, flat};

/// The demo's first question.
const ASK: [&str; 5] =
    ["what-if", "demo:larch-150", "fork axle-to-crown 576", "spacers below 5", "bar rise 40"];

fn texts(answer: &Value) -> Vec<String> {
    let cautions = answer["cautions"].as_array().expect("cautions");
    cautions.iter().map(|caution| flat(caution["text"].as_str().expect("a text"))).collect()
}

/// Every caution stands in `text`, whole, one after the other.
#[track_caller]
fn holds_all(text: &str, cautions: &[String], surface: &str) {
    let mut rest = text;
    for caution in cautions {
        rest = rest
            .split_once(caution.as_str())
            .unwrap_or_else(|| panic!("{surface} lacks: {caution}\n{text}"))
            .1;
    }
}

/// The text of a page or drawing: tags gone, entities read.
fn text_of(markup: &str) -> String {
    let mut text = String::new();
    for piece in markup.split('<').skip(1) {
        text.push(' ');
        text.push_str(piece.split_once('>').map_or("", |(_, after)| after));
    }
    let entities =
        [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&apos;", "'"), ("&amp;", "&")];
    flat(&entities.iter().fold(text, |text, (entity, letter)| text.replace(entity, letter)))
}

#[test]
fn every_caution_of_a_fork_change_is_on_every_surface() {
    let folder = Folder::new();
    let files = ["--html", "a.html", "--svg", "a.svg", "--markdown", "a.md"];
    let text = folder.run(&[&ASK[..], &files[..]].concat());
    let cautions = texts(&folder.run(&[&ASK[..], &["--json"]].concat()).json());
    assert!(cautions.len() >= 5, "{cautions:#?}");
    assert!(cautions.iter().any(|caution| caution.contains("Only the frame's maker can permit it")));

    holds_all(&flat(&text.out), &cautions, "the text");
    holds_all(&text_of(&folder.read("a.html")), &cautions, "the page");
    holds_all(&text_of(&folder.read("a.svg")), &cautions, "the drawing");
    holds_all(&flat(&folder.read("a.md").replace('\\', "")), &cautions, "Markdown");
}

#[test]
fn a_narrow_terminal_loses_none() {
    let folder = Folder::new();
    let cautions = texts(&folder.run(&[&ASK[..], &["--json"]].concat()).json());
    for columns in ["20", "33", "80"] {
        let mut command = folder.command(&ASK);
        command.env("COLUMNS", columns);
        holds_all(&flat(&finish(command, None).out), &cautions, columns);
    }
}

#[test]
fn the_answer_that_fits_has_cautions_too() {
    let folder = Folder::new();
    let ask = ["what-if", "demo:larch-150", "crank length 165"];
    let cautions = texts(&folder.run(&[&ask[..], &["--json"]].concat()).json());
    assert!(cautions.iter().any(|caution| caution.contains("clears no damaged part")));
    holds_all(&flat(&folder.run(&ask).out), &cautions, "the text");
}
