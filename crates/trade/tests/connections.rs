//! Do parts that join go together? What must never come out as "fits" stands here by name; the rows of the tables are walked.

use knockon_engine::requirement::Outcome;
use knockon_trade::change::parse as read_change;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::fit::connection::Joins;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{Record, parse};
use knockon_trade::tables;
use knockon_trade::verdict::Verdict;

fn ask(record: Record, changes: &[&str]) -> Findings {
    let changes = read_changes(changes).unwrap_or_else(|errors| panic!("{changes:?}: {errors:?}")).changes;
    answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }).expect("an answer")
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
    assert!(verdict.needs.as_ref().expect("an adapter").contains("5 mm a side"), "{verdict:?}");
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
    assert!(findings.fits.iter().any(|it| it.verdict.requirement == "rear_axle"));
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
        // Words in another order, and too few of them.
        ("headset lower ZS56/40", "nothing on a bike is called", "did you mean `lower headset`?"),
        ("rotor 180", "nothing on a bike is called", "did you mean `front rotor` or `rear rotor`?"),
        ("hub 15x110", "nothing on a bike is called", "`front hub`"),
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
        for key in [holder, held] {
            let detail = tables::detail(key).unwrap_or_else(|| panic!("{key} is no key of a record"));
            assert!(!detail.say.is_empty(), "no change can name {key}");
            assert!(tables::parts().iter().any(|part| part.keys.contains(key)), "{key} is of no part");
        }
        let [to, from] = [connection.standards(0), connection.standards(1)];
        assert!(!to.is_empty() && !from.is_empty(), "{}", connection.id);
        assert!(connection.source.len() > 6 && !connection.advice.is_empty());
        for adapter in &connection.adapters {
            assert!(adapter.source.len() > 6 && !adapter.changes.is_empty());
            for (one, other) in
                adapter.from.iter().flat_map(|one| adapter.to.iter().map(move |other| (one, other)))
            {
                assert!(from.iter().any(|row| row.name == *one), "{}: {one}", connection.id);
                assert!(to.iter().any(|row| row.name == *other), "{}: {other}", connection.id);
                assert!(
                    matches!(connection.joins(other, one), Joins::With(_)),
                    "{one} and {other} need nothing between"
                );
                let serves = |row: &&knockon_trade::fit::connection::Adapter| {
                    row.from.contains(one) && row.to.contains(other)
                };
                assert_eq!(
                    connection.adapters.iter().filter(serves).count(),
                    1,
                    "{}: {one} to {other}",
                    connection.id
                );
            }
        }
        // A shim fills a tube that is wider than the post, never the other way round.
        if connection.id == "seat_post" {
            let width = |name: &String| name.parse::<f64>().expect("millimetres");
            for adapter in &connection.adapters {
                assert!(adapter.from.iter().all(|from| adapter.to.iter().all(|to| width(from) < width(to))));
            }
        }
        // Every standard of either side has something that it goes together with, or the row is of no use.
        for row in to {
            let some =
                from.iter().any(|other| !matches!(connection.joins(&row.name, &other.name), Joins::Not));
            assert!(
                some || LONELY.contains(&row.name.as_str()),
                "{}: nothing goes into {}",
                connection.id,
                row.name
            );
        }
        for row in from {
            let some = to.iter().any(|other| !matches!(connection.joins(&other.name, &row.name), Joins::Not));
            assert!(
                some || LONELY.contains(&row.name.as_str()),
                "{}: {} goes nowhere",
                connection.id,
                row.name
            );
        }
    }
    // Every end of a record is of some connection.
    let ends =
        tables::details().iter().filter(|row| row.interface.as_deref().is_some_and(|id| id != "condition"));
    for detail in ends {
        assert!(tables::connections().iter().any(|row| row.ends.contains(&detail.key)), "{}", detail.key);
    }
}

