//! Findings on small records made up for the purpose: how limits come out, what is asked for, and what follows from what.

mod larch;

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{Record, parse};
use knockon_trade::tables;
use knockon_trade::verdict::Verdict;

use larch::LARCH;

fn ask(record: Record, changes: &[&str]) -> Findings {
    let changes = read_changes(changes).unwrap_or_else(|errors| panic!("{changes:?}: {errors:?}")).changes;
    answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }).expect("an answer")
}

fn record(text: &str) -> Record {
    parse("bike", text).unwrap_or_else(|errors| panic!("{text}: {errors:?}")).record
}

fn verdict<'a>(findings: &'a Findings, requirement: &str) -> &'a Verdict {
    findings.verdicts.iter().find(|verdict| verdict.requirement == requirement).expect("a verdict on it")
}

fn difference(findings: &Findings, quantity: Quantity) -> (f64, f64) {
    let knock_on =
        findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity).expect("a knock-on");
    (knock_on.difference.expect("a difference"), knock_on.difference_pm.expect("its tolerance"))
}

/// A number that is known exactly.
fn exact(value: f64) -> String {
    format!("{{ value = {value}, known = \"measured\", tolerance = 0 }}")
}

/// A record with what the seven limits need, exactly; what each limit is compared with is left to the change.
fn limits() -> String {
    format!(
        "kind = \"full suspension\"\n[chart]\nhead_tube = {}\nchainstay = {}\n[fork]\naxle_to_crown = {}\naxle_to_crown_measured = \"along axis\"\n\
         axle_to_crown_allowed = [541, 566]\n[headset]\nupper_stack = {}\nlower_stack = {}\n\
         [cockpit]\nsteerer_length = {}\nspacers_below = {}\nspacers_above = {}\nspacers_allowed = {}\ntop_cap_gap = {}\n\
         [stem]\nclamp_height = {}\nbar_clamp = {}\n[wheel.front]\nradius = {}\nclearance = {}\n\
         [wheel.rear]\nradius = {}\nclearance = {}\n\
         [shock]\nstroke = {}\nstroke_most = {}\n[rear]\ntravel = {}\nbottom_clearance = {}\n\
         [drivetrain]\nring_teeth = 32\ncog_teeth = \"10-51\"\nchain_pieces = {}\nchain_growth = {}\n\
         derailleur_capacity = {}\nderailleur_cog_most = {}\n",
        exact(115.0),
        exact(440.0),
        exact(556.0),
        exact(12.0),
        exact(1.0),
        exact(200.0),
        exact(20.0),
        exact(5.0),
        exact(40.0),
        exact(3.0),
        exact(40.0),
        exact(31.8),
        exact(370.0),
        exact(12.0),
        exact(370.0),
        exact(12.0),
        exact(50.0),
        exact(60.0),
        exact(140.0),
        exact(30.0),
        exact(126.0),
        exact(20.0),
        exact(41.0),
        exact(51.0),
    )
}

