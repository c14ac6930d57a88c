//! Do parts that join go together? What must never come out as "fits" stands here by name; the rows of the tables are walked.

use knockon_engine::requirement::Outcome;
use knockon_trade::change::parse as read_change;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, Verdict, answer};
use knockon_trade::interface::connection::Joins;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{Record, parse};
use knockon_trade::tables;

fn ask(record: Record, changes: &[&str]) -> Findings {
    let changes = read_changes(changes).unwrap_or_else(|errors| panic!("{changes:?}: {errors:?}")).changes;
    answer(Question { asked: String::new(), record, changes }).expect("an answer")
}

fn bulrush(changes: &[&str]) -> Findings {
    ask(demo::bike("bulrush-150").expect("a demo bike"), changes)
}

fn told<'a>(findings: &'a Findings, connection: &str) -> &'a Verdict {
    findings.verdicts.iter().find(|verdict| verdict.requirement == connection).expect("a verdict on it")
}

#[test]
fn what_does_not_go_together_never_fits() {
    for (connection, change) in [
        // The classic: the same axle, another width.
        ("front_axle", "front hub 15x100"),
        ("front_axle", "front hub 20x110"),
        ("front_axle", "fork axle 9x100"),
        ("rear_axle", "rear hub 12x142"),
        ("rear_axle", "rear hub 12x157"),
        ("rear_axle", "frame axle 10x135"),
        ("seat_post", "seat post 27.2"),
        ("seat_post", "seat post 31.8"),
        ("seat_post", "seat post 34.9"),
        ("saddle_rails", "saddle rails 7x9"),
        ("front_caliper", "front caliper flat mount, front"),
        ("rear_caliper", "rear caliper IS"),
        ("rear_caliper", "frame brake mount IS"),
    ] {
        let findings = bulrush(&[change]);
        let verdict = told(&findings, connection);
        assert_eq!(verdict.outcome, Outcome::DoesNotFit, "{change}: {}", verdict.sentence);
    }
}

#[test]
fn an_adapter_is_named_with_what_it_brings_along() {
    let findings = bulrush(&["front hub 15x100"]);
    let verdict = told(&findings, "front_axle");
    assert!(verdict.needs.expect("an adapter").contains("5 mm a side"), "{verdict:?}");
    assert!(verdict.sentence.contains("not as they are, but with") && verdict.sentence.contains("rotor"));
    // A thinner post takes a shim, a thicker one nothing at all.
    assert!(told(&bulrush(&["seat post 27.2"]), "seat_post").needs.is_some());
    assert!(told(&bulrush(&["seat post 34.9"]), "seat_post").needs.is_none());
}

#[test]
fn what_nothing_mends_comes_before_what_an_adapter_does() {
    let findings = bulrush(&["front hub 15x100", "seat post 34.9"]);
    let first: Vec<&str> = findings.verdicts.iter().take(2).map(|verdict| verdict.requirement).collect();
    assert_eq!(first, ["seat_post", "front_axle"]);
}

#[test]
fn what_is_changed_together_is_judged_together() {
    let findings = bulrush(&["fork axle 20x110", "front hub 20x110"]);
    assert_eq!(told(&findings, "front_axle").outcome, Outcome::Fits);
    // What nobody touches and what holds is not on the sheet, and is known all the same.
    assert!(findings.verdicts.iter().all(|verdict| verdict.requirement != "rear_axle"));
    assert!(findings.connections.iter().any(|it| it.verdict.requirement == "rear_axle"));
}

#[test]
fn what_is_not_known_is_asked_for() {
    let record = parse("bike", "name = \"Invented\"").expect("a record").record;
    let findings = ask(record, &["front hub 15x110"]);
    let verdict = told(&findings, "front_axle");
    assert_eq!((verdict.outcome, verdict.missing.as_slice()), (Outcome::CannotSay, &["fork.axle"][..]));
    let asked = findings.missing.iter().find(|missing| missing.key == "fork.axle").expect("a question");
    assert!(asked.ask.contains("axle") && asked.how.contains("ruler"), "{asked:?}");
}

#[test]
fn a_mismatch_that_the_record_has_already_is_told_whatever_is_asked() {
    let text = "[fork]\naxle = \"15 × 110\"\n[wheel.front]\naxle = \"15 × 100\"";
    let findings = ask(parse("bike", text).expect("a record").record, &["bar rise 30"]);
    assert_eq!(told(&findings, "front_axle").outcome, Outcome::DoesNotFit);
}

