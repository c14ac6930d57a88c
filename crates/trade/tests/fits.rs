//! Does it fit, beyond single connections: limits between figures, another fork with everything that it meets, chains of parts, what is
//! damaged, lists, press fits. What must never come out as "fits" stands here by name.

use knockon_engine::requirement::Outcome;
use knockon_trade::change::Change;
use knockon_trade::demo;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::fit::Fitting;
use knockon_trade::fit::connection::Joins;
use knockon_trade::fit::shopping::shopping;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{Record, parse};
use knockon_trade::shelf::{Shelf, offers};
use knockon_trade::tables;
use knockon_trade::verdict::Verdict;
use proptest::prelude::*;

fn changes(lines: &[&str]) -> Vec<Change> {
    read_changes(lines).unwrap_or_else(|errors| panic!("{lines:?}: {errors:?}")).changes
}

fn ask(record: Record, lines: &[&str]) -> Findings {
    answer(Question { asked: String::new(), record, changes: changes(lines), inspections: Vec::new() })
        .expect("an answer")
}

fn bulrush(lines: &[&str]) -> Findings {
    ask(demo::bike("bulrush-150").expect("a demo bike"), lines)
}

fn record(text: &str) -> Record {
    parse("bike", text).unwrap_or_else(|errors| panic!("{errors:?}")).record
}

fn told<'a>(findings: &'a Findings, requirement: &str) -> &'a Verdict {
    let found = findings.verdicts.iter().find(|verdict| verdict.requirement == requirement);
    found.unwrap_or_else(|| panic!("no verdict on {requirement}"))
}

fn outcome(lines: &[&str], requirement: &str) -> Outcome {
    told(&bulrush(lines), requirement).outcome
}

fn things(findings: &Findings) -> Vec<&str> {
    findings.shopping.items.iter().map(|item| item.what.as_str()).collect()
}

#[test]
fn the_classic_mistakes_never_fit() {
    for (lines, requirement) in [
        (&["bar clamp 35"][..], "bar_clamp"),
        (&["stem bar clamp 25.4"], "bar_clamp"),
        (&["front hub 15x100"], "front_axle"),
        (&["front rotor 223"], "front_rotor_most"),
        (&["rear rotor 220"], "rear_rotor_most"),
        (&["front rotor 160"], "front_rotor_least"),
        (&["fork axle-to-crown 554", "fork steerer straight"], "crown_race"),
        (&["front tyre 61-622", "front tyre bead hooked rims only"], "front_bead"),
        (&["front pressure 4.5"], "front_pressure"),
        (&["front most pressure 7", "front pressure 5.5"], "front_hookless_pressure"),
        (&["front tyre 58-584"], "front_bead_seat"),
        (&["rear tyre 75-622"], "rear_tyre_most"),
        (&["ring 38"], "ring_most"),
        (&["fork travel 170"], "fork_travel"),
        (&["steerer length 180"], "steerer_length"),
        (&["fork condition damaged"], "fork.condition"),
        (&["chain 11 cogs"], "chain"),
        (&["shifter 2.5 mm a click, 9 cogs"], "shift_pull"),
        (&["front lever DOT"], "front_lever"),
        (&["bottom bracket PF30 to 24 mm"], "shell"),
        (&["crank spindle 30"], "spindle"),
        (&["cassette 9 splines"], "cassette"),
        (&["pedals 1/2"], "pedals"),
        (&["ring mount 4 × 96"], "ring"),
        (&["stem steerer 1 1/4 inch"], "stem_steerer"),
        (&["rear thru axle M12x1.75"], "rear_axle_thread"),
        (&["shock upper trunnion"], "shock_upper"),
        (&["frame shock length 230"], "shock_length"),
    ] {
        let findings = bulrush(lines);
        let verdict = told(&findings, requirement);
        assert_eq!(verdict.outcome, Outcome::DoesNotFit, "{lines:?}: {}", verdict.sentence);
        assert!(findings.cautions.len() > 1 || requirement == "chain", "{lines:?} brings a caution");
    }
}