/// A margin m ± U fits when m − U ≥ 0, does not fit when m + U < 0, and is measured first otherwise: each limit with its
/// margin worked out by hand.
#[test]
fn the_outcomes_of_every_limit_with_their_borders() {
    use Outcome::{DoesNotFit, Fits, MeasureFirst};
    let cases = [
        // 566 mm at most and 541 mm at least; tolerances below are those of the change.
        ("fork axle-to-crown 560 ± 2", "axle_to_crown", 6.0, Fits),
        ("fork axle-to-crown 564 ± 2", "axle_to_crown", 2.0, Fits),
        ("fork axle-to-crown 565 ± 2", "axle_to_crown", 1.0, MeasureFirst),
        ("fork axle-to-crown 568 ± 2", "axle_to_crown", -2.0, MeasureFirst),
        ("fork axle-to-crown 568.5 ± 2", "axle_to_crown", -2.5, DoesNotFit),
        ("fork axle-to-crown 543 ± 2", "axle_to_crown", 2.0, Fits),
        ("fork axle-to-crown 541 ± 2", "axle_to_crown", 0.0, MeasureFirst),
        ("fork axle-to-crown 539 ± 2", "axle_to_crown", -2.0, MeasureFirst),
        ("fork axle-to-crown 538 ± 2", "axle_to_crown", -3.0, DoesNotFit),
        // What the lower headset part grows by counts as fork: 556 + 9 = 565, 556 + 11 = 567.
        ("headset lower-stack 8 ± 0.5", "axle_to_crown", 3.0, Fits),
        ("headset lower-stack 12 ± 0.5", "axle_to_crown", -1.0, DoesNotFit),
        // 40 mm of spacers.
        ("spacers below 38 ± 2", "spacers_below", 2.0, Fits),
        ("spacers below 39 ± 2", "spacers_below", 1.0, MeasureFirst),
        ("spacers below 42 ± 2", "spacers_below", -2.0, MeasureFirst),
        ("spacers below 42.5 ± 2", "spacers_below", -2.5, DoesNotFit),
        // Needed 1 + 115 + 12 + 20 + 40 + 5 − 3 = 190 of 200 mm: 10 more below are the border.
        ("spacers below 27 ± 2", "steerer_length", 3.0, Fits),
        ("spacers below 30 ± 2", "steerer_length", 0.0, MeasureFirst),
        ("spacers below 33 ± 2", "steerer_length", -3.0, DoesNotFit),
        // 0.15 mm of difference still counts as the same size.
        ("bar clamp 31.8 ± 0.1", "bar_clamp", 0.15, Fits),
        ("bar clamp 31.7 ± 0.2", "bar_clamp", 0.05, MeasureFirst),
        ("bar clamp 35.0 ± 0.1", "bar_clamp", -3.05, DoesNotFit),
        // Of 12 mm around the tyre 6 mm must remain.
        ("front wheel radius 373 ± 2", "front_clearance", 3.0, Fits),
        ("front wheel radius 375 ± 2", "front_clearance", 1.0, MeasureFirst),
        ("front wheel radius 379 ± 2", "front_clearance", -3.0, DoesNotFit),
        ("rear wheel radius 373 ± 2", "rear_clearance", 3.0, Fits),
        ("rear wheel radius 377 ± 2", "rear_clearance", -1.0, MeasureFirst),
        ("rear wheel radius 379 ± 2", "rear_clearance", -3.0, DoesNotFit),
    ];
    for (change, requirement, margin, outcome) in cases {
        let findings = ask(record(&limits()), &[change]);
        let verdict = verdict(&findings, requirement);
        assert_eq!(verdict.outcome, outcome, "{change}: {verdict:?}");
        let found = verdict.margin.expect("a margin");
        // Nothing on a chart is taken for surer than a hundredth of a millimetre.
        assert!((found - margin).abs() < 1e-4, "{change}: {found}");
        assert_eq!(verdict.measure.is_some(), outcome == MeasureFirst, "{change}");
        assert!(verdict.missing.is_empty(), "{change}: {:?}", verdict.missing);
    }
}

