//! Questions about the rear suspension, from the words to the figures. What is expected is worked out by hand or by plane
//! geometry beside it; facts of the trade say that they are common practice.

use knockon_engine::geometry::FramePoints;
use knockon_engine::quantity::Quantity;
use knockon_engine::requirement::Outcome;
use knockon_engine::suspension::curve::Curve;
use knockon_trade::change::parse;
use knockon_trade::demo;
use knockon_trade::findings::{AnswerError, Findings, KnockOn, answer};
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record;
use knockon_trade::verdict::Verdict;

fn try_ask(bike: &str, changes: &[&str]) -> Result<Findings, AnswerError> {
    let record = demo::bike(bike).expect("a bike of the workshop");
    let changes = read_changes(changes).unwrap_or_else(|errors| panic!("{changes:?}: {errors:?}")).changes;
    answer(Question { asked: String::new(), record, changes, inspections: Vec::new() })
}

fn ask(bike: &str, changes: &[&str]) -> Findings {
    try_ask(bike, changes).expect("an answer")
}

fn knock_on(findings: &Findings, quantity: Quantity) -> &KnockOn {
    findings.knock_ons.iter().find(|knock_on| knock_on.quantity == quantity).expect("a knock-on")
}

fn difference(findings: &Findings, quantity: Quantity) -> f64 {
    knock_on(findings, quantity).difference.unwrap_or_else(|| panic!("{} is not told", quantity.id()))
}

fn verdict<'a>(findings: &'a Findings, requirement: &str) -> &'a Verdict {
    findings.verdicts.iter().find(|verdict| verdict.requirement == requirement).expect("a verdict on it")
}

/// Common practice: at ratios of 2.3 to 3.2, 10 mm less travel takes roughly 3 to 4.5 mm of spacer.
#[test]
fn ten_millimetres_less_travel_take_a_spacer_of_three_to_four_and_a_half() {
    for bike in ["bulrush-150", "guelder-160", "medlar-140", "osier-130", "samphire-145", "tormentil-150"] {
        let findings = ask(bike, &["rear travel by -10"]);
        let spacer = knock_on(&findings, Quantity::InnerSpacer);
        let (length, pm) =
            (spacer.difference.expect("a spacer"), spacer.difference_pm.expect("its tolerance"));
        assert!((3.0..=4.5).contains(&length) && pm < 1.0, "{bike}: {length} ±{pm}");
        assert!((difference(&findings, Quantity::RearTravel) + 10.0).abs() < 1e-6, "{bike}");
        // The static geometry is left alone.
        assert!(difference(&findings, Quantity::HeadAngle).abs() < 1e-9, "{bike}");
    }
}

#[test]
fn a_claim_out_of_line_with_the_leverage_ratio_is_questioned_and_one_in_line_is_not() {
    let findings = ask("samphire-145", &["shock spacer 1.5", "rear travel by -10"]);
    let claim = verdict(&findings, "claimed_travel");
    assert_eq!(claim.outcome, Outcome::DoesNotFit, "{}", claim.sentence);
    assert!(claim.sentence.contains("not 10 mm less"), "{}", claim.sentence);
    // The spacer is what gets fitted: 1.5 mm at a ratio of 2.3 to 3.2.
    let travel = difference(&findings, Quantity::RearTravel);
    assert!((-4.8..-3.4).contains(&travel), "{travel}");
    let spacer = difference(&ask("samphire-145", &["rear travel by -10"]), Quantity::InnerSpacer);
    let said = format!("shock spacer {spacer:.2}");
    let findings = ask("samphire-145", &[&said, "rear travel by -10"]);
    assert_eq!(verdict(&findings, "claimed_travel").outcome, Outcome::Fits);
}

#[test]
fn a_longer_stroke_cannot_be_cleared_without_the_makers_word_or_a_measured_clearance() {
    let findings = ask("tormentil-150", &["shock stroke 57.5"]);
    for requirement in ["shock_stroke", "bottom_clearance"] {
        assert_eq!(verdict(&findings, requirement).outcome, Outcome::CannotSay, "{requirement}");
    }
    let asked: Vec<&str> = findings.missing.iter().map(|missing| missing.key.as_str()).collect();
    assert!(asked.contains(&"shock.stroke_most") && asked.contains(&"rear.bottom_clearance"), "{asked:?}");
    // A shorter one cannot reach further than today's does, whatever the clearance.
    let findings = ask("tormentil-150", &["shock stroke 50"]);
    for requirement in ["shock_stroke", "bottom_clearance"] {
        assert_eq!(verdict(&findings, requirement).outcome, Outcome::Fits, "{requirement}");
    }
}

