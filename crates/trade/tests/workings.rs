//! Gears, chain, brakes, wheels and bolts of whole records, against figures that others have published.

use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_trade::findings::{Findings, answer, answer_in_depth};
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::parse;
use knockon_trade::workings::braking::Way;
use knockon_trade::workings::torque::Asked;
use knockon_trade::workings::{Told, Topic};
use knockon_trade::{demo, tables};

fn question(text: &str, changes: &[&str]) -> Question {
    let record = parse("bike", text).expect("the record reads").record;
    let changes = read_changes(changes).expect("the changes read").changes;
    Question { asked: String::new(), record, changes, inspections: Vec::new() }
}

fn in_depth(text: &str, changes: &[&str]) -> Findings {
    answer_in_depth(question(text, changes), Told::All, &Way::usual()).expect("an answer")
}

fn yarrow() -> &'static str {
    demo::bikes().iter().find(|(name, _)| *name == "yarrow").expect("the demo's gravel bike").1
}

/// Public pages on gearing: the cogs 13-15-17-19-21-24-34 go in steps of 15, 13, 12, 11, 14 and 42 %.
#[test]
fn steps_of_a_published_cassette() {
    let findings = in_depth("[drivetrain]\nring_teeth = 42\ncog_teeth = \"13-15-17-19-21-24-34\"", &[]);
    let gears = findings.workings.gears.expect("its teeth are known");
    let steps: Vec<f64> = gears.after.iter().rev().filter_map(|row| row.step).map(f64::round).collect();
    assert_eq!(steps, [15.0, 13.0, 12.0, 11.0, 14.0, 42.0]);
}

/// Ratios of 50/34 with 11-34 by a public post: 4.5455 to 1.4706, and 3.0909 to 1.
#[test]
fn ratios_of_a_published_road_bike() {
    let findings = in_depth("[drivetrain]\nring_teeth = \"34-50\"\ncog_teeth = \"11-34\"", &[]);
    let gears = findings.workings.gears.expect("its teeth are known");
    assert!(gears.ends_only, "34 follows on no cog of 11 teeth");
    let ratios: Vec<f64> = gears.after.iter().map(|row| (row.ratio * 1e4).round() / 1e4).collect();
    assert_eq!(ratios, [1.0, 1.4706, 3.0909, 4.5455]);
    assert_eq!(gears.fan, None);
}

/// Ratios of a 3-speed hub by its tooth counts (J. S. Allen, Drive ratios of bicycle hub gears, 2016): a range of 178 %.
#[test]
fn a_published_hub_gear() {
    let text = "[drivetrain]\nring_teeth = 42\ncog_teeth = 19\ninner_ratios = \"0.75, 1, 1.3333\"";
    let findings = in_depth(text, &[]);
    let gears = findings.workings.gears.expect("its teeth are known");
    assert_eq!(gears.after.len(), 3);
    let range = findings.knock_ons.iter().find(|it| it.quantity == Quantity::GearRange).expect("a range");
    assert_eq!(range.after.map(f64::round), Some(178.0));
}

/// Total capacity by a public page: 24/32/44 with 12-34 asks for 42 teeth.
#[test]
fn a_published_capacity() {
    let text = "[drivetrain]\nring_teeth = \"24-32-44\"\ncog_teeth = \"12-34\"\nderailleur_capacity = 41";
    let findings = answer(question(text, &["rings 24-32-44"])).expect("an answer");
    let chain = findings.workings.chain.as_ref().expect("the change touches it");
    assert_eq!(chain.capacity_needed[1], Some(42.0));
    let verdict = findings.verdicts.iter().find(|it| it.requirement == "capacity").expect("a limit");
    assert_eq!(verdict.outcome, Outcome::DoesNotFit);
    assert!(
        verdict.sentence.contains("42 teeth") && verdict.sentence.contains("1 too few"),
        "{}",
        verdict.sentence
    );
}

