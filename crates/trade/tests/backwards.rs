//! From wanted results to parts, on the invented demo's bikes. Expected parts come from plane trigonometry that stands beside them and from
//! facts of the trade, not from the search.

use std::ops::ControlFlow;

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::backwards::wish::{self, Wish};
use knockon_trade::backwards::{Asked, Proposal, ReachError, Reached, reach};
use knockon_trade::change::Change;
use knockon_trade::demo;
use knockon_trade::findings::answer;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::Record;
use knockon_trade::shelf::offers;

fn bike(name: &str) -> Record {
    demo::bike(name).unwrap_or_else(|| panic!("no demo bike {name}"))
}

fn wishes(lines: &[&str]) -> Vec<Wish> {
    lines.iter().map(|line| wish::parse(line).unwrap_or_else(|problem| panic!("{line}: {problem}"))).collect()
}

fn reached(record: &Record, asked: &Asked) -> Reached {
    reach(record, asked, &mut |_| ControlFlow::Continue(()))
        .unwrap_or_else(|error| panic!("{error}: {}", error.help()))
}

fn larch(lines: &[&str]) -> Reached {
    reached(&bike("larch-150"), &Asked::of(wishes(lines)))
}

fn lines(proposal: &Proposal) -> Vec<String> {
    proposal.changes.iter().map(ToString::to_string).collect()
}

fn off(proposal: &Proposal, quantity: Quantity) -> f64 {
    proposal.reaches.iter().find(|it| it.quantity == quantity).expect("it is wanted").off
}

/// Common practice, no source: more rise on a bar whose rise stands vertical lifts the grips and leaves reach alone.
#[test]
fn higher_at_the_same_reach_is_more_rise() {
    let reached =
        larch(&["grip stack +15", "grip reach unchanged", "keep stem", "keep spacers", "keep roll"]);
    // 25 mm of rise and 15 mm more.
    assert_eq!(lines(&reached.proposals[0]), ["bar rise 40"]);
    assert!(reached.proposals[0].miss < 1e-6, "{}", reached.proposals[0].miss);
}

/// Without its 20 mm of spacers at 64.5° the bar comes 20·sin 64.5° = 18.052 mm lower and 20·cos 64.5° = 8.610 mm further forward; the
/// other parts have to give that back.
#[test]
fn a_slammed_stem_and_the_position_kept() {
    let reached = larch(&["no spacers", "keep my position"]);
    assert_eq!(reached.miss_now, None, "the bike has spacers");
    for proposal in &reached.proposals {
        let lines = lines(proposal);
        assert!(lines.iter().any(|line| line == "spacers below 0"), "{lines:?}");
        assert!(!lines.iter().any(|line| line.contains("saddle")), "nothing moved the saddle: {lines:?}");
    }
    let [dy, dx] = [Quantity::GripStack, Quantity::GripReach].map(|it| off(&reached.proposals[0], it));
    assert!(dy.abs() < 5.0 && dx.abs() < 5.0, "less than a rider notices: {dy} {dx}");
    let bare = reached.proposals.iter().find(|it| it.things.len() == 1).expect("spacers alone");
    assert!((off(bare, Quantity::GripStack) + 18.052).abs() < 0.01);
    assert!((off(bare, Quantity::GripReach) - 8.610).abs() < 0.01);
    // It cannot be kept and be another bike's.
    let like = Some(bike("guelder-160"));
    let asked = Asked { like, ..Asked::of(wishes(&["keep position"])) };
    let both = reach(&bike("larch-150"), &asked, &mut |_| ControlFlow::Continue(()));
    assert_eq!(both.err(), Some(ReachError::Twice("position".to_owned())));
}