#[test]
fn a_measured_clearance_answers_with_the_axles_further_rise() {
    let text = |gap: f64| {
        let (_, text) = demo::bikes().iter().find(|(stem, _)| *stem == "tormentil-150").expect("the bike");
        text.replace(
            "[rear]\n",
            &format!("[rear]\nbottom_clearance = {{ value = {gap}, with = \"feeler\" }}\n"),
        )
    };
    let outcome = |gap: f64| {
        let record = record::parse("tormentil", &text(gap)).expect("a record").record;
        let changes = read_changes(&["shock stroke 57.5"]).expect("changes").changes;
        let findings = answer(Question { asked: String::new(), record, changes, inspections: Vec::new() })
            .expect("an answer");
        verdict(&findings, "bottom_clearance").outcome
    };
    // 2.5 mm more stroke at a ratio of 2.3 to 2.6 are 5.8 to 6.5 mm more travel; 5 mm are asked for beside them.
    assert_eq!((outcome(8.0), outcome(16.0)), (Outcome::DoesNotFit, Outcome::Fits));
}

/// The load on the springs grows with the rider, and with it rate and pressure for one and the same sag.
#[test]
fn a_heavier_rider_takes_a_stiffer_spring_in_proportion_to_the_sprung_load() {
    let findings = ask("tormentil-150", &["rider weight 95"]);
    let rate = knock_on(&findings, Quantity::CoilRateForSag);
    let (before, after) = (rate.before.expect("a rate"), rate.after.expect("a rate"));
    // Both ends sag where they sagged, so the axle's load is a fixed part of the whole mass, less what hangs below the
    // spring. Masses: rider, kit 0 unless told, bike 15.4; below the rear spring 4.5 assumed.
    let record = demo::bike("tormentil-150").expect("the bike");
    let mass = |key: &str, otherwise: f64| record.fact(key).map_or(otherwise, |fact| fact.value);
    let others = mass("rider.kit", 0.0) + mass("bike.mass", f64::NAN);
    let share = 1.0 - knock_on(&findings, Quantity::FrontLoadShare).before.expect("a share") / 100.0;
    let sprung = |rider: f64| (rider + others) * share - mass("bike.rear_unsprung", 4.5);
    let expected = sprung(95.0) / sprung(mass("rider.mass", f64::NAN));
    // The share is that of the bike standing unloaded; sagging moves it by a per cent or two.
    assert!((after / before / expected - 1.0).abs() < 0.03, "{after} {before} {expected}");
}

/// The pressure that is told for the wanted sag, put into the fork, gives that sag: 20 % of 150 mm.
#[test]
fn the_forks_pressure_for_the_wanted_sag_gives_that_sag() {
    let rider = "rider weight 95";
    let findings = ask("samphire-145", &[rider]);
    let pressure = knock_on(&findings, Quantity::ForkPressureForSag).after.expect("a pressure");
    let findings = ask("samphire-145", &[rider, &format!("fork pressure {pressure:.6}")]);
    let sag = knock_on(&findings, Quantity::ForkSag).after.expect("a sag");
    assert!((sag - 30.0).abs() < 1e-4, "{sag}");
}

#[test]
fn an_idler_on_the_swing_arm_takes_the_growth_off_the_tight_run() {
    let findings = ask("guelder-160", &["idler off"]);
    let kickback = knock_on(&findings, Quantity::PedalKickback);
    let (with, without) = (kickback.before.expect("with"), kickback.after.expect("without"));
    // The pivot lies at (5, 124), the axle at (−441, 26), 456.6 mm from it. 160 mm higher it lies at (−447.4, 186): 484.5 mm from
    // the bottom bracket instead of 441.8. 42.7 mm over the 32-tooth ring's 64.8 mm are 37.8°; the chain's upper run, which lies
    // nearer to the pivot than the line of centres, takes some degrees off that.
    assert!((without - 37.8).abs() < 6.0, "{without}");
    assert!(without > 25.0 && without > 2.0 * with.abs(), "{with} {without}");
    assert!(difference(&findings, Quantity::ChainGrowth) > 10.0);
    assert!(difference(&findings, Quantity::AntiSquatAtSag) > 50.0);
    // The frame does not know the chain.
    assert!(difference(&findings, Quantity::HeadAngle).abs() < 1e-9);
}