/// Chain length by a public formula page: chainstay 16.25 inch, 52 and 28 teeth: 53.5 inch, 107 pieces, so 108. The page leaves out
/// what the chain gains by running aslant, ((52 − 28)/2π)² over the 32.5 pitches of the chainstay: 0.449 pieces.
#[test]
fn a_published_chain_length() {
    let text = "kind = \"rigid\"\n[chart]\nchainstay = \"16.25 in\"\n[drivetrain]\nring_teeth = \"39-52\"\ncog_teeth = \"12-28\"\nchain_pieces = 106";
    let findings = answer(question(text, &["rings 39-52"])).expect("an answer");
    let chain = findings.workings.chain.as_ref().expect("the change touches it");
    assert!((chain.needed[1].unwrap() - 107.449).abs() < 0.005, "{:?}", chain.needed);
    assert_eq!(chain.order[1], Some(108.0));
    let verdict = findings.verdicts.iter().find(|it| it.requirement == "chain_length").expect("a limit");
    assert_eq!(verdict.outcome, Outcome::DoesNotFit);
}

/// A chain whose way over a rear suspension nobody has measured is never said to be long enough.
#[test]
fn an_untold_growth_never_fits() {
    let text = "kind = \"full suspension\"\n[chart]\nchainstay = 440\n[drivetrain]\nring_teeth = 32\ncog_teeth = \"10-51\"\nchain_pieces = 140";
    let findings = answer(question(text, &["ring 30"])).expect("an answer");
    let verdict = findings.verdicts.iter().find(|it| it.requirement == "chain_length").expect("a limit");
    assert_eq!(verdict.outcome, Outcome::CannotSay);
    let told = answer(question(&format!("{text}\nchain_growth = 20"), &["ring 30"])).expect("an answer");
    let verdict = told.verdicts.iter().find(|it| it.requirement == "chain_length").expect("a limit");
    assert_eq!(verdict.outcome, Outcome::Fits);
}

/// 1/16 inch over 12 inch is 0.52 % (public workshop pages).
#[test]
fn a_worn_chain() {
    let text = "[drivetrain]\nchain_24 = { value = \"12.0625 in\", known = \"measured\", tolerance = 0.2 }";
    let findings = in_depth(text, &[]);
    let (wear, pm) = findings.workings.chain.expect("it was measured").wear.expect("it was measured");
    assert!((wear - 0.52).abs() < 0.005 && (pm - 0.0656).abs() < 0.001, "{wear} {pm}");
}

/// Two worked examples of public notes: 36 spokes, three crosses, flange 58 mm at 39 mm, holes 2.6 mm, rim 555 mm: 265.8 mm; and
/// unequal flanges, rim 536 mm, 1 mm taken off for the hole: 259.11 mm left and 257.44 mm right.
#[test]
fn published_spokes() {
    let wheel = |rest: &str| {
        format!("[wheel.rear]\ntyre = \"32-622\"\nspokes = 36\ncrosses_left = 3\ncrosses_right = 3\n{rest}")
    };
    let lengths = |text: &str| {
        let findings = in_depth(text, &[]);
        let wheel =
            findings.workings.wheels.iter().find(|it| it.spokes.is_some()).expect("a laced wheel").clone();
        wheel.spokes.expect("laced").lengths.map(|(length, _)| length)
    };
    let alike = wheel(
        "rim_diameter = 555\nspoke_hole = 2.6\nflange_left = 58\nflange_right = 58\nflange_left_offset = 39\nflange_right_offset = 39",
    );
    assert!(lengths(&alike).iter().all(|length| (length - 265.8).abs() < 0.05));
    let dished = wheel(
        "rim_diameter = 536\nspoke_hole = 2\nflange_left = 44\nflange_right = 45\nflange_left_offset = 35.3\nflange_right_offset = 22.1",
    );
    let [left, right] = lengths(&dished);
    assert!((left - 259.11).abs() < 0.01 && (right - 257.44).abs() < 0.01, "{left} {right}");
}

#[test]
fn half_a_wheel_names_what_is_missing() {
    let findings = in_depth("[wheel.rear]\ntyre = \"32-622\"\nrim_diameter = 600\nspokes = 32", &[]);
    let wheel =
        findings.workings.wheels.iter().find(|it| !it.missing.is_empty()).expect("something is missing");
    assert!(
        wheel.missing.contains(&"wheel.rear.flange_left") && !wheel.missing.contains(&"wheel.rear.spokes")
    );
}