/// Development is the wheel's roll times ring over cog (the usual definition in gear charts): 28 teeth for 32 are 28/32 of it in every gear.
#[test]
fn an_easier_gear_is_a_smaller_ring() {
    let bike = bike("guelder-160");
    let lowest = answer(Question::about(&bike, &[])).expect("an answer");
    let lowest = lowest.knock_ons.iter().find(|it| it.quantity == Quantity::LowestDevelopment);
    let lowest = lowest.and_then(|it| it.before).expect("the record tells it");
    let line = format!("lowest development {:.4}", lowest * 28.0 / 32.0);
    let reached = reached(&bike, &Asked::of(wishes(&[&line, "highest development unchanged weight 0.01"])));
    assert_eq!(lines(&reached.proposals[0]), ["rings 28"]);
    assert!(off(&reached.proposals[0], Quantity::LowestDevelopment).abs() < 1e-3);
    // What has as many cogs as the bike and no smaller one is tried, nothing else.
    let cassettes = reached.slots.iter().find(|slot| slot.label == "Cassette").expect("a cassette");
    assert_eq!(cassettes.choices, 7, "six cassettes of twelve cogs, and the one that is there");
}

/// A derailleur takes up the difference of the rings and that of the cogs together (the usual definition of its capacity). Rings of 33 and 50
/// teeth with 11 to 36 are 17 + 25 = 42, one more than the 41 of this one; with 11 to 34 they are 40.
#[test]
fn rings_that_need_another_cassette_come_with_it() {
    let wanted = ["highest development +0.8", "lowest development unchanged weight 0.05"];
    let reached = reached(&bike("yarrow"), &Asked::of(wishes(&wanted)));
    let ends = |line: &str| -> [f64; 2] {
        let teeth: Vec<f64> = line.split([' ', '-']).filter_map(|word| word.parse().ok()).collect();
        [teeth[0], teeth[teeth.len() - 1]]
    };
    let spread = |proposal: &Proposal, what: &str, now: f64| {
        let line = lines(proposal).into_iter().find(|line| line.starts_with(what));
        line.map_or(now, |line| ends(&line)[1] - ends(&line)[0])
    };
    for proposal in &reached.proposals {
        let needs = spread(proposal, "rings ", 46.0 - 30.0) + spread(proposal, "cog teeth ", 36.0 - 11.0);
        assert!(needs <= 41.0, "{needs} teeth: {:?}", lines(proposal));
    }
    let best = lines(&reached.proposals[0]);
    assert!(best.len() == 2 && ends(&best[0])[1] == 50.0 && ends(&best[1])[1] <= 34.0, "{best:?}");
}

/// A coil spring's sag goes as the load over the rate (Hooke); 475 lb/in for 525 sag by 525/475 of it where the leverage ratio hardly changes.
#[test]
fn more_sag_of_a_coil_is_a_softer_spring_and_of_air_less_pressure() {
    let guelder = bike("guelder-160");
    let now = answer(Question::about(&guelder, &[])).expect("an answer");
    let now = now.knock_ons.iter().find(|it| it.quantity == Quantity::ShockSag).and_then(|it| it.before);
    let more = now.expect("the record tells it") * (525.0 / 475.0 - 1.0);
    let reached_coil = reached(&guelder, &Asked::of(wishes(&[&format!("shock sag +{more:.2}")])));
    assert_eq!(lines(&reached_coil.proposals[0]), ["spring rate 475 lb/in"]);

    let air = reached(&bike("medlar-140"), &Asked::of(wishes(&["rear sag +5"])));
    let best = &air.proposals[0];
    assert!(best.price == 0.0 && best.things.len() == 1, "air costs nothing");
    assert!(lines(best)[0].starts_with("shock pressure by −"), "{:?}", lines(best));
    assert!(off(best, Quantity::RearSag).abs() < 0.3);
}