#[test]
fn a_tyre_is_judged_by_the_gap_that_was_measured() {
    // 9 mm were measured round 56-622: 61-622 leaves 9 − 5 = 4 of the 6 that are asked for (the larger of radius and half the width).
    let text = "[wheel.front]\ntyre = \"56-622\"\nclearance = { value = 9, with = \"feeler\" }";
    let findings = ask(record(text), &["front tyre 63-622"]);
    assert_eq!(told(&findings, "front_clearance").outcome, Outcome::DoesNotFit);
    // Where fork and frame have a maker's word, no gap has to be measured.
    let findings = bulrush(&["front tyre 63-622"]);
    assert_eq!(told(&findings, "front_tyre_most").outcome, Outcome::Fits);
    assert!(findings.verdicts.iter().all(|verdict| verdict.requirement != "front_clearance"));
}

#[test]
fn a_mark_is_compared_with_a_mark() {
    // A rotor of 180 mm on a mount that takes 180 is not "too close to call" because both are rounded.
    let findings = bulrush(&["front rotor 180"]);
    assert_eq!(told(&findings, "front_rotor_least").outcome, Outcome::Fits);
    // What was measured is not better than its tool.
    let findings = bulrush(&["fork largest rotor 180", "front rotor 180 ± 2"]);
    assert_eq!(told(&findings, "front_rotor_most").outcome, Outcome::MeasureFirst);
}

#[test]
fn beyond_what_is_usual_the_makers_word_is_asked_for() {
    let findings = bulrush(&["front rim inner width 50"]);
    let verdict = told(&findings, "front_rim_wide");
    assert_eq!(verdict.outcome, Outcome::CannotSay, "{}", verdict.sentence);
    assert!(verdict.sentence.contains("makers' own word decides"));
    // A tyre narrower than the rim is inside is no question of charts.
    assert_eq!(outcome(&["front rim inner width 66"], "front_rim_inside"), Outcome::DoesNotFit);
}

/// 38-622 on rims from 17 to 27 mm wide inside (a maker's published page on rim and tyre standards), 50 on 17 to 30 (an excerpt of such a
/// chart); ISO 5775-1's own table was not found.
#[test]
fn published_pairs_of_rim_and_tyre_are_usual_ones() {
    for (tyre, rims) in [("38-622", [17, 21, 25, 27]), ("50-622", [17, 21, 25, 30])] {
        for rim in rims {
            let lines = [format!("front tyre {tyre}"), format!("front rim inner width {rim}")];
            let findings = ask(record("name = \"Invented\""), &[&lines[0], &lines[1]]);
            for limit in ["front_rim_wide", "front_rim_narrow", "front_rim_inside"] {
                assert_eq!(told(&findings, limit).outcome, Outcome::Fits, "{tyre} on {rim}: {limit}");
            }
        }
    }
    // The older edition's middle, 65 % of the tyre's width below 30 mm and 55 % above (an encyclopaedia's account of ISO 5775-1).
    for (tyre, rim) in
        [("25-622", 16.25), ("28-622", 18.2), ("40-622", 22.0), ("47-622", 25.9), ("57-559", 31.4)]
    {
        let lines = [format!("rear tyre {tyre}"), format!("rear rim inner width {rim}")];
        let findings = ask(record("name = \"Invented\""), &[&lines[0], &lines[1]]);
        for limit in ["rear_rim_wide", "rear_rim_narrow"] {
            assert_eq!(told(&findings, limit).outcome, Outcome::Fits, "{tyre} on {rim}: {limit}");
        }
    }
}

/// Rim brakes of 39 to 49, 47 to 57 and 55 to 73 mm (a question-and-answer site for bicycles, answer 44041).
#[test]
fn rim_brakes_reach_as_far_as_they_are_made_for() {
    for (least, most, reach, wanted) in [
        (39, 49, 45, Outcome::Fits),
        (39, 49, 53, Outcome::DoesNotFit),
        (47, 57, 53, Outcome::Fits),
        (55, 73, 51, Outcome::DoesNotFit),
    ] {
        let lines = [
            format!("front brake least reach {least}"),
            format!("front brake most reach {most}"),
            format!("fork brake reach {reach}"),
        ];
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let findings = ask(record("name = \"Invented\""), &lines);
        let worst = findings.verdicts.iter().map(|verdict| verdict.outcome).max();
        assert_eq!(worst, Some(wanted), "{lines:?}");
    }
}