/// The limits of tyre and rim always win over a suggestion.
#[test]
fn a_limit_wins_over_the_suggested_pressure() {
    let heavy =
        yarrow().replace("mass = 78", "mass = 140").replace("pressure_most = 4.5", "pressure_most = 2");
    let findings = in_depth(&heavy, &[]);
    for wheel in &findings.workings.wheels {
        let (bar, _) = wheel.tyre.as_ref().and_then(|tyre| tyre.suggested).expect("a pressure");
        assert!(bar <= 2.0, "{bar}");
    }
    let most = [Quantity::FrontPressureSuggested, Quantity::RearPressureSuggested];
    for knock_on in findings.knock_ons.iter().filter(|it| most.contains(&it.quantity)) {
        assert!(knock_on.after.is_some_and(|bar| bar <= 2.0 + 1e-9));
    }
}

/// A larger tyre changes gearing, bottom bracket, trail, clearance and pressure, all in one answer.
#[test]
fn a_larger_tyre_knocks_on_everywhere() {
    let findings = answer(question(yarrow(), &["rear tyre 50-622", "front tyre 50-622"])).expect("an answer");
    for quantity in [
        Quantity::LowestDevelopment,
        Quantity::BottomBracketHeight,
        Quantity::Trail,
        Quantity::RearPressureSuggested,
        Quantity::FrontRotorLeverage,
    ] {
        let knock_on = findings.knock_ons.iter().find(|it| it.quantity == quantity).expect("computed");
        assert!(knock_on.difference.is_some_and(|it| it.abs() > 1e-3), "{quantity:?} {knock_on:?}");
    }
    assert!(findings.verdicts.iter().any(|it| it.requirement == "rear_clearance"));
}

/// Whatever changes together is shared among the changes without rest (Shapley's efficiency).
#[test]
fn shares_add_up_for_gears_too() {
    let changes =
        ["rings 28-44", "cassette 11-13-15-17-19-21-24-28-32-36-42", "rear tyre 50-622", "crank length 165"];
    let findings = answer(question(yarrow(), &changes)).expect("an answer");
    for knock_on in &findings.knock_ons {
        let Some(difference) = knock_on.difference else { continue };
        let sum: f64 = knock_on.shares.iter().sum();
        assert!(
            (sum - difference).abs() < 1e-9 * difference.abs().max(1.0),
            "{:?}: {sum} {difference}",
            knock_on.quantity
        );
    }
}

/// 180 instead of 160 mm of rotor: 13.7 % more hold by the mean radius of a band of 14 mm (arithmetic: 83/73).
#[test]
fn a_larger_rotor_holds_harder_and_stays_cooler() {
    let findings = answer(question(yarrow(), &["front rotor 180"])).expect("an answer");
    let brakes = findings.workings.brakes.expect("the change touches them");
    let front = &brakes.ends[0];
    assert!((front.more.unwrap() - (83.0 / 73.0 - 1.0) * 100.0).abs() < 1e-9);
    let hottest = |curve: &[f64]| curve.iter().copied().fold(0.0, f64::max);
    let after: Vec<f64> = front.after.iter().map(|place| place[1]).collect();
    let before: Vec<f64> = front.before.iter().map(|place| place[1]).collect();
    assert!(hottest(&after) < hottest(&before));
    assert_eq!(front.rotor_left, None, "what was measured of the old rotor is not told of the new one");
}

/// 190 kg down 2.2 km at 1 in 10 give 408 kJ before anything is lost to air and tyres (arithmetic of a told incident); the brakes take
/// no more than that, and less the faster the bike goes.
#[test]
fn the_brakes_take_no_more_than_the_hill_gives() {
    let heavy = yarrow().replace("mass = 78", "mass = 177.2");
    let power = |speed: f64| {
        let way = Way { gradient: 10.0, length: 2.2, speed, ..Way::usual() };
        let findings = answer_in_depth(question(&heavy, &[]), Told::All, &way).expect("an answer");
        let power = findings.workings.brakes.and_then(|brakes| brakes.power).expect("the weights are known");
        power * (2200.0 / (speed / 3.6))
    };
    let gross = 190.0 * 9.806_65 * 2200.0 * 0.1_f64.atan().sin();
    assert!((gross / 1000.0 - 408.0).abs() < 1.0);
    assert!(power(20.0) < gross && power(40.0) < power(20.0));
}

/// Deceleration at which a bike tips: 0.5 to 0.65 g (Whitt and Wilson's example and AASHTO's discussion, both from memory).
#[test]
fn tips_where_bicycles_tip() {
    let brakes = in_depth(yarrow(), &[]).workings.brakes.expect("its rotors are known");
    let (limit, pm) = brakes.tip_over.expect("a centre of mass");
    assert!((4.9..6.4).contains(&limit) && pm > 0.5, "{limit} ±{pm}");
    for limits in &brakes.limits {
        assert!(limits.both <= limit + 1e-9 && limits.rear < limits.both);
    }
}