/// What a bike does not have is not changed: no pressure in a coil, no coil in air, no rings that nobody told.
#[test]
fn what_the_bike_does_not_have_is_not_offered() {
    for (name, only) in [("guelder-160", "Shock's coil spring"), ("medlar-140", "Shock pressure")] {
        let reached = reached(&bike(name), &Asked::of(wishes(&["rear sag +5"])));
        assert_eq!(reached.slots.iter().map(|slot| slot.label).collect::<Vec<_>>(), [only], "{name}");
    }
    let asked = Asked::of(wishes(&["anti-squat at sag +10"]));
    let answer = reach(&bike("medlar-140"), &asked, &mut |_| ControlFlow::Continue(()));
    let nothing = ReachError::NothingToChoose { left_out: Vec::new() };
    assert_eq!(answer.err(), Some(nothing), "its record has no rings");
    // What there is and does not go is named with why.
    let stock = offers("list", "part,cog teeth\nEleven cogs,11-13-15-17-19-21-24-28-32-37-46")
        .expect("a list")
        .offers;
    let asked =
        Asked { stock, stock_only: true, ..Asked::of(wishes(&["lowest development +0.1", "keep rings"])) };
    let answer = reach(&bike("bulrush-150"), &asked, &mut |_| ControlFlow::Continue(()));
    let help = answer.expect_err("eleven cogs on a bike for twelve").help();
    assert!(help.contains("Eleven cogs: "), "{help}");
}

/// Both tyres are meant by one word.
#[test]
fn a_pair_is_kept_as_a_pair() {
    let reached = larch(&["bottom-bracket height -4", "keep tyres"]);
    assert!(reached.slots.iter().all(|slot| !slot.label.contains("tyre")), "{:?}", reached.slots);
    let reached = larch(&["bottom-bracket height -4"]);
    assert_eq!(reached.slots.iter().filter(|slot| slot.label.contains("tyre")).count(), 2);
}

/// 10 mm of spacers from below to above the stem at 64.5°: (+10·cos 64.5°, −10·sin 64.5°) = (+4.305, −9.026) mm.
#[test]
fn what_spacers_do_is_found_as_spacers_and_costs_nothing() {
    let reached = larch(&["grip stack -9.026", "grip reach +4.305"]);
    let free =
        reached.proposals.iter().find(|it| it.price == 0.0 && it.things.len() == 1).expect("a free one");
    assert_eq!(lines(free), ["spacers below 10", "spacers above 15"]);
    assert!(free.miss < 0.01, "{}", free.miss);
    assert!(free.imitation.is_none(), "nothing is bought");
}

#[test]
fn what_is_not_accepted_is_not_proposed() {
    let all =
        larch(&["grip stack +10", "no spacers", "bar rise at most 30", "keep my stem", "price at most 100"]);
    assert!(!all.proposals.is_empty());
    for proposal in &all.proposals {
        let lines = lines(proposal);
        assert!(lines.contains(&"spacers below 0".to_owned()), "{lines:?}");
        assert!(lines.iter().all(|line| !line.starts_with("stem")), "{lines:?}");
        let rise = lines
            .iter()
            .find_map(|line| line.strip_prefix("bar rise "))
            .map_or(25.0, |rise| rise.parse().unwrap());
        assert!(rise <= 30.0 && proposal.price <= 100.0, "{lines:?}");
    }
    // Leaving the spacers where they are is not accepted either.
    assert_eq!(all.miss_now, None);
    let one = larch(&["grip stack +10", "at most 1 thing"]);
    assert!(one.proposals.iter().all(|it| it.things.len() == 1));
}

/// "Slam the stem but keep my position": 20 mm of spacers at 64.5° are 20·sin 64.5° = 18.05 mm of height and 20·cos 64.5° = 8.61 mm of
/// reach, which other parts have to make up for.
#[test]
fn the_stem_slammed_and_the_hands_where_they_were() {
    let all = larch(&["no spacers", "grip stack unchanged", "grip reach unchanged"]);
    assert_eq!(all.miss_now, None);
    for proposal in &all.proposals {
        assert!(lines(proposal).contains(&"spacers below 0".to_owned()), "{:?}", lines(proposal));
    }
    assert!(all.proposals[0].reaches.iter().all(|it| it.off.abs() < 2.0), "{:?}", all.proposals[0].reaches);
    // Without that nothing is to be done.
    let all = larch(&["grip stack unchanged", "grip reach unchanged"]);
    assert!(all.proposals.is_empty() && all.miss_now.is_some_and(|miss| miss < 1e-9));
}