#[test]
fn another_fork_meets_all_that_a_fork_meets() {
    let findings = bulrush(&["fork axle-to-crown 560"]);
    let open = [
        "steerer_length",
        "upper_steerer",
        "crown_race",
        "stem_steerer",
        "front_axle",
        "front_caliper",
        "front_rotor_most",
    ];
    for requirement in open {
        let verdict = told(&findings, requirement);
        // What the record tells of the old fork is not taken for true of the new one.
        assert_eq!(verdict.outcome, Outcome::CannotSay, "{requirement}: {}", verdict.sentence);
        assert!(!verdict.missing.is_empty());
        assert!(verdict.missing.iter().all(|key| findings.missing.iter().any(|missing| missing.key == *key)));
    }
    assert_eq!(told(&findings, "axle_to_crown").outcome, Outcome::Fits);
    let needed = &told(&findings, "steerer_length").sentence;
    // 1 + 115 + 12 + 20 + 40 + 5 − 3 mm are stacked on it.
    assert!(needed.contains("at least 190 "), "{needed}");
    // A step is the same fork with more travel.
    let findings = bulrush(&["fork axle-to-crown by 5"]);
    assert!(findings.verdicts.iter().all(|verdict| verdict.requirement != "front_axle"));
    // Worst first.
    let findings = bulrush(&["fork axle-to-crown 560", "fork axle 20x110", "fork steerer tapered"]);
    assert_eq!(findings.verdicts[0].requirement, "front_axle");
    assert!(findings.verdicts.windows(2).all(|pair| pair[0].rank() <= pair[1].rank()));
    // Of a bike of which nothing is known, one verdict asks for all of it.
    let findings = ask(record("name = \"Invented\""), &["fork axle-to-crown 560"]);
    let verdict = told(&findings, "fork");
    assert_eq!(verdict.outcome, Outcome::CannotSay);
    for key in ["fork.axle", "fork.steerer", "fork.brake_mount"] {
        assert!(verdict.missing.contains(&key), "{key}: {}", verdict.sentence);
    }
}

#[test]
fn a_chain_of_parts_is_solved_as_a_whole() {
    // This fork on that frame with that wheel and that brake.
    let findings = bulrush(&[
        "fork axle-to-crown 560",
        "fork steerer straight",
        "fork axle 15x110",
        "fork brake-mount IS",
        "fork smallest rotor 160",
        "fork largest rotor 203",
        "front hub 15x100",
        "front hub rotor mount splined",
        "front rotor 180",
    ]);
    let things = things(&findings);
    for wanted in [
        "a reducer crown race from 30 to 40 mm for ZS56/40",
        "a front adapter from IS to post mount for the rotor's size",
        "a spacer set of 5 mm a side and a rotor spacer of 5 mm",
        "an adapter from splines to six bolts for the front hub",
        "a front caliper adapter from 160 to 180 mm, unless it is there",
    ] {
        assert!(things.contains(&wanted), "{wanted}: {things:?}");
    }
    assert_eq!(things.len(), 5, "{things:?}");
    assert!(findings.shopping.unmended.is_empty());
}

#[test]
fn one_part_that_mends_two_connections_is_bought_once() {
    let findings = bulrush(&["frame shell BB30 68", "crank spindle 30"]);
    assert_eq!(things(&findings), ["a bottom bracket: BB30 to 30 mm"]);
    let item = &findings.shopping.items[0];
    assert_eq!(item.mends.len(), 2, "{item:?}");
    // No headset part takes a tapered steerer into a 34 mm head tube: it takes a straight fork as well.
    let findings = bulrush(&["lower head tube EC34"]);
    assert_eq!(findings.shopping.items.len(), 2);
    assert!(things(&findings).iter().any(|what| what.contains("EC34/30")), "{:?}", things(&findings));
    assert!(things(&findings).iter().any(|what| what.starts_with("another fork")));
    // With the fork wanted, nothing does.
    let findings = bulrush(&["lower head tube EC34", "fork steerer tapered"]);
    assert!(!findings.shopping.unmended.is_empty());
}

