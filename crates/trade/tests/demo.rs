//! The demo workshop from end to end. Its bikes and questions are invented; what is expected of them is worked out here
//! by hand or by plane geometry, not taken from the program.

use std::collections::BTreeSet;

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::audit::{Audit, audit};
use knockon_trade::build::Build;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::question::{Question, read_changes, read_question};
use knockon_trade::record::parse;
use knockon_trade::urgent::words_in;
use knockon_trade::verdict::Verdict;

fn ask(bike: &str, changes: &[&str]) -> Findings {
    let record = demo::bike(bike).expect("a bike of the workshop");
    let changes = read_changes(changes).expect("changes").changes;
    answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }).expect("an answer")
}

fn answered(start: &str) -> Findings {
    let stem = demo::questions().iter().find(|(stem, _)| stem.starts_with(start)).expect("a question").0;
    answer(demo::question(stem)).expect("an answer")
}

fn verdict<'a>(findings: &'a Findings, requirement: &str) -> &'a Verdict {
    findings.verdicts.iter().find(|verdict| verdict.requirement == requirement).expect("a verdict on it")
}

fn difference(findings: &Findings, quantity: Quantity) -> f64 {
    let knock_on =
        findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity).expect("a knock-on");
    knock_on.difference.unwrap_or_else(|| panic!("{} has no difference", quantity.id()))
}

fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

fn audited(bike: &str) -> Audit {
    audit(&Build::new(&demo::bike(bike).expect("a bike of the workshop")).expect("a possible bike"))
}

#[test]
fn every_bike_is_read_says_that_it_is_invented_and_survives_being_written() {
    assert!(demo::bikes().len() >= 8);
    let mut warnings = Vec::new();
    for (stem, text) in demo::bikes() {
        let parsed = parse(stem, text).unwrap_or_else(|errors| panic!("{stem}: {errors:?}"));
        warnings.extend(parsed.warnings.iter().map(|warning| format!("{stem}: {warning}")));
        let note = parsed.record.note.as_deref().unwrap_or_default();
        assert!(note.starts_with("Invented for the demo workshop."), "{stem}: {note}");
        let again =
            parse(stem, &parsed.record.to_toml()).unwrap_or_else(|errors| panic!("{stem}: {errors:?}"));
        assert_eq!(again.record, parsed.record, "{stem}");
    }
    println!("{}", warnings.join("\n"));
    assert!(warnings.len() <= 4, "{warnings:#?}");
}

#[test]
fn every_question_is_answered() {
    assert!(demo::questions().len() >= 10);
    let mut used = BTreeSet::new();
    for (stem, text) in demo::questions() {
        let asked = read_question(stem, text).unwrap_or_else(|errors| panic!("{stem}: {errors:?}"));
        assert!(!asked.asked.is_empty(), "{stem}");
        used.insert(asked.bike);
        let findings = answer(demo::question(stem)).unwrap_or_else(|error| panic!("{stem}: {error}"));
        assert_eq!(findings.revisions.len(), asked.changes.len(), "{stem}");
        // It says something: a limit is judged, or a quantity moves.
        let moved = findings.knock_ons.iter().filter(|knock_on| knock_on.moved()).count();
        let verdicts: Vec<String> = findings
            .verdicts
            .iter()
            .map(|v| format!("{:?} {:?} {:?}: {}", v.outcome, v.margin, v.margin_pm, v.sentence))
            .collect();
        println!("{stem}: {moved} moved\n  {}", verdicts.join("\n  "));
        // As it came in, a question has no changes yet: then nothing moves, and the bike is told as it stands.
        let says = if asked.changes.is_empty() {
            moved == 0 && findings.knock_ons.iter().any(|knock_on| knock_on.before.is_some())
        } else {
            moved > 0 || !verdicts.is_empty()
        };
        assert!(says, "{stem}");
    }
    let all: BTreeSet<String> = demo::bikes().iter().map(|(stem, _)| (*stem).to_owned()).collect();
    assert_eq!(used, all, "every bike has a question");
}

#[test]
fn the_urgent_questions_are_marked_and_no_others() {
    let marked: Vec<(&str, Vec<&str>)> = demo::questions()
        .iter()
        .map(|(stem, text)| (&stem[..2], words_in(&read_question(stem, text).expect("a question").asked)))
        .filter(|(_, words)| !words.is_empty())
        .collect();
    let expected =
        [("16", vec!["crack", "is it safe"]), ("17", vec!["brake trouble"]), ("18", vec!["slipping post"])];
    assert_eq!(marked, expected);
}