#[test]
fn nothing_is_proposed_that_the_whole_answer_refuses() {
    for wanted in [["grip stack +40", "grip reach +30"], ["grip stack -30", "grip reach -20"]] {
        let all = larch(&wanted);
        for proposal in &all.proposals {
            let broken = proposal.findings.verdicts.iter().find(|it| it.outcome == Outcome::DoesNotFit);
            assert!(broken.is_none(), "{:?}: {broken:?}", lines(proposal));
        }
    }
}

/// The owner cut the steerer to what is stacked on it: 65 mm above the headset, of which 5 mm stay above the stem.
#[test]
fn the_steerer_ends_where_it_is_cut() {
    let all = larch(&["grip stack +30", "keep bar", "keep stem", "keep roll"]);
    for proposal in &all.proposals {
        for line in lines(proposal) {
            if let Some(below) = line.strip_prefix("spacers below ") {
                assert!(below.parse::<f64>().unwrap() <= 20.0, "{line}");
            }
        }
    }
}

#[test]
fn a_slacker_head_angle_without_a_higher_bottom_bracket() {
    let all = larch(&["head angle -1", "bottom-bracket height no higher"]);
    let best = &all.proposals[0];
    assert!(off(best, Quantity::HeadAngle).abs() < 0.1, "{best:?}");
    assert!(off(best, Quantity::BottomBracketHeight) < 0.05, "{best:?}");
    // Common practice, no source: that is what angle headsets are for.
    assert!(lines(best).iter().any(|line| line.starts_with("headset angle")), "{:?}", lines(best));
}

#[test]
fn tolerance_tells_who_is_as_good() {
    let all = larch(&["grip stack +14", "grip reach -6"]);
    let nearest = all.proposals.iter().min_by(|a, b| a.miss.total_cmp(&b.miss)).expect("some");
    assert!(nearest.as_good);
    let worst = |it: &Proposal| it.reaches.iter().map(|reach| reach.off.abs()).fold(0.0, f64::max);
    for proposal in &all.proposals {
        // Nobody is as good who misses by centimetres more, and whoever misses by as much is.
        if worst(proposal) > worst(nearest) + 10.0 {
            assert!(!proposal.as_good, "{:?}", lines(proposal));
        }
        if (0..proposal.reaches.len())
            .all(|at| (proposal.reaches[at].off - nearest.reaches[at].off).abs() < 0.05)
        {
            assert!(proposal.as_good, "{:?}", lines(proposal));
        }
    }
    // Those come first, the simplest of them at the head.
    let good: Vec<&Proposal> = all.proposals.iter().take_while(|it| it.as_good).collect();
    assert!(all.proposals[good.len()..].iter().all(|it| !it.as_good));
    assert!(good.windows(2).all(|pair| pair[0].things.len() <= pair[1].things.len()));
    assert!(good.len() > 1, "parts come in steps finer than they are known");
}