#[test]
fn a_bar_of_another_size_takes_another_stem_and_the_other_way_round() {
    assert_eq!(things(&bulrush(&["bar clamp 35"])), ["another stem: for a bar of 35 mm"]);
    assert_eq!(things(&bulrush(&["stem bar clamp 25.4"])), ["another bar: of 25.4 mm in the middle"]);
    let both = bulrush(&["bar clamp 35", "stem bar clamp 25.4"]);
    assert_eq!((things(&both).len(), both.shopping.unmended.len()), (0, 1));
    // What no part mends stays on the list of what nothing does.
    assert_eq!(bulrush(&["spacers below 45"]).shopping.unmended.first(), Some(&"Steerer length"));
}

#[test]
fn a_part_between_two_known_ones_is_found_or_said_not_to_be() {
    let frame = "[frame]\nhead_tube_lower = \"ZS56\"\n[fork]\nsteerer = \"tapered\"";
    let findings = ask(record(frame), &["fork steerer straight"]);
    assert!(things(&findings).iter().any(|what| what.contains("ZS56/30")), "{:?}", things(&findings));
    let frame = "[frame]\nhead_tube_lower = \"EC34\"";
    let findings = ask(record(frame), &["fork steerer tapered"]);
    assert_eq!(told(&findings, "lower_headset").outcome, Outcome::DoesNotFit);
}

/// Fewest things by trying everything: every set of up to three swapped parts beside the broken connections, every choice of standards for
/// all their ends at once. It shares nothing with the code but the tables and whether two standards join.
fn fewest(fitting: &Fitting<'_>) -> Option<usize> {
    let wanted: Vec<&str> = fitting.changes().iter().map(Change::key).collect();
    let rows = || tables::connections().iter();
    let state = |row: &'static knockon_trade::fit::connection::Connection,
                 known: &dyn Fn(&str) -> Option<&'static str>| {
        Some(row.joins(known(&row.ends[0])?, known(&row.ends[1])?))
    };
    let now = |key: &str| fitting.standard(key);
    let broken: Vec<_> =
        rows().filter(|row| matches!(state(row, &now), Some(Joins::With(_) | Joins::Not))).collect();
    let parts: Vec<_> = tables::parts()
        .iter()
        .filter(|part| part.buy.is_some() && !part.keys.iter().any(|key| wanted.contains(&key.as_str())))
        .filter(|part| rows().any(|row| row.ends.iter().any(|end| part.keys.contains(end))))
        .collect();
    let mut best: Option<usize> = None;
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    for a in 0..parts.len() {
        sets.push(vec![a]);
        for b in a + 1..parts.len() {
            sets.push(vec![a, b]);
            sets.extend((b + 1..parts.len()).map(|c| vec![a, b, c]));
        }
    }
    for set in sets {
        let free: Vec<(&str, Vec<&'static str>)> = set
            .iter()
            .flat_map(|part| &parts[*part].keys)
            .filter_map(|key| {
                // Where nobody knows what the other side is, anything does.
                let asked = |row: &&knockon_trade::fit::connection::Connection| {
                    let other = &row.ends[usize::from(row.ends[0] == *key)];
                    row.ends.contains(key)
                        && (now(other).is_some() || set.iter().any(|part| parts[*part].keys.contains(other)))
                };
                let row = rows().find(asked)?;
                let side = usize::from(row.ends[1] == *key);
                Some((
                    key.as_str(),
                    row.standards(side).iter().map(|standard| standard.name.as_str()).collect(),
                ))
            })
            .collect();
        // A set that touches nothing broken mends nothing.
        if !set.is_empty()
            && !broken.iter().any(|row| row.ends.iter().any(|end| free.iter().any(|(key, _)| key == end)))
        {
            continue;
        }
        let concerned: Vec<_> = rows()
            .filter(|row| {
                broken.iter().any(|known| known.id == row.id)
                    || row.ends.iter().any(|end| free.iter().any(|(key, _)| key == end))
            })
            .collect();
        let mut choice = vec![0_usize; free.len()];
        'all: loop {
            let known = |key: &str| {
                let at = free.iter().position(|(end, _)| *end == key);
                at.map_or_else(|| fitting.standard(key), |at| Some(free[at].1[choice[at]]))
            };
            let states: Vec<Joins> = concerned.iter().filter_map(|row| state(row, &known)).collect();
            if !states.iter().any(|it| matches!(it, Joins::Not)) {
                let cost = set.len() + states.iter().filter(|it| matches!(it, Joins::With(_))).count();
                best = Some(best.map_or(cost, |best| best.min(cost)));
            }
            for at in 0..choice.len() {
                choice[at] += 1;
                if choice[at] < free[at].1.len() {
                    continue 'all;
                }
                choice[at] = 0;
            }
            break;
        }
    }
    best
}