#[test]
fn the_questions_show_all_four_outcomes() {
    for (start, requirement, outcome) in [
        ("01", "axle_to_crown", Outcome::DoesNotFit),
        ("02", "rear_clearance", Outcome::MeasureFirst),
        ("03", "bar_clamp", Outcome::DoesNotFit),
        ("04", "axle_to_crown", Outcome::CannotSay),
        ("05", "spacers_below", Outcome::Fits),
        ("06", "axle_to_crown", Outcome::Fits),
        ("07", "rear_clearance", Outcome::Fits),
        ("14", "steerer_length", Outcome::MeasureFirst),
    ] {
        let findings = answered(start);
        let verdict = verdict(&findings, requirement);
        assert_eq!(verdict.outcome, outcome, "{start}: {}", verdict.sentence);
        // Worst first, so the first verdict is the answer's.
        assert_eq!(findings.verdicts[0].outcome, outcome, "{start}: {}", findings.verdicts[0].sentence);
    }
}

#[test]
fn the_long_fork_is_ten_millimetres_too_long() {
    // 566 mm allowed − 576 mm = −10 mm; the lower headset part stays.
    let findings = answered("01");
    let verdict = verdict(&findings, "axle_to_crown");
    close(verdict.margin.expect("a margin"), -10.0, 1e-9);
    // Without the fork, in the chart pose at 64.5°: 15 mm of spacers from below, 15 mm more rise standing upright.
    // Reach +15·cos 64.5° = +6.46, stack −15·sin 64.5° + 15 = +1.46. Common practice, no source.
    let without = findings.without.as_ref().expect("what remains without the fork");
    assert_eq!(without.letters, ['A']);
    let remains =
        |quantity| without.differences.iter().find(|(known, _)| *known == quantity).expect("a difference").1;
    close(remains(Quantity::GripReach), 6.46, 0.05);
    close(remains(Quantity::GripStack), 1.46, 0.05);
    // The trade's rule of thumb: 20 mm more axle to crown slackens an adult bike's head angle by 0.8 to 1°. Common
    // practice, no source.
    let slacker = -difference(&findings, Quantity::HeadAngle);
    assert!((0.8..=1.0).contains(&slacker), "{slacker}");
}

#[test]
fn revisions_show_what_the_record_says() {
    let shown = |start| {
        let revisions = answered(start).revisions;
        revisions
            .into_iter()
            .map(|revision| format!("{} → {}", revision.before, revision.after))
            .collect::<Vec<_>>()
    };
    assert_eq!(shown("01"), ["556 → 576", "20 → 5", "25 → 40"]);
    assert_eq!(shown("06"), ["0 → −1.5", "1 → 12", "15 → 5"]);
    // Of two steps the second starts where the first ends.
    let twice = ask("larch-150", &["spacers below by -5", "spacers below by -10"]).revisions;
    assert_eq!((twice[1].before.as_str(), twice[1].after.as_str()), ("15", "5"));
    // A fork measured straight is shown as it was told, and so is the new one.
    let straight = &ask("sedge", &["fork axle-to-crown by 20"]).revisions[0];
    assert_eq!((straight.before.as_str(), straight.after.as_str()), ("506", "526"));
}

#[test]
fn spacers_move_the_grips_along_the_steerer() {
    // 15 mm less below the stem lets it slide 15 mm down the steering axis, whose direction is (cos HA, −sin HA).
    // Larch at 64.5°: cos = 0.4305, sin = 0.9026, so 6.46 mm forward and 13.54 mm down.
    // Teasel at 73.0°: cos = 0.2924, sin = 0.9563, so 4.39 mm forward and 14.34 mm down. Common practice, no source.
    for (bike, forward, down) in [("larch-150", 6.46, 13.54), ("teasel", 4.39, 14.34)] {
        let findings = ask(bike, &["spacers below by -15"]);
        close(difference(&findings, Quantity::GripReach), forward, 0.03);
        close(difference(&findings, Quantity::GripStack), -down, 0.03);
    }
}

#[test]
fn the_tyre_gap_asks_for_the_gap_to_be_measured() {
    // 61 → 64 mm: the radius grows by 3 mm, half of the width by 1.5. Of 9.5 mm remain 6.5, 0.5 more than the 6 mm of the
    // limit; the tape's ±2 reaches across.
    let findings = answered("02");
    let verdict = verdict(&findings, "rear_clearance");
    close(verdict.margin.expect("a margin"), 0.5, 0.6);
    assert!(verdict.margin_pm.expect("its tolerance") >= 2.0);
    assert_eq!(verdict.measure.as_ref().expect("what to measure").key, "wheel.rear.clearance");
}

#[test]
fn a_thick_bar_does_not_go_into_a_thin_clamp() {
    // 0.15 mm may differ; 35.0 − 31.8 = 3.2 do: −3.05.
    close(verdict(&answered("03"), "bar_clamp").margin.expect("a margin"), -3.05, 1e-9);
}