/// Standards of which the tables know no counterpart: seats without a headset of that code, and what only one side has.
const LONELY: [&str; 11] = [
    "22 mm",
    "EC30",
    "IS47",
    "IS49",
    "ZS55",
    "BSA 83",
    "friction, no clicks",
    "1/8 inch, one cog",
    "5 to 7 cogs",
    "press fit 41 × 132",
    "quill 25.4",
];

/// Two standards that go together by themselves have the figures that both of them name in common, whichever side names the other.
#[test]
fn what_goes_together_has_the_same_figures() {
    for interface in tables::interfaces() {
        for row in &interface.standards {
            for (other, names) in &row.into {
                let other = tables::interface(other).unwrap_or_else(|| panic!("{} names {other}", row.name));
                assert!(!names.is_empty());
                for name in names {
                    let target = other
                        .named(name)
                        .unwrap_or_else(|| panic!("{}: {name} is none of {}", row.name, other.id));
                    for measure in tables::measures() {
                        if let (Some(a), Some(b)) = (row.nominal(&measure.id), target.nominal(&measure.id)) {
                            assert_eq!(a, b, "{} and {name}: {}", row.name, measure.id);
                        }
                    }
                }
            }
        }
    }
    for connection in tables::connections() {
        let (holders, held) = (connection.standards(0), connection.standards(1));
        if !std::ptr::eq(holders, held) {
            continue;
        }
        // Of one interface the same name always joins and another one never does, whichever way round; an adapter has one way.
        for (one, other) in holders.iter().flat_map(|one| held.iter().map(move |other| (one, other))) {
            let [there, back] =
                [(one, other), (other, one)].map(|(to, from)| connection.joins(&to.name, &from.name));
            let directly = |it: &Joins| matches!(it, Joins::Directly);
            assert_eq!((directly(&there), directly(&back)), (one.name == other.name, one.name == other.name));
            let with = |it: &Joins| matches!(it, Joins::With(_));
            let both_ways = connection.id == "rear_caliper";
            assert!(
                both_ways || !with(&there) || !with(&back),
                "{}: {} and {}",
                connection.id,
                one.name,
                other.name
            );
        }
    }
}

/// S.H.I.S. (trade press): the figure before the stroke is the head tube's bore in whole millimetres, the one behind it the steerer
/// above and the crown race seat below.
#[test]
fn headset_codes_say_what_they_go_into() {
    let figure = |interface: &str, name: &str, measure: &str| {
        let row = tables::interface(interface).and_then(|row| row.named(name)).expect(name);
        row.nominal(measure).unwrap_or_else(|| panic!("{name} has no {measure}"))
    };
    for (half, measure) in [("upper_headset", "steerer_diameter"), ("lower_headset", "crown_race_seat")] {
        for row in &tables::interface(half).expect(half).standards {
            let (seat, held) = row.name.split_once('/').expect("a code");
            let bore: f64 = seat[2..].parse().expect("a bore");
            for name in &row.into["head_tube"] {
                assert!(name.contains(seat), "{} goes into {name}", row.name);
                assert!((figure("head_tube", name, "head_tube_bore") - bore).abs() < 1.0, "{}", row.name);
            }
            let held: f64 = held.parse().expect("a diameter");
            for name in &row.into["steerer"] {
                assert!((figure("steerer", name, measure) - held).abs() < 0.5, "{} holds {name}", row.name);
            }
        }
    }
}

/// What a click pulls times the derailleur's ratio is the distance from cog to cog: 4.8, 4.35, 3.95 mm with 8, 9, 10 cogs, 3.75 to 3.9
/// with 11 and 3.55 to 3.65 with 12 (a private page on shifting, seen; the rule is plain arithmetic).
#[test]
fn pull_times_ratio_is_the_pitch_of_the_cogs() {
    let pitches = [(8, 4.8, 4.8), (9, 4.35, 4.35), (10, 3.95, 4.05), (11, 3.75, 3.9), (12, 3.55, 3.65)];
    for row in &tables::interface("shifter").expect("shifters").standards {
        let Some(pull) = row.nominal("click_pull") else { continue };
        let cogs: u32 = row.into["chain"][0].trim_end_matches(" cogs").parse().expect("a number of cogs");
        let ratio: f64 = row.into["derailleur"][0].trim_start_matches("ratio ").parse().expect("a ratio");
        let (_, least, most) = pitches.iter().find(|(known, ..)| *known == cogs).expect("a pitch");
        let pitch = pull * ratio;
        assert!(pitch > least - 0.1 && pitch < most + 0.1, "{}: {pitch}", row.name);
    }
}