#[test]
fn a_list_is_as_short_as_can_be() {
    let text = "[frame]\nhead_tube_lower = \"ZS56\"\nshell = \"BSA 73\"\naxle = \"12 × 148\"\nseat_tube = \"31.6\"\n\
                [fork]\nsteerer = \"tapered\"\n[headset]\nlower = \"ZS56/40\"\n[bottom_bracket]\nkind = \"BSA to 24 mm\"\n\
                [crank]\nspindle = \"24\"\n[saddle]\npost = \"31.6\"\nclamp = \"7 × 7\"\nrails = \"7 × 7\"\n\
                [drivetrain]\ncogs = \"10\"\nchain = \"10\"\nshifter = \"2.3 mm a click, 10 cogs\"\nderailleur = \"ratio 1.72\"";
    let record = record(text);
    for lines in [
        &["crank spindle 30"][..],
        &["frame shell PF30 73"],
        &["frame shell BB30 68"],
        &["frame shell PF30 73", "crank spindle 28.99"],
        &["lower head tube EC34"],
        &["fork steerer straight"],
        &["fork steerer straight", "lower head tube EC44"],
        &["saddle rails 7x9"],
        &["seat post 27.2", "saddle rails 7x10"],
        &["chain 11"],
        &["cogs 11"],
        &["derailleur 1.12"],
        &["shifter 3.2 mm a click, 12 cogs"],
    ] {
        let changes = changes(lines);
        let fitting = Fitting::new(&record, &changes);
        let found = shopping(&fitting, &fitting.judge());
        let told = found.unmended.is_empty().then_some(found.items.len());
        assert_eq!(told, fewest(&fitting), "{lines:?}: {found:?}");
    }
}

#[test]
fn what_is_told_to_be_damaged_is_never_cleared() {
    for line in [
        "fork condition damaged",
        "steerer condition damaged",
        "bar condition damaged",
        "frame condition damaged",
    ] {
        let findings = bulrush(&[line, "bar rise 20"]);
        assert_eq!(findings.verdicts[0].outcome, Outcome::DoesNotFit, "{line}");
        assert!(findings.verdicts[0].sentence.contains("whatever the figures say"), "{line}");
        assert!(findings.cautions.iter().any(|(caution, _)| caution.id == "told_condition"));
    }
    assert_eq!(outcome(&["fork condition after a crash"], "fork.condition"), Outcome::CannotSay);
    // Found sound is no verdict of ours.
    let findings = bulrush(&["fork condition inspected"]);
    assert!(findings.verdicts.iter().all(|verdict| verdict.requirement != "fork.condition"));
}

#[test]
fn words_of_damage_are_never_answered_with_it_fits() {
    for words in
        ["My steerer is cracked, will 5 mm fewer spacers do?", "Bent the fork in a crash. Other stem?"]
    {
        let record = demo::bike("bulrush-150").expect("a demo bike");
        let changes = changes(&["spacers below 15"]);
        let findings = answer(Question { asked: words.to_owned(), record, changes, inspections: Vec::new() })
            .expect("an answer");
        let worst = &findings.verdicts[0];
        assert_eq!((worst.requirement, worst.outcome), ("told_damage", Outcome::CannotSay), "{words}");
    }
}