/// What each limit needs is taken out of the record in turn: nobody can say then, and exactly that is asked for.
#[test]
fn a_missing_fact_is_asked_for_and_never_guessed_into_a_fit() {
    let change = |id: &str| match id {
        "axle_to_crown_most" | "axle_to_crown_least" => "fork axle-to-crown by 5",
        "steerer_length" | "spacers_below" => "spacers below by 5",
        "bar_clamp" => "bar clamp 31.8",
        "front_clearance" => "front wheel radius by 2",
        "rear_clearance" => "rear wheel radius by 2",
        "shock_stroke" | "bottom_clearance" => "shock stroke by 1",
        "capacity" => "derailleur capacity by 2",
        "largest_cog" => "derailleur largest cog by 1",
        "chain_length" => "chain pieces by 2",
        other => panic!("a limit that nobody asks about: {other}"),
    };
    let mut asked = 0;
    for text in tables::requirements() {
        let id = if text.id.starts_with("axle_to_crown") { "axle_to_crown" } else { text.id.as_str() };
        let whole = record(&limits());
        let findings = ask(whole.clone(), &[change(&text.id)]);
        assert_ne!(verdict(&findings, id).outcome, Outcome::CannotSay, "{id}: {:?}", verdict(&findings, id));
        for key in &text.needs {
            let mut silent = whole.clone();
            if key == "fork.axle_to_crown_allowed" {
                silent.axle_to_crown_allowed = None;
            } else if silent.series.remove(key.as_str()).is_some() {
                // Teeth are a series.
            } else if silent.facts.remove(key.as_str()).is_none() {
                // The change itself sets it.
                assert_eq!(key, "bar.clamp");
                continue;
            }
            // An ordinary stem clamp is 40 ± 6 mm high: a declared convention, not a guess, and it may be told.
            if key == "stem.clamp_height" {
                let findings = ask(silent, &[change(&text.id)]);
                let outcome = verdict(&findings, id).outcome;
                assert_eq!(outcome, Outcome::MeasureFirst, "5 ± 6 mm to spare");
                continue;
            }
            let findings = ask(silent, &[change(&text.id)]);
            let verdict = verdict(&findings, id);
            assert_eq!(verdict.outcome, Outcome::CannotSay, "{id} without {key}: {verdict:?}");
            assert_eq!(
                (verdict.margin, &verdict.missing[..]),
                (None, &[key.as_str()][..]),
                "{id} without {key}"
            );
            let missing = findings.missing.iter().find(|missing| missing.key == *key);
            let missing = missing.unwrap_or_else(|| panic!("{id} without {key}: not asked for"));
            assert!(!missing.ask.is_empty() && !missing.how.is_empty());
            asked += 1;
        }
    }
    assert!(asked >= 12, "{asked}");
}

#[test]
fn nothing_known_means_that_nothing_fits() {
    for changes in [
        ["fork axle-to-crown 576"],
        ["fork travel 170"],
        ["headset lower-stack 12"],
        ["spacers below 30"],
        ["bar clamp 35"],
        ["front tyre 64-622"],
        ["rear wheel radius 349"],
    ] {
        let findings = ask(Record::default(), &changes);
        assert!(!findings.verdicts.is_empty(), "{changes:?}");
        for verdict in &findings.verdicts {
            assert_eq!(verdict.outcome, Outcome::CannotSay, "{changes:?}: {verdict:?}");
        }
        assert!(!findings.missing.is_empty(), "{changes:?}");
    }
}

/// Common practice, no source: a telescopic fork with 10 mm more travel is 10 mm longer, unless its length is known.
#[test]
fn fork_travel_moves_axle_to_crown_one_for_one_unless_it_is_given() {
    let level = LARCH.replace("stack = 628", "stack = 615.6");
    let longer = |changes: &[&str]| {
        let (before, after) = ask(record(&level), changes).bikes;
        (after.axle_to_crown - before.axle_to_crown, after.axle_to_crown)
    };
    assert!((longer(&["fork travel 170"]).0 - 10.0).abs() < 1e-9);
    assert!((longer(&["fork travel by -20"]).0 + 20.0).abs() < 1e-9);
    assert_eq!(longer(&["fork travel 170", "fork axle-to-crown 561"]).1, 561.0);
    assert_eq!(longer(&["fork axle-to-crown 561", "fork travel 170"]).1, 561.0);
    // 566 mm are allowed: 10 mm more are just that long, 20 are too long.
    assert_eq!(
        verdict(&ask(record(&level), &["fork travel 180"]), "axle_to_crown").outcome,
        Outcome::DoesNotFit
    );
    assert_eq!(
        verdict(&ask(record(&level), &["fork travel 180", "fork axle-to-crown 561"]), "axle_to_crown")
            .outcome,
        Outcome::Fits
    );
}