#[test]
fn what_is_missing_is_asked_for() {
    let findings = answered("04");
    assert!(verdict(&findings, "axle_to_crown").missing.contains(&"fork.axle_to_crown_allowed"));
    assert!(findings.missing.iter().any(|missing| missing.key == "fork.axle_to_crown_allowed"));
}

#[test]
fn the_outside_cup_counts_as_fork_length() {
    // 577 mm and 11 mm more of lower headset part against 590 mm: 2 mm to spare. The steerer gets 11 mm longer in its
    // way down and 10 mm of spacers are taken off: 183 + 11 − 10 = 184 of 187 mm.
    let findings = answered("06");
    close(verdict(&findings, "axle_to_crown").margin.expect("a margin"), 2.0, 0.5);
    close(verdict(&findings, "steerer_length").margin.expect("a margin"), 3.0, 0.5);
    // Turning by 1.5° about the middle of the head tube lifts the front axle by (55 + 12 + 577)·(sin 63.5° − sin 62°) +
    // 44·(cos 62° − cos 63.5°) = 8.74 mm, the cup lowers it by 11·sin 63.5° = 9.84 mm: the nose comes up by
    // atan(1.1/1280) = 0.05°, and the head angle slackens by 1.55°.
    close(difference(&findings, Quantity::HeadAngle), -1.55, 0.03);
}

#[test]
fn moving_spacers_over_the_stem_needs_no_longer_steerer() {
    // The steerer is just long enough, and what is stacked on it stays 217 mm: nothing to measure.
    let findings = answered("05");
    let steerer = verdict(&findings, "steerer_length");
    assert_eq!((steerer.outcome, &steerer.measure), (Outcome::Fits, &None), "{}", steerer.sentence);
}

#[test]
fn smaller_rear_wheel_and_shorter_cranks_by_hand() {
    // A 584 instead of a 622 rim lowers the rear axle by 19 mm. Over a wheelbase of 1223 mm that is
    // atan(19/1223) = 0.89°: head and seat angle slacken by it.
    close(difference(&answered("07"), Quantity::HeadAngle), -0.89, 0.03);
    // Cranks 10 mm shorter and the saddle 10 mm higher: the foot is as far from the saddle as before, and the pedal
    // clears the ground by 10 mm more.
    let cranks = answered("08");
    close(difference(&cranks, Quantity::SaddleToPedal), 0.0, 1e-9);
    close(difference(&cranks, Quantity::PedalToGroundClearance), 10.0, 1e-9);
}

#[test]
fn a_shorter_stroke_takes_travel_by_about_the_leverage_ratio() {
    // 170/65 = 2.6; 5 mm of stroke are 13 mm of travel at the mean ratio and somewhat less at the end of a progressive
    // curve. Common practice, no source.
    let findings = answered("09");
    close(difference(&findings, Quantity::RearTravel), -13.0, 2.0);
    close(difference(&findings, Quantity::HeadAngle), 0.0, 1e-9);
}

#[test]
fn stem_and_bar_by_hand() {
    // A 100 mm stem from −6° to +6° against the normal of a 73° steerer: from 17 − 6 = 11° to 23° above level.
    // Up 100·(sin 23° − sin 11°) = 19.99, forward 100·(cos 23° − cos 11°) = −6.11.
    let stem = answered("11");
    close(difference(&stem, Quantity::GripStack), 19.99, 0.1);
    close(difference(&stem, Quantity::GripReach), -6.11, 0.1);
    // Hoods 80 mm ahead and 5 mm up, turned by 5° toward the rider: up 80·sin 5° − 5·(1 − cos 5°) = 6.95, forward
    // −80·(1 − cos 5°) − 5·sin 5° = −0.74.
    let roll = answered("12");
    close(difference(&roll, Quantity::GripStack), 6.95, 0.05);
    close(difference(&roll, Quantity::GripReach), -0.74, 0.05);
}

#[test]
fn only_the_contradicting_chart_has_suspects_and_its_wrong_row_is_one() {
    for (stem, _) in demo::bikes() {
        let audit = audited(stem);
        println!("{stem}: worst {:.2} mm, suspects {:?}", audit.worst_length, audit.suspects);
        if *stem == "bramble" {
            // Level on its wheels the frame needs a stack of drop + (head tube + lower stack + axle to crown)·sin HA −
            // offset·cos HA = 60 + 648·sin 65.5° − 44·cos 65.5° = 631.4; the chart says 619.
            let first = audit.suspects.first().expect("a suspect");
            // The effective top tube checks the stack a second time, so that no other row can be meant.
            assert_eq!((first.label.as_str(), first.alike.len(), audit.suspects.len()), ("Stack", 0, 1));
            close(first.expected.0, 631.4, first.expected.1);
        } else {
            assert!(audit.suspects.is_empty(), "{stem}");
            assert!(audit.worst_length < 3.0, "{stem}: {}", audit.worst_length);
        }
    }
}