/// Threads by their own standards: the core of a screw thread is 1.0825 pitches narrower (ISO 68-1), which is what a calliper finds over
/// the tips of a nut's thread. 1.370 inch × 24, 36 mm × 24 an inch (a private page on bottom-bracket threading), M47 × 1.
#[test]
fn shells_with_a_thread_measure_its_core() {
    for (name, outer, pitch) in
        [("BSA 68", 1.37 * 25.4, 25.4 / 24.0), ("Italian 70", 36.0, 25.4 / 24.0), ("T47 68", 47.0, 1.0)]
    {
        let core = outer - 1.0825 * pitch;
        let bore = tables::interface("shell")
            .and_then(|row| row.named(name))
            .and_then(|row| row.nominal("shell_bore"));
        assert!((bore.expect(name) - core).abs() < 0.1, "{name}: {core}");
    }
}

/// A tyre's size is no number of the record, and a change sets it all the same.
fn is_tyre(key: &str) -> bool {
    ["wheel.front.tyre", "wheel.rear.tyre"].contains(&key)
}

/// Threads named in inches: 1.375 inch × 24 is 34.92 × 1.058 mm (a private page on freewheels; ISO 6698 by its title), 9/16 inch is 14.29 mm
/// and 1/2 inch 12.70 (arithmetic; ISO 6695 by its title). A calliper over a thread finds a little less, its tips being rounded.
#[test]
fn threads_measure_a_little_less_than_their_names() {
    for (interface, name, measure, outer) in [
        ("freehub", "freewheel thread 1.375 inch × 24", "freewheel_thread", 1.375 * 25.4),
        ("pedal_thread", "9/16 inch × 20", "pedal_thread", 25.4 * 9.0 / 16.0),
        ("pedal_thread", "1/2 inch × 20", "pedal_thread", 25.4 / 2.0),
    ] {
        let row = tables::interface(interface).and_then(|row| row.named(name)).expect(name);
        let figure = row.nominal(measure).expect(measure);
        assert!(figure <= outer && outer - figure < 0.2, "{name}: {figure} of {outer}");
    }
}

#[test]
fn parts_and_limits_refer_to_what_there_is() {
    let known = |key: &str| tables::property(key).is_some() || tables::detail(key).is_some() || is_tyre(key);
    let mut of_part = std::collections::BTreeSet::new();
    for part in tables::parts() {
        assert!(part.source.len() > 6, "{}", part.id);
        for key in part.keys.iter().chain(&part.another) {
            assert!(known(key), "{} has {key}", part.id);
        }
        for key in &part.keys {
            assert!(of_part.insert(key.as_str()), "{key} is of two parts");
        }
        // What makes it another one can be changed.
        for key in &part.another {
            assert!(is_tyre(key) || tables::property(key).is_some_and(|row| !row.say.is_empty()), "{key}");
        }
    }
    let mut ids = std::collections::BTreeSet::new();
    let connections = tables::connections().iter().map(|row| row.id.as_str());
    let others = tables::requirements().iter().map(|row| row.id.as_str());
    for id in connections.chain(others).chain(tables::limits().iter().map(|row| row.id.as_str())) {
        assert!(ids.insert(id), "{id} names two verdicts");
    }
    for limit in tables::limits() {
        assert!(limit.source.len() > 6 && limit.keys.iter().all(|key| known(key)), "{}", limit.id);
        assert!(
            limit
                .keys
                .iter()
                .any(|key| tables::property(key).is_some_and(|row| !row.say.is_empty()) || is_tyre(key))
        );
    }
}