/// Common practice, no source: spacers move the grips along the steering axis, whatever stem and bar are. At 65° 10 mm are
/// 9.06 mm down and 4.23 mm forward.
#[test]
fn a_half_empty_record_still_answers_a_difference() {
    let findings = ask(record("[chart]\nhead_angle = 65\n"), &["spacers below by -10"]);
    for (quantity, expected) in [(Quantity::GripStack, -9.06), (Quantity::GripReach, 4.23)] {
        let (moved, pm) = difference(&findings, quantity);
        assert!((moved - expected).abs() < 0.03, "{}: {moved}", quantity.id());
        assert!(pm < 1.0, "{}: ±{pm}", quantity.id());
        let knock_on =
            findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity).expect("a knock-on");
        // Where the grips are nobody has told; by how much they move follows all the same.
        assert_eq!((knock_on.before, knock_on.after), (None, None), "{}", quantity.id());
    }
    // Of an unknown head angle the move still says what it can, and asks.
    let findings = ask(Record::default(), &["spacers below by -10"]);
    assert!(
        findings
            .missing
            .iter()
            .any(|missing| missing.key == "chart.head_angle" || missing.key == "cockpit.spacers_allowed")
    );
}

/// Common practice, no source: at leverage ratios about 2.7, 10 mm less travel take 3.7 mm of inner spacer, and in practice
/// 3 to 4.5 mm; 1.5 mm are not enough.
#[test]
fn an_inner_spacer_takes_travel_by_the_leverage_ratio() {
    let bike = "kind = \"full suspension\"\n[shock]\neye_to_eye = 210\nstroke = 55\n[rear]\ntravel = 150\n";
    let (travel, pm) = difference(&ask(record(bike), &["shock stroke by -3.7"]), Quantity::RearTravel);
    assert!((travel + 10.0).abs() <= pm, "{travel} ± {pm}");
    let stroke = 3.7 * 10.0 / -travel;
    assert!((3.0..=4.5).contains(&stroke), "{stroke}");
    let (little, pm) = difference(&ask(record(bike), &["shock stroke by -1.5"]), Quantity::RearTravel);
    assert!(little - pm > -10.0, "{little} ± {pm}");
    // The static geometry stays.
    let findings = ask(record(bike), &["shock stroke by -3.7"]);
    for quantity in [Quantity::HeadAngle, Quantity::BottomBracketHeight, Quantity::Wheelbase] {
        assert_eq!(difference(&findings, quantity), (0.0, 0.0), "{}", quantity.id());
    }
    // Without the ratio's two figures nobody can say, and both are asked for.
    let findings = ask(record("kind = \"full suspension\"\n"), &["shock stroke 50"]);
    for key in ["shock.stroke", "rear.travel"] {
        assert!(findings.missing.iter().any(|missing| missing.key == key), "{key}");
    }
    let travel = findings.knock_ons.iter().find(|knock_on| knock_on.quantity == Quantity::RearTravel);
    assert!(travel.is_none_or(|travel| travel.difference.is_none()));
}

/// The shares of the revisions add up to the difference, and do not depend on who is named first.
#[test]
fn shares_add_up_to_the_difference() {
    let lines = ["fork axle-to-crown 566", "spacers below by -10", "bar roll 8", "front tyre 64-622"];
    let turned: Vec<&str> = lines.iter().rev().copied().collect();
    let (straight, turned) = (ask(record(LARCH), &lines), ask(record(LARCH), &turned));
    for (one, other) in straight.knock_ons.iter().zip(&turned.knock_ons) {
        assert_eq!(one.quantity, other.quantity);
        if let Some(difference) = one.difference {
            let sum: f64 = one.shares.iter().sum();
            assert!((sum - difference).abs() < 1e-9, "{}: {sum} {difference}", one.quantity.id());
        }
        for (a, b) in one.shares.iter().zip(other.shares.iter().rev()) {
            assert!((a - b).abs() < 1e-9, "{}: {a} {b}", one.quantity.id());
        }
    }
}