/// A trial says by how much it is off the proposal, in the same figures as two questions about them do.
#[test]
fn a_trial_is_as_far_off_as_it_says() {
    let all = larch(&["grip stack -12", "grip reach unchanged"]);
    let tried = all.proposals.iter().filter_map(|it| it.imitation.as_ref().map(|imitation| (it, imitation)));
    let mut seen = 0;
    for (proposal, imitation) in tried {
        seen += 1;
        let question = Question {
            asked: String::new(),
            record: bike("larch-150"),
            changes: imitation.changes.clone(),
            inspections: Vec::new(),
        };
        let findings = answer(question).expect("it can be done");
        for (quantity, off) in &imitation.off {
            let of = |all: &knockon_trade::findings::Findings| {
                all.knock_ons
                    .iter()
                    .find(|it| it.quantity == *quantity)
                    .and_then(|it| it.difference)
                    .expect("it is known")
            };
            let apart = of(&findings) - of(&proposal.findings);
            assert!((apart - off).abs() < 1e-9, "{quantity:?}: {apart} {off}");
        }
        assert!(imitation.changes.iter().all(|change| {
            ["spacers", "stem angle", "bar roll", "saddle"]
                .iter()
                .any(|free| change.to_string().starts_with(free))
        }));
    }
    assert!(seen > 0, "something is worth trying");
}

/// The record of a bike with changes on it, as far as they set numbers.
fn with(record: &Record, changes: &[Change]) -> Record {
    let mut after = record.clone();
    for change in changes {
        let Change::Number { property, by, amount } = change else { panic!("{change} sets no number") };
        let mut fact = amount.clone();
        if *by {
            // A roll that nobody tells is none.
            let none = (property.key == "bar.roll").then_some(0.0);
            let told = record.fact(&property.key).map(|fact| fact.value).or(none);
            fact.value += told.unwrap_or_else(|| panic!("{change} steps from nothing"));
        }
        after.facts.insert(property.key.as_str(), fact);
    }
    after
}

/// From one bike's position to another and back: what the second bike is short of the first, the first has too much of the second, and
/// nothing else is wanted of it.
#[test]
fn a_position_that_goes_there_and_back_is_where_it_was() {
    let (here, there) = (bike("larch-150"), bike("guelder-160"));
    let like = |record: &Record, like: &Record| {
        reached(record, &Asked { like: Some(like.clone()), ..Asked::of(Vec::new()) })
    };
    let same = like(&here, &here);
    assert!(same.miss_now.is_some_and(|miss| miss < 1e-9), "{:?}", same.miss_now);
    let there_like_here = like(&there, &here);
    let nearest = there_like_here.proposals.iter().min_by(|a, b| a.miss.total_cmp(&b.miss)).expect("a way");
    let moved = with(&there, &nearest.changes);
    let back = like(&here, &moved);
    assert!(
        (back.miss_now.expect("as it is") - nearest.miss).abs() < 0.02,
        "{:?} {}",
        back.miss_now,
        nearest.miss
    );
    for now in &back.now {
        let went = nearest.reaches.iter().find(|it| it.quantity == now.quantity).expect("both tell it");
        assert!((now.off + went.off).abs() < 0.1, "{:?}: {} there, {} back", now.quantity, went.off, now.off);
        assert!(now.off.abs() <= went.pm.max(2.0), "{:?}: {} ± {}", now.quantity, now.off, went.pm);
    }
}

#[test]
fn what_cannot_be_had_is_made_up_for() {
    let record = bike("larch-150");
    let changes = read_changes(&["bar rise 40"]).expect("changes").changes;
    let asked = Asked { as_with: changes, ..Asked::of(wishes(&["without bar rise 40"])) };
    let all = reached(&record, &asked);
    assert!(!all.proposals.is_empty());
    for proposal in &all.proposals {
        assert!(!lines(proposal).contains(&"bar rise 40".to_owned()));
    }
    // 15 mm up at the same reach by other parts: within two millimetres.
    let best = &all.proposals[0];
    assert!(best.reaches.iter().all(|it| it.off.abs() < 2.0), "{:?}", best.reaches);
}