#[test]
fn names_are_read_as_people_write_them_and_written_as_they_stand() {
    for (line, standard) in [
        ("fork axle 15x110", "15 × 110"),
        ("Fork axle to 15 x 110", "15 × 110"),
        ("rear hub 10x135", "10 × 135 quick release"),
        ("seat post 27.2", "27.2"),
        ("saddle rails 7x9", "7 × 9 oval"),
        ("rear caliper flat mount, rear", "flat mount, rear"),
        ("frame brake-mount is", "IS"),
    ] {
        let change = read_change(line).unwrap_or_else(|problem| panic!("{line}: {problem}")).change;
        let written = change.to_string();
        assert!(written.ends_with(standard), "{line}: {written}");
        assert_eq!(read_change(&written).expect(&written).change, change);
    }
    // A longer name of a number goes before.
    let number = read_change("fork axle to crown 576").expect("a number").change;
    assert_eq!(number.key(), "fork.axle_to_crown");
    for (line, message, help) in [
        ("fork axle", "`fork axle` to what?", "say for example `fork axle 15 × 110`"),
        ("fork axle 15x111", "cannot be `15x111`", "did you mean `15 × 110`?"),
        ("fork axel 15x110", "nothing on a bike is called", "did you mean `fork axle`?"),
    ] {
        let problem = read_change(line).expect_err(line);
        assert!(problem.message.contains(message), "{line}: {problem}");
        assert!(problem.help.as_deref().unwrap_or_default().contains(help), "{line}: {:?}", problem.help);
    }
}

#[test]
fn a_record_keeps_them() {
    let text = "[frame]\nseat_tube = 27.2\n[fork]\naxle = \"15x110\"\n[brake.rear]\nmount = \"is\"";
    let record = parse("bike", text).expect("a record").record;
    assert_eq!(record.ends["frame.seat_tube"], "27.2");
    assert_eq!((record.ends["fork.axle"], record.ends["brake.rear.mount"]), ("15 × 110", "IS"));
    let again = parse("again", &record.to_toml()).expect("what was written").record;
    assert_eq!(again, record);
    let problems = parse("bike", "[fork]\naxle = \"15 × 111\"").expect_err("no such axle");
    assert!(problems[0].message.contains("`fork.axle` cannot be"), "{}", problems[0]);
    assert!(problems[0].help.as_deref().unwrap_or_default().contains("15 × 110"));
}

#[test]
fn every_row_refers_to_what_there_is() {
    for connection in tables::connections() {
        let [holder, held] = connection.ends.as_slice() else { panic!("{} has two ends", connection.id) };
        let interface = |key: &str| {
            let detail = tables::detail(key).unwrap_or_else(|| panic!("{key} is no key of a record"));
            assert!(!detail.say.is_empty(), "no change can name {key}");
            tables::interface(detail.interface.as_deref().expect("an interface")).expect("of the table")
        };
        let (to, from) = (interface(holder), interface(held));
        assert_eq!(to.id, from.id, "{}", connection.id);
        assert!(connection.source.len() > 6 && !connection.advice.is_empty());
        for adapter in &connection.adapters {
            let known = |name: &str| to.standards.iter().any(|row| row.name == name);
            assert!(known(&adapter.from) && known(&adapter.to), "{}: {adapter:?}", connection.id);
            assert_ne!(adapter.from, adapter.to);
            assert!(adapter.source.len() > 6 && !adapter.changes.is_empty());
            assert!(matches!(connection.joins(&adapter.to, &adapter.from), Joins::With(_)));
            let twins =
                connection.adapters.iter().filter(|it| it.from == adapter.from && it.to == adapter.to);
            assert_eq!(twins.count(), 1, "{}: {adapter:?}", connection.id);
        }
        // The same standard on both sides always joins.
        for row in &to.standards {
            assert!(matches!(connection.joins(&row.name, &row.name), Joins::Directly));
        }
        // A shim fills a tube that is wider than the post, never the other way round.
        if connection.id == "seat_post" {
            for adapter in &connection.adapters {
                let width = |name: &str| name.parse::<f64>().expect("millimetres");
                assert!(width(&adapter.from) < width(&adapter.to), "{adapter:?}");
            }
        }
    }
    // Every end of a record is of some connection.
    for detail in tables::details().iter().filter(|detail| detail.interface.is_some()) {
        assert!(tables::connections().iter().any(|row| row.ends.contains(&detail.key)), "{}", detail.key);
    }
}