#[test]
fn a_press_fit_is_told_by_hundredths() {
    let press = |cup: &str, bore: &str| {
        let findings = ask(
            record("name = \"Invented\""),
            &[&format!("bottom bracket cup {cup}"), &format!("frame shell bore {bore}")],
        );
        let verdict = told(&findings, "shell_press");
        (verdict.outcome, verdict.sentence.clone())
    };
    assert_eq!(press("41.05", "41.00").0, Outcome::Fits);
    assert_eq!(press("41.00", "41.05").0, Outcome::DoesNotFit);
    assert_eq!(press("41.30", "41.00").0, Outcome::DoesNotFit);
    assert_eq!(press("41.05 ± 0.2", "41.00").0, Outcome::MeasureFirst);
    // Lamé by hand: rings of 2 and 2.5 mm at a radius of 20.5 mm, both aluminium, δ = 0.05 mm: q = 18.5/20.5 and 20.5/23, C = 9.78 and
    // 8.73, p = 0.05/41 · 70 000 / (9.78 + 8.73) = 4.6 N/mm²; σ = p · 8.73 = 40 N/mm².
    let (_, sentence) = press("41.05", "41.00");
    assert!(sentence.contains("4.6 N/mm²") && sentence.contains("40 N/mm²"), "{sentence}");
}

#[test]
fn a_list_comes_out_as_its_parts_do_by_themselves() {
    let list = offers("stock", demo::stock()).expect("the demo's stock");
    assert!(list.problems.is_empty() && list.offers.len() > 30, "{:?}", list.problems);
    for bike in ["bulrush-150", "larch-150", "sedge"] {
        let record = demo::bike(bike).expect("a demo bike");
        let mut shelf = Shelf::new(&record).expect("a possible bike");
        let ranked = shelf.rank(&list.offers);
        assert_eq!(ranked.len(), list.offers.len());
        assert!(ranked.windows(2).all(|pair| pair[0].group() <= pair[1].group()));
        for it in &ranked {
            let offer = &list.offers[it.offer];
            let question = Question {
                asked: String::new(),
                record: record.clone(),
                changes: offer.changes.clone(),
                inspections: Vec::new(),
            };
            let whole = answer(question).expect("an answer");
            for verdict in &it.verdicts {
                // Least and most axle to crown are one row on a sheet.
                let same = |known: &&Verdict| verdict.requirement.starts_with(known.requirement);
                let known =
                    whole.verdicts.iter().find(same).unwrap_or_else(|| panic!("{}: {verdict:?}", offer.name));
                if known.requirement == verdict.requirement {
                    assert_eq!(
                        (known.outcome, &known.sentence),
                        (verdict.outcome, &verdict.sentence),
                        "{bike}: {}",
                        offer.name
                    );
                }
            }
            // What the sheet finds broken by these changes, the list does too.
            let touched = |verdict: &&Verdict| {
                verdict.touched_by.iter().any(|key| offer.changes.iter().any(|change| change.key() == key))
            };
            for verdict in
                whole.verdicts.iter().filter(touched).filter(|it| it.outcome == Outcome::DoesNotFit)
            {
                assert!(
                    it.verdicts.iter().any(|known| known.requirement.starts_with(verdict.requirement)),
                    "{bike}: {} lacks {}",
                    offer.name,
                    verdict.requirement
                );
            }
        }
    }
}

#[test]
fn a_part_with_something_open_beside_its_adapter_is_not_told_to_fit() {
    // The seat post takes a shim; whether its clamp holds the rails nobody knows, as the record has none.
    let text = "[frame]\nseat_tube = \"31.6\"\n[saddle]\nclamp = \"7 × 7 round\"";
    let mut shelf = Shelf::new(&record(text)).expect("a possible bike");
    let list =
        offers("list", "part,seat post,saddle rails\nShimmed,27.2,7 × 7\nOpen,27.2,\n").expect("a list");
    let groups: Vec<usize> = list.offers.iter().map(|it| shelf.judge(&it.changes).group()).collect();
    assert_eq!(groups, [1, 1]);
    let mut shelf = Shelf::new(&record("[frame]\nseat_tube = \"31.6\"")).expect("a possible bike");
    let list = offers("list", "part,seat post,saddle rails\nRails,27.2,7 × 7\n").expect("a list");
    let ranked = shelf.judge(&list.offers[0].changes);
    assert_eq!((ranked.outcome, ranked.group()), (Outcome::DoesNotFit, 3), "{ranked:?}");
    assert!(!ranked.needs.is_empty());
}