/// A change that says what is already so moves nothing.
#[test]
fn what_is_already_so_moves_nothing() {
    let level = LARCH.replace("stack = 628", "stack = 615.6");
    let findings = ask(record(&level), &["stem length 50", "spacers below by 0", "bar rise 25"]);
    for knock_on in &findings.knock_ons {
        if let Some(difference) = knock_on.difference {
            assert!(difference.abs() < 1e-9, "{}: {difference}", knock_on.quantity.id());
        }
    }
}

/// A fork length measured straight is √(along² + offset²): 556 along and 44 of offset make 557.74 straight. A new fork and the
/// maker's limits are told in the same way as the record's own, so that no wrong millimetre and a half comes in between.
#[test]
fn fork_lengths_measured_straight_are_compared_with_their_like() {
    let straight = |along: f64| along.hypot(44.0);
    let text = |measured: &str, length: f64, most: f64| {
        format!(
            "[chart]\nstack = 616\nreach = 455\nhead_angle = 64.5\nseat_angle = 77\nhead_tube = 115\nchainstay = 440\n\
             bottom_bracket_drop = 28\n[fork]\naxle_to_crown = {}\naxle_to_crown_measured = \"{measured}\"\noffset = {}\n\
             axle_to_crown_allowed = [500, {most}]\n[headset]\nlower_stack = 1\n\
             [wheel.front]\nradius = 372\n[wheel.rear]\nradius = 372\n",
            exact(length),
            exact(44.0)
        )
    };
    let along = ask(record(&text("along axis", 556.0, 566.0)), &["fork axle-to-crown 576 ± 0"]);
    let change = format!("fork axle-to-crown {} ± 0", straight(576.0));
    let told_straight = ask(record(&text("straight", straight(556.0), straight(566.0))), &[&change]);
    let (a, b) = (difference(&along, Quantity::HeadAngle), difference(&told_straight, Quantity::HeadAngle));
    assert!((a.0 - b.0).abs() < 1e-6, "{a:?} {b:?}");
    for findings in [&along, &told_straight] {
        let margin = verdict(findings, "axle_to_crown").margin.expect("a margin");
        assert!((margin + 10.0).abs() < 1e-6, "{margin}");
    }
    let sentence = &verdict(&told_straight, "axle_to_crown").sentence;
    assert!(sentence.contains("577.7 mm") && sentence.contains("567.7 mm"), "{sentence}");
    assert_eq!(told_straight.revisions[0].before, "557.74");
}

/// A narrower tyre on the same rim needs no gap that nobody measured; a wider one and another wheel size do.
#[test]
fn a_smaller_tyre_keeps_whatever_gap_there_is() {
    let bike = || record("[wheel.front]\ntyre = \"61-622\"\n[wheel.rear]\ntyre = \"61-622\"");
    let outcome = |change: &str| {
        let findings = ask(bike(), &[change]);
        findings
            .verdicts
            .iter()
            .find(|verdict| verdict.requirement == "rear_clearance")
            .expect("a verdict")
            .outcome
    };
    assert_eq!(outcome("rear tyre 57-622"), Outcome::Fits);
    assert_eq!(outcome("rear tyre 64-622"), Outcome::CannotSay);
    assert_eq!(outcome("rear tyre 61-584"), Outcome::CannotSay);
}

/// A rider who writes of a crack gets the caution on every sheet, though no change brings one: common practice, no source.
#[test]
fn the_riders_own_words_bring_cautions() {
    let asked = |words: &str| {
        let record = parse("bike", "[chart]\nhead_angle = 65\n").unwrap().record;
        let findings = answer(Question {
            asked: words.to_owned(),
            record,
            changes: Vec::new(),
            inspections: Vec::new(),
        })
        .expect("an answer");
        findings.cautions.iter().map(|(caution, _)| caution.id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(asked("Crashed, and there is a crack on the fork now. What next?")[0], "damage");
    let two = asked("My front brake feels spongy since I crashed");
    assert_eq!(two[..2], ["damage", "brake_trouble"]);
    assert!(!asked("Which brake pads should I buy?").iter().any(|id| id == "brake_trouble"));
}