#[test]
fn a_stock_list_has_prices_counts_and_clamps() {
    let list = offers("drawer", demo::drawer()).expect("a list");
    assert!(list.problems.is_empty(), "{:?}", list.problems);
    let asked = Asked {
        stock: list.offers,
        stock_only: true,
        ..Asked::of(wishes(&["grip stack +13", "grip reach unchanged ± 4"]))
    };
    let all = reached(&bike("larch-150"), &asked);
    assert!(all.left_out.iter().any(|out| out.what == "Invented bar 50"), "{:?}", all.left_out);
    for proposal in &all.proposals {
        for thing in &proposal.things {
            assert!(!thing.bought || thing.stock_line.is_some(), "{thing:?}");
        }
        let has = |name: &str| proposal.things.iter().any(|thing| thing.what == name);
        // A bar for a 35 mm clamp comes with a stem of that clamp or not at all.
        assert_eq!(has("Invented bar 40 thick"), has("Invented stem 45 thick"), "{:?}", proposal.things);
        let sum: f64 = proposal.things.iter().map(|thing| thing.price).sum();
        assert!((sum - proposal.price).abs() < 1e-9);
    }
    // 38 mm of rise is 13 more than 25, and costs 25.
    assert!(all.proposals.iter().any(|it| it.things.len() == 1
        && it.things[0].what == "Invented bar 38 as good as new"
        && it.price == 25.0));
}

#[test]
fn a_price_that_nobody_can_read_costs_no_part() {
    let list = offers("drawer", "part,bar rise,price,count\nHigh bar,40,ask,a few\nOther bar,30,49.90 €,2")
        .expect("a list");
    assert_eq!(list.offers.len(), 2);
    assert_eq!((list.offers[0].price, list.offers[0].count), (None, None));
    assert_eq!((list.offers[1].price, list.offers[1].count), (Some(49.9), Some(2)));
    let told: Vec<(usize, bool)> = list.problems.iter().map(|it| (it.line_column().0, it.warning)).collect();
    assert_eq!(told, [(2, true), (2, true)]);
}

#[test]
fn what_is_not_known_is_asked_for_and_what_is_stopped_stops() {
    let record = bike("tormentil-150");
    let asked = Asked::of(wishes(&["grip stack 640"]));
    match reach(&record, &asked, &mut |_| ControlFlow::Continue(())) {
        Ok(_) => {}
        Err(error) => assert!(matches!(error, ReachError::Unknown { .. }), "{error}"),
    }
    let nothing =
        reach(&bike("larch-150"), &Asked::of(wishes(&["keep stem"])), &mut |_| ControlFlow::Continue(()));
    assert_eq!(nothing.err(), Some(ReachError::NothingWanted));
    let twice = Asked::of(wishes(&["grip stack +5", "grip stack +7"]));
    let twice = reach(&bike("larch-150"), &twice, &mut |_| ControlFlow::Continue(()));
    assert!(matches!(twice, Err(ReachError::Twice(_))));
    let stopped =
        reach(&bike("larch-150"), &Asked::of(wishes(&["grip stack +5"])), &mut |_| ControlFlow::Break(()));
    assert_eq!(stopped.err(), Some(ReachError::Stopped));
}

/// Every demo bike can be asked for more and less of what it tells, and no answer breaks a limit or forgets a caution.
#[test]
fn every_bike_answers_something_sensible() {
    for (name, _) in demo::bikes() {
        let record = bike(name);
        for lines in [["grip stack +10"], ["grip reach -10"], ["head angle -0.5"], ["saddle to pedal -5"]] {
            match reach(&record, &Asked::of(wishes(&lines)), &mut |_| ControlFlow::Continue(())) {
                Ok(all) => {
                    for proposal in &all.proposals {
                        assert!(
                            proposal.miss <= all.miss_now.unwrap_or(f64::INFINITY) + 1e-9,
                            "{name} {lines:?}"
                        );
                        assert!(!proposal.findings.cautions.is_empty(), "{name} {lines:?}");
                    }
                }
                Err(ReachError::Unknown { .. } | ReachError::NothingToChoose { .. }) => {}
                Err(error) => panic!("{name} {lines:?}: {error}"),
            }
        }
    }
}