#[test]
fn a_list_that_cannot_be_read_says_where() {
    for (text, line, message) in
        [("", 1, "the list is empty"), ("name,price\nA,3", 1, "no heading of the list names anything")]
    {
        let problem = offers("list.csv", text).expect_err(text);
        assert!(problem.message.contains(message) && problem.help.is_some(), "{problem}");
        assert_eq!(problem.line_column().0, line);
    }
    let list = offers("list.csv", "part;fork axle;stock\nOne;15x110;3\nTwo;15x111;4\nThree;20x110;0")
        .expect("a list");
    let names: Vec<&str> = list.offers.iter().map(|offer| offer.name.as_str()).collect();
    assert_eq!(names, ["One", "Three"]);
    assert!(list.problems.iter().any(|problem| problem.warning && problem.message.contains("`stock`")));
    let bad = list.problems.iter().find(|problem| !problem.warning).expect("the second part");
    assert_eq!(
        (bad.line_column().0, bad.help.as_deref().is_some_and(|help| help.contains("15 × 110"))),
        (3, true)
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is written into the ends of a bike: nothing that does not join is "fits", every item of a list mends something, and a list
    /// with nothing left over makes every connection hold when what it names is fitted.
    #[test]
    fn any_parts_are_judged_and_listed(picks in proptest::collection::vec((0..200_usize, 0..60_usize), 1..6)) {
        let record = demo::bike("bulrush-150").expect("a demo bike");
        let ends: Vec<_> = tables::details().iter().filter(|row| row.interface.is_some() && row.interface.as_deref() != Some("condition")).collect();
        let mut lines: Vec<String> = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        for (end, standard) in picks {
            let end = ends[end % ends.len()];
            let choices = end.choices();
            if seen.insert(end.key.as_str()) {
                lines.push(format!("{} {}", end.say[0], choices[standard % choices.len()]));
            }
        }
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let changes = changes(&lines);
        let fitting = Fitting::new(&record, &changes);
        let judged = fitting.judge();
        for row in tables::connections() {
            let (Some(to), Some(from)) = (fitting.standard(&row.ends[0]), fitting.standard(&row.ends[1])) else { continue };
            let verdict = &judged.iter().find(|it| it.verdict.requirement == row.id).expect("a verdict").verdict;
            prop_assert_eq!(verdict.outcome == Outcome::Fits, matches!(row.joins(to, from), Joins::Directly), "{}", row.id);
        }
        let list = shopping(&fitting, &judged);
        prop_assert!(list.items.iter().all(|item| !item.mends.is_empty() && !item.what.is_empty()), "{:?}", list.items);
        let broken = judged.iter().any(|it| it.verdict.outcome == Outcome::DoesNotFit);
        prop_assert!(!broken || !list.items.is_empty() || !list.unmended.is_empty());
        // Fitted as it says.
        let made: Vec<(&str, &str)> = list.items.iter().flat_map(|item| item.made.iter().copied()).collect();
        let known = |key: &str| made.iter().find(|(end, _)| *end == key).map(|(_, standard)| *standard).or_else(|| fitting.standard(key));
        for row in tables::connections() {
            let (Some(to), Some(from)) = (known(&row.ends[0]), known(&row.ends[1])) else { continue };
            let holds = match row.joins(to, from) {
                Joins::Directly => true,
                Joins::With(adapter) => list.items.iter().any(|item| item.what == adapter.name(to, from)),
                Joins::Not => false,
            };
            prop_assert!(holds || list.unmended.contains(&row.label.as_str()), "{}: {to} and {from} after {:?}", row.id, list.items);
        }
    }
}

#[test]
fn what_moves_nothing_has_no_share_in_what_moves() {
    let alone = bulrush(&["bar rise 40", "spacers below 5"]);
    let beside = bulrush(&["bar rise 40", "front hub 15x100", "spacers below 5", "seat post 27.2"]);
    let mut told = 0;
    for (one, other) in alone.knock_ons.iter().zip(&beside.knock_ons).filter(|(one, _)| one.moved()) {
        assert_eq!((other.shares[1], other.shares[3]), (0.0, 0.0), "{:?}", one.quantity);
        let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(
            same(one.shares[0], other.shares[0]) && same(one.shares[1], other.shares[2]),
            "{:?}",
            one.quantity
        );
        told += 1;
    }
    assert!(told > 2);
}