/// Shigley's nut factors: 0.18 lubricated, 0.12 with anti-seize. Torque tables: M5 8.8 and M6 8.8 at µ 0.12 and 90 % of yield are 6.0
/// and 10.3 N·m, so three quarters of the proof load is below both.
#[test]
fn bolts_against_published_torques() {
    let work = |thread: &str, state: &str| {
        let asked = Asked {
            thread: thread.into(),
            class: "8.8".into(),
            friction: state.into(),
            torque: None,
            makers: None,
            depth: None,
        };
        asked.work().expect("known names")
    };
    assert!((work("M5", "greased").nut_factor - 0.18).abs() < 0.02);
    assert!((work("M5", "anti-seize").nut_factor - 0.12).abs() < 0.015);
    for (thread, table) in [("M5", 6.0), ("M6", 10.3), ("M8", 25.0)] {
        let bears = work(thread, "greased").bears;
        // 0.75 · 580 N/mm² against what 90 % of 640 N/mm² leave beside the twist, about 0.8 · 576.
        assert!(bears < table && bears > 0.75 * table, "{thread}: {bears}");
    }
}

#[test]
fn the_makers_torque_always_wins() {
    let asked = Asked {
        thread: "m5".into(),
        class: "10.9".into(),
        friction: "Dry".into(),
        torque: Some(9.0),
        makers: Some(5.0),
        depth: Some(6.0),
    };
    let work = asked.work().expect("names are read as people write them");
    assert_eq!((work.torque, work.maker_wins, work.deep_enough), (5.0, true, Some(false)));
    let unknown = Asked { thread: "M99".into(), ..asked.clone() }.work().unwrap_err();
    assert!(unknown.contains("M5") && unknown.contains("M99"));
    assert!(Asked { torque: Some(-1.0), ..asked }.work().is_err());
}

#[test]
fn rings_and_cassettes_are_said_as_people_say_them() {
    for (line, said) in [
        ("rings 50/34", "rings 34-50"),
        ("cassette 11-34", "cog teeth 11-34"),
        ("cogs 11, 13, 15", "cog teeth 11-13-15"),
        ("hub gear ratios 0.75 1 1.333", "inner ratios 0.75, 1, 1.333"),
    ] {
        let change =
            knockon_trade::change::parse(line).unwrap_or_else(|fault| panic!("{line}: {fault:?}")).change;
        assert_eq!(change.to_string(), said);
        assert_eq!(knockon_trade::change::parse(said).expect("what is printed reads").change, change);
    }
    let fault = knockon_trade::change::parse("rings 34-5o").unwrap_err();
    assert!(fault.message.contains("5o"), "{}", fault.message);
    // A standard stays a standard.
    let standard = knockon_trade::change::parse("cogs 12 cogs").expect("a number of cogs").change;
    assert_eq!(standard.key(), "drivetrain.cogs");
}

#[test]
fn so_many_cogs_ask_for_a_chain_and_shifter_of_so_many() {
    let text = "[drivetrain]\ncogs = \"11 cogs\"\nchain = \"11 cogs\"\nring_teeth = 40\ncog_teeth = \"11-12-13-14-16-18-20-22-25-28-32\"";
    let same = answer(question(text, &["cassette 11-13-15-17-19-21-24-28-32-36-42"])).expect("an answer");
    let chain = |findings: &Findings| {
        findings.verdicts.iter().find(|it| it.requirement == "chain").map(|it| it.outcome)
    };
    assert_eq!(chain(&same), Some(Outcome::Fits));
    let more = answer(question(text, &["cassette 10-12-14-16-18-21-24-28-33-39-45-51"])).expect("an answer");
    assert_eq!(chain(&more), Some(Outcome::DoesNotFit));
}