#[test]
fn a_chip_moves_the_bike_and_a_dragged_pivot_the_curves() {
    let findings = ask("bulrush-150", &["chip low"]);
    // The eye goes 1 mm forward and 3 mm down, along a shock that points from (32, 331) to (92, 129): its mounts come
    // 0.285·1 + 0.959·3 = 3.16 mm further apart, the shock keeps its length, and at a leverage ratio of 3.0 the axle rises by
    // 9.5 mm in the frame. Over a wheelbase of 1225 mm that is 0.44°; the bottom bracket, 790 mm behind the front axle,
    // comes down by 790/1225 of it, 6.1 mm.
    let (lower, slacker) =
        (difference(&findings, Quantity::BottomBracketHeight), difference(&findings, Quantity::HeadAngle));
    assert!((lower + 6.1).abs() < 0.6, "{lower}");
    assert!((slacker + 0.44).abs() < 0.05, "{slacker}");
    let findings = ask("medlar-140", &["point main pivot up by 20"]);
    // Drawn as it was at full extension, the bike stands as it stood.
    assert!(difference(&findings, Quantity::HeadAngle).abs() < 1e-9);
    assert!(difference(&findings, Quantity::AntiSquatAtSag) > 5.0);
}

#[test]
fn a_chip_at_a_pivot_moves_the_hole_in_the_part_that_it_sits_in() {
    let findings = ask("samphire-145", &["chip back"]);
    // Rocker and shock stay, so the pin of the upper link stays, 198.7 mm above the lower pivot. The hole lies 6 mm further back
    // in the rear triangle, which therefore turns clockwise by 6/198.7 = 1.73° about the lower pivot, and raises the axle,
    // 411 mm behind, by 12.4 mm; the lower link gives way a little. Over a wheelbase of 1226 mm the frame leans back by 0.58°, and
    // the bottom bracket, 794 mm behind the front axle, comes down by 794/1226 of it, 8.0 mm.
    let (lower, slacker) =
        (difference(&findings, Quantity::BottomBracketHeight), difference(&findings, Quantity::HeadAngle));
    assert!((lower + 8.0).abs() < 0.6, "{lower}");
    assert!((slacker + 0.58).abs() < 0.05, "{slacker}");
}

#[test]
fn a_longer_fork_is_judged_by_its_length_and_told_at_sag() {
    let findings = ask("bulrush-150", &["fork travel 170"]);
    // 554 + 15 mm along the axis, and the maker allows 566.
    assert_eq!(verdict(&findings, "axle_to_crown").outcome, Outcome::DoesNotFit);
    // Common practice: 20 mm more length slacken by 0.8 to 1°. At sag a fifth of the 15 mm is used up by the longer travel's
    // sag; the weight that has moved back lets the rear sag a millimetre deeper, which takes some of that back.
    let (still, at_sag) =
        (difference(&findings, Quantity::HeadAngle), difference(&findings, Quantity::HeadAngleAtSag));
    assert!((-0.75..-0.6).contains(&still), "{still}");
    assert!((0.8..0.9).contains(&(at_sag / still)), "{at_sag} {still}");
}

#[test]
fn what_a_record_does_not_have_is_said_with_what_it_has() {
    let error = |bike: &str, change: &str| {
        let error = try_ask(bike, &[change]).expect_err(change);
        (error.to_string(), error.help())
    };
    let (message, help) = error("bulrush-150", "point main pivit up by 5");
    assert!(message.contains("no point `main pivit`") && help.contains("`main pivot`"), "{message} {help}");
    let (message, help) = error("bulrush-150", "chip middle");
    assert!(message.contains("no place `middle`") && help.contains("high, low"), "{message} {help}");
    assert!(error("larch-150", "chip low").0.contains("needs a linkage"));
    assert!(error("medlar-140", "chip low").0.contains("no chip"));
    assert!(error("medlar-140", "idler off").0.contains("no idler"));
    assert!(error("larch-150", "point main pivot up by 5").1.contains("[linkage]"));
    // Drawn there the rocker would pull the wheel down while the shock gets shorter.
    let (message, _) = error("bulrush-150", "point rocker pivot forward by -160");
    assert!(message.contains("go down instead of up"), "{message}");
    // A shock far too long for the linkage does not go in, and the error names a pivot.
    let (message, _) = error("bulrush-150", "shock eye-to-eye 320");
    assert!(message.contains("pivot"), "{message}");
}

#[test]
fn the_words_of_points_and_chips_read_back_as_they_are_written() {
    for line in ["point main pivot up by 5", "point upper pivot forward by -2.5 ± 1", "chip low", "idler off"]
    {
        let change = parse(line).unwrap_or_else(|error| panic!("{line}: {error:?}")).change;
        assert_eq!(change.to_string(), line);
        assert_eq!(parse(&change.to_string()).expect("the same").change, change);
    }
    for (line, says) in [
        ("point main pivot up 5", "moves by a step"),
        ("point main pivot up by", "by how much"),
        ("point main pivot sideways by 5", "forward or up"),
        ("point main pivot up by 5 kg", "wrong kind of unit"),
        ("point main pivot up by 900", "cannot move by"),
        ("chip", "which place"),
    ] {
        let error = parse(line).expect_err(line);
        assert!(error.message.contains(says), "{line}: {}", error.message);
    }
}

