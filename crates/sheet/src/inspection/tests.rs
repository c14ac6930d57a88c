//! Every writer prints every caution of every protocol, at every width, alone and as a part of an answer.

use knockon_trade::findings::answer;
use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::{Given, Grade, Inspected, Observation, Protocol, Step, judge, protocols};
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record;

use super::*;
use crate::compose::{Heading as Title, compose as sheet_of};
use crate::text::Style;
use crate::{drawing, html as whole, json as whole_json, markdown as whole_markdown, text as whole_text};

fn observed(step: &Step, index: usize) -> Observation {
    let given = match step.kind {
        Kind::Photo => Given::Photo,
        Kind::Number => Given::Number { value: step.reading_within(index), pm: 0.0 },
        Kind::Choice | Kind::Which => Given::Choice(index),
    };
    Observation { step: step.id.clone(), given, note: "left side".to_owned() }
}

/// Runs of a protocol that together give every answer, and one that gives none.
fn runs(protocol: &'static Protocol) -> Vec<Inspected> {
    let inspected = |observations| Inspected {
        number: "7".to_owned(),
        part: "the part in hand".to_owned(),
        protocol,
        edition: protocol.edition,
        observations,
        signed: String::new(),
    };
    let mut runs = vec![inspected(Vec::new())];
    for (at, step) in protocol.steps.iter().enumerate() {
        for index in 0..step.answers.len() {
            let all = protocol.steps.iter().enumerate();
            runs.push(inspected(
                all.map(|(other, step)| observed(step, if other == at { index } else { 0 })).collect(),
            ));
        }
    }
    runs
}

/// The text without any white space, so that lines may break where they like.
fn flat(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).collect()
}