#[test]
fn every_figure_of_the_layouts_is_sound() {
    let layouts = in_depth(yarrow(), &[]).workings.layouts;
    assert_eq!(layouts.len(), tables::layouts().len() + 1);
    for it in &layouts {
        assert!(it.laid.tight_tension > 500.0 && it.laid.tight_tension < 6000.0, "{}", it.row.id);
        assert!((0.0..0.2).contains(&it.laid.loss), "{} {}", it.row.id, it.laid.loss);
        assert!(it.clearance.is_some_and(|clear| clear > 50.0), "{} {:?}", it.row.id, it.clearance);
    }
    let (built, over) = (&layouts[0], &layouts[1]);
    assert!(over.turned_over && over.on_pulley.unwrap() > 20.0 * built.on_pulley.unwrap());
    let idler = layouts.iter().find(|it| it.row.id == "idler").expect("a high pivot");
    assert!(idler.laid.loss > built.laid.loss && idler.engagements == built.engagements + 2);
}

/// A public encyclopaedia: 60 W carry somebody on a bicycle at 15 km/h on the level.
#[test]
fn sixty_watts_on_the_level() {
    let upright = knockon_engine::road::Resistance { rolling: 0.006, drag_area: 0.6, air_density: 1.2 };
    let speed = upright.speed(60.0 * knockon_engine::road::CHAIN_EFFICIENCY, 0.0, 85.0) * 3.6;
    assert!((speed - 15.0).abs() < 2.0, "{speed}");
}

#[test]
fn a_slope_takes_the_riders_power_and_a_gear() {
    let findings = in_depth(&format!("{}power = 200\n", yarrow()), &[]);
    let gears = findings.workings.gears.expect("its teeth are known");
    assert_eq!(gears.climbing_power, (200.0, false));
    assert!(gears.climbs.is_sorted_by(|a, b| a.speed > b.speed && a.gear >= b.gear));
    for climb in &gears.climbs {
        let Some(at) = climb.gear else { continue };
        // The chosen gear turns at the slowest cadence or faster, the next one no longer.
        let cadence = |at: usize| climb.speed / 3.6 / gears.after[at].development * 60.0;
        assert!(cadence(at) >= 60.0 - 1e-6);
        assert!(gears.after.get(at + 1).is_none() || cadence(at + 1) < 60.0);
    }
}

/// Between two lines of the meter's table in proportion; beyond them nothing is said.
#[test]
fn a_tension_meter_by_its_table() {
    let wheel = |rest: &str| {
        let text = format!(
            "[wheel.rear]\ntyre = \"32-622\"\nreadings_left = \"20 21 22\"\nreadings_right = \"23 24\"\n{rest}"
        );
        let findings = in_depth(&text, &[]);
        findings.workings.wheels.iter().find_map(|it| it.tension.clone()).expect("it was read")
    };
    let read = wheel("reading_table = \"20:600, 22:800, 24:1000\"");
    assert_eq!((read.mean, read.left_over_right.map(f64::round)), ([Some(700.0), Some(950.0)], Some(74.0)));
    assert!((read.spread[0].unwrap() - 100.0 / 7.0).abs() < 1e-9);
    let beyond = wheel("reading_table = \"20:600, 22:800\"");
    assert_eq!(beyond.mean, [Some(700.0), None]);
    let bare = wheel("");
    assert!(bare.mean == [None, None] && bare.spread[0].is_some());
}

#[test]
fn another_flange_tells_the_spokes_of_before() {
    let rear = |findings: Findings| {
        findings.workings.wheels.last().and_then(|wheel| wheel.spokes.clone()).expect("spokes")
    };
    let as_it_is = rear(in_depth(yarrow(), &[]));
    let changed = rear(answer(question(yarrow(), &["rear left flange 58"])).expect("an answer"));
    assert_eq!(as_it_is.before, None);
    assert_eq!(changed.before, Some(as_it_is.lengths.map(|(length, _)| length)));
    // A larger flange stands nearer to the rim.
    assert!(changed.lengths[0].0 < as_it_is.lengths[0].0);
    assert_eq!(changed.lengths[1], as_it_is.lengths[1]);
}

#[test]
fn one_topic_brings_its_own_cautions_only() {
    let ids = |told| {
        let findings = answer_in_depth(question(yarrow(), &[]), told, &Way::usual()).expect("an answer");
        findings.cautions.iter().map(|(caution, _)| caution.id.clone()).collect::<Vec<String>>()
    };
    let (wheels, all) = (ids(Told::Only(Topic::Wheels)), ids(Told::All));
    let has = |ids: &[String], id: &str| ids.iter().any(|it| it == id);
    assert!(has(&wheels, "wheel_built") && !has(&wheels, "brake_heat"), "{wheels:?}");
    assert!(has(&all, "wheel_built") && has(&all, "brake_heat"), "{all:?}");
}