#[test]
fn curves_begin_at_nought_and_end_at_the_travel() {
    for bike in ["bulrush-150", "guelder-160", "medlar-140", "osier-130", "samphire-145", "tormentil-150"] {
        let findings = ask(bike, &[]);
        let suspension = findings.suspension.as_ref().expect("a suspension");
        assert_eq!(suspension.stuck, None, "{bike}");
        let of = |position: usize, curve: Curve| suspension.before.values[position][curve as usize];
        let last = suspension.before.values.len() - 1;
        for curve in [Curve::Travel, Curve::Kickback, Curve::ChainGrowth, Curve::PathTravel] {
            assert!(of(0, curve).abs() < 1e-9, "{bike} {}", curve.id());
        }
        let travel = knock_on(&findings, Quantity::RearTravel).before.expect("travel");
        assert!((of(last, Curve::Travel) - travel).abs() < 1e-9, "{bike}");
        assert_eq!(suspension.before.bodies.len(), suspension.before.values.len(), "{bike}");
        // Every part's place carries its drawn points: the axle of its part goes where the axle is.
        let drawn = suspension.linkage.as_ref().expect("a linkage");
        for (bodies, axle) in suspension.before.bodies.iter().zip(&suspension.before.axle) {
            let [cos, sin, x, y] = bodies[drawn.axle_part];
            let at = drawn.axles[0];
            assert!((cos * at[0] - sin * at[1] + x - axle[0]).abs() < 1e-9, "{bike}");
            assert!((sin * at[0] + cos * at[1] + y - axle[1]).abs() < 1e-9, "{bike}");
        }
        // Energy: the shock's force over its stroke is the wheel's over its travel, by the trapezoid rule on 21 positions.
        let area = |force: Curve, way: Curve| -> f64 {
            (1..=last)
                .map(|at| f64::midpoint(of(at, force), of(at - 1, force)) * (of(at, way) - of(at - 1, way)))
                .sum()
        };
        let (shock, wheel) =
            (area(Curve::ShockForce, Curve::Compression), area(Curve::WheelForce, Curve::Travel));
        assert!((shock / wheel - 1.0).abs() < 2e-3, "{bike}: {shock} {wheel}");
    }
}

/// Each axle lies as high above the ground as its wheel is large, wherever the suspension is, and the frame's turn is what
/// the head angle loses.
#[test]
fn both_wheels_stand_on_the_ground_through_the_whole_travel() {
    for bike in ["bulrush-150", "guelder-160", "medlar-140", "osier-130", "samphire-145", "tormentil-150"] {
        let findings = ask(bike, &["chainring 30"]);
        let (after, travel) = (&findings.bikes.1, &findings.suspension.as_ref().expect("a suspension").after);
        let front = FramePoints::new(after, 0.0).front_axle;
        assert_eq!(travel.standing.len(), travel.values.len());
        for (index, ([cos, sin, _, y], axle)) in travel.standing.iter().zip(&travel.axle).enumerate() {
            let height = |at: [f64; 2]| sin * at[0] + cos * at[1] + y;
            assert!((height(*axle) - after.rear_radius).abs() < 1e-9, "{bike}");
            assert!((height([front.x, front.y]) - after.front_radius).abs() < 1e-9, "{bike}");
            let told = travel.values[index][Curve::HeadAngle as usize];
            let turned = (after.head_angle + after.headset_turn - sin.atan2(*cos)).to_degrees();
            assert!((told - turned).abs() < 1e-9, "{bike}: {told} {turned}");
        }
    }
}

/// A linkage that was taped is no better known than its points, and the leverage ratio depends on nothing else.
#[test]
fn a_curve_s_tolerance_names_the_point_to_measure_next() {
    let findings = ask("tormentil-150", &["chainring 30"]);
    let next = &findings.suspension.as_ref().expect("a suspension").after.measure_next;
    let of = |curve: Curve| next[curve as usize].as_ref().expect("something to measure");
    let leverage = of(Curve::Leverage);
    assert!(leverage.key.starts_with("linkage."), "{leverage:?}");
    assert!((0.05..1.0).contains(&leverage.share) && leverage.action.starts_with("measure the "));
    // Without a linkage the leverage is assumed, and the frame's maker knows it.
    let findings = ask("hornbeam-170", &["shock stroke 60"]);
    let next = &findings.suspension.as_ref().expect("a suspension").after.measure_next;
    let leverage = next[Curve::Leverage as usize].as_ref().expect("somebody to ask");
    assert!(leverage.action.contains("maker"), "{leverage:?}");
}