/// The words of a page or drawing: tags gone, entities read.
fn words_of(markup: &str) -> String {
    let mut text = String::new();
    for piece in markup.split('<').skip(1) {
        text.push_str(piece.split_once('>').map_or("", |(_, after)| after));
    }
    for (entity, letter) in
        [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&apos;", "'"), ("&amp;", "&")]
    {
        text = text.replace(entity, letter);
    }
    flat(&text)
}

#[track_caller]
fn holds_all(surface: &str, protocol: &str, text: &str, cautions: &[Note]) {
    assert!(!cautions.is_empty(), "{protocol}");
    let mut rest = text;
    for caution in cautions {
        let wanted = flat(&caution.text);
        rest = rest
            .split_once(wanted.as_str())
            .unwrap_or_else(|| panic!("{surface} of {protocol} lacks: {}", caution.text))
            .1;
    }
}

#[test]
fn every_caution_is_whole_in_every_writer_at_every_width() {
    let about = Heading { workshop: "Demo".into(), bike: "Larch 150".into(), drawn: "1 Jan".into() };
    for protocol in protocols() {
        for inspected in runs(protocol) {
            let inspection = compose(&inspected, &inspected.judgement());
            let (id, cautions) = (protocol.id.as_str(), &inspection.cautions);
            for width in [1, 20, 33, 80, 300] {
                holds_all("text", id, &flat(&text(&inspection, &about, width, Style::Plain)), cautions);
                holds_all("message", id, &flat(&message(&inspection, width, Style::Plain)), cautions);
            }
            holds_all("Markdown", id, &flat(&markdown(&inspection, &about).replace('\\', "")), cautions);
            holds_all("page", id, &words_of(&html(&inspection, &about)), cautions);
            let value: serde_json::Value = serde_json::from_str(&json(&inspection, &about)).unwrap();
            let told: Vec<&str> =
                value["cautions"].as_array().unwrap().iter().map(|it| it["text"].as_str().unwrap()).collect();
            assert_eq!(told, cautions.iter().map(|it| it.text.as_str()).collect::<Vec<_>>());
        }
    }
}

#[test]
fn every_caution_is_whole_in_every_writer_of_an_answer() {
    let record = record::parse("b", "name = \"Larch\"\n[chart]\nreach = 450\n[cockpit]\nspacers_below = 20")
        .unwrap()
        .record;
    for protocol in protocols() {
        // The runs with the worst of each grade.
        let all = runs(protocol);
        for grade in protocol.grades() {
            let Some(inspected) = all
                .iter()
                .filter(|it| it.judgement().grade == grade)
                .max_by_key(|it| it.judgement().cautions.len())
            else {
                continue;
            };
            for lines in [&[][..], &["spacers below 5"][..]] {
                let changes = read_changes(lines).unwrap().changes;
                let question = Question {
                    asked: "is it safe?".into(),
                    record: record.clone(),
                    changes,
                    inspections: vec![inspected.clone()],
                };
                let findings = answer(question).unwrap();
                let sheet = sheet_of(&findings, &Title::default());
                let id = protocol.id.as_str();
                let of_inspection = inspected.judgement().cautions;
                for caution in of_inspection {
                    assert!(
                        sheet.cautions.iter().any(|note| note.text == caution.text),
                        "{id}: {}",
                        caution.id
                    );
                }
                let cautions = &sheet.cautions;
                for width in [20, 80] {
                    holds_all("text", id, &flat(&whole_text::text(&sheet, width, Style::Plain)), cautions);
                    holds_all(
                        "short text",
                        id,
                        &flat(&whole_text::short(&sheet, width, Style::Plain)),
                        cautions,
                    );
                }
                holds_all(
                    "Markdown",
                    id,
                    &flat(&whole_markdown::markdown(&sheet).replace('\\', "")),
                    cautions,
                );
                holds_all("page", id, &words_of(&whole::html(&sheet)), cautions);
                holds_all("drawing", id, &words_of(&drawing::sheet_svg(&sheet)), cautions);
                let value: serde_json::Value = serde_json::from_str(&whole_json::json(&findings)).unwrap();
                let told: Vec<&str> = value["cautions"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|it| it["text"].as_str().unwrap())
                    .collect();
                assert_eq!(told, cautions.iter().map(|it| it.text.as_str()).collect::<Vec<_>>());
                // The grade is told in its own words, and nothing reads as if it were cleared.
                let page = whole::html(&sheet);
                assert!(page.contains(grade.words()), "{id}");
                if grade >= Grade::Inspect {
                    assert!(sheet.answer.tone == tone_of(grade), "{id} {:?}", sheet.answer);
                }
            }
        }
    }
}

#[test]
fn a_blank_form_holds_everything_that_could_be_told() {
    for protocol in protocols() {
        let page = words_of(&blank(protocol, &Heading::default()));
        let cautions: Vec<Note> =
            protocol.all_cautions().iter().map(|it| Note { text: it.text.clone(), source: 0 }).collect();
        holds_all("form", &protocol.id, &page, &cautions);
        for step in &protocol.steps {
            assert!(page.contains(&flat(&step.ask)), "{}", step.ask);
            for answer in &step.answers {
                assert!(page.contains(&flat(&answer.say)), "{}", answer.say);
            }
        }
    }
}

#[test]
fn the_json_keeps_to_its_schema() {
    let schema: serde_json::Value = serde_json::from_str(SCHEMA).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap_or_else(|error| panic!("{error}"));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for protocol in protocols() {
        for inspected in runs(protocol) {
            let written = json(&compose(&inspected, &inspected.judgement()), &Heading::default());
            let value = serde_json::from_str(&written).unwrap();
            let faults: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
            assert!(faults.is_empty(), "{}: {faults:?}", protocol.id);
        }
    }
}

#[test]
fn what_was_not_checked_is_said_in_every_format() {
    let protocol = knockon_trade::inspection::protocol("carbon-frame").unwrap();
    let clean = observed(&protocol.steps[0], 0);
    let inspected = Inspected {
        number: String::new(),
        part: String::new(),
        protocol,
        edition: 1,
        observations: vec![clean],
        signed: String::new(),
    };
    let judgement = judge(protocol, &inspected.observations);
    let inspection = compose(&inspected, &judgement);
    assert!(inspection.unchecked.len() >= 8 && inspection.next.is_some());
    let about = Heading::default();
    let formats = [
        flat(&text(&inspection, &about, 80, Style::Plain)),
        flat(&markdown(&inspection, &about)),
        words_of(&html(&inspection, &about)),
    ];
    for written in formats {
        for ask in &inspection.unchecked {
            assert!(written.contains(&flat(ask)), "{ask}");
        }
        for what in &inspection.not_seen {
            assert!(written.contains(&flat(what)), "{what}");
        }
        assert!(written.contains(&flat("Looked at by")) && written.contains(&flat(OPEN)));
    }
}

#[test]
fn what_somebody_typed_is_words_and_marks_stay_on_the_photo() {
    let protocol = knockon_trade::inspection::protocol("carbon-frame").unwrap();
    let mut observation = observed(&protocol.steps[1], 0);
    observation.note = "<script>alert(1)</script> | **b**".to_owned();
    let inspected = Inspected {
        number: "1".into(),
        part: "<img src=x onerror=alert(1)>".into(),
        protocol,
        edition: 1,
        observations: vec![observation],
        signed: "\"><b>x".into(),
    };
    let mut inspection = compose(&inspected, &inspected.judgement());
    let marks = "circle 99 1 6 <b>here</b>\nmeasure 20 30 60 32 35 mm";
    inspection.photos.push(Photo {
        href: data_uri("image/jpeg", b"\xff\xd8"),
        width: 400,
        height: 300,
        caption: "<i>down tube</i>".into(),
        marks: knockon_trade::inspection::mark::read_marks(marks).unwrap(),
    });
    let page = html(&inspection, &Heading::default());
    assert!(
        !page.contains("<script>")
            && !page.contains("<img")
            && !page.contains("<b>")
            && !page.contains("<i>")
    );
    assert!(page.contains("href=\"data:image/jpeg;base64,/9g=\""));
    assert!(page.contains("2 marks"));
    // Numbers of marks stay within the picture: 1000 wide, 750 tall.
    let numbers = page.split("class=\"number\" cx=\"").skip(1).map(|rest| {
        let (x, rest) = rest.split_once('"').unwrap();
        let y = rest.split_once("cy=\"").unwrap().1.split('"').next().unwrap();
        (x.parse::<f64>().unwrap(), y.parse::<f64>().unwrap())
    });
    for (x, y) in numbers {
        assert!((20.0..=980.0).contains(&x) && (20.0..=730.0).contains(&y), "{x} {y}");
    }
}
